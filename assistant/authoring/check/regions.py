"""Whether several conditions can hold of one car at once, decided exactly and without an engine.

A question has a closed list of answers, or a number whose value matters only through the region
between two limits that it lies in. So all cars fall into finitely many kinds. They are not
listed one by one: each comparison takes away the regions it does not allow, `or` is tried part by
part, and what is left over is either nothing (impossible) or a kind of car that can be shown.

What is worked out from answers is followed where all that it is made from is known; where it is
not, it may be anything, so "impossible" is always right and "possible" may once be too generous.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import product
from typing import NamedTuple

from assistant.calculations.interval import Interval
from assistant.calculations.named import CALCULATIONS
from assistant.calculations.registry import NamedCalculation
from assistant.ruleset.condition import (
    And,
    Concluded,
    Condition,
    Fitted,
    Has,
    Known,
    Not,
    Number,
    Or,
    Somewhere,
    Word,
)
from assistant.ruleset.graph import Item
from assistant.ruleset.ruleset import TODAY, Ruleset
from assistant.ruleset.words import date_words, number_words

SAID, UNKNOWN, ABSENT, UNASKED = 1, 2, 4, 8
_FIRST_DAY = float(dt.date(1886, 1, 1).toordinal())
_TODAYS = (float(dt.date(2018, 1, 1).toordinal()), float(dt.date(2060, 1, 1).toordinal()))
_MONTH = 31
_ANY = 1e7  # no question has a range beyond it
Bound = tuple[float, int]
"""A value and which side of it: (2, 0) is 2 itself, (2, 1) just above it, (2, -1) just below."""


class Domain(NamedTuple):
    """What is left open of one reading: its states, its words, its picks, and its two ends."""

    states: int
    words: frozenset[str] = frozenset()
    picked: frozenset[str] = frozenset()
    not_picked: frozenset[str] = frozenset()
    least: Bound = (-math.inf, 0)
    lo_max: Bound = (math.inf, 0)
    hi_min: Bound = (-math.inf, 0)
    most: Bound = (math.inf, 0)
    exact: bool = False
    word: bool = False

    def narrowed(self) -> Domain | None:
        """The same with what cannot be taken away, or None where nothing is left."""
        states = self.states
        least = max(self.least, self.hi_min) if self.exact else self.least
        most = min(self.most, self.lo_max) if self.exact else self.most
        lo_max, hi_min = min(self.lo_max, most), max(self.hi_min, least)
        if least > lo_max or hi_min > most or self.picked & self.not_picked:
            states &= ~SAID
        if self.word and not self.words:
            states &= ~SAID
        if not states:
            return None
        return self._replace(states=states, least=least, lo_max=lo_max, hi_min=hi_min, most=most)


World = dict[Item, Domain]


class Ends(NamedTuple):
    """Between what the lower end of a range lies, and between what its higher end lies."""

    low: Interval
    high: Interval

    @property
    def whole(self) -> Interval:
        """Between what the range itself lies."""
        return Interval(self.low.lo, self.high.hi)


class Goal(NamedTuple):
    """A condition at one part that must be certainly `want`, or (sure: False) must not be."""

    node: Condition
    at: str
    want: bool = True
    sure: bool = True


class Regions:
    """The regions of a ruleset; `possible` asks whether goals can be met by one car."""

    def __init__(self, ruleset: Ruleset) -> None:
        self.ruleset = ruleset
        self._whole: dict[Item, Domain] = {}
        self._needs: dict[str, tuple[str, ...]] = {}
        self.unreachable: frozenset[str] = frozenset()
        """Questions that are taken as never asked."""

    def possible(
        self, goals: Iterable[Goal], given: World | None = None, one_value: bool = False
    ) -> World | None:
        """A kind of car that meets all goals, or None. one_value: every number is read exactly."""
        search = _Solver(self, one_value)
        return search.find(dict(given or {}), list(goals), [])

    def part(self, axis: str | None) -> str:
        """The part that stands for all parts of an axis: the first."""
        return self.ruleset.members(axis)[0]

    def key(self, name: str, at: str) -> Item:
        return name, at if self.ruleset.names[name].axis else ""

    def whole(self, key: Item) -> Domain:
        """All that a reading can be."""
        if key not in self._whole:
            self._whole[key] = self._all(key[0])
        return self._whole[key]

    def _all(self, name: str) -> Domain:
        kind = self.ruleset.names[name]
        question = self.ruleset.questions.get(name)
        words, word = frozenset(kind.words), kind.kind == "word"
        if name == TODAY:
            low, high = (_TODAYS[0], 0), (_TODAYS[1], 0)
            return Domain(SAID, least=low, lo_max=high, hi_min=low, most=high, exact=True)
        if question is None:
            return Domain(SAID | UNASKED, words, word=word)
        states = SAID | UNKNOWN | UNASKED | (ABSENT if question.not_fitted else 0)
        if question.kind == "date":
            low, high = (_FIRST_DAY, 0), (_TODAYS[1] + _MONTH * question.ahead, 0)
        elif question.range is not None:
            low, high = (question.range[0], 0), (question.range[1], 0)
        else:
            return Domain(states, words, word=word)
        return Domain(states, least=low, lo_max=high, hi_min=low, most=high)

    def needs(self, name: str) -> tuple[str, ...]:
        """What must be known for something to be worked out: each term of a sum, and each answer
        without which a calculation gives nothing."""
        if name in self.ruleset.sums:
            return tuple(term for _, term in self.ruleset.sums[name].terms)
        if name not in self._needs:
            self._needs[name] = self._needed_sources(name) if name in self.ruleset.derived else ()
        return self._needs[name]

    def _needed_sources(self, name: str) -> tuple[str, ...]:
        derived = self.ruleset.derived[name]
        calculation = CALCULATIONS[derived.compute]
        given: dict[str, object] = {}
        open_ones: dict[str, str] = {}
        for parameter, origin in derived.origins.items():
            if isinstance(origin, float):
                given[parameter] = Interval(origin, origin)
            elif origin.when == "word":
                given[parameter] = origin.name
            elif (kind := self.ruleset.names[origin.name]).kind == "limit":
                given[parameter] = Interval(kind.value, kind.value)
            else:
                given[parameter] = None
                open_ones[parameter] = origin.name
        plain = set(calculation.parameters.values()) == {"one"}
        if not plain or any(origin.when != "now" for origin in derived.reads):
            return ()
        return tuple(
            source for p, source in open_ones.items() if _idle_without(calculation, given, p)
        )

    def counted(self, name: str) -> bool:
        """Whether a number goes in whole steps: a count or a day."""
        question = self.ruleset.questions.get(name)
        return name == TODAY or (question is not None and question.kind in ("count", "date"))

    def below(self, name: str, value: float, equal: bool) -> Bound:
        """The highest that is below a value, or equal to it."""
        if not self.counted(name):
            return (value, 0 if equal else -1)
        return (math.floor(value) if equal else math.ceil(value) - 1, 0)

    def above(self, name: str, value: float, equal: bool) -> Bound:
        """The lowest that is above a value, or equal to it."""
        if not self.counted(name):
            return (value, 0 if equal else 1)
        return (math.ceil(value) if equal else math.floor(value) + 1, 0)

    def in_words(self, world: World) -> str:
        """A kind of car, as "level is low, depth is 1.5": what it takes for the goals."""
        said = [
            f"{name}{f' at {at}' if at else ''} {text}"
            for (name, at), kind in sorted(world.items())
            if (text := self._kind_words(name, kind))
        ]
        return ", ".join(said)

    def _kind_words(self, name: str, kind: Domain) -> str:
        if kind.states & UNASKED:
            return ""
        if not kind.states & SAID:
            return "is not known" if kind.states & UNKNOWN else "is not fitted"
        if kind.word:
            return f"is {' or '.join(w for w in self.ruleset.names[name].words if w in kind.words)}"
        if kind.picked or kind.not_picked:
            parts = [f"has {pick}" for pick in sorted(kind.picked)]
            return " and ".join(parts + [f"has no {pick}" for pick in sorted(kind.not_picked)])
        if name == TODAY or (math.isinf(kind.least[0]) and math.isinf(kind.most[0])):
            return ""
        unit = self.ruleset.names[name].unit
        return f"is {_ends_words(kind.least, kind.most, unit)}"


def _idle_without(calculation: NamedCalculation, given: Mapping[str, object], needed: str) -> bool:
    """Whether a calculation gives nothing without one answer, whatever the other open ones are.

    Each other is left out or is a thing that can only be asked whether it is there. A calculation
    that asks it for more breaks off, and nothing is said of it.
    """
    others = [p for p, value in given.items() if value is None and p != needed]
    for there in product((None, object()), repeat=len(others)):
        try:
            value = calculation.function(**{**given, **dict(zip(others, there, strict=True))})
        except (AttributeError, TypeError):
            return False
        if value is not None:
            return False
    return True


def _ends_words(least: Bound, most: Bound, unit: str) -> str:
    def figure(value: float) -> str:
        if unit == "date" and 1 <= value <= 3_000_000:
            return date_words(dt.date.fromordinal(int(value)))
        return number_words(value)

    if least == most:
        return figure(least[0])
    low = f"{'above' if least[1] else 'at least'} {figure(least[0])}"
    high = f"{'below' if most[1] else 'at most'} {figure(most[0])}"
    if math.isinf(least[0]):
        return high
    return low if math.isinf(most[0]) else f"{low} and {high}"


@dataclass(frozen=True)
class Demand:
    """A reading, and what is asked of it."""

    key: Item
    kind: Domain


Branch = list[Goal | Demand]
"""What has to be met together."""


class _Solver:
    """Meets goals one after the other; what branches is left to the last."""

    def __init__(self, regions: Regions, one_value: bool) -> None:
        self.regions = regions
        self.ruleset = regions.ruleset
        self.one_value = one_value

    def find(self, world: World, goals: list[Goal], later: list[list[Branch]]) -> World | None:
        """A world that meets the goals and one part of each in `later`."""
        while goals:
            goal = goals.pop()
            branches = self.branches(goal)
            if len(branches) == 1:
                if not self.take(world, branches[0], goals):
                    return None
            elif not branches:
                return None
            else:
                later.append(branches)
        if not later:
            return world if self.worked_out(world) else None
        first, rest = later[-1], later[:-1]
        for branch in first:
            trial, more = dict(world), list[Goal]()
            if self.take(trial, branch, more):
                found = self.find(trial, more, list(rest))
                if found is not None:
                    return found
        return None

    def take(self, world: World, branch: Branch, goals: list[Goal]) -> bool:
        """Adds what one branch asks for. False where it cannot be met."""
        for item in branch:
            if isinstance(item, Goal):
                goals.append(item)
            elif not self.change(world, item.key, item.kind, goals):
                return False
        return True

    def change(self, world: World, key: Item, wanted: Domain, goals: list[Goal]) -> bool:
        name = key[0]
        before = world.get(key)
        old = before or self.regions.whole(key)
        merged = Domain(
            old.states & wanted.states & (UNASKED if name in self.regions.unreachable else ~0),
            old.words & wanted.words if wanted.word else old.words,
            old.picked | wanted.picked,
            old.not_picked | wanted.not_picked,
            max(old.least, wanted.least),
            min(old.lo_max, wanted.lo_max),
            max(old.hi_min, wanted.hi_min),
            min(old.most, wanted.most),
            old.exact or (self.one_value and name in self.ruleset.questions),
            old.word,
        ).narrowed()
        if merged is None:
            return False
        world[key] = merged
        if merged.states & UNASKED or (before is not None and not before.states & UNASKED):
            return True
        whom = self.ruleset.whom.get(name)
        if whom is not None:
            goals.append(Goal(whom.condition, "", want=False, sure=False))
        if not merged.states & SAID:
            return True
        needed = [self.regions.key(source, key[1]) for source in self.regions.needs(name)]
        return all(self.change(world, source, Domain(SAID), goals) for source in needed)

    def worked_out(self, world: World) -> bool:
        """Whether the numbers that are worked out can be what they must be, from their sources."""
        for key in list(world):
            kind = world[key]
            if key[0] in self.ruleset.questions or not kind.states & SAID:
                continue
            value = self.value_of(world, key)
            if isinstance(value, str) and kind.word:
                kind = kind._replace(words=kind.words & {value})
            elif isinstance(value, Ends):
                kind = kind._replace(
                    least=max(kind.least, (value.low.lo, 0)),
                    lo_max=min(kind.lo_max, (value.low.hi, 0)),
                    hi_min=max(kind.hi_min, (value.high.lo, 0)),
                    most=min(kind.most, (value.high.hi, 0)),
                )
            narrowed = kind.narrowed()
            if narrowed is None:
                return False
            world[key] = narrowed
        return True

    def value_of(self, world: World, key: Item) -> Ends | str | frozenset[str] | None:
        """What a worked-out reading is at most spread over, or None where that is not known."""
        name, at = key
        if name in self.ruleset.sums:
            low = high = Interval(0.0, 0.0)
            for sign, term in self.ruleset.sums[name].terms:
                ends = self.spread(world, self.regions.key(term, at))
                if ends is None:
                    return None
                low = low + ends.low if sign > 0 else low - ends.high
                high = high + ends.high if sign > 0 else high - ends.low
            return Ends(low, high)
        derived = self.ruleset.derived.get(name)
        if derived is None:
            return None
        calculation = CALCULATIONS[derived.compute]
        if calculation.words or set(calculation.parameters.values()) != {"one"}:
            return None
        given: dict[str, Interval] = {}
        for parameter in calculation.parameters:
            origin = derived.origins[parameter]
            if isinstance(origin, float):
                given[parameter] = Interval(origin, origin)
                continue
            if origin.when != "now":
                return None
            key = self.regions.key(origin.name, at)
            ends = self.spread(world, key)
            if ends is None and self.kind(world, key).states != SAID:
                return None
            given[parameter] = ends.whole if ends else Interval(-_ANY, _ANY)
        try:
            value = calculation.function(**given)
        except ValueError:
            return None
        return Ends(value, value) if isinstance(value, Interval) else value

    def kind(self, world: World, key: Item) -> Domain:
        return world.get(key) or self.regions.whole(key)

    def spread(self, world: World, key: Item) -> Ends | None:
        """Where the two ends of a number may be, where it is certainly known."""
        named = self.ruleset.names[key[0]]
        if named.kind == "limit":
            exact = Interval(named.value, named.value)
            return Ends(exact, exact)
        kind = self.kind(world, key)
        if kind.states != SAID or named.kind != "number":
            return None
        if math.isinf(kind.least[0]) or math.isinf(kind.most[0]):
            inner = self.value_of(world, key)
            return inner if isinstance(inner, Ends) else None
        return Ends(Interval(kind.least[0], kind.lo_max[0]), Interval(kind.hi_min[0], kind.most[0]))

    # what a goal asks for -------------------------------------------------------------------

    def branches(self, goal: Goal) -> list[Branch]:
        """The ways to meet a goal."""
        node, at, want, sure = goal.node, goal.at, goal.want, goal.sure
        if isinstance(node, Not):
            return [[Goal(node.part, at, not want, sure)]]
        if isinstance(node, And | Or):
            return self.several([Goal(p, at, want, sure) for p in node.parts], node, want, sure)
        if isinstance(node, Somewhere):
            members = self.ruleset.members(node.axis)
            parts = [Goal(node.part, member, want, sure) for member in members]
            return self.several(parts, Or(()), want, sure)
        if isinstance(node, Concluded):
            inner = self.ruleset.inferences[node.name]
            return [[Goal(inner.condition, at if inner.axis else "", want, sure)]]
        key = self.regions.key(node.name, at)
        return list(self.certain(node, key, want) if sure else self.uncertain(node, key, want))

    def several(self, parts: list[Goal], node: And | Or, want: bool, sure: bool) -> list[Branch]:
        """All parts at once, or one of them."""
        if (isinstance(node, And) == want) == sure:
            return [[*parts]]
        return [[part] for part in parts]

    def certain(self, node: Condition, key: Item, want: bool) -> Iterator[Branch]:
        name = key[0]
        if isinstance(node, Fitted):
            yield [Demand(key, Domain(SAID if want else ABSENT))]
        elif isinstance(node, Known):
            yield [Demand(key, Domain(SAID if want else UNKNOWN))]
        elif isinstance(node, Word):
            words = set(node.words) if want else set(node.all_words) - set(node.words)
            yield [Demand(key, Domain(SAID, frozenset(words), word=True))]
        elif isinstance(node, Has):
            pick = frozenset([node.pick])
            yield [
                Demand(key, Domain(SAID, picked=pick) if want else Domain(SAID, not_picked=pick))
            ]
        elif isinstance(node, Number):
            for change in self.compared(name, node, want):
                yield [Demand(key, change)]

    def compared(self, name: str, node: Number, want: bool) -> Iterator[Domain]:
        """What makes a comparison certainly true, or certainly false."""
        rs, value, op = self.regions, node.value, node.op
        if op == "==":
            if want:
                yield Domain(
                    SAID, least=rs.above(name, value, True), most=rs.below(name, value, True)
                )
            else:
                yield Domain(SAID, most=rs.below(name, value, False))
                yield Domain(SAID, least=rs.above(name, value, False))
            return
        low = (op in ("<", "<=")) == want
        equal = ("=" in op) == want
        if low:
            yield Domain(SAID, most=rs.below(name, value, equal))
        else:
            yield Domain(SAID, least=rs.above(name, value, equal))

    def uncertain(self, node: Condition, key: Item, want: bool) -> Iterator[Branch]:
        """Everything but what makes a comparison certainly `want`."""
        name, others = key[0], UNKNOWN | ABSENT | UNASKED
        if isinstance(node, Fitted):
            yield [Demand(key, Domain(others if want else SAID | UNKNOWN | UNASKED))]
            return
        if isinstance(node, Known):
            yield [Demand(key, Domain(others if want else SAID | ABSENT | UNASKED))]
            return
        yield [Demand(key, Domain(others))]
        if isinstance(node, Word | Has):
            yield from self.certain(node, key, not want)
            return
        assert isinstance(node, Number)
        rs, value, op = self.regions, node.value, node.op
        if op == "==":
            if want:
                yield [Demand(key, Domain(SAID, hi_min=rs.above(name, value, False)))]
                yield [Demand(key, Domain(SAID, lo_max=rs.below(name, value, False)))]
            else:
                reach = Domain(
                    SAID, lo_max=rs.below(name, value, True), hi_min=rs.above(name, value, True)
                )
                yield [Demand(key, reach)]
            return
        low = (op in ("<", "<=")) == want
        equal = ("=" in op) == want
        if low:
            yield [Demand(key, Domain(SAID, hi_min=rs.above(name, value, not equal)))]
        else:
            yield [Demand(key, Domain(SAID, lo_max=rs.below(name, value, not equal)))]
