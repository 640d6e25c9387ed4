"""Every error this program raises on purpose.

SidelightError                  said to the person as one plain sentence
|-- InputError                  something that was given is wrong (exit code 2)
|   |-- RulesetError            a ruleset file: where, what, what to do
|   |-- AnswersError            an answers file, or a command line
|   `-- JournalError            a record or class file that cannot be read or kept
`-- OwnFault                    the program itself is wrong (exit code 3)
    `-- EngineFault             durable-rules is missing, or failed
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

DONE, FOUND, MISUSE, FAULT = 0, 1, 2, 3
"""The exit codes: nothing to say, something found, something given is wrong, we are wrong."""


class SidelightError(Exception):
    """Base class; str() is a sentence that may be shown to a person."""


class InputError(SidelightError):
    """What was given cannot be used."""


class AnswersError(InputError):
    """An answers file, or a word on the command line, cannot be used."""


class JournalError(InputError):
    """A record, or a class file, cannot be read or kept."""


class OwnFault(SidelightError):
    """The program is wrong, not the person."""


class EngineFault(OwnFault):
    """durable-rules could not be loaded or did not answer as it must."""


@dataclass(frozen=True, order=True)
class Place:
    """A spot in a text file; line and column count from 1, 0 means unknown."""

    file: str
    line: int = 0
    column: int = 0

    def __str__(self) -> str:
        if not self.line:
            return self.file
        return f"{self.file}:{self.line}:{self.column}"


Problem = tuple[Place, str]
"""What a check found: where, and what."""


class RulesetError(InputError):
    """One or more mistakes in a ruleset, each with its place.

    `problems` is a tuple of (Place, sentence), in file order.
    """

    def __init__(self, problems: list[tuple[Place, str]]) -> None:
        self.problems = tuple(problems)
        super().__init__("\n".join(f"{place}: {text}" for place, text in problems))


def near_name(word: str, known: Iterable[str]) -> str:
    """Returns " Did you mean x?" where a known name is close to word, else nothing."""
    return _near_name(word, tuple(known))


@lru_cache(maxsize=64)
def _near_name(word: str, known: tuple[str, ...]) -> str:
    """An old record is consulted again and again with the same names that are unknown."""
    import difflib  # only for mistakes

    close = difflib.get_close_matches(word, known, n=1, cutoff=0.6)
    return f" Did you mean {close[0]!r}?" if close else ""
