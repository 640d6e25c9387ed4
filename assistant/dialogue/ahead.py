"""A question that is shown before the talk it belongs to is ready."""

from __future__ import annotations

from collections.abc import Callable

from assistant.dialogue.asking import Asker, Left
from assistant.report.lines import Line


class AskedAhead:
    """Shows lines and reads the answer to them; then stands between the talk and the person.

    As long as the talk shows those same lines they are not shown again, and its first question
    gets the answer that is there already. As soon as it shows anything else, that and all that
    follows is shown, and the person is asked anew: an answer never goes to another question.
    """

    def __init__(self, asker: Asker, lines: list[Line]) -> None:
        self._asker = asker
        self._shown = lines
        self._answer: str | Left | None = None

    def ask_ahead(self, prompt: str, meanwhile: Callable[[], object]) -> None:
        """Shows the lines and reads the answer; that the person has gone is an answer too.

        meanwhile: what is begun once the lines can be read and answered.
        """
        self._asker.show(self._shown)
        self._asker.get_ready()
        meanwhile()
        try:
            self._answer = self._asker.ask(prompt)
        except Left as gone:
            self._answer = gone

    def show(self, lines: list[Line]) -> None:
        """Shows the lines that are not on the screen yet."""
        for number, line in enumerate(lines):
            if self._shown[:1] != [line]:
                self._shown, self._answer = [], None
                self._asker.show(lines[number:])
                return
            self._shown = self._shown[1:]

    def get_ready(self) -> None:
        """It was, when the question was asked ahead."""

    def ask(self, prompt: str) -> str:
        """The answer that was given ahead, where all its lines were the talk's; else asks."""
        answer = None if self._shown else self._answer
        self._shown, self._answer = [], None
        if isinstance(answer, Left):
            raise answer
        return self._asker.ask(prompt) if answer is None else answer
