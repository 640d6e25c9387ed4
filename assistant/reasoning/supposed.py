"""What would follow from other answers, by the plain reading of the conditions.

It filters what is worth a real replay, and nothing more: what a person is told is confirmed by
`consult`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from assistant.journal.entries import Answer, Said
from assistant.reasoning.consultation import Consultation
from assistant.reasoning.engine import Supposed
from assistant.reasoning.facts import Readings, read_answer
from assistant.reasoning.inferring import engine_for, not_this_car
from assistant.ruleset.models import Question


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
    return Supposed(rs, Readings(rs, state, not_this_car(engine_for(rs), state)))


def worded_answers(question: Question) -> list[Answer]:
    """One answer of each sort that is no number: every word, or none and each single pick.

    Which numbers are worth trying differs: the middle between two limits to weigh how likely it is
    (deciding), beside a limit to show what is on either side (why), near what was said (change).
    """
    if question.kind in ("yes_no", "one_of"):
        return [Answer(word=word) for word in question.words()]
    if question.kind == "some_of":
        return [Answer(words=()), *(Answer(words=(word,)) for word in question.words())]
    return []
