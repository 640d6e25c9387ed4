"""Short ways to make journals in tests."""

from __future__ import annotations

import datetime as dt

from assistant.journal.entries import Answer, Context, Corrected, Entry, Mended, Said, TookBack

DAY = dt.date(2026, 1, 15)


def start(ruleset: str = "tiny", today: dt.date = DAY) -> list[Entry]:
    return [Context(today=today, ruleset=ruleset)]


def answer(value: object) -> Answer:
    """A word, a list of picks, a number, a pair, or a state."""
    if value in ("dont_know", "cant_look", "not_fitted"):
        return Answer(state=value)  # type: ignore[arg-type]
    if isinstance(value, str):
        return Answer(word=value)
    if isinstance(value, list):
        return Answer(words=tuple(value))
    if isinstance(value, dt.date):
        return Answer(lo=value.toordinal(), hi=value.toordinal())
    lo, hi = value if isinstance(value, tuple) else (value, value)
    return Answer(lo=lo, hi=hi)


def say(journal: list[Entry], key: str, value: object, words: str = "", kind: type = Said) -> None:
    """Adds an answer for "question" or "question@part"."""
    question, _, at = key.partition("@")
    turn = max(e.turn for e in journal) + 1
    journal.append(
        kind(turn=turn, question=question, at=at, answer=answer(value), words=words or str(value))
    )


def correct(journal: list[Entry], key: str, value: object) -> None:
    say(journal, key, value, kind=Corrected)


def mend(journal: list[Entry], key: str) -> None:
    question, _, at = key.partition("@")
    turn = max(e.turn for e in journal) + 1
    journal.append(Mended(turn=turn, question=question, at=at, words="mended"))


def take_back(journal: list[Entry], of: int | None = None) -> None:
    turn = max(e.turn for e in journal)
    journal.append(TookBack(turn=turn + 1, of=of or turn))
