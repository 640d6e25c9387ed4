"""The dangers that words tell of."""

from __future__ import annotations

from assistant.knowledge.ruleset import Ruleset

__all__ = ["dangers_told"]


def dangers_told(ruleset: Ruleset, words: str) -> tuple[str, ...]:
    """The names of the dangers that words tell of, the gravest first."""
    return ()
