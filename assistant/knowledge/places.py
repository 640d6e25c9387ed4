"""Where everything stands in the files of a ruleset."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path

from assistant.errors import Place, RulesetError

__all__ = ["Key", "LazyPositions", "Positions"]

Key = str | int
Positions = Mapping[tuple[Key, ...], Place]
"""For each path of keys and numbers into a file, the place of what stands there."""


class LazyPositions(Mapping[tuple[Key, ...], Place]):
    """The places of a file whose words are known already; it is read when one is asked for.

    Only mistakes need a place, and most rulesets have none. A file that has changed meanwhile so
    that it cannot be read has no places.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        self._found: Positions | None = None

    def _all(self) -> Positions:
        if self._found is None:
            from assistant.knowledge.reading import load_yaml  # reading YAML takes a while to load

            try:
                self._found = load_yaml(self.path)[1]
            except RulesetError:
                self._found = {}
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
        return {"path": self.path, "_found": None}
