"""What is fuzzed, and what must hold whatever comes in. Used by hypothesis and by atheris alike.

Each target takes text or bytes, and raises only where the program breaks a promise: mistakes of
the input must come back as the program's own plain errors.
"""

from __future__ import annotations

import datetime as dt
import tempfile
from functools import lru_cache
from pathlib import Path

from assistant.authoring.check.cases import check_cases
from assistant.authoring.check.checks import check_statics
from assistant.errors import JournalError, RulesetError
from assistant.journal.entries import Said
from assistant.journal.file import read_journal
from assistant.reading.commands import command_of
from assistant.reading.result import Unclear, Understood
from assistant.reading.understand import understand
from assistant.reasoning.consultation import consult
from assistant.ruleset.condition import ConditionError, leaves, parse
from assistant.ruleset.fitting import misfit
from assistant.ruleset.load import load_ruleset
from assistant.ruleset.ruleset import Ruleset
from assistant.talk.worries import dangers_in, nearest, no_worry

ROOT = Path(__file__).resolve().parent.parent.parent
TINY = ROOT / "tests" / "support" / "tiny"
DAY = dt.date(2026, 1, 15)


@lru_cache(maxsize=2)
def ruleset(folder: Path = TINY) -> Ruleset:
    return load_ruleset(folder)


def condition(text: str) -> bool:
    """The condition language: a tree over known names, or ConditionError. True if it was read."""
    names = ruleset().names
    try:
        tree, sums = parse(text, names)
    except ConditionError as error:
        assert str(error) and 0 <= error.offset <= len(text) + 1
        return False
    assert all(leaf.name in names or leaf.name in sums for leaf in leaves(tree))
    return True


def ruleset_file(text: str) -> bool:
    """A system file in place of the tiny one's: problems with places, or a ruleset that works.

    A ruleset that loads is compiled and all its worked cases are run, so a trap of the engine
    would show here as a crash; run it in a process of its own.
    """
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for path in TINY.glob("*.yaml"):
            (folder / path.name).write_bytes(path.read_bytes())
        (folder / "parts.yaml").write_text(text, encoding="utf-8", errors="surrogatepass")
        try:
            made = load_ruleset(folder)
            check_statics(made)
            check_cases(made)
        except RulesetError as error:
            assert error.problems and all(place.file for place, _ in error.problems)
            return False
    return True


def answer(text: str) -> None:
    """Words at every question of the tiny ruleset: understood as what fits, or unclear."""
    rs = ruleset()
    for name, question in rs.questions.items():
        heard = understand(text, question, today=DAY)
        assert isinstance(heard, Understood | Unclear)
        if isinstance(heard, Understood):
            at = rs.members(question.each)[0]
            reason = misfit(rs, name, at, heard.answer)
            assert reason is None, (name, text, reason)
        command_of(text, question)
    shipped = ruleset(ROOT / "rulesets" / "gb-cars")
    assert len(nearest(shipped, text)) <= 3
    dangers_in(shipped, text)
    no_worry(shipped, text)


def journal(raw: bytes) -> bool:
    """A record on disk: its entries, or JournalError; what was read can be reasoned about."""
    with tempfile.TemporaryDirectory() as name:
        path = Path(name) / "record.jsonl"
        path.write_bytes(raw)
        try:
            entries = read_journal(path)
        except JournalError as error:
            assert "record.jsonl" in str(error)
            return False
    result = consult(ruleset(), entries)
    assert not result.faults
    assert all(isinstance(s, Said) for s in result.state.answers.values())
    return True
