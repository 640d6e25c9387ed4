"""The odds between causes against a Bayesian network, and the choice of a check against a textbook.

Outside sources: pyAgrum 3 (https://pyagrum.gitlab.io), which knows nothing of odds and works out
posteriors by message passing; T. M. Cover and J. A. Thomas, Elements of Information Theory, 2nd
edition, Wiley 2006, equation 2.1 (entropy).

The network is naive: the cause with its starting weights, and one two-valued child for each piece
of evidence that holds. What is seen is `factor / scale` likely under its own cause and `1 / scale`
under the others, so that it speaks for or against its own cause by just that factor.
"""

from __future__ import annotations

import math
from collections import Counter
from typing import Any

import pytest

from assistant.choosing.next_check import (
    LEAST_BITS,
    LEAST_FOR_WORST,
    SETTLED,
    _Weighing,
    information,
    minutes,
    next_check,
)
from assistant.ruleset.models import Cause
from assistant.ruleset.ruleset import Ruleset
from tests.support.simulated_cars import WAYS, simulate
from tests.support.tellings import NEAR, SETS, Held, Telling, Tellings


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
