"""Tread across the width of a tyre, cuts, and when the tread will reach its limit."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from assistant.calculations.interval import Interval, Number, as_interval

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
