"""A class file: what learners predicted and what came of it. JSON lines, one a prediction."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

from assistant.errors import InputError
from assistant.journal.jsonl import add_rows, lock, mend_end, open_to_add, read_rows
from assistant.journal.paths import make_private_folder

_LONG = 200


class Predicted(BaseModel):
    """One learner's prediction of one case, with the engine's own conclusion beside it.

    step: the step of the case it is about. Each pair is (predicted, engine's); None for what was
    not asked, or not answered.
    """

    model_config = ConfigDict(extra="forbid", frozen=True)

    format: Literal[1] = 1
    when: str = Field(default="", max_length=40)
    case: str = Field(max_length=_LONG)
    step: int = Field(ge=0)
    name: str = Field(min_length=1, max_length=60)
    category: tuple[str | None, str]
    cause: tuple[str | None, str | None] = (None, None)
    drive: tuple[str | None, str]

    def right(self) -> dict[str, bool]:
        """For each thing that was asked whether the prediction was right."""
        asked = {"category": self.category, "cause": self.cause, "drive": self.drive}
        return {
            what: said is not None and said == engine
            for what, (said, engine) in asked.items()
            if engine is not None
        }


class Tally(BaseModel):
    """How one learner has done: for each thing (right, asked)."""

    model_config = ConfigDict(frozen=True)

    name: str
    cases: int
    category: tuple[int, int]
    cause: tuple[int, int]
    drive: tuple[int, int]

    @property
    def all(self) -> tuple[int, int]:
        three = (self.category, self.cause, self.drive)
        return sum(right for right, _ in three), sum(asked for _, asked in three)


def read_class(path: Path) -> list[Predicted]:
    """All predictions of a class file; no file is an empty one. Raises InputError."""
    return _read(path)[0] if path.exists() else []


def append_predictions(path: Path, predictions: list[Predicted]) -> None:
    """Adds predictions and waits until they are on the disk. Raises InputError."""
    try:
        make_private_folder(path.parent)
        handle = open_to_add(path, os.O_CREAT)
    except OSError as error:
        raise InputError(f"The class file {path} cannot be opened: {error.strerror}.") from error
    with handle:
        lock(handle, path, wait=True)
        good = _read(path)[1]
        try:
            mend_end(handle, good)
            add_rows(handle, path, (p.model_dump(mode="json") for p in predictions))
        except OSError as error:
            raise InputError(
                f"The predictions could not be written to {path}: {error.strerror}. "
                "What was written before is kept."
            ) from error


def _read(path: Path) -> tuple[list[Predicted], int]:
    """The predictions, and the number of bytes that are whole lines. Raises InputError."""
    return read_rows(path, Predicted.model_validate, "a class file", "a line of a class file")


def tallies(rows: list[Predicted]) -> list[Tally]:
    """How each learner has done, by name; names that differ only in case are one."""
    by_name: dict[str, list[Predicted]] = {}
    for row in rows:
        by_name.setdefault(row.name.casefold(), []).append(row)
    found = []
    for key in sorted(by_name):
        own = by_name[key]
        counted: dict[str, tuple[int, int]] = {}
        for what in ("category", "cause", "drive"):
            marks = [r.right()[what] for r in own if what in r.right()]
            counted[what] = (sum(marks), len(marks))
        cases = len({(r.case, r.step) for r in own})
        found.append(Tally(name=own[0].name, cases=cases, **counted))
    return found
