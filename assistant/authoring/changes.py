"""What is different between two rulesets: in what they say, and in how worked cases come out."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from pydantic import BaseModel

from assistant.authoring.check.cases import CaseError, case_journal, expectations
from assistant.reasoning.consultation import consult
from assistant.ruleset.models import CaseAnswer
from assistant.ruleset.ruleset import Ruleset
from assistant.ruleset.words import URGENCY_WORDS

Outcome = dict[tuple[str, str], tuple[str, str, str]]
"""For each rule that is shown, at each part: item, category and urgency."""


Case = tuple[str, Mapping[str, CaseAnswer], dt.date | None]
"""What a case is of, its answers, and its day."""


@dataclass(frozen=True)
class CaseChange:
    """A worked case of one of the two that comes out otherwise in the other."""

    case: str
    answers: str
    changes: tuple[str, ...]


@dataclass(frozen=True)
class Changes:
    """parts: sentences on what was added, removed or changed. cases: what comes out otherwise."""

    parts: tuple[str, ...]
    cases: tuple[CaseChange, ...]
    cases_run: int


def compare_rulesets(old: Ruleset, new: Ruleset) -> Changes:
    """Compares two rulesets. Worked cases of either are run in both."""
    parts = tuple(_parts(old, new))
    if old.digest == new.digest:
        return Changes(parts, (), 0)
    run: dict[str, Case] = {}
    for case in (*_cases(old), *_cases(new)):
        run.setdefault(json.dumps(case[1:], default=str, sort_keys=True), case)
    before = [_outcome(old, answers, today) for _, answers, today in run.values()]
    after = [_outcome(new, answers, today) for _, answers, today in run.values()]
    found: list[CaseChange] = []
    for (name, answers, _), one, two in zip(run.values(), before, after, strict=True):
        changes = tuple(_differences(one, two))
        if changes:
            found.append(CaseChange(name, _short(answers), changes))
    return Changes(parts, tuple(found), len(run))


# what they say ----------------------------------------------------------------------------


def _parts(old: Ruleset, new: Ruleset) -> Iterator[str]:
    def rules(ruleset: Ruleset) -> dict[str, BaseModel]:
        return {i.name: i.rule for i in ruleset.rules if i.rule is not None}

    tables: list[tuple[str, Mapping[str, BaseModel], Mapping[str, BaseModel]]] = [
        ("rule", rules(old), rules(new)),
        ("question", old.questions, new.questions),
        ("limit", old.limits, new.limits),
        ("worked-out fact", old.derived, new.derived),
        ("symptom", old.symptoms, new.symptoms),
    ]
    for kind, before, after in tables:
        for name in before:
            if name not in after:
                yield f"{kind} {name}: removed"
        for name, model in after.items():
            if name not in before:
                yield f"{kind} {name}: added"
            elif model != before[name]:
                yield f"{kind} {name}: changed in {_fields(before[name], model)}"


def _fields(before: BaseModel, after: BaseModel) -> str:
    """The fields that differ, a short one with what it said and says."""
    rows: list[str] = []
    for field in type(after).model_fields:
        one, two = getattr(before, field), getattr(after, field)
        if one != two:
            short = isinstance(one, str | int | float | dt.date | None) and isinstance(
                two, str | int | float | dt.date | None
            )
            rows.append(f"{field} (from {one} to {two})" if short else field)
    return ", ".join(rows)


# how cases come out -----------------------------------------------------------------------


def _cases(ruleset: Ruleset) -> Iterator[Case]:
    """Every worked case, its near misses, the cases of symptoms and those of no defect."""
    for inference in ruleset.rules:
        assert inference.rule is not None
        for case in inference.rule.cases:
            for answers, _ in expectations(case):
                yield inference.name, answers, case.today
    for name, symptom in ruleset.symptoms.items():
        for scase in symptom.cases:
            yield name, scase.given, scase.today
    for file in ruleset.systems.values():
        for quiet in file.not_defects:
            yield quiet.what, quiet.given, quiet.today


def _outcome(
    ruleset: Ruleset, answers: Mapping[str, CaseAnswer], today: dt.date | None
) -> Outcome | str:
    """What is found, or why the case does not fit this ruleset."""
    try:
        result = consult(ruleset, case_journal(ruleset, answers, today))
    except CaseError as error:
        return str(error)
    found: Outcome = {
        (f.rule.rule, f.at): (f.item or "", f.category or "", f.urgency.value)
        for f in result.findings
    }
    for symptom in result.symptoms:
        likely = symptom.likely.cause.cause if symptom.likely else "open"
        found[(f"symptom {symptom.symptom.symptom}", "")] = ("", likely, "")
    return found


def _differences(before: Outcome | str, after: Outcome | str) -> Iterator[str]:
    if isinstance(before, str) or isinstance(after, str):
        if not isinstance(before, str):
            yield f"it does not fit the new ruleset: {after}"
        elif not isinstance(after, str):
            yield f"it does not fit the old ruleset: {before}"
        return
    for key in sorted(before.keys() - after.keys()):
        yield f"lost: {_said(key, before[key])}"
    for key in sorted(after.keys() - before.keys()):
        yield f"gained: {_said(key, after[key])}"
    for key in sorted(before.keys() & after.keys()):
        if before[key] != after[key]:
            yield f"changed: {_said(key, before[key])}, now {_said(key, after[key])}"


def _said(key: tuple[str, str], outcome: tuple[str, str, str]) -> str:
    item, category, urgency = outcome
    where = f" at {key[1]}" if key[1] else ""
    words = {u.value: text for u, text in URGENCY_WORDS.items()}
    parts = [part for part in (item, category, words.get(urgency, "")) if part]
    return f"{key[0]}{where} ({', '.join(parts)})" if parts else f"{key[0]}{where}"


def _short(answers: Mapping[str, CaseAnswer]) -> str:
    return ", ".join(f"{key}: {value}" for key, value in answers.items())
