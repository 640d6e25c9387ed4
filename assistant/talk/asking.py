"""How a person is shown lines and asked for one: the contract, and the plain way.

A screen is a list of Lines. Three things can show Lines and ask for words: the rich terminal
(terminal.py), the plain line reader here, and in tests a script.
"""

from __future__ import annotations

import contextlib
import io
import shutil
import sys
import textwrap
from collections.abc import Callable
from typing import Protocol, TextIO

from assistant.reading.text import LONGEST_NAME, NAME_TOO_LONG, clean
from assistant.report.lines import PREFIX, Line, printable

TO_LEAVE = Line("aside", "To leave, type stop.")
"""What is said to Ctrl-C, which only drops the line."""


class Left(Exception):
    """The person has gone: end of input, or a closed window."""


class Stopped(Left):
    """The person has typed "stop" at a question of ours, and so has confirmed nothing."""


class Asker(Protocol):
    """Something that shows lines and reads one line of words."""

    def show(self, lines: list[Line]) -> None:
        """Shows lines, in order."""

    def get_ready(self) -> None:
        """Loads what reading a line takes, so that background work cannot delay the prompt."""

    def ask(self, prompt: str) -> str:
        """Reads one line. Raises Left at the end of input; "" where a line was dropped."""


def wrapped(line: Line, width: int) -> list[str]:
    """A line as text rows no wider than width (at least 20); a picture whole or not at all."""
    if line.kind == "blank":
        return [""]
    if line.kind == "picture":
        rows = [" " * line.indent + printable(row) for row in line.text.split("\n")]
        return rows if max(map(len, rows)) <= width else []
    width = max(20, width)
    first = " " * line.indent
    rest = first + ("   " if line.kind == "choice" else "")
    text = printable(PREFIX.get(line.kind, "") + line.text)
    return textwrap.wrap(
        text, width, initial_indent=first, subsequent_indent=rest, break_on_hyphens=False
    ) or [""]


class PlainAsker:
    """The plain line reader: for pipes, dumb terminals, screen readers and --plain.

    No colour, no borders, no redraw: text goes out once, from top to bottom.
    """

    def __init__(self, source: TextIO | None = None, target: TextIO | None = None) -> None:
        self._source: TextIO = source or sys.stdin or io.StringIO()
        self._target: TextIO = target or sys.stdout or io.StringIO()
        if isinstance(self._source, io.TextIOWrapper):
            with contextlib.suppress(io.UnsupportedOperation):
                self._source.reconfigure(errors="replace")
        self._echo = not self._source.isatty()

    def show(self, lines: list[Line]) -> None:
        width = min(80, shutil.get_terminal_size((80, 24)).columns) - 1
        for line in lines:
            for row in wrapped(line, width):
                self._write(row + "\n")
        self._target.flush()

    def get_ready(self) -> None:
        """Nothing is to be loaded."""

    def ask(self, prompt: str) -> str:
        self._write(prompt)
        self._target.flush()
        try:
            text = self._source.readline(100_001)
        except UnicodeDecodeError:
            self._write("\n")
            return "\ufffd"
        except KeyboardInterrupt:
            self._write("\n")
            self.show([TO_LEAVE])
            return ""
        if not text:
            self._write("\n")
            raise Left
        while len(text) > 100_000 and not text.endswith("\n"):
            more = self._source.readline(100_001)
            if not more or more.endswith("\n"):
                break
        if self._echo:
            shown = printable(text.rstrip("\r\n"))
            self._write((shown if len(shown) <= 200 else f"{shown[:200]} ...") + "\n")
        return text.rstrip("\r\n")

    def _write(self, text: str) -> None:
        encoding = getattr(self._target, "encoding", None) or "utf-8"
        self._target.write(text.encode(encoding, "replace").decode(encoding))


def ask_name(asker: Asker, meanwhile: Callable[[], object], at_once: bool = False) -> str:
    """What to call the car. meanwhile: what is begun once it can be answered.

    at_once: words that are no name are given back as well: they may tell a danger.
    """
    asker.show([Line("question", "What shall I call this car? Its number plate, or any name.")])
    asker.get_ready()
    meanwhile()
    while True:
        name = typed(asker, "> ")
        said = why_no_name(name)
        if said is None or (name and at_once):
            return name
        asker.show([Line("aside", said)])


def why_no_name(words: str) -> str | None:
    """What is said where words are no name for a car: nothing, a command, or a time."""
    from assistant.reading.commands import command_of
    from assistant.reading.plan_words import time_of

    if len(words) > LONGEST_NAME:
        return NAME_TOO_LONG
    if not words:
        return "Type a few letters, so that the record can be found again."
    if time_of(words) is not None:
        return "Tell me that again once we have begun. First, a name for the car: any will do."
    if command_of(words) is not None:
        return (
            "First, a name for the car: its number plate, or any name. Then help, why, how, "
            "back and stop work at every question."
        )
    return None


def typed(asker: Asker, prompt: str) -> str:
    """What was typed, cleaned. Raises Left where the person wants to stop."""
    from assistant.reading.command_words import Command
    from assistant.reading.commands import command_of

    words = clean(asker.ask(prompt))
    heard = command_of(words)
    if heard is not None and heard.command is Command.STOP:
        raise Left
    return words
