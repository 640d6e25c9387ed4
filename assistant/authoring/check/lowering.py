"""What lowers a danger that was told: it is asked, in a way that is allowed, or a reason is given.

A danger that was told and never seen would stand for ever if nothing could lower it. That may be
right, and then its author says why.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from assistant.errors import Problem
from assistant.reasoning.hazards import form_allowed
from assistant.ruleset.condition import Condition, Or, children
from assistant.ruleset.models import Act, Rule
from assistant.ruleset.ruleset import Inference, Key, Ruleset


def lowering_problems(ruleset: Ruleset) -> Iterator[Problem]:
    """Told dangers with neither, or with both; and what lowers one and is not asked, or may not."""
    for inference, rule in _told_rules(ruleset):
        index = ruleset.systems[inference.system].rules.index(rule)
        place = ruleset.place(inference.system, "rules", index)
        by = ruleset.lowered_by(rule.rule)
        for text in _both_or_neither(rule.unlowered, bool(by)):
            yield place, f"{rule.rule}: {text}"
        asked = set(rule.asks.questions if rule.asks else ())
        asked.update(ruleset.graph.questions_behind(inference.condition))
        for one in by:
            condition = ruleset.inferences[one].condition
            for text in _not_asked(ruleset, condition, ruleset.hazards_of(rule.rule), asked):
                yield place, f"{rule.rule}: {one} {text}"
    told = {rule.rule for _, rule in _told_rules(ruleset)}
    for inference in ruleset.rules:
        if inference.rule and inference.rule.unlowered and inference.name not in told:
            place = ruleset.place(inference.system, *inference.path[:-1], "unlowered")
            yield place, f"{inference.name}: unlowered is for a danger that was only told."
    for name, danger in ruleset.words.dangers.items() if ruleset.words is not None else ():
        place = ruleset.place("words", "dangers", name)
        lowered = danger.lifted_by is not None or danger.lowered is not None
        for text in _both_or_neither(danger.unlowered, lowered):
            yield place, f"{name}: {text}"
        for one in (Key("lifted", name).text, Key("lowered", name).text):
            if one in ruleset.inferences:
                condition = ruleset.inferences[one].condition
                for text in _not_asked(ruleset, condition, danger.hazards, set(danger.ask)):
                    yield place, f"{name}: what lowers it {text}"


def unlowered_lines(ruleset: Ruleset) -> list[str]:
    """The told dangers that nothing lowers, each with the reason."""
    dangers = ruleset.words.dangers if ruleset.words is not None else {}
    rows = [(f"told in words, {name}", one.unlowered) for name, one in dangers.items()]
    rows += [(rule.rule, rule.unlowered) for _, rule in _told_rules(ruleset)]
    return [f"  {name}: {reason}" for name, reason in rows if reason is not None]


def _told_rules(ruleset: Ruleset) -> Iterator[tuple[Inference, Rule]]:
    """The rules of "do not drive" and graver that rest on nothing but what was told."""
    for inference in ruleset.rules:
        rule = inference.rule
        urgency = rule.urgency if rule is not None else None
        if rule is None or urgency is None or not urgency.is_danger:
            continue
        names = set(ruleset.graph.questions_behind(inference.condition)) - ruleset.of_the_car
        stages = {ruleset.places[ruleset.questions[name].place].stage for name in names}
        if stages == {"triage"}:
            yield inference, rule


def _both_or_neither(reason: str | None, lowered: bool) -> Iterator[str]:
    if reason is None and not lowered:
        yield "nothing lowers this danger that was told; write under unlowered why that is so."
    if reason is not None and lowered:
        yield "something lowers this danger; take out what is said under unlowered."


def _not_asked(
    ruleset: Ruleset, condition: Condition, hazards: Sequence[str], asked: set[str]
) -> list[str]:
    """What of a condition is not asked, or must not be looked at while the hazards stand.

    Of alternatives the one of which least is missing. asked: what the danger asks, or reads itself.
    """
    parts = children(condition)
    if parts:
        found = [_not_asked(ruleset, part, hazards, asked) for part in parts]
        return min(found, key=len) if isinstance(condition, Or) else [t for ts in found for t in ts]
    missing: list[str] = []
    for name in ruleset.graph.questions_behind(condition):
        question = ruleset.questions[name]
        if name in asked or name in ruleset.of_the_car:
            continue
        if question.asked == "follow_up":
            missing.append(f"reads {name}, which this danger does not ask.")
        if not _may_be_made(ruleset, name, hazards):
            missing.append(f"reads {name}, which its own hazard forbids to look at.")
    return missing


def _may_be_made(ruleset: Ruleset, question: str, hazards: Sequence[str]) -> bool:
    """Whether a check can be made while hazards stand, once it has cooled."""
    forbidden: set[Act] = set()
    for name in hazards:
        hazard = ruleset.hazards[name]
        forbidden |= set(hazard.forbids) - set(hazard.cooled.frees if hazard.cooled else ())
    parts = ruleset.members(ruleset.questions[question].each)
    return all(form_allowed(ruleset, frozenset(forbidden), question, at) for at in parts)
