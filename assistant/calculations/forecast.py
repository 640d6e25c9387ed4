"""How likely the car is to fail, given that faults come in clusters.

Faults are counted as Poisson events whose rates all share one hidden factor: how well this car is
cared for. The factor follows a gamma distribution, so the total is negative binomial. A starting
factor has mean one. Source: standard statistics (gamma-Poisson conjugacy), from memory. The rates
and the shape are data and come from the ruleset.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Care:
    """What is believed of the hidden factor: a gamma with this shape and this rate."""

    shape: float
    rate: float

    def __post_init__(self) -> None:
        for number in (self.shape, self.rate):
            if not (math.isfinite(number) and number > 0):
                raise ValueError(f"shape and rate must be above zero, not {number}")


def starting_care(shape: float) -> Care:
    """Belief about a car nothing is known of: mean one, the smaller the shape the wider."""
    return Care(shape, shape)


def chance_of_any(item_rates: Iterable[float], care: Care, known_faults: int = 0) -> float:
    """Chance that at least one of the items fails; certain with a fault found and not mended."""
    rates = list(item_rates)
    if any(rate < 0 for rate in rates) or known_faults < 0:
        raise ValueError("a rate or a number of faults is not below zero")
    if known_faults:
        return 1.0
    return -math.expm1(-care.shape * math.log1p(math.fsum(rates) / care.rate))


def rate_for_chance(chance: float, care: Care) -> float:
    """The item rate that alone gives this chance of failing; the inverse of chance_of_any."""
    if not 0 <= chance < 1:
        raise ValueError(f"a chance lies from 0 to just under 1, not {chance}")
    return care.rate * math.expm1(-math.log1p(-chance) / care.shape)


def value_per_minute(item_rate: float, sees: float, minutes: float, care: Care) -> float:
    """Chance that a check finds a fault, for each minute it takes.

    `sees` is the chance that the owner notices a fault that is there.
    """
    if minutes <= 0:
        raise ValueError(f"a check takes some time, not {minutes} minutes")
    return chance_of_any([_seen(item_rate, sees)], care) / minutes


def after_clear(item_rate: float, sees: float, care: Care) -> tuple[float, Care]:
    """The item's rate and the belief after a check that found nothing wrong."""
    seen = _seen(item_rate, sees)
    return item_rate - seen, Care(care.shape, care.rate + seen)


def after_fault(item_rate: float, sees: float, care: Care) -> Care:
    """The belief after a check that found a fault: a less cared-for car.

    Exact for one fault of the item; more than one is rare and left out. Until it is mended,
    count the item as a known fault.
    """
    return Care(care.shape + 1, care.rate + _seen(item_rate, sees))


def after_repair(item_rate: float, sees: float) -> float:
    """The item's rate once the fault is mended: only what the owner would not have seen."""
    return item_rate - _seen(item_rate, sees)


def brier_score(chances: Sequence[float], failed: Sequence[bool]) -> float:
    """Mean squared difference of forecast and outcome: 0 is perfect, one half a time is 0.25.

    Source: Brier 1950, from memory. ValueError for lists empty or of different lengths.
    """
    if not chances or len(chances) != len(failed):
        raise ValueError("forecasts and outcomes must be equally many, and some")
    if not all(0 <= chance <= 1 for chance in chances):
        raise ValueError("every forecast is a chance from 0 to 1")
    pairs = zip(chances, failed, strict=True)
    return math.fsum((chance - outcome) ** 2 for chance, outcome in pairs) / len(chances)


def brier_skill(score: float, reference_score: float) -> float:
    """Share of the reference forecast's error that is saved; below zero is worse than it.

    ValueError when the reference is perfect and cannot be beaten.
    """
    if reference_score <= 0:
        raise ValueError("a reference without error leaves nothing to save")
    return 1 - score / reference_score


def _seen(item_rate: float, sees: float) -> float:
    """The part of an item's rate that the owner would notice."""
    if item_rate < 0 or not 0 <= sees <= 1:
        raise ValueError("a rate is not below zero and `sees` lies from 0 to 1")
    return item_rate * sees
