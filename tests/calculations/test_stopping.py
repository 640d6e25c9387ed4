"""Stopping distances."""

import pytest

from assistant.calculations.stopping import (
    ICE_FACTOR_UP_TO,
    WET_FACTOR_AT_LEAST,
    braking_distance_m,
    deceleration,
    stopping_distance_m,
)


def test_parts_and_total():
    distance = stopping_distance_m(30)
    assert distance.thinking == pytest.approx(9.144)
    assert distance.braking == pytest.approx(13.716)
    assert distance.total == pytest.approx(22.86)
    assert stopping_distance_m(0).total == 0
    assert (WET_FACTOR_AT_LEAST, ICE_FACTOR_UP_TO) == (2, 10)


@pytest.mark.parametrize(
    ("efficiency", "slowing", "metres"), [(58, 5.7, 15.8), (50, 4.9, 18.3), (100, 9.8, 9.2)]
)
def test_what_an_efficiency_means(efficiency, slowing, metres):
    assert deceleration(efficiency) == pytest.approx(slowing, abs=0.05)
    assert braking_distance_m(30, efficiency) == pytest.approx(metres, abs=0.05)


def test_guards():
    with pytest.raises(ValueError, match="speed"):
        stopping_distance_m(-1)
    for speed, efficiency in ((-1, 50), (30, 0), (30, -5)):
        with pytest.raises(ValueError, match="braking"):
            braking_distance_m(speed, efficiency)
    assert braking_distance_m(0, 50) == 0
    assert braking_distance_m(30, 0.5) == pytest.approx(100 * braking_distance_m(30, 50))
