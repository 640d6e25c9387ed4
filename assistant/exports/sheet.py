"""The sheet for the garage: HTML, Markdown and JSON of one consultation.

All three are made from the same data (result.py). The JSON carries the journal too, so that
anyone can replay it and come to the same result.
"""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from typing import Any

from jinja2 import Environment, PackageLoader
from markupsafe import Markup

from assistant.exports.result import result_data, said_data
from assistant.knowledge.journal import Entry
from assistant.reasoning.consultation import Consultation

__all__ = ["FORMATS", "json_text", "sheet", "sheet_data"]

FORMATS = ("html", "md", "json")


def sheet(consultation: Consultation, journal: Sequence[Entry], form: str) -> str:
    """The sheet as text. form: "html", "md" or "json". Pure: the same input, the same bytes."""
    data = sheet_data(consultation, journal)
    if form == "json":
        return json_text(data, indent=2) + "\n"
    if form == "html":
        return environment(html=True).get_template("sheet.html.j2").render(s=data)
    if form == "md":
        return environment(html=False).get_template("sheet.md.j2").render(s=data)
    raise ValueError(f"unknown form {form!r}")


def sheet_data(consultation: Consultation, journal: Sequence[Entry]) -> dict[str, Any]:
    """The result, with every answer, the journal, and the words the sheet needs."""
    rs = consultation.ruleset
    data = result_data(consultation)
    places: dict[str, list[dict[str, Any]]] = {}
    for said in consultation.state.answers.values():
        if said.question in rs.questions:
            place = rs.places[rs.place_of(said.question, said.at)].say
            places.setdefault(place, []).append(said_data(consultation, said))
    scale = rs.about.scale
    data["ruleset_title"] = rs.about.title
    data["inspection"] = rs.about.inspection
    data["station"] = rs.about.station
    data["scale"] = {name: {"say": c.say, "means": c.means} for name, c in scale.items()}
    data["answers_by_place"] = places
    data["worries"] = [w.words for w in consultation.state.worries]
    data["journal"] = [e.model_dump(mode="json", exclude_none=True) for e in journal]
    return data


def json_text(data: Any, indent: int | None = None) -> str:
    """JSON in plain letters, but nothing in it that a terminal could take for a command."""
    text = json.dumps(data, indent=indent, ensure_ascii=False)
    return re.sub("[\x7f-\x9f\u2028\u2029]", lambda c: f"\\u{ord(c[0]):04x}", text)


def environment(html: bool) -> Environment:
    """A Jinja2 environment that escapes everything for its format, once."""
    made = Environment(
        loader=PackageLoader("assistant.exports"),
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=_printable if html else _markdown,
    )
    made.filters["upperfirst"] = lambda text: text[:1].upper() + text[1:]
    return made


def _printable(value: Any) -> Any:
    """Text without control characters; what is made of a template already is left alone."""
    if not isinstance(value, str) or isinstance(value, Markup):
        return value
    return "".join(c if c.isprintable() else " " for c in value)


def _markdown(value: Any) -> Any:
    """Text that cannot turn into Markdown or HTML of its own."""
    if not isinstance(value, str) or isinstance(value, Markup):
        return value
    text = re.sub(r"([\\`*_\[\]{}#|~])", r"\\\1", _printable(value))
    return Markup(text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;"))
