"""What one sees by: flash rate by counting, headlamp dip on a wall, a chip in the windscreen."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from assistant.calculations.interval import Interval, Number, as_interval

FlashWord = Literal["inside", "outside", "count longer"]

# How long to count next, in seconds. Basis: assumed, what a person will put up with.
_COUNTING_TIMES = (10, 30, 60, 120)


@dataclass(frozen=True, slots=True)
class FlashVerdict:
    """The word, and for "count longer" the seconds to count next (None: counting won't tell)."""

    word: FlashWord
    seconds: int | None


def rate_from_count(flashes: int, seconds: float) -> Interval:
    """Flashes a minute from a count: one flash either way may be missed. ValueError if none."""
    if flashes < 1 or seconds <= 0:
        raise ValueError("a flash rate needs at least one flash and a time above zero")
    return Interval(60 * (flashes - 1) / seconds, 60 * (flashes + 1) / seconds)


def judge_rate(rate: Interval, seconds: float, lowest: float, highest: float) -> FlashVerdict:
    """Judge a rate measured over `seconds` against a band in flashes a minute, edges included.

    The spread of a count shrinks as the time grows. The seconds given are the first usual
    counting time, longer than this one, after which the same rate would be clear of the edge;
    when the middle of the rate is on the edge, or too near, they are the next longer time.
    """
    inside = rate.within(lowest, highest)
    if inside is not None:
        return FlashVerdict("inside" if inside else "outside", None)
    gap = min(abs(rate.middle - lowest), abs(rate.middle - highest))
    longer = [time for time in _COUNTING_TIMES if time > seconds]
    settling = [time for time in longer if rate.half_width * seconds / time < gap]
    return FlashVerdict("count longer", next(iter(settling or longer), None))


def dip_percent(drop: Number, distance: Number) -> Interval:
    """Fall of the beam in percent, from the drop and the wall distance in one unit.

    One percent is one centimetre a metre. ValueError when the distance may be zero or less.
    """
    away = as_interval(distance)
    if away.lo <= 0:
        raise ValueError(f"the wall must be some way off, not {away.lo}")
    return as_interval(drop) * 100 / away


Zone = Literal["driver", "elsewhere", "cannot tell"]


def damage_zone(offset_mm: Number, size_mm: Number, zone_half_width_mm: float) -> Zone:
    """Zone of damage whose middle lies `offset_mm` sideways from the wheel centre.

    Either sign of the offset will do. The damage counts as in the driver's zone as soon as it
    touches the edge. Whether the wipers sweep the place is for the caller to ask.
    Source: geometry. ValueError for a size below zero or a zone without width.
    """
    size = as_interval(size_mm)
    if size.lo < 0 or zone_half_width_mm <= 0:
        raise ValueError("damage has a size not below zero, and a zone some width")
    nearest = abs(as_interval(offset_mm)) - size / 2
    touches = nearest.at_most(zone_half_width_mm)
    if touches is None:
        return "cannot tell"
    return "driver" if touches else "elsewhere"
