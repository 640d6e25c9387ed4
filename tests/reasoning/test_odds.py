"""The odds between causes: what holds moves them, and nothing else."""

from __future__ import annotations

import pytest

from assistant.choosing.next_check import (
    shares_with,
)
from tests.support.tellings import NEAR, Telling, Tellings


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
            start = cause.cause.of_100 / sum(c.cause.of_100 for c in telling.found.causes)
            assert cause.weighed is (cause.share > start + NEAR)
            assert telling.held or not cause.weighed


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
