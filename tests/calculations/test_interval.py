"""Ranges: arithmetic that encloses, comparisons in three values."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.calculations.interval import Interval, about, as_interval, exactly

numbers = st.floats(-1e6, 1e6)


@st.composite
def interval_and_member(draw):
    lo, value, hi = sorted(draw(st.tuples(numbers, numbers, numbers)))
    return Interval(lo, hi), value


def holds(interval, value):
    """Allow for the last bits that floats round away."""
    slack = 1e-9 * max(1.0, abs(value))
    return interval.lo - slack <= value <= interval.hi + slack


@pytest.mark.parametrize(
    "ends", [(math.nan, 1.0), (0.0, math.nan), (0.0, math.inf), (-math.inf, 0.0), (2.0, 1.0)]
)
def test_ends_that_make_no_range_are_refused(ends):
    with pytest.raises(ValueError, match="range"):
        Interval(*ends)


def test_overflow_is_refused_not_returned_as_infinity():
    with pytest.raises(ValueError, match="finite"):
        exactly(1e308) * 10


@given(interval_and_member(), interval_and_member())
def test_arithmetic_encloses_every_pair_of_members(first, second):
    (a, x), (b, y) = first, second
    assert holds(a + b, x + y)
    assert holds(a - b, x - y)
    assert holds(a * b, x * y)
    assert holds(abs(a), abs(x))


@given(interval_and_member(), interval_and_member())
def test_division_encloses_or_is_refused(first, second):
    (a, x), (b, y) = first, second
    if b.lo <= 0 <= b.hi:
        with pytest.raises(ValueError, match="may be zero"):
            a / b
    elif min(abs(b.lo), abs(b.hi)) > 1e-3:
        assert holds(a / b, x / y)


def test_arithmetic_is_as_tight_as_the_ends_allow():
    a, b = Interval(1, 2), Interval(-3, 5)
    assert a + b == Interval(-2, 7)
    assert a - b == Interval(-4, 5)
    assert a * b == Interval(-6, 10)
    assert b / a == Interval(-3, 5)
    assert abs(b) == Interval(0, 5)
    assert abs(Interval(-5, -2)) == Interval(2, 5)
    assert abs(Interval(0.5, 2)) == Interval(0.5, 2)


def test_plain_numbers_work_on_either_side():
    a = Interval(1, 2)
    assert a + 1 == 1 + a == Interval(2, 3)
    assert a - 1 == Interval(0, 1)
    assert 1 - a == Interval(-1, 0)
    assert a * -2 == -2 * a == Interval(-4, -2)
    assert a / 2 == Interval(0.5, 1)
    assert 2 / a == Interval(1, 2)


@pytest.mark.parametrize("divisor", [Interval(-1, 1), Interval(0, 1), Interval(-1, 0), 0])
def test_a_divisor_that_may_be_zero_is_refused(divisor):
    with pytest.raises(ValueError, match="may be zero"):
        exactly(1) / divisor


def test_helpers():
    assert exactly(1.6) == Interval(1.6, 1.6)
    assert about(2, 0.5) == Interval(1.5, 2.5)
    assert as_interval(3.0) == Interval(3.0, 3.0)
    kept = Interval(1, 2)
    assert as_interval(kept) is kept
    assert (Interval(1, 4).middle, Interval(1, 4).half_width) == (2.5, 1.5)
    with pytest.raises(ValueError):
        about(2, -0.5)


@pytest.mark.parametrize(
    ("value", "below", "at_most", "above", "at_least"),
    [
        (exactly(1.5), True, True, False, False),
        (exactly(1.6), False, True, False, True),
        (exactly(1.7), False, False, True, True),
        (Interval(1.5, 1.6), None, True, False, None),
        (Interval(1.6, 1.7), False, None, None, True),
        (Interval(1.5, 1.7), None, None, None, None),
    ],
)
def test_comparisons_step_by_step_round_a_limit(value, below, at_most, above, at_least):
    assert value.below(1.6) is below
    assert value.at_most(1.6) is at_most
    assert value.above(1.6) is above
    assert value.at_least(1.6) is at_least


def test_the_limit_may_be_a_range_too():
    limit = Interval(2, 3)
    assert Interval(1, 1.9).below(limit) is True
    assert Interval(1, 2).below(limit) is None
    assert Interval(3, 4).below(limit) is False
    assert Interval(2.5, 4).below(limit) is None
    assert Interval(3.1, 4).above(limit) is True
    assert Interval(3, 4).above(limit) is None
    assert Interval(1, 2).above(limit) is False
    assert Interval(1, 2.5).above(limit) is None


@given(interval_and_member(), numbers)
def test_a_certain_answer_holds_for_every_member(pair, limit):
    interval, value = pair
    truth = {
        "below": value < limit,
        "at_most": value <= limit,
        "above": value > limit,
        "at_least": value >= limit,
    }
    for name, true_of_member in truth.items():
        assert getattr(interval, name)(limit) in (None, true_of_member)


@given(numbers, numbers)
def test_an_exact_number_is_always_judged(value, limit):
    assert exactly(value).below(limit) is (value < limit)
    assert exactly(value).at_most(limit) is (value <= limit)


@pytest.mark.parametrize(
    ("value", "answer"),
    [
        (Interval(60, 120), True),
        (Interval(59, 61), None),
        (Interval(119, 121), None),
        (Interval(50, 130), None),
        (Interval(50, 59.9), False),
        (Interval(120.1, 130), False),
        (Interval(120, 121), None),
    ],
)
def test_within_a_band(value, answer):
    assert value.within(60, 120) is answer


def test_a_band_upside_down_is_refused():
    assert exactly(1).within(1, 1) is True
    with pytest.raises(ValueError, match="band"):
        exactly(1).within(2, 1)
