"""Sheets, cards and other files that are written for a person: whole, or not at all."""

from __future__ import annotations

import os
import stat
import tempfile
from pathlib import Path

from assistant.journal.paths import read_file, sync_folder

_MARKS = (
    "<style>:root { --ink: ",  # each HTML form
    '{\n  "schema": ',
    "# Garage sheet: ",
    "Walk-round card for ",
    "\n## The case, step by step\n",
)
"""What each form that we export has near its start, and a file of another sort has not."""
_START = 8_000


def is_another(path: Path) -> bool:
    """Whether there is an ordinary file at a path that does not look like one we exported."""
    if path.is_symlink() or not path.is_file():
        return False
    try:
        start = read_file(path, _START).decode("utf-8", "replace")
    except OSError:
        return True
    return not any(mark in start for mark in _MARKS)


def write_private(path: Path, text: str) -> None:
    """Writes a file for its owner alone, beside the old one and then in its place.

    Raises OSError, with the old file as it was; also for a link, and for what is no file.
    """
    if path.is_symlink():
        raise OSError(0, "it is a link, and nothing is written through a link")
    if os.path.lexists(path) and not stat.S_ISREG(path.stat().st_mode):
        raise OSError(0, "it is no ordinary file")
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=".sidelight-")
    beside = Path(name)
    try:
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        beside.replace(path)
    except BaseException:
        beside.unlink(missing_ok=True)
        raise
    sync_folder(path.parent)
