"""The one check that tells most about a symptom: which question, and to what end.

Each answer that is still open is tried on the plain reading of the evidence. How likely an answer
is under a cause is taken as that cause's factor for it over the sum of its factors for all
answers; what the causes would weigh after it is worked out as the consultation does, starting
weight times factors. Two ends are weighed:

- rules out: a cause that would be graver than all that is known so far is still possible; the
  question that moves its share furthest, on average, comes first.
- separates: otherwise the question that leaves least doubt between the causes, in bits.

A question about one of several like parts counts by that part's share, since the fault may be at
any of them. After a few checks the rest is left to the walk, unless the worst is still possible.

Nothing is concluded here. The answer goes the usual way, through the rules.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass

from assistant.journal.entries import Answer
from assistant.reasoning.consultation import Consultation, SymptomFound
from assistant.reasoning.supposed import suppose, worded_answers
from assistant.ruleset.condition import Number, leaves
from assistant.ruleset.models import Cause, Urgency
from assistant.ruleset.ruleset import Ruleset, told

SETTLED = 0.8
"""From this share of the odds on, no further check is asked for a symptom; ours, assumed."""
MOST_CHECKS, MOST_FOR_WORST = 5, 9
"""So many checks are asked for one symptom, and so many while the worst is possible; assumed."""
LEAST_BITS, LEAST_MOVE = 0.03, 0.02
"""Below these a check tells too little to be worth asking; ours, assumed."""
LEAST_SHARE = 0.005
"""A grave cause below this share counts as ruled out for what to ask next; ours, assumed."""

Held = dict[str, bool]


@dataclass(frozen=True)
class Deciding:
    """A check worth making for a symptom.

    aim: "rules out" or "separates". worst: the cause to be ruled out, for the first. gain: how
    far the share of the worst cause moves on average (0 to 1), or the doubt taken away in bits.
    """

    symptom: SymptomFound
    question: str
    at: str
    aim: str
    gain: float
    worst: Cause | None = None


def next_check(consultation: Consultation, found: SymptomFound) -> Deciding | None:
    """The check to make next for a symptom, or None where none tells enough."""
    rs, shares = consultation.ruleset, [c.share for c in found.causes]
    made = _checks_made(consultation, found)
    worst = _worst(consultation, found)
    settled = made >= MOST_CHECKS or (found.likely is not None and found.likely.share >= SETTLED)
    if made >= MOST_FOR_WORST or (worst is None and settled):
        return None
    checks = list(checks_for(consultation, found))
    if not checks:
        return None
    weighing = _Weighing(consultation, found)
    tried = [(q, at, trial) for q, at in checks if (trial := _trial(weighing, q, at))]
    parts = {name: len(rs.members(rs.questions[name].each)) for name, _, _ in tried}
    if worst is not None:
        index = next(i for i, c in enumerate(found.causes) if c.cause is worst)
        moved = [
            (
                sum(chance * abs(after[index] - shares[index]) for chance, after in trial)
                / parts[q],
                q,
                at,
            )
            for q, at, trial in tried
        ]
        best = _best(rs, moved)
        if best is not None and best[0] >= LEAST_MOVE:
            return Deciding(found, best[1], best[2], "rules out", best[0], worst)
    if settled:
        return None
    doubt = _bits(shares)
    told_more = [
        ((doubt - sum(chance * _bits(after) for chance, after in trial)) / parts[q], q, at)
        for q, at, trial in tried
    ]
    best = _best(rs, told_more)
    if best is None or best[0] < LEAST_BITS:
        return None
    return Deciding(found, best[1], best[2], "separates", best[0])


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
    return _normal(_Weighing(consultation, found).after(question, at, answer))


def _worst(consultation: Consultation, found: SymptomFound) -> Cause | None:
    """The gravest cause, where it is still possible and graver than what is known so far."""
    grave = [
        c
        for c in found.causes
        if c.cause.urgency is not None
        and c.cause.urgency.rank <= Urgency.DO_NOT_DRIVE.rank
        and c.cause.urgency.rank < consultation.urgency.rank
        and c.share >= LEAST_SHARE
    ]
    ranked = sorted(grave, key=lambda c: (c.cause.urgency.rank if c.cause.urgency else 9, -c.share))
    return ranked[0].cause if ranked else None


def _best(ruleset: Ruleset, scored: list[tuple[float, str, str]]) -> tuple[float, str, str] | None:
    """The highest score; of two alike the quicker question, then the earlier in the ruleset."""
    if not scored:
        return None
    order = ruleset.question_order
    return min(
        scored, key=lambda s: (-round(s[0], 6), ruleset.questions[s[1]].seconds, order[s[1]])
    )


def _trial(weighing: _Weighing, question: str, at: str) -> list[tuple[float, list[float]]]:
    """For each answer: how likely it is, and the shares of the causes after it."""
    rs = weighing.consultation.ruleset
    answers = sorts_of_answer(rs, question)
    after = [weighing.after(question, at, answer) for answer in answers]
    if not after or all(odds == weighing.now for odds in after):
        return []
    shares = _normal(weighing.now)
    chances = _chances(weighing.now, after)
    return [
        (sum(share * chance for share, chance in zip(shares, some, strict=True)), _normal(odds))
        for some, odds in zip(chances, after, strict=True)
    ]


def _chances(now: list[float], after: list[list[float]]) -> list[list[float]]:
    """For each answer how likely it is under each cause: its factor over the sum of factors."""
    factors = [[one / before for one, before in zip(odds, now, strict=True)] for odds in after]
    sums = [sum(of_cause) for of_cause in zip(*factors, strict=True)]
    return [[factor / total for factor, total in zip(some, sums, strict=True)] for some in factors]


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


def _normal(odds: list[float]) -> list[float]:
    total = sum(odds)
    return [one / total for one in odds]


def _bits(shares: list[float]) -> float:
    """The doubt between causes (Shannon's entropy), in bits."""
    return -sum(share * math.log2(share) for share in shares if share > 0)


def sorts_of_answer(ruleset: Ruleset, name: str) -> list[Answer]:
    """One answer of each sort: every word, each single pick and none, each side of each limit."""
    question = ruleset.questions[name]
    if question.range is None or question.words():
        return worded_answers(question)
    low, high = question.range
    limits = {
        leaf.value
        for inference in ruleset.graph.hanging_on(name)
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
