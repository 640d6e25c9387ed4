"""Rest voltage to charge, and the one word."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.calculations.interval import Interval, about, exactly
from assistant.calculations.under_bonnet import battery_state


@pytest.mark.parametrize(
    ("volts", "charge"),
    [(12.65, 100), (12.45, 75), (12.40, 69), (12.30, 57), (12.24, 50), (12.06, 25), (11.89, 0)],
)
def test_worked_charges(volts, charge):
    state = battery_state(volts)
    assert state.charge.lo == state.charge.hi == pytest.approx(charge, abs=0.5)


def test_a_meter_error_widens_the_charge():
    charge = battery_state(about(12.40, 0.05)).charge
    assert (charge.lo, charge.hi) == (pytest.approx(63, abs=0.5), pytest.approx(75, abs=0.5))


@pytest.mark.parametrize(
    ("volts", "word"),
    [
        (12.65, "charged"),
        (12.50, "charged"),
        (12.90, "charged"),
        (12.42, "cannot tell"),
        (12.30, "half"),
        (12.20, "half"),
        (12.10, "cannot tell"),
        (12.00, "flat"),
        (11.00, "flat"),
        (0, "flat"),
        (12.91, "cannot tell"),
        (14.40, "cannot tell"),
        (Interval(12.2, 12.6), "cannot tell"),
        (Interval(12.6, 13.0), "cannot tell"),
    ],
)
def test_words(volts, word):
    assert battery_state(volts).word == word


@pytest.mark.parametrize(
    ("charge", "word"),
    [
        (80, "charged"),
        (79, "cannot tell"),
        (61, "cannot tell"),
        (59, "half"),
        (40, "half"),
        (39, "cannot tell"),
        (21, "cannot tell"),
        (19, "flat"),
    ],
)
def test_the_word_changes_where_the_table_error_allows(charge, word):
    rows = [(0, 11.89), (25, 12.06), (50, 12.24), (75, 12.45), (100, 12.65)]
    low, high = next((a, b) for a, b in pairwise(rows) if charge <= b[0])
    share = (charge - low[0]) / (high[0] - low[0])
    volts = low[1] + share * (high[1] - low[1])
    assert battery_state(volts + 1e-9).word == word


def test_beyond_the_table_the_charge_stops():
    assert battery_state(13).charge == exactly(100)
    assert battery_state(5).charge == exactly(0)


def test_below_zero_is_refused():
    with pytest.raises(ValueError, match="below zero"):
        battery_state(Interval(-0.1, 12))


@given(st.floats(0, 15), st.floats(0, 15))
def test_more_volts_never_mean_less_charge(one, other):
    low, high = sorted((one, other))
    assert battery_state(low).charge.lo <= battery_state(high).charge.lo
    charge = battery_state(Interval(low, high)).charge
    assert charge == Interval(battery_state(low).charge.lo, battery_state(high).charge.hi)
