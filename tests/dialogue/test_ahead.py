"""A first question that is asked before the rules are there: an answer never goes astray."""

from __future__ import annotations

import datetime as dt
import shutil
from pathlib import Path

import pytest

from assistant.dialogue.ahead import AskedAhead
from assistant.dialogue.asking import Left
from assistant.dialogue.first_screen import open_talk
from assistant.dialogue.scripted import ScriptedAsker
from assistant.errors import RulesetError
from assistant.knowledge.first_asked import first_asked
from assistant.knowledge.journal import Said
from assistant.knowledge.ruleset import Ruleset, load_ruleset
from assistant.records.store import Stored, list_journals
from assistant.report.lines import Line

ROOT = Path(__file__).resolve().parent.parent.parent
RULESETS = sorted((ROOT / "rulesets").iterdir())
DAY = dt.date(2026, 3, 2)
ASKED = [Line("question", "How old?"), Line("hint", "Type a number.")]


def ahead(*words: str) -> tuple[AskedAhead, ScriptedAsker]:
    person = ScriptedAsker(words)
    asker = AskedAhead(person, ASKED)
    asker.ask_ahead("> ", lambda: None)
    return asker, person


def test_what_is_on_the_screen_is_not_shown_again_and_its_answer_is_used_once() -> None:
    asker, person = ahead("7", "8")
    asker.show(ASKED[:1])
    asker.show(ASKED[1:])
    assert person.lines == ASKED
    assert [asker.ask("> "), asker.ask("> ")] == ["7", "8"]
    asker.show(ASKED)
    assert person.lines == ASKED * 2


@pytest.mark.parametrize(
    "told",
    [
        [Line("question", "How wide?"), ASKED[1]],
        [ASKED[0], Line("hint", "Type a date.")],
        [Line("danger", "Do not drive."), *ASKED],
        [*ASKED, Line("choice", "1. old")],
        ASKED[:1],
    ],
)
def test_an_answer_never_goes_to_another_question(told: list[Line]) -> None:
    """Another question, another way to ask it, something before it, after it, or less of it."""
    asker, _ = ahead("7", "8")
    for line in told:
        asker.show([line])
    assert asker.ask("> ") == "8"


def test_all_that_is_new_is_shown_from_the_first_difference_on() -> None:
    asker, person = ahead("7", "8")
    new = [Line("danger", "Do not drive."), ASKED[1]]
    asker.show([ASKED[0], *new])
    asker.show(ASKED)
    assert person.lines == [*ASKED, *new, *ASKED]


def test_who_leaves_ahead_has_left_the_talk() -> None:
    asker, _ = ahead()
    asker.show(ASKED)
    with pytest.raises(Left):
        asker.ask("> ")


# the first question of a ruleset --------------------------------------------------------------


def walked(folder: Path, home: Path, ruleset: Ruleset, ahead: bool) -> ScriptedAsker:
    person = ScriptedAsker(["2016"])
    where = folder if ahead else None
    open_talk(lambda: ruleset, person, home, today=DAY, car="Bus", new=False, folder=where)
    return person


@pytest.mark.parametrize("folder", RULESETS, ids=lambda p: p.name)
def test_asked_ahead_or_not_the_screens_and_the_records_are_the_same(
    folder: Path, tmp_path: Path
) -> None:
    ruleset = load_ruleset(folder)
    assert first_asked(folder) is not None
    screens, kept = [], []
    for name in ("ahead", "plain"):
        home = tmp_path / name
        screen = walked(folder, home, ruleset, name == "ahead").text
        screens.append(screen.replace("ahead", "plain"))
        (stored,) = list_journals(home)
        assert isinstance(stored, Stored)
        kept.append([(e.question, e.words) for e in stored.entries if isinstance(e, Said)])
    assert screens[0] == screens[1]
    assert kept[0] == kept[1] and kept[0][0][1] == "2016"


def test_a_car_with_a_record_is_not_asked_ahead(tmp_path: Path) -> None:
    folder = RULESETS[-1]
    ruleset = load_ruleset(folder)
    walked(folder, tmp_path, ruleset, ahead=True)
    first = ruleset.questions[next(iter(ruleset.of_the_car))].ask
    person = ScriptedAsker([])
    open_talk(lambda: ruleset, person, tmp_path, today=DAY, car="Bus", new=False, folder=folder)
    assert "Go on with it?" in person.text and first not in person.text


def test_mistakes_in_the_rest_of_a_ruleset_are_said_after_the_first_answer(tmp_path: Path) -> None:
    def load() -> Ruleset:
        raise RulesetError([])

    person = ScriptedAsker(["2016"])
    with pytest.raises(RulesetError):
        open_talk(load, person, tmp_path, today=DAY, car="Bus", new=False, folder=RULESETS[-1])
    assert list(list_journals(tmp_path)) == []


@pytest.mark.parametrize(
    ("file", "old", "new"),
    [
        ("car.yaml", "kind: date", "kind: date\n    each: wheels"),
        ("car.yaml", "kind: date", "kind: date\n    applies: fuel = 'petrol'"),
        ("car.yaml", "place: car", "place: bonnet"),
        ("car.yaml", "questions:", "questions: ["),
        ("ruleset.yaml", "stage: start,", ""),
        ("ruleset.yaml", "notices:", "notice:"),
        ("ruleset.yaml", "systems: [", "systems: [nowhere, "),
    ],
)
def test_where_two_files_cannot_tell_nothing_is_asked_ahead(
    file: str, old: str, new: str, tmp_path: Path
) -> None:
    folder = tmp_path / "changed"
    shutil.copytree(ROOT / "rulesets" / "gb-cars", folder)
    path = folder / file
    text = path.read_text()
    assert old in text
    path.write_text(text.replace(old, new))
    assert first_asked(folder) is None
