"""Ages, due dates, renewal windows and working days. Every window is a parameter."""

from __future__ import annotations

import calendar
from datetime import date, timedelta
from functools import lru_cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from holidays import HolidayBase


_DAY = timedelta(days=1)


def add_months(day: date, months: int) -> date:
    """The same day of the month `months` later (or earlier, below zero).

    A day that the month does not have becomes its last day. That is the usual rule of calendars;
    whether a test scheme clamps alike at the end of a month is not known for certain.
    """
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    if not date.min.year <= year <= date.max.year:
        raise ValueError(f"{months} months from {day} is outside the calendar")
    last = calendar.monthrange(year, month + 1)[1]
    return date(year, month + 1, min(day.day, last))


def is_clamped(day: date, months: int) -> bool:
    """Whether add_months had to take the last day of a shorter month."""
    return add_months(day, months).day != day.day


def whole_years(start: date, at: date) -> int:
    """Completed years from start to a date. ValueError when the date comes first.

    Born on 29 February, a year is complete on 28 February (assumed, as in add_months).
    """
    if at < start:
        raise ValueError(f"{at} is before {start}")
    years = at.year - start.year
    return years if add_months(start, 12 * years) <= at else years - 1


def due_after_years(start: date, years: int) -> date:
    """The anniversary, so many years after first registration or the like."""
    return add_months(start, 12 * years)


def earliest_keeping_anniversary(expiry: date, window_months: int) -> date:
    """Earliest day to be tested and still keep the anniversary: the window less a day.

    At the end of a month the result is unsure by a day or so: see add_months.
    """
    return add_months(expiry, -window_months) + _DAY


def next_expiry(
    tested: date, expiry: date | None, *, window_months: int, valid_months: int
) -> date:
    """When a certificate from a pass on `tested` runs out.

    Inside the window before the old expiry the anniversary is kept. Earlier, later, or with no
    old certificate, it runs for the validity less a day from the pass.
    """
    if expiry and earliest_keeping_anniversary(expiry, window_months) <= tested <= expiry:
        return add_months(expiry, valid_months)
    return add_months(tested, valid_months) - _DAY


@lru_cache(maxsize=16)
def _public_holidays(country: str, subdivision: str | None) -> HolidayBase:
    import holidays

    try:
        return holidays.country_holidays(country, subdiv=subdivision)
    except NotImplementedError as unknown:
        raise ValueError(f"no public holidays known for {country} {subdivision or ''}") from unknown


@lru_cache(maxsize=1024)
def working_day_after(start: date, count: int, *, country: str, subdivision: str | None) -> date:
    """The working day number `count` after a date, by the public holidays of one place.

    The day after the start is the first that may count. Country and subdivision are the codes of
    the `holidays` library, loaded only here because it is slow.
    ValueError for a count below one or a place the library does not know.
    """
    if count < 1:
        raise ValueError(f"count working days from one, not {count}")
    public = _public_holidays(country, subdivision)
    day = start + _DAY
    while True:
        count -= public.is_working_day(day)
        if count == 0:
            return day
        day += _DAY
