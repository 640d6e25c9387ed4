"""What must hold after all that was typed: the dangers that stand, and the right headline.

It knows only what was typed, in what order, and the tables kept beside it.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

import yaml

from tests.support.owner.car import Car, Truth, truths

HERE = Path(__file__).resolve().parent
CORE = (
    "recent_signs",
    "recent_events",
    "brake_fluid_level",
    "pedal_hold",
    "steering_play",
    "tyre_damage",
    "tread_depth",
    "driver_belt",
)
"""Checks that everybody would call checks of safety, and that every car has: while one of them is
not made, nobody can say that nothing speaks against driving."""

OTHER_FORMS = {"tread_depth": ("wear_bars",)}
"""What answers such a check as well, where it was refused itself."""

ELSEWHERE = {"rear_wiper"}
"""Picks that say that what drives is well: only the wiper at the back is not."""


@cache
def kinds() -> dict[str, dict[str, Any]]:
    """The table of what each kind of danger means."""
    read: dict[str, dict[str, Any]] = yaml.safe_load((HERE / "kinds.yaml").read_text("utf-8"))
    return read


@dataclass
class Danger:
    """A danger that was told in words, or picked at a question.

    stands: until something typed may have disproved it, released it or taken it back. From then on
    nothing is expected of it. cooled: the owner said that it has cooled. behind: the check that
    tells it from what is no danger; until that is answered it cannot be said.
    """

    kind: str
    words: str
    item: tuple[str, str] | None = None
    behind: str = ""
    stands: bool = True
    cooled: bool = False
    gone_on: bool = False

    @property
    def ends_the_walk(self) -> bool:
        """Whether nothing more is to be asked until somebody has dealt with it."""
        ends = kinds()[self.kind].get("ends")
        told = self.item is None and self.stands and not self.gone_on
        return bool(told and ends and re.search(ends, self.words))


@dataclass
class Oracle:
    """What is expected, as far as it can be said for certain."""

    car: Car
    dangers: list[Danger] = field(default_factory=list)
    answered: dict[tuple[str, str], str] = field(default_factory=dict)
    vague: bool = False
    clouded: bool = False
    timed: bool = False
    last: list[tuple[str, str]] = field(default_factory=list)

    # what was typed ---------------------------------------------------------------------

    def told(self, kind: str, words: str) -> None:
        """A danger was typed in the owner's own words."""
        self.clouded = True
        self.dangers.append(Danger(kind, words))

    def told_vaguely(self) -> None:
        """Something was told that names nothing anybody knows."""
        self.vague = True

    def answer(self, name: str, at: str, truth: Truth, words: str) -> None:
        """An answer was typed and taken."""
        again = self.answered.get((name, at)) == "bad"
        self.answered[(name, at)] = truth.state
        self.last = [(name, at)]
        if truth.state == "bad" or again:
            self.clouded = True
        self._settle(name, at, truth)
        for kind in sorted(truth.kinds):
            self.dangers.append(Danger(kind, words, (name, at), self._behind(name, kind)))

    def answer_group(self, items: list[tuple[str, str]], states: list[str]) -> None:
        """A group was answered as a whole, with nothing in it called bad."""
        self.last = items
        for (name, at), state in zip(items, states, strict=True):
            self.answered[(name, at)] = state
            if state == "fine":
                self._settle(name, at, Truth("fine", self.car.fine_value(name)))

    def taken_otherwise(self) -> None:
        """Something was kept that nobody meant as an answer; nothing is certain any more."""
        self.clouded = True

    def _behind(self, name: str, kind: str) -> str:
        """The check that tells a danger picked at a question from what is none."""
        return str(truths().get(name, {}).get("behind", {}).get(kind, ""))

    def _open(self) -> list[Danger]:
        """The dangers of which it cannot be said yet whether they are any."""
        known = {name for name, _ in self.answered}
        return [d for d in self.dangers if d.stands and d.behind and d.behind not in known]

    def _settle(self, name: str, at: str, truth: Truth) -> None:
        """Which dangers an answer may have disproved. A question that is not in the table may
        settle anything. What was picked at this very question is taken back, which is confirmed."""
        entry = truths().get(name)
        if truth.state not in ("fine", "bad"):
            return
        for danger in self.dangers:
            says = {danger.kind: "fine"} if entry is None else entry.get("settles", {})
            needed = says.get(danger.kind)
            picked = truth.value if isinstance(truth.value, tuple) else ()
            fine = truth.state == "fine" or set(picked) == ELSEWHERE
            fits = (fine and "fine" in (needed or ())) or set(picked) & set(needed or ())
            if fits and not truth.kinds and danger.item != (name, at):
                danger.stands = False

    def took_back(self) -> None:
        """The last thing said was taken back; what it said of a danger stays until confirmed."""
        for item in self.last:
            self.answered.pop(item, None)
        self.last = []

    def confirmed_loss(self) -> None:
        """It was confirmed that a danger is taken away, or that it was mended."""
        self.clouded = True
        for danger in self.dangers:
            danger.stands = False

    def garage(self) -> None:
        """A garage has mended it, says the owner: nothing is expected of what stood."""
        self.confirmed_loss()

    def has_cooled(self) -> None:
        """It has cooled, says the owner; the advice stands, some acts are allowed again."""
        for danger in self.dangers:
            danger.cooled = True

    def went_on(self) -> None:
        """The owner typed "go on": the walk is open again, all prohibitions stand."""
        for danger in self.dangers:
            danger.gone_on = True

    # what must hold ---------------------------------------------------------------------

    def standing(self) -> list[Danger]:
        """The dangers that must be in the advice."""
        open_ = self._open()
        return [d for d in self.dangers if d.stands and d not in open_]

    def forbidden(self) -> dict[str, str]:
        """The acts that nobody may be asked for, each with the kind of danger that forbids it."""
        found: dict[str, str] = {}
        for danger in self.standing():
            entry = kinds()[danger.kind]
            again = entry.get("cooled", ()) if danger.cooled else ()
            for act in entry["forbids"]:
                if act not in again:
                    found.setdefault(act, danger.kind)
        return found

    def open_core(self, done: bool) -> list[str]:
        """The checks of safety that are not made. done: the walk has come to its end."""
        found = []
        for name in CORE:
            states = {s for (n, _), s in self.answered.items() if n == name}
            others = OTHER_FORMS.get(name, ())
            by_other = any(n in others and s != "hidden" for (n, _), s in self.answered.items())
            if (not states and (not done or self.timed)) or ("hidden" in states and not by_other):
                found.append(name)
        return found

    def right(self, done: bool) -> frozenset[str]:
        """The headlines that are right now; more than one where it cannot be said for certain."""
        if self.standing():
            return frozenset({"danger"})
        never_danger = self.car.sound and not self.clouded
        found = {"cannot_say"} if never_danger else {"cannot_say", "danger"}
        if not self.vague and not self._open() and not self.open_core(done):
            found.add("nothing")
        all_seen = done and self.car.sort == "sound, all seen" and not self.timed
        if all_seen and never_danger and not self.vague and "hidden" not in self.answered.values():
            found = {"nothing"}
        return frozenset(found)
