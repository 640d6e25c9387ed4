"""What reads what in a ruleset, down to the answers and up from them, and part by part.

A condition reads the names in it, those inside somewhere(...) too, and what is worked out reads
what it is made from. A question and a limit read nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import cache, cached_property
from graphlib import CycleError, TopologicalSorter
from typing import TYPE_CHECKING

from assistant.ruleset.condition import Condition, Somewhere, children, leaves
from assistant.ruleset.models import Origin

if TYPE_CHECKING:
    from assistant.ruleset.ruleset import Inference, Ruleset

Item = tuple[str, str]
"""A name at a part; the part is "" for the car as a whole."""


class Graph:
    """The graph of one ruleset, by name; what is worked out of it is kept."""

    def __init__(self, ruleset: Ruleset) -> None:
        self.ruleset = ruleset
        self.hanging_on = cache(self._hanging_on)
        self.worked_from = cache(self._worked_from)
        self.items_behind = cache(self._items_behind)

    def reads(self, name: str) -> tuple[str, ...]:
        """The names that a name reads itself."""
        if name in self.ruleset.inferences:
            return tuple(leaf.name for leaf in leaves(self.ruleset.inferences[name].condition))
        if name in self.ruleset.sums:
            return tuple(term for _, term in self.ruleset.sums[name].terms)
        if name in self.ruleset.derived:
            return tuple(origin.name for origin in self.ruleset.derived[name].reads)
        return ()

    @cached_property
    def read_by(self) -> dict[str, tuple[str, ...]]:
        """For each name those that read it themselves: inferences, and what is worked out."""
        found: dict[str, dict[str, None]] = {}
        for name in (*self.ruleset.inferences, *self.ruleset.derived, *self.ruleset.sums):
            for source in self.reads(name):
                found.setdefault(source, {})[name] = None
        return {name: tuple(readers) for name, readers in found.items()}

    def behind(self, names: Iterable[str]) -> tuple[str, ...]:
        """These names and all that they hang on, through others too, the nearest first."""
        return reached(names, self.reads)

    def questions_behind(self, condition: Condition) -> tuple[str, ...]:
        """The questions that a condition hangs on, through all that is worked out or concluded."""
        names = self.behind(leaf.name for leaf in leaves(condition))
        return tuple(name for name in names if name in self.ruleset.questions)

    def _above(self, name: str) -> tuple[str, ...]:
        """A name and all that hangs on it, through others too, the nearest first."""
        return reached([name], lambda one: self.read_by.get(one, ()))

    def _hanging_on(self, name: str) -> list[Inference]:
        """The inferences that hang on a name, through others too, in ruleset order."""
        inferences = self.ruleset.inferences
        found = (inferences[one] for one in self._above(name) if one in inferences)
        return sorted(found, key=lambda inference: inference.order)

    def _worked_from(self, name: str) -> frozenset[str]:
        """Everything that is worked out from a name, directly or by what is worked out."""
        return self._worked(self._above(name)) - {name}

    def worked_behind(self, inferences: Iterable[str]) -> frozenset[str]:
        """What is worked out to know whether inferences hold."""
        return self._worked(self.behind(inferences))

    def _worked(self, names: Iterable[str]) -> frozenset[str]:
        return frozenset(n for n in names if n in self.ruleset.derived or n in self.ruleset.sums)

    @cached_property
    def made_from(self) -> dict[str, tuple[Origin, ...]]:
        """For each worked-out fact, in ruleset order: the answers, or other such facts, it is made
        from."""
        said = self.ruleset.questions.keys() | self.ruleset.derived.keys()
        return {
            name: tuple(origin for origin in derived.reads if origin.name in said)
            for name, derived in self.ruleset.derived.items()
        }

    def made_from_at(self, name: str, at: str) -> Iterator[Item]:
        """What something worked out at a part is made from, at the parts that it is taken from."""
        names = self.ruleset.names
        for source in self.reads(name) if name not in self.ruleset.inferences else ():
            if names[source].kind != "limit":
                for part in self.ruleset.related(names[name].axis, at, names[source].axis):
                    yield source, part

    def _items_behind(self, name: str, at: str) -> tuple[Item, ...]:
        """Every (question, part) that a conclusion or a worked-out fact hangs on, in order."""
        seen: dict[Item, None] = {}

        def follow(one: str, part: str) -> None:
            kind = self.ruleset.names.get(one)
            item = (one, part if kind is None or kind.axis else "")
            if item not in seen:
                seen[item] = None
                if one in self.ruleset.inferences:
                    condition = self.ruleset.inferences[one].condition
                    behind = self._tested_at(condition, item[1])
                else:
                    behind = self.made_from_at(*item)
                for source in behind:
                    follow(*source)

        follow(name, at)
        return tuple(item for item in seen if item[0] in self.ruleset.questions)

    def _tested_at(self, node: Condition, at: str) -> Iterator[Item]:
        """The names that a condition tests at a part, and the parts that it tests them at."""
        if isinstance(node, Somewhere):
            for member in self.ruleset.members(node.axis):
                yield from self._tested_at(node.part, member)
        elif inner := children(node):
            for child in inner:
                yield from self._tested_at(child, at)
        else:
            yield node.name, at  # type: ignore[union-attr]


def reached(names: Iterable[str], step: Callable[[str], Iterable[str]]) -> tuple[str, ...]:
    """The names and all that is reached from them step by step, once each, the nearest first."""
    found = dict.fromkeys(names)
    todo = list(found)
    for name in todo:
        new = dict.fromkeys(one for one in step(name) if one not in found)
        found |= new
        todo += new
    return tuple(found)


def circles_in(graph: Mapping[str, Iterable[str]]) -> Iterator[list[str]]:
    """Circles of names that lead to themselves, each from the name in it that stands first."""
    left = {name: list(dict.fromkeys(others)) for name, others in graph.items()}
    order = list(graph)
    while True:
        try:
            TopologicalSorter(left).prepare()
        except CycleError as error:
            circle = error.args[1][:0:-1]  # against the arrows, its first name again at the end
            first = circle.index(min(circle, key=order.index))
            circle = circle[first:] + circle[:first]
            yield circle
            left[circle[-1]].remove(circle[0])
        else:
            return
