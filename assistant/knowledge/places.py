"""Where everything stands in the files of a ruleset."""

from __future__ import annotations

import contextlib
import hashlib
from collections.abc import Iterator, Mapping
from pathlib import Path

from assistant.errors import Place, RulesetError

Key = str | int
Positions = Mapping[tuple[Key, ...], Place]
"""For each path of keys and numbers into a file, the place of what stands there."""


class LazyPositions(Mapping[tuple[Key, ...], Place]):
    """The places of a file whose words are known already; it is read when one is asked for.

    Only mistakes need a place, and most rulesets have none. A file that has changed meanwhile has
    no places. digest: of the bytes that were read.
    """

    def __init__(self, path: Path, digest: str) -> None:
        self.path = path
        self.digest = digest
        self._found: Positions | None = None

    def _all(self) -> Positions:
        if self._found is None:
            from assistant.knowledge.reading import load_yaml  # reading YAML takes a while to load

            self._found = {}
            with contextlib.suppress(RulesetError, OSError):
                raw = self.path.read_bytes()
                if hashlib.sha256(raw).hexdigest() == self.digest:
                    self._found = load_yaml(self.path, raw)[1]
        return self._found

    def __getitem__(self, path: tuple[Key, ...]) -> Place:
        return self._all()[path]

    def __contains__(self, path: object) -> bool:
        return path in self._all()

    def __iter__(self) -> Iterator[tuple[Key, ...]]:
        return iter(self._all())

    def __len__(self) -> int:
        return len(self._all())

    def __getstate__(self) -> dict[str, object]:
        return {"path": self.path, "digest": self.digest, "_found": None}
