"""Reachability checks: circles, what can never be reached, and what leads to nothing."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.authoring.check.checks import derived_place
from assistant.authoring.check.regions import Goal, Regions
from assistant.errors import Problem
from assistant.ruleset.graph import circles_in
from assistant.ruleset.ruleset import Inference, Ruleset


def circles(ruleset: Ruleset) -> Iterator[Problem]:
    """Nothing may hang on itself: giving way, lowering, who is asked, and what is worked out.

    Forward references between rules are rejected at load.
    """
    rules = {i.name: i.rule for i in ruleset.rules if i.rule is not None}
    for field in ("gives_way_to", "lowers"):
        graph = {name: tuple(getattr(rule, field)) for name, rule in rules.items()}
        for circle in circles_in(graph):
            inference = ruleset.inferences[circle[0]]
            place = ruleset.place(inference.system, *inference.path[:-1], field)
            yield place, f"{field} is circular: {_round(circle)}."
    concerns = {name: ruleset.graph.reads(whom.name) for name, whom in ruleset.whom.items()}
    for circle in circles_in(concerns):
        place = ruleset.place(ruleset.system_of[circle[0]], "questions", circle[0], "applies")
        yield place, f"`applies:` is circular: {_round(circle)}."
    done: set[str] = set()
    for name in ruleset.derived:
        done.add(name)
        for source in ruleset.graph.reads(name):
            if source in ruleset.derived and (source not in done or source == name):
                yield (
                    derived_place(ruleset, name),
                    f"{name} is worked out from {source}, which is worked out only "
                    f"{'from itself' if source == name else 'after it'}; put {source} further up.",
                )


def _round(circle: list[str]) -> str:
    return " to ".join([*circle, circle[0]])


def never_given(ruleset: Ruleset) -> Iterator[Problem]:
    """A worked-out fact that hangs on no answer at all."""
    for name in ruleset.derived:
        if not ruleset.questions.keys() & ruleset.graph.behind([name]):
            yield derived_place(ruleset, name), f"{name}: no question gives anything of this fact."


def dead_ends(ruleset: Ruleset) -> Iterator[Problem]:
    """A rule that finds nothing, asks nothing, says nothing of urgency, and that nothing reads."""
    for inference in ruleset.rules:
        rule = inference.rule
        assert rule is not None
        speaks = rule.finds or rule.asks or rule.urgency or rule.lowers
        if not speaks and not ruleset.graph.read_by.get(inference.name):
            place = ruleset.place(inference.system, *inference.path[:-1], "rule")
            text = "it finds nothing, asks nothing, has no urgency, and no rule reads it"
            yield place, f"{inference.name}: nothing comes of this rule: {text}."


def opened_otherwise(ruleset: Ruleset) -> set[str]:
    """The questions that are opened by something else than a rule: evidence, or a danger told."""
    weighed = [i for i in ruleset.inferences.values() if i.role == "evidence"]
    opened = {name for i in weighed for name in ruleset.graph.questions_behind(i.condition)}
    if ruleset.words is not None:
        opened |= ruleset.words.asked_first
    return opened


def never_reached(ruleset: Ruleset) -> Iterator[Problem]:
    """Questions that no chain of rules ever opens, and rules that need their answers."""
    regions = Regions(ruleset)
    others = opened_otherwise(ruleset)
    shut = {
        name
        for name, question in ruleset.questions.items()
        if question.asked == "follow_up" and name not in others
    }
    waiting = [i for i in ruleset.rules if i.rule and i.rule.asks]
    opened = True
    while opened:
        opened = False
        regions.unreachable = frozenset(shut)
        for inference in list(waiting):
            if _possible(regions, inference):
                waiting.remove(inference)
                assert inference.rule is not None and inference.rule.asks is not None
                news = shut & set(inference.rule.asks.questions)
                shut -= news
                opened = opened or bool(news)
    regions.unreachable = frozenset(shut)
    openers = {n for i in waiting if i.rule and i.rule.asks for n in i.rule.asks.questions}
    for name in sorted(shut & openers):
        place = ruleset.place(ruleset.system_of[name], "questions", name)
        yield place, f"{name}: the rules that open this question can never hold before it is asked."
    for inference in ruleset.inferences.values() if shut else ():
        hangs = sorted(set(ruleset.graph.questions_behind(inference.condition)) & shut)
        if inference.role in ("rule", "symptom") and hangs and not _possible(regions, inference):
            text = f"{inference.name} can never hold, because {hangs[0]} is never asked."
            yield ruleset.where(inference), text


def _possible(regions: Regions, inference: Inference) -> bool:
    goal = Goal(inference.condition, regions.part(inference.axis))
    return regions.possible([goal]) is not None
