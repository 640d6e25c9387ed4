"""The forms a date is written in, each with what it stands for. Figures are read day first."""

from __future__ import annotations

import calendar
import re
from collections.abc import Callable
from datetime import date, timedelta

from assistant.calculations.dates import add_months
from assistant.reading.figures import ONES
from assistant.reading.forms import forms

# No car is older than this; "before 1990" starts here.
OLDEST = date(1880, 1, 1)

MONTHS = [name.casefold() for name in calendar.month_name]
_SHORT = [name.casefold() for name in calendar.month_abbr]
MONTH = "|".join((*MONTHS[1:], "sept", *(short for short in _SHORT[1:] if short not in MONTHS)))
ORDINALS = {word: n for n, word in enumerate(forms("dates")["ordinals"].split("|"), 1)}
_DAY = r"([0-9]{1,2})(?:st|nd|rd|th)?"
_YEAR = r"(?:'?([0-9]{2})|([0-9]{4}))"
Days = tuple[date, date]


class ImpossibleDate(ValueError):
    """The figures are no day of the calendar; the text says why."""


class NoYear(ValueError):
    """A month or a day without its year; the text is what was given."""


class DateForms:
    """What each form stands for, seen from today. sure: nothing was read that may be otherwise.

    latest: the last day that an answer may be.
    """

    def __init__(self, today: date, latest: date | None = None) -> None:
        self.today = today
        self.latest = latest or today
        self.sure = True

    def year(self, text: str) -> int:
        """Two figures are the latest such year that an answer may be in."""
        if len(text) == 4:
            return int(text)
        near_year = self.latest.year - self.latest.year % 100 + int(text)
        return near_year if near_year <= self.latest.year else near_year - 100

    def day(self, year: int, month: int, day: int) -> Days:
        try:
            found = date(year, month, day)
        except ValueError:
            if not 1 <= month <= 12:
                raise ImpossibleDate(f"There is no month {month} in a year") from None
            name = calendar.month_name[month]
            raise ImpossibleDate(f"There is no {day} {name} {year}") from None
        return found, found

    def month(self, year: int, month: int) -> Days:
        if not 1 <= year <= 9998:
            raise ImpossibleDate(f"There is no year {year} here")
        if not 1 <= month <= 12:
            raise ImpossibleDate(f"There is no month {month} in a year")
        return date(year, month, 1), date(year, month, calendar.monthrange(year, month)[1])

    def iso(self, m: re.Match[str]) -> Days:
        return self.day(int(m[1]), int(m[2]), int(m[3]))

    def figures(self, m: re.Match[str]) -> Days:
        first, second, year = int(m[1]), int(m[3]), self.year(m[4])
        if second > 12 >= first:
            self.sure = False
            return self.day(year, first, second)
        return self.day(year, second, first)

    def day_month(self, m: re.Match[str]) -> Days:
        return self.day(self.year(m[3] or m[4]), _month_number(m[2]), int(m[1]))

    def month_day(self, m: re.Match[str]) -> Days:
        return self.day(int(m[3]), _month_number(m[1]), int(m[2]))

    def month_year(self, m: re.Match[str]) -> Days:
        return self.month(self.year(m[2] or m[3] or m[4]), _month_number(m[1]))

    def figure_month(self, m: re.Match[str]) -> Days:
        return self.month(int(m[2]), int(m[1]))

    def iso_month(self, m: re.Match[str]) -> Days:
        self.sure = False
        if int(m[2]) > 12:
            return date(int(m[1]), 1, 1), date(self.year(m[2]), 12, 31)
        return self.month(int(m[1]), int(m[2]))

    def no_year(self, m: re.Match[str]) -> Days:
        raise NoYear(m[0].strip(" ,").title().replace(" Of ", " "))

    def part_of_year(self, m: re.Match[str]) -> Days:
        year = int(m[2])
        first, last = {
            "early": (1, 4),
            "beginning": (1, 4),
            "start": (1, 4),
            "mid": (5, 8),
            "middle": (5, 8),
            "late": (9, 12),
            "end": (9, 12),
            "spring": (3, 5),
            "summer": (6, 8),
            "autumn": (9, 11),
        }[m[1]]
        self.sure = False
        return self.month(year, first)[0], self.month(year, last)[1]

    def whole_year(self, m: re.Match[str]) -> Days:
        return self.month(int(m[1]), 1)[0], self.month(int(m[1]), 12)[1]

    def short_year(self, m: re.Match[str]) -> Days:
        year = self.year(m[1])
        self.sure = False
        return date(year, 1, 1), date(year, 12, 31)

    def plate(self, m: re.Match[str]) -> Days:
        """The half year of a number plate: 15 is March to August 2015, 65 the half year after it.

        Source: DVLA leaflet INF104 (the age identifier on plates since September 2001), from
        memory.
        """
        self.sure = False
        number = int(m[1])
        if number in (0, 50) or number % 50 > self.latest.year % 100:
            raise ImpossibleDate(f"There is no {m[1]} plate yet")
        year = 2000 + number % 50
        if number < 50:
            return self.month(year, 3)[0], self.month(year, 8)[1]
        return self.month(year, 9)[0], self.month(year + 1, 2)[1]

    def relative_day(self, m: re.Match[str]) -> Days:
        back = {"yesterday": 1, "today": 0, "tomorrow": -1}[m[0]]
        return self.today - timedelta(back), self.today - timedelta(back)

    def relative_span(self, m: re.Match[str]) -> Days:
        back = {"last": 1, "this": 0, "next": -1}[m[1]]
        if m[2] == "year":
            return date(self.today.year - back, 1, 1), date(self.today.year - back, 12, 31)
        if m[2] == "month":
            first = add_months(self.today.replace(day=1), -back)
            return self.month(first.year, first.month)
        monday = self.today - timedelta(self.today.weekday() + 7 * back)
        return monday, monday + timedelta(6)

    def ago(self, m: re.Match[str]) -> Days:
        count = 1 if m[1] in ("a", "an", "one") else 2 if m[1] == "a couple of" else _count(m[1])
        if m[2] == "day":
            then = self.today - timedelta(count)
            return then, then
        self.sure = False
        if m[2] == "week":
            then = self.today - timedelta(7 * count)
            return then - timedelta(4), then + timedelta(4)
        months = count * 12 if m[2] == "year" else count
        slack = 6 if m[2] == "year" else 1
        return self._months_ago(months + slack), self._months_ago(max(0, months - slack))

    def ahead(self, m: re.Match[str]) -> Days:
        count = 1 if m[1] in ("a", "an", "one") else 2 if m[1] == "a couple of" else _count(m[1])
        if m[2] == "month":
            self.sure = False
            then = add_months(self.today, count)
            return then - timedelta(15), then + timedelta(15)
        days = count * (7 if m[2] == "week" else 1)
        slack = 3 if m[2] == "week" else 0
        self.sure = not slack and self.sure
        return self.today + timedelta(days - slack), self.today + timedelta(days + slack)

    def old(self, m: re.Match[str]) -> Days:
        self.sure = False
        count = _count(m[1])
        months = count * 12 if m[2] == "year" else count
        unit = 12 if m[2] == "year" else 1
        return self._months_ago(months + unit) + timedelta(1), self._months_ago(months)

    def _months_ago(self, months: int) -> date:
        try:
            return add_months(self.today, -months)
        except ValueError:
            return OLDEST


def _count(text: str) -> int:
    return ONES.index(text) if text in ONES else int(text)


def _month_number(word: str) -> int:
    return next(i for i, short in enumerate(_SHORT) if short and word.startswith(short))


_COUNT = r"([0-9]{1,3}|one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve"
_FORMS: list[tuple[str, str, Callable[[DateForms, re.Match[str]], Days]]] = [
    ("plate", r"(?:an? )?([0-9]{2})[ -]?(?:plate|reg|registration)s?", DateForms.plate),
    ("iso", r"([0-9]{4})[-/.]([0-9]{1,2})[-/.]([0-9]{1,2})", DateForms.iso),
    (
        "figures",
        r"([0-9]{1,2})( ?[-/.] ?| )([0-9]{1,2})(?:[-/.] ?| ?[-/.] ?| )([0-9]{4}|[0-9]{2})",
        DateForms.figures,
    ),
    (
        "day_month",
        rf"(?:the )?{_DAY}[ -]?(?:of |day of )?({MONTH})\.?[ ,-]*(?:of )?{_YEAR}",
        DateForms.day_month,
    ),
    ("month_day", rf"({MONTH})\.? (?:the )?{_DAY},? ([0-9]{{4}})", DateForms.month_day),
    (
        "month_year",
        rf"({MONTH})\.?,?[ -]?(?:of |in )?(?:'?(0[0-9]|[4-9][0-9])|'([0-9]{{2}})|([0-9]{{4}}))",
        DateForms.month_year,
    ),
    ("figure_month", r"([0-9]{1,2}) ?[-/.] ?([0-9]{4})", DateForms.figure_month),
    ("iso_month", r"([0-9]{4})[-/]([0-9]{2})", DateForms.iso_month),
    ("no_year", rf"(?:{_DAY} (?:of )?)?(?:{MONTH})(?: {_DAY})?", DateForms.no_year),
    (
        "part_of_year",
        r"(early|late|mid|middle|beginning|start|end|spring|summer|autumn)[ -]"
        r"(?:of |in )?([0-9]{4})",
        DateForms.part_of_year,
    ),
    ("whole_year", r"([0-9]{4})", DateForms.whole_year),
    ("short_year", r"'([0-9]{2})", DateForms.short_year),
    ("relative_day", r"today|yesterday|tomorrow", DateForms.relative_day),
    ("relative_span", r"(this|last|next) (year|month|week)", DateForms.relative_span),
    ("ago", rf"{_COUNT}|an?|a couple of) (day|week|month|year)s? ago", DateForms.ago),
    ("ahead", rf"in {_COUNT}|an?|a couple of) (day|week|month)s?", DateForms.ahead),
    ("old", rf"{_COUNT}) (year|month)s? old", DateForms.old),
]


def _named_form(name: str, pattern: str) -> str:
    return rf"(?P<{name}>(?<![\w/.]){_uncaptured(pattern)}(?![\w/]))"


def _uncaptured(pattern: str) -> str:
    return re.sub(r"(?<!\\)\((?!\?)", "(?:", pattern)


DATES = re.compile("|".join(_named_form(name, pattern) for name, pattern, _ in _FORMS))


def read_form(forms: DateForms, match: re.Match[str]) -> tuple[Days, str]:
    """The days of one date that DATES found, and the name of its form."""
    name, pattern, read = next(form for form in _FORMS if form[0] == match.lastgroup)
    parts = re.fullmatch(pattern, match[0])
    assert parts is not None
    return read(forms, parts), name
