"""How soon the cause is found, on simulated cars: `python -m tests.support.simulated_cars [CARS]`.

Each car has one symptom, told by its owner, and one cause of it. The cause is drawn by the
starting weights, each of them first made wrong by a chance factor of up to 1, 1.5, 2 or 3 either
way, and its owner answers each check as likely as the ruleset's factors say under that cause, made
wrong likewise; a few answers are "don't know". So the cars do not share the ruleset's figures.
Where the factor is 1 they do: that shows whether the code asks well, not whether the weights hold.

The check that decides is asked until none is left; beside it, the same car is asked by three other
orders, and once every check there is, which is the ceiling of what asking can tell.
"""

from __future__ import annotations

import datetime as dt
import sys
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from itertools import count
from pathlib import Path
from random import Random

from assistant.choosing.next_check import (
    LEAST_SHARE,
    SETTLED,
    _Weighing,
    checks_for,
    information,
    minutes,
    next_check,
    symptom_answers,
)
from assistant.journal.entries import Answer, Context, Entry, Said
from assistant.reasoning.consultation import Consultation, SymptomFound, consult
from assistant.ruleset.load import load_ruleset
from assistant.ruleset.models import Cause, Urgency
from assistant.ruleset.ruleset import Ruleset, told

ROOT = Path(__file__).resolve().parent.parent.parent
DAY = dt.date(2026, 3, 2)
WRONG_BY = (1.0, 1.5, 2.0, 3.0)
NOT_KNOWN = 0.15
Check = tuple[str, str]
Asks = Callable[[Consultation, SymptomFound], Check | None]


@dataclass
class Tally:
    """What came of all cars with one way of asking."""

    asked: Counter[int] = field(default_factory=Counter)
    cars: int = 0
    first: int = 0
    three: int = 0
    dangerous: int = 0
    missed: int = 0
    minutes: float = 0
    examples: list[str] = field(default_factory=list)

    def line(self) -> str:
        checks = sum(self.asked.elements()) / self.cars
        return (
            f"right first {self.first / self.cars:.1%}, in three {self.three / self.cars:.1%}, "
            f"dangerous missed {self.missed} of {self.dangerous}, checks {checks:.2f}, "
            f"minutes until above {SETTLED:.0%} {self.minutes / self.cars:.2f}"
        )


def deciding(consultation: Consultation, found: SymptomFound) -> Check | None:
    check = next_check(consultation, found)
    return (check.question, check.at) if check else None


def every(consultation: Consultation, found: SymptomFound) -> Check | None:
    return next(checks_for(consultation, found), None)


def _unless_settled(asks: Asks) -> Asks:
    def ask(consultation: Consultation, found: SymptomFound) -> Check | None:
        return None if found.causes[0].share >= SETTLED else asks(consultation, found)

    return ask


def _most_told(consultation: Consultation, found: SymptomFound) -> Check | None:
    weighing = _Weighing(consultation, found)
    checks = list(checks_for(consultation, found))
    gains = [information(weighing.joint(*check)) for check in checks]
    return checks[gains.index(max(gains))] if checks else None


def _quickest(consultation: Consultation, found: SymptomFound) -> Check | None:
    rs = consultation.ruleset
    return min(checks_for(consultation, found), key=lambda c: minutes(rs, c[0]), default=None)


WAYS: dict[str, Asks] = {
    "the check that decides": deciding,
    "in the order of the ruleset": _unless_settled(every),
    "most told, whatever it takes": _unless_settled(_most_told),
    "the quickest first": _unless_settled(_quickest),
    "every check (the ceiling)": every,
}


def simulate(
    ruleset: Ruleset, cars: int, seed: int, wrong_by: float = 1.0, ways: dict[str, Asks] = WAYS
) -> dict[str, Tally]:
    """The tallies of some ways of asking over the same cars."""
    random = Random(seed)
    symptoms = list(ruleset.symptoms.values())
    random.shuffle(symptoms)
    tallies = {name: Tally() for name in ways}
    for number in range(cars):
        symptom = symptoms[number % len(symptoms)]
        weights = [cause.of_100 * _wrong(random, wrong_by) for cause in symptom.causes]
        (cause,) = random.choices(symptom.causes, weights)
        luck = str(random.random())
        for name, asks in ways.items():
            _one(ruleset, symptom.symptom, cause, asks, luck, wrong_by, tallies[name])
    return tallies


def _wrong(random: Random, by: float) -> float:
    return float(by ** random.uniform(-1, 1))


def answer_chances(
    now: Consultation, found: SymptomFound, question: str, at: str
) -> list[tuple[Answer, dict[str, float]]]:
    """For each sort of answer how likely it is under each cause, by name; sums to 1 a cause.

    That is the cause's factor for it over the sum of its factors.
    """
    answers = symptom_answers(now.ruleset, found, question)
    joint = _Weighing(now, found).joint(question, at)
    sums = [sum(column) for column in zip(*joint, strict=True)]
    names = [c.cause.cause for c in found.causes]
    return [
        (answer, {name: odds / of for name, odds, of in zip(names, row, sums, strict=True)})
        for answer, row in zip(answers, joint, strict=True)
    ]


def _answered(
    now: Consultation, found: SymptomFound, cause: Cause, check: Check, luck: Random, by: float
) -> Answer:
    """What the owner of a car with this cause says; the same check has the same luck each time."""
    chances = answer_chances(now, found, *check)
    unknown = luck.random() < NOT_KNOWN
    weights = [some[cause.cause] * _wrong(luck, by) for _, some in chances]
    if not chances or unknown:
        return Answer(state="dont_know")
    return luck.choices([answer for answer, _ in chances], weights)[0]


def _one(
    ruleset: Ruleset, symptom: str, cause: Cause, asks: Asks, luck: str, by: float, tally: Tally
) -> None:
    journal: list[Entry] = [Context(today=DAY, ruleset=ruleset.about.name)]
    journal.append(Said(turn=1, question=told(symptom), answer=Answer(word="yes")))
    spent, all_checks, settled_after = 0.0, 0.0, None
    for asked in count():
        now = consult(ruleset, journal)
        found = next(s for s in now.symptoms if s.symptom.symptom == symptom)
        if asked == 0:
            all_checks = sum(minutes(ruleset, q) for q, _ in checks_for(now, found))
        if settled_after is None and found.causes[0].share >= SETTLED:
            settled_after = spent
        check = asks(now, found)
        if check is None:
            break
        spent += minutes(ruleset, check[0])
        answer = _answered(now, found, cause, check, Random(f"{luck} {check}"), by)
        journal.append(Said(turn=asked + 2, question=check[0], at=check[1], answer=answer))
    tally.cars += 1
    tally.asked[asked] += 1
    tally.minutes += settled_after if settled_after is not None else all_checks
    order = [c.cause.cause for c in found.causes]
    tally.first += order[0] == cause.cause
    tally.three += cause.cause in order[:3]
    if cause.urgency is not None and cause.urgency.rank <= Urgency.DO_NOT_DRIVE.rank:
        tally.dangerous += 1
        shown = next(c.share for c in found.causes if c.cause is cause) >= LEAST_SHARE
        if now.urgency.rank > Urgency.HAVE_LOOKED_AT.rank and not shown:
            tally.missed += 1
            tally.examples.append(f"{symptom}: {cause.cause} after {asked} checks")


def main(arguments: list[str]) -> int:
    cars = int(arguments[0]) if arguments else 2000
    ruleset = load_ruleset(ROOT / "rulesets" / "gb-cars")
    print(f"{cars} simulated cars. Missed: the car must not be driven, and neither the urgency nor")
    print("a cause that is shown as not ruled out says so.")
    for by in WRONG_BY:
        print(f"weights and answers wrong by up to {by:g}:")
        ways = WAYS if by == 1 else {n: WAYS[n] for n in [*WAYS][:: len(WAYS) - 1]}
        for name, tally in simulate(ruleset, cars, 20261125, by, ways).items():
            print(f"  {name}: {tally.line()}")
            for example, times in Counter(tally.examples).most_common(5):
                print(f"    missed: {example} ({times})")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
