"""Checks on a copy of the record: gone on with today and later, as JSON, and judged."""

from __future__ import annotations

import datetime as dt
import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path

from assistant.report.lines import Line
from assistant.ruleset.ruleset import Ruleset
from assistant.talk.asking import Left
from tests.support.owner import product
from tests.support.owner.invariants import Fault
from tests.support.owner.owner import Owner
from tests.support.owner.screens import Asked, Reader, Screen

LATER = dt.timedelta(days=9)


MOST_BEFORE = 9
"""So many questions may come before the first of the walk."""


class Looker:
    """Goes on with the walk that is there, looks at the first question, and leaves."""

    def __init__(self, reader: Reader) -> None:
        self.reader = reader
        self.lines: list[Line] = []
        self.talk: product.Talk | None = None
        self.asked: Asked | None = None
        self.before = 0

    def show(self, lines: list[Line]) -> None:
        self.lines += lines

    def get_ready(self) -> None:
        """Nothing is to be loaded."""

    def ask(self, prompt: str) -> str:
        if self.talk is None:
            which = any("with which one" in line.text for line in self.lines)
            self.lines = []
            self.before += 1
            if self.before > MOST_BEFORE:
                raise Left  # no question is reached: a fault, and no reason to wait for ever
            return "1" if which else "yes"  # the newest walk
        self.asked = self.reader.asked(Screen(tuple(self.lines), prompt), None)
        raise Left

    def begin(self, talk: product.Talk) -> None:
        self.talk = talk


def looked_at(ruleset: Ruleset, home: Path, reader: Reader, day: dt.date) -> Looker:
    """What a copy of the record shows on a day."""
    looker = Looker(reader)
    with tempfile.TemporaryDirectory(prefix="owner-copy-") as folder:
        copy = Path(folder) / "home"
        shutil.copytree(home, copy)
        product.open_car(ruleset, looker, copy, day, looker.begin)
    return looker


def checks(
    owner: Owner,
    home: Path,
    asked: Asked | None,
    advice: product.Advice,
    day: dt.date,
    judged: bool = False,
) -> Iterator[Fault]:
    """Compares all other ways to the advice with that of the talk.

    asked: what is asked now, where the same must be asked again. judged: with `judge` too.
    """
    assert owner.talk is not None
    ruleset = owner.car.ruleset
    yield from same_as_sheet(owner, advice)
    if asked is not None:
        yield from same_today(owner, home, asked, advice)
        yield from same_later(owner, home, advice, day)
    if judged:
        record = owner.talk.file.path
        as_json, in_words, code = product.judged(ruleset, record, day)
        yield from differing("judge_agrees", "judge --json", as_json, advice)
        if in_words is None:
            yield Fault("judge_agrees", "judge in words has none of the three headlines")
        else:
            yield from differing("judge_agrees", "judge in words", in_words, advice)
        if code not in (0, 1):
            yield Fault("judge_agrees", f"judge ends with {code} for a record of a talk")


def same_as_sheet(owner: Owner, advice: product.Advice) -> Iterator[Fault]:
    """The JSON sheet gives the advice of the talk."""
    assert owner.talk is not None
    yield from differing("sheet_agrees", "the JSON sheet", product.of_sheet(owner.talk.now), advice)


def same_today(owner: Owner, home: Path, asked: Asked, advice: product.Advice) -> Iterator[Fault]:
    """Gone on with on the same day: the same question with the same choices, the same advice."""
    assert owner.talk is not None
    looker = looked_at(owner.car.ruleset, home, owner.reader, product.today_of(owner.talk))
    if looker.talk is None or looker.asked is None:
        yield Fault("same_today", "gone on with today: no question is asked")
        return
    first = advice.kind == "danger" and owner.oracle.standing()
    if first and not product.acts_at_once(tuple(looker.lines)):
        yield Fault("same_today", "gone on with today: the danger is not said first")
    shown = [line.text for line in looker.asked.lines if line.kind in ("question", "choice")]
    before = [line.text for line in asked.lines if line.kind in ("question", "choice")]
    if shown != before:
        kind = "gone on with today: another question is asked"
        yield Fault("same_today", kind, f"{before} became {shown}")
    now = product.of_consultation(looker.talk.now)
    yield from differing("same_today", "gone on with today", now, advice)


def same_later(owner: Owner, home: Path, advice: product.Advice, day: dt.date) -> Iterator[Fault]:
    """Gone on with on a later day: the same advice, and the dates are that day's."""
    later = day + LATER
    looker = looked_at(owner.car.ruleset, home, owner.reader, later)
    if looker.talk is None:
        yield Fault("same_later", "gone on with later: no talk begins")
        return
    now = product.of_consultation(looker.talk.now)
    yield from differing("same_later", "gone on with later", now, advice)
    if product.today_of(looker.talk) != later:
        yield Fault("same_later", "gone on with later: it still reckons with an earlier day")


def differing(
    invariant: str, where: str, other: product.Advice, advice: product.Advice
) -> Iterator[Fault]:
    """A fault where another way gives another advice than the talk."""
    if not other.agrees(advice):
        how = f"{other.kind} where the talk says {advice.kind}"
        if other.kind == advice.kind:
            how = f"{other.urgency} where the talk says {advice.urgency}"
        yield Fault(invariant, f"{where}: {how}", f"{other}; {advice}")
