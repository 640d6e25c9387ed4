"""Checks of rules against one another, over all cars at once: see regions.py for how."""

from __future__ import annotations

import datetime as dt
import re
from collections import defaultdict
from collections.abc import Iterator
from itertools import combinations, pairwise, product

from assistant.authoring.check.regions import Goal, Regions
from assistant.errors import Problem
from assistant.ruleset.condition import (
    And,
    Condition,
    Fitted,
    Known,
    Not,
    Number,
    Or,
    leaves,
)
from assistant.ruleset.models import Rule
from assistant.ruleset.ruleset import Inference, Ruleset
from assistant.ruleset.truth import compare
from assistant.ruleset.words import date_words, number_words

_FAMILY = re.compile(r"[^(]*(\([^)]*\))?")


def item_family(item: str) -> str:
    """An item without its degree: its number and what stands in the first brackets."""
    found = _FAMILY.match(item)
    return found.group() if found else item


def found_by_family(ruleset: Ruleset) -> dict[str, list[tuple[Inference, Rule]]]:
    """The rules that find something, by family of items."""
    found: dict[str, list[tuple[Inference, Rule]]] = defaultdict(list)
    for inference in ruleset.rules:
        if inference.rule is not None and inference.rule.finds:
            found[item_family(inference.rule.finds.item)].append((inference, inference.rule))
    return found


def _goal(regions: Regions, inference: Inference, want: bool = True, sure: bool = True) -> Goal:
    return Goal(inference.condition, regions.part(inference.axis), want, sure)


# conditions that can never be, or always are ----------------------------------------------


def impossible_conditions(ruleset: Ruleset) -> Iterator[Problem]:
    """Every condition can be true of some car, and can be false of another."""
    regions = Regions(ruleset)
    for inference in ruleset.inferences.values():
        for want, text in ((True, "can never hold"), (False, "always holds")):
            if inference.role in ("evidence", "somewhere") and not want:
                continue
            if regions.possible([_goal(regions, inference, want)]) is None:
                place, name = ruleset.where(inference), inference.name
                yield place, f"{name}: this condition {text}, whatever is answered."


# two categories for one item --------------------------------------------------------------


def contradictions(ruleset: Ruleset) -> Iterator[Problem]:
    """Two rules that give one item two categories for one car, and neither gives way."""
    regions = Regions(ruleset)
    listed = dict(_listed_pairs(ruleset))
    together: set[frozenset[str]] = set()
    for family, rules in found_by_family(ruleset).items():
        for (one, first), (two, second) in combinations(rules, 2):
            assert first.finds and second.finds
            gives_way = two.name in first.gives_way_to or one.name in second.gives_way_to
            if first.finds.category == second.finds.category or gives_way:
                continue
            car = regions.possible([_goal(regions, one), _goal(regions, two)])
            pair = frozenset((one.name, two.name))
            if car is None:
                continue
            together.add(pair)
            if pair not in listed:
                yield (
                    ruleset.where(two),
                    f"{two.name} says {second.finds.category} and {one.name} says "
                    f"{first.finds.category} of {family} for one car, and neither gives way: "
                    f"{regions.in_words(car)}. Write gives_way_to, or say under both_may_stand why "
                    "both are right.",
                )
    for pair, (system, index) in listed.items():
        if pair not in together:
            place = ruleset.place(system, "both_may_stand", index)
            text = f"{' and '.join(sorted(pair))} can never contradict one another; take them out."
            yield place, text


def _listed_pairs(ruleset: Ruleset) -> Iterator[tuple[frozenset[str], tuple[str, int]]]:
    """Each pair that both_may_stand names, with its system and its number there."""
    for system, file in ruleset.systems.items():
        for index, both in enumerate(file.both_may_stand):
            for one, two in product(both.rules, both.beside):
                yield frozenset((one, two)), (system, index)


# rules that say nothing new ---------------------------------------------------------------


def subsumed_rules(ruleset: Ruleset) -> Iterator[Problem]:
    """A rule that holds only where another does that says the same, or that it gives way to."""
    regions = Regions(ruleset)
    for rules in found_by_family(ruleset).values():
        for one, first in rules:
            for two, second in rules:
                if one is two or one.axis != two.axis:
                    continue
                same = _says_the_same(first, second) and one.name not in second.gives_way_to
                hidden = two.name in first.gives_way_to
                if not (same or hidden):
                    continue
                apart = [_goal(regions, one), _goal(regions, two, sure=False)]
                if regions.possible(apart) is not None:
                    continue
                place = ruleset.where(one)
                if hidden:
                    text = "so it gives way to it every time and is never shown."
                elif (
                    two.order > one.order
                    and _says_the_same(second, first)
                    and _same(regions, one, two)
                ):
                    continue  # reported once, at the later of the two
                else:
                    text = "which says the same. One of the two is not needed."
                yield place, f"{one.name} holds only where {two.name} holds too, {text}"


def _same(regions: Regions, one: Inference, two: Inference) -> bool:
    return regions.possible([_goal(regions, two), _goal(regions, one, sure=False)]) is None


def _says_the_same(first: Rule, second: Rule) -> bool:
    """Whether a rule finds nothing that the other does not find, and opens nothing."""
    if first.finds is None or second.finds is None or first.asks is not None:
        return False
    urgent = first.urgency is None or (
        second.urgency is not None and second.urgency.rank <= first.urgency.rank
    )
    return first.finds == second.finds and urgent


# holes in a table of limits ---------------------------------------------------------------


def gaps(ruleset: Ruleset) -> Iterator[Problem]:
    """A stretch of a number that no rule decides, between stretches that rules decide.

    A fine stretch in the middle is no gap, as long as it is the only one: too low, fine, too
    high. It is one where the number is fine at one end already, or where a single value is left.
    """
    regions = Regions(ruleset)
    groups = [[i for i, _ in rules] for rules in found_by_family(ruleset).values()]
    groups += [[i] for i in ruleset.rules if i.rule is not None and not i.rule.finds]
    for rules in groups:
        for number in dict.fromkeys(
            leaf.name for i in rules for leaf in leaves(i.condition) if isinstance(leaf, Number)
        ):
            yield from _Table(regions, rules, number).holes()


class _Table:
    """The rules of one family as a table over one number."""

    def __init__(self, regions: Regions, rules: list[Inference], number: str) -> None:
        self.regions = regions
        self.ruleset = regions.ruleset
        self.number = number
        self.rules = rules
        self.cuts = sorted(
            {
                leaf.value
                for i in rules
                for leaf in leaves(i.condition)
                if isinstance(leaf, Number) and leaf.name == number
            }
        )
        self.values = list(self.region_values())
        self.decided = [
            [Goal(at_value(i.condition, number, v), regions.part(i.axis)) for i in rules]
            for v in self.values
        ]
        self.readers = [
            n for n, i in enumerate(rules) if any(x.name == number for x in leaves(i.condition))
        ]

    def region_values(self) -> Iterator[float]:
        """One value in each region: below the lowest limit, on it, between it and the next ..."""
        question = self.ruleset.questions.get(self.number)
        low, high = question.range if question and question.range else (-1e8, 1e8)
        whole = self.regions.counted(self.number)
        edges = [low, *(c for c in self.cuts if low < c < high), high]
        for before, after in pairwise(edges):
            yield before
            if not whole or after - before > 1:
                yield (before + after) / 2
        yield high

    def holes(self) -> Iterator[Problem]:
        """The first hole of the table, if it has one."""
        if len(self.cuts) < 2 and len(self.readers) < 2:
            return
        last = len(self.values) - 1
        for first in range(1, last):
            for below in self.changed(first):
                start = [*self.nothing(first), self.decided[first - 1][below]]
                for end in range(first, last):
                    if end > first:
                        start += self.nothing(end)
                    if self.regions.possible(start) is None:
                        break
                    for above in self.changed(end + 1):
                        goals = [*start, self.decided[end + 1][above]]
                        if self.is_hole(goals, first, end):
                            yield self.problem(first, end)
                            return

    def changed(self, region: int) -> list[int]:
        """The rules that read this region otherwise than the one before it."""
        before, here = self.decided[region - 1], self.decided[region]
        return [n for n in self.readers if before[n] != here[n]]

    def nothing(self, region: int) -> list[Goal]:
        """That no rule is certain in a region."""
        return [Goal(goal.node, goal.at, sure=False) for goal in self.decided[region]]

    def is_hole(self, goals: list[Goal], first: int, end: int) -> bool:
        """Whether what no rule decides is no fine stretch between too little and too much."""
        last = len(self.values) - 1
        if first == end and self.values[first] in self.cuts:
            return self.regions.possible(goals) is not None
        ends = [side for side in (0, last) if side not in (first - 1, end + 1)]
        return any(
            self.regions.possible([*goals, *self.nothing(side)]) is not None for side in ends
        )

    def problem(self, first: int, end: int) -> Problem:
        unit = self.ruleset.names[self.number].unit
        if first == end and self.values[first] in self.cuts:
            where = f"at exactly {_figure(self.values[first], unit)}"
        else:
            low = max(c for c in self.cuts if c <= self.values[first])
            high = min(c for c in self.cuts if c >= self.values[end])
            where = f"between {_figure(low, unit)} and {_figure(high, unit)}"
        names = ", ".join(self.rules[n].name for n in self.readers)
        place = self.ruleset.where(self.rules[self.readers[-1]])
        return place, f"{self.number} is decided by no rule {where}, but is on both sides: {names}."


def _figure(value: float, unit: str) -> str:
    if unit == "date":
        return date_words(dt.date.fromordinal(int(value)))
    return number_words(value)


def at_value(node: Condition, name: str, value: float) -> Condition:
    """A condition with one number read as one value."""
    if isinstance(node, And):
        return And(tuple(at_value(part, name, value) for part in node.parts))
    if isinstance(node, Or):
        return Or(tuple(at_value(part, name, value) for part in node.parts))
    if isinstance(node, Not):
        return Not(at_value(node.part, name, value))
    if isinstance(node, Number) and node.name == name:
        return And(()) if compare(value, value, node.op, node.value) else Or(())
    if isinstance(node, Known | Fitted) and node.name == name:
        return And(())
    return node
