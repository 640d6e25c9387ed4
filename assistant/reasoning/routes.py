"""The same fault by two routes: told of as a worry, and looked at as a check.

A worry that was told gives way to the check that finds the same: that is one finding, and both are
its supports. Where the check finds nothing, the two contradict each other, and both stand.
"""

from __future__ import annotations

from dataclasses import dataclass

from assistant.journal.entries import Said
from assistant.reasoning.consultation import Consultation
from assistant.reasoning.findings import Finding
from assistant.reasoning.trail import answers_under, trail_of
from assistant.ruleset.ruleset import Ruleset, made_once


@dataclass(frozen=True)
class Contradicted:
    """A finding that was only told, the answer that told it, and the answers that say otherwise."""

    finding: Finding
    told: Said
    answers: tuple[Said, ...]


def also_found(consultation: Consultation, finding: Finding) -> list[tuple[str, str]]:
    """The rules, by part, that hold as well and give way to a finding: it by another route."""
    rs, result = consultation.ruleset, consultation.result
    name, at = finding.rule.rule, finding.at
    found = []
    for other in _giving_way(rs).get(name, ()):
        parts = rs.members(rs.inferences[other].axis)
        here = [part for part in parts if part == at or "" in (part, at)]
        found += [(other, part) for part in here if result.truth(other, part) is True]
    return found


@made_once
def _giving_way(ruleset: Ruleset) -> dict[str, list[str]]:
    """For each rule, those that give way to it."""
    found: dict[str, list[str]] = {}
    for inference in ruleset.rules:
        for graver in inference.rule.gives_way_to if inference.rule else ():
            found.setdefault(graver, []).append(inference.name)
    return found


def supports_of(consultation: Consultation, finding: Finding) -> list[Said]:
    """Every answer that a finding rests on, by whatever route, once each."""
    keys = [(finding.rule.rule, finding.at), *also_found(consultation, finding)]
    answers = [said for key in keys for said in answers_under(trail_of(consultation, *key))]
    return list({(said.question, said.at): said for said in answers}.values())


def checks_of(ruleset: Ruleset, rule: str) -> list[str]:
    """The rules that find by looking what a rule has from what was told."""
    model = ruleset.inferences[rule].rule
    if model is None or not model.looked_at:
        return []
    return [name for name in model.gives_way_to if not _only_remembered(ruleset, name)]


def looked_at_by(ruleset: Ruleset, rule: str) -> set[str]:
    """The questions of the checks that look at what a rule has from what was told."""
    return {name for check in checks_of(ruleset, rule) for name in _behind(ruleset, check)}


def contradicted(consultation: Consultation) -> tuple[Contradicted, ...]:
    """What was told of, and is not found by any of the checks that look at it."""
    rs, result = consultation.ruleset, consultation.result
    found: list[Contradicted] = []
    for finding in consultation.findings:
        checks = checks_of(rs, finding.rule.rule)
        parts = [(name, at) for name in checks for at in rs.members(rs.inferences[name].axis)]
        parts = [part for part in parts if not _is_for_another_car(consultation, part[0])]
        if not parts or any(result.truth(*part) is not False for part in parts):
            continue
        supports = supports_of(consultation, finding)
        told = [said for said in supports if rs.questions[said.question].asked == "told"]
        looked = looked_at_by(rs, finding.rule.rule)
        others = [f for f in consultation.findings if f is not finding]
        if any(looked.intersection(_behind(rs, other.rule.rule)) for other in others):
            continue  # something else was found there
        answers = [s for (name, _), s in consultation.state.answers.items() if name in looked]
        if told and answers:
            found.append(Contradicted(finding, told[0], tuple(answers)))
    return tuple(found)


def _is_for_another_car(consultation: Consultation, rule: str) -> bool:
    """Whether a rule reads a question that does not concern this car."""
    return any(consultation.applies(n) is False for n in _behind(consultation.ruleset, rule))


def _only_remembered(ruleset: Ruleset, rule: str) -> bool:
    places, questions = ruleset.places, ruleset.questions
    return all(places[questions[n].place].stage == "triage" for n in _behind(ruleset, rule))


def _behind(ruleset: Ruleset, rule: str) -> list[str]:
    """The questions behind a rule, but for those about the car."""
    names = ruleset.graph.questions_behind(ruleset.inferences[rule].condition)
    return [name for name in names if name not in ruleset.of_the_car]
