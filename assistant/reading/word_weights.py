"""What a sentence sounds like by the words it is made of: chat, a danger, or neither.

The lines of words.yaml know which words tell a danger. "My nan says one door closes and another
opens" has them too, and a danger may be told in words that nobody thought of. What tells them apart
is the company that words keep. word_weights.tsv has a weight for each word, and each two words side
by side: above nought where it stands oftener in sentences that tell a danger, below where oftener
in chat. The weights of a sentence are added up, as naive Bayes does (tests/support/weigh_words.py
makes them, and names the source).
"""

from __future__ import annotations

import re
from collections import Counter
from itertools import pairwise
from pathlib import Path
from sys import intern
from typing import NamedTuple

from assistant.reading.text import fold

IS_IT_A_WORRY = "Is that something that worries you about the car?"
WORD_WEIGHTS = "word_weights.tsv"
"""Tables of weight, words, kind of danger and pull, beside the ruleset's files; # is a note."""
_A_SENTENCE = 5
"""Fewer words than these never weigh enough to be a danger. Ours, assumed."""
_A_STORY = 7
"""Fewer words than these are never chat. Ours, assumed."""
_CHAT = -300
"""Up to this weight a story is chat, twenty times as likely as a danger (e to the 3). Ours, chosen
on sentences left out of the weighing: of those that tell a danger 99 in 100 weigh more."""
_DANGER = 1400
"""From this weight up it is a danger, also in words that no line knows. Ours, chosen likewise."""


class Weight(NamedTuple):
    """weight: hundredths of a natural logarithm. kind, pull: the kind of danger, if any, of which
    a word tells before all others, and how strongly, in hundredths too."""

    weight: int
    kind: str = ""
    pull: int = 0


class WordWeights:
    """The weights of one ruleset; empty, so that nothing sounds like anything, without a file."""

    def __init__(self, weights: dict[str, Weight]) -> None:
        self.weights = weights

    @classmethod
    def read(cls, path: Path) -> WordWeights:
        """Those of a file, and none where there is no such file."""
        try:
            lines = path.read_text("utf-8").splitlines()
        except (OSError, UnicodeDecodeError):
            return cls({})
        rows = (line.split("\t") for line in lines if not line.startswith("#"))
        return cls({r[1]: Weight(int(r[0]), intern(r[2]), int(r[3] or 0)) for r in rows})

    def of(self, words: str) -> int:
        """The weight of all words together."""
        return sum(self.weights[term].weight for term in terms_of(words) & self.weights.keys())

    def chat(self, words: str) -> bool:
        """Whether a sentence sounds so little like a danger that it is asked about first."""
        return words.count(" ") >= _A_STORY - 1 and bool(self.weights) and self.of(words) <= _CHAT

    def grave(self, words: str) -> bool:
        """Whether a sentence sounds like a danger, in whatever words."""
        return words.count(" ") >= _A_SENTENCE - 1 and self.of(words) >= _DANGER

    def kind(self, words: str) -> str:
        """The kind of danger that such a sentence sounds like; "" for none."""
        if not self.grave(words):
            return ""
        pulls: Counter[str] = Counter()
        for term in sorted(terms_of(words) & self.weights.keys()):
            pulls[self.weights[term].kind] += self.weights[term].pull
        return max(pulls, key=lambda kind: pulls[kind], default="")


def terms_of(words: str) -> set[str]:
    """The words of a sentence, and each two that stand side by side; without apostrophes."""
    single = re.findall(r"[a-z0-9]+", fold(words).replace("'", ""))
    return {*single, *(" ".join(pair) for pair in pairwise(single))}
