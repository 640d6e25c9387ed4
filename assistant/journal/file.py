"""Journals on disk: JSON lines, one entry a line, on the disk before anyone reasons about it."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType
from typing import IO

from assistant.errors import JournalError
from assistant.journal.entries import Context, Entry, entry_adapter
from assistant.journal.jsonl import add_rows, lock, mend_end, open_to_add, read_rows
from assistant.journal.paths import (
    journal_paths,
    keep_private,
    make_private_folder,
    odd_paths,
)


def read_journal(path: Path) -> list[Entry]:
    """Reads a journal. Raises JournalError naming the line; a torn last line is left out."""
    return _read(path)[0]


def _read(path: Path) -> tuple[list[Entry], int]:
    """The entries, and the number of bytes that are whole lines. Raises JournalError."""
    entries, good = read_rows(path, entry_adapter.validate_python, "a record of ours", "an entry")
    if not entries or not isinstance(entries[0], Context):
        raise JournalError(f"{path}: the first line is not the start of a record.")
    turns = [e.turn for e in entries[1:]]
    if turns != sorted(turns) or any(isinstance(e, Context) for e in entries[1:]):
        raise JournalError(f"{path}: the entries are out of order.")
    return entries, good


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
            handle = open_to_add(path, os.O_CREAT | os.O_EXCL)
        except OSError as error:
            _remove_if_empty(path.parent)
            raise JournalError(f"The record {path} cannot be made: {error.strerror}.") from error
        journal = cls(path, [], handle)
        try:
            lock(handle, path)
            journal._write([context, *also])
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
            handle = open_to_add(path)
            journal = cls(path, [], handle)
            try:
                lock(handle, path)
                journal.entries, good = _read(path)
                mend_end(handle, good)
            except BaseException:
                handle.close()
                raise
        except OSError as error:
            raise JournalError(f"The record {path} cannot be opened: {error.strerror}.") from error
        return journal

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
        rows = (e.model_dump(mode="json", exclude_none=True) for e in entries)
        add_rows(self._handle, self.path, rows)
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
