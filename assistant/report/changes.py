"""What the sheet says of what would change a finding, and of what was nearly found."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from assistant.knowledge.journal import Entry
from assistant.knowledge.models import Urgency
from assistant.knowledge.wording import URGENCY_WORDS
from assistant.reasoning.change import ChangeSet, what_would_change
from assistant.reasoning.consultation import Consultation
from assistant.reasoning.trail import Node, missing_under
from assistant.reasoning.why_not import nearly_found
from assistant.report.explaining import change_sentence, nearly_sentence, none_sentence

MOST_CHANGES = 20
"""For so many findings that would fail, the gravest, it is worked out what would change them."""
MOST_NEARLY = 8


def changes_data(
    consultation: Consultation, journal: Sequence[Entry], most: int = MOST_CHANGES
) -> list[dict[str, Any]]:
    """For each finding that would fail the nearest answers that would make it go.

    With only what is behind each rule replayed, so that a sheet stays quick to write.
    """
    rs = consultation.ruleset
    data: list[dict[str, Any]] = []
    for finding in consultation.would_fail()[:most]:
        rule, at = finding.rule.rule, finding.at
        what = what_would_change(rs, journal, rule, at, most=1, now=consultation, narrow=True)
        one = what.sets[0] if what.sets else None
        text = change_sentence(consultation, what, one) if one else none_sentence(what)
        data.append({"rule": rule, "at": at, "text": text, "answers": _answers(one)})
    return data


def _answers(one: ChangeSet | None) -> list[dict[str, Any]]:
    return [
        {"question": change.question, "at": change.at}
        | {"would_be": change.answer.model_dump(mode="json", exclude_none=True)}
        for change in (one.changes if one is not None else ())
    ]


def nearly_data(consultation: Consultation, most: int = MOST_NEARLY) -> list[dict[str, Any]]:
    """The rules that one thing not known keeps from being certain, gravest first."""
    return [_nearly(consultation, nodes) for nodes in nearly_found(consultation, most)]


def _nearly(consultation: Consultation, nodes: list[Node]) -> dict[str, Any]:
    rule = nodes[0].rule
    assert rule is not None
    urgency = rule.urgency or Urgency.NOTHING
    asks = dict.fromkeys(item for node in nodes for item in missing_under(node))
    questions = consultation.ruleset.questions
    return {
        "rule": rule.rule,
        "item": rule.finds.item if rule.finds else None,
        "parts": [node.at for node in nodes],
        "urgency_words": URGENCY_WORDS[urgency] if rule.urgency else None,
        "graver": urgency.rank < consultation.headline.urgency.rank,
        "text": nearly_sentence(consultation, nodes),
        "not_known": [{"question": q, "at": at, "label": questions[q].label} for q, at in asks],
    }
