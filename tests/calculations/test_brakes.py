"""Fluid and pad wear, brake efficiency and balance."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.calculations.brakes import (
    caliper_volume_ml,
    drop_ratio,
    efficiency_percent,
    imbalance_percent,
    level_drop_mm,
)
from assistant.calculations.interval import Interval, about, exactly


def test_worked_fluid_volumes():
    front, rear = caliper_volume_ml(54, 6), caliper_volume_ml(36, 5)
    assert front.middle == pytest.approx(27.4827, abs=0.0001)
    assert rear.middle == pytest.approx(10.2, abs=0.05)
    all_four = 2 * front + 2 * rear
    assert all_four.middle == pytest.approx(75, abs=0.5)
    assert level_drop_mm(all_four, 45).middle == pytest.approx(17, abs=0.5)
    assert level_drop_mm(2 * caliper_volume_ml(54, 2), 45).middle == pytest.approx(4, abs=0.1)
    assert 2 * caliper_volume_ml(54, 1).middle == pytest.approx(9.2, abs=0.05)


def test_opposed_pistons_count_on_one_side():
    assert caliper_volume_ml(40, 3, pistons=2) == 2 * caliper_volume_ml(40, 3)


def test_volume_guards():
    assert caliper_volume_ml(54, 0) == exactly(0)
    for arguments in ((0, 1, 1), (54, -1, 1), (54, Interval(-1, 1), 1), (54, 1, 0)):
        with pytest.raises(ValueError, match="caliper"):
            caliper_volume_ml(*arguments)


def test_level_and_ratio_keep_their_uncertainty():
    expected = level_drop_mm(exactly(75), Interval(30, 60))
    assert expected == Interval(12.5, 25)
    assert drop_ratio(about(20, 5), expected) == Interval(0.6, 2)
    assert drop_ratio(0, 4) == exactly(0)
    assert drop_ratio(1, 0.5) == exactly(2)
    assert level_drop_mm(1, 0.5) == exactly(20)


@pytest.mark.parametrize("nothing", [0, -1, Interval(0, 5)])
def test_nothing_expected_is_nothing_to_compare_with(nothing):
    with pytest.raises(ValueError, match="nothing to compare"):
        drop_ratio(5, nothing)
    with pytest.raises(ValueError, match="reservoir"):
        level_drop_mm(5, nothing)


def test_worked_efficiency():
    result = efficiency_percent([2400, 2300, 1300, 1200], 1250 * 9.80665)
    assert result.lo == result.hi == pytest.approx(58.7, abs=0.05)


def test_efficiency_in_kilograms_force_is_exact():
    assert efficiency_percent([180, 150, 120, 50], 1000).at_least(50) is True
    assert efficiency_percent([180, 150, 120, 49.9], 1000).at_least(50) is False


def test_efficiency_with_a_reading_error_straddles():
    result = efficiency_percent([150, 150, 100, 101], 1000, reading_error=5)
    assert (result.lo, result.hi) == (pytest.approx(48.1), pytest.approx(52.1))
    assert result.at_least(50) is None
    assert efficiency_percent([3], 1000, reading_error=5) == Interval(0, 0.8)


def test_a_brake_that_does_nothing_is_counted_as_nothing():
    assert efficiency_percent([0, 0.25], 0.5) == exactly(50)


@pytest.mark.parametrize(("forces", "weight"), [([], 1000), ([-1, 5], 1000), ([1], 0), ([1], -1)])
def test_efficiency_guards(forces, weight):
    with pytest.raises(ValueError, match="efficiency"):
        efficiency_percent(forces, weight)


@pytest.mark.parametrize(
    ("left", "right", "percent"),
    [(240, 175, 27.1), (240, 160, 33.3), (160, 240, 33.3), (0, 5, 100)],
)
def test_worked_imbalance(left, right, percent):
    result = imbalance_percent(left, right)
    assert result.lo == result.hi == pytest.approx(percent, abs=0.05)


def test_exactly_the_limit_is_exactly_the_limit():
    assert imbalance_percent(100, 70) == exactly(30)
    assert imbalance_percent(100, 69).above(30) is True
    assert imbalance_percent(100, 71).above(30) is False
    assert imbalance_percent(0.5, 0.25) == exactly(50)


def test_a_reading_error_can_decide():
    result = imbalance_percent(240, 168, reading_error=10)
    assert result.above(30) is None
    assert (result.lo, result.hi) == (pytest.approx(22.609, abs=0.001), pytest.approx(36.8))
    assert imbalance_percent(100, 95, reading_error=5).lo == 0
    assert imbalance_percent(100, 3, reading_error=5).hi == 100


def test_imbalance_guards():
    with pytest.raises(ValueError, match="below zero"):
        imbalance_percent(-1, 5)
    with pytest.raises(ValueError, match="below zero"):
        imbalance_percent(5, -1)
    for left, right, error in ((0, 0, 0), (5, 3, 5)):
        with pytest.raises(ValueError, match="nothing to compare"):
            imbalance_percent(left, right, error)


forces = st.floats(50, 500)


@given(forces, forces, st.floats(0, 20), st.floats(-1, 1), st.floats(-1, 1))
def test_the_true_imbalance_lies_in_the_range(left, right, error, left_share, right_share):
    true = [left + error * left_share, right + error * right_share]
    imbalance = 100 * (max(true) - min(true)) / max(true)
    result = imbalance_percent(left, right, error)
    assert result.lo - 1e-9 <= imbalance <= result.hi + 1e-9
    assert result == imbalance_percent(right, left, error)
