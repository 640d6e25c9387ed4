"""The one way to talk to a person.

A screen is a list of Lines. Three things can show Lines and ask for words: the rich terminal
(terminal.py), the plain line reader (plain.py), and in tests a script.
"""

from __future__ import annotations

from typing import Protocol

from assistant.report.lines import Line

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
