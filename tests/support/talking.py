"""A talk with a scripted person, and a look at the talk each time the person is asked."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from assistant.choosing.agenda import Prompt
from assistant.journal.entries import Answer, Context, Entry, fold
from assistant.journal.file import JournalFile, read_journal
from assistant.report.lines import Line
from assistant.ruleset.ruleset import Ruleset
from assistant.talk.talk import Talk
from tests.support.saying import DAY
from tests.support.scripted import ScriptedAsker


@dataclass(frozen=True)
class Moment:
    """What stood when something was typed: the open prompt, and all lines since the last time."""

    words: str
    prompt: str
    key: str
    place: str | None
    lines: tuple[Line, ...]
    entries: int

    @property
    def text(self) -> str:
        return "\n".join(line.text for line in self.lines)

    def kinds(self) -> list[str]:
        return [line.kind for line in self.lines]


class WatchedAsker(ScriptedAsker):
    """Keeps a Moment for each thing typed; the last one is where the script ended."""

    def __init__(self, answers: Iterable[str], width: int = 80) -> None:
        super().__init__(answers, width)
        self.talk: Talk | None = None
        self.moments: list[Moment] = []
        self._seen = 0

    def ask(self, prompt: str) -> str:
        assert self.talk is not None
        now = self.talk.plan.next
        key = now.key if now else ""
        lines = tuple(self.lines[self._seen :])
        self._seen = len(self.lines)
        place, count = self.talk.place, len(self.talk.journal)
        try:
            words = super().ask(prompt)
        except BaseException:
            self.moments.append(Moment("", prompt, key, place, lines, count))
            raise
        self.moments.append(Moment(words, prompt, key, place, lines, count))
        return words


class Walk:
    """One record on the disk, talked about once or several times."""

    def __init__(self, ruleset: Ruleset, folder: Path, entries: list[Entry] | None = None) -> None:
        self.ruleset = ruleset
        self.path = folder / "car" / "walk.jsonl"
        context = Context(today=DAY, ruleset=ruleset.about.name, digest=ruleset.digest)
        first = entries[0] if entries else context
        assert isinstance(first, Context)
        with JournalFile.create(self.path, first) as journal:
            if entries and entries[1:]:
                journal.append(entries[1:])
        self.finished = False

    def type(self, *answers: str, prompt: str | None = None) -> WatchedAsker:
        """Opens the record and types the answers; then the person leaves.

        prompt: ask this one of the open prompts, instead of all in turn.
        """
        asker = WatchedAsker(answers)
        with JournalFile.open(self.path) as journal:
            asker.talk = self.talk = Talk(self.ruleset, journal, asker, lambda: "10:00")
            if prompt is None:
                self.finished = self.talk.run()
            else:
                (found,) = [p for p in self.talk.plan.prompts if p.key == prompt]
                self.talk.turn(found)
        return asker

    @property
    def journal(self) -> list[Entry]:
        return read_journal(self.path)

    @property
    def answers(self) -> dict[str, Answer]:
        """What stands on the disk, by "question" or "question@part"."""
        state = fold(self.journal)
        return {f"{q}@{at}" if at else q: said.answer for (q, at), said in state.answers.items()}

    @property
    def prompts(self) -> tuple[Prompt, ...]:
        """All that a talk would ask now, in order."""
        with JournalFile.open(self.path) as journal:
            return Talk(self.ruleset, journal, ScriptedAsker([]), lambda: "").plan.prompts

    @property
    def next(self) -> str:
        """The key of the prompt that a talk would begin with now."""
        return self.prompts[0].key if self.prompts else ""
