"""The sheet for the garage: HTML, Markdown and JSON of one consultation.

HTML and Markdown print one list of sections (sections.py). The JSON is the result as data, with the
journal, so that anyone can replay it and come to the same result.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import Any

from assistant.choosing.what_if import ChangeSet, what_would_change
from assistant.journal.entries import Entry, Noted
from assistant.reasoning.consultation import Consultation, consult
from assistant.reasoning.trail import Node, missing_under
from assistant.reasoning.why_not import nearly_found
from assistant.report.drawn import car_of
from assistant.report.drive import one_advice
from assistant.report.explaining import change_sentence, nearly_sentence, none_sentence
from assistant.report.found import Found, found_of
from assistant.report.pages import css_string, json_text, page
from assistant.report.result import result_data, said_data
from assistant.report.sections import sections
from assistant.report.svg import car_svg
from assistant.ruleset.grammar import upper
from assistant.ruleset.models import Urgency
from assistant.ruleset.words import URGENCY_WORDS, date_words

FORMATS = ("html", "md", "json")
MOST_CHANGES = 20
"""For so many findings that would fail, the gravest, it is worked out what would change them."""
MOST_NEARLY = 8


def sheet(
    consultation: Consultation, journal: Sequence[Entry], form: str, full: bool = False
) -> str:
    """The sheet as text. form: "html", "md" or "json". Pure: the same input, the same bytes.

    full: with how each conclusion came about, every answer, and where the dates stand.
    """
    if form == "json":
        return json_text(sheet_data(consultation, journal), indent=2) + "\n"
    consultation = consult(consultation.ruleset.for_the_garage, journal)
    changes = (
        [f"{c['found']} {c['text']}" for c in changes_data(consultation, journal)] if full else []
    )
    found = found_of(consultation)
    parts = sections(consultation, journal, found, full, changes)
    rows = {part.name: len(part.rows) for part in parts if part.name in ("found", "causes")}
    context = consultation.state.context
    day = date_words(context.today)
    return page(
        "sheet",
        form,
        car_name=context.car or "A car without a name",
        day=day,
        foot=css_string(f"{context.car or 'A car'}, {day}. Not a certificate. Page "),
        rows=rows,
        parts=parts,
        car=_car_picture(consultation, found) if form == "html" else None,
    )


def without(journal: Sequence[Entry], parts: Collection[str]) -> list[Entry]:
    """A journal as it is handed out: "plate" leaves out what the car is called, any other part
    what was noted for the garage under that name."""
    kept = [e for e in journal if not (isinstance(e, Noted) and e.about in parts)]
    if "plate" in parts:
        kept[0] = kept[0].model_copy(update={"car": ""})
    return kept


def sheet_data(consultation: Consultation, journal: Sequence[Entry]) -> dict[str, Any]:
    """The result, with every answer, the journal, and the words the sheet needs."""
    about, failing = consultation.ruleset.about, len(consultation.would_fail())
    changes = changes_data(consultation, journal)
    return {
        **result_data(consultation),
        "ruleset_title": about.title,
        "inspection": about.inspection,
        "station": about.station,
        "scale": {name: {"say": c.say, "means": c.means} for name, c in about.scale.items()},
        "answers_by_place": _answers_by_place(consultation),
        "one_advice": one_advice(consultation),
        "would_change": changes,
        "would_change_left_out": failing - len(changes),
        "nearly_found": nearly_data(consultation),
        "for_the_garage": dict(consultation.state.noted),
        "worries": [w.words for w in consultation.state.worries],
        "journal": [e.model_dump(mode="json", exclude_none=True) for e in journal],
    }


def _answers_by_place(consultation: Consultation) -> dict[str, list[dict[str, Any]]]:
    rs = consultation.ruleset
    places: dict[str, list[dict[str, Any]]] = {}
    for said in consultation.state.answers.values():
        if said.question in rs.questions:
            place = rs.place_words(rs.place_of(said.question, said.at))
            places.setdefault(place, []).append(said_data(consultation, said))
    return places


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
        found = {"rule": rule, "at": at, "found": upper(finding.says)}
        data.append(found | {"text": text, "answers": _answers(one)})
    return data


def _answers(one: ChangeSet | None) -> list[dict[str, Any]]:
    return [
        {"question": change.question, "at": change.at}
        | {"would_be": change.answer.model_dump(mode="json", exclude_none=True)}
        for change in (one.changes if one is not None else ())
    ]


def nearly_data(consultation: Consultation, most: int = MOST_NEARLY) -> list[dict[str, Any]]:
    """The rules that one thing not known keeps from being certain, gravest first."""
    return [_nearly(consultation, nodes) for nodes in nearly_found(consultation)[:most]]


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


def _car_picture(consultation: Consultation, found: Sequence[Found]) -> dict[str, str] | None:
    """The car from above with the numbers of what was found, and what has no place on it."""
    listed = [(one.number, one.findings) for one in found if one.findings]
    car = car_of(consultation, listed)
    if car is None:
        return None
    svg = car_svg(car.marks, "The car from above", car.words)
    placed = {mark.number for mark in car.marks}
    elsewhere = ", ".join(str(one.number) for one in found if one.number not in placed)
    return {"svg": svg, "elsewhere": elsewhere}
