"""How soon the cause is found, on simulated cars: `python -m tests.support.simulated_cars [CARS]`.

Each car has one symptom, told by its owner, and one cause of it, drawn by the starting weights. Its
owner answers each check by chance, as likely as the ruleset's own factors say under that cause.
The check that decides is asked until the cause is settled or no check is left; beside it the same
car is asked in the order in which the ruleset lists its evidence.

The cars share the ruleset's own weights. So this shows whether the code asks well, not whether the
weights are true.
"""

from __future__ import annotations

import datetime as dt
import sys
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from random import Random

from assistant.choosing.next_check import (
    LEAST_SHARE,
    SETTLED,
    _chances,
    _Weighing,
    checks_for,
    next_check,
    sorts_of_answer,
)
from assistant.journal.entries import Answer, Context, Entry, Said
from assistant.reasoning.consultation import Consultation, SymptomFound, consult
from assistant.ruleset.load import load_ruleset
from assistant.ruleset.models import Cause, Urgency
from assistant.ruleset.ruleset import Ruleset, told

ROOT = Path(__file__).resolve().parent.parent.parent
DAY = dt.date(2026, 3, 2)
Asks = Callable[[Consultation, SymptomFound], tuple[str, str] | None]


@dataclass
class Tally:
    """What came of all cars with one way of asking."""

    asked: Counter[int] = field(default_factory=Counter)
    cars: int = 0
    first: int = 0
    three: int = 0
    dangerous: int = 0
    missed: int = 0
    examples: list[str] = field(default_factory=list)

    def lines(self) -> list[str]:
        total = sum(self.asked.elements())
        spread = ", ".join(f"{n}: {self.asked[n]}" for n in sorted(self.asked))
        return [
            f"  checks asked: {total / self.cars:.2f} on average ({spread})",
            f"  right cause first {self.first / self.cars:.1%}, "
            f"in the first three {self.three / self.cars:.1%}",
            f"  dangerous causes missed: {self.missed} of {self.dangerous}",
        ]


def deciding(consultation: Consultation, found: SymptomFound) -> tuple[str, str] | None:
    check = next_check(consultation, found)
    return (check.question, check.at) if check else None


def in_table_order(consultation: Consultation, found: SymptomFound) -> tuple[str, str] | None:
    if found.likely is not None and found.likely.share >= SETTLED:
        return None
    return next(checks_for(consultation, found), None)


def simulate(ruleset: Ruleset, cars: int, seed: int) -> dict[str, Tally]:
    """The tallies of both ways of asking over the same cars."""
    random = Random(seed)
    symptoms = list(ruleset.symptoms.values())
    tallies = {"the check that decides": Tally(), "in the order of the ruleset": Tally()}
    for number in range(cars):
        symptom = symptoms[number % len(symptoms)]
        weights = [cause.of_100 for cause in symptom.causes]
        (cause,) = random.choices(symptom.causes, weights)
        luck = random.random()
        for (_, tally), asks in zip(tallies.items(), (deciding, in_table_order), strict=True):
            _one(ruleset, symptom.symptom, cause, asks, Random(luck), tally)
    return tallies


def answer_chances(
    now: Consultation, found: SymptomFound, question: str, at: str
) -> list[tuple[Answer, dict[str, float]]]:
    """For each sort of answer how likely it is under each cause, by name; sums to 1 a cause."""
    weighing = _Weighing(now, found)
    answers = sorts_of_answer(now.ruleset, question)
    after = [weighing.after(question, at, answer) for answer in answers]
    names = [c.cause.cause for c in found.causes]
    return [
        (answer, dict(zip(names, some, strict=True)))
        for answer, some in zip(answers, _chances(weighing.now, after), strict=True)
    ]


def _one(
    ruleset: Ruleset, symptom: str, cause: Cause, asks: Asks, random: Random, tally: Tally
) -> None:
    journal: list[Entry] = [Context(today=DAY, ruleset=ruleset.about.name)]
    journal.append(Said(turn=1, question=told(symptom), answer=Answer(word="yes")))
    count = 0
    while True:
        now = consult(ruleset, journal)
        found = next(s for s in now.symptoms if s.symptom.symptom == symptom)
        check = asks(now, found)
        if check is None or count >= 25:
            break
        count += 1
        chances = answer_chances(now, found, *check)
        answer = Answer(state="dont_know")
        if chances:
            (answer,) = random.choices(
                [a for a, _ in chances], [c[cause.cause] for _, c in chances]
            )
        journal.append(Said(turn=count + 1, question=check[0], at=check[1], answer=answer))
    tally.cars += 1
    tally.asked[count] += 1
    order = [c.cause.cause for c in found.causes]
    tally.first += order[0] == cause.cause
    tally.three += cause.cause in order[:3]
    if cause.urgency is not None and cause.urgency.rank <= Urgency.DO_NOT_DRIVE.rank:
        tally.dangerous += 1
        shown = next(c.share for c in found.causes if c.cause is cause) >= LEAST_SHARE
        if now.urgency.rank > Urgency.HAVE_LOOKED_AT.rank and not shown:
            tally.missed += 1
            tally.examples.append(f"{symptom}: {cause.cause} after {count} checks")


def main(arguments: list[str]) -> int:
    cars = int(arguments[0]) if arguments else 2000
    ruleset = load_ruleset(ROOT / "rulesets" / "gb-cars")
    print(f"{cars} simulated cars. They share the ruleset's own weights: this checks the code that")
    print("asks, not whether the weights are true. Missed: the car must not be driven, and neither")
    print("the urgency nor a cause that is shown as not ruled out says so.")
    for name, tally in simulate(ruleset, cars, 20261125).items():
        print(f"{name}:")
        print("\n".join(tally.lines()))
        for example, times in Counter(tally.examples).most_common(20):
            print(f"    missed: {example} ({times})")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
