"""What would follow from other answers, by the plain reading of the conditions.

It filters what is worth a real replay, and nothing more: what a person is told is confirmed by
`consult`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from assistant.knowledge.conditions import Condition, Somewhere, children
from assistant.knowledge.journal import Answer, Said, State
from assistant.knowledge.ruleset import Ruleset, made_once
from assistant.reasoning.consultation import Consultation
from assistant.reasoning.engine import Supposed
from assistant.reasoning.facts import Readings, read_answer


def suppose(consultation: Consultation, answers: Mapping[tuple[str, str], Answer]) -> Supposed:
    """The plain view with these answers in the place of those that were given."""
    rs, state, readings = consultation.ruleset, consultation.state, consultation.readings
    if not any(name in rs.of_the_car or rs.worked_from(name) for name, _ in answers):
        counting = ((key, a) for key, a in answers.items() if key[0] not in readings.without)
        return Supposed(rs, readings.changed({key: read_answer(a) for key, a in counting}))
    said = {
        key: Said(turn=state.last_turn + 1, question=key[0], at=key[1], answer=answer)
        for key, answer in answers.items()
    }
    if not any(name in rs.of_the_car for name, _ in answers):
        return Supposed(rs, readings.answered(said))
    state = replace(state, answers={**state.answers, **said})
    return Supposed(rs, Readings(rs, state, _not_this_car(rs, state)))


def _not_this_car(ruleset: Ruleset, state: State) -> frozenset[str]:
    """The questions that do not concern a car, by the plain reading of what they say."""
    view = Supposed(ruleset, Readings.of_the_car(ruleset, state))
    return frozenset(
        name
        for name, question in ruleset.questions.items()
        if question.applies is not None and view.concluded(f"applies: {name}", "") is False
    )


def items_behind(ruleset: Ruleset, name: str, at: str) -> tuple[tuple[str, str], ...]:
    """Every (question, part) that a conclusion or a worked-out fact hangs on, in order."""
    known = _behind(ruleset)
    if (name, at) not in known:
        known[name, at] = _items_behind(ruleset, name, at)
    return known[name, at]


@made_once
def _behind(_: Ruleset) -> dict[tuple[str, str], tuple[tuple[str, str], ...]]:
    """What each name at a part hangs on; filled as it is needed."""
    return {}


def _items_behind(ruleset: Ruleset, name: str, at: str) -> tuple[tuple[str, str], ...]:
    found: dict[tuple[str, str], None] = {}
    seen: set[tuple[str, str]] = set()

    def of_name(one: str, part: str) -> None:
        kind = ruleset.names.get(one)
        part = part if kind is None or kind.axis else ""
        if (one, part) in seen:
            return
        seen.add((one, part))
        if one in ruleset.questions:
            found[(one, part)] = None
        elif one in ruleset.inferences:
            of_condition(ruleset.inferences[one].condition, part)
        for behind in ruleset.answers_behind(one):
            other = ruleset.names.get(behind)
            if kind is not None and other is not None and other.kind != "limit":
                for near in ruleset.related(kind.axis, part, other.axis):
                    of_name(behind, near)

    def of_condition(node: Condition, part: str) -> None:
        if isinstance(node, Somewhere):
            for member in ruleset.members(node.axis):
                of_condition(node.part, member)
        elif inner := children(node):
            for child in inner:
                of_condition(child, part)
        else:
            of_name(node.name, part)  # type: ignore[union-attr]

    of_name(name, at)
    return tuple(found)
