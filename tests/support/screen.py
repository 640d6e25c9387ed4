"""The real program in a terminal that answers as a real one does: pexpect and pyte."""

from __future__ import annotations

import os
import re
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pexpect
import pyte

ROOT = Path(__file__).resolve().parent.parent.parent


def environment(records: Path, **more: str) -> dict[str, str]:
    """A clean environment: records in a folder of the test, nothing from the developer's own."""
    kept = {k: v for k, v in os.environ.items() if k in ("PATH", "LANG", "LC_ALL", "VIRTUAL_ENV")}
    return {
        **kept,
        "HOME": str(records),
        "XDG_CACHE_HOME": str(ROOT / ".pytest_cache" / "sidelight"),
        "PYTHONPATH": str(ROOT),
        "PYTHONIOENCODING": "utf-8",
        "SIDELIGHT_RECORDS": str(records),
        "TERM": "xterm-256color",
        **more,
    }


class Screen:
    """A running program and what its screen shows, with all that has scrolled away."""

    def __init__(
        self, arguments: list[str], records: Path, columns: int = 80, rows: int = 24, **env: str
    ) -> None:
        self.columns = columns
        self._screen = pyte.HistoryScreen(columns, rows, history=10_000, ratio=0.5)
        self._screen.write_process_input = self._reply  # type: ignore[method-assign]
        self._stream = pyte.Stream(self._screen)
        self.raw = ""
        self._typed = 0
        self.left: list[object] = []
        self.child = pexpect.spawn(
            sys.executable,
            ["-m", "assistant", *arguments],
            dimensions=(rows, columns),
            env=environment(records, **env),
            encoding="utf-8",
            codec_errors="replace",
            cwd=str(records),
            timeout=10,
        )
        self.child.delaybeforesend = None

    def _reply(self, data: str) -> None:
        self.child.send(data)

    def __enter__(self) -> Screen:
        return self

    def __exit__(self, *_: object) -> None:
        self.child.close(force=True)

    def pump(self, seconds: float = 0.05) -> bool:
        """Takes what the program has written; False once it has ended."""
        try:
            new = self.child.read_nonblocking(65_536, timeout=seconds)
        except pexpect.TIMEOUT:
            return True
        except pexpect.EOF:
            return False
        self.raw += new
        self._stream.feed(new)
        return True

    @property
    def rows(self) -> list[str]:
        """Every row, those that scrolled away first."""
        above = [
            "".join(row[x].data for x in range(self.columns)) for row in self._screen.history.top
        ]
        return [row.rstrip() for row in (*above, *self._screen.display)]

    @property
    def text(self) -> str:
        """The rows as running text, so that a line break does not split what is looked for."""
        return " ".join(" ".join(self.rows).split())

    def wait(self, until: Callable[[], bool], what: str, seconds: float = 30.0) -> None:
        end = time.monotonic() + seconds
        while not until():
            alive = self.pump()
            if until():
                return
            assert alive, f"it ended before {what}:\n" + "\n".join(self.rows)
            assert time.monotonic() < end, f"no {what}:\n" + "\n".join(self.rows)

    def asked(self, question: str = "?") -> str:
        """Waits until the program asks this and listens; returns all it said since the answer."""
        self.wait(lambda: question in self.since() and self._listening(), question)
        return self.since()

    def since(self) -> str:
        """What stands below the last answer, or nothing while that is not on the screen yet."""
        rows = self.rows
        answered = [i for i, row in enumerate(rows) if re.match("(card )?> .", row)]
        if len(answered) < self._typed:
            return ""
        return " ".join(" ".join(rows[answered[-1] if answered else 0 :]).split())

    def _listening(self) -> bool:
        """Whether a prompt is the last thing shown, but for the quiet line at the bottom."""
        shown = [row for row in self._screen.display if row.strip()]
        shown = shown[:-1] if shown and shown[-1].rstrip().endswith(", stop") else shown
        return bool(shown) and shown[-1].rstrip().endswith(">")

    def type(self, words: str) -> None:
        self.child.send(words + "\r")
        self._typed += 1

    def answer(self, question: str, words: str) -> None:
        self.asked(question)
        self.type(words)

    def ended(self) -> int:
        """Waits for the end; the exit code, or minus the signal."""
        end = time.monotonic() + 30
        while self.pump() and time.monotonic() < end:
            pass
        import termios  # not on every system

        self.left = termios.tcgetattr(self.child.child_fd)
        self.child.close()
        if self.child.signalstatus is not None:
            return -int(self.child.signalstatus)
        return int(self.child.exitstatus or 0)
