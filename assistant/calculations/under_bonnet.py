"""Charge of a 12 V lead-acid battery from its voltage at rest; frost protection of the coolant, and
how much to drain to make it stronger.

What a ruleset may ask for by name stands at the end.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal, get_args

from assistant.calculations.interval import Interval, Number, as_interval, exactly
from assistant.calculations.registry import CANNOT_TELL, Value, named

BatteryWord = Literal["charged", "half", "flat", "cannot tell"]


def interpolate(rows: Sequence[tuple[float, float]], x: float) -> float:
    """The value at x of rows (x, y) sorted by x; beyond an end, the value of that end."""
    if x <= rows[0][0]:
        return rows[0][1]
    for (x1, y1), (x2, y2) in pairwise(rows):
        if x <= x2:
            return y1 + (x - x1) * (y2 - y1) / (x2 - x1)
    return rows[-1][1]


# Rest voltage and charge in percent, flooded battery at about 25 C, hours after use or charge.
# Source: common trade values. Basis: from memory; tables that were read differ by the error below.
_CHARGE_AT_REST = ((11.89, 0.0), (12.06, 25.0), (12.24, 50.0), (12.45, 75.0), (12.65, 100.0))
# How far such tables differ from each other, in points of charge. Basis: read, several tables.
_TABLE_ERROR = 10.0
# Where one word gives way to the next, in percent. Basis: assumed.
_FLAT_BELOW = 30.0
_CHARGED_FROM = 70.0
# Above this the battery has not rested, or is of another type. Basis: assumed.
_NOT_AT_REST_ABOVE = 12.9


@dataclass(frozen=True, slots=True)
class BatteryState:
    """Charge in percent as the table gives it, and the one word it is good for."""

    charge: Interval
    word: BatteryWord


def battery_state(rest_voltage: Number) -> BatteryState:
    """Charge of a rested 12 V battery. Charge is not health: cranking decides that.

    The word allows for the error of the table. Surface charge makes the reading too high, and so
    do glass-mat batteries (by 0.1 to 0.15 V, from memory). ValueError below zero.
    """
    volts = as_interval(rest_voltage)
    if volts.lo < 0:
        raise ValueError(f"a battery voltage is not below zero: {volts.lo}")
    charge = Interval(
        interpolate(_CHARGE_AT_REST, volts.lo), interpolate(_CHARGE_AT_REST, volts.hi)
    )
    return BatteryState(charge, _word(volts, charge))


def _word(volts: Interval, charge: Interval) -> BatteryWord:
    if volts.hi > _NOT_AT_REST_ABOVE:
        return "cannot tell"
    lowest, highest = charge.lo - _TABLE_ERROR, charge.hi + _TABLE_ERROR
    if lowest >= _CHARGED_FROM:
        return "charged"
    if highest < _FLAT_BELOW:
        return "flat"
    return "half" if lowest >= _FLAT_BELOW and highest < _CHARGED_FROM else "cannot tell"


# coolant -----------------------------------------------------------------------------------------

Glycol = Literal["ethylene", "propylene"]

# Percent by volume and freezing point in C. Sources: a handbook of heating engineers for ethylene
# glycol (from memory, volume worked out from mass); a calculator page for propylene glycol (read).
# The row of plain water is physics.
_FREEZING: dict[Glycol, tuple[tuple[float, float], ...]] = {
    "ethylene": (
        *((0.0, 0.0), (8.9, -3.2), (18.1, -7.8), (27.7, -14.1)),
        *((37.5, -22.3), (47.6, -33.8), (57.8, -48.3)),
    ),
    "propylene": ((0.0, 0.0), (30.0, -12.8), (40.0, -20.6), (50.0, -33.3)),
}
# Two tables differ by about this much, so no finer figure is quoted, in C. Basis: read.
_QUOTED_STEP = 2


def freezing_point_c(strength_percent: Number, glycol: Glycol = "ethylene") -> Interval:
    """Where ice begins to form, in C, for a strength in percent by volume.

    ValueError outside the table: past its end more glycol may protect less.
    """
    strength, table = as_interval(strength_percent), _FREEZING[glycol]
    strongest = table[-1][0]
    if strength.lo < 0 or strength.hi > strongest:
        raise ValueError(f"the {glycol} glycol table runs from 0 to {strongest} percent")
    return Interval(interpolate(table, strength.hi), interpolate(table, strength.lo))


def quoted_freezing_point_c(strength_percent: Number, glycol: Glycol = "ethylene") -> Interval:
    """The same to the nearest 2 C, which is as well as the tables agree."""
    exact = freezing_point_c(strength_percent, glycol)
    return Interval(_rounded(exact.lo), _rounded(exact.hi))


def refill_litres(
    system_litres: float, strength_now: Number, strength_wanted: float, refill: float = 100.0
) -> Interval:
    """Litres to drain and replace by coolant of strength `refill` (100: neat), all in percent.

    Nothing where it is strong enough already. Source: mixing by volume; the little that glycol
    and water shrink on mixing is left out. ValueError when the refill is too weak to get there.
    """
    now = as_interval(strength_now)
    if system_litres <= 0 or now.lo < 0 or refill > 100:
        raise ValueError("a system holds some litres, and strengths lie from 0 to 100 percent")
    if refill < strength_wanted or refill <= now.hi:
        raise ValueError(f"a refill of {refill} percent cannot reach {strength_wanted} percent")

    def litres(strength: float) -> float:
        return system_litres * max(0.0, strength_wanted - strength) / (refill - strength)

    return Interval(litres(now.hi), litres(now.lo))


def _rounded(celsius: float) -> int:
    """To the nearest step; half way between two, to the warmer one."""
    return _QUOTED_STEP * math.floor(celsius / _QUOTED_STEP + 0.5)


# named under bonnet ------------------------------------------------------------------------------


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
