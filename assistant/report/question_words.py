"""How one question is worded on the screen."""

from __future__ import annotations

from collections.abc import Iterable

from assistant.report.lines import Line, numbered
from assistant.ruleset.grammar import plural, upper

HINT = "You can also type: help, how, why, back, found, what if, stop, don't know, can't look."


def car_words(place: str, count: int) -> str:
    """Above a question about the car. count: how many of them are left."""
    left = plural(count, "short question")
    return f"{upper(place)} - {left} first, to know what concerns it"


def choice_lines(says: Iterable[str], kind: str, unit: str) -> list[Line]:
    """What follows a single question: its choices, and what an answer looks like."""
    return [*numbered(says), Line("hint", answer_hint(kind, unit))]


def answer_hint(kind: str, unit: str) -> str:
    """What an answer to this kind of question looks like."""
    return {
        "yes_no": "Type yes or no.",
        "one_of": "Type a number or the words.",
        "some_of": "Type one or more numbers, or: none.",
        "quantity": f"Type a number in {unit}, or a range. 'About' is fine.",
        "count": "Type a number.",
        "date": "Type a date, a month and year, or just the year.",
        "note": "Type it in your own words, or as it stands there.",
    }[kind]
