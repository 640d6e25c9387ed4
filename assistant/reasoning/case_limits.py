"""Whether the worked cases stand one step either side of every limit; no rule is run for it."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.errors import Place
from assistant.knowledge.conditions import Number, leaves
from assistant.knowledge.evaluation import compare
from assistant.knowledge.journal import fold
from assistant.knowledge.models import Rule
from assistant.knowledge.ruleset import Ruleset
from assistant.reasoning.cases import CaseError, case_journal, expectations
from assistant.reasoning.facts import Readings

__all__ = ["cases_at_limits"]


def cases_at_limits(ruleset: Ruleset) -> Iterator[tuple[Place, str]]:
    """For each limit of each rule: a case just on one side of it, and a case just on the other."""
    for inference in ruleset.rules():
        rule = inference.rule
        assert rule is not None
        tests = {x for x in leaves(inference.condition) if isinstance(x, Number)}
        if not tests:
            continue
        try:
            readings = list(_readings(ruleset, rule))
        except CaseError:
            continue  # said where the cases are run
        for test in sorted(tests, key=lambda t: (t.name, t.value, t.op)):
            place = ruleset.place(inference.system, *inference.path[:-1], "cases")
            for text in _sides(ruleset, readings, test):
                yield place, f"{rule.rule}: {text}"


def _readings(ruleset: Ruleset, rule: Rule) -> Iterator[Readings]:
    for case in rule.cases:
        for answers, _ in expectations(case):
            yield Readings(ruleset, fold(case_journal(ruleset, answers, case.today)))


def _sides(ruleset: Ruleset, readings: list[Readings], test: Number) -> Iterator[str]:
    """The sides of a limit that no case stands on, one step away at most."""
    question = ruleset.questions.get(test.name)
    near: dict[bool, float] = {}
    for view in readings:
        for at in ruleset.members(ruleset.names[test.name].axis):
            reading = view.reading(test.name, at)
            if reading.lo is None or reading.hi is None:
                continue
            side = compare(reading.lo, reading.hi, test.op, test.value)
            if side is None and question is None:
                side = False  # worked out with its error, so that it reaches over the limit
            if side is not None:
                end = min((reading.lo, reading.hi), key=lambda v: abs(v - test.value))
                away = abs(end - test.value)
                near[side] = min(near.get(side, away), away)
    for side, word in ((True, "holds"), (False, "does not hold")):
        if side not in near:
            yield f"no case in which {test.name} {test.op} {test.limit} {word}."
        elif question is not None and near[side] > question.step * 1.0001:
            yield (
                f"no case one step ({question.step:g}) from {test.limit} in which "
                f"{test.name} {test.op} {test.limit} {word}; the nearest is {near[side]:g} away."
            )
