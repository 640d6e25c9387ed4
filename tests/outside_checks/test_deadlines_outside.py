"""Worked dates from outside the project; each names its source and whether it was read."""

from __future__ import annotations

import datetime as dt

import holidays
import pytest

from assistant.reasoning.deadlines import Deadline, Known, deadlines
from assistant.ruleset.calendar_file import CalendarFile
from assistant.ruleset.ruleset import Ruleset


@pytest.fixture(scope="module")
def calendar(gb_cars: Ruleset) -> CalendarFile:
    assert gb_cars.calendar is not None
    return gb_cars.calendar


def one(calendar: CalendarFile, kind: str, known: Known) -> Deadline:
    return next(d for d in deadlines(calendar, known) if d.kind == kind)


def earliest(calendar: CalendarFile, expiry: dt.date) -> dt.date:
    known = Known(dt.date(2024, 1, 1), True, (expiry, expiry), None, "car")
    return one(calendar, "earliest", known).dates[0]


def until(calendar: CalendarFile, failed: dt.date, nation: str) -> tuple[dt.date, ...]:
    """The last of the ten working days.

    "Before the end of ten working days following the day it originally failed": a page of 26 March
    2015 that repeats the official one, and the page of a station (read in secondary copies).
    """
    known = Known(failed, True, None, None, "car", (failed, failed), True, nation)
    return one(calendar, "retest", known).dates


@pytest.mark.parametrize("year", [2025, 2026, 2027, 2028])
def test_the_official_example_of_the_window(calendar: CalendarFile, year: int) -> None:
    """Runs out 15 May, earliest 16 April: the example of the official page (read in copies)."""
    assert earliest(calendar, dt.date(year, 5, 15)) == dt.date(year, 4, 16)


def test_the_window_over_the_end_of_february(calendar: CalendarFile) -> None:
    """15 March 2026 less a month, plus a day, by hand: 16 February 2026 (the formula was read)."""
    assert earliest(calendar, dt.date(2026, 3, 15)) == dt.date(2026, 2, 16)
    assert earliest(calendar, dt.date(2028, 3, 29)) == dt.date(2028, 3, 1)
    assert earliest(calendar, dt.date(2028, 2, 29)) == dt.date(2028, 1, 30)


@pytest.mark.parametrize(
    ("expiry", "day"),
    [
        ((2026, 3, 31), (2026, 3, 1)),
        ((2028, 3, 31), (2028, 3, 1)),
        ((2026, 7, 31), (2026, 7, 1)),
        ((2026, 3, 1), (2026, 2, 2)),
        ((2026, 1, 1), (2025, 12, 2)),
    ],
)
def test_month_ends_by_hand(
    calendar: CalendarFile, expiry: tuple[int, int, int], day: tuple[int, int, int]
) -> None:
    """Counted by hand on a wall calendar; how the scheme treats day 31 was not read (unsure)."""
    assert earliest(calendar, dt.date(*expiry)) == dt.date(*day)
    known = Known(dt.date(2024, 1, 1), True, (dt.date(*expiry),) * 2, None, "car")
    unsure = [d for d in deadlines(calendar, known) if d.kind == "unsure"]
    assert bool(unsure) == (expiry[2] == 31 and expiry[1] in (3, 7))


def test_the_first_inspection_after_three_years(calendar: CalendarFile) -> None:
    """Three years after the first registration: The Highway Code, annex 3 (read)."""
    for first, due in (((2024, 6, 14), (2027, 6, 14)), ((2024, 2, 29), (2027, 2, 28))):
        day = dt.date(*first)
        known = Known(dt.date(2026, 3, 2), True, None, (day, day), "car")
        assert one(calendar, "first", known).dates == (dt.date(*due),)


def test_ten_working_days_over_christmas_in_england(calendar: CalendarFile) -> None:
    """Friday 19 December 2025, by hand: 22, 23, 24, 29, 30, 31 December, 2, 5, 6, 7 January.

    25 and 26 December and 1 January are bank holidays in England (common knowledge).
    """
    days = until(calendar, dt.date(2025, 12, 19), "england")
    assert days == (dt.date(2026, 1, 7),)
    assert until(calendar, dt.date(2025, 12, 19), "wales") == days


def test_scotland_differs_on_the_second_of_january(calendar: CalendarFile) -> None:
    """2 January is a bank holiday in Scotland (Banking and Financial Dealings Act, from memory)."""
    days = until(calendar, dt.date(2025, 12, 19), "scotland")
    assert days == (dt.date(2026, 1, 8),)


def test_scotland_differs_on_saint_andrews_day(calendar: CalendarFile) -> None:
    """30 November 2026 is a Monday and a bank holiday in Scotland only (from memory).

    Ten working days after Friday 20 November 2026, by hand: 23 to 27 November, then 30 November
    to 4 December in England, but 1, 2, 3, 4 and 7 December in Scotland.
    """
    friday = dt.date(2026, 11, 20)
    assert until(calendar, friday, "england")[-1] == dt.date(2026, 12, 4)
    assert until(calendar, friday, "scotland")[-1] == dt.date(2026, 12, 7)


def test_easter_monday_is_a_working_day_in_scotland_only(calendar: CalendarFile) -> None:
    """6 April 2026 is Easter Monday: a bank holiday in England, none in Scotland (from memory).

    3 April, Good Friday, is one in both.
    """
    thursday = dt.date(2026, 4, 2)
    known = Known(thursday, True, None, None, "car", (thursday, thursday), True, "england")
    next_day = [d for d in deadlines(calendar, known) if d.kind == "retest"][1]
    assert next_day.dates == (dt.date(2026, 4, 7),)
    known = Known(thursday, True, None, None, "car", (thursday, thursday), True, "scotland")
    next_day = [d for d in deadlines(calendar, known) if d.kind == "retest"][1]
    assert next_day.dates == (dt.date(2026, 4, 6),)


def test_an_appeal_against_a_fail_is_made_within_fourteen_days(calendar: CalendarFile) -> None:
    """14 days on pages of 2022 and later, 14 working days on one of 2015; the earlier by hand."""
    failed = dt.date(2026, 4, 2)
    known = Known(failed, True, None, None, "car", (failed, failed), True, "england")
    assert one(calendar, "appeal", known).dates == (dt.date(2026, 4, 16),)


def test_the_earliest_day_of_a_first_inspection(calendar: CalendarFile) -> None:
    """A month less a day before it is due: a page of 2003 (read in a secondary copy, old)."""
    day = dt.date(2023, 5, 15)
    known = Known(dt.date(2026, 3, 2), True, None, (day, day), "car", never=True)
    assert one(calendar, "first_earliest", known).dates == (dt.date(2026, 4, 16),)


@pytest.mark.parametrize(("nation", "code"), [("england", "ENG"), ("scotland", "SCT")])
def test_working_days_agree_with_counting_day_by_day(
    calendar: CalendarFile, nation: str, code: str
) -> None:
    """The holidays library, asked day by day instead of through our own counting."""
    public = holidays.country_holidays("GB", subdiv=code)
    for offset in range(0, 365, 9):
        start = dt.date(2026, 1, 1) + dt.timedelta(offset)
        days = [start + dt.timedelta(n) for n in range(1, 40)]
        working = [d for d in days if d.weekday() < 5 and d not in public]
        assert until(calendar, start, nation)[-1] == working[9]


def test_half_of_the_highest_fee_of_a_car_is_rounded_down(calendar: CalendarFile) -> None:
    """£54.85 (official table of fees, read in copies) halved is £27.425: a ceiling is £27.42."""
    failed = dt.date(2026, 2, 2)
    known = Known(failed, True, None, None, "car", (failed, failed), True, "england")
    texts = " ".join(d.text for d in deadlines(calendar, known))
    assert "£27.42" in texts and "£54.85" in texts
