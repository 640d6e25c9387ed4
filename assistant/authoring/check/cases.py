"""Runs the worked cases of a ruleset through the engine, and tries to break its rules.

A case gives answers that fire a rule and answers one step away that do not. The mutation
check changes each comparison of a rule in turn; a change that no case notices means that
the cases do not pin the rule down.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping

from assistant.errors import Problem, near_name
from assistant.journal.entries import Answer, Context, Earlier, Entry, Said, fold
from assistant.reasoning.consultation import Consultation, consult
from assistant.reasoning.facts import Readings, read_answer
from assistant.ruleset.condition import (
    And,
    Condition,
    Not,
    Number,
    Or,
    Somewhere,
    Word,
    leaves,
)
from assistant.ruleset.condition_words import in_names
from assistant.ruleset.models import CaseAnswer, Rule, WorkedCase
from assistant.ruleset.ruleset import Inference, Ruleset
from assistant.ruleset.truth import compare, evaluate

CASE_DAY = dt.date(2026, 1, 15)


class CaseError(ValueError):
    """An answer in a worked case does not fit its question."""


def typed_answer(ruleset: Ruleset, name: str, value: CaseAnswer) -> Answer:
    """The answer that a worked case means. Raises CaseError where it does not fit."""
    question = ruleset.questions.get(name)
    if question is None:
        raise CaseError(f"there is no question {name!r}.{near_name(name, ruleset.questions)}")
    if value in ("dont_know", "cant_look", "not_fitted"):
        if value == "not_fitted" and not question.not_fitted:
            raise CaseError(f"{name!r} does not allow not_fitted")
        return Answer(state=value)  # type: ignore[arg-type]
    if question.kind in ("yes_no", "one_of"):
        return Answer(word=_word(ruleset, name, value))
    if question.kind == "some_of":
        if not isinstance(value, list):
            raise CaseError(f"{name!r} takes a list of its choices, [] for none")
        return Answer(words=tuple(_word(ruleset, name, item) for item in value))
    if question.kind == "note":
        return Answer(text=str(value))
    ends = value if isinstance(value, list) else [value, value]
    if len(ends) != 2:
        raise CaseError(f"{name!r} takes a number, or [lowest, highest]")
    lo, hi = (_number(name, question.kind, end) for end in ends)
    return Answer(lo=lo, hi=hi)


def _word(ruleset: Ruleset, name: str, value: object) -> str:
    words = ruleset.questions[name].words()
    if value not in words:
        hint = near_name(str(value), words)
        raise CaseError(f"{value!r} is not an answer of {name!r}.{hint}")
    return str(value)


def _number(name: str, kind: str, value: object) -> float:
    if kind == "date":
        if not isinstance(value, dt.date):
            raise CaseError(f"{name!r} takes a date such as 2015-03-01")
        return float(value.toordinal())
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise CaseError(f"{name!r} takes a number in its own unit")
    return float(value)


def case_key(text: str) -> tuple[bool, str, str]:
    """What a worked case calls "question", "question@part" or "earlier question": whether it is
    of an earlier day, the question, and the part."""
    name, _, at = text.removeprefix("earlier ").partition("@")
    return text.startswith("earlier "), name, at


def case_journal(
    ruleset: Ruleset, answers: Mapping[str, CaseAnswer], today: dt.date | None = None
) -> list[Entry]:
    """A journal from case answers."""
    day = today or CASE_DAY
    earlier: list[Earlier] = []
    said: list[Said] = []
    for text, value in answers.items():
        is_earlier, name, at = case_key(text)
        answer = typed_answer(ruleset, name, value)
        axis = ruleset.questions[name].each
        if at and at not in ruleset.members(axis):
            raise CaseError(f"{name!r} has no part {at!r}.{near_name(at, ruleset.members(axis))}")
        at = at or ruleset.members(axis)[0]
        if is_earlier:
            past = day.replace(year=day.year - 1)
            earlier.append(Earlier(question=name, at=at, answer=answer, date=past))
        else:
            said.append(Said(turn=len(said) + 1, question=name, at=at, answer=answer))
    context = Context(today=day, ruleset=ruleset.about.name, earlier=tuple(earlier))
    return [context, *said]


def fires(consultation: Consultation, rule: str) -> bool:
    """Whether a rule has fired at any part."""
    axis = consultation.ruleset.inferences[rule].axis
    parts = consultation.ruleset.members(axis)
    return any(consultation.result.truth(rule, at) is True for at in parts)


def check_cases(ruleset: Ruleset) -> list[Problem]:
    """Runs every worked case; returns what does not come out as it says, with its place."""
    problems: list[Problem] = []
    for system, file in ruleset.systems.items():
        for r, rule in enumerate(file.rules):
            for c, case in enumerate(rule.cases):
                place = ruleset.place(system, "rules", r, "cases", c)
                problems += [
                    (place, f"{rule.rule}: {text}") for text in _case(ruleset, rule.rule, case)
                ]
        for n, quiet in enumerate(file.not_defects):
            place = ruleset.place(system, "not_defects", n)
            try:
                result = consult(ruleset, case_journal(ruleset, quiet.given, quiet.today))
            except CaseError as error:
                problems.append((place, f"{error}."))
                continue
            loud = [name for name in quiet.quiet if fires(result, name)]
            problems += [(place, f"{name} fires, but this is not a defect.") for name in loud]
        for s, symptom in enumerate(file.symptoms):
            ends: set[str] = set()
            for c, scase in enumerate(symptom.cases):
                place = ruleset.place(system, "symptoms", s, "cases", c)
                try:
                    result = consult(ruleset, case_journal(ruleset, scase.given, scase.today))
                except CaseError as error:
                    problems.append((place, f"{error}."))
                    continue
                found = [x for x in result.symptoms if x.symptom.symptom == symptom.symptom]
                likely = found[0].likely if found else None
                end = likely.cause.cause if likely else "open" if found else "not noticed"
                ends.add(end)
                if end != scase.likely:
                    shares = {c.cause.cause: round(c.share, 2) for x in found for c in x.causes}
                    text = f"{symptom.symptom}: this ends {end}, not {scase.likely}: {shares}."
                    problems.append((place, text))
            if "open" not in ends or len(ends) < 4:
                place = ruleset.place(system, "symptoms", s)
                text = "the cases must end in three different causes, and one must stay open."
                problems.append((place, f"{symptom.symptom}: {text}"))
    return problems


def _case(ruleset: Ruleset, rule: str, case: WorkedCase) -> Iterator[str]:
    try:
        if not fires(consult(ruleset, case_journal(ruleset, case.fires, case.today)), rule):
            yield "this case does not fire the rule."
        for near in case.near:
            yield from _near_distance(ruleset, case, near)
            answers = {**case.fires, **near}
            if fires(consult(ruleset, case_journal(ruleset, answers, case.today)), rule):
                yield f"the near miss {near} fires the rule all the same."
    except CaseError as error:
        yield f"{error}."


def _near_distance(
    ruleset: Ruleset, case: WorkedCase, near: Mapping[str, CaseAnswer]
) -> Iterator[str]:
    if len(near) != 1:
        yield f"a near miss changes one answer, not {len(near)}."
        return
    ((text, value),) = near.items()
    before = case.fires.get(text)
    if before is None or isinstance(before, str) or isinstance(value, str):
        return
    _, name, _ = case_key(text)
    question = ruleset.questions.get(name)
    if question is None:
        return
    if question.kind == "some_of":
        changed = set(map(str, before)) ^ set(map(str, value))  # type: ignore[arg-type]
        if len(changed) != 1:
            yield f"the near miss {near} changes more than one pick."
        return
    one, two = typed_answer(ruleset, name, before), typed_answer(ruleset, name, value)
    assert one.lo is not None and two.lo is not None and one.hi is not None and two.hi is not None
    if max(abs(one.lo - two.lo), abs(one.hi - two.hi)) > question.step * 1.0001:
        yield f"the near miss {near} is more than one step ({question.step:g}) away."


def check_mutations(ruleset: Ruleset) -> list[Problem]:
    """Changes each comparison of each rule; returns the changes that no case notices."""
    problems: list[Problem] = []
    for system, file in ruleset.systems.items():
        for index, rule in enumerate(file.rules):
            inference = ruleset.inferences[rule.rule]
            views: list[tuple[bool, Consultation]] = []
            try:
                for case in rule.cases:
                    for answers, want in expectations(case):
                        journal = case_journal(ruleset, answers, case.today)
                        views.append((want, consult(ruleset, journal)))
            except CaseError:
                continue  # check_cases says so
            for what, mutant in mutants(ruleset, inference.condition):
                if all(_holds(inference, mutant, c) == want for want, c in views):
                    place = ruleset.place(system, "rules", index, "when")
                    problems.append((place, f"{rule.rule}: no case notices if {what}."))
    return problems


def expectations(case: WorkedCase) -> Iterator[tuple[dict[str, CaseAnswer], bool]]:
    yield case.fires, True
    for near in case.near:
        yield {**case.fires, **near}, False


def _holds(inference: Inference, condition: Condition, consultation: Consultation) -> bool:
    parts = consultation.ruleset.members(inference.axis)
    return any(evaluate(condition, consultation.view(), at) is True for at in parts)


_NEIGHBOUR = {"<": "<=", "<=": "<", ">": ">=", ">=": ">", "==": "<="}


def mutants(ruleset: Ruleset, node: Condition) -> Iterator[tuple[str, Condition]]:
    """Every small change of a condition, with words for it."""
    if isinstance(node, And | Or):
        kind, other = (And, Or) if isinstance(node, And) else (Or, And)
        joined = "and" if isinstance(node, And) else "or"
        yield f"'{joined}' becomes '{'or' if joined == 'and' else 'and'}'", other(node.parts)
        for index, part in enumerate(node.parts):
            rest = node.parts[:index] + node.parts[index + 1 :]
            yield f"{in_names(part)} is left out", rest[0] if len(rest) == 1 else kind(rest)
            for what, changed in mutants(ruleset, part):
                yield what, kind((*node.parts[:index], changed, *node.parts[index + 1 :]))
        return
    if isinstance(node, Not):
        yield "a 'not' is left out", node.part
        for what, changed in mutants(ruleset, node.part):
            yield what, Not(changed)
        return
    if isinstance(node, Somewhere):
        for what, changed in mutants(ruleset, node.part):
            yield what, Somewhere(node.axis, changed, node.text)
        return
    yield f"{in_names(node)} is turned round", Not(node)
    if isinstance(node, Word) and len(node.words) > 1:
        for word in node.words:
            rest_words = tuple(w for w in node.words if w != word)
            yield f"{word!r} is left out", Word(node.name, rest_words, node.all_words)
    if isinstance(node, Number):
        op = _NEIGHBOUR[node.op]
        yield f"{node.name} {node.op} becomes {op}", Number(node.name, op, node.value)
        question = ruleset.questions.get(node.name)
        step = question.step if question else 0.0
        for moved in (node.value - step, node.value + step):
            if step:
                words = f"{node.name} is compared with {moved:g} in place of {node.value:g}"
                yield words, Number(node.name, node.op, moved)


Ends = tuple[float | None, float | None]


def cases_at_limits(ruleset: Ruleset) -> Iterator[Problem]:
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
            continue  # reported by check_cases
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
