"""The writing on a tyre wall: size, age code; and pressure against temperature."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, timedelta

from assistant.calculations.interval import Interval, Number, as_interval
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
