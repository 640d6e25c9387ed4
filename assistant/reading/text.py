"""Plain text tools: cleaning what was typed, cutting it into words, near-miss spelling."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache

from assistant.reading.forms import forms, rewrites, word_list
from assistant.ruleset.grammar import and_words

LONGEST = 2000
"""So many letters of what is typed at once can be kept; ours, assumed."""
LONGEST_NAME = 60
NAME_TOO_LONG = f"A name can have {LONGEST_NAME} letters, and that is longer. Try a shorter one."
TOO_LONG = f"That is longer than the {LONGEST:,} letters that I can keep at once."
_ESCAPES = re.compile(
    r"(?:\x1b\[|\x9b)[0-?]*[ -/]*[@-~]"  # moves, colours, bracketed paste
    r"|(?:\x1b[\]P^_X]|[\x90\x98\x9d-\x9f])[^\x07\x1b\x9c]*(?:\x07|\x1b\\|\x9c)?"  # titles, links
    r"|\x1b[ -/]*[0-~]?"
)
_SPACES = frozenset("\t\n\v\f\r\x1c\x1d\x1e\x1f\x85\u2028\u2029")
_DROPPED = frozenset({"Cc", "Cf", "Cs", "Cn", "Co"})
_FRACTIONS = {c: f" {unicodedata.normalize('NFKC', c).replace('⁄', '/')} " for c in "¼½¾⅓⅔⅛⅜⅝⅞"}


def clean(words: str) -> str:
    """One line of harmless text: no control characters, escape sequences or overrides.

    Normalised (NFKC), white space collapsed, at most 2,000 characters.
    """
    if len(words) <= LONGEST and words.isascii() and words.isprintable():
        return " ".join(words.split())
    return _tidied(words[:8000])[:LONGEST].strip()


def in_pieces(words: str) -> list[str]:
    """Words cleaned, in pieces that can each be kept; one piece where they can be kept whole.

    The pieces overlap, so that what is said across a cut stands whole in one of them.
    """
    if len(words) <= LONGEST and words.isascii():
        return [clean(words)]
    text, step = _tidied(words), LONGEST - LONGEST // 10
    if len(text) <= LONGEST:
        return [clean(words)]
    return [text[at : at + LONGEST].strip() for at in range(0, len(text), step)]


def _tidied(words: str) -> str:
    text = _ESCAPES.sub(" ", words)
    text = "".join(" " if c in _SPACES else c for c in text if c in _SPACES or _kept(c))
    text = re.sub(r"(?<=[0-9])(?=[⁰¹²³⁴-⁹])", "^", text)
    text = "".join(_FRACTIONS.get(c, c) for c in text)
    text = unicodedata.normalize("NFKC", text).replace("⁄", "/")
    text = "".join(c for c in text if _kept(c))
    return unicodedata.normalize("NFKC", " ".join(text.split()))


def _kept(character: str) -> bool:
    return (character.isascii() and character.isprintable()) or unicodedata.category(
        character
    ) not in _DROPPED


_SIGNS = str.maketrans(
    {
        **dict.fromkeys("’‘`´ʼ′", "'"),
        **dict.fromkeys("“”″„", '"'),
        **dict.fromkeys("‐‑‒–—―−", "-"),
        "≤": "<=",
        "≥": ">=",
        "≈": "~",
        "∼": "~",
    }
)


def fold(words: str) -> str:
    """Cleaned, small letters, typewriter quotes and dashes."""
    return clean(words).casefold().translate(_SIGNS)


_CONTRACTIONS = rewrites("text", "short_forms")


@lru_cache(maxsize=1024)
def spoken(words: str) -> str:
    """Folded, with the short forms written out: "it isn't" becomes "it is not"."""
    text = fold(words)
    for pattern, replacement in _CONTRACTIONS:
        text = pattern.sub(replacement, text)
    return text


_NOT_THAT = re.compile(r"\b([0-9]{1,2})((?:(?!\b\1\b).)*?)[ ,.-]+(?:no[ ,]+)?not \1\b")
_LEFT_OVER = re.compile(r"(?:[ ,&+]|\band\b)+$")
_RANGE = re.compile(
    r"(?<![0-9.,/])([0-9]{1,2}) ?(?:-|to|through|till) ?([0-9]{1,2})(?![0-9.,/]| ?(?:mm|cm))"
)
_SIDE_BY_SIDE = re.compile(r"\b([0-9]{1,2}) (?=[0-9]{1,2}\b(?! ?(?:mm|cm)))")
_N = re.compile(r"(?<=\w) (?:n|an|nd) (?=\w)")


def tidied(text: str) -> str:
    """A list as it was meant: "1 and 2, no not 2" is 1, "1-2" is 1 and 2."""
    text = and_for_n(text)
    if " not " in text:
        text = _LEFT_OVER.sub("", _NOT_THAT.sub(r"\2", text))
    return _RANGE.sub(_all_between, _SIDE_BY_SIDE.sub(r"\1 and ", text))


def and_for_n(text: str) -> str:
    """ "tow bar n spare" with its "and"."""
    return _N.sub(" and ", text)


def _all_between(found: re.Match[str]) -> str:
    first, last = int(found[1]), int(found[2])
    return " and ".join(map(str, range(first, last + 1))) if first < last else found[0]


_HEDGED = re.compile(forms("text")["hedged"])


_ISH = re.compile(r"\b(ok|okay|fine|good|alright) ?-?ish\b")


def hedged(words: str) -> bool:
    """Whether words say that whoever says them is not certain."""
    return bool(_HEDGED.search(spoken(words)))


def unhedged(words: str) -> str:
    """The words without those that say that whoever says them is not certain."""
    plainly = _ISH.sub(r"\1", spoken(words))
    return " ".join(_HEDGED.sub(" ", plainly).split())


def word_set(text: str) -> frozenset[str]:
    """A set of words written out in one string."""
    return frozenset(text.split())


PERIODS = r"days?|weeks?|wks?|months?|years?|yrs?|miles?"
"""What a number may count, as a pattern; it is then the number of no choice and of no part."""
_ARTICLES = word_set("a an the")
NEGATIONS = word_set("not no never none nothing without nor neither hardly barely nowhere nobody")
HEDGES = word_set("maybe perhaps possibly probably might could likely suppose guess")
_SMALL_WORDS = word_list("text", "small_words")
FILLERS = _SMALL_WORDS | _ARTICLES | HEDGES
_WORD = re.compile(r"[0-9]+(?:[.,][0-9]+)*|[^\W\d_]+|\d+|[,;:.!?()/&+-]")
_BREAKS = frozenset(",;:.!?()-")
_NEW_CLAUSE = word_set("but it they just only instead rather though however")


@dataclass(frozen=True)
class Line:
    """Words without punctuation or articles; `breaks` are where a new clause starts."""

    words: tuple[str, ...]
    breaks: frozenset[int]

    def clause_start(self, index: int) -> int:
        """Where the clause of a word begins."""
        while index > 0 and index not in self.breaks:
            index -= 1
        return index

    def clause_end(self, index: int) -> int:
        """The index after the last word of the clause."""
        index += 1
        while index < len(self.words) and index not in self.breaks:
            index += 1
        return index


def line(text: str) -> Line:
    """The words of a text that went through `spoken` already."""
    words: list[str] = []
    breaks: set[int] = set()
    for word in _WORD.findall(text):
        if word in _BREAKS:
            breaks.add(len(words))
        elif word[0].isalnum() and word not in _ARTICLES:
            if word in _NEW_CLAUSE:
                breaks.add(len(words))
            words.append(word)
    return Line(tuple(words), frozenset(breaks))


@lru_cache(maxsize=8192)
def words_of(text: str) -> tuple[str, ...]:
    """The words of a text as it was typed."""
    return line(spoken(text)).words


def joined(words: Iterable[str]) -> str:
    """Words run together, so that "tow bar", "tow-bar" and "towbar" are the same."""
    return "".join(words)


def near(word: str, other: str) -> bool:
    """Same word, give or take a slip of the finger: none up to 3 letters, 1 up to 7, then 2."""
    if word == other:
        return True
    shorter = min(len(word), len(other))
    if shorter < 4 or word.isdigit() or other.isdigit():
        return word + "s" == other or other + "s" == word if shorter > 2 else False
    allowed = 1 if shorter < 8 else 2
    from rapidfuzz import distance  # `clean` is needed at the start, this is not

    return distance.OSA.distance(word, other, score_cutoff=allowed) <= allowed


def listed(parts: Sequence[str], last: str = "and") -> str:
    """ "a, b and c", or with semicolons where the parts have commas or ands of their own."""
    if any("," in part or f" {last} " in part for part in parts):
        return "; ".join(parts)
    return and_words(parts, last)
