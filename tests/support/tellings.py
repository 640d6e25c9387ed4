"""Every symptom told alone and with random answers: real consultations and their odds."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterator
from dataclasses import dataclass
from random import Random

from assistant.choosing.next_check import (
    checks_for,
    symptom_answers,
)
from assistant.journal.entries import Answer, Context, Entry, Said
from assistant.reasoning.consultation import Consultation, SymptomFound, consult
from assistant.ruleset.models import Cause
from assistant.ruleset.ruleset import Ruleset, told
from tests.support.journals import JournalMaker

DAY = dt.date(2026, 1, 15)
NEAR = 1e-9
SETS = 3
"""Sets of random answers for each symptom that move its odds."""
Item = tuple[str, str, Answer]


@dataclass(frozen=True)
class Held:
    """A piece of evidence that a consultation says holds."""

    cause: str
    factor: float
    because: str


class Telling:
    """A symptom that is told, and the consultation about it after some answers."""

    def __init__(self, ruleset: Ruleset, symptom: str, *answers: Item) -> None:
        self.ruleset, self.name = ruleset, symptom
        said = [(told(symptom), "", Answer(word="yes")), *answers]
        journal: list[Entry] = [Context(today=DAY, ruleset=ruleset.about.name)]
        journal += [
            Said(turn=t, question=q, at=at, answer=answer)
            for t, (q, at, answer) in enumerate(said, 1)
        ]
        self.now: Consultation = consult(ruleset, journal)
        self.found: SymptomFound
        (self.found,) = [s for s in self.now.symptoms if s.symptom.symptom == symptom]
        self.causes: list[Cause] = self.found.symptom.causes
        self.held = list(self._held())

    def _held(self) -> Iterator[Held]:
        for cause in self.causes:
            for index, evidence in enumerate(cause.evidence):
                name = f"evidence: {self.name}/{cause.cause}/{index}"
                axis = self.ruleset.inferences[name].axis
                if self.now.result.truth(name, self.found.at if axis else "") is True:
                    yield Held(cause.cause, evidence.factor, evidence.because)

    def shares(self) -> dict[str, float]:
        return {c.cause.cause: c.share for c in self.found.causes}

    def odds(self) -> dict[str, float]:
        """Starting weight times the factors of what holds, before they are normalised."""
        return {
            c.cause: c.of_100 * math.prod(h.factor for h in self.held if h.cause == c.cause)
            for c in self.causes
        }

    def checks(self) -> Iterator[tuple[str, str]]:
        return checks_for(self.now, self.found)


class Tellings:
    """Every symptom told alone, and told with one answer to one of its checks."""

    def __init__(self, ruleset: Ruleset) -> None:
        self.ruleset = ruleset
        self.alone = {name: Telling(ruleset, name) for name in ruleset.symptoms}
        self._after: dict[tuple[str, str, str], list[tuple[Answer, Telling]]] = {}

    def after(self, symptom: str, question: str, at: str) -> list[tuple[Answer, Telling]]:
        """Each sort of answer to a check, with the real consultation after it."""
        key = (symptom, question, at)
        if key not in self._after:
            self._after[key] = [
                (answer, Telling(self.ruleset, symptom, (question, at, answer)))
                for answer in symptom_answers(self.ruleset, self.alone[symptom].found, question)
            ]
        return self._after[key]


def many_answers(gb_cars: Ruleset) -> list[Telling]:
    """Every symptom with random answers to its questions, so many that its odds move each time."""
    maker = JournalMaker(gb_cars, 0)
    made: list[Telling] = []
    for symptom in gb_cars.symptoms:
        maker.random = random = Random(f"20260115 {symptom}")
        moved = 0
        for _ in range(40):
            share = random.choice([0.3, 0.6, 1.0])
            answers = [
                (name, at, maker.answer(name))
                for name in gb_cars.deciding_questions(symptom)
                for at in gb_cars.members(gb_cars.questions[name].each)
                if name != told(symptom) and random.random() < share
            ]
            made.append(Telling(gb_cars, symptom, *answers))
            moved += bool(made[-1].held)
            if moved == SETS:
                break
        assert moved == SETS, f"random answers hardly ever move the odds of {symptom}"
    return made
