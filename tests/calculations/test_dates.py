"""Ages, anniversaries, windows and working days."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.calculations.dates import (
    add_months,
    due_after_years,
    earliest_keeping_anniversary,
    next_expiry,
    whole_years,
    working_day_after,
)

days = st.dates(date(1950, 1, 1), date(2100, 12, 31))


@pytest.mark.parametrize(
    ("day", "months", "expected"),
    [
        (date(2026, 3, 15), -1, date(2026, 2, 15)),
        (date(2026, 3, 31), -1, date(2026, 2, 28)),
        (date(2024, 3, 31), -1, date(2024, 2, 29)),
        (date(2026, 1, 15), -1, date(2025, 12, 15)),
        (date(2025, 12, 15), 1, date(2026, 1, 15)),
        (date(2025, 11, 30), 1, date(2025, 12, 30)),
        (date(2024, 2, 29), 12, date(2025, 2, 28)),
        (date(2026, 5, 31), 0, date(2026, 5, 31)),
        (date(1, 1, 31), 1, date(1, 2, 28)),
        (date(9999, 11, 5), 1, date(9999, 12, 5)),
    ],
)
def test_adding_months(day, months, expected):
    assert add_months(day, months) == expected


def test_months_outside_the_calendar_are_refused():
    for day, months in ((date(1, 1, 1), -1), (date(9999, 12, 1), 1)):
        with pytest.raises(ValueError, match="outside the calendar"):
            add_months(day, months)


@given(days, st.integers(-300, 300))
def test_months_there_and_back_lose_only_the_end_of_a_month(day, months):
    back = add_months(add_months(day, months), -months)
    assert day - timedelta(days=3) <= back <= day
    assert back == day or day.day > 28


@pytest.mark.parametrize(
    ("start", "at", "years"),
    [
        (date(2020, 5, 15), date(2025, 5, 14), 4),
        (date(2020, 5, 15), date(2025, 5, 15), 5),
        (date(2020, 5, 15), date(2020, 5, 15), 0),
        (date(2020, 2, 29), date(2025, 2, 27), 4),
        (date(2020, 2, 29), date(2025, 2, 28), 5),
        (date(1985, 12, 31), date(2025, 12, 30), 39),
    ],
)
def test_whole_years(start, at, years):
    assert whole_years(start, at) == years


def test_an_age_before_the_start_is_refused():
    with pytest.raises(ValueError, match="before"):
        whole_years(date(2025, 1, 2), date(2025, 1, 1))


@given(days, st.integers(0, 80))
def test_an_anniversary_completes_the_year(start, years):
    due = due_after_years(start, years)
    assert whole_years(start, due) == years
    if years:
        assert whole_years(start, due - timedelta(days=1)) == years - 1


@pytest.mark.parametrize(
    ("expiry", "earliest"),
    [
        (date(2026, 3, 15), date(2026, 2, 16)),
        (date(2026, 5, 15), date(2026, 4, 16)),
        (date(2026, 3, 31), date(2026, 3, 1)),
        (date(2026, 1, 1), date(2025, 12, 2)),
    ],
)
def test_earliest_day_that_keeps_the_anniversary(expiry, earliest):
    assert earliest_keeping_anniversary(expiry, window_months=1) == earliest


@pytest.mark.parametrize(
    ("tested", "expiry", "expected"),
    [
        (date(2026, 4, 16), date(2026, 5, 15), date(2027, 5, 15)),
        (date(2026, 5, 15), date(2026, 5, 15), date(2027, 5, 15)),
        (date(2026, 4, 15), date(2026, 5, 15), date(2027, 4, 14)),
        (date(2026, 5, 16), date(2026, 5, 15), date(2027, 5, 15)),
        (date(2026, 7, 1), date(2026, 5, 15), date(2027, 6, 30)),
        (date(2026, 7, 1), None, date(2027, 6, 30)),
    ],
)
def test_next_expiry(tested, expiry, expected):
    assert next_expiry(tested, expiry, window_months=1, valid_months=12) == expected


def england(start, count):
    return working_day_after(start, count, country="GB", subdivision="ENG")


def test_the_day_after_is_the_first_that_may_count():
    monday = date(2025, 6, 2)
    assert england(monday, 1) == date(2025, 6, 3)
    assert england(monday, 5) == date(2025, 6, 9)
    assert england(date(2025, 6, 7), 1) == date(2025, 6, 9)


@pytest.mark.parametrize(("country", "subdivision"), [("XX", None), ("GB", "YORKS")])
def test_places_without_known_holidays(country, subdivision):
    with pytest.raises(ValueError, match=f"{country}.*{subdivision or ''}"):
        working_day_after(date(2025, 6, 2), 1, country=country, subdivision=subdivision)


def test_counting_from_nought_is_refused():
    with pytest.raises(ValueError, match="from one"):
        england(date(2025, 6, 2), 0)


@given(st.dates(date(2020, 1, 1), date(2030, 12, 31)), st.integers(1, 20), st.integers(1, 20))
def test_counting_on_from_a_working_day_adds_up(start, first, second):
    there = england(england(start, first), second)
    assert there == england(start, first + second)
    assert there.weekday() < 5
