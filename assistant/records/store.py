"""Journals on disk: JSON lines, one entry a line, on the disk before anyone reasons about it.

A file is private to its owner, is only ever added to, and may end in one torn line (the
program was killed while writing); that line is left out and cut off at the next write.
"""

from __future__ import annotations

import contextlib
import json
import os
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType
from typing import IO

from pydantic import ValidationError

from assistant.errors import JournalError
from assistant.knowledge.journal import Context, Entry, entry_adapter
from assistant.records.paths import (
    journal_paths,
    keep_private,
    make_private_folder,
    odd_paths,
    read_file,
    sync_folder,
)

try:
    import fcntl
except ImportError:  # pragma: no cover - not on this system
    fcntl = None  # type: ignore[assignment]


_MAX_BYTES = 20_000_000
_MAX_LINE = 200_000


def read_journal(path: Path) -> list[Entry]:
    """Reads a journal. Raises JournalError naming the line; a torn last line is left out."""
    return _parse(path, _read_bytes(path))[0]


def _read_bytes(path: Path) -> bytes:
    try:
        raw = read_file(path, _MAX_BYTES + 1)
    except OSError as error:
        raise JournalError(f"{path} cannot be read: {error.strerror}.") from error
    if len(raw) > _MAX_BYTES:
        raise JournalError(f"{path} is larger than 20 MB, so it is not a record of ours.")
    return raw


def _parse(path: Path, raw: bytes) -> tuple[list[Entry], int]:
    """The entries and the number of bytes that are whole lines."""
    entries: list[Entry] = []
    good = 0
    for number, line in enumerate(raw.split(b"\n"), start=1):
        end = good + len(line) + 1
        last = end > len(raw)
        if last and not line:
            break
        try:
            if len(line) > _MAX_LINE:
                raise ValueError("the line is too long")
            entry = entry_adapter.validate_python(json.loads(line))
        except (ValueError, RecursionError) as error:
            if last and entries:
                break
            reason = reason_of(error)
            raise JournalError(f"{path}, line {number}: this is not an entry: {reason}.") from error
        if last:
            # a whole entry without its newline: keep it, the newline is added on opening
            entries.append(entry)
            good = len(raw)
            break
        entries.append(entry)
        good = end
    if not entries or not isinstance(entries[0], Context):
        raise JournalError(f"{path}: the first line is not the start of a record.")
    turns = [e.turn for e in entries[1:]]
    if turns != sorted(turns) or any(isinstance(e, Context) for e in entries[1:]):
        raise JournalError(f"{path}: the entries are out of order.")
    return entries, good


def reason_of(error: Exception) -> str:
    """Why a line could not be read, in a few words."""
    if isinstance(error, ValidationError):
        first = error.errors()[0]
        where = ".".join(str(part) for part in first["loc"])
        return f"{where}: {first['msg']}"
    return str(error) or type(error).__name__


class JournalFile:
    """An open journal that is added to. Use as a context manager.

    Raises JournalError if it cannot be written, or if another copy has it open.
    """

    def __init__(self, path: Path, entries: list[Entry], handle: IO[bytes]) -> None:
        self.path = path
        self.entries = entries
        self._handle = handle

    @classmethod
    def create(cls, path: Path, context: Context, also: Sequence[Entry] = ()) -> JournalFile:
        """Starts a new journal with its context, and what is known from the start.

        Where that cannot be written nothing of it stays behind.
        """
        try:
            make_private_folder(path.parent)
            keep_private(path.parent)
            flags = os.O_RDWR | os.O_CREAT | os.O_EXCL | os.O_APPEND
            handle = os.fdopen(os.open(path, flags, 0o600), "r+b", buffering=0)
        except OSError as error:
            _remove_if_empty(path.parent)
            raise JournalError(f"The record {path} cannot be made: {error.strerror}.") from error
        journal = cls(path, [], handle)
        try:
            journal._lock()
            journal._write([context, *also])
            sync_folder(path.parent)
        except OSError as error:
            journal._give_up()
            raise JournalError(
                f"The record {path} cannot be written: {error.strerror}. Nothing was started."
            ) from error
        except BaseException:
            journal._give_up()
            raise
        return journal

    def _give_up(self) -> None:
        """Takes a journal away again that could not be started."""
        self.close()
        self.path.unlink(missing_ok=True)
        _remove_if_empty(self.path.parent)

    @classmethod
    def open(cls, path: Path) -> JournalFile:
        """Opens a journal to go on with it; a torn last line is cut off."""
        try:
            handle = os.fdopen(os.open(path, os.O_RDWR | os.O_APPEND), "r+b", buffering=0)
        except OSError as error:
            raise JournalError(f"The record {path} cannot be opened: {error.strerror}.") from error
        journal = cls(path, [], handle)
        try:
            journal._lock()
            raw = _read_bytes(path)
            journal.entries, good = _parse(path, raw)
            if good < len(raw):
                os.ftruncate(handle.fileno(), good)
            elif not raw.endswith(b"\n"):
                handle.write(b"\n")
        except BaseException:
            handle.close()
            raise
        return journal

    def _lock(self) -> None:
        if fcntl is None:  # pragma: no cover - not on this system
            return
        try:
            fcntl.flock(self._handle.fileno(), fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError as error:
            raise JournalError(
                f"The record {self.path} is open in another window. Close it there first."
            ) from error

    def append(self, entries: list[Entry]) -> None:
        """Adds the entries of one turn and waits until they are on the disk."""
        try:
            self._write(entries)
        except OSError as error:
            raise JournalError(
                f"The answer could not be written to {self.path}: {error.strerror}. "
                "Nothing that was written before is lost."
            ) from error

    def _write(self, entries: list[Entry]) -> None:
        """Adds entries, all of them or none. Raises OSError."""
        lines = b"".join(
            json.dumps(
                e.model_dump(mode="json", exclude_defaults=False, exclude_none=True)
            ).encode()
            + b"\n"
            for e in entries
        )
        before = os.fstat(self._handle.fileno()).st_size
        try:
            written = 0
            while written < len(lines):
                written += self._handle.write(lines[written:]) or 0
            os.fsync(self._handle.fileno())
        except OSError:
            with contextlib.suppress(OSError):
                os.ftruncate(self._handle.fileno(), before)
            raise
        self.entries.extend(entries)

    def close(self) -> None:
        """Lets go of the file; what is written stays."""
        self._handle.close()

    def __enter__(self) -> JournalFile:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()


def _remove_if_empty(folder: Path) -> None:
    with contextlib.suppress(OSError):
        folder.rmdir()


@dataclass(frozen=True)
class Stored:
    """A journal found on disk."""

    path: Path
    entries: tuple[Entry, ...]

    @property
    def context(self) -> Context:
        first = self.entries[0]
        assert isinstance(first, Context)
        return first


def list_journals(home: Path, car: str | None = None) -> Iterator[Stored | JournalError]:
    """All journals of a car (or of all cars), newest first; an unreadable one as its error."""
    for path in journal_paths(home, car):
        try:
            yield Stored(path, tuple(read_journal(path)))
        except JournalError as error:
            yield error
    for path in odd_paths(home, car):
        yield JournalError(f"{path} is no ordinary file, or leads to none.")
