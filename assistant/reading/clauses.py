"""A text cut into words, and the words into sentences, pieces and parts.

A sentence ends at a full stop, a question mark and the like; a piece also at a comma; a part also
where a new thing may be told ("but", "so", "when"). Words keep no apostrophes: "won't" and "wont"
are one word.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from assistant.reading.text import fold

_TOKEN = re.compile(r"[a-z0-9]+|[.!?;:,()]")
_ANSWERED = re.compile(r"\?\s*((?:no|nope|none)(?=[\s.!]*$)|only\b)")
_DASH = re.compile(r"\s-+\s|--+")
_IS = ("it", "he", "she", "that", "there", "what", "let", "where", "how", "who", "here")
"""After these an 's is "is" or "us"; after other words it is taken away."""
_OWNS = re.compile("".join(rf"(?<!\b{word})" for word in _IS) + r"'s\b")
_SHORT_THE = re.compile(r"\bt'(?=[a-z]{2})")
_SENTENCE = frozenset(".!?;:")
_JOINS = frozenset(("or", "nor"))
_LIST_ITEM = 3
"""A piece of at most so many words that "or" leads on from is one item of a list."""

Span = tuple[int, int]
"""From the first word of a phrase to behind its last."""


@dataclass(frozen=True)
class Clauses:
    """The words of a text; for each word the number of its sentence, its piece and its part."""

    words: tuple[str, ...]
    sentence: tuple[int, ...]
    piece: tuple[int, ...]
    part: tuple[int, ...]

    def parts_of(self, spans: Iterable[Span]) -> frozenset[int]:
        """The parts that some phrases stand in."""
        return frozenset(self.part[i] for start, end in spans for i in range(start, end))

    def first_of(self, numbers: tuple[int, ...], index: int) -> int:
        """The first word of the sentence, piece or part in which a word stands."""
        while index > 0 and numbers[index - 1] == numbers[index]:
            index -= 1
        return index


def plain_words(text: str) -> list[str]:
    """The words of a text, and the marks between them."""
    asked = _ANSWERED.sub(r" \1", fold(text))
    folded = _OWNS.sub("", _SHORT_THE.sub("", _DASH.sub(" , ", asked))).replace("'", "")
    return _TOKEN.findall(folded)


def clauses(tokens: list[str], new_part: frozenset[tuple[str, ...]]) -> Clauses:
    """Words and marks in their sentences, pieces and parts. new_part: what begins a new part."""
    words: list[str] = []
    sentence: list[int] = []
    piece: list[int] = []
    marks: set[int] = set()
    sentences = pieces = 0
    for token in tokens:
        if token[0].isalnum():
            words.append(token)
            sentence.append(sentences)
            piece.append(pieces)
        else:
            pieces += 1
            sentences += token in _SENTENCE
            marks.add(len(words))
    listed = _list_items(words, sentence, piece)
    longest = max(map(len, new_part), default=0)
    part: list[int] = []
    parts = 0
    for i in range(len(words)):
        begins = any(tuple(words[i : i + size]) in new_part for size in range(1, longest + 1))
        if i and (begins or (i in marks and piece[i] not in listed)):
            parts += 1
        part.append(parts)
    return Clauses(tuple(words), tuple(sentence), tuple(piece), tuple(part))


def _list_items(words: list[str], sentence: list[int], piece: list[int]) -> set[int]:
    """The pieces that go on with a list: "no leaks, drips or smells" has one "no" for all."""
    last_join = {sentence[i]: piece[i] for i, word in enumerate(words) if word in _JOINS}
    sizes: dict[int, int] = {}
    for number in piece:
        sizes[number] = sizes.get(number, 0) + 1
    return {
        number
        for i, number in enumerate(piece)
        if number <= last_join.get(sentence[i], -1)
        and (sizes[number] <= _LIST_ITEM or words[i] in _JOINS)
    }
