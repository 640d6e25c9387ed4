"""What people say for each choice of a question, in words of their own: sayings.tsv.

Beside the ruleset's files, a row for each: question, choice, words; # is a note. NONE is none of
the choices. They are only ever compared with, to be read back; what is kept unasked stands in the
choices themselves.
"""

from __future__ import annotations

from collections.abc import Iterator

from assistant.errors import Place
from assistant.ruleset.models import Question
from assistant.ruleset.ruleset import Ruleset, made_once

SAYINGS = "sayings.tsv"
NONE = "NONE"
"""Said of all that a question asks about: none of its choices."""


def sayings_of(ruleset: Ruleset, question: Question) -> dict[str, list[str]]:
    """What people say for each choice of a question; nothing where there is no such file."""
    return _all_sayings(ruleset).get((question.ask, question.label), {})


@made_once
def _all_sayings(ruleset: Ruleset) -> dict[tuple[str, str], dict[str, list[str]]]:
    found: dict[tuple[str, str], dict[str, list[str]]] = {}
    for _, row in _rows(ruleset):
        if _problem(ruleset, row) is None:
            name, choice, words = row
            question = ruleset.questions[name]
            of_question = found.setdefault((question.ask, question.label), {})
            of_question.setdefault(choice, []).append(words)
    return found


def sayings_problems(ruleset: Ruleset) -> Iterator[tuple[Place, str]]:
    """Rows that name a question or a choice that is not there, and words said of two choices."""
    seen: dict[tuple[str, str], str] = {}
    for number, row in _rows(ruleset):
        place = Place(SAYINGS, number, 1)
        if (text := _problem(ruleset, row)) is not None:
            yield place, text
            continue
        question, choice, words = row
        if seen.setdefault((question, words), choice) != choice:
            yield place, f"{words!r} is said of two choices of {question}."


def _rows(ruleset: Ruleset) -> Iterator[tuple[int, list[str]]]:
    try:
        lines = (ruleset.folder / SAYINGS).read_text("utf-8").splitlines()
    except (OSError, UnicodeDecodeError):
        return
    for number, line in enumerate(lines, start=1):
        if line and not line.startswith("#"):
            yield number, line.split("\t")


def _problem(ruleset: Ruleset, row: list[str]) -> str | None:
    if len(row) != 3 or not row[2].strip():
        return "A row needs a question, a choice and words, with tabs between."
    question = ruleset.questions.get(row[0])
    if question is None:
        return f"There is no question {row[0]!r}."
    if row[1] != NONE and row[1] not in question.words():
        return f"{row[0]} has no choice {row[1]!r}."
    return None
