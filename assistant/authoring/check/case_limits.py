"""Whether the worked cases stand one step either side of every limit; no rule is run for it."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.authoring.check.cases import CaseError, case_journal, expectations
from assistant.errors import Place
from assistant.journal.entries import Said, fold
from assistant.reasoning.facts import Readings, read_answer
from assistant.ruleset.condition import Number, leaves
from assistant.ruleset.models import Rule
from assistant.ruleset.ruleset import Ruleset
from assistant.ruleset.truth import compare

Ends = tuple[float | None, float | None]


def cases_at_limits(ruleset: Ruleset) -> Iterator[tuple[Place, str]]:
    """For each limit of each rule: a case just on one side of it, and a case just on the other."""
    for inference in ruleset.rules:
        rule = inference.rule
        assert rule is not None
        tests = {x for x in leaves(inference.condition) if isinstance(x, Number)}
        if not tests:
            continue
        try:
            values = _values(ruleset, rule, tests)
        except CaseError:
            continue  # said where the cases are run
        for test in sorted(tests, key=lambda t: (t.name, t.value, t.op)):
            for text in _sides(ruleset, values[test.name], test):
                place = ruleset.place(inference.system, *inference.path[:-1], "cases")
                yield place, f"{rule.rule}: {text}"


def _values(ruleset: Ruleset, rule: Rule, tests: set[Number]) -> dict[str, list[Ends]]:
    """For each number that is compared, the ends of its readings in the cases."""
    found: dict[str, list[Ends]] = {test.name: [] for test in tests}
    answered = all(name in ruleset.questions for name in found)
    for case in rule.cases:
        for answers, _ in expectations(case):
            journal = case_journal(ruleset, answers, case.today)
            if answered:
                for said in journal:
                    if isinstance(said, Said) and said.question in found:
                        reading = read_answer(said.answer)
                        found[said.question].append((reading.lo, reading.hi))
                continue
            readings = Readings(ruleset, fold(journal))
            for name in found:
                for at in ruleset.members(ruleset.names[name].axis):
                    reading = readings.reading(name, at)
                    found[name].append((reading.lo, reading.hi))
    return found


def _sides(ruleset: Ruleset, values: list[Ends], test: Number) -> Iterator[str]:
    """The sides of a limit that no case stands on, one step away at most."""
    question = ruleset.questions.get(test.name)
    near: dict[bool, float] = {}
    for lo, hi in values:
        if lo is None or hi is None:
            continue
        side = compare(lo, hi, test.op, test.value)
        if side is None and question is None:
            side = False  # worked out with its error, so that it reaches over the limit
        if side is not None:
            away = min(abs(lo - test.value), abs(hi - test.value))
            near[side] = min(near.get(side, away), away)
    for side, word in ((True, "holds"), (False, "does not hold")):
        if side not in near:
            yield f"no case in which {test.name} {test.op} {test.limit} {word}."
        elif question is not None and near[side] > question.step * 1.0001:
            yield (
                f"no case one step ({question.step:g}) from {test.limit} in which "
                f"{test.name} {test.op} {test.limit} {word}; the nearest is {near[side]:g} away."
            )
