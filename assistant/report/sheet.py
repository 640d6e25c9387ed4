"""The sheet for the garage: HTML, Markdown and JSON of one consultation.

All three are made from the same data (result.py). The JSON carries the journal too, so that
anyone can replay it and come to the same result.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from markupsafe import Markup

from assistant.choosing.what_if import ChangeSet, what_would_change
from assistant.journal.entries import Entry
from assistant.reasoning.consultation import Consultation
from assistant.reasoning.routes import supports_of
from assistant.reasoning.trail import Node, missing_under
from assistant.reasoning.why_not import nearly_found
from assistant.report.drawn import Drawn, car_of, drawings
from assistant.report.drive import one_advice
from assistant.report.explaining import change_sentence, nearly_sentence, none_sentence
from assistant.report.pages import json_text, page
from assistant.report.pictures import Screen, Tread, car_rows
from assistant.report.result import result_data, said_data
from assistant.report.svg import car_svg, screen_svg, tread_svg
from assistant.ruleset.models import Urgency
from assistant.ruleset.words import URGENCY_WORDS

FORMATS = ("html", "md", "json")
MOST_CHANGES = 20
"""For so many findings that would fail, the gravest, it is worked out what would change them."""
MOST_NEARLY = 8


def sheet(consultation: Consultation, journal: Sequence[Entry], form: str) -> str:
    """The sheet as text. form: "html", "md" or "json". Pure: the same input, the same bytes."""
    data = sheet_data(consultation, journal)
    if form == "json":
        return json_text(data, indent=2) + "\n"
    change = {(c["rule"], c["at"]): c["text"] for c in data["would_change"]}
    return page("sheet", form, s=data, p=picture_data(consultation), change=change)


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
        "worries": [w.words for w in consultation.state.worries],
        "journal": [e.model_dump(mode="json", exclude_none=True) for e in journal],
    }


def _answers_by_place(consultation: Consultation) -> dict[str, list[dict[str, Any]]]:
    rs = consultation.ruleset
    places: dict[str, list[dict[str, Any]]] = {}
    for said in consultation.state.answers.values():
        if said.question in rs.questions:
            place = rs.places[rs.place_of(said.question, said.at)].say
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


def picture_data(consultation: Consultation) -> dict[str, Any]:
    """The pictures as SVG with their words, and where each stands.

    number: the number of each finding, in the order of the sheet. beside: the pictures of what a
    finding rests on, each at the first that does; rest: those of what no finding rests on.
    """
    failing = consultation.would_fail()
    listed = [*failing, *(f for f in consultation.findings if f not in failing)]
    keys = [(f.rule.rule, f.at) for f in listed]
    data: dict[str, Any] = {"number": {}, "car": None, "beside": {}, "rest": []}
    car = car_of(consultation, [(n, [f]) for n, f in enumerate(listed, start=1)])
    if car is not None:
        data["number"] = {key: number for number, key in enumerate(keys, start=1)}
        data["car"] = {
            "svg": car_svg(car.stops, car.marks, "car", "The car from above", car.words),
            "rows": Markup("\n".join("    " + row for row in car_rows(car.stops, car.marks))),
            "places": car.places,
            "found": car.found,
        }
    for number, drawn in enumerate(drawings(consultation), start=1):
        picture = drawn_data(drawn, f"drawn{number}")
        near = (
            key
            for key, f in zip(keys, listed, strict=True)
            if {(s.question, s.at) for s in supports_of(consultation, f)} & set(drawn.rests_on)
        )
        beside = next(near, None)
        (data["rest"] if beside is None else data["beside"].setdefault(beside, [])).append(picture)
    return data


def drawn_data(drawn: Drawn[Screen] | Drawn[Tread], ident: str) -> dict[str, Any]:
    """One picture as SVG, with the words beside it."""
    words = " ".join(drawn.words)
    if isinstance(drawn.shows, Screen):
        svg, kind = screen_svg(drawn.shows, ident, drawn.title, words), "screen"
    else:
        svg, kind = tread_svg(drawn.shows, ident, drawn.title, words), "tyre"
    return {"svg": svg, "kind": kind, "title": drawn.title, "words": drawn.words}
