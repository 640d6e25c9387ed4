"""The first screen. What comes after it is loaded while the person reads and types, so nothing
that takes long to load is imported here before the screen is shown."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from pathlib import Path
from threading import Thread
from typing import TYPE_CHECKING

from assistant.dialogue.asking import Asker, Left, Line
from assistant.dialogue.wording import clean

if TYPE_CHECKING:
    from assistant.dialogue.talk import Talk
    from assistant.knowledge.ruleset import Ruleset

__all__ = ["ask_name", "open_talk", "typed"]

DONE = 0


def open_talk(
    load: Callable[[], Ruleset],
    asker: Asker,
    home: Path,
    *,
    today: dt.date,
    car: str | None,
    new: bool,
    talk: type[Talk] | None = None,
) -> int:
    """Starts a consultation, or goes on with one. Returns the exit code. talk: the sort of talk.

    A person without a record is asked for a name while the ruleset is loaded, which takes a
    second the first time.
    """
    asker.show(
        [
            Line("title", "Sidelight - a walk round your car before its inspection"),
            Line("text", "Leave whenever you like with 'stop': every answer is kept."),
        ]
    )
    try:
        if not car and not any(home.glob("*/*.jsonl")):
            asker.show([Line("blank")])
            loading = _Loading(load)
            car = ask_name(asker, loading.start)
            load = loading.result
        from assistant.dialogue.opening import choose, walk

        ruleset = load()
        journal = choose(ruleset, asker, home, today, car, new)
    except Left:
        asker.show([Line("text", "Nothing was started, and nothing is kept.")])
        return DONE
    walk(ruleset, journal, asker, talk)
    return DONE


class _Loading:
    """A ruleset that is loaded and handed to the engine while the person types."""

    def __init__(self, load: Callable[[], Ruleset]) -> None:
        self._load = load
        self._made: Ruleset | Exception | None = None
        self._thread = Thread(target=self._run, daemon=True)
        self.start = self._thread.start

    def _run(self) -> None:
        try:
            from assistant.reasoning.consultation import engine_for

            ruleset = self._load()
            engine_for(ruleset).prepare()
            self._made = ruleset
        except Exception as error:
            self._made = error

    def result(self) -> Ruleset:
        """Waits for it. Raises what loading it raised."""
        self._thread.join()
        assert self._made is not None
        if isinstance(self._made, Exception):
            raise self._made
        return self._made


def ask_name(asker: Asker, meanwhile: Callable[[], object]) -> str:
    """What to call the car. meanwhile: what is begun once the question can be read."""
    asker.show([Line("question", "What shall I call this car? Its number plate, or any name.")])
    meanwhile()
    while True:
        name = typed(asker, "> ")[:60]
        if name:
            return name
        asker.show([Line("aside", "Type a few letters, so that the record can be found again.")])


def typed(asker: Asker, prompt: str) -> str:
    """What was typed, cleaned. Raises Left where the person wants to stop."""
    from assistant.dialogue.commands import Command, command_of  # what is asked is shown by now

    words = clean(asker.ask(prompt))
    heard = command_of(words)
    if heard is not None and heard.command is Command.STOP:
        raise Left
    return words
