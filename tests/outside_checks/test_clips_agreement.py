"""Three readings of the same rules must agree: durable-rules, CLIPS and a plain evaluator.

Outside source: the CLIPS 6.4 engine, through clipspy. The CLIPS form is made from the syntax
tree (tests/support/clips_form.py), durable-rules gets the compiled alternatives.
"""

from __future__ import annotations

import os
from collections import Counter
from random import Random

import pytest

from assistant.knowledge.evaluation import evaluate
from assistant.knowledge.ruleset import Ruleset
from assistant.reasoning.consultation import Consultation, consult
from tests.support.clips_form import ClipsRuleset
from tests.support.journals import JournalMaker

JOURNALS = int(os.environ.get("SIDELIGHT_JOURNALS", "2000"))


def decided(consultation: Consultation) -> dict[tuple[str, str], bool]:
    return {key: firing.truth for key, firing in consultation.result.firings.items()}


def plainly(ruleset: Ruleset, consultation: Consultation) -> dict[tuple[str, str], bool]:
    """Every condition read by the plain evaluator, conclusions taken in ruleset order."""
    view = consultation.view()
    known: dict[tuple[str, str], bool | None] = {}
    view.concluded = lambda name, at: known.get((name, at))  # type: ignore[method-assign]
    for name, inference in ruleset.inferences.items():
        for at in ruleset.members(inference.axis):
            known[(name, at)] = evaluate(inference.condition, view, at)
    return {key: value for key, value in known.items() if value is not None}


@pytest.fixture(scope="module")
def clips_rules(gb_cars: Ruleset) -> ClipsRuleset:
    return ClipsRuleset(gb_cars)


def test_three_engines_agree_on_generated_journals(
    gb_cars: Ruleset, clips_rules: ClipsRuleset
) -> None:
    maker = JournalMaker(gb_cars, seed=20261125)
    counts: dict[str, Counter[bool | None]] = {i.name: Counter() for i in gb_cars.rules()}
    for number in range(JOURNALS):
        journal = maker.journal()
        result = consult(gb_cars, journal)
        ours = decided(result)
        assert result.faults == (), f"journal {number}: {result.faults}"
        theirs = clips_rules.run(list(result.readings.facts()))
        assert ours == theirs, f"journal {number}: {set(ours.items()) ^ set(theirs.items())}"
        assert ours == plainly(gb_cars, result), f"journal {number}"
        maker.note(ours)
        for name in counts:
            axis = gb_cars.inferences[name].axis
            for at in gb_cars.members(axis):
                counts[name][ours.get((name, at))] += 1
    rarest = {truth: min(c[truth] for c in counts.values()) for truth in (True, False, None)}
    print(f"\n{JOURNALS} journals, {len(counts)} rules; the rarest rule was true, false, open:")
    print(f"  {rarest[True]}, {rarest[False]}, {rarest[None]} times")
    if JOURNALS >= 2000:
        rare = {n: dict(c) for n, c in counts.items() if min(c[True], c[False], c[None]) < 20}
        assert not rare, f"not often enough true, false and open: {rare}"


def test_clips_agrees_on_every_worked_case(gb_cars: Ruleset, clips_rules: ClipsRuleset) -> None:
    from assistant.reasoning.cases import case_journal, fires

    for inference in gb_cars.rules():
        assert inference.rule is not None
        for case in inference.rule.cases:
            rows = [(case.fires, True), *(({**case.fires, **n}, False) for n in case.near)]
            for answers, want in rows:
                result = consult(gb_cars, case_journal(gb_cars, answers, case.today))
                theirs = clips_rules.run(list(result.readings.facts()))
                parts = gb_cars.members(inference.axis)
                assert any(theirs.get((inference.name, at)) is True for at in parts) is want
                assert fires(result, inference.name) is want


def test_the_order_of_answers_changes_nothing(gb_cars: Ruleset) -> None:
    maker = JournalMaker(gb_cars, seed=7)
    random = Random(7)
    for _ in range(200):
        journal = maker.journal()
        first = decided(consult(gb_cars, journal))
        rest = journal[1:]
        random.shuffle(rest)
        moved = [e.model_copy(update={"turn": t}) for t, e in enumerate(rest, 1)]
        assert decided(consult(gb_cars, [journal[0], *moved])) == first
