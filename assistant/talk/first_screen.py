"""The first screen. What comes after it is loaded while the person reads and types, so nothing
that takes long to load is imported here before the screen is shown."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from pathlib import Path
from threading import Thread
from typing import TYPE_CHECKING

from assistant.errors import DONE
from assistant.journal.paths import journal_paths
from assistant.reading.text import LONGEST_NAME, NAME_TOO_LONG, clean
from assistant.report.lines import Line
from assistant.talk.asking import Asker, Left, ask_name, why_no_name

if TYPE_CHECKING:
    from assistant.ruleset.ruleset import Ruleset
    from assistant.talk.talk import Talk


def open_talk(
    load: Callable[[], Ruleset],
    asker: Asker,
    home: Path,
    *,
    today: dt.date,
    car: str | None,
    new: bool,
    talk_class: type[Talk] | None = None,
    records: Path | None = None,
) -> int:
    """Starts a consultation, or goes on with one. Returns the exit code.

    talk_class: Talk or a subclass. records: the folder for the records, where one was named.
    Loading the ruleset takes a second the first time. Meanwhile a person without a record is
    asked for a name.
    """
    asker.show(
        [
            Line("title", "Sidelight - a walk round your car before its inspection"),
            Line("text", "Leave whenever you like with 'stop': every answer is kept."),
        ]
    )
    car = clean(car or "")
    if len(car) > LONGEST_NAME:
        asker.show([Line("aside", NAME_TOO_LONG)])
        car = ""
    loading = _Loading(load)
    named = False
    try:
        if not car and not journal_paths(home):
            asker.show([Line("blank")])
            car = ask_name(asker, loading.start, at_once=True)
            named = True
        from assistant.reasoning.inferring import engine_for
        from assistant.talk.opening import Listening, choose, walk

        ruleset = loading.result()
        before = Listening(asker, ruleset)
        if named:
            tells, said = before.tells(car), why_no_name(car)
            if tells or said:
                asker.show([Line("aside", said)] if said and not tells else [])
                car = ask_name(before, engine_for(ruleset).prepare)
        journal = choose(ruleset, before, home, today, car, new)
    except Left:
        asker.show([Line("text", "Nothing was started, and nothing is kept.")])
        return DONE
    walk(ruleset, journal, asker, before.heard, talk_class, records)
    return DONE


class _Loading:
    """A ruleset that can be loaded, and handed to the engine, while the person types."""

    def __init__(self, load: Callable[[], Ruleset]) -> None:
        self._load = load
        self._made: Ruleset | Exception | None = None
        self._thread: Thread | None = None

    def start(self) -> None:
        """Begins to load it."""
        self._thread = Thread(target=self._run, daemon=True)
        self._thread.start()

    def _run(self) -> None:
        try:
            from assistant.reading.danger_words import dangers_told
            from assistant.reasoning.inferring import engine_for

            ruleset = self._load()
            dangers_told(ruleset, "be ready")
            engine_for(ruleset).prepare()  # last: what is made by then is not looked through again
            self._made = ruleset
        except Exception as error:
            self._made = error

    def result(self) -> Ruleset:
        """The ruleset, once it is there. Raises what loading it raised."""
        if self._thread is None:
            return self._load()
        self._thread.join()
        assert self._made is not None
        if isinstance(self._made, Exception):
            raise self._made
        return self._made
