"""Calculations a ruleset may ask for by name: a brake test print-out, and falling brake fluid."""

from __future__ import annotations

from assistant.calculations.brakes import (
    caliper_volume_ml,
    drop_ratio,
    efficiency_percent,
    imbalance_percent,
    level_drop_mm,
)
from assistant.calculations.interval import Interval
from assistant.calculations.registry import CANNOT_TELL, Value, named


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
