"""The one way to talk to a person, and what it is made of.

A screen is a list of Lines. Three things can show Lines and ask for words: the rich terminal
(terminal.py), the plain line reader (plain.py), and in tests a script.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol


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


TO_LEAVE = Line("aside", "To leave, type stop.")
"""What is said to Ctrl-C, which only drops the line."""


class Left(Exception):
    """The person has gone: end of input, or a closed window."""


class Asker(Protocol):
    """Something that shows lines and reads one line of words."""

    def show(self, lines: list[Line]) -> None:
        """Shows lines, in order."""

    def get_ready(self) -> None:
        """Loads what reading a line takes, so that nothing begun meanwhile keeps the person."""

    def ask(self, prompt: str) -> str:
        """Reads one line. Raises Left at the end of input; "" where a line was dropped."""
