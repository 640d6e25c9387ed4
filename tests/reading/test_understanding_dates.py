"""Dates, months, years and spans of them, read day first."""

import datetime as dt

import pytest

from assistant.reading.result import Unclear
from assistant.reading.understand import understand
from tests.reading.test_understanding_questions import DATE, TODAY, day, heard, refused

FIRST = day(2015, 3, 1)
MARCH = day(2015, 3, 1, to=(2015, 3, 31))
YEAR = day(2015, 1, 1, to=(2015, 12, 31))
SO_FAR = (TODAY.year, TODAY.month, TODAY.day)


@pytest.mark.parametrize(
    ("words", "answer", "echo"),
    [
        *((w, FIRST, "1 March 2015") for w in (
            "2015-03-01", "1/3/2015", "01.03.15", "01/03/2015", "1-3-2015", "1 3 2015", "2015/3/1",
            "1 March 2015", "1st of March 2015", "1st March 2015", "March 1, 2015", "1 Mar 15",
            "the first of March 2015", "Sunday 1 March 2015", "1March2015", "it was 1/3/2015",
        )),
        *((w, MARCH, "March 2015") for w in (
            "March 2015", "Mar 2015", "03/2015", "3/2015", "march '15", "in March 2015",
        )),
        *((w, YEAR, "2015") for w in (
            "2015", "in 2015", "it was registered in 2015", "I think 2015", "it's a 2015",
            "sometime in 2015", "twenty fifteen", "2015.",
        )),
        ("1/3/99", day(1999, 3, 1), "1 March 1999"),
        ("29 Feb 2016", day(2016, 2, 29), "29 February 2016"),
        ("nineteen ninety nine", day(1999, 1, 1, to=(1999, 12, 31)), "1999"),
        ("12/04/2012", day(2012, 4, 12), "12 April 2012"),
        ("about 2015", day(2014, 1, 1, to=(2016, 12, 31)), "between 2014 and 2016"),
        ("2015 or so", day(2014, 1, 1, to=(2016, 12, 31)), "between 2014 and 2016"),
        ("2015 or 2016", day(2015, 1, 1, to=(2016, 12, 31)), "between 2015 and 2016"),
        ("between 2014 and 2016", day(2014, 1, 1, to=(2016, 12, 31)), "between 2014 and 2016"),
        ("2014-2016", day(2014, 1, 1, to=(2016, 12, 31)), "between 2014 and 2016"),
        ("March to May 2015", day(2015, 3, 1, to=(2015, 5, 31)),
         "between 1 March 2015 and 31 May 2015"),
        ("before 2015", day(1880, 1, 1, to=(2014, 12, 31)), "between 1880 and 2014"),
        ("after 2015", day(2016, 1, 1, to=SO_FAR), "between 1 January 2016 and 18 June 2026"),
        ("since March 2015", day(2015, 3, 1, to=SO_FAR), "between 1 March 2015 and 18 June 2026"),
        ("around March 2015", day(2015, 2, 1, to=(2015, 4, 30)),
         "between 1 February 2015 and 30 April 2015"),
        ("last year", day(2025, 1, 1, to=(2025, 12, 31)), "2025"),
        ("this year", day(2026, 1, 1, to=SO_FAR), "between 1 January 2026 and 18 June 2026"),
        ("last month", day(2026, 5, 1, to=(2026, 5, 31)), "May 2026"),
        ("yesterday", day(2026, 6, 17), "17 June 2026"),
        ("today", day(2026, 6, 18), "18 June 2026"),
        ("10 days ago", day(2026, 6, 8), "8 June 2026"),
    ],
)  # fmt: skip
def test_dates(words, answer, echo):
    found = heard(words, DATE)
    assert (found.answer, found.echo, found.sure) == (answer, echo, True)


@pytest.mark.parametrize(
    ("words", "answer"),
    [
        ("3/15/2015", day(2015, 3, 15)), ("Febuary 2014", day(2014, 2, 1, to=(2014, 2, 28))),
        ("it may be 2015", YEAR), ("'15", YEAR), ("early 2015", day(2015, 1, 1, to=(2015, 4, 30))),
        ("late 2015", day(2015, 9, 1, to=(2015, 12, 31))), ("not sure, 2015", YEAR),
        ("summer 2015", day(2015, 6, 1, to=(2015, 8, 31))), ("2015-03", MARCH),
        ("10 years old", day(2015, 6, 19, to=(2016, 6, 18))),
        ("3 years ago", day(2022, 12, 18, to=(2023, 12, 18))),
    ],
)  # fmt: skip
def test_dates_that_are_confirmed(words, answer):
    found = heard(words, DATE)
    assert (found.answer, found.sure) == (answer, False)


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ("2027", "in the future"), ("1/1/2030", "in the future"), ("July 2026", "in the future"),
        ("19 June 2026", "in the future"), ("31/2/2015", "no 31 February 2015"),
        ("29 Feb 2015", "no 29 February 2015"), ("2015-13-01", "no month 13"),
        ("1850", "older than 1880"), ("0000", "type a date"), ("9999-99-99", "type a date"),
        ("99", "type a date"), ("15", "type a date"), ("not 2015", "type a date"),
        ("2015 2016", "more than one date"), ("tomorrow", "type a date"), ("new", "type a date"),
        ("20150301", "type a date"), ("1e999", "type a date"), ("5 mm", "type a date"),
        ("999999999 years ago", "type a date"), ("999 years ago", "older than 1880"),
    ],
)  # fmt: skip
def test_dates_that_are_refused(words, says):
    assert says in refused(words, DATE).message


def test_a_missing_year_is_asked_for():
    assert refused("3 March", DATE).offers == ("3 March 2026", "3 March 2025", "3 March 2024")
    assert refused("march 15", DATE).offers[0] == "March 2015"
    assert refused("December", DATE).offers == ("December 2025", "December 2024")


def test_today_at_the_ends_of_the_calendar():
    for today in (dt.date(1, 1, 1), dt.date(9999, 12, 31), dt.date(1880, 1, 1)):
        for words in (
            "last year",
            "2 years ago",
            "99 years old",
            "2015",
            "before 1900",
            "last week",
            "1/1/99",
            "about 2015",
            "after 2015",
            "yesterday",
            "9999",
            "0001-01-01",
        ):
            understand(words, DATE, today=today)  # fmt: skip
    assert isinstance(understand("2015", DATE, today=dt.date(1999, 1, 1)), Unclear)
