"""Calculations a ruleset may ask for by name: what is typed off a tyre, its tread, its air."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date
from typing import TypeVar

from assistant.calculations.interval import Interval, exactly
from assistant.calculations.registry import CANNOT_TELL, Value, named
from assistant.calculations.tread import (
    NoProjection,
    WearReading,
    project_wear,
    tread_across,
)
from assistant.calculations.tyre_ratings import load_capacity_kg, speed_limit_kmh
from assistant.calculations.tyres import (
    TyreMarking,
    deviation_percent,
    pressure_at_temperature,
    read_age_code,
    read_marking,
)

T = TypeVar("T")


def _marking(text: str | None) -> TyreMarking | None:
    return _read(read_marking, text)


def _read(reader: Callable[[str], T], text: str | None) -> T | None:
    """What a reader makes of a text, or None for no text or one it cannot read."""
    if text is None:
        return None
    try:
        return reader(text)
    except ValueError:
        return None


@named(words=("yes", "no"), text=("marking",))
def tyre_size_reads(*, marking: str | None) -> Value:
    """Whether what was typed reads like the marking of a tyre."""
    return None if marking is None else "yes" if _marking(marking) else "no"


@named(unit="mm", text=("marking",))
def tyre_section_width(*, marking: str | None) -> Value:
    """The width of a tyre in mm, from its marking."""
    tyre = _marking(marking)
    return exactly(float(tyre.width_mm)) if tyre else None


@named(unit="kg", text=("marking",))
def axle_capacity(*, marking: str | None, tyres: Interval) -> Value:
    """What so many tyres of this marking carry together, in kg.

    A marking with two load figures, such as 104/102, gives the second for twin wheels; the first
    counts here.
    """
    tyre = _marking(marking)
    if tyre is None or tyre.load_index is None:
        return None
    kg = _read(lambda index: load_capacity_kg(int(index)), str(tyre.load_index))
    return None if kg is None else tyres * float(kg)


@named(unit="km/h", text=("marking",))
def tyre_speed(*, marking: str | None) -> Value:
    """The greatest speed of a tyre in km/h, from the letter in its marking."""
    tyre = _marking(marking)
    kmh = _read(speed_limit_kmh, tyre.speed_symbol) if tyre else None
    return None if kmh is None else exactly(float(kmh))


@named(words=("same", "size", "kind", "rating"), across=("markings",), text=("markings",))
def markings_compared(*, markings: dict[str, str | None], alike: str) -> Value:
    """What differs between the tyres of an axle, the weightiest first; None unless all read.

    alike: the middle figures that count as one and the same.
    """
    tyres = [tyre for text in markings.values() if (tyre := _marking(text))]
    if len(tyres) != len(markings) or len(tyres) < 2:
        return None

    def differ(*key: object) -> bool:
        return len(set(key)) > 1

    if differ(*(tyre.construction in ("R", "ZR") for tyre in tyres)):
        return "kind"
    one = {int(figure): 0 for figure in alike.split()}
    aspects = [one.get(t.aspect_percent, t.aspect_percent) for t in tyres]
    if differ(*aspects) or differ(*((t.width_mm, t.rim_inches) for t in tyres)):
        return "size"
    ratings = [(t.load_index, t.speed_symbol) for t in tyres if t.load_index is not None]
    return "rating" if len(ratings) == len(tyres) and differ(*ratings) else "same"


@named(unit="per cent", text=("original", "replacement"))
def diameter_change(*, original: str | None, replacement: str | None) -> Value:
    """How much larger a tyre is outside than the one it stands for, in per cent."""
    first, second = _marking(original), _marking(replacement)
    return exactly(deviation_percent(first, second)) if first and second else None


@named(words=("yes", "no"), text=("code",))
def tyre_code_reads(*, code: str | None) -> Value:
    """Whether what was typed ends in the week and the year that a tyre was made in."""
    return None if code is None else "yes" if _read(read_age_code, code) else "no"


@named(unit="date", text=("code",))
def tyre_made_between(*, code: str | None, today: Interval | None) -> Value:
    """When a tyre was made, as day numbers, from the digits after DOT. Never after today.

    A year typed as such, 2019, would read as week 20 of 2019, so week 20 stands for its whole
    year. 1998 would read as week 19 of a year to come, and stands for 1998.
    """
    made = _read(read_age_code, code)
    if made is None or code is None or today is None:
        return None
    first, last = made.earliest, made.latest
    if made.monday and re.search(r"(?<!\d)20\d\d$", code.strip()):
        first, last = date(made.monday.year, 1, 1), date(made.monday.year, 12, 31)
    elif first.toordinal() > today.hi and (year := re.search(r"(?<!\d)(19\d\d)$", code.strip())):
        first, last = date(int(year[1]), 1, 1), date(int(year[1]), 12, 31)
    if first.toordinal() > today.hi:
        return None
    return Interval(float(first.toordinal()), min(float(last.toordinal()), today.hi))


@named(unit="mm")
def lowest_reading(
    *,
    one: Interval | None,
    inner: Interval | None,
    middle: Interval | None,
    outer: Interval | None,
) -> Value:
    """The lowest of those readings of a tread that are known."""
    known = [reading for reading in (one, inner, middle, outer) if reading is not None]
    if not known:
        return None
    return Interval(min(r.lo for r in known), min(r.hi for r in known))


@named(words=("even", "middle", "both_edges", "one_edge"))
def wear_across(
    *,
    inner: Interval | None,
    middle: Interval | None,
    outer: Interval | None,
    gauge_error: Interval,
) -> Value:
    """The pattern of wear that three readings across the width prove."""
    if inner is None or middle is None or outer is None:
        return None
    pattern = tread_across(inner, middle, outer, gauge_error.hi).pattern
    return {"edges": "both_edges", "one edge": "one_edge"}.get(pattern, pattern)


@named(unit="bar")
def pressure_today(
    *, set_to: Interval | None, air: Interval | None, set_coolest: Interval, set_warmest: Interval
) -> Value:
    """What a tyre shows in air of this temperature if it was set on a milder day.

    set_coolest and set_warmest: the air of the day it was set, in C.
    """
    if set_to is None or air is None:
        return None
    return pressure_at_temperature(set_to, Interval(set_coolest.lo, set_warmest.hi), air)


@named(words=("at_plate", "cold_explains", "too_low", "too_high", CANNOT_TELL))
def pressure_verdict(
    *,
    reading: Interval | None,
    plate: Interval | None,
    expected: Interval | None,
    gauge_error: Interval,
) -> Value:
    """A cold pressure beside the plate, and beside what the weather makes of the plate figure.

    expected: what a tyre set to the plate on a milder day shows today. Between that and the
    plate the weather explains the fall. Within the error of the gauge the reading is the plate's.
    """
    if reading is None or plate is None or expected is None:
        return None
    error = gauge_error.hi
    if reading.above(plate.hi + error):
        return "too_high"
    if reading.within(plate.lo - error, plate.hi + error):
        return "at_plate"
    if reading.below(min(plate.lo, expected.lo) - error):
        return "too_low"
    low = reading.below(plate.lo - error)
    return "cold_explains" if low and reading.at_least(expected.lo - error) else CANNOT_TELL


@named(unit="days")
def tread_days_left(
    *,
    now: Interval | None,
    before: Interval | None,
    before_on: Interval | None,
    today: Interval | None,
    limit: Interval,
    gauge_error: Interval,
    fewest_days: Interval,
) -> Value:
    """Days until the tread reaches a limit, on the cautious side, if the car is driven as before.

    now, before, limit, gauge_error: mm. before_on, today: day numbers. The straight line of
    project_wear with days in place of miles. None where the wear could be gauge error alone, the
    days between are fewer than fewest_days, the tread is deeper than before, or over already.
    """
    if now is None or before is None or before_on is None or today is None:
        return None
    first, second = date.fromordinal(int(before_on.lo)), date.fromordinal(int(today.lo))
    days = (second - first).days
    if days <= 0:
        return None
    found = project_wear(
        WearReading(before, 0.0, first),
        WearReading(now, float(days), second),
        limit_mm=limit.hi,
        gauge_error_mm=gauge_error.hi,
        shortest_run=fewest_days.lo,
        tyres_changed=now.lo > before.hi + gauge_error.hi,
    )
    return None if isinstance(found, NoProjection) else exactly(found.distance_bounds.lo)
