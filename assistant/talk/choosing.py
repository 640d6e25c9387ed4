"""Which of several rows is meant: by its number, or by words that stand in no other row.

One reader for every list that is no question of the ruleset.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from assistant.reading.choices import ordinal
from assistant.reading.command_words import Command
from assistant.reading.commands import command_of
from assistant.reading.text import FILLERS, clean, near, words_of
from assistant.report.lines import Line
from assistant.talk.asking import Left

if TYPE_CHECKING:
    from assistant.talk.talk import Talk


_NONE = frozenset(("", "none", "no", "none of these", "none of them", "neither", "cancel"))
_MOST = 5
"""So often it is asked which, before nothing is taken."""
_SHOWN = 12
_FURTHER = 20


def number_of(words: str) -> int:
    """A plainly typed whole number, or 0."""
    return int(words) if words.isascii() and words.isdigit() and len(words) < 6 else 0


def rows_meant(words: str, rows: Sequence[str]) -> list[int]:
    """The rows that a number, a place or all of the words fit; one where that is clear."""
    if words.isdigit():
        return [number_of(words) - 1] if 1 <= number_of(words) <= len(rows) else []
    same = [i for i, row in enumerate(rows) if words.casefold() in row.casefold()]
    if len(same) == 1:
        return same
    heard = words_of(words)
    if (place := ordinal(heard, len(rows))) is not None:
        return [place]
    telling = [word for word in heard if word not in FILLERS]
    known = [words_of(row) for row in rows]
    return [
        i for i, row in enumerate(known)
        if telling and all(any(near(word, other) for other in row) for word in telling)
    ]  # fmt: skip


def choose_one(talk: Talk, question: str, rows: Sequence[str]) -> int | None:
    """Shows the rows and reads which is meant; None for none. Raises Left at "stop"."""
    shown = _SHOWN
    for _ in range(_MOST):
        talk.say(Line("question", question))
        talk.say(*(Line("choice", f"{n}. {row}", 2) for n, row in enumerate(rows[:shown], start=1)))
        more = ", 'more'" if len(rows) > shown else ""
        talk.say(Line("hint", f"Type a number, part of the words{more}, or 'none'."))
        typed = clean(talk.ask("> "))
        if typed.lower() in _NONE:
            return None
        if typed.lower() == "more":
            shown += _FURTHER
            continue
        command = command_of(typed)
        if command is not None and command.command is Command.STOP:
            raise Left
        if command is not None and command.command is Command.BACK:
            return None
        meant = rows_meant(typed, rows)
        if len(meant) == 1:
            return meant[0]
        found = "more than one" if meant else "nothing"
        talk.say(Line("text", f"I found {found} like that here."))
    return None
