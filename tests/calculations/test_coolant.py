"""Frost protection and refills."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.calculations.interval import Interval, about, exactly
from assistant.calculations.under_bonnet import (
    freezing_point_c,
    interpolate,
    quoted_freezing_point_c,
    refill_litres,
)


@pytest.mark.parametrize(
    ("strength", "celsius"),
    [(0, 0), (8.9, -3.2), (25, -12.3), (33, -18.5), (40, -25.1), (50, -37.2), (57.8, -48.3)],
)
def test_worked_freezing_points(strength, celsius):
    point = freezing_point_c(strength)
    assert point.lo == point.hi == pytest.approx(celsius, abs=0.05)


@pytest.mark.parametrize("glycol", ["ethylene", "propylene"])
def test_water_freezes_at_nought(glycol):
    assert freezing_point_c(0, glycol) == exactly(0)


@pytest.mark.parametrize(
    ("strength", "celsius"),
    [(30, -12.8), (40, -20.6), (50, -33.3), (45, -26.95)],
)
def test_propylene_glycol(strength, celsius):
    assert freezing_point_c(strength, "propylene").lo == pytest.approx(celsius)


@pytest.mark.parametrize(
    ("strength", "quoted"), [(25, -12), (33, -18), (40, -26), (50, -38), (8.455, -4)]
)
def test_quoted_to_two_degrees(strength, quoted):
    assert quoted_freezing_point_c(strength) == exactly(quoted)


def test_half_way_is_quoted_to_the_warmer_side():
    for celsius, quoted in ((-5, -4), (-7, -6)):
        strength = 30 * celsius / -12.8
        assert freezing_point_c(strength, "propylene") == exactly(celsius)
        assert quoted_freezing_point_c(strength, "propylene") == exactly(quoted)


def test_a_range_of_strengths():
    point = freezing_point_c(Interval(25, 40))
    assert (point.lo, point.hi) == (freezing_point_c(40).lo, freezing_point_c(25).lo)
    assert quoted_freezing_point_c(Interval(25, 40)) == Interval(-26, -12)


@pytest.mark.parametrize(
    ("strength", "glycol"),
    [
        (-1, "ethylene"),
        (57.9, "ethylene"),
        (50.1, "propylene"),
        (Interval(50, 60), "ethylene"),
        (Interval(-1, 40), "ethylene"),
    ],
)
def test_outside_the_table(strength, glycol):
    with pytest.raises(ValueError, match=f"{glycol} glycol table runs"):
        freezing_point_c(strength, glycol)


def test_worked_refill():
    assert refill_litres(6, 25, 40) == exactly(1.2)
    assert refill_litres(6, 40, 40) == exactly(0)
    assert refill_litres(6, 45, 40) == exactly(0)
    assert refill_litres(6, 25, 40, refill=40) == exactly(6)
    low, high = refill_litres(6, 30, 40).lo, refill_litres(6, 20, 40).lo
    assert refill_litres(6, about(25, 5), 40) == Interval(low, high)


@pytest.mark.parametrize(
    "arguments",
    [
        (0, 25, 40),
        (6, -1, 40),
        (6, 25, 40, 101),
        (6, 25, 60, 50),
        (6, 50, 40, 50),
        (6, Interval(-1, 10), 40),
        (6, Interval(20, 40), 35, 40),
    ],
)
def test_refill_guards(arguments):
    with pytest.raises(ValueError, match=r"strengths lie|cannot reach"):
        refill_litres(*arguments)


@given(st.floats(1, 20), st.floats(0, 60), st.floats(0, 60), st.floats(61, 100))
def test_mixing_gives_the_strength_wanted(system, now, wanted, refill):
    drained = refill_litres(system, now, wanted, refill).middle
    assert 0 <= drained <= system
    mixed = ((system - drained) * now + drained * refill) / system
    assert mixed == pytest.approx(max(now, wanted))


def test_interpolation_between_and_beyond_rows():
    rows = [(1.0, 10.0), (2.0, 20.0), (4.0, 0.0)]
    values = {0: 10, 1: 10, 1.5: 15, 2: 20, 3: 10, 4: 0, 5: 0}
    assert {x: interpolate(rows, x) for x in values} == values
