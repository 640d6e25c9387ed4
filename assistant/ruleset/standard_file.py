"""standard.yaml as it is written by its author: the rows of the standard."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from assistant.ruleset.models import Strict, Text


class StandardRow(Strict):
    """One row of the standard: its result, and whether an owner can see it."""

    result: Text
    owner: Literal["yes", "partly", "no"]


class StandardFile(Strict):
    """standard.yaml: every row of the standard that the rules must account for."""

    rows: dict[Text, StandardRow] = Field(min_length=1)
