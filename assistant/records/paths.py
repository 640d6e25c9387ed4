"""Where records lie: a folder for each car, and in it a file for each consultation."""

from __future__ import annotations

import datetime as dt
import hashlib
import re
from pathlib import Path

from assistant.errors import JournalError

__all__ = ["journal_paths", "new_journal_path", "slug"]


def slug(name: str) -> str:
    """A car's name as a folder name: letters, digits and dashes.

    A name of other letters only gets a short hash, so that two such cars do not share a folder.
    """
    plain = re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")[:40]
    if plain or not name.strip():
        return plain or "car"
    return (
        f"car-{hashlib.sha256(name.strip().casefold().encode('utf-8', 'replace')).hexdigest()[:8]}"
    )


def new_journal_path(home: Path, car: str, today: dt.date) -> Path:
    """A path that is not taken yet for a new consultation of a car."""
    folder = home / slug(car)
    for number in range(1, 1000):
        path = folder / f"{today:%Y-%m-%d}-{number}.jsonl"
        if not path.exists():
            return path
    raise JournalError(f"There are already 999 records for {today}. Move some away from {folder}.")


def journal_paths(home: Path, car: str | None = None) -> list[Path]:
    """The records of a car (or of all cars), newest first."""
    folders = [home / slug(car)] if car else sorted(home.glob("*"))
    paths = [p for folder in folders if folder.is_dir() for p in folder.glob("*.jsonl")]
    return sorted(paths, key=lambda p: (p.stat().st_mtime_ns, p.name), reverse=True)
