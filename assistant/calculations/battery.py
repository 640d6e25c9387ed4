"""Charge of a 12 V lead-acid battery from its voltage at rest."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from assistant.calculations.interval import Interval, Number, as_interval
from assistant.calculations.tables import interpolate

BatteryWord = Literal["charged", "half", "flat", "cannot tell"]

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
