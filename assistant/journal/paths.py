"""Where records lie: a folder for each car, and in it a file for each consultation.

All of it is private to its owner. Nothing that takes long to load is imported here.
"""

from __future__ import annotations

import contextlib
import datetime as dt
import errno
import hashlib
import json
import os
import re
import stat
import unicodedata
from pathlib import Path

from assistant.errors import JournalError

_LONGEST = 40
_FIRST_LINE = 500_000
_PLATE = re.compile(r"(?=.*[a-z])(?=.*[0-9])[a-z0-9]{2,10}")


def slug(name: str) -> str:
    """A car's name as a folder name: letters, digits and dashes.

    Two spellings of one name have one folder. Where letters, digits and dashes cannot say all of a
    name, a short hash of it is added, so that two such cars do not share a folder.
    """
    same = _same_name(name)
    plain = re.sub(r"[^a-z0-9]+", "-", same).strip("-")
    if plain.replace("-", " ") == same and len(plain) <= _LONGEST:
        return plain or "car"
    mark = hashlib.sha256(same.encode("utf-8", "replace")).hexdigest()[:8]
    return f"{plain[: _LONGEST - 9].strip('-') or 'car'}-{mark}"


def _same_name(name: str) -> str:
    """What two spellings of one name have in common.

    Case, spaces and accents on plain letters do not count; in what looks like a number plate
    there are no spaces at all.
    """
    text = unicodedata.normalize("NFKD", name.strip().casefold())
    text = unicodedata.normalize("NFC", re.sub(r"(?<=[a-z])[\u0300-\u036f]+", "", text))
    text = " ".join(re.sub(r"[\s_'\u2019.-]+", " ", text).split())
    plate = text.replace(" ", "")
    return plate if _PLATE.fullmatch(plate) else text


def _old_slug(name: str) -> str:
    """The folder that a car had in the first versions of this program."""
    plain = re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")[:_LONGEST]
    if plain or not name.strip():
        return plain or "car"
    mark = hashlib.sha256(name.strip().casefold().encode("utf-8", "replace")).hexdigest()
    return f"car-{mark[:8]}"


def new_journal_path(home: Path, car: str, today: dt.date) -> Path:
    """A path that is not taken yet for a new consultation of a car."""
    folder = home / slug(car)
    for number in range(1, 1000):
        path = folder / f"{today:%Y-%m-%d}-{number}.jsonl"
        if not os.path.lexists(path):
            return path
    raise JournalError(f"There are already 999 records for {today}. Move some away from {folder}.")


def journal_paths(home: Path, car: str | None = None) -> list[Path]:
    """The records of a car (or of all cars), newest first."""
    found = []
    for path in _listed(home, car):
        state = _state(path)
        if state is not None and stat.S_ISREG(state.st_mode) and _is_of(path, car):
            found.append((state.st_mtime_ns, path.name, path))
    return [path for _, _, path in sorted(found, reverse=True)]


def odd_paths(home: Path, car: str | None = None) -> list[Path]:
    """What is named like a record and is none: a folder, a pipe, a link to nothing."""
    states = ((path, _state(path)) for path in _listed(home, car))
    return [path for path, state in states if state is None or not stat.S_ISREG(state.st_mode)]


def _listed(home: Path, car: str | None) -> list[Path]:
    try:
        folders = [folder for folder in sorted(home.glob("*")) if folder.is_dir()]
        if car:
            names = {slug(car), _old_slug(car)}
            same = _same_name(car)
            folders = [f for f in folders if f.name in names or f.name.replace("-", "") == same]
        return [path for folder in folders for path in sorted(folder.glob("*.jsonl"))]
    except OSError:
        return []


def _state(path: Path) -> os.stat_result | None:
    try:
        return path.stat()
    except OSError:
        return None


def _is_of(path: Path, car: str | None) -> bool:
    """Whether a record is of a car, by its first line; one that does not say so is."""
    if not car:
        return True
    try:
        first = json.loads(read_file(path, _FIRST_LINE).split(b"\n")[0])
        named = first.get("car")
    except (OSError, ValueError, AttributeError, RecursionError):
        return True
    return not isinstance(named, str) or not named or _same_name(named) == _same_name(car)


def read_file(path: Path, most: int) -> bytes:
    """At most so many bytes of an ordinary file. Raises OSError; never waits for a pipe."""
    handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    with os.fdopen(handle, "rb") as file:
        if not stat.S_ISREG(os.fstat(handle).st_mode):
            raise OSError(0, "it is no ordinary file")
        return file.read(most)


# private to its owner -------------------------------------------------------------------


def make_private_folder(folder: Path) -> None:
    """Makes a folder, and those above it that are missing, for its owner alone. Raises OSError."""
    if folder.is_dir():
        return
    if folder.exists():
        raise NotADirectoryError(errno.ENOTDIR, os.strerror(errno.ENOTDIR))
    make_private_folder(folder.parent)
    folder.mkdir(mode=0o700, exist_ok=True)
    sync_folder(folder.parent)


def sync_folder(folder: Path) -> None:
    """Waits until what a folder lists is on the disk. Raises OSError; not where none can wait."""
    if os.name == "nt":
        return
    try:
        handle = os.open(folder, os.O_RDONLY)
    except PermissionError:
        return  # it may be written but not listed
    try:
        os.fsync(handle)
    except OSError as error:
        if error.errno not in (errno.EINVAL, errno.ENOTSUP):
            raise
    finally:
        os.close(handle)


def keep_private(path: Path) -> None:
    """Takes from others what they may do with a file or folder, where that can be done."""
    with contextlib.suppress(OSError):
        state = path.stat()
        if state.st_mode & 0o077 and (stat.S_ISREG(state.st_mode) or stat.S_ISDIR(state.st_mode)):
            path.chmod(state.st_mode & 0o700)
