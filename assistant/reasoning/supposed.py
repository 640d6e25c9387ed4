"""What would follow from other answers, by the plain reading of the conditions.

It filters what is worth a real replay, and nothing more: what a person is told is confirmed by
`consult`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from assistant.knowledge.journal import Answer, Said, State
from assistant.knowledge.ruleset import Ruleset
from assistant.reasoning.consultation import Consultation
from assistant.reasoning.engine import Supposed
from assistant.reasoning.facts import Readings, read_answer


def suppose(consultation: Consultation, answers: Mapping[tuple[str, str], Answer]) -> Supposed:
    """The plain view with these answers in the place of those that were given."""
    rs, state, readings = consultation.ruleset, consultation.state, consultation.readings
    if not any(name in rs.of_the_car or rs.graph.worked_from(name) for name, _ in answers):
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
