"""Brake fluid that pad wear explains, and what a roller print-out says."""

from __future__ import annotations

import math
from collections.abc import Sequence

from assistant.calculations.interval import Interval, Number, about, as_interval, exactly


def caliper_volume_ml(bore_mm: float, wear_each_pad_mm: Number, pistons: int = 1) -> Interval:
    """Fluid in ml that one caliper takes in as its two pads wear.

    A floating caliper's piston follows the wear of both pads. For opposed pistons count those of
    one side: each then moves by one pad, and both sides together take in the same volume.
    Source: geometry. ValueError for a bore or a wear that is not possible.
    """
    wear = as_interval(wear_each_pad_mm)
    if bore_mm <= 0 or pistons < 1 or wear.lo < 0:
        raise ValueError("a caliper needs a bore above zero, a piston and no negative wear")
    area_mm2 = pistons * math.pi * bore_mm * bore_mm / 4
    return wear * (2 * area_mm2 / 1000)


def level_drop_mm(volume_ml: Number, reservoir_area_cm2: Number) -> Interval:
    """How far the level falls in a reservoir of that plan area. Source: geometry.

    ValueError when the area may be zero or less.
    """
    area = as_interval(reservoir_area_cm2)
    if area.lo <= 0:
        raise ValueError(f"a reservoir area is above zero, not {area.lo} cm2")
    return as_interval(volume_ml) / area * 10


def drop_ratio(observed_mm: Number, expected_mm: Number) -> Interval:
    """Observed fall of the level over the fall that wear explains.

    What ratio is too much belongs to the ruleset, and no ratio overrules a wet wheel or a
    sinking pedal. ValueError when the expected fall may be zero: wear then explains nothing.
    """
    expected = as_interval(expected_mm)
    if expected.lo <= 0:
        raise ValueError("no fall is expected, so there is nothing to compare with")
    return as_interval(observed_mm) / expected


def efficiency_percent(
    forces: Sequence[float], weight: float, reading_error: float = 0.0
) -> Interval:
    """Sum of the brake forces as a percentage of the vehicle's weight, all in one unit.

    Each force may be out by the reading error. Source: mechanics (deceleration as a share of
    gravity). ValueError for no forces, a negative force or a weight not above zero.
    """
    if not forces or min(forces) < 0 or weight <= 0:
        raise ValueError("efficiency needs brake forces, none below zero, and a weight above zero")
    total = sum((_force(force, reading_error) for force in forces), exactly(0.0))
    return total * 100 / weight


def imbalance_percent(left: float, right: float, reading_error: float = 0.0) -> Interval:
    """Difference across an axle as a percentage of the greater force.

    Forces in any one unit, the reading error in the same. A result on both sides of a limit shows
    that the error decides. Source: the inspection rule for brake balance, from memory.
    ValueError when a force is negative or both may be zero.
    """
    if left < 0 or right < 0:
        raise ValueError("a brake force is not below zero")
    weaker, stronger = sorted(
        (_force(left, reading_error), _force(right, reading_error)), key=lambda force: force.middle
    )
    if stronger.lo <= 0:
        raise ValueError("both brake forces may be zero, so there is nothing to compare")
    least = max(0.0, 100 * (stronger.lo - weaker.hi) / stronger.lo)
    return Interval(least, 100 * (stronger.hi - weaker.lo) / stronger.hi)


def _force(reading: float, error: float) -> Interval:
    """A force reading with its error, never below zero."""
    spread = about(reading, error)
    return Interval(max(0.0, spread.lo), spread.hi)
