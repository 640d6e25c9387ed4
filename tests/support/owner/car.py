"""The hidden car: what there is to be seen at every question, in the test's own terms."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from random import Random
from typing import Any

import yaml

from assistant.ruleset.models import Question
from assistant.ruleset.ruleset import Ruleset

HERE = Path(__file__).resolve().parent
Value = tuple[str, ...] | tuple[float, float] | dt.date | str
"""Choices that are picked; a number as its ends; a date; or the words of a note."""


@cache
def truths() -> dict[str, dict[str, Any]]:
    """The table of what a car can show, by question."""
    read: dict[str, dict[str, Any]] = yaml.safe_load((HERE / "truths.yaml").read_text("utf-8"))
    return read


@dataclass(frozen=True)
class Truth:
    """What there is at one question of one part.

    state: "fine", "bad", "hidden" (cannot be looked at or is not known) or "not fitted".
    kinds: the kinds of danger that it plainly means.
    """

    state: str
    value: Value = ()
    kinds: frozenset[str] = frozenset()


@dataclass
class Car:
    """One hidden car. What was not thrown yet is thrown when it is looked at, and then stays."""

    ruleset: Ruleset
    random: Random
    today: dt.date
    fuel: str
    body: str
    age: int
    equipment: tuple[str, ...]
    kit: tuple[str, ...]
    bad: float = 0.0
    hidden: float = 0.0
    known: dict[tuple[str, str], Truth] = field(default_factory=dict)

    @property
    def sound(self) -> bool:
        """Whether everything on it is fine."""
        return self.bad == 0

    @property
    def sort(self) -> str:
        """What it counts as: "sound, all seen", "sound, partly seen" or "other"."""
        if not self.sound:
            return "other"
        return "sound, partly seen" if self.hidden else "sound, all seen"

    def truth(self, name: str, at: str) -> Truth:
        """What there is to be seen; always the same for one question at one part."""
        key = (name, at)
        if key not in self.known:
            self.known[key] = self._thrown(name, at)
        return self.known[key]

    def show_danger(self, kind: str) -> None:
        """From now on what is asked about this kind of danger shows it; nothing settles it."""
        for name, entry in truths().items():
            if name not in self.ruleset.questions:
                continue
            picks = [c for c, k in entry.get("danger", {}).items() if k == kind]
            for at in self.ruleset.members(self.ruleset.questions[name].each):
                if picks and name.startswith("now_"):
                    pick = (self.random.choice(picks),)
                    self.known[(name, at)] = Truth("bad", pick, frozenset({kind}))
                elif kind in entry.get("settles", {}):
                    self.known[(name, at)] = Truth("hidden")

    def repaired(self, name: str, at: str) -> None:
        """From now on it is fine there."""
        self.known[(name, at)] = Truth("fine", self.fine_value(name))

    def _thrown(self, name: str, at: str) -> Truth:
        about = self._about(name)
        if about is not None:
            return Truth("fine", about)
        roll = self.random.random()
        question = self.ruleset.questions[name]
        if roll < self.hidden:
            return Truth("hidden")
        if question.not_fitted and self.random.random() < 0.1:
            return Truth("not fitted")
        if roll > 1 - self.bad:
            value = self.any_value(question)
            return Truth("bad", value, kinds_of(name, value))
        return Truth("fine", self.fine_value(name))

    def _about(self, name: str) -> Value | None:
        """What the car is, and what has no right or wrong."""
        if name == "first_used":
            day = self.today - dt.timedelta(days=365 * self.age + self.random.randint(0, 360))
            return min(day, self.today)
        if name in ("fuel", "body"):
            return (getattr(self, name),)
        if name in ("equipment", "kit"):
            return tuple(getattr(self, name))
        if name == "certificate_end":
            return self.today + dt.timedelta(days=self.random.randint(-20, 60))
        if name == "failed_on":
            return self.today - dt.timedelta(days=self.random.randint(1, 20))
        if name == "tyre_made":
            return self.today - dt.timedelta(days=self.random.randint(200, 1500))
        return None

    def fine_value(self, name: str) -> Value:
        """A value that says that all is well, or any value where nothing is said to be fine."""
        question = self.ruleset.questions[name]
        fine = truths().get(name, {}).get("fine")
        if question.kind == "some_of":
            return tuple(c for c in fine or () if self.random.random() < 0.1)
        if question.kind == "note":
            return str(fine or "nothing to say")
        if fine is None:
            return self.any_value(question)
        if isinstance(fine, str):
            return (fine,)
        if question.kind in ("quantity", "count"):
            number = round(self.random.uniform(*fine) / question.step) * question.step
            number = min(max(number, fine[0]), fine[1])
            return (round(number, 3), round(number, 3))
        return (self.random.choice(fine),)

    def any_value(self, question: Question) -> Value:
        """Any value that the question allows."""
        r = self.random
        if question.kind in ("yes_no", "one_of"):
            return (r.choice(question.words()),)
        if question.kind == "some_of":
            count = min(r.choice([1, 1, 1, 2, 3]), len(question.words()))
            return tuple(r.sample(question.words(), count))
        if question.kind == "note":
            return r.choice(["195/65 R15 91H", "something about it", "2319"])
        if question.kind == "date":
            return self.today - dt.timedelta(days=r.randint(0, 3000))
        assert question.range is not None
        low, high = question.range
        number = low + r.random() ** 2 * (high - low)
        number = min(max(round(number / question.step) * question.step, low), high)
        number = float(round(number)) if question.kind == "count" else round(number, 3)
        return (number, number)


def kinds_of(name: str, value: Value) -> frozenset[str]:
    """The kinds of danger that picking these choices plainly means."""
    danger = truths().get(name, {}).get("danger", {})
    picked = value if isinstance(value, tuple) else ()
    return frozenset(danger[word] for word in picked if word in danger)


def made_car(ruleset: Ruleset, random: Random, today: dt.date) -> Car:
    """A random car: of any fuel, body and age to 45 years; a third of all are sound."""
    sort = random.choice(["sound", "sound partly", "some bad", "some bad", "much bad", "mixed"])
    bad = {"some bad": 0.03, "much bad": 0.25, "mixed": 0.1}.get(sort, 0.0)
    hidden = {"sound partly": 0.15, "some bad": 0.03, "mixed": 0.3}.get(sort, 0.0)
    return _car(ruleset, random, today, bad, hidden)


def sound_car(ruleset: Ruleset, random: Random, today: dt.date, hidden: float = 0.0) -> Car:
    """A car with nothing wrong on it."""
    return _car(ruleset, random, today, 0.0, hidden)


def _car(ruleset: Ruleset, random: Random, today: dt.date, bad: float, hidden: float) -> Car:
    def some(name: str, share: float) -> tuple[str, ...]:
        return tuple(w for w in ruleset.questions[name].words() if random.random() < share)

    return Car(
        ruleset,
        random,
        today,
        random.choice(ruleset.questions["fuel"].words()),
        random.choice(ruleset.questions["body"].words()),
        random.randint(0, 45),
        some("equipment", 0.2),
        some("kit", 0.5),
        bad,
        hidden,
    )
