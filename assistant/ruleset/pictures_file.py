"""pictures.yaml: what things look like, as sketches and as drawings of what was answered."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, StringConstraints, model_validator

from assistant.ruleset.models import Name, Strict, Text


class Picture(Strict):
    """What something looks like: a sketch in plain letters, or what is drawn from the answers.

    words: says the same as the picture. of: for a drawing, what each part of it is taken from: a
    question, limits, a worked-out fact, or a plain figure of the drawing itself.
    """

    words: Text
    ascii: Annotated[str, StringConstraints(min_length=1)] | None = None
    draw: Literal["windscreen", "tyre"] | None = None
    of: dict[Name, Name | list[Name] | float] = Field(default_factory=dict)

    @model_validator(mode="after")
    def _shape(self) -> Picture:
        if (self.ascii is None) == (self.draw is None):
            raise ValueError("a picture has either ascii or draw")
        rows = (self.ascii or "").rstrip("\n").split("\n")
        if len(rows) > PICTURE_ROWS or max(map(len, rows)) > PICTURE_COLUMNS:
            raise ValueError(
                f"a sketch has at most {PICTURE_ROWS} rows of {PICTURE_COLUMNS} letters"
            )
        if not all(" " <= letter <= "~" for row in rows for letter in row):
            raise ValueError("a sketch is made of plain ASCII letters and spaces, no tabs")
        parts = {"windscreen": SCREEN_PARTS, "tyre": TYRE_PARTS, None: {}}[self.draw]
        if self.of.keys() != parts.keys():
            raise ValueError(f"of: must give {', '.join(parts) or 'nothing'}")
        for part, kind in parts.items():
            if not isinstance(self.of[part], kind):
                raise ValueError(f"of: {part} must be {KIND_WORDS[kind]}")
        return self


PICTURE_ROWS, PICTURE_COLUMNS = 14, 60
KIND_WORDS = {str: "a name", list: "a list of names", float: "a number"}
SCREEN_PARTS: dict[str, type] = {
    "offset": str,  # the question: sideways from the middle of the steering wheel to the damage
    "size": str,  # the question: across the damage
    "half": str,  # the limit: half the width of the band in front of the driver
    "limits": list,  # the limits of the size
    "zone": str,  # the worked-out fact: the part that the damage is in
    "centre": float,  # the middle of the steering wheel, in percent of the glass from the left
    "across": float,  # the width of the glass as it is drawn, in the unit of the offset
}
TYRE_PARTS: dict[str, type] = {
    "depth": str,  # the question: the lowest depth of tread of one tyre
    "across": list,  # the questions: its depths across the width, in the order they are drawn
    "ends": list,  # one word each for the two edges, in the same order
    "limits": list,  # the limits of it; one that is common practice is drawn as advice
    "central": float,  # the part of the width that they are about, in percent
}


class PicturesFile(Strict):
    """pictures.yaml: the pictures that questions and groups show, by name."""

    pictures: dict[Name, Picture] = Field(min_length=1)
