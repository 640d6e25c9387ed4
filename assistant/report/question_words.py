"""How one question is worded on the screen. Nothing that takes long to load is imported here."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from assistant.knowledge.grammar import plural, upper
from assistant.report.lines import Line, numbered

HINT = "You can also type: help, how, why, back, found, what if, stop, don't know, can't look."


def about_line(inspection: str, notice: str) -> Line:
    """What the walk is for, and what it cannot tell."""
    return Line("text", f"For {inspection}. {notice}")


def record_line(path: Path) -> Line:
    """Where the answers are kept."""
    return Line("aside", f"Your record is kept in {path}")


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
