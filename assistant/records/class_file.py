"""A class file: what learners predicted and what came of it. JSON lines, one a prediction.

It is only ever added to, is private to its owner, and may end in one torn line (the program was
killed while writing); that line is left out, and cut off at the next write.
"""

from __future__ import annotations

import contextlib
import json
import os
from pathlib import Path
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

from assistant.errors import InputError
from assistant.records.store import reason_of

try:
    import fcntl
except ImportError:  # pragma: no cover - not on this system
    fcntl = None  # type: ignore[assignment]


_MAX_BYTES = 20_000_000
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
    """All predictions of a class file. Raises InputError naming the line; no file is an empty one.

    A torn last line is left out.
    """
    if not path.exists():
        return []
    return _parse(path, _bytes(path))[0]


def append_predictions(path: Path, rows: list[Predicted]) -> None:
    """Adds predictions and waits until they are on the disk. Raises InputError."""
    lines = b"".join(json.dumps(r.model_dump(mode="json")).encode() + b"\n" for r in rows)
    try:
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        handle = os.fdopen(
            os.open(path, os.O_RDWR | os.O_CREAT | os.O_APPEND, 0o600), "r+b", buffering=0
        )
    except OSError as error:
        raise InputError(f"The class file {path} cannot be opened: {error.strerror}.") from error
    with handle:
        if fcntl is not None:
            fcntl.flock(handle.fileno(), fcntl.LOCK_EX)
        raw = _bytes(path)
        good = _parse(path, raw)[1]
        before = good
        try:
            if good < len(raw):
                os.ftruncate(handle.fileno(), good)
            elif raw and not raw.endswith(b"\n"):
                lines = b"\n" + lines
            written = 0
            while written < len(lines):
                written += handle.write(lines[written:]) or 0
            handle.flush()
            os.fsync(handle.fileno())
        except OSError as error:
            with contextlib.suppress(OSError):
                os.ftruncate(handle.fileno(), before)
            raise InputError(
                f"The predictions could not be written to {path}: {error.strerror}. "
                "What was written before is kept."
            ) from error


def _bytes(path: Path) -> bytes:
    try:
        if path.stat().st_size > _MAX_BYTES:
            raise InputError(f"{path} is larger than 20 MB, so it is not a class file.")
        return path.read_bytes()
    except OSError as error:
        raise InputError(f"{path} cannot be read: {error.strerror}.") from error


def _parse(path: Path, raw: bytes) -> tuple[list[Predicted], int]:
    """The predictions and the number of bytes that are whole lines."""
    rows: list[Predicted] = []
    good = 0
    for number, line in enumerate(raw.split(b"\n"), start=1):
        end = good + len(line) + 1
        last = end > len(raw)
        if last and not line:
            break
        try:
            rows.append(Predicted.model_validate(json.loads(line)))
        except (ValueError, RecursionError) as error:
            if last and (rows or line.startswith(b"{")):
                break
            raise InputError(
                f"{path}, line {number}: this is not a line of a class file: {reason_of(error)}."
            ) from error
        good = min(end, len(raw))
    return rows, good


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
