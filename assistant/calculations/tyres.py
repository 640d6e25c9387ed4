"""Tyres: the writing on the wall (size, age code, load index, speed symbol), pressure against
temperature, tread across the width, cuts, and when the tread will reach its limit.

What a ruleset may ask for by name stands at the end.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal, TypeVar

from assistant.calculations.interval import Interval, Number, as_interval, exactly
from assistant.calculations.registry import CANNOT_TELL, Value, named
from assistant.calculations.units import convert

# Air pressure at sea level in bar, and 0 C in kelvin. Source: physics, definitions.
_ATMOSPHERE_BAR = 1.01325
_ZERO_C_IN_KELVIN = 273.15
# Four-digit age codes began in 2000, three-digit ones in 1971. Basis: from memory.
_THREE_DIGITS_FROM = date(1971, 1, 1)
_THREE_DIGITS_TO = date(1999, 12, 31)
# Makers do not all count weeks alike; a week either side covers it. Basis: assumed.
_WEEK = timedelta(days=7)

_MARKING = re.compile(
    r"(?:P|LT)? ?(?P<width>\d{3})/(?P<aspect>\d{2,3})"
    r" ?(?P<construction>ZR|R|D|B|-)? ?(?P<rim>\d{2}) ?(?P<commercial>C\b)?"
    r"(?: ?\(?(?P<load>\d{2,3})(?:/(?P<twin>\d{2,3}))? ?(?P<speed>[A-Z])\b\)?)?"
    r"(?P<remarks>(?: (?:[A-Z+]{2,}|\*|3PMSF))*)"
)


@dataclass(frozen=True, slots=True)
class TyreMarking:
    """A size marking, decoded. Load and speed are None when only the size was given."""

    width_mm: int
    aspect_percent: int
    construction: str
    rim_inches: int
    commercial: bool
    load_index: int | None
    load_index_twin: int | None
    speed_symbol: str | None
    remarks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class AgeCode:
    """When a tyre was made: at some time from `earliest` to `latest`.

    `monday` is the Monday the code points to, or None for a three-digit code.
    """

    monday: date | None
    earliest: date
    latest: date


def read_marking(text: str) -> TyreMarking:
    """Decode a marking such as "205/55 R16 91V" or "195/65 R15 C 106/104T", in any case.

    A service description in brackets, such as (94Y), is read as the letter inside: the least it
    can mean. Raises ValueError when the text has another shape or an impossible size.
    Source: car makers' handbooks for the pattern (read); size bounds assumed.
    """
    tidy = re.sub(r"\s*/\s*", "/", " ".join(text.upper().split()))
    match = _MARKING.fullmatch(tidy)
    if not match:
        raise ValueError(f"{text!r} does not read like a tyre marking such as 205/55 R16 91V")
    width, aspect, rim = (int(match[name]) for name in ("width", "aspect", "rim"))
    if not (105 <= width <= 405 and 20 <= aspect <= 100 and 10 <= rim <= 24):
        raise ValueError(f"{text!r} gives a size no car tyre has: {width}/{aspect} on {rim} inches")
    return TyreMarking(
        width_mm=width,
        aspect_percent=aspect,
        construction=match["construction"] or "",
        rim_inches=rim,
        commercial=match["commercial"] is not None,
        load_index=int(match["load"]) if match["load"] else None,
        load_index_twin=int(match["twin"]) if match["twin"] else None,
        speed_symbol=match["speed"],
        remarks=tuple(match["remarks"].split()),
    )


def outside_diameter_mm(tyre: TyreMarking) -> float:
    """Diameter of the free tyre in mm: the rim and two walls. Source: geometry."""
    rim_mm = convert(float(tyre.rim_inches), "inches", "mm")
    return rim_mm + 2 * tyre.width_mm * tyre.aspect_percent / 100


def deviation_percent(original: TyreMarking, replacement: TyreMarking) -> float:
    """How much larger the replacement is, in percent of the original's diameter."""
    return 100 * (outside_diameter_mm(replacement) / outside_diameter_mm(original) - 1)


def read_age_code(text: str) -> AgeCode:
    """Decode the week-and-year digits that end the line of letters after DOT.

    Four digits are week and year since 2000; three digits mean made before 2000 (from memory).
    Raises ValueError when there are no such digits or the week is not 1 to 53.
    """
    match = re.search(r"(?<!\d)(\d{2})(?:[ /.-]?(\d{2})|\d)$", text.strip())
    if not match:
        raise ValueError(f"{text!r} does not end in an age code such as 2319")
    week = int(match[1])
    if not 1 <= week <= 53:
        raise ValueError(f"{text!r} gives week {week}; weeks run from 1 to 53")
    if match[2] is None:
        return AgeCode(None, _THREE_DIGITS_FROM, _THREE_DIGITS_TO)
    monday = date.fromisocalendar(2000 + int(match[2]), 1, 1) + (week - 1) * _WEEK
    return AgeCode(monday, monday - _WEEK, monday + _WEEK)


def pressure_at_temperature(pressure_bar: Number, from_c: Number, to_c: Number) -> Interval:
    """Gauge pressure in bar after the air goes from one temperature to another, in C.

    Source: gas law at constant volume. Raises ValueError at or below absolute zero and for a
    pressure below a vacuum.
    """
    absolute = as_interval(pressure_bar) + _ATMOSPHERE_BAR
    kelvin_from = as_interval(from_c) + _ZERO_C_IN_KELVIN
    kelvin_to = as_interval(to_c) + _ZERO_C_IN_KELVIN
    if absolute.lo < 0:
        raise ValueError(f"no gauge pressure is as low as {absolute.lo - _ATMOSPHERE_BAR} bar")
    if kelvin_from.lo <= 0 or kelvin_to.lo <= 0:
        raise ValueError("a temperature must be above absolute zero")
    return absolute * kelvin_to / kelvin_from - _ATMOSPHERE_BAR


# tyre ratings ------------------------------------------------------------------------------------

# Greatest load of one tyre in kg, from index 60 upwards, ten a row.
# Source: the tyre makers' common table (ETRTO, ISO 4000-1). Basis: from memory; a test compares
# every row with the published growth formula, 45 * 10^(index / 80).
_FIRST_INDEX = 60
_LOADS_KG = (
    *(250, 257, 265, 272, 280, 290, 300, 307, 315, 325),
    *(335, 345, 355, 365, 375, 387, 400, 412, 425, 437),
    *(450, 462, 475, 487, 500, 515, 530, 545, 560, 580),
    *(600, 615, 630, 650, 670, 690, 710, 730, 750, 775),
    *(800, 825, 850, 875, 900, 925, 950, 975, 1000, 1030),
    *(1060, 1090, 1120, 1150, 1180, 1215, 1250, 1285, 1320, 1360),
    *(1400, 1450, 1500, 1550, 1600, 1650, 1700),
)

# Greatest speed in km/h. Source: the tyre makers' common table. Basis: read for Q, S, T, U, H, V,
# W and Y; from memory for the others. H stands out of order by history, between U and V.
_SPEEDS_KMH = {
    "L": 120,
    "M": 130,
    "N": 140,
    "P": 150,
    "Q": 160,
    "R": 170,
    "S": 180,
    "T": 190,
    "U": 200,
    "H": 210,
    "V": 240,
    "W": 270,
    "Y": 300,
}


def load_capacity_kg(load_index: int) -> int:
    """Greatest load of one tyre in kg; ValueError for an index outside the table."""
    place = load_index - _FIRST_INDEX
    if not 0 <= place < len(_LOADS_KG):
        last = _FIRST_INDEX + len(_LOADS_KG) - 1
        raise ValueError(f"load index {load_index} is not between {_FIRST_INDEX} and {last}")
    return _LOADS_KG[place]


def speed_limit_kmh(speed_symbol: str) -> int:
    """Greatest speed in km/h; ValueError for a letter outside the table.

    At the top of their speed V, W and Y carry less than the load index says (read: from 210, 240
    and 270 km/h); no road limit reaches that far, so it is left out here.
    """
    try:
        return _SPEEDS_KMH[speed_symbol.strip().upper()]
    except KeyError:
        known = " ".join(_SPEEDS_KMH)
        raise ValueError(f"{speed_symbol!r} is not a speed symbol; they are {known}") from None


# tread -------------------------------------------------------------------------------------------

Pattern = Literal["even", "edges", "middle", "one edge"]
Edge = Literal["inner", "outer"]
Refusal = Literal["tyres changed", "at the limit already", "too little wear", "too short a run"]

# Two decimals typed by a person can differ by a hair more than they should once they are floats.
_HAIR = 1e-6


@dataclass(frozen=True, slots=True)
class TreadAcross:
    """Lowest depth in mm, the pattern of wear, and which edge when it is one edge."""

    lowest: Interval
    pattern: Pattern
    edge: Edge | None


@dataclass(frozen=True, slots=True)
class WearReading:
    """One tread reading: depth in mm, odometer (any one unit throughout), and its day."""

    depth_mm: Number
    odometer: float
    on: date


@dataclass(frozen=True, slots=True)
class WearProjection:
    """Distances in the odometer's unit. Tell a person the cautious date."""

    wear_per_1000: float
    distance_left: float
    standard_uncertainty: float
    distance_bounds: Interval
    central: date
    cautious: date


@dataclass(frozen=True, slots=True)
class NoProjection:
    """Why two readings allow no projection."""

    reason: Refusal


def tread_across(inner: Number, middle: Number, outer: Number, gauge_error: float) -> TreadAcross:
    """Judge three depths in mm from inner edge to outer edge.

    A difference counts only if the readings prove it to be more than the gauge error. Where one
    tyre shows two patterns the stronger is named; "even" means that none is proved.
    What the patterns mean (pressure, alignment) is trade knowledge and left to the ruleset.
    """
    if gauge_error < 0:
        raise ValueError(f"a gauge error is not below zero: {gauge_error}")
    readings = [as_interval(reading) for reading in (inner, middle, outer)]
    left, centre, right = readings
    to_edges = min(_gap(left, centre), _gap(right, centre))
    to_middle = min(_gap(centre, left), _gap(centre, right))
    across = max(_gap(left, right), _gap(right, left))
    lowest = Interval(min(r.lo for r in readings), min(r.hi for r in readings))

    if max(to_edges, to_middle, across) <= gauge_error + _HAIR:
        return TreadAcross(lowest, "even", None)
    if across > max(to_edges, to_middle) + _HAIR:
        return TreadAcross(lowest, "one edge", "inner" if left.lo < right.lo else "outer")
    return TreadAcross(lowest, "edges" if to_edges > to_middle else "middle", None)


def cut_limit_mm(figure_mm: float, share_percent: float, section_width_mm: float) -> float:
    """The larger of a fixed figure and a share of the section width, in mm."""
    if not 0 <= share_percent <= 100:
        raise ValueError(f"a share lies between 0 and 100 percent, not {share_percent}")
    return max(figure_mm, section_width_mm * share_percent / 100)


def project_wear(
    first: WearReading,
    second: WearReading,
    *,
    limit_mm: float,
    gauge_error_mm: float,
    shortest_run: float,
    tyres_changed: bool,
) -> WearProjection | NoProjection:
    """When the tread reaches the limit if it wears on as it did between two readings.

    Straight-line wear is common practice and does not hold over a whole life. Refused when the
    wear could be gauge error alone. The standard uncertainty treats each error as evenly spread
    (the usual type B rule, from memory); the bounds take both errors at their worst, and the
    cautious date comes from the lower bound. ValueError unless the second reading is later, the
    odometer has not gone back and `shortest_run` is above zero.
    """
    if shortest_run <= 0:
        raise ValueError(f"the shortest run must be above zero, not {shortest_run}")
    days, run = (second.on - first.on).days, second.odometer - first.odometer
    if days <= 0 or run < 0:
        raise ValueError("the second reading must be later, with the odometer not lower")
    before, after = as_interval(first.depth_mm), as_interval(second.depth_mm)
    error_before = before.half_width + gauge_error_mm
    error_after = after.half_width + gauge_error_mm
    worn, spare = before.middle - after.middle, after.middle - limit_mm
    reason = _refusal(tyres_changed, spare, worn - error_before - error_after, run - shortest_run)
    if reason:
        return NoProjection(reason)

    left = spare * run / worn
    worst = max(0.0, spare - error_after) * run / (worn + error_before + error_after)
    best = (spare + error_after) * run / (worn - error_before - error_after)
    from_before = error_before / math.sqrt(3) * left / worn
    from_after = error_after / math.sqrt(3) * (run + left) / worn
    return WearProjection(
        wear_per_1000=1000 * worn / run,
        distance_left=left,
        standard_uncertainty=math.hypot(from_before, from_after),
        distance_bounds=Interval(worst, best),
        central=_days_later(second.on, left * days / run),
        cautious=_days_later(second.on, worst * days / run),
    )


def _refusal(changed: bool, spare: float, proved_wear: float, run_over: float) -> Refusal | None:
    if changed:
        return "tyres changed"
    if spare < 0:
        return "at the limit already"
    if proved_wear <= _HAIR:
        return "too little wear"
    return "too short a run" if run_over < 0 else None


def _gap(low: Interval, high: Interval) -> float:
    """How much lower the first is, at the least."""
    return high.lo - low.hi


def _days_later(day: date, days: float) -> date:
    """The day that many whole days later, or the last day of the calendar."""
    return day + timedelta(days=min(int(days + _HAIR), (date.max - day).days))


# named tyres -------------------------------------------------------------------------------------

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
