"""The shape of a ruleset's files as a JSON Schema, from the models that check them."""

from __future__ import annotations

from typing import Any

from pydantic import BaseModel
from pydantic.json_schema import models_json_schema

from assistant.ruleset.calendar_file import CalendarFile
from assistant.ruleset.hazards_file import HazardsFile
from assistant.ruleset.models import PicturesFile, RulesetFile, StandardFile, SystemFile
from assistant.ruleset.words_file import WordsFile

_FILES: dict[str, type[BaseModel]] = {
    "ruleset.yaml": RulesetFile,
    "standard.yaml": StandardFile,
    "pictures.yaml": PicturesFile,
    "calendar.yaml": CalendarFile,
    "words.yaml": WordsFile,
    "hazards.yaml": HazardsFile,
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
