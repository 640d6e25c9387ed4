"""Flash rate by counting, and headlamp dip measured on a wall."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from assistant.calculations.interval import Interval, Number, as_interval

Band = Literal["inside", "outside", "near"]
FlashWord = Literal["inside", "outside", "count longer"]

# Start and stop of a hand-held timer together, in seconds. Basis: assumed.
_REACTION_SECONDS = 0.3
# How long to count next, in seconds. Basis: assumed, what a person will put up with.
_COUNTING_TIMES = (10, 30, 60, 120)
# A dipped beam for driving on one side rises towards that side at this angle to the level part.
# Source: the international regulation on asymmetric headlamps. Basis: from memory.
KICK_UP_DEGREES = 15.0


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


def rate_from_intervals(
    intervals: int, seconds: float, reaction_seconds: float = _REACTION_SECONDS
) -> Interval:
    """Flashes a minute from timing whole intervals, from one flash to the same point of another.

    ValueError when the time is no longer than the reaction time.
    """
    if intervals < 1 or reaction_seconds < 0 or seconds <= reaction_seconds:
        raise ValueError("time at least one interval, for longer than the reaction time")
    slowest = 60 * intervals / (seconds + reaction_seconds)
    return Interval(slowest, 60 * intervals / (seconds - reaction_seconds))


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


def drop_for_dip(percent: Number, distance: Number) -> Interval:
    """Drop below lamp height to mark on the wall, in the unit of the distance."""
    return as_interval(percent) * as_interval(distance) / 100


def judge_dip(percent: Interval, lowest: float, highest: float) -> Band:
    """Inside or outside a band with its edges, or near when the tape error decides."""
    inside = percent.within(lowest, highest)
    if inside is None:
        return "near"
    return "inside" if inside else "outside"


def beam_meets_road(lamp_height: float, percent: Number) -> Interval:
    """How far ahead the cut-off reaches a level road, in the unit of the height.

    ValueError when the beam may be level or rising.
    """
    dip = as_interval(percent)
    if lamp_height <= 0 or dip.lo <= 0:
        raise ValueError("only a lamp above the road with a falling beam meets the road")
    return lamp_height * 100 / dip


def kick_up_height(sideways: float, degrees: float = KICK_UP_DEGREES) -> float:
    """How far the cut-off stands above its level part, `sideways` past the bend, on the wall.

    Same unit out as in; no rise on the level side of the bend (sideways below zero).
    """
    return max(0.0, sideways) * math.tan(math.radians(degrees))
