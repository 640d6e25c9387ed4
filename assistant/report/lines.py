"""What a screen is made of. Everything that is said in the talk is a list of these."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True)
class Line:
    """One paragraph. kind says what it is; indent is in characters.

    Kinds: "title", "text", "place", "question", "choice", "hint", "caution", "heard", "found",
    "danger", "aside", "blank" and "picture". The words carry the meaning; a colour only repeats
    it. A picture has its rows in its text, is never wrapped, and is left out where it is too wide;
    a line beside it says the same in words.
    """

    kind: str
    text: str = ""
    indent: int = 0


PREFIX = {"caution": "Caution: ", "heard": "Understood: ", "found": "Found: "}
"""Words put before a line of that kind, so that no meaning hangs on colour."""


def printable(text: str) -> str:
    """Text without anything that could move a cursor or change a colour."""
    return "".join(c if c.isprintable() else " " for c in text)


def texts(rows: Iterable[str], indent: int = 0) -> list[Line]:
    """Each row as a paragraph of plain text."""
    return [Line("text", row, indent) for row in rows]


def numbered(rows: Iterable[str]) -> list[Line]:
    """Rows to choose from, by their number."""
    return [Line("choice", f"{number}. {row}", 2) for number, row in enumerate(rows, start=1)]


def titled(title: str, rows: Iterable[str]) -> list[Line]:
    """Rows under a title; nothing at all where there are none."""
    lines = texts(rows, 2)
    return [Line("title", title), *lines] if lines else []
