"""The odds between causes against a Bayesian network, and the choice of a check against a textbook.

Outside sources: pyAgrum 3 (https://pyagrum.gitlab.io), which knows nothing of odds and works out
posteriors by message passing; T. M. Cover and J. A. Thomas, Elements of Information Theory, 2nd
edition, Wiley 2006, equation 2.1 (entropy).

The network is naive: the cause with its starting weights, and one two-valued child for each piece
of evidence that holds. What is seen is `factor / scale` likely under its own cause and `1 / scale`
under the others, so that it speaks for or against its own cause by just that factor.
"""

from __future__ import annotations

import datetime as dt
import math
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from random import Random
from typing import Any

import pytest

from assistant.choosing.next_check import (
    LEAST_BITS,
    LEAST_FOR_WORST,
    SETTLED,
    _Weighing,
    checks_for,
    information,
    minutes,
    next_check,
    shares_with,
    symptom_answers,
)
from assistant.journal.entries import Answer, Context, Entry, Said
from assistant.reasoning.consultation import Consultation, SymptomFound, consult
from assistant.ruleset.models import Cause
from assistant.ruleset.ruleset import Ruleset, told
from tests.support.journals import JournalMaker
from tests.support.simulated_cars import WAYS, simulate

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


@pytest.fixture(scope="module")
def tellings(gb_cars: Ruleset) -> Tellings:
    return Tellings(gb_cars)


@pytest.fixture(scope="module")
def answered(gb_cars: Ruleset) -> list[Telling]:
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


def network(causes: list[Cause], pieces: list[Held]) -> tuple[dict[str, float], float]:
    """The posteriors by cause that pyAgrum works out, and the doubt in them in bits."""
    gum: Any = pytest.importorskip("pyagrum", reason="needs: pip install 'pyagrum>=3'")
    names = [cause.cause for cause in causes]
    net = gum.BayesNet("symptom")
    top = net.add(gum.LabelizedVariable("cause", "", names))
    total = sum(cause.of_100 for cause in causes)
    net.cpt(top).fillWith([cause.of_100 / total for cause in causes])
    for number, piece in enumerate(pieces):
        child = net.add(gum.LabelizedVariable(f"seen{number}", "", 2))
        net.addArc(top, child)
        scale = 2 * max(1.0, piece.factor)
        for name in names:
            likely = (piece.factor if name == piece.cause else 1.0) / scale
            net.cpt(child)[{"cause": name}] = [1 - likely, likely]
    engine = gum.LazyPropagation(net)
    engine.setEvidence({f"seen{number}": 1 for number in range(len(pieces))})
    engine.makeInference()
    posterior = engine.posterior("cause")
    return {name: float(posterior[{"cause": name}]) for name in names}, float(posterior.entropy())


# the odds -------------------------------------------------------------------------------


def test_the_shares_are_the_posteriors_of_a_bayesian_network(answered: list[Telling]) -> None:
    """Source: pyAgrum, lazy propagation; every symptom, three sets of answers or more."""
    for telling in answered:
        assert telling.now.misfits == () and telling.now.faults == ()
        posterior, _ = network(telling.causes, telling.held)
        assert telling.shares() == pytest.approx(posterior, abs=NEAR), telling.name
    counts = Counter(t.name for t in answered if t.held)
    assert len(counts) >= 102 and min(counts.values()) >= SETS


def test_the_doubt_is_the_entropy_of_the_network(answered: list[Telling]) -> None:
    """Source: pyAgrum, the entropy of its posterior, against equation 2.1 on our shares."""
    for telling in answered:
        _, bits = network(telling.causes, telling.held)
        ours = entropy(list(telling.shares().values()))
        assert ours == pytest.approx(bits, abs=NEAR), telling.name


def test_each_cause_names_the_evidence_that_holds_and_no_other(answered: list[Telling]) -> None:
    """What speaks for or against a cause is what the engine found to hold, by its factor."""
    for telling in answered:
        shares = list(telling.shares().values())
        assert shares == sorted(shares, reverse=True)
        assert sum(shares) == pytest.approx(1, abs=NEAR)
        for cause in telling.found.causes:
            mine = [h for h in telling.held if h.cause == cause.cause.cause]
            assert list(cause.speaks_for) == [h.because for h in mine if h.factor > 1]
            assert list(cause.speaks_against) == [h.because for h in mine if h.factor <= 1]
            assert cause.weighed is bool(telling.held)


def test_an_answer_moves_a_cause_only_by_its_own_evidence(tellings: Tellings) -> None:
    """Told alone, then with one answer: two causes keep their ratio but for the factors of the
    evidence that came to hold, and a lone change raises its cause above 1 and lowers it below."""
    lone = {"raised": 0, "lowered": 0, "nothing": 0}
    for symptom, before in tellings.alone.items():
        for question, at in before.checks():
            for answer, then in tellings.after(symptom, question, at):
                case = (symptom, question, answer)
                was, now = before.shares(), then.shares()
                old, new = before.odds(), then.odds()
                factor = {cause: new[cause] / old[cause] for cause in was}
                first = next(iter(was))
                for cause in was:
                    ratio = (now[cause] / now[first]) / (was[cause] / was[first])
                    assert ratio == pytest.approx(factor[cause] / factor[first], rel=NEAR), case
                moved = [cause for cause, f in factor.items() if abs(f - 1) > NEAR]
                if not moved:
                    lone["nothing"] += 1
                    assert now == pytest.approx(was, abs=NEAR), case
                elif len(moved) == 1 and len(was) > 1:
                    up = factor[moved[0]] > 1
                    lone["raised" if up else "lowered"] += 1
                    for name in was:
                        assert (now[name] > was[name]) is (up is (name == moved[0])), case
    assert min(lone.values()) > 100, lone


# the check that decides -----------------------------------------------------------------


def entropy(shares: list[float]) -> float:
    """Cover and Thomas, equation 2.1, in bits; 0 log 0 is 0."""
    return sum(p * math.log2(1 / p) for p in shares if p > 0)


def told_by(then: list[dict[str, float]], worst: str | None = None) -> float:
    """What a check tells, by pyAgrum: the mutual information of its answer and the cause.

    then: the odds of the causes after each answer, of real consultations. worst: whether it is this
    cause, in the place of which cause it is.
    """
    gum: Any = pytest.importorskip("pyagrum", reason="needs: pip install 'pyagrum>=3'")
    if worst is not None:
        then = [{"it": odds[worst], "not": sum(odds.values()) - odds[worst]} for odds in then]
    total = sum(sum(odds.values()) for odds in then)
    names = list(then[0])
    net = gum.BayesNet("check")
    answer = net.add(gum.RangeVariable("answer", "", 0, len(then) - 1))
    cause = net.add(gum.LabelizedVariable("cause", "", names))
    net.addArc(answer, cause)
    net.cpt(answer).fillWith([sum(odds.values()) / total for odds in then])
    for number, odds in enumerate(then):
        row = [odds[name] / sum(odds.values()) for name in names]
        net.cpt(cause)[{"answer": number}] = row
    return float(
        gum.InformationTheory(gum.LazyPropagation(net), "answer", "cause").mutualInformationXY()
    )


def test_a_supposed_answer_weighs_as_the_same_answer_given(tellings: Tellings) -> None:
    """`shares_with` reads the rules plainly; the shares are those of the real consultation."""
    compared = 0
    for symptom, before in tellings.alone.items():
        for question, at in before.checks():
            for answer, then in tellings.after(symptom, question, at):
                supposed = shares_with(before.now, before.found, question, at, answer)
                wanted = [then.shares()[c.cause.cause] for c in before.found.causes]
                assert supposed == pytest.approx(wanted, abs=NEAR), (symptom, question, answer)
                compared += 1
    assert compared > 1000


def test_the_next_check_is_the_one_that_tells_most_for_its_minutes(tellings: Tellings) -> None:
    """Source: pyAgrum, mutual information, on the odds of real consultations."""
    aims: Counter[str] = Counter()
    for symptom, before in tellings.alone.items():
        check = next_check(before.now, before.found)
        worst = check.worst.cause if check and check.worst else None
        tried = {
            question: told_by([t.odds() for _, t in after], worst)
            for question, at in before.checks()
            if (after := tellings.after(symptom, question, at))
        }
        assert min(tried.values()) >= -NEAR, symptom
        if check is None:
            aims["none"] += 1
            assert before.found.causes[0].share >= SETTLED or max(tried.values()) < LEAST_BITS
            continue
        aims["rules out" if worst else "separates"] += 1
        assert check.gain == pytest.approx(tried[check.question], abs=NEAR), symptom
        least = LEAST_FOR_WORST if worst else LEAST_BITS
        enough = [q for q, bits in tried.items() if bits >= least]
        most = max(tried[q] / minutes(before.ruleset, q) for q in enough)
        assert check.gain / minutes(before.ruleset, check.question) >= most - 1e-6, symptom
    assert aims["rules out"] >= 20 and aims["separates"] >= 20, aims


def test_no_check_ever_tells_less_than_nothing(answered: list[Telling]) -> None:
    """Of every check of every symptom, alone and after random answers: mutual information as
    pyAgrum has it, and never below 0."""
    compared = 0
    for telling in answered:
        weighing = _Weighing(telling.now, telling.found)
        names = [c.cause.cause for c in telling.found.causes]
        for question, at in telling.checks():
            joint = weighing.joint(question, at)
            if not joint:
                continue
            bits = information(joint)
            assert bits >= -NEAR, (telling.name, question)
            wanted = told_by([dict(zip(names, row, strict=True)) for row in joint])
            assert bits == pytest.approx(wanted, abs=NEAR), (telling.name, question)
            compared += 1
    assert compared > 500


def test_the_order_of_checks_is_quick(gb_cars: Ruleset) -> None:
    """200 simulated cars that share our figures: the minutes until the first cause stands above
    80 % are within 10 % of the best of three other orders; who never gets there counts all."""
    tallies = simulate(gb_cars, 200, 20261125)
    ours, *others = [tallies[name].minutes for name in [*WAYS][:4]]
    assert ours <= 1.1 * min(others), tallies
