"""The plain three-valued reading of a condition: True, False, or None for unknown.

It never decides what a person is told (durable-rules does). It checks each firing, finds
rules that almost fired, and is one of the three that must agree in the tests.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, NamedTuple, Protocol

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

    A whole-car fact is visible at every part, in reading and in concluded.
    """

    def reading(self, name: str, at: str) -> Reading: ...

    def concluded(self, name: str, at: str) -> bool | None: ...

    def members(self, axis: str) -> tuple[str, ...]: ...


Reader = Callable[[View, str], bool | None]
"""Says for a view, and a part, whether a condition is true there."""


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
    return reader_of(node)(view, at)


def reader_of(node: Condition) -> Reader:
    """The plain reading of a condition, ready to be asked for one view and part after the other.

    Going through the tree anew each time took half as long again.
    """
    return _READERS[type(node)](node)


def _joined(node: And | Or) -> Reader:
    parts = [reader_of(part) for part in node.parts]
    decides = isinstance(node, Or)  # one true part decides an Or, one false part an And

    def read(view: View, at: str) -> bool | None:
        result: bool | None = not decides
        for part in parts:
            value = part(view, at)
            if value is decides:
                return value
            if value is None:
                result = None
        return result

    return read


def _not(node: Not) -> Reader:
    part = reader_of(node.part)

    def read(view: View, at: str) -> bool | None:
        value = part(view, at)
        return None if value is None else not value

    return read


def _somewhere(node: Somewhere) -> Reader:
    part, axis = reader_of(node.part), node.axis

    def read(view: View, _: str) -> bool | None:
        values = [part(view, member) for member in view.members(axis)]
        return True if True in values else None if None in values else False

    return read


def _concluded(node: Concluded) -> Reader:
    name = node.name
    return lambda view, at: view.concluded(name, at)


def _fitted(node: Fitted) -> Reader:
    name, truths = node.name, {"value": True, "not_fitted": False}
    return lambda view, at: truths.get(view.reading(name, at).state)


def _known(node: Known) -> Reader:
    name, truths = node.name, {"value": True, "dont_know": False, "cant_look": False}
    return lambda view, at: truths.get(view.reading(name, at).state)


def _word(node: Word) -> Reader:
    name, words = node.name, node.words

    def read(view: View, at: str) -> bool | None:
        word = view.reading(name, at).word
        return None if word is None else word in words

    return read


def _has(node: Has) -> Reader:
    name, pick = node.name, node.pick

    def read(view: View, at: str) -> bool | None:
        picks = view.reading(name, at).picks
        return None if picks is None else pick in picks

    return read


def _number(node: Number) -> Reader:
    name, op, value = node.name, node.op, node.value

    def read(view: View, at: str) -> bool | None:
        reading = view.reading(name, at)
        if reading.lo is None or reading.hi is None:
            return None
        return compare(reading.lo, reading.hi, op, value)

    return read


_READERS: dict[type, Callable[[Any], Reader]] = {
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
