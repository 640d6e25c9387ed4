"""A car with many findings, made of the worked cases of the rules themselves."""

from __future__ import annotations

from random import Random

from assistant.journal.entries import Entry, Said
from assistant.reasoning.consultation import consult
from assistant.report.found import found_of
from assistant.ruleset.fitting import misfit
from assistant.ruleset.models import Rule
from assistant.ruleset.ruleset import Ruleset
from tests.support.saying import answer


def many_found(ruleset: Ruleset, journal: list[Entry], count: int, seed: int = 3) -> list[Entry]:
    """A journal with case after case added, until so many things are found."""
    rules = [i.rule for i in ruleset.rules if i.rule and i.rule.finds and i.rule.urgency]
    Random(seed).shuffle(rules)
    asked: set[str] = set()
    now = len(found_of(consult(ruleset, journal)))
    for rule in rules:
        added = _answers(ruleset, rule, journal[-1].turn + 1)
        names = {said.question for said in added}
        if not added or names & asked:
            continue
        found = len(found_of(consult(ruleset, [*journal, *added])))
        if now < found <= count:
            journal, asked, now = [*journal, *added], asked | names, found
        if now == count:
            break
    assert now == count
    return journal


def _answers(ruleset: Ruleset, rule: Rule, turn: int) -> list[Entry]:
    """The answers of a rule's first case; none where they are about the car itself."""
    made: list[Entry] = []
    for key, value in rule.cases[0].fires.items():
        name, _, at = key.partition("@")
        if name not in ruleset.questions or name in ruleset.of_the_car:
            return []
        question = ruleset.questions[name]
        at = at or (ruleset.members(question.each)[0] if question.each else "")
        pair = isinstance(value, list) and question.kind != "some_of"
        given = answer(tuple(value) if pair else value)  # type: ignore[arg-type]
        if misfit(ruleset, name, at, given) is not None:
            return []
        made.append(Said(turn=turn, question=name, at=at, answer=given, words=str(value)))
    return made
