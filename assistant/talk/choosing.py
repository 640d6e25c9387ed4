"""The prompts that are ours, not the ruleset's: a plain yes or no, and one row of a list."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import TYPE_CHECKING

from assistant.reading.choices import ordinal
from assistant.reading.command_words import Command
from assistant.reading.commands import command_of
from assistant.reading.result import Understood
from assistant.reading.text import FILLERS, clean, hedged, near, words_of
from assistant.reading.understand import understand
from assistant.report.lines import Line, numbered
from assistant.ruleset.models import Question
from assistant.ruleset.ruleset import Ruleset
from assistant.talk.asking import Asker, Stopped

if TYPE_CHECKING:
    from assistant.talk.talk import Talk


_NONE = frozenset(("", "none", "no", "none of these", "none of them", "neither", "cancel"))
_MOST = 5
"""So often it is asked which, before nothing is taken."""
_SHOWN = 12
_FURTHER = 20


YES_OR_NO = Question(
    ask="Yes or no?",
    label="yes or no",
    kind="yes_no",
    place="here",
    how="Type yes or no.",
    seconds=5,
)


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


def ask_which(
    asker: Asker, ruleset: Ruleset, question: str, rows: Sequence[str], prompt: str
) -> list[int]:
    """Shows the rows once, and gives those that what is typed fits."""
    asker.show([Line("question", question), *numbered(rows)])
    words = clean(asker.ask(prompt))
    return rows_meant(ruleset.as_the_owner(words), rows) if words else []


def choose_one(talk: Talk, question: str, rows: Sequence[str]) -> int | None:
    """Shows the rows and reads which is meant; None for none. Raises Stopped at "stop"."""
    shown = _SHOWN
    for _ in range(_MOST):
        talk.say(Line("question", question), *numbered(rows[:shown]))
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
            raise Stopped
        if command is not None and command.command is Command.BACK:
            return None
        meant = rows_meant(talk.ruleset.as_the_owner(typed), rows)
        if len(meant) == 1:
            return meant[0]
        found = "more than one" if meant else "nothing"
        talk.say(Line("text", f"I found {found} like that here."))
    return None


def read_yes(words: str) -> bool | None:
    """A plain yes or no; None for anything else."""
    heard = understand(words, YES_OR_NO, today=dt.date.min)
    plain = isinstance(heard, Understood) and heard.sure and heard.answer.word
    return plain == "yes" if plain else None


def yes_or_no(talk: Talk, question: str, otherwise: bool = False) -> bool:
    """A plain yes or no, asked once. Anything else counts as otherwise, and where that is no, it is
    read by the prompt behind this one. Raises Stopped at "stop".
    """
    while True:
        words = clean(talk.ask(f"{question} (yes or no) > ".lstrip()))
        said = read_yes(words)
        if said is not None:
            return said and not hedged(words)
        command = command_of(words)
        if command is None or command.command is Command.BACK:
            break
        if command.command is Command.STOP:
            raise Stopped
        talk.say(Line("text", "Yes keeps it as I said it. No keeps nothing. Anything else is read "
                              "as an answer to the question before."))  # fmt: skip
    if command is None and words and not otherwise:
        talk.typed_ahead = words
    return otherwise
