"""Frost protection of the coolant, and how much to drain to make it stronger."""

from __future__ import annotations

import math
from typing import Literal

from assistant.calculations.interval import Interval, Number, as_interval
from assistant.calculations.tables import interpolate

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
