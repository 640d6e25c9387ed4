"""What an author starts from: a correct rule with its question and cases, and the JSON Schema."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

from pydantic import BaseModel
from pydantic.json_schema import models_json_schema

from assistant.errors import InputError, near_name
from assistant.ruleset.about_file import RulesetFile
from assistant.ruleset.calendar_file import CalendarFile
from assistant.ruleset.hazards_file import HazardsFile
from assistant.ruleset.models import SystemFile
from assistant.ruleset.pictures_file import PicturesFile
from assistant.ruleset.ruleset import Ruleset
from assistant.ruleset.standard_file import StandardFile
from assistant.ruleset.words_file import GlossaryFile, WordsFile

_NAME = re.compile(r"[a-z][a-z0-9_]{0,49}")

Start = dict[str, str]
"""For each section of a system file ("limits", "questions", "rules") the lines to put there."""

_WORDS = """\
  {name}_seen:
    ask: What do you see there?                # what is seen, heard or measured; no judging
    label: {words}
    kind: one_of
    place: {place}
    how: Say how to look, and from where.
    seconds: 20
    choices:
      whole: {{say: nothing to see}}
      marked: {{say: a mark}}
      broken: {{say: it is broken}}
"""
_FIGURE = """\
  {name}_size:
    ask: How large is it?                      # what is measured; no judging
    label: {words}
    kind: quantity
    unit: mm
    range: [0, 200]                            # outside this the person is asked again
    step: 1                                    # how finely it can be read
    place: {place}
    how: Say how to measure it, and with what.
    seconds: 20
"""
_LIMIT = """\
  {name}_most:
    value: 10
    unit: mm
    say: the most that is allowed
    source: {source}
    clause: the section where it stands
    basis: assumed                             # read, once you have read it there
"""
_RULE = """\
  - rule: {name}
    when: {when}
    finds: {{item: "0.0", category: {category}}}   # the item of the standard, and its category
    urgency: before_inspection
    say: What was found, in one sentence.
    why: Why it matters, in one sentence.
    do: What to do about it.
    who: garage
    source: {source}
    clause: the section where it stands
    basis: assumed                             # read, once you have read it there
    cases:
{cases}
"""
_CASES = {
    "words": "      - fires: {{{name}_seen: broken}}\n"
    "        near: [{{{name}_seen: marked}}]         # one answer changed, and it does not fire",
    "figure": "      - fires: {{{name}_size: 11}}\n"
    "        near: [{{{name}_size: 10}}]             # one step away, and it does not fire",
}


def starting_rule(ruleset: Ruleset, name: str, kind: str = "words") -> Start:
    """The pieces of a new rule. kind: "words" or "figure". Raises InputError for a bad name."""
    if not _NAME.fullmatch(name):
        raise InputError(
            f"{name!r} is not a valid rule name: use small letters, digits and _ only."
        )
    made = [name, *([f"{name}_size", f"{name}_most"] if kind == "figure" else [f"{name}_seen"])]
    for word in made:
        if word in ruleset.names or word in ruleset.inferences:
            raise InputError(f"The name {word!r} is taken in this ruleset. Choose another.")
    about = ruleset.about
    places = [p for p in about.walk if p.stage == "walk"] or about.walk
    fails = [word for word, category in about.scale.items() if category.fails]
    given = {
        "name": name,
        "words": name.replace("_", " "),
        "place": places[0].place,
        "source": next(iter(about.sources)),
        "category": (fails or list(about.scale))[-1],
        "when": f"{name}_seen == 'broken'" if kind == "words" else f"{name}_size > {name}_most",
    }
    given["cases"] = _CASES[kind].format(**given)
    start = {"limits": _LIMIT.format(**given)} if kind == "figure" else {}
    start["questions"] = (_WORDS if kind == "words" else _FIGURE).format(**given)
    start["rules"] = _RULE.format(**given)
    return start


def put_into(text: str, start: Start) -> str:
    """The text of a system file with each piece at the end of its section.

    A section that is not there yet is added at the end of the file.
    """
    for section, piece in start.items():
        lines = text.rstrip("\n").split("\n")
        head = next(
            (n for n, row in enumerate(lines) if re.match(rf"{section}:\s*(#.*)?$", row)), -1
        )
        if head < 0:
            if any(row.startswith(f"{section}:") for row in lines):
                raise InputError(f"{section}: does not stand alone on its line; put it in by hand.")
            lines += [f"{section}:", piece.rstrip("\n")]
        else:
            end = next((n for n in range(head + 1, len(lines)) if re.match(r"[a-z]", lines[n])),
                       len(lines))  # fmt: skip
            while end > head + 1 and (not lines[end - 1].strip() or lines[end - 1].startswith("#")):
                end -= 1
            lines.insert(end, piece.rstrip("\n"))
        text = "\n".join(lines) + "\n"
    return text


def system_file(ruleset: Ruleset, system: str) -> Path:
    """The file of a system, by its name, with or without .yaml. Raises InputError."""

    name = Path(system).name.removesuffix(".yaml")
    if name not in ruleset.systems:
        hint = near_name(name, ruleset.systems)
        raise InputError(f"There is no system file {name!r} in this ruleset.{hint}")
    return ruleset.folder / f"{name}.yaml"


_FILES: dict[str, type[BaseModel]] = {
    "ruleset.yaml": RulesetFile,
    "standard.yaml": StandardFile,
    "pictures.yaml": PicturesFile,
    "calendar.yaml": CalendarFile,
    "words.yaml": WordsFile,
    "hazards.yaml": HazardsFile,
    "glossary.yaml": GlossaryFile,
}


def ruleset_schema() -> dict[str, Any]:
    """A schema of a folder: an object with the content of each file under the file's name.

    The schema of one file is under $defs by the name of its model. Names that must be known, and
    conditions, are checked by `rules check`; a schema cannot say them.
    """
    models: list[type[BaseModel]] = [*_FILES.values(), SystemFile]
    places, shared = models_json_schema([(model, "validation") for model in models])
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "The files of a ruleset",
        "description": "One property a file. Files that are not named here are systems.",
        "type": "object",
        "properties": {name: places[(model, "validation")] for name, model in _FILES.items()},
        "additionalProperties": places[(SystemFile, "validation")],
        "required": ["ruleset.yaml"],
        "$defs": shared["$defs"],
    }
