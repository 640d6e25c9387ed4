"""Brake fluid that pad wear explains, and what a roller print-out says.

What a ruleset may ask for by name stands at the end.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from assistant.calculations.interval import Interval, Number, about, as_interval, exactly
from assistant.calculations.registry import CANNOT_TELL, Value, named


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


# named brakes ------------------------------------------------------------------------------------


def _wider(reading: Interval, error: Interval) -> tuple[float, float]:
    """The middle of a reading, and how far it may be out either way."""
    return reading.middle, reading.half_width + error.hi


@named(unit="per cent", across=("forces",))
def brake_efficiency(
    *, forces: dict[str, Interval | None], weight: Interval | None, error: Interval
) -> Value:
    """The brake forces of all wheels as a share of the weight, forces and weight in one unit.

    error: how far each printed force may be out. None unless all forces and the weight are known.
    """
    known = [force for force in forces.values() if force is not None]
    if weight is None or weight.lo <= 0 or not known or len(known) != len(forces):
        return None
    readings = [_wider(force, error) for force in known]
    out = max(half for _, half in readings)
    ends = [efficiency_percent([f for f, _ in readings], kg, out) for kg in (weight.lo, weight.hi)]
    return Interval(ends[1].lo, ends[0].hi)


@named(unit="per cent")
def parking_efficiency(
    *, force: Interval | None, weight: Interval | None, error: Interval
) -> Value:
    """The whole force of the parking brake as a share of the weight, in one unit."""
    return brake_efficiency(forces={"": force}, weight=weight, error=error)


@named(unit="per cent", across=("forces",))
def brake_imbalance(*, forces: dict[str, Interval | None], error: Interval) -> Value:
    """How much less the weaker brake of an axle does, as a share of the stronger."""
    known = [force for force in forces.values() if force is not None]
    if len(known) != 2 or len(forces) != 2:
        return None
    (left, out), (right, other) = (_wider(force, error) for force in known)
    if max(left, right) <= max(out, other):
        return None
    return imbalance_percent(left, right, max(out, other))


@named(unit="mm")
def fluid_fall_expected(
    *,
    lining: Interval | None,
    new_least: Interval,
    new_most: Interval,
    front_bore: Interval,
    rear_bore: Interval,
    area_least: Interval,
    area_most: Interval,
) -> Value:
    """How far the fluid falls by wear, if the thinnest lining seen tells of the worn pads.

    At the least the front pair has worn so far, at the most all four wheels have. Bores in mm,
    the plan area of the bottle in cm2. None where no wear is certain.
    """
    if lining is None:
        return None
    wear = Interval(new_least.lo, new_most.hi) - lining
    if wear.lo <= 0:
        return None
    front = caliper_volume_ml(front_bore.middle, wear) * 2
    rear = caliper_volume_ml(rear_bore.middle, wear) * 2
    area = Interval(area_least.lo, area_most.hi)
    return level_drop_mm(Interval(front.lo, front.hi + rear.hi), area)


@named(words=("explained", "more_than_wear", CANNOT_TELL))
def fluid_fall_verdict(
    *, fallen: Interval | None, expected: Interval | None, most: Interval, too_much: Interval
) -> Value:
    """Whether wear explains a fall. most, too_much: fallen over expected, up to and from."""
    if fallen is None or expected is None or expected.lo <= 0:
        return None
    ratio = drop_ratio(fallen, expected)
    if ratio.at_most(most):
        return "explained"
    return "more_than_wear" if ratio.above(too_much) else CANNOT_TELL
