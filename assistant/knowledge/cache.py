"""The parsed YAML of a ruleset, kept as JSON under the hash of its files.

Parsing YAML is most of the time it takes to start. A cache that is missing, old, damaged or
cannot be written is no fault: the YAML is read instead.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import json
import os
from pathlib import Path
from typing import Any

__all__ = ["digest_of", "read_cached", "write_cached"]

_VERSION = 4


def digest_of(files: dict[str, Any]) -> str:
    """A hash of what the files say; comments and layout do not count."""
    return hashlib.sha256(_dumps(files).encode()).hexdigest()


def _dumps(data: Any) -> str:
    return json.dumps(data, default=_date, separators=(",", ":"), ensure_ascii=False)


def _date(value: Any) -> Any:
    if isinstance(value, dt.date):
        return {"~date": value.isoformat()}
    raise TypeError(f"{type(value).__name__} is not expected in a ruleset")


def _undate(data: dict[str, Any]) -> Any:
    return dt.date.fromisoformat(data["~date"]) if data.keys() == {"~date"} else data


def _key(folder: Path) -> str | None:
    """The hash of the files as bytes, so that any change of them misses the cache."""
    digest = hashlib.sha256(str(_VERSION).encode())
    try:
        for path in sorted(folder.glob("*.yaml")):
            digest.update(path.name.encode() + b"\0" + path.read_bytes() + b"\0")
    except OSError:
        return None
    return digest.hexdigest()


def read_cached(folder: Path, cache: Path) -> dict[str, Any] | None:
    """The files of a ruleset by name, or None where there is no good copy."""
    key = _key(folder)
    if key is None:
        return None
    try:
        raw = (cache / f"{key}.json").read_bytes()
        files = json.loads(raw, object_hook=_undate)
    except (OSError, ValueError, RecursionError):
        return None
    return files if isinstance(files, dict) and "ruleset.yaml" in files else None


def write_cached(folder: Path, cache: Path, files: dict[str, Any]) -> None:
    """Keeps a copy, in one step, so that nobody reads half of it."""
    key = _key(folder)
    if key is None:
        return
    part = cache / f"{key}.{os.getpid()}.part"
    try:
        cache.mkdir(parents=True, exist_ok=True, mode=0o700)
        part.write_text(_dumps(files), encoding="utf-8")
        part.replace(cache / f"{key}.json")
    except (OSError, TypeError):
        part.unlink(missing_ok=True)
