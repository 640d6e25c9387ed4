"""Files of JSON lines: read, locked, added to, and on the disk before the call returns.

Such a file is private to its owner, is only ever added to, and may end in one torn line (the
program was killed while writing); that line is left out, and cut off at the next write.
"""

from __future__ import annotations

import contextlib
import json
import os
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import IO, Any, TypeVar

from pydantic import ValidationError

from assistant.errors import JournalError
from assistant.journal.paths import read_file, sync_folder

try:
    import fcntl
except ImportError:  # pragma: no cover - not on this system
    fcntl = None  # type: ignore[assignment]

_MAX_BYTES = 20_000_000
_MAX_LINE = 200_000
Row = TypeVar("Row")


def read_rows(
    path: Path, row_of: Callable[[Any], Row], file_kind: str, line_kind: str
) -> tuple[list[Row], int]:
    """The rows of a file, and the number of bytes that are whole lines.

    file_kind, line_kind: what the file and a line of it are called. Raises JournalError naming
    the line; a torn last line is left out.
    """
    raw = _bytes(path, file_kind)
    rows: list[Row] = []
    good = 0
    for number, line in enumerate(raw.split(b"\n"), start=1):
        end = good + len(line) + 1
        last = end > len(raw)
        if last and not line:
            break
        try:
            if len(line) > _MAX_LINE:
                raise ValueError("the line is too long")
            rows.append(row_of(json.loads(line)))
        except (ValueError, RecursionError) as error:
            if last and (rows or line.startswith(b"{")):
                break
            raise JournalError(
                f"{path}, line {number}: this is not {line_kind}: {_reason(error)}."
            ) from error
        good = min(end, len(raw))
    return rows, good


def _bytes(path: Path, file_kind: str) -> bytes:
    try:
        raw = read_file(path, _MAX_BYTES + 1)
    except OSError as error:
        raise JournalError(f"{path} cannot be read: {error.strerror}.") from error
    if len(raw) > _MAX_BYTES:
        raise JournalError(f"{path} is larger than 20 MB, so it is not {file_kind}.")
    return raw


def _reason(error: Exception) -> str:
    """Why a line could not be read, in a few words."""
    if isinstance(error, ValidationError):
        first = error.errors()[0]
        where = ".".join(str(part) for part in first["loc"])
        return f"{where}: {first['msg']}"
    return str(error) or type(error).__name__


def open_to_add(path: Path, flags: int = 0) -> IO[bytes]:
    """Opens a file to read and to add to. flags: those of os.open beside these. Raises OSError."""
    handle = os.open(path, os.O_RDWR | os.O_APPEND | flags, 0o600)
    return os.fdopen(handle, "r+b", buffering=0)


def lock(handle: IO[bytes], path: Path, wait: bool = False) -> None:
    """Keeps every other copy of the program out until the file is closed.

    Raises JournalError where another copy has it (unless this is to wait), or where the disk
    has no locks.
    """
    if fcntl is None:  # pragma: no cover - not on this system
        return
    try:
        fcntl.flock(handle.fileno(), fcntl.LOCK_EX | (0 if wait else fcntl.LOCK_NB))
    except (BlockingIOError, PermissionError) as error:
        raise JournalError(
            f"The record {path} is open in another window. Close it there first."
        ) from error
    except OSError as error:
        raise JournalError(
            f"{path} cannot be locked on this disk: {error.strerror}. Keep it on another disk."
        ) from error


def mend_end(handle: IO[bytes], good: int) -> None:
    """Cuts off a torn last line, and ends a whole one that lacks its newline. Raises OSError."""
    if good < os.fstat(handle.fileno()).st_size:
        os.ftruncate(handle.fileno(), good)
    elif good:
        handle.seek(good - 1)
        if handle.read(1) != b"\n":
            handle.write(b"\n")


def add_rows(handle: IO[bytes], path: Path, rows: Iterable[dict[str, Any]]) -> None:
    """Adds rows, all of them or none, and waits until they are on the disk.

    With the first rows of a file it waits for its folder too. Raises OSError.
    """
    lines = b"".join(json.dumps(row).encode() + b"\n" for row in rows)
    before = os.fstat(handle.fileno()).st_size
    try:
        written = 0
        while written < len(lines):
            written += handle.write(lines[written:]) or 0
        os.fsync(handle.fileno())
        if not before:
            sync_folder(path.parent)
    except OSError:
        with contextlib.suppress(OSError):
            os.ftruncate(handle.fileno(), before)
        raise
