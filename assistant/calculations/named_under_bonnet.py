"""Calculations a ruleset may ask for by name: the battery and the coolant."""

from __future__ import annotations

from typing import get_args

from assistant.calculations.battery import battery_state
from assistant.calculations.coolant import Glycol, quoted_freezing_point_c, refill_litres
from assistant.calculations.interval import Interval, exactly
from assistant.calculations.registry import CANNOT_TELL, Value, named


@named(words=("charged", "half", "flat", CANNOT_TELL))
def battery_charge(*, volts: Interval | None, meter_error: Interval) -> Value:
    """How far a rested 12 V battery is charged, with the error of the meter."""
    if volts is None or volts.lo < 0:
        return None
    low = max(0.0, volts.lo - meter_error.hi)
    return battery_state(Interval(low, volts.hi + meter_error.hi)).word.replace(" ", "_")


@named(unit="C")
def coolant_freezes(
    *, strength: Interval | None, glycol: str | None, tester_error: Interval
) -> Value:
    """Where ice begins to form, in C, for a strength in per cent by volume.

    glycol: "ethylene" or "propylene"; for any other word or none it may be either. None outside
    the tables.
    """
    if strength is None:
        return None
    kinds = [kind for kind in get_args(Glycol) if kind == glycol] or list(get_args(Glycol))
    spread = Interval(max(0.0, strength.lo - tester_error.hi), strength.hi + tester_error.hi)
    try:
        found = [quoted_freezing_point_c(spread, kind) for kind in kinds]
    except ValueError:
        return None
    return Interval(min(f.lo for f in found), max(f.hi for f in found))


@named(unit="litres")
def coolant_to_drain(
    *, litres: Interval | None, strength: Interval | None, wanted: Interval
) -> Value:
    """How much to drain and replace by neat antifreeze; nothing where it is strong enough."""
    if litres is None or strength is None or litres.lo <= 0 or strength.lo < 0:
        return None
    if strength.lo >= wanted.lo:
        return exactly(0.0)
    if strength.hi >= 100:
        return None
    least = refill_litres(litres.lo, strength, wanted.lo)
    return Interval(least.lo, refill_litres(litres.hi, strength, wanted.lo).hi)


@named()
def use_rate(*, used: Interval | None, over: Interval | None, per: Interval) -> Value:
    """How much is used over so many of something: litres used, over miles, per 1,000 miles.

    The unit is the ruleset's to say. None where the distance or time may be nothing.
    """
    if used is None or over is None or used.lo < 0 or over.lo <= 0:
        return None
    return Interval(used.lo * per.lo / over.hi, used.hi * per.hi / over.lo)
