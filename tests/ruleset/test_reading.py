"""One broken ruleset per mistake: each error names its place and says what to do."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from assistant.authoring.check.cases import check_cases, check_mutations
from assistant.authoring.check.checks import check_statics
from assistant.errors import RulesetError
from assistant.ruleset.load import load_ruleset

TINY = Path(__file__).resolve().parent.parent / "support" / "tiny"


def broken(folder: Path, old: str, new: str, file: str = "parts.yaml") -> Path:
    """A copy of the tiny ruleset with one piece of text replaced."""
    shutil.copytree(TINY, folder / "tiny")
    path = folder / "tiny" / file
    text = path.read_text()
    assert text.count(old) >= 1, f"{old!r} is not in {file}"
    path.write_text(text.replace(old, new, 1))
    return folder / "tiny"


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("    label: fluid level", "    lable: fluid level", "Did you mean 'label'?"),
        ("    label: fluid level\n", "", "questions.level.label: this field is missing"),
        ("when: depth < least", "when: depht < least", "Did you mean 'depth'?"),
        ("when: depth < least", "when: depth < 1.6", "named limit"),
        ("when: bell == 'no'", "when: bell == 'nope'", "'nope' is not an answer of 'bell'"),
        ("urgency: before_inspection", "urgency: soonish", "urgency"),
        ("category: grave", "category: gravest", "Did you mean 'grave'?"),
        ("source: book, basis: read", "source: bok, basis: read", "Did you mean 'book'?"),
        ("basis: common practice", "basis: guesswork", "basis"),
        ("questions: [wet]", "questions: [wett]", "Did you mean 'wet'?"),
        ("    safety: true", "    safety: yes", "without quotes means true or false"),
        ("range: [0, 20]", "range: [0, 020]", "is read by YAML as another number"),
        ("seconds: 6}", "seconds: 1:30}", "is read by YAML as another number"),
        ("    place: back\n    group", "    place: bak\n    group", "Did you mean 'back'?"),
        ("each: wheels", "each: weels", "Did you mean 'wheels'?"),
        ("cautions: [hot]", "cautions: [hott]", "Did you mean 'hot'?"),
        ("needs: [gauge]", "needs: [gage]", "Did you mean 'gauge'?"),
        ("  shaky: {ask", "  level: {ask", "stands here twice"),
        ("rule: shallow", "rule: leaking", "is used twice"),
        ("rule: shallow", "rule: depth", "is used twice"),
        ("when: falling and", "when: shallow and", "is read here before it is made"),
        ("fine: whole", "fine: wholesome", "which is not one of the choices"),
        ("urgency: do_not_drive\n    say: It leaks.", "say: It leaks.", "needs urgency"),
        ("    range: [0, 20]\n", "", "needs its range"),
        ("    unit: mm\n    range", "    range", "needs its unit"),
        ("when: depth < least", "when: depth < newer", "is in date"),
        (
            "    cases:\n      - {fires: {depth: 1.5}, near: [{depth: 1.6}]}",
            "    cases: []",
            "cases",
        ),
        ("near: [{depth: 1.6}]", "near: []", "near"),
        ("system: parts", "system: part", "must say system: parts"),
        ("when: depth < least", "when: depth < least and level", "alone is not true or false"),
        ("title: Parts", "title: [Parts", "is not correct YAML"),
        ("value: 1.6, unit: mm", "value: a lot, unit: mm", "limits.least.value"),
    ],
)
def test_each_mistake_is_named_with_its_place(
    tmp_path: Path, old: str, new: str, says: str
) -> None:
    with pytest.raises(RulesetError) as error:
        load_ruleset(broken(tmp_path, old, new))
    place, _ = next((p, t) for p, t in error.value.problems if says in f"{t}")
    assert place.file == "parts.yaml"
    assert place.line > 0
    text = (tmp_path / "tiny" / "parts.yaml").read_text().split("\n")
    assert place.line <= len(text)


def test_the_place_is_the_line_of_the_mistake(tmp_path: Path) -> None:
    folder = broken(tmp_path, "when: depth < least", "when: depth < leest")
    with pytest.raises(RulesetError) as error:
        load_ruleset(folder)
    place, text = error.value.problems[0]
    line = (folder / "parts.yaml").read_text().split("\n")[place.line - 1]
    assert line.strip() == "when: depth < leest"
    assert "Did you mean 'least'?" in text


def test_several_mistakes_are_all_said_at_once(tmp_path: Path) -> None:
    folder = broken(tmp_path, "when: depth < least", "when: depht < least")
    path = folder / "parts.yaml"
    path.write_text(path.read_text().replace("when: bell == 'no'", "when: bel == 'no'"))
    with pytest.raises(RulesetError) as error:
        load_ruleset(folder)
    assert len(error.value.problems) == 2


@pytest.mark.parametrize("content", ["", "\x00\x01", "- a\n- b\n", "a: &x [*x]\n", "{" * 500])
def test_a_file_that_is_no_ruleset_is_refused_plainly(tmp_path: Path, content: str) -> None:
    shutil.copytree(TINY, tmp_path / "tiny")
    (tmp_path / "tiny" / "parts.yaml").write_text(content)
    with pytest.raises(RulesetError):
        load_ruleset(tmp_path / "tiny")


def test_a_missing_file_is_named(tmp_path: Path) -> None:
    shutil.copytree(TINY, tmp_path / "tiny")
    (tmp_path / "tiny" / "parts.yaml").unlink()
    with pytest.raises(RulesetError, match=r"parts\.yaml"):
        load_ruleset(tmp_path / "tiny")


CHECKS = [check_statics, check_cases, check_mutations]


def complaints(folder: Path) -> str:
    ruleset = load_ruleset(folder)
    return "\n".join(f"{place}: {text}" for check in CHECKS for place, text in check(ruleset))


def test_the_tiny_ruleset_has_no_problems() -> None:
    assert complaints(TINY) == ""


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("ask: Where does the fluid stand?", "ask: Is the fluid level unsafe?", "to judge"),
        ("{fires: {depth: 1.5}, near", "{fires: {depth: 1.6}, near", "does not fire"),
        ("near: [{depth: 1.6}]", "near: [{depth: 1.4}]", "fires the rule all the same"),
        ("near: [{depth: 1.6}]", "near: [{depth: 1.9}]", "more than one step"),
        ("{fires: {depth: 1.5}, near: [{depth: 1.6}]}", "{fires: {depth: 1.4}, near: [{depth: 4}]}",
         "no case notices"),
        ("      - {fires: {level: empty}, near: [{level: full}]}\n", "", "'empty' is left out"),
        ("near: [{level: full}, {wet@right: 'no'}]", "near: [{level: full}]", "is left out"),
        ("item: 1.1(a), category", "item: 1.1(a)-ours, category", "the standard's own reference"),
        ("quiet: [marked]", "quiet: [marked, bell_dumb]", ""),
        ("given: {marks: [dent], shaky", "given: {marks: [crack], shaky", "not a defect"),
        ("likely: used_up}", "likely: ran_out}", "this ends"),
        ("    how: Ring it.", "    how: Ring it!", "no exclamation marks"),
        ("{full: {say: full, hear: [topped]}, low: {say: low}, empty: {say: empty}}",
         "{full: {say: full, hides: true}, low: {say: low, hides: true}, "
         "empty: {say: empty, hides: true}}", "every choice hides"),
        ("applies: made >= newer\n  marks", "applies: shaky\n  marks", "may only read questions"),
    ],
)  # fmt: skip
def test_the_checks_of_a_ruleset_notice(tmp_path: Path, old: str, new: str, says: str) -> None:
    found = complaints(broken(tmp_path, old, new))
    assert says in found
    assert bool(found) == bool(says)


def test_a_question_that_no_rule_uses_is_named(tmp_path: Path) -> None:
    folder = broken(tmp_path, "when: bell == 'no'", "when: hoop == 'gone'")
    path = folder / "parts.yaml"
    path.write_text(path.read_text().replace("when: not fitted(bell)", "when: hoop == 'gone'"))
    assert "bell: no rule uses the answer" in complaints(folder)
