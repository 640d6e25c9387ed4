"""One whole walk with a hidden car, from a seed: what was typed, and everything that was wrong."""

from __future__ import annotations

import datetime as dt
import tempfile
import traceback
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from random import Random

from assistant.journal.entries import Answer
from assistant.ruleset.ruleset import Ruleset
from tests.support.owner import product, resuming
from tests.support.owner.car import Car, made_car, sound_car
from tests.support.owner.invariants import (
    AFTER_EVERY_SCREEN,
    Fault,
    Seen,
    cleared_by_what_was_seen,
    danger_acts,
)
from tests.support.owner.owner import Mood, Owner
from tests.support.owner.screens import Asked, Screen

DAY = dt.date(2026, 3, 2)
SESSIONS = 60
SLOW = 400
"""A walk that has not ended after so many questions is going round in circles."""


@dataclass
class Walk:
    """What came of one walk."""

    seed: int
    car: Car
    owner: Owner
    faults: list[tuple[Fault, int]] = field(default_factory=list)
    ended: str = ""
    done: bool = False
    checks_at: frozenset[int] = frozenset()

    def fault(self, fault: Fault | None) -> None:
        """Notes a fault, and the screen at which it was seen; the same kind only once."""
        if fault is not None and all(fault.kind != known.kind for known, _ in self.faults):
            self.faults.append((fault, len(self.owner.screens)))

    def report(self, most: int = 3) -> str:
        """The seed, and of the first faults what was wrong with the last two screens before."""
        rows = [f"seed {self.seed}: {self.car.sort}, {self.car.fuel} {self.car.body}, "
                f"{self.car.age} years"]  # fmt: skip
        for fault, at in self.faults[:most]:
            rows.append(f"- {fault.invariant}: {fault.kind}\n  {fault.detail}")
            rows += [screen.shown() for screen in self.owner.screens[max(0, at - 2) : at]]
        if len(self.faults) > most:
            rows.append(f"and {len(self.faults) - most} more sorts of faults")
        return "\n".join(rows)

    def transcript(self) -> str:
        """All screens, with what was typed at each."""
        return "\n".join(screen.shown() for screen in self.owner.screens)


def walk(seed: int, ruleset: Ruleset, whole: bool | None = None) -> Walk:
    """One walk. whole: to its end (True) or cut short (False); by chance a fifth are whole."""
    random = Random(seed)
    whole = random.random() < 0.2 if whole is None else whole
    return walk_with(seed, ruleset, *planned(random, ruleset, whole), random)


def planned(random: Random, ruleset: Ruleset, whole: bool) -> tuple[Car, Mood]:
    """A car and the mood of its owner. Sound cars have owners who tell of no danger."""
    sorts = ["sound", "sound partly", "other", "other", "other"]
    sort = random.choice(["sound", *sorts[:3]] if whole else sorts)
    turns = 10_000 if whole else random.choice([3, 6, 10, 16, 24])
    if sort == "other":
        return made_car(ruleset, random, DAY), Mood(
            danger=random.choice([0.0, 0.05, 0.15]),
            comfort=0.02,
            vague=0.01,
            command=0.05,
            junk=0.03,
            refusal=0.03,
            change=0.06,
            plan=random.choice([0.0, 0.01]),
            leave=0.03 if not whole else 0.005,
            turns=turns,
        )
    return sound_car(ruleset, random, DAY, 0.15 if sort == "sound partly" else 0.0), Mood(
        comfort=0.02, command=0.04, junk=0.02, leave=0.01, turns=turns
    )


def walk_with(
    seed: int,
    ruleset: Ruleset,
    car: Car,
    mood: Mood,
    random: Random,
    first: Callable[[Owner], None] | None = None,
) -> Walk:
    """A walk with this car and this owner. first: what is done before anything is shown."""
    made: list[Walk] = []

    def watch(screen: Screen, asked: Asked) -> None:
        _watch(made[0], home, screen, asked, day)

    owner = Owner(car, mood, random, watch)
    made.append(Walk(seed, car, owner))
    one = made[0]
    one.checks_at = frozenset(random.sample(range(2, min(mood.turns, 60) + 2), 3))
    if first is not None:
        first(owner)
    day = DAY
    with tempfile.TemporaryDirectory(prefix="owner-") as folder:
        home = Path(folder)
        try:
            for _ in range(SESSIONS):
                if owner.gone or one.done:
                    break
                owner.talk = None
                product.open_car(ruleset, owner, home, day, owner.begin)
                if not one.done and random.random() < 0.7:
                    day += dt.timedelta(days=random.choice([1, 3, 20, 60]))
            _at_the_end(one, home, day)
        except Exception as error:
            last = traceback.extract_tb(error.__traceback__)[-1]
            where = f"{Path(last.filename).name}, {last.name}"
            kind = f"{type(error).__name__} in {where}"
            one.fault(Fault("no_exception", kind, str(error)[:300]))
            one.ended = "exception"
    return one


def _watch(one: Walk, home: Path, screen: Screen, asked: Asked, day: dt.date) -> None:
    """All that is checked after a screen."""
    owner = one.owner
    if owner.talk is None:
        nowhere = Seen(screen, product.Advice("danger"), owner.oracle, False, owner.danger_now)
        one.fault(danger_acts(nowhere))
        return
    if owner.turns > SLOW or len(owner.screens) > 3 * SLOW:
        raise RuntimeError("the walk does not end")
    one.done = one.done or product.at_the_end(screen.prompt)
    seen = Seen(
        screen,
        product.of_consultation(owner.talk.now),
        owner.oracle,
        one.done,
        owner.danger_now,
        asked,
        owner.taken,
        kept_answer(owner),
        product.reasons_of(owner.talk.now),
        kept_of_group(owner),
        product.today_of(owner.talk),
    )
    for invariant in AFTER_EVERY_SCREEN:
        one.fault(invariant(seen))
    if asked.main and owner.turns in one.checks_at:
        for fault in resuming.checks(owner, home, asked, seen.advice, day):
            one.fault(fault)


def kept_answer(owner: Owner) -> Answer | None:
    """How the answer that was just taken stands in the record."""
    if owner.talk is None or owner.taken is None or owner.taken.what != "answer":
        return None
    return product.answer_of(owner.talk, *owner.taken.items[0])


def kept_of_group(owner: Owner) -> tuple[Answer | None, ...]:
    """How the parts of a group that was just answered stand in the record."""
    if owner.talk is None or owner.taken is None or owner.taken.what not in ("group", "named"):
        return ()
    return tuple(product.answer_of(owner.talk, *item) for item in owner.taken.items)


def _at_the_end(one: Walk, home: Path, day: dt.date) -> None:
    """What is checked once the owner has gone, or the walk is done."""
    owner = one.owner
    if owner.talk is None:
        one.ended = "no talk"
        return
    advice = product.of_consultation(owner.talk.now)
    screen = Screen(tuple(owner.lines), "")
    owner.screens.append(screen)
    why = product.reasons_of(owner.talk.now)
    seen = Seen(screen, advice, owner.oracle, one.done, reasons=why)
    for invariant in AFTER_EVERY_SCREEN:
        one.fault(invariant(seen))
    for item in product.cleared(owner.talk):
        one.fault(cleared_by_what_was_seen(item, owner.oracle))
    for fault in resuming.checks(owner, home, None, advice, day, judged=True):
        one.fault(fault)
    one.ended = advice.kind
