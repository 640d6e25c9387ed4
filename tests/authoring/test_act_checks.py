"""One planted fault for everything that is refused about acts and hazards, and the table."""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.authoring.check.act_checks import act_problems, hazard_table
from assistant.authoring.command import run_rules
from assistant.errors import RulesetError
from assistant.ruleset.load import load_ruleset
from assistant.ruleset.models import Act
from assistant.ruleset.ruleset import Ruleset
from tests.support.broken import changed

TABLE = Path(__file__).resolve().parent / "hazards_table.txt"

ACTS = """
  engine running: {say: run it, words: [start the engine, "turn it ... then switch off"], never: [do not start the engine]}
  driven at all: {say: drive it, words: [drive the car], never: [do not drive]}
  bonnet open: {say: open the bonnet, words: [open the bonnet], never: [leave the bonnet shut]}
"""  # noqa: E501
HAZARD = (
    "{say: it may fail, forbids: [engine running, driven at all], why: It may., "
    "garage: It is mended., settles: [level], otherwise: A garage does., call: A garage., "
    "source: book, basis: read}"
)
FUME = "    hazards: [fail]\n    source: book\n"


def planted(path: Path, *pairs: tuple[str, str], hazard: str = HAZARD, more: str = "") -> Path:
    """The tiny ruleset with a hazard that its one danger names, and with texts changed."""
    folder = changed(path, ("title: Parts\n", "title: Parts\nhazards: [fail]\n"), *pairs)
    text = f"acts:{ACTS}hazards:\n  fail: {hazard}\n{more}"
    (folder / "hazards.yaml").write_text(text)
    return folder


def said(folder: Path) -> list[str]:
    """What is said, with the line that it points to."""
    rows = []
    for place, text in act_problems(load_ruleset(folder)):
        line = (folder / place.file).read_text().split("\n")[place.line - 1]
        assert place.line > 0
        rows.append(f"{text} | {line.strip()}")
    return rows


def one(folder: Path) -> str:
    rows = said(folder)
    assert len(rows) == 1, rows
    return rows[0]


def test_the_hazard_by_itself_passes(tmp_path: Path) -> None:
    assert said(planted(tmp_path)) == []


def test_a_ruleset_without_hazards_is_let_alone(tiny: Ruleset) -> None:
    assert list(act_problems(tiny)) == [] and hazard_table(tiny) == []


# texts ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("old", "new", "field"),
    [
        ("ask: Where does the fluid stand?", "ask: Start the engine. Where is the fluid?", "ask"),
        ("how: Look at the bottle.", "how: Look. Then  start the   engine.", "how"),
        ("how: Look at the bottle.", "how: Start, turn it a little, then switch off.", "how"),
        ("{say: low}", "{say: low if you start the engine}", "choices"),
        ("without: Use your thumb.", "without: Start the engine and use it.", "without"),
        ("ask: Which hoops are out?", "ask: Start the engine and look.", "ask"),
    ],
)
def test_words_of_an_act_that_is_not_stated(tmp_path: Path, old: str, new: str, field: str) -> None:
    found = one(planted(tmp_path, (old, new)))
    assert 'does not state the act "engine running"' in found
    assert field == "choices" or f"{field}:" in found


@pytest.mark.parametrize(
    "text",
    [
        "Do not start the engine.",
        "Look. Do not start the engine; wait.",
        "Restart the engineer",
        "Leave the bonnet shut",
    ],
)
def test_the_opposite_and_other_words_ask_for_nothing(tmp_path: Path, text: str) -> None:
    assert said(planted(tmp_path, ("how: Look at the bottle.", f"how: {text}"))) == []


def test_a_never_phrase_counts_for_its_own_sentence_only(tmp_path: Path) -> None:
    text = "how: Do not start the engine. Now start the engine."
    assert "start the engine" in one(planted(tmp_path, ("how: Look at the bottle.", text)))


def test_a_place_states_what_it_says_on_arrival(tmp_path: Path) -> None:
    folder = planted(tmp_path)
    about = folder / "ruleset.yaml"
    about.write_text(about.read_text().replace("Go to the front.", "Open the bonnet."))
    assert 'the place front says "Open the bonnet"' in one(folder)
    about.write_text(about.read_text().replace("say: the front,", "say: f, acts: [bonnet open],"))
    assert said(folder) == []


def test_what_a_group_states_its_questions_state(tmp_path: Path) -> None:
    asks = ("rings: {ask: Which", "rings: {acts: [engine running], ask: Start the engine. Which")
    how = ("how: Ring it.", "how: Start the engine and ring it.")
    assert said(planted(tmp_path, asks, how)) == []
    spared = planted(
        tmp_path / "b", asks, ("how: Ring it.", "spares: [engine running]\n    how: R.")
    )
    assert one(spared).startswith("bell spares what its group asks for in its own words")


def test_the_safe_form_is_held_to_its_own_acts(tmp_path: Path) -> None:
    look = "how: Look at the bottle."
    acts = "acts: [engine running]\n    how: Start the engine."
    safe = "    safely: {how: Look only., acts: []}\n"
    assert said(planted(tmp_path, (look, f"{acts}\n{safe.rstrip()}"))) == []
    bad = safe.replace("Look only.", "Start the engine.").rstrip()
    found = one(planted(tmp_path / "b", (look, f"{acts}\n{bad}")))
    assert found.startswith('level, in its safe form, says "Start the engine"')
    ask = ("ask: Where does the fluid stand?", "ask: Start the engine. Where is it?")
    found = one(planted(tmp_path / "c", ask, (look, f"{acts}\n{safe.rstrip()}")))
    assert "in its safe form" in found and "| ask:" in found


def test_nobody_is_asked_to_get_under_the_car(tmp_path: Path) -> None:
    look = ("how: Look at the bottle.", "acts: [under the car]\n    how: Look.")
    assert one(planted(tmp_path, look)).startswith("level: nobody is ever asked")
    group = ("rings: {ask", "rings: {acts: [under the car], ask")
    assert one(planted(tmp_path / "b", group)).startswith("rings: nobody is ever asked")
    folder = planted(tmp_path / "c")
    about = folder / "ruleset.yaml"
    about.write_text(about.read_text().replace("say: the back}", "say: b, acts: [under the car]}"))
    assert one(folder).startswith("back: nobody is ever asked")


# hazards ----------------------------------------------------------------------------------


def test_a_hazard_that_forbids_nothing(tmp_path: Path) -> None:
    nothing = HAZARD.replace("[engine running, driven at all]", "[]")
    with pytest.raises(RulesetError, match=r"hazards\.yaml:6:.*forbids"):
        load_ruleset(planted(tmp_path, hazard=nothing))


def test_a_danger_that_names_no_hazard(tmp_path: Path) -> None:
    folder = planted(tmp_path, ("hazards: [fail]\n", ""))
    with pytest.raises(RulesetError, match="leaking is a danger, so it must name its hazards"):
        load_ruleset(folder)


def test_a_hazard_that_is_not_there(tmp_path: Path) -> None:
    folder = planted(tmp_path, ("hazards: [fail]\n", "hazards: [fial]\n"))
    with pytest.raises(RulesetError, match="fial"):
        load_ruleset(folder)


def test_a_danger_that_may_be_driven_with(tmp_path: Path) -> None:
    light = HAZARD.replace("[engine running, driven at all]", "[bonnet open]")
    found = one(planted(tmp_path, hazard=light))
    assert "leaking is a danger, but none of its hazards (fail)" in found


ENGINE = ("how: Look at the bottle.", "acts: [engine running]\n    how: Start the engine.")


def test_all_settling_checks_forbidden(tmp_path: Path) -> None:
    found = one(planted(tmp_path, ENGINE))
    assert found.startswith("fail: it forbids every check that could settle it.")
    assert "| fail:" in found


def test_one_settling_check_forbidden_in_both_forms(tmp_path: Path) -> None:
    two = HAZARD.replace("[level]", "[level, bell]")
    found = one(planted(tmp_path, ENGINE, hazard=two))
    assert "level settles it, but is forbidden by it as usual and in its safe form" in found
    safe = "\n    safely: {how: Look only.}"
    assert said(planted(tmp_path / "b", (ENGINE[0], ENGINE[1] + safe), hazard=two)) == []


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("why: It", "nothing_more: true, why: It", "nothing more is asked while it stands"),
        ("settles: [level], otherwise: A garage does., ", "", "no check settles it"),
        ("why: It", "cooled: {say: Cold., frees: [bonnet open]}, why: It", "not all forbidden"),
        (
            "[engine running, driven",
            "[ignition on, driven",
            '"ignition on" but not "eng',
        ),
        (
            "running, driven at all",
            "running, bonnet open",
            '"engine running" but not "dri',
        ),
        ("driven at all]", "driven at all, car moved]", 'no words for "car moved"'),
    ],
)
def test_a_hazard_that_makes_no_sense(tmp_path: Path, old: str, new: str, says: str) -> None:
    assert any(says in row for row in said(planted(tmp_path, hazard=HAZARD.replace(old, new))))


def test_an_unseen_check_has_no_condition(tmp_path: Path) -> None:
    low = (
        "    say: The fluid is low.",
        "    unseen: true\n    condition: never\n    say: It is low.",
    )
    assert one(planted(tmp_path, low)).startswith("falling: that a check was not made is no danger")


# the table --------------------------------------------------------------------------------


def test_the_table_is_the_one_that_was_read(gb_cars: Ruleset) -> None:
    """Print it with `sidelight rules check --hazards` and read it before it is put here."""
    assert "\n".join(hazard_table(gb_cars)) + "\n" == TABLE.read_text()


def test_the_table_has_a_paragraph_for_each_hazard_in_order(tmp_path: Path) -> None:
    two = f"  lost: {HAZARD.replace('why: It', 'nothing_more: true, why: It')}\n"
    rows = hazard_table(load_ruleset(planted(tmp_path, ENGINE, more=two.replace("[level]", "[]"))))
    assert rows == [
        "fail: it may fail",
        "  forbids: engine running, driven at all",
        "  settled by, left out: level",
        "  the front, left out: fluid level",
        "",
        "lost: it may fail",
        "  forbids: engine running, driven at all",
        "  checks: nothing more is asked",
    ]


def test_the_command_prints_the_table_and_checks_nothing(
    gb_cars: Ruleset, capsys: pytest.CaptureFixture[str]
) -> None:
    import argparse

    options = argparse.Namespace(rules_command="check", folder="x", hazards=True, cases=False)
    assert run_rules(options, lambda name: gb_cars, print, lambda *_: 0) == 0
    assert capsys.readouterr().out == TABLE.read_text()


def test_every_act_has_words_or_is_forbidden_nowhere(gb_cars: Ruleset) -> None:
    assert gb_cars.hazards_file is not None
    assert set(gb_cars.hazards_file.acts) == set(Act)
