"""A person made of a list of answers: for demos and tests."""

from __future__ import annotations

from collections.abc import Iterable

from assistant.report.lines import Line
from assistant.talk.asking import Left, wrapped


class ScriptedAsker:
    """Answers from a list; keeps all that was shown. Leaves when the list is empty."""

    def __init__(self, answers: Iterable[str], width: int = 80) -> None:
        self._answers = iter(answers)
        self._width = width
        self.lines: list[Line] = []
        self.rows: list[str] = []

    def show(self, lines: list[Line]) -> None:
        self.lines += lines
        self.rows += [row for line in lines for row in wrapped(line, self._width)]

    def get_ready(self) -> None:
        """Nothing is to be loaded."""

    def ask(self, prompt: str) -> str:
        try:
            words = next(self._answers)
        except StopIteration:
            raise Left from None
        self.rows.append(prompt + words)
        return words

    @property
    def text(self) -> str:
        """Everything that was shown and typed so far."""
        return "\n".join(self.rows)
