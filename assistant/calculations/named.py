"""The calculations that a ruleset may ask for by name.

Each takes readings by parameter name and returns an Interval, a word, or None where it
cannot be worked out. A reading is an Interval, a word (str), a set of picks (frozenset) or
None for not known. A parameter marked "across" gets a dict from part to reading.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from assistant.calculations.glass import damage_zone
from assistant.calculations.interval import Interval
from assistant.calculations.lamps import rate_from_count
from assistant.calculations.tread import cut_limit_mm

__all__ = ["CALCULATIONS", "NamedCalculation", "Value"]

Value = Interval | str | frozenset[str] | None


@dataclass(frozen=True)
class NamedCalculation:
    """A calculation, what it takes ("one" or "across" for each parameter) and gives."""

    name: str
    parameters: Mapping[str, str]
    function: Callable[..., Value]
    words: tuple[str, ...] = ()
    unit: str = ""


CALCULATIONS: dict[str, NamedCalculation] = {}


def named(
    *, words: tuple[str, ...] = (), unit: str = "", across: tuple[str, ...] = ()
) -> Callable[[Callable[..., Value]], Callable[..., Value]]:
    """Makes a function available to rulesets under its own name."""

    def register(function: Callable[..., Value]) -> Callable[..., Value]:
        code: Any = function.__code__
        count = code.co_argcount + code.co_kwonlyargcount
        parameters = {
            name: "across" if name in across else "one" for name in code.co_varnames[:count]
        }
        CALCULATIONS[function.__name__] = NamedCalculation(
            function.__name__, parameters, function, words, unit
        )
        return function

    return register


@named(words=("yes", "no"))
def lower_than_before(*, now: str | None, before: str | None, order: str) -> Value:
    """Whether a level is lower than last time. `order`: the words from high to low."""
    ranks = order.split()
    if now not in ranks or before not in ranks:
        return None
    return "yes" if ranks.index(now) > ranks.index(before) else "no"


@named()
def larger_of_figure_and_share(
    *, figure: Interval, share: Interval, whole: Interval | None
) -> Value:
    """The larger of a fixed figure and a share (in per cent) of a whole, in the whole's unit."""
    if whole is None:
        return None
    return Interval(
        cut_limit_mm(figure.lo, share.lo, whole.lo), cut_limit_mm(figure.hi, share.hi, whole.hi)
    )


@named(across=("values",))
def largest_difference(*, values: dict[str, Interval | None]) -> Value:
    """The largest difference between the parts; None unless all are known."""
    known = [v for v in values.values() if v is not None]
    if len(known) != len(values) or not known:
        return None
    low = max(0.0, max(v.lo for v in known) - min(v.hi for v in known))
    return Interval(low, max(v.hi for v in known) - min(v.lo for v in known))


@named(words=("yes", "no"), across=("words",))
def same_everywhere(*, words: dict[str, str | None]) -> Value:
    """ "yes" if all parts have the same word, "no" if two differ, None if it is open."""
    known = {w for w in words.values() if w is not None}
    if len(known) > 1:
        return "no"
    return "yes" if known and None not in words.values() else None


@named(unit="years")
def age_in_years(*, since: Interval | None, today: Interval | None) -> Value:
    """Years between two dates (day numbers), a year taken as 365.25 days."""
    if since is None or today is None:
        return None
    return Interval((today.lo - since.hi) / 365.25, (today.hi - since.lo) / 365.25)


@named(unit="per minute")
def flash_rate(*, flashes: Interval | None, seconds: Interval | None) -> Value:
    """Flashes a minute from a count over a time, uncertain by one flash either way."""
    if flashes is None or seconds is None or seconds.lo <= 0 or flashes.lo < 1:
        return None
    slowest = rate_from_count(round(flashes.lo), seconds.hi)
    quickest = rate_from_count(round(flashes.hi), seconds.lo)
    return Interval(slowest.lo, quickest.hi)


@named(words=("driver", "elsewhere"))
def screen_zone(*, offset: Interval | None, size: Interval | None, half: Interval) -> Value:
    """Which part of the windscreen damage is in; touching the driver's band counts as in it.

    offset: sideways distance of the damage's middle from the middle of the steering wheel;
    size: across the damage; half: half the width of the band. All in the same unit.
    """
    if offset is None or size is None:
        return None
    zone = damage_zone(offset, size, half.lo)
    return None if zone == "cannot tell" else zone
