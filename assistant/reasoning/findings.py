"""What the rules that have fired say to the person, the gravest first."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Set
from dataclasses import dataclass

from assistant.reasoning.engine import EngineResult, EngineView, Firing
from assistant.reasoning.facts import Readings
from assistant.ruleset.grammar import placed
from assistant.ruleset.graph import reached
from assistant.ruleset.models import Rule, Urgency
from assistant.ruleset.ruleset import Ruleset


@dataclass(frozen=True)
class Finding:
    """A rule that has fired and says something to the person."""

    rule: Rule
    at: str
    at_words: str
    urgency: Urgency
    firing: Firing
    close_to_limit: bool = False

    @property
    def says(self) -> str:
        """What was found, with the part it was found at."""
        return placed(self.at_words, self.rule.say)

    @property
    def item(self) -> str | None:
        return self.rule.finds.item if self.rule.finds else None

    @property
    def category(self) -> str | None:
        return self.rule.finds.category if self.rule.finds else None


def findings(
    ruleset: Ruleset,
    readings: Readings,
    result: EngineResult,
    ended: Set[tuple[str, str]] = frozenset(),
) -> tuple[Finding, ...]:
    """ended: rules, by part, that hold of what was told, and that a garage's word has ended."""
    found: list[Finding] = []
    for firing in result.firings.values():
        if not firing.truth or (firing.inference, firing.at) in ended:
            continue
        inference = ruleset.inferences[firing.inference]
        rule = inference.rule
        if rule is None or not (rule.finds or rule.urgency):
            continue
        graver_ones = (name for name in rule.gives_way_to if (name, firing.at) not in ended)
        if any(_is_found(ruleset, result, graver, firing.at) for graver in graver_ones):
            continue
        if _is_lowered(ruleset, result, rule.rule, firing.at):
            continue
        found.append(
            Finding(
                rule,
                firing.at,
                ruleset.at_words(rule.rule, firing.at),
                rule.urgency or Urgency.NOTHING,
                firing,
                _is_close(ruleset, readings, firing),
            )
        )
    scale = list(ruleset.about.scale)
    found.sort(
        key=lambda f: (
            f.urgency.rank,
            scale.index(f.category) if f.category else len(scale),
            ruleset.inferences[f.rule.rule].order,
            ruleset.members(ruleset.inferences[f.rule.rule].axis).index(f.at),
        )
    )
    return tuple(found)


def stands(ruleset: Ruleset, result: EngineResult, rule: str, at: str) -> bool:
    """Whether a rule has fired at a part, or for the whole car, or somewhere if it has parts."""
    axis = ruleset.inferences[rule].axis
    parts = (at,) if at in ruleset.members(axis) else ruleset.members(axis)
    return any(result.truth(rule, part) is True for part in parts)


def in_its_place(
    ruleset: Ruleset,
    gone: Finding,
    before: Mapping[tuple[str, str], Finding],
    after: Iterable[Finding],
) -> bool:
    """Whether a finding that is gone stands on in another, as grave or graver, at the same part:
    one that it gives way to, or one of the same hazard that was not there before.

    Then nothing was taken away: the danger was confirmed, or is worse.
    """
    graver = _gives_way_to(ruleset, gone.rule)
    hazards = set(ruleset.hazards_of(gone.rule.rule))
    for other in after:
        name = other.rule.rule
        if other.urgency.rank > gone.urgency.rank or not ("" in (gone.at, other.at) or
                                                          gone.at == other.at):  # fmt: skip
            continue
        if name in graver:
            return True
        if gone.rule.rule in _gives_way_to(ruleset, other.rule):
            continue  # it only comes to light again
        if (name, other.at) not in before and hazards.intersection(ruleset.hazards_of(name)):
            return True
    return False


def _gives_way_to(ruleset: Ruleset, rule: Rule) -> set[str]:
    """The graver rules of a rule, and those of them."""

    def graver(name: str) -> list[str]:
        other = ruleset.inferences[name].rule
        return other.gives_way_to if other is not None else []

    return set(reached(rule.gives_way_to, graver))


def _is_found(ruleset: Ruleset, result: EngineResult, rule: str, at: str) -> bool:
    """Whether a rule stands, and nothing seen has ruled it out."""
    return stands(ruleset, result, rule, at) and not _is_lowered(ruleset, result, rule, at)


def _is_lowered(ruleset: Ruleset, result: EngineResult, rule: str, at: str) -> bool:
    return any(stands(ruleset, result, by, at) for by in ruleset.lowered_by(rule))


def _is_close(ruleset: Ruleset, readings: Readings, firing: Firing) -> bool:
    """Whether a measuring error of the usual size could turn this finding over."""
    measured = [
        key
        for fact in firing.supports[0]
        if fact.kind in ("answer", "worked")
        for key in ruleset.graph.items_behind(fact.name, fact.at)
        if ruleset.questions[key[0]].error and readings.reading(*key).lo is not None
    ]
    if not measured:
        return False
    view = EngineView(ruleset, readings.with_errors(measured), {})
    return ruleset.reader(firing.inference)(view, firing.at) is None
