"""The clustered forecast and its score."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.calculations.forecast import (
    Care,
    after_clear,
    after_fault,
    after_repair,
    brier_score,
    brier_skill,
    chance_of_any,
    rate_for_chance,
    starting_care,
    value_per_minute,
)

cares = st.builds(Care, st.floats(0.1, 10), st.floats(0.1, 10))
rates = st.floats(0, 2)
shares = st.floats(0, 1)


def test_chance_of_any_by_hand():
    assert chance_of_any([0.5, 0.5], Care(1, 1)) == pytest.approx(0.5)
    assert chance_of_any([0.3, 0.7], Care(2, 1)) == pytest.approx(0.75)
    assert chance_of_any([], Care(1, 1)) == 0
    assert chance_of_any([0.0], Care(1, 1), known_faults=1) == 1
    assert starting_care(0.45) == Care(0.45, 0.45)


def test_guards():
    for shape, rate in ((0, 1), (1, 0), (-1, 1), (1, -1), (math.nan, 1), (1, math.inf)):
        with pytest.raises(ValueError, match="above zero"):
            Care(shape, rate)
    care = Care(1, 1)
    for call in (
        lambda: chance_of_any([-0.1], care),
        lambda: chance_of_any([], care, known_faults=-1),
        lambda: after_clear(-0.1, 0.5, care),
        lambda: after_fault(0.1, 1.1, care),
        lambda: after_repair(0.1, -0.1),
    ):
        with pytest.raises(ValueError, match="not below zero"):
            call()
    for chance in (-0.1, 1):
        with pytest.raises(ValueError, match="under 1"):
            rate_for_chance(chance, care)
    with pytest.raises(ValueError, match="some time"):
        value_per_minute(0.1, 0.5, 0, care)


@given(st.floats(0, 0.95), cares)
def test_the_rate_for_a_chance_gives_that_chance(chance, care):
    rate = rate_for_chance(chance, care)
    assert chance_of_any([rate], care) == pytest.approx(chance, abs=1e-9)


@given(rates, rates, shares, cares)
def test_a_clear_answer_is_what_conditional_probability_says(item, others, sees, care):
    """P(no fault at all) = P(none seen) * P(none left, given none seen)."""
    left, belief = after_clear(item, sees, care)
    none_seen = 1 - chance_of_any([item * sees], care)
    none_left = 1 - chance_of_any([left, others], belief)
    assert none_seen * none_left == pytest.approx(1 - chance_of_any([item, others], care))


@given(rates, rates, shares, cares)
def test_answers_move_the_chance_the_right_way(item, others, sees, care):
    left, clear = after_clear(item, sees, care)
    fault = after_fault(item, sees, care)
    before = chance_of_any([others], care)
    assert chance_of_any([others], clear) <= before + 1e-12
    assert left == after_repair(item, sees)
    assert 0 <= left <= item
    assert (fault.shape, fault.rate) == (care.shape + 1, clear.rate)


@given(st.floats(0.01, 2), st.floats(0.01, 2), st.floats(0.1, 10))
def test_a_fault_found_by_a_sure_look_at_a_rare_item_raises_the_others(item, others, shape):
    """Exact for one event: the chance of one seen and none other, by Bayes."""
    care = starting_care(shape)
    one_and_clear = (
        item * care.shape / care.rate * (1 + (item + others) / care.rate) ** (-care.shape - 1)
    )
    one = item * care.shape / care.rate * (1 + item / care.rate) ** (-care.shape - 1)
    belief = after_fault(item, 1, care)
    assert 1 - chance_of_any([others], belief) == pytest.approx(one_and_clear / one)


def test_value_per_minute():
    care = Care(1, 1)
    assert value_per_minute(1, 1, 2, care) == pytest.approx(0.25)
    assert value_per_minute(2, 0.5, 1, care) == pytest.approx(0.5)
    assert value_per_minute(1, 0, 1, care) == 0


def test_brier_score_and_skill():
    assert brier_score([0.3], [False]) == pytest.approx(0.09)
    assert brier_score([0.3], [True]) == pytest.approx(0.49)
    assert brier_score([1, 0, 0.5], [True, True, False]) == pytest.approx(1.25 / 3)
    assert brier_skill(0.113, 0.147) == pytest.approx(0.23, abs=0.002)
    assert brier_skill(0.2, 0.1) == -1
    for chances, failed in (([], []), ([0.5], [True, False])):
        with pytest.raises(ValueError, match="equally many"):
            brier_score(chances, failed)
    for chance in (-0.1, 1.1):
        with pytest.raises(ValueError, match="from 0 to 1"):
            brier_score([chance], [True])
    with pytest.raises(ValueError, match="nothing to save"):
        brier_skill(0.1, 0)


def test_forecast_of_the_worked_car():
    """Source: our own earlier study of national failure statistics, a car of 9 years and 70,000
    miles that starts at 29.8 percent. Basis: worked out there by separate code; read.
    """
    care = starting_care(0.45)
    total = rate_for_chance(0.298, care)
    plate_seen = rate_for_chance(0.055 * 0.3, care)
    stop_seen = rate_for_chance(0.029 * 0.7, care)
    assert value_per_minute(plate_seen / 0.95, 0.95, 0.3, care) == pytest.approx(0.055)
    care = after_fault(plate_seen, 1, care)
    total -= plate_seen
    assert chance_of_any([total], care) == pytest.approx(0.66, abs=0.005)
    left, care = after_clear(stop_seen, 1, care)
    total -= stop_seen - left
    assert chance_of_any([total], care) == pytest.approx(0.64, abs=0.006)
