"""A built ruleset, kept under the hash of its files, so that the next start is quicker.

Reading YAML, checking it and parsing its conditions is most of the time it takes to start. What
is kept is a pickle in the person's own cache folder. It is read only if it is this user's and
nobody else may write it, and only names from this list are ever looked up in it. A copy that is
missing, old, damaged or cannot be written is no fault: the YAML is read instead.
"""

from __future__ import annotations

import contextlib
import datetime as dt
import hashlib
import io
import json
import os
import pickle
import stat
import sys
from pathlib import Path
from typing import Any

import pydantic

from assistant.knowledge.files import Files, bytes_digest

_MOST = 6
_MOST_FILES = 120
_MODULES = ("assistant.knowledge.", "assistant.reasoning.compiler")
_NAMES = {
    ("datetime", "date"),
    ("pathlib", "PosixPath"),
    ("pathlib", "WindowsPath"),
    ("pathlib._local", "PosixPath"),
    ("pathlib._local", "WindowsPath"),
    ("builtins", "set"),
    ("builtins", "frozenset"),
}


def digest_of(files: dict[str, Any]) -> str:
    """A hash of what the files say; comments and layout do not count."""
    text = json.dumps(files, default=_date, separators=(",", ":"), ensure_ascii=False)
    return hashlib.sha256(text.encode()).hexdigest()


def _date(value: Any) -> Any:
    if isinstance(value, dt.date):
        return {"~date": value.isoformat()}
    raise TypeError(f"{type(value).__name__} is not expected in a ruleset")


def _key(folder: Path, files: Files) -> str | None:
    """The hash of the files, of the program that builds them, and of what it is built with."""
    here = Path(__file__).resolve().parent
    if any(isinstance(raw, OSError) for raw in files.values()):
        return None
    parts = [str(folder.resolve()), sys.version, pydantic.VERSION, bytes_digest(files)]
    try:
        for source in sorted(here.parent.glob("*/*.py")):
            state = source.stat()
            parts.append(f"{source.name} {state.st_size} {state.st_mtime_ns}")
    except OSError:
        return None
    return hashlib.sha256("\0".join(parts).encode()).hexdigest()


class _Reader(pickle.Unpickler):
    """Makes only what a ruleset is made of."""

    def find_class(self, module: str, name: str) -> Any:
        if module.startswith(_MODULES) or (module, name) in _NAMES:
            return super().find_class(module, name)
        raise pickle.UnpicklingError(f"{module}.{name} is not expected in a ruleset")


def read_cached(folder: Path, cache: Path, files: Files) -> Any:
    """The ruleset as it was kept, or None where there is no good copy."""
    key = _key(folder, files)
    if key is None:
        return None
    try:
        return _load(cache / f"{key}.kept", cache)
    except Exception:  # whatever a damaged copy does, the YAML is there
        return None


def _load(path: Path, cache: Path) -> Any:
    with path.open("rb") as file:
        if not _own(os.fstat(file.fileno())) or not _own(cache.stat()):
            return None
        return _Reader(io.BytesIO(file.read())).load()


def _own(state: os.stat_result) -> bool:
    """Whether a file is this user's alone to write; always so where there are no users."""
    if not hasattr(os, "getuid"):
        return True
    return state.st_uid == os.getuid() and not state.st_mode & (stat.S_IWGRP | stat.S_IWOTH)


def _file_key(raw: bytes) -> str:
    """The hash of one file's bytes, and of the program that reads them."""
    reader = Path(__file__).with_name("reading.py").stat()
    parts = [sys.version, f"{reader.st_size} {reader.st_mtime_ns}"]
    parts.append(hashlib.sha256(raw).hexdigest())
    return hashlib.sha256("\0".join(parts).encode()).hexdigest()


def read_kept_file(raw: bytes, cache: Path) -> Any:
    """What one YAML file said, as it was kept, or None where there is no good copy."""
    try:
        return _load(cache / f"{_file_key(raw)}.file", cache)
    except Exception:  # whatever a damaged copy does, the YAML is there
        return None


def write_kept_file(raw: bytes, cache: Path, data: Any) -> None:
    """Keeps what one YAML file said."""
    with contextlib.suppress(OSError):
        _keep(cache, f"{_file_key(raw)}.file", data, _MOST_FILES)


def write_cached(folder: Path, cache: Path, files: Files, ruleset: Any) -> None:
    """Keeps a copy, in one step, so that nobody reads half of it; older copies go."""
    key = _key(folder, files)
    if key is None:
        return
    _keep(cache, f"{key}.kept", ruleset, _MOST)


def _keep(cache: Path, name: str, data: Any, most: int) -> None:
    part = cache / f"{name}.{os.getpid()}.part"
    try:
        cache.mkdir(parents=True, exist_ok=True, mode=0o700)
        if cache.stat().st_mode & 0o077:
            cache.chmod(0o700)
        with os.fdopen(os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as file:
            pickle.dump(data, file, protocol=5)
        part.replace(cache / name)
        ending = Path(name).suffix
        kept = sorted(cache.glob(f"*{ending}"), key=lambda path: path.stat().st_mtime)
        for old in kept[:-most]:
            old.unlink(missing_ok=True)
    except (OSError, pickle.PicklingError):
        part.unlink(missing_ok=True)
