"""A built ruleset, kept so that the next start is quicker.

Reading YAML, checking it and parsing its conditions is most of the time it takes to start. What
is kept is a pickle in the person's own cache folder. A pickle can do anything when it is read, so
one is read only where it and its folder are this user's and nobody else can write or read them;
and it is whole only where it has the hash that it begins with. Where there is no such copy, or
none can be written, the YAML is read instead.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import pickle
import sys
from hashlib import sha256
from pathlib import Path
from typing import Any

import pydantic

from assistant import __version__

_MOST = 6
"""So many copies stay; one of a large ruleset is 3 MB."""


def key_of(folder: Path, files: Files) -> str:
    """The name of the copy: a hash of the files as they were read, and of what builds from them."""
    parts = [str(folder.resolve()), bytes_digest(files)]
    parts += [__version__, sys.version, pydantic.VERSION]
    digest = sha256("\0".join(parts).encode("utf-8", "surrogateescape"))
    for source in sorted(Path(__file__).resolve().parent.parent.rglob("*.py")):
        digest.update(source.read_bytes())
    return digest.hexdigest()


def read_kept(cache: Path, key: str) -> Any:
    """What is kept under this key, or None where there is no good copy."""
    try:
        with (cache / f"{key}.kept").open("rb") as file:
            if not _ours(os.fstat(file.fileno()), 0o600) or not _ours(cache.stat(), 0o700):
                return None
            data = memoryview(file.read())
        whole = sha256(data[32:]).digest() == data[:32]
        return pickle.loads(data[32:]) if whole else None
    except Exception:  # whatever is wrong with the copy, the YAML is there
        return None


def _ours(state: os.stat_result, mode: int) -> bool:
    """Whether it is this user's and has this mode; always so where there are no users."""
    return not hasattr(os, "getuid") or (
        state.st_uid == os.getuid() and state.st_mode & 0o777 == mode
    )


def write_kept(cache: Path, key: str, ruleset: Any) -> None:
    """Keeps a copy, in one step, so that nobody reads half of it; older copies go."""
    part = cache / f"{key}.{os.getpid()}.part"
    data = pickle.dumps(ruleset, protocol=5)
    with contextlib.suppress(OSError):
        cache.mkdir(parents=True, exist_ok=True)
        cache.chmod(0o700)
        try:
            handle = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
            with os.fdopen(handle, "wb") as file:
                file.write(sha256(data).digest() + data)
            part.replace(cache / f"{key}.kept")
        finally:
            part.unlink(missing_ok=True)
        kept = sorted(cache.glob("*.kept"), key=lambda path: path.stat().st_mtime)
        for old in kept[:-_MOST]:
            old.unlink(missing_ok=True)


# files -------------------------------------------------------------------------------------------

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
