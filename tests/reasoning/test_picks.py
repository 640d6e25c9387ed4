"""Rules on several choices of one answer, against what the sets themselves say."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from assistant.reasoning.compiler import alternatives
from assistant.reasoning.consultation import consult
from assistant.reasoning.trail import trail_of
from assistant.report.explaining import trainer_lines
from assistant.ruleset.load import load_ruleset
from tests.support.saying import say, start

TINY = Path(__file__).resolve().parent.parent / "support" / "tiny"
WAYS: dict[str, tuple[Callable[[set[str]], bool], int]] = {
    "'crack' in marks": (lambda made: "crack" in made, 1),
    "'crack' in marks and 'dent' in marks": (lambda made: made == {"crack", "dent"}, 1),
    "'crack' in marks and not 'dent' in marks": (lambda made: made == {"crack"}, 1),
    "not ('crack' in marks or 'dent' in marks)": (lambda made: not made, 1),
    "'crack' in marks or 'dent' in marks": (lambda made: bool(made), 2),
}
"""Conditions, what they mean in Python's own sets, and in how many ways each can be true."""


@pytest.mark.parametrize("when", WAYS)
def test_choices_of_one_answer_are_told_apart(when: str, tmp_path: Path) -> None:
    means, ways = WAYS[when]
    shutil.copytree(TINY, tmp_path / "tiny")
    file = tmp_path / "tiny" / "parts.yaml"
    old = "\"'crack' in marks or shaky\""
    assert old in file.read_text()
    file.write_text(file.read_text().replace(old, f'"{when}"'))
    ruleset = load_ruleset(tmp_path / "tiny")
    ruled = alternatives(ruleset, ruleset.inferences["marked"], True)
    assert len(ruled) == ways and all(len(way.patterns) == 1 for way in ruled)
    for picks in ([], ["crack"], ["dent"], ["crack", "dent"]):
        journal = start()
        say(journal, "marks", picks)
        result = consult(ruleset, journal)
        assert result.result.truth("marked") is means(set(picks)) and not result.faults
    for state in ("dont_know", "cant_look"):
        journal = start()
        say(journal, "marks", state)
        result = consult(ruleset, journal)
        assert result.result.truth("marked") is None and not result.faults


def test_a_trainer_is_shown_what_was_picked() -> None:
    ruleset = load_ruleset(TINY)
    for picks, shown in (
        (["dent", "crack"], "marks: a dent; a crack"),
        ([], "marks: none of these"),
    ):
        journal = start()
        say(journal, "marks", picks)
        say(journal, "shaky", "no")
        result = consult(ruleset, journal)
        rows = [row.text for row in trainer_lines(result, trail_of(result, "marked"))]
        assert any(row.startswith("facts 1 of") and shown in row for row in rows)
