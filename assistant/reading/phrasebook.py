"""Every way to name each of a list of things, and finding those names in a sentence."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache

from rapidfuzz import fuzz

from assistant.reading.text import fold, joined, near, words_of
from assistant.ruleset.models import Question

_CLEAR_HEAD = 3
"""So many words before the first comma say as much as the whole phrase does."""


@dataclass(frozen=True)
class Span:
    """Words start..end of a line that name `picks`: one choice, or several that share them."""

    start: int
    end: int
    picks: tuple[int, ...]
    plain: bool


class Phrasebook:
    """Every way to name each of a list of things, by words run together.

    ways: for each thing its own words first, then the others. in_full: the things by these words.
    strength 0: the full words; 1: the words outside brackets; 2: the first part of long words.
    """

    def __init__(self, ways: Sequence[Sequence[str]]) -> None:
        self.by_key: dict[str, dict[int, int]] = {}
        self.vocabulary: list[frozenset[str]] = []
        self.in_full: dict[str, list[int]] = {}
        self.longest = 1
        for index, phrases in enumerate(ways):
            known: set[str] = set()
            self.in_full.setdefault(fold(phrases[0]), []).append(index)
            for phrase in phrases:
                known.update(words_of(phrase))
                self.add(words_of(phrase), index, 0)
                for part, strength in _shorter_ways(phrase):
                    self.add(words_of(part), index, strength)
            self.vocabulary.append(frozenset(known))

    def add(self, words: tuple[str, ...], index: int, strength: int) -> None:
        if words:
            found = self.by_key.setdefault(joined(words), {})
            found[index] = min(strength, found.get(index, strength))
            self.longest = max(self.longest, len(words))

    def lookup(self, words: Iterable[str]) -> tuple[tuple[int, ...], int]:
        """Which things these words name, and how strongly; the strongest only."""
        return self._of_key(joined(words))

    def _of_key(self, key: str) -> tuple[tuple[int, ...], int]:
        found = self.by_key.get(key)
        if not found:
            return (), 9
        best = min(found.values())
        return tuple(i for i, strength in found.items() if strength == best), best

    def spans(self, words: Sequence[str]) -> list[Span]:
        """Names in a sentence, longest first and never overlapping, in order of place."""
        found: list[Span] = []
        for start in range(len(words)):
            key = ""
            for end in range(start + 1, min(len(words), start + self.longest + 2) + 1):
                key += words[end - 1]
                if key in self.by_key:
                    picks, strength = self._of_key(key)
                    found.append(Span(start, end, picks, strength < 2))
        found.sort(key=lambda s: (s.start - s.end, not s.plain, s.start))
        kept: list[Span] = []
        for span in found:
            if all(span.end <= other.start or span.start >= other.end for other in kept):
                kept.append(span)
        return sorted(kept, key=lambda s: s.start)

    def scores(self, words: Sequence[str]) -> list[float]:
        """For each thing, how much of these words belongs to it, from 0 to 1."""
        hits = [
            {i for i, known in enumerate(self.vocabulary) if _knows(known, word)} for word in words
        ]
        return [
            sum(1 / len(hit) for hit in hits if index in hit) / max(1, len(words))
            for index in range(len(self.vocabulary))
        ]

    def spelling(self, text: str) -> list[float]:
        """For each thing, how near its spelling is to the whole text, from 0 to 100."""
        best = [0.0] * len(self.vocabulary)
        if len(text) <= 80:
            for key, indices in self.by_key.items():
                ratio = fuzz.ratio(text, key)
                for index in indices:
                    best[index] = max(best[index], ratio)
        return best


def _knows(vocabulary: frozenset[str], word: str) -> bool:
    return word in vocabulary or any(near(word, known) for known in vocabulary)


def _shorter_ways(phrase: str) -> list[tuple[str, int]]:
    outside = re.sub(r"\([^)]*\)", " ", phrase)
    inside = re.findall(r"\(([^)]*)\)", phrase)
    head = re.split(r",|;| or | - |: ", outside)[0]
    found = [(outside, 1)] if inside else []
    if head != phrase and len(words_of(head)) >= _CLEAR_HEAD:
        found.append((head, 1))
    return found + [(part, 2) for part in (*inside, head) if part != phrase and len(part) > 2]


def book_of(question: Question) -> Phrasebook:
    """The phrasebook of the choices of a question; made once for the same choices."""
    return _book(
        tuple((choice.say, *choice.hear, name) for name, choice in question.choices.items())
    )


@lru_cache(maxsize=1024)
def _book(ways: tuple[tuple[str, ...], ...]) -> Phrasebook:
    return Phrasebook(ways)


def exact_choice(words: str, question: Question, book: Phrasebook | None = None) -> Span | None:
    """The choice that the words name and nothing else: by number, words, synonym or name."""
    folded = fold(words)
    book = book or book_of(question)
    by_text = tuple(book.in_full.get(folded, ()))
    picks, strength = book.lookup(words_of(words))
    number = re.fullmatch(r"((?:number|no\.|#|option|choice) ?)?([0-9]{1,3})[.)]?", folded)
    if number and 1 <= int(number[2]) <= len(question.choices):
        index = int(number[2]) - 1
        others = () if number[1] else tuple(i for i in (*by_text, *picks) if i != index)
        return Span(0, 0, (index, *dict.fromkeys(others)), True)
    if by_text:
        return Span(0, 0, by_text, True)
    return Span(0, 0, picks, strength < 2) if picks else None
