"""The language in which a ruleset says what words mean: groups of words, and lines of them.

A line such as "brake failing unless gearbox" holds where one word or phrase of each of its groups
stands in one sentence, near each other and in any order, and none of those after "unless" in the
same pieces. A name that is no group is that word itself, with its endings, and words joined by a
hyphen stand together: "got-a-shock". "not:do_shut" is a word of the group `do_shut` that is denied,
so that "refuses to shut" and "closes not" need no phrase of their own. Where a longer name of a
thing covers a word, only that counts: the wheel of "wheel trim" is no wheel.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import groupby, pairwise, product
from sys import intern
from typing import NamedTuple

from rapidfuzz import distance, process

from assistant.reading.clauses import Clauses, Span

UNLESS = "unless"
NOT = "not:"
"""Before a group: one of its words with a "no" just before or behind it, as in "will not shut"."""
_NOT_WITHIN = 2
"""How many words may lie between such a "no" and the word. Ours, assumed."""
_NEAR = 12
"""How many words lie between the first and the last word of what belongs together, at most.

Ours, assumed."""
_TRIED = 6
"""Of how many places of one word a match is looked for."""
_ONE_SLIP, _TWO_SLIPS = 4, 8
"""From how many letters on one and two slips are repaired. Ours, assumed."""


class Pattern(NamedTuple):
    """One line: the groups or words of which each must be there, and those that may not."""

    terms: tuple[str, ...]
    unless: tuple[str, ...] = ()


@dataclass(frozen=True)
class Match:
    """Where the terms of a pattern stand."""

    spans: tuple[Span, ...]

    @property
    def words(self) -> frozenset[int]:
        return frozenset(i for start, end in self.spans for i in range(start, end))


def read_pattern(line: str) -> Pattern:
    """A line of the ruleset as a pattern."""
    terms, _, unless = line.partition(f" {UNLESS} ")
    return Pattern(tuple(map(intern, terms.split())), tuple(map(intern, unless.split())))


Words = tuple[str, ...]


@dataclass
class Phrases:
    """All phrases that are listened for, by their first word; each with the names it belongs to.

    covering: names whose phrases hide every shorter one inside them. yielding: names that any
    longer phrase hides. never_hidden: names that none hides.
    """

    covering: frozenset[str] = frozenset()
    yielding: frozenset[str] = frozenset()
    never_hidden: frozenset[str] = frozenset()
    by_first: dict[str, tuple[tuple[Words, Words], ...]] = field(default_factory=dict)
    _added: dict[str, dict[Words, Words]] = field(default_factory=dict)

    def add(self, phrase: Sequence[str], name: str) -> None:
        """The words of a phrase, small letters and no marks, under a name."""
        words = tuple(map(intern, phrase))
        phrases = self._added.setdefault(words[0], {})
        names = phrases.get(words, ())
        if name not in names:
            phrases[words] = (*names, name)

    def all_added(self) -> None:
        """To be called once all are there; what is looked up is smaller than what is added to."""
        self.by_first = {first: tuple(phrases.items()) for first, phrases in self._added.items()}
        self._added = {}

    def vocabulary(self) -> frozenset[str]:
        """Every word of every phrase."""
        return frozenset(w for one in self.by_first.values() for phrase, _ in one for w in phrase)

    def found(self, text: Clauses) -> dict[str, list[Span]]:
        """Where the phrases of each name stand, each inside one sentence or item, but for those
        that a longer phrase covers."""
        words = text.words
        everywhere: list[tuple[Span, tuple[str, ...]]] = []
        for i, word in enumerate(words):
            for phrase, names in self.by_first.get(word, ()):
                end = i + len(phrase)
                if words[i:end] == phrase and text.piece[i] == text.piece[end - 1]:
                    everywhere.append(((i, end), names))
        everywhere.sort(key=lambda one: (one[0][0], -one[0][1]))
        result: dict[str, list[Span]] = {}
        covered = by_cover = -1
        for span, names in everywhere:
            for name in names:
                hidden = by_cover if name not in self.yielding else covered
                if span[1] > hidden or name in self.never_hidden:
                    result.setdefault(name, []).append(span)
            covered = max(covered, span[1])
            if not self.covering.isdisjoint(names):
                by_cover = max(by_cover, span[1])
        return result


class Slips:
    """Repairs a slip of the finger into a known word, if what was typed is no word itself."""

    def __init__(self, vocabulary: Iterable[str], words: Iterable[str]) -> None:
        self._known = frozenset(vocabulary)
        self._words = frozenset(words)
        self._by_letter: dict[str, list[str]] = {}
        for word in sorted(self._known):
            if len(word) >= _ONE_SLIP and word.isalpha():
                self._by_letter.setdefault(word[0], []).append(word)
        self._repaired: dict[str, str] = {}

    def repaired(self, word: str) -> str:
        """The word that was meant, or the word itself."""
        if not self._words or len(word) < _ONE_SLIP or not word.isalpha():
            return word
        if word in self._known or word in self._words:
            return word
        if word not in self._repaired:
            if len(self._repaired) > 4096:
                self._repaired.clear()
            self._repaired[word] = self._nearest(word)
        return self._repaired[word]

    def _nearest(self, word: str) -> str:
        allowed = 2 if len(word) >= _TWO_SLIPS else 1
        near = process.extract(
            word, self._by_letter.get(word[0], ()),
            scorer=distance.OSA.distance, score_cutoff=allowed, limit=None,
        )  # fmt: skip
        if near:
            return min(near, key=lambda one: (one[1], *_unlike(word, one[0])))[0]
        swapped = word[1] + word[0] + word[2:]
        return swapped if swapped in self._known else word


def forms(word: str) -> frozenset[str]:
    """A word as it stands in a line, and with the endings that it can have."""
    if len(word) < 3 or not word.isalpha():
        return frozenset((word,))
    stem = word.removesuffix("e")
    twice = word + word[-1]
    return frozenset(
        (word, word + "s", word + "es", stem + "ed", stem + "ing", twice + "ed", twice + "ing",
         word.removesuffix("s") if word.endswith("s") and not word.endswith("ss") else word)
    )  # fmt: skip


def _unlike(word: str, other: str) -> tuple[bool, int, str]:
    """One of a double letter is the likeliest slip, then letters changed round, a wrong letter,
    and one too many."""
    single = [letter for letter, _ in groupby(word)] != [letter for letter, _ in groupby(other)]
    return single and sorted(word) != sorted(other), abs(len(word) - len(other)), other


def matches(pattern: Pattern, found: Mapping[str, list[Span]], text: Clauses) -> list[Match]:
    """All the ways in which a pattern holds in a text."""
    result = []
    for spans in product(*(found[term][:_TRIED] for term in pattern.terms)):
        ordered = sorted(spans)
        together = all(one[0] < two[0] and one[1] < two[1] for one, two in pairwise(ordered))
        first, last = ordered[0][0], ordered[-1][1] - 1
        if not together or last - first > _NEAR or text.sentence[first] != text.sentence[last]:
            continue
        pieces = {text.piece[i] for i in range(first, last + 1)}
        if any(text.piece[s] in pieces for name in pattern.unless for s, _ in found.get(name, ())):
            continue
        result.append(Match(tuple(spans)))
    return result


def denied(spans: Iterable[Span], noes: Iterable[Span], text: Clauses) -> list[Span]:
    """The phrases that have a "no" just before them, or one word behind, each together with it."""
    result = []
    for start, end in spans:
        for first, last in noes:
            if text.part[first] != text.part[end - 1]:
                continue
            if last <= start <= last + _NOT_WITHIN:
                result.append((first, end))
            elif first == end and text.words[first] == "not":
                result.append((start, last))
    return result
