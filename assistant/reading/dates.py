"""Reading a date, a month, a year or a span of them, as a range of day numbers.

Figures are read day first. What lies further ahead than the question says is refused.
"""

from __future__ import annotations

import calendar
import re
from datetime import date, timedelta

from assistant.calculations.dates import add_months
from assistant.journal.entries import Answer
from assistant.reading.date_forms import (
    DATES,
    MONTH,
    MONTHS,
    OLDEST,
    ORDINALS,
    DateForms,
    Days,
    ImpossibleDate,
    NoYear,
    read_form,
)
from assistant.reading.figures import digits
from assistant.reading.forms import forms, word_list
from assistant.reading.result import Unclear, Understood, shortened, unclear
from assistant.reading.text import FILLERS, HEDGES, NEGATIONS, near, spoken, words_of
from assistant.ruleset.models import Question
from assistant.ruleset.words import date_words


def read_date(words: str, question: Question, today: date) -> Understood | Unclear:
    """An answer to a date question that is not a refusal."""
    latest = add_months(today, question.ahead) if question.ahead else today
    reader = _Sentence(today, latest)
    try:
        shape = reader.shape(spoken(words)[:1000])
        days, sure = reader.days(shape)
    except NoYear as missing:
        offers = [f"{missing} {year}" for year in range(latest.year, today.year - 3, -1)]
        if short := re.fullmatch(r"(\D+) ([0-9]{1,2})", str(missing)):
            offers.insert(0, f"{short[1]} {reader.forms.year(short[2])}")
        offers = [offer for offer in offers if _is_possible(offer, today, latest)]
        return unclear(words, question, *offers, because=f"{shortened(words)} lacks a year")
    except ImpossibleDate as wrong:
        return unclear(words, question, because=str(wrong))
    except (ValueError, OverflowError):
        return unclear(words, question, because="That is outside the calendar")
    if days is None:
        return unclear(words, question, because=_TWO_DATES if shape.count("#") > 1 else "")
    low, high = days
    if low > latest:
        because = f"{said_days(low, high)} is in the future, and this has happened already"
        if question.ahead:
            because = f"{said_days(low, high)} is further ahead than {date_words(latest)}"
        return unclear(words, question, because=because)
    low, high = max(low, OLDEST), min(high, latest)
    if low > high:
        return unclear(words, question, because=f"No car is older than {OLDEST.year}")
    answer = Answer(lo=float(low.toordinal()), hi=float(high.toordinal()))
    return Understood(answer, said_days(low, high), sure and reader.forms.sure)


def _is_possible(words: str, today: date, latest: date) -> bool:
    reader = _Sentence(today, latest)
    try:
        days, _ = reader.days(reader.shape(words.casefold()))
    except (ValueError, OverflowError):
        return False
    return days is not None and OLDEST <= days[0] <= latest


def said_days(low: date, high: date) -> str:
    """A day, a month, a year or a span of them in words."""
    if low == high:
        return date_words(low)
    whole_months = low.day == 1 and high.day == calendar.monthrange(high.year, high.month)[1]
    whole_years = whole_months and low.month == 1 and high.month == 12
    if whole_years:
        return str(low.year) if low.year == high.year else f"between {low.year} and {high.year}"
    if whole_months and (low.year, low.month) == (high.year, high.month):
        return f"{calendar.month_name[low.month]} {low.year}"
    return f"between {date_words(low)} and {date_words(high)}"


class _Sentence:
    """Replaces each date in a sentence by "#" and keeps what it stands for, in order."""

    def __init__(self, today: date, latest: date) -> None:
        self.today = today
        self.latest = latest
        self.forms = DateForms(today, latest)
        self.found: list[tuple[Days, str]] = []

    def shape(self, text: str) -> str:
        """The sentence with a "#" for each date."""
        text = re.sub(
            r"\b(" + "|".join(ORDINALS) + r")(?= (?:of )?(?:" + MONTH + r")\b)",
            lambda m: str(ORDINALS[m[1]]),
            text,
        )
        if not re.search(r"[0-9]", text):
            text = re.sub(r"\b(19|20) ([0-9]{2})\b", r"\1\2", digits(text))
        text = re.sub(r"\bmay (?=be\b|have\b)", "maybe ", text)
        text = _IT_SAYS.sub("", _WHERE_IT_SAYS.sub("", text))
        text = _END_OF.sub(r"\1 20\2", text)
        text = _PLATE_TOO.sub("", _BOUGHT_TOO.sub("", text))
        text = re.sub(rf"\b({MONTH}) (?:just gone|gone|last),?", r"\1", text)
        text = _THOUSANDS.sub(lambda m: digits(m[0]), text)
        text = re.sub(r"[^\W\d_]{5,}", self._month_spelling, text)
        text = re.sub(r"\b(?:mon|tues?|wed(?:nes)?|thurs?|fri|satur|sun)day\b,?", " ", text)
        text = self._shared_year(text)
        at = 0
        shape: list[str] = []
        for match in DATES.finditer(text):
            shape.append(text[at : match.start()])
            self.found.append(read_form(self.forms, match))
            shape.append(" # ")
            at = match.end()
        return " ".join("".join((*shape, text[at:])).split())

    def _shared_year(self, text: str) -> str:
        """ "March to May 2015" gives March its year too."""
        return re.sub(
            rf"\b((?:[0-9]{{1,2}} )?(?:{MONTH})) (to|or|and|-) "
            rf"((?:[0-9]{{1,2}} )?(?:{MONTH}),? ([0-9]{{4}}))\b",
            lambda m: f"{m[1]} {m[4]} {m[2]} {m[3]}",
            text,
        )

    def _month_spelling(self, match: re.Match[str]) -> str:
        word = match[0]
        if word in MONTHS:
            return word
        for month in MONTHS[1:]:
            if len(month) > 4 and near(word, month):
                self.forms.sure = False
                return month
        return word

    def days(self, shape: str) -> tuple[Days | None, bool]:
        """The days that a shape means, and whether nothing else of weight was said."""
        kept, plain = _operators_only(shape)
        if kept is None or not self.found:
            return None, False
        if re.fullmatch(r"#(?: (?:or )?#)+", kept) and (one := self._closest()):
            return one, False
        low, high = self.found[0][0]
        last = self.found[-1][0]
        if re.fullmatch(r"#", kept):
            return (low, high), plain
        if _SPANS["about"].fullmatch(kept):
            kept_as_is = self.found[0][1] in ("ago", "old", "part_of_year")
            return ((low, high) if kept_as_is else self._about(low, high)), plain
        if kept == "# and #" and all(first == end for (first, end), _ in self.found):
            return None, False
        if _SPANS["between"].fullmatch(kept):
            return (min(low, last[0]), max(high, last[1])), plain
        if self.latest > self.today and _SPANS["by_then"].fullmatch(kept):
            return (low, high), plain
        if _SPANS["before"].fullmatch(kept):
            return (OLDEST, low - timedelta(1)), plain
        if _SPANS["until"].fullmatch(kept):
            return (OLDEST, high), plain
        if _SPANS["after"].fullmatch(kept):
            return (high + timedelta(1), max(self.latest, high + timedelta(1))), plain
        if _SPANS["since"].fullmatch(kept):
            return (low, max(self.latest, low)), plain
        return None, False

    def _closest(self) -> Days | None:
        """What several spans have in common: "March 2014, it's on a 14 plate"."""
        low = max(days[0] for days, _ in self.found)
        high = min(days[1] for days, _ in self.found)
        return (low, high) if low <= high else None

    def _about(self, low: date, high: date) -> Days:
        if low == high:
            return low - timedelta(30), high + timedelta(30)
        if (high - low).days < 40:
            return add_months(low, -1), add_months(high + timedelta(1), 1) - timedelta(1)
        return date(low.year - 1, 1, 1), date(high.year + 1, 12, 31)


_TWO_DATES = "I heard more than one date. Where papers name two, type the earlier one"
_FORMS = forms("dates")
_IT_SAYS = re.compile(_FORMS["it_says"])
_END_OF = re.compile(rf"\b(?:the )?(?:very )?(?:end|start|beginning) of ({MONTH}) '?([0-9]{{2}})$")
_PLATE_TOO = re.compile(_FORMS["plate_too"])
"""A year said beside the plate is the year."""
_BOUGHT_TOO = re.compile(_FORMS["bought_too"])
_THOUSANDS = re.compile(r"\btwo thousand(?: and)? [a-z]+(?:[ -][a-z]+)?\b")
_WHERE_IT_SAYS = re.compile(_FORMS["where_it_says"])
"""Where a date was read."""
_SPANS = {
    name: re.compile(_FORMS[name])
    for name in ("about", "between", "by_then", "before", "until", "after", "since")
}
_OPERATORS = word_list("dates", "operators")
_AROUND = FILLERS | word_list("dates", "around")


def _operators_only(shape: str) -> tuple[str | None, bool]:
    plain = True
    kept: list[str] = []
    for word in re.findall(r"[^\W\d_]+|[0-9]+|[#~-]|[,/.;:?!()']", shape):
        if word == "#" or word in _OPERATORS:
            kept.append(word)
        elif word.isdigit() or word == "/":
            return None, False
        elif word in HEDGES or (word not in _AROUND and word not in ",.;?!"):
            plain = False
    ends = r"^(?:(?:or|and|so|to|say) )+(?=#)|(?<=#)(?! or so$)(?: (?:or|and|so|to|-|from))+$"
    text = re.sub(ends, "", " ".join(kept))
    return (None if NEGATIONS & set(words_of(shape)) - set(text.split()) else text), plain
