"""From a person's own words to the symptoms they may mean: trigram BM25 over the ruleset's words.

Words that mean the same are first made one word. A text is then cut into threes of letters, word
by word, so that a misspelt word still shares most of its threes with the right one; the whole word
counts too. The symptoms are ranked by Okapi BM25 (Robertson and Zaragoza, 2009). Nothing is ever
picked here: the person picks from the nearest, or none.
"""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

_K1, _B = 2.0, 0.6
"""How soon a repeated three stops counting, and how much a long entry is held back.

Ours, assumed: they did best on phrases of the words' own author, never on the unseen half."""


@dataclass(frozen=True)
class Match:
    """A symptom and how near the words come to it: 0 and up, comparable for one text only."""

    name: str
    score: float


class Matcher:
    """Ranks names by their phrases.

    phrases: for each name the ways to say it. same: lists of words that mean the same, the first
    of each stands for all. idle: words that tell nothing.
    """

    def __init__(
        self,
        phrases: Mapping[str, Sequence[str]],
        same: Iterable[Sequence[str]] = (),
        idle: Iterable[str] = (),
    ) -> None:
        self._one = {word: group[0] for group in same for word in group[1:]}
        self._longest = max((word.count(" ") + 1 for word in self._one), default=1)
        self._idle = frozenset(idle)
        counts = {
            name: Counter(three for phrase in said for three in self.threes(phrase))
            for name, said in phrases.items()
        }
        lengths = {name: sum(count.values()) for name, count in counts.items()}
        mean = sum(lengths.values()) / max(1, len(lengths))
        seen_in = Counter(three for count in counts.values() for three in count)
        self._whole = {
            name: frozenset(word for phrase in said for word in self.words(phrase))
            for name, said in phrases.items()
        }
        self._stems: dict[str, frozenset[str]] = {}
        self._worth: dict[str, list[tuple[str, float]]] = {three: [] for three in seen_in}
        for name, count in counts.items():
            norm = _K1 * (1 - _B + _B * lengths[name] / max(1.0, mean))
            for three, found in count.items():
                n = seen_in[three]
                weight = math.log(1 + (len(counts) - n + 0.5) / (n + 0.5))
                worth = weight * found * (_K1 + 1) / (found + norm)
                self._worth[three].append((name, worth))

    def words(self, text: str) -> list[str]:
        """The words of a text that tell something, with one word for all that mean the same."""
        plain = re.findall(r"[a-z0-9]+", text.lower().replace("'", "").replace("\u2019", ""))
        found: list[str] = []
        index = 0
        while index < len(plain):
            for size in range(min(self._longest, len(plain) - index), 0, -1):
                run = " ".join(plain[index : index + size])
                if size == 1 or run in self._one:
                    found += self._one.get(run, run).split()
                    index += size
                    break
        return [word for word in found if word not in self._idle]

    def threes(self, text: str) -> list[str]:
        """Each word, and its threes of letters, with a mark at both ends."""
        found: list[str] = []
        for word in self.words(text):
            marked = f"^{word}$"
            found += [marked, *(marked[i : i + 3] for i in range(len(marked) - 2))]
        return found

    def shared(self, name: str, text: str) -> frozenset[str]:
        """The whole words of a text that the phrases of a name have too, with or without an s."""
        if name not in self._stems:
            self._stems[name] = frozenset(word.removesuffix("s") for word in self._whole[name])
        known = self._stems[name]
        return frozenset(w for w in self.words(text) if w.removesuffix("s") in known)

    def nearest(self, text: str, most: int = 3) -> list[Match]:
        """The nearest names, best first; none where the nearest shares no whole word.

        Threes alone are then an accident: so it was for 5 of 5 phrases about something else, and
        for none of 96 about a symptom.
        """
        scores: dict[str, float] = {}
        for three, times in Counter(self.threes(text)).items():
            for name, worth in self._worth.get(three, ()):
                scores[name] = scores.get(name, 0.0) + min(times, 2) * worth
        scored = [Match(name, score) for name, score in scores.items()]
        scored.sort(key=lambda match: (-match.score, match.name))
        if scored and not self._whole[scored[0].name] & set(self.words(text)):
            return []
        return scored[:most]
