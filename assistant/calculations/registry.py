"""The one list of calculations that a ruleset may ask for by name."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from assistant.calculations.interval import Interval

Value = Interval | str | frozenset[str] | None

CANNOT_TELL = "cannot_tell"
"""The word of a calculation whose readings are too rough to say on which side they lie."""


@dataclass(frozen=True)
class NamedCalculation:
    """A calculation, what it takes and what it gives.

    parameters: "one" for one reading, "across" for a dict from part to reading; "text" and
    "texts" are the same for what was typed to a note, which only a calculation may read.
    """

    name: str
    parameters: Mapping[str, str]
    function: Callable[..., Value]
    words: tuple[str, ...] = ()
    unit: str = ""


REGISTERED: dict[str, NamedCalculation] = {}


def named(
    *,
    words: tuple[str, ...] = (),
    unit: str = "",
    across: tuple[str, ...] = (),
    text: tuple[str, ...] = (),
) -> Callable[[Callable[..., Value]], Callable[..., Value]]:
    """Makes a function available to rulesets under its own name."""

    def kind(name: str) -> str:
        if name in text:
            return "texts" if name in across else "text"
        return "across" if name in across else "one"

    def register(function: Callable[..., Value]) -> Callable[..., Value]:
        code: Any = function.__code__
        count = code.co_argcount + code.co_kwonlyargcount
        parameters = {name: kind(name) for name in code.co_varnames[:count]}
        REGISTERED[function.__name__] = NamedCalculation(
            function.__name__, parameters, function, words, unit
        )
        return function

    return register
