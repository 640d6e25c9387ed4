"""Stopping distances: the rule behind the published table, and braking at a known efficiency."""

from __future__ import annotations

from dataclasses import dataclass

from assistant.calculations.units import STANDARD_GRAVITY, convert

# The table follows, in feet and miles an hour, thinking = v and braking = v * v / 20.
# Source: the table of typical stopping distances in the Highway Code, rule 126. Basis: read.
_BRAKING_DIVISOR = 20
# How many times longer. Source: the same, rules 227 and 230. Basis: read.
WET_FACTOR_AT_LEAST = 2
ICE_FACTOR_UP_TO = 10


@dataclass(frozen=True, slots=True)
class StoppingDistance:
    """Metres covered before the brakes bite, while they do, and together."""

    thinking: float
    braking: float

    @property
    def total(self) -> float:
        """Both parts together, in metres. The printed table adds them as rounded."""
        return self.thinking + self.braking


def stopping_distance_m(speed_mph: float) -> StoppingDistance:
    """Typical distance on a dry road from a speed in miles an hour; ValueError below zero."""
    if speed_mph < 0:
        raise ValueError(f"a speed is not below zero: {speed_mph}")
    braking_feet = speed_mph * speed_mph / _BRAKING_DIVISOR
    return StoppingDistance(
        convert(speed_mph, "ft", "metres"), convert(braking_feet, "ft", "metres")
    )


def deceleration(efficiency_percent: float) -> float:
    """Deceleration in m/s2 at a braking efficiency in percent. Source: mechanics."""
    return efficiency_percent / 100 * float(STANDARD_GRAVITY)


def braking_distance_m(speed_mph: float, efficiency_percent: float) -> float:
    """Metres of braking alone at a steady efficiency. Source: mechanics, v * v / 2a.

    ValueError for a speed below zero or an efficiency not above zero.
    """
    if speed_mph < 0 or efficiency_percent <= 0:
        raise ValueError("braking needs a speed not below zero and an efficiency above zero")
    metres_per_second = convert(speed_mph, "mph", "m/s")
    return metres_per_second * metres_per_second / (2 * deceleration(efficiency_percent))
