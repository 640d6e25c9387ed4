"""The one check that tells most about a symptom for the time it takes, and to what end.

Each sort of answer that is still open is tried on the plain reading of the evidence, and what the
causes would weigh after it is worked out as the consultation does. These odds, a row for each
answer, are one joint distribution of cause and answer: a row is how the shares would stand after
that answer, a column how likely each answer is under that cause, and what the check is worth is the
mutual information in it, in bits. Two ends are weighed:

- rules out: a cause that must not be driven with, graver than all that is known so far, is still
  possible; what counts is the information on whether it is this cause.
- separates: otherwise the information on which of all the causes it is.

A question about several like parts takes as long as all of them, since the fault may be at any.
After a few checks the rest is left to the walk, unless the worst is still possible.

Nothing is concluded here. The answer goes the usual way, through the rules.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Collection, Iterator
from dataclasses import dataclass

from assistant.journal.entries import Answer
from assistant.reasoning.consultation import Consultation, SymptomFound
from assistant.reasoning.supposed import suppose, worded_answers
from assistant.ruleset.condition import Number, leaves
from assistant.ruleset.minutes import minutes_for
from assistant.ruleset.models import Cause
from assistant.ruleset.ruleset import Ruleset, told

SETTLED = 0.8
"""From this share of the odds on, no further check is asked for a symptom; ours, assumed."""
MOST_CHECKS, MOST_FOR_WORST = 5, 9
"""So many checks are asked for one symptom, and so many while the worst is possible; assumed."""
LEAST_BITS, LEAST_FOR_WORST = 0.03, 0.02
"""Below these bits a check tells too little of the causes, or of the worst one; ours, assumed."""
GRAVE_SHARE = 0.03
"""From this share on a cause that must not be driven with is ruled out first; assumed."""
LEAST_SHARE = 0.005
"""A grave cause below this share is not shown as possible any more; ours, assumed."""

Held = dict[str, bool]
Joint = list[list[float]]
"""A row for each answer, in it the odds of each cause; not normalised."""


@dataclass(frozen=True)
class Deciding:
    """A check worth making for a symptom.

    gain: what it tells on average, in bits. worst: the cause that it is to rule out; without one
    it separates the causes.
    """

    symptom: SymptomFound
    question: str
    at: str
    gain: float
    worst: Cause | None = None


def next_check(consultation: Consultation, found: SymptomFound) -> Deciding | None:
    """The check to make next for a symptom, or None where none tells enough."""
    made = _checks_made(consultation, found)
    settled = made >= MOST_CHECKS or (found.likely is not None and found.likely.share >= SETTLED)
    aims: list[Cause | None] = [*_grave(consultation, found)] if made < MOST_FOR_WORST else []
    aims += [] if settled else [None]
    tables = dict(_joints(consultation, found)) if aims else {}
    for worst in aims:
        column = next((i for i, c in enumerate(found.causes) if c.cause is worst), None)
        least = LEAST_BITS if worst is None else LEAST_FOR_WORST
        gains = {item: information(table, column) for item, table in tables.items()}
        enough = {item: bits for item, bits in gains.items() if bits >= least}
        if enough:
            question, at = _best(consultation.ruleset, enough)
            return Deciding(found, question, at, enough[question, at], worst)
    return None


def checks_for(consultation: Consultation, found: SymptomFound) -> Iterator[tuple[str, str]]:
    """The open questions that evidence of a symptom hangs on, one part of each."""
    rs = consultation.ruleset
    for name in rs.deciding_questions(found.symptom.symptom):
        question = rs.questions[name]
        stage = rs.places[question.place].stage
        if question.kind == "note" or question.asked == "told" or stage in ("start", "end"):
            continue
        if question.kind == "quantity" and _known_to_lack(consultation, question.needs):
            continue
        for at in rs.members(question.each):
            if (name, at) not in consultation.state.answers:
                if consultation.may_be_asked(name, at):
                    yield name, at
                break


def _checks_made(consultation: Consultation, found: SymptomFound) -> int:
    """How many of a symptom's checks have been answered since it was told."""
    answers = consultation.state.answers
    since = answers.get((told(found.symptom.symptom), ""))
    if since is None:
        return 0
    rs = consultation.ruleset
    turns = {
        said.turn
        for name in rs.deciding_questions(found.symptom.symptom)
        for at in rs.members(rs.questions[name].each)
        if (said := answers.get((name, at))) is not None and said.turn > since.turn
    }
    return len(turns)


def _known_to_lack(consultation: Consultation, needs: list[str]) -> bool:
    """Whether the person has said what is to hand, and what this check needs is not among it."""
    kit = consultation.ruleset.about.kit or ""
    return (kit, "") in consultation.state.answers and consultation.lacks(needs)


def shares_with(
    consultation: Consultation, found: SymptomFound, question: str, at: str, answer: Answer
) -> list[float]:
    """The shares of the causes, in the order found, if a question were answered so."""
    odds = _Weighing(consultation, found).after(question, at, answer)
    return [one / sum(odds) for one in odds]


def _grave(consultation: Consultation, found: SymptomFound) -> list[Cause]:
    """The causes not to drive with that are graver than all that is known, the gravest first."""
    grave = [
        (c.cause.urgency.rank, c.cause)
        for c in found.causes
        if c.share >= GRAVE_SHARE
        and c.cause.urgency is not None
        and c.cause.urgency.is_danger
        and c.cause.urgency.rank < consultation.urgency.rank
    ]
    return [cause for _, cause in sorted(grave, key=lambda g: g[0])]


def _best(ruleset: Ruleset, gains: dict[tuple[str, str], float]) -> tuple[str, str]:
    """What tells most for the minutes it takes; of two alike the earlier in the ruleset."""
    order = ruleset.question_order
    return min(gains, key=lambda i: (-round(gains[i] / minutes(ruleset, i[0]), 6), order[i[0]]))


def minutes(ruleset: Ruleset, name: str) -> float:
    """How long a question takes at all of its like parts."""
    each = ruleset.members(ruleset.questions[name].each)
    return minutes_for(ruleset, [(name, at) for at in each], ruleset.questions[name])


def _joints(
    consultation: Consultation, found: SymptomFound
) -> Iterator[tuple[tuple[str, str], Joint]]:
    weighing = _Weighing(consultation, found)
    for question, at in checks_for(consultation, found):
        yield (question, at), weighing.joint(question, at)


def information(joint: Joint, column: int | None = None) -> float:
    """The mutual information of answer and cause, in bits; with a column, of that cause or not."""
    if column is not None:
        joint = [[row[column], sum(row) - row[column]] for row in joint]
    total = sum(map(sum, joint))
    columns = [sum(cells) for cells in zip(*joint, strict=True)]
    return sum(
        cell / total * math.log2(cell * total / (sum(row) * columns[i]))
        for row in joint
        for i, cell in enumerate(row)
        if cell > 0
    )


class _Weighing:
    """The causes of a symptom, in the order found, with what speaks for and against them.

    held: each piece of evidence, by name, and whether it holds. now: what the causes weigh, which
    is the number of 100 times the factor of each piece that holds.
    """

    def __init__(self, consultation: Consultation, found: SymptomFound) -> None:
        self.consultation = consultation
        self.found = found
        rs = consultation.ruleset
        self.evidence = [
            (
                c.cause.of_100,
                [
                    (inference.name, inference.evidence.factor)
                    for inference in rs.evidence_of(found.symptom.symptom, c.cause.cause)
                    if inference.evidence is not None
                ],
            )
            for c in found.causes
        ]
        truth = consultation.result.truth
        self.held = {
            name: truth(name, self._at(name)) is True
            for _, pieces in self.evidence
            for name, _ in pieces
        }
        self.now = self._odds(self.held)

    def _at(self, name: str) -> str:
        return self.found.at if self.consultation.ruleset.inferences[name].axis else ""

    def _odds(self, held: Held) -> list[float]:
        return [
            math.prod((factor for name, factor in pieces if held[name]), start=weight)
            for weight, pieces in self.evidence
        ]

    def joint(self, question: str, at: str) -> Joint:
        """The odds of each cause after each sort of answer to a check."""
        answers = symptom_answers(self.consultation.ruleset, self.found, question)
        return [self.after(question, at, answer) for answer in answers]

    def after(self, question: str, at: str, answer: Answer) -> list[float]:
        """The same if a question were answered so, by the plain reading of what hangs on it."""
        rs = self.consultation.ruleset
        view = suppose(self.consultation, {(question, at): answer})
        moved: Held = {}
        for name in rs.evidence_on(self.found.symptom.symptom, question):
            holds = rs.reader(name)(view, self._at(name)) is True
            if holds is not self.held[name]:
                moved[name] = holds
        return self._odds({**self.held, **moved}) if moved else self.now


def symptom_answers(ruleset: Ruleset, found: SymptomFound, name: str) -> list[Answer]:
    """One answer of each sort that the evidence of a symptom tells apart."""
    return sorts_of_answer(ruleset, name, ruleset.evidence_on(found.symptom.symptom, name))


def sorts_of_answer(
    ruleset: Ruleset, name: str, readers: Collection[str] | None = None
) -> list[Answer]:
    """One answer of each sort: every word, each single pick and none, each side of each limit.

    readers: the inferences whose limits count; without them, of all that read the question.
    """
    question = ruleset.questions[name]
    if question.range is None or question.words():
        return worded_answers(question)
    low, high = question.range
    every = ruleset.graph.hanging_on(name)
    limits = {
        leaf.value
        for inference in every
        if readers is None or inference.name in readers
        for leaf in leaves(inference.condition)
        if isinstance(leaf, Number) and leaf.name == name and low < leaf.value < high
    }
    edges = [low, *sorted(limits), high] if limits else [low, (low + high) / 2, high]
    middles = [(a + b) / 2 for a, b in itertools.pairwise(edges)]
    return [Answer(lo=value, hi=value) for value in middles]


def told_symptoms(consultation: Consultation) -> list[SymptomFound]:
    """The symptoms the person has told of, in the order they were told."""
    answers = consultation.state.answers
    found = [
        (said.turn, symptom)
        for symptom in consultation.symptoms
        if (said := answers.get((told(symptom.symptom.symptom), ""))) and said.answer.word == "yes"
    ]
    return [symptom for _, symptom in sorted(found, key=lambda f: f[0])]
