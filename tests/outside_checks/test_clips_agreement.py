"""Three readings of the same rules must agree: durable-rules, CLIPS and a plain evaluator.

Outside source: the CLIPS 6.4 engine, through clipspy. The CLIPS form is made from the syntax
tree (tests/support/clips_form.py), durable-rules gets the compiled alternatives.
"""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field
from multiprocessing import get_context
from pathlib import Path

from assistant.authoring.check.agreement import asked_for
from assistant.authoring.check.cases import case_journal, fires
from assistant.journal.entries import fold
from assistant.reasoning.consultation import consult
from assistant.reasoning.engine import EngineResult, EngineView
from assistant.reasoning.facts import Readings
from assistant.reasoning.inferring import engine_for, infer
from assistant.ruleset.load import load_ruleset
from assistant.ruleset.ruleset import Ruleset
from assistant.ruleset.truth import evaluate
from tests.support.clips_form import ClipsRuleset
from tests.support.journals import JournalMaker

FOLDER = Path(__file__).resolve().parent.parent.parent / "rulesets" / "gb-cars"
JOURNALS = int(os.environ.get("SIDELIGHT_JOURNALS", "1000"))


def decided(result: EngineResult) -> dict[tuple[str, str], bool]:
    return {key: firing.truth for key, firing in result.firings.items()}


def plainly(
    ruleset: Ruleset, readings: Readings, result: EngineResult
) -> dict[tuple[str, str], bool]:
    """Every condition read by the plain evaluator, conclusions taken in ruleset order."""
    view = EngineView(ruleset, readings, result.firings)
    known: dict[tuple[str, str], bool | None] = {}
    view.concluded = lambda name, at: known.get(  # type: ignore[method-assign]
        (name, at if ruleset.names[name].axis else "")
    )
    for name, inference in ruleset.inferences.items():
        for at in ruleset.members(inference.axis):
            known[(name, at)] = evaluate(inference.condition, view, at)
    return asked_for(ruleset, {key: value for key, value in known.items() if value is not None})


@dataclass
class Share:
    """What one process found: how often each rule was true, false and open, and what differed."""

    counts: dict[str, Counter[bool | None]] = field(default_factory=dict)
    wrong: list[str] = field(default_factory=list)


def compare_journals(seed: int, count: int) -> Share:
    """Lets the three engines decide `count` generated journals."""
    ruleset = load_ruleset(FOLDER)
    engine_for(ruleset).prepare()
    clips_rules = ClipsRuleset(ruleset)
    maker = JournalMaker(ruleset, seed)
    share = Share({i.name: Counter() for i in ruleset.rules})
    for number in range(count):
        readings, result = infer(ruleset, fold(maker.journal()))
        ours = decided(result)
        theirs = asked_for(ruleset, clips_rules.run(list(readings.facts())))
        if result.faults:
            share.wrong.append(f"journal {seed}/{number}: {result.faults}")
        if ours != theirs:
            share.wrong.append(
                f"journal {seed}/{number}: CLIPS {set(ours.items()) ^ set(theirs.items())}"
            )
        if ours != plainly(ruleset, readings, result):
            share.wrong.append(f"journal {seed}/{number}: the plain evaluator differs")
        maker.note(ours)
        for name, counted in share.counts.items():
            for at in ruleset.members(ruleset.inferences[name].axis):
                counted[ours.get((name, at))] += 1
    return share


def compare_cases(part: int, parts: int) -> Share:
    """Lets CLIPS decide every worked case of every so-many-th rule."""
    ruleset = load_ruleset(FOLDER)
    clips_rules = ClipsRuleset(ruleset)
    share = Share()
    for inference in list(ruleset.rules)[part::parts]:
        assert inference.rule is not None
        for case in inference.rule.cases:
            for answers, want in [
                (case.fires, True),
                *(({**case.fires, **n}, False) for n in case.near),
            ]:
                result = consult(ruleset, case_journal(ruleset, answers, case.today))
                theirs = clips_rules.run(list(result.readings.facts()))
                there = any(theirs.get((inference.name, at)) is True
                            for at in ruleset.members(inference.axis))  # fmt: skip
                if there is not want or fires(result, inference.name) is not want:
                    share.wrong.append(f"{inference.name}: {answers}")
    return share


def in_two_processes(work: Callable[[int, int], Share], *arguments: tuple[int, int]) -> list[Share]:
    with ProcessPoolExecutor(2, mp_context=get_context("spawn")) as pool:
        return list(pool.map(work, *zip(*arguments, strict=True)))


def test_three_engines_agree_on_generated_journals() -> None:
    half = JOURNALS // 2
    shares = in_two_processes(compare_journals, (20261125, half), (20261126, JOURNALS - half))
    assert [wrong for share in shares for wrong in share.wrong] == []
    counts = {n: sum((s.counts[n] for s in shares), Counter()) for n in shares[0].counts}
    rarest = {truth: min(c[truth] for c in counts.values()) for truth in (True, False, None)}
    print(f"\n{JOURNALS} journals, {len(counts)} rules; the rarest rule was true, false, open:")
    print(f"  {rarest[True]}, {rarest[False]}, {rarest[None]} times")
    if JOURNALS >= 2000:
        rare = {n: dict(c) for n, c in counts.items() if min(c[True], c[False], c[None]) < 20}
        assert not rare, f"not often enough true, false and open: {rare}"


def test_clips_agrees_on_every_worked_case() -> None:
    shares = in_two_processes(compare_cases, (0, 2), (1, 2))
    assert [wrong for share in shares for wrong in share.wrong] == []
