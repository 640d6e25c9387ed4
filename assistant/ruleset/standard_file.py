"""standard.yaml: every row of the standard, with its result and what an owner can see of it."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from assistant.ruleset.models import Strict, Text


class StandardRow(Strict):
    """One row of the standard: its result, and whether an owner can see it.

    left: why no rule decides it, where none does and the files name nothing else.
    """

    result: Text
    owner: Literal["yes", "partly", "no"]
    left: Text | None = None


class StandardFile(Strict):
    """standard.yaml: every row that the rules must account for, and which texts were not read."""

    not_read: list[Text] = Field(default_factory=list)
    rows: dict[Text, StandardRow] = Field(min_length=1)
