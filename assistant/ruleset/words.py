"""Answers, numbers and dates in plain words. The only place that turns a value into text."""

from __future__ import annotations

import datetime as dt

from assistant.journal.entries import Answer
from assistant.ruleset.models import Question, Urgency

URGENCY_WORDS: dict[Urgency, str] = {
    Urgency.STOP_NOW: "Stop now",
    Urgency.DO_NOT_DRIVE: "Do not drive",
    Urgency.HAVE_LOOKED_AT: "Have it looked at before driving",
    Urgency.GENTLY_TO_GARAGE: "Drive gently, straight to a garage",
    Urgency.BEFORE_INSPECTION: "Put right before the inspection",
    Urgency.KEEP_AN_EYE: "Keep an eye on it",
    Urgency.NOTHING: "Nothing to do",
}

_STATES = {"dont_know": "don't know", "cant_look": "can't look now", "not_fitted": "not fitted"}


def number_words(value: float) -> str:
    """A number without needless noughts: 2, 1.5, 0.25."""
    return f"{value:.4f}".rstrip("0").rstrip(".")


def date_words(day: dt.date) -> str:
    """A date in words: 3 March 2015."""
    return f"{day.day} {day:%B} {day.year}"


def range_words(lo: float, hi: float, unit: str) -> str:
    """A number or a range with its unit: "2 mm", "between 1 and 2 mm"; days of "date" as dates."""
    if unit == "date":
        first, last = (date_words(dt.date.fromordinal(int(value))) for value in (lo, hi))
        return first if first == last else f"between {first} and {last}"
    tail = "" if unit in ("", "count") else f" {unit}"
    if lo == hi:
        return f"{number_words(lo)}{tail}"
    return f"between {number_words(lo)} and {number_words(hi)}{tail}"


def share_words(share: float) -> str:
    """A share as whole percent; "under 1%" is not "0%", and "over 99%" is not "100%"."""
    if 0 < share < 0.005:
        return "under 1%"
    return "over 99%" if 0.995 <= share < 1 else f"{share:.0%}"


def in_short(words: str, most: int = 160) -> str:
    """Somebody's words as they are shown on one screen; dots stand for what is left out there."""
    return words if len(words) <= most else f"{words[:most].rstrip()} ..."


def answer_words(question: Question, answer: Answer) -> str:
    """A typed answer as a person would say it."""
    if answer.state == "not_fitted" and question.absent:
        return question.absent[0]
    if answer.state != "value":
        return _STATES[answer.state]
    if answer.text is not None:
        return answer.text
    if answer.word is not None:
        return question.choices[answer.word].say if question.choices else answer.word
    if answer.words is not None:
        says = [question.choices[w].say for w in question.choices if w in answer.words]
        return "; ".join(says) if says else "none of these"
    assert answer.lo is not None and answer.hi is not None
    unit = "date" if question.kind == "date" else question.unit or ""
    return range_words(answer.lo, answer.hi, unit)
