"""Words that could not be read for certain, and that name a danger: they count until put right."""

from __future__ import annotations

import datetime as dt

from assistant.journal.entries import Answer, Context, Entry, Said
from assistant.reading.result import Unclear, Understood
from assistant.reasoning.consultation import consult
from assistant.ruleset.models import Urgency
from assistant.ruleset.ruleset import Ruleset


def counts_as(ruleset: Ruleset, name: str, heard: Unclear | Understood) -> Answer | None:
    """The gravest answer that unsure words may be, where the car must not be driven with it.

    name: the question. None where none of what they may be is a danger.
    """
    question = ruleset.questions[name]
    if isinstance(heard, Understood):
        may_be = [heard.answer]
    else:
        by_say = {choice.say: word for word, choice in question.choices.items()}
        may_be = [_answer(question.kind, by_say[o]) for o in heard.offers if o in by_say]
    grave = [
        (rank, index, answer)
        for index, answer in enumerate(may_be)
        if (rank := _rank(ruleset, name, answer)) <= Urgency.GENTLY_TO_GARAGE.rank
    ]
    return min(grave, key=lambda one: one[:2])[2] if grave else None


def says_well(ruleset: Ruleset, name: str, answer: Answer) -> bool:
    """Whether no rule finds anything from an answer to this question alone."""
    return _rank(ruleset, name, answer) == Urgency.NOTHING.rank


def _answer(kind: str, word: str) -> Answer:
    return Answer(words=(word,)) if kind == "some_of" else Answer(word=word)


def _rank(ruleset: Ruleset, name: str, answer: Answer) -> int:
    """How pressing the advice is with this answer alone, at all of its parts."""
    journal: list[Entry] = [Context(today=dt.date(2000, 1, 1), ruleset=ruleset.about.name)]
    for at in ruleset.members(ruleset.questions[name].each):
        journal.append(Said(turn=1, question=name, at=at, answer=answer))
    return consult(ruleset, journal).headline.urgency.rank
