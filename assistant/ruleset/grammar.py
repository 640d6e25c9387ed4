"""How words are put together: capitals, plurals, lists, a place before what is said of it."""

from __future__ import annotations

from collections.abc import Sequence


def upper(text: str) -> str:
    """The text with a capital at its start."""
    return text[:1].upper() + text[1:]


def plural(count: int, word: str) -> str:
    """ "1 question", "2 questions"."""
    return f"{count} {word}" if count == 1 else f"{count} {word}s"


def and_words(words: Sequence[str], last: str = "and") -> str:
    """ "a", "a and b", "a, b and c"."""
    return f" {last} ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)


def placed(where: str, text: str) -> str:
    """ "front nearside: text", or the text alone where no place is named."""
    return f"{where}: {text}" if where else text
