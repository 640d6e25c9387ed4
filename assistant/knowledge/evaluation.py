"""The plain three-valued reading of a condition: True, False, or None for unknown.

It never decides what a person is told (durable-rules does). It checks each firing, finds
rules that almost fired, and is one of the three that must agree in the tests.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from assistant.knowledge.conditions import (
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

__all__ = ["NOTHING_SAID", "Reading", "View", "compare", "evaluate"]


@dataclass(frozen=True)
class Reading:
    """What is known of one question at one place.

    state: "value", "dont_know", "cant_look", "not_fitted" or "unasked". A word, picks or the
    pair lo, hi is set only when state is "value". Numbers are in the question's unit, dates
    are day numbers.
    """

    state: str = "unasked"
    word: str | None = None
    picks: frozenset[str] | None = None
    lo: float | None = None
    hi: float | None = None


NOTHING_SAID = Reading()


class View(Protocol):
    """Where an evaluation finds its facts; `at` is "" for the car as a whole."""

    def reading(self, name: str, at: str) -> Reading: ...

    def concluded(self, name: str, at: str) -> bool | None: ...

    def axis_of(self, name: str) -> str | None: ...

    def members(self, axis: str) -> tuple[str, ...]: ...


def compare(lo: float, hi: float, op: str, value: float) -> bool | None:
    """Compares the range lo..hi with a value: True or False only if the whole range agrees."""
    if op == "<":
        return True if hi < value else False if lo >= value else None
    if op == "<=":
        return True if hi <= value else False if lo > value else None
    if op == ">":
        return True if lo > value else False if hi <= value else None
    if op == ">=":
        return True if lo >= value else False if hi < value else None
    if op == "==":
        return True if lo == hi == value else False if hi < value or lo > value else None
    raise ValueError(f"unknown comparison {op!r}")


def evaluate(node: Condition, view: View, at: str = "") -> bool | None:
    """The truth of a condition for the part `at`."""
    if isinstance(node, (And, Or)):
        decides = isinstance(node, Or)  # one true part decides an Or, one false part an And
        result: bool | None = not decides
        for part in node.parts:
            value = evaluate(part, view, at)
            if value is decides:
                return value
            if value is None:
                result = None
        return result
    if isinstance(node, Not):
        value = evaluate(node.part, view, at)
        return None if value is None else not value
    if isinstance(node, Somewhere):
        values = [evaluate(node.part, view, member) for member in view.members(node.axis)]
        return True if True in values else None if None in values else False
    where = at if view.axis_of(node.name) else ""
    if isinstance(node, Concluded):
        return view.concluded(node.name, where)
    reading = view.reading(node.name, where)
    if isinstance(node, Word):
        return None if reading.word is None else reading.word in node.words
    if isinstance(node, Has):
        return None if reading.picks is None else node.pick in reading.picks
    if isinstance(node, Fitted):
        return {"value": True, "not_fitted": False}.get(reading.state)
    if isinstance(node, Known):
        return {"value": True, "dont_know": False, "cant_look": False}.get(reading.state)
    if isinstance(node, Number):
        if reading.lo is None or reading.hi is None:
            return None
        return compare(reading.lo, reading.hi, node.op, node.value)
    raise TypeError(f"not a condition: {node!r}")
