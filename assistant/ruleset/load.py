"""A ruleset folder read whole, or the kept copy of what was built from it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

from assistant.ruleset.kept import files_of, key_of, read_kept, write_kept
from assistant.ruleset.ruleset import Ruleset


def load_ruleset(
    folder: Path, cache: Path | None = None, compiler: Callable[[Ruleset], Any] | None = None
) -> Ruleset:
    """Reads a ruleset folder. Raises RulesetError listing every mistake found.

    cache: a folder for a copy of what was built, so that the next start is quicker. compiler: what
    it makes is kept in the copy too.
    """
    files = files_of(folder)
    key = key_of(folder, files) if cache is not None else ""
    kept = read_kept(cache, key) if cache is not None else None
    if isinstance(kept, Ruleset):
        return kept
    from assistant.ruleset.build import build_ruleset  # a copy needs none of that

    ruleset = build_ruleset(folder, files)
    ruleset.compiled = compiler(ruleset) if compiler is not None else None
    ruleset = replace(ruleset)  # without its cached properties
    if cache is not None:
        write_kept(cache, key, ruleset)
    return ruleset
