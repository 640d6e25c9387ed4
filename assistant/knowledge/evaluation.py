"""The plain three-valued reading of a condition: True, False, or None for unknown.

It never decides what a person is told (durable-rules does). It checks each firing, finds
rules that almost fired, and is one of the three that must agree in the tests.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, NamedTuple, Protocol

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


class Reading(NamedTuple):
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
    """Where an evaluation finds its facts; `at` is "" for the car as a whole.

    What is known of the car as a whole holds at each part: reading and concluded say it there too.
    """

    def reading(self, name: str, at: str) -> Reading: ...

    def concluded(self, name: str, at: str) -> bool | None: ...

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
    return _READERS[type(node)](node, view, at)


def _joined(node: And | Or, view: View, at: str) -> bool | None:
    decides = isinstance(node, Or)  # one true part decides an Or, one false part an And
    result: bool | None = not decides
    for part in node.parts:
        value = _READERS[type(part)](part, view, at)
        if value is decides:
            return value
        if value is None:
            result = None
    return result


def _not(node: Not, view: View, at: str) -> bool | None:
    value = evaluate(node.part, view, at)
    return None if value is None else not value


def _somewhere(node: Somewhere, view: View, _: str) -> bool | None:
    values = [evaluate(node.part, view, member) for member in view.members(node.axis)]
    return True if True in values else None if None in values else False


def _concluded(node: Concluded, view: View, at: str) -> bool | None:
    return view.concluded(node.name, at)


def _fitted(node: Fitted, view: View, at: str) -> bool | None:
    return {"value": True, "not_fitted": False}.get(view.reading(node.name, at).state)


def _known(node: Known, view: View, at: str) -> bool | None:
    states = {"value": True, "dont_know": False, "cant_look": False}
    return states.get(view.reading(node.name, at).state)


def _word(node: Word, view: View, at: str) -> bool | None:
    word = view.reading(node.name, at).word
    return None if word is None else word in node.words


def _has(node: Has, view: View, at: str) -> bool | None:
    picks = view.reading(node.name, at).picks
    return None if picks is None else node.pick in picks


def _number(node: Number, view: View, at: str) -> bool | None:
    reading = view.reading(node.name, at)
    if reading.lo is None or reading.hi is None:
        return None
    return compare(reading.lo, reading.hi, node.op, node.value)


_READERS: dict[type, Callable[[Any, View, str], bool | None]] = {
    And: _joined,
    Or: _joined,
    Not: _not,
    Somewhere: _somewhere,
    Concluded: _concluded,
    Fitted: _fitted,
    Known: _known,
    Word: _word,
    Has: _has,
    Number: _number,
}
