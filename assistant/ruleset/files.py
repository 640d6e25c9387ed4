"""The bytes of a ruleset's files, each read once.

What is built, and the name under which it is kept, come from the same bytes: a file may be saved
at any moment, also while it is read.
"""

from __future__ import annotations

import hashlib
from pathlib import Path

MAX_FILE = 4_000_000
"""The largest YAML file that is read, in bytes."""

Files = dict[str, bytes | OSError]
"""What stood in each YAML file of a ruleset, by its name, or why it could not be read."""


def files_of(folder: Path) -> Files:
    """Reads the YAML files of a folder; of one that is too large no more than shows that."""
    files: Files = {}
    for path in sorted(folder.glob("*.yaml")):
        try:
            if path.is_file():
                with path.open("rb") as file:
                    files[path.name] = file.read(MAX_FILE + 1)
        except OSError as error:
            files[path.name] = error
    return files


def bytes_digest(files: Files) -> str:
    """A hash of every byte that was read, and of which files could not be."""
    parts = []
    for name, raw in files.items():
        parts += [name, "" if isinstance(raw, OSError) else hashlib.sha256(raw).hexdigest()]
    return hashlib.sha256("\0".join(parts).encode("utf-8", "surrogateescape")).hexdigest()
