"""Hears a danger at the questions that come before the talk: a name, which walk, the same car."""

from __future__ import annotations

from assistant.reading.danger_words import DangerTold, dangers_told
from assistant.reading.text import TOO_LONG, clean, in_pieces
from assistant.report.lines import Line
from assistant.ruleset.ruleset import Ruleset
from assistant.ruleset.words import URGENCY_WORDS
from assistant.talk.asking import Asker


class Listening:
    """Stands between the person and a question. heard: the dangers that were told, in order."""

    def __init__(self, asker: Asker, ruleset: Ruleset) -> None:
        self._asker = asker
        self._ruleset = ruleset
        self.heard: list[DangerTold] = []

    def show(self, lines: list[Line]) -> None:
        self._asker.show(lines)

    def get_ready(self) -> None:
        self._asker.get_ready()

    def ask(self, prompt: str) -> str:
        """What was typed. A danger is answered at once, kept for the talk, and the question put
        again."""
        while True:
            pieces = in_pieces(words := self._asker.ask(prompt))
            told = next(filter(self.tells, pieces), None)
            if told is None:
                return words
            if len(pieces) > 1:
                self.show([Line("aside", f"{TOO_LONG} I keep the part about the danger.")])
            self.show([Line("text", "When you can, answer this too, so that it can be kept.")])

    def tells(self, words: str) -> bool:
        """Whether words tell of a danger; if so, says what to do."""
        words = clean(words)
        dangers = dangers_told(self._ruleset, words)
        if not dangers or self._ruleset.words is None:
            return False
        self.heard.append(DangerTold(words, dangers))
        every = [self._ruleset.words.dangers[name] for name in dangers]
        gravest = min((one.urgency for one in every), key=lambda urgency: urgency.rank)
        lines = [Line("blank"), Line("danger", f" {URGENCY_WORDS[gravest].upper()} ")]
        for one in every:
            lines += [Line("text", one.first), Line("text", one.then)]
            lines.append(Line("text", f"Whom to call: {one.call}."))
        self.show([*lines, Line("blank")])
        return True
