"""The plain line reader: for pipes, dumb terminals, screen readers and --plain.

No colour, no borders, no redraw: text goes out once, from top to bottom.
"""

from __future__ import annotations

import contextlib
import io
import shutil
import sys
import textwrap
from typing import TextIO

from assistant.report.lines import PREFIX, Line, printable
from assistant.talk.asking import TO_LEAVE, Left


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
    """Reads lines from one stream and writes plain text to another."""

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
