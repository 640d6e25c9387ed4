"""The headline: whether the car may be driven, as far as can be said. There are three, no fourth.

A danger; or that it cannot be said, with the reasons; or that nothing told says it must not be.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

from assistant.journal.entries import State, Worry
from assistant.reasoning.findings import Finding
from assistant.reasoning.hazards import ToldDanger
from assistant.ruleset.models import Question, Urgency
from assistant.ruleset.ruleset import Ruleset

MOST_REASONS = 5
LOOK_YOURSELF = 60
"""Seconds up to which a check is one that the owner can make at once; assumed."""


@dataclass(frozen=True)
class Unseen:
    """A safety check of which nothing is known, at all the parts where that is so.

    yourself: the owner can look in a minute. group: the checks are asked together.
    """

    question: str
    parts: tuple[str, ...]
    yourself: bool


@dataclass(frozen=True)
class Headline:
    """kind: "danger", "cannot_say" or "nothing".

    urgency: the most pressing advice of a danger, NOTHING for the others. conditions: when the car
    must not be driven. worries: those that nothing known sounds like. unseen: the safety checks of
    which nothing is known. Both are the reasons of "cannot_say", and told with a danger too.
    """

    kind: Literal["danger", "cannot_say", "nothing"]
    urgency: Urgency
    conditions: tuple[str, ...]
    worries: tuple[Worry, ...]
    unseen: tuple[Unseen, ...]


def headline(
    urgency: Urgency,
    findings: Iterable[Finding],
    told: Iterable[ToldDanger],
    worries: tuple[Worry, ...],
    unseen: tuple[Unseen, ...],
) -> Headline:
    """urgency: the most pressing of all that was seen or told."""
    limits = [(f.urgency, f.rule.condition) for f in findings]
    limits += [(t.urgency, t.condition) for t in told]
    gently = Urgency.GENTLY_TO_GARAGE.rank
    conditions = dict.fromkeys(limit for how, limit in limits if limit and how.rank >= gently)
    if urgency.rank <= Urgency.GENTLY_TO_GARAGE.rank or conditions:
        return Headline("danger", urgency, tuple(conditions), worries, unseen)
    kind: Literal["cannot_say", "nothing"] = "cannot_say" if worries or unseen else "nothing"
    return Headline(kind, Urgency.NOTHING, (), worries, unseen)


def unseen_checks(
    ruleset: Ruleset,
    state: State,
    applies: Mapping[str, bool | None],
    opened: Mapping[tuple[str, str], bool],
    unread: Iterable[tuple[str, str]] = (),
) -> tuple[Unseen, ...]:
    """The safety checks that were not read, refused, hidden, not looked at or not yet asked.

    opened: the follow-ups that a rule has opened, and whether it wants them at once, in which case
    they count like a safety check; others do not count. unread: answers that could
    not be read. A check is known where any form of it is answered.
    """
    unread = frozenset(unread)
    missing: dict[tuple[str, bool], list[str]] = {}
    at_once = [item for item, now in opened.items() if now]
    for name, at in ruleset.in_order((*ruleset.safety_items, *at_once)):
        question = ruleset.questions[name]
        if applies.get(name) is False:
            continue
        if question.asked != "walk" and (name, at) not in opened:
            continue
        if (name, at) not in unread and any(
            _seen(state, form, at) for form in (name, *question.also_by)
        ):
            continue
        missing.setdefault((name, _yourself(state, question, name, at)), []).append(at)
    return tuple(Unseen(name, tuple(parts), you) for (name, you), parts in missing.items())


def _seen(state: State, name: str, at: str) -> bool:
    said = state.answers.get((name, at))
    return said is not None and said.answer.state in ("value", "not_fitted")


def _yourself(state: State, question: Question, name: str, at: str) -> bool:
    """Whether the owner can look at it in a minute, and has not said that it cannot be known."""
    said = state.answers.get((name, at))
    refused = said is not None and said.answer.state == "dont_know"
    return question.seconds <= LOOK_YOURSELF and not refused
