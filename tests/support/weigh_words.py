"""Weighs words by the sentences they stand in: `python -m tests.support.weigh_words` writes
rulesets/gb-cars/word_weights.tsv anew.

The method is naive Bayes with the words that are there, and each two side by side; see Manning,
Raghavan and Schütze, Introduction to Information Retrieval (2008), chapter 13 (from memory). A
word's weight is the logarithm of how often it stands in sentences that tell a danger, over how
often in those that do not. Its kind is the kind of danger of which it tells at least SHARE, each
kind counted as if there were as many sentences of it as of any other. Sentences that were left
unread for one look (NEVER) are never weighed.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from math import log
from pathlib import Path

from assistant.reading.word_weights import WORD_WEIGHTS, Weight, terms_of

ROOT = Path(__file__).resolve().parent.parent.parent
TARGET = ROOT / "rulesets" / "gb-cars" / WORD_WEIGHTS
OUTSIDE = ROOT / "tests" / "outside_checks"
READING = ROOT / "tests" / "reading"
DANGERS = (OUTSIDE / "danger_phrases.tsv", READING / "danger_sayings.tsv")
HARMLESS = (
    OUTSIDE / "harmless_phrases.tsv",
    READING / "harmless_sayings.tsv",
    OUTSIDE / "mild_phrases.tsv",
)
NEVER = "unseen 6"
FEWEST = 2
"""A word that stands in fewer sentences weighs nothing."""
SMALL = 0.4
"""Added to each count, so that a word seen in one kind alone weighs no endless amount."""
LIGHT = 50
"""A word that weighs less, in hundredths, is left out."""
SHARE = 0.4
FEW_SENTENCES = 5
"""Added to the number of sentences of a kind, so that a kind with few is not made too much of."""
HEAD = (
    "# How much each word, or two side by side, tells of a danger (above nought) or of chat, in\n"
    "# hundredths of a natural logarithm; the kind of danger it tells of, and how strongly.\n"
    "# Made by `python -m tests.support.weigh_words`.\n"
)

Danger = tuple[str, str]
"""A kind and a sentence."""


def sentences(paths: Iterable[Path]) -> list[Danger]:
    """The sentences of some files with their kinds, but for those never to be weighed."""
    found = []
    for path in paths:
        lines = [ln.split("\t") for ln in path.read_text("utf-8").splitlines() if ln[:1] != "#"]
        rows = (dict(zip(lines[0], line, strict=True)) for line in lines[1:])
        found += [(r.get("kind", ""), r["text"]) for r in rows if r.get("half") != NEVER]
    return found


def weigh(dangers: list[Danger], harmless: list[Danger]) -> dict[str, Weight]:
    """The weight of each word that stands in enough of the sentences."""
    told, chat = _counts(dangers), _counts(harmless)
    sizes = [len(texts) + 2 * SMALL for texts in (dangers, harmless)]
    kinds = _by_kind(dangers)
    found = {}
    for term in sorted(told.keys() | chat.keys()):
        if told[term] + chat[term] < FEWEST:
            continue
        odds = (told[term] + SMALL) / sizes[0] * sizes[1] / (chat[term] + SMALL)
        weight = round(100 * log(odds))
        if abs(weight) >= LIGHT:
            found[term] = Weight(weight, *(kinds.get(term, ("", 0)) if weight > 0 else ()))
    return found


def _counts(sentences: list[Danger]) -> Counter[str]:
    return Counter(term for _, text in sentences for term in terms_of(text))


def _by_kind(dangers: list[Danger]) -> dict[str, tuple[str, int]]:
    """The kind that each word tells of, and the logarithm of how much oftener than of any other."""
    sizes = Counter(kind for kind, _ in dangers)
    rates: dict[str, dict[str, float]] = {}
    for kind, text in dangers:
        for term in terms_of(text):
            of = rates.setdefault(term, {})
            of[kind] = of.get(kind, 0.0) + 1 / (sizes[kind] + FEW_SENTENCES)
    found = {}
    for term, of in rates.items():
        kind = max(sorted(of), key=of.__getitem__)
        share = of[kind] / sum(of.values())
        if share >= SHARE:
            found[term] = (kind, round(100 * log(share * len(sizes))))
    return found


def written(weights: dict[str, Weight]) -> str:
    """The file, a line for each word."""
    rows = (f"{w.weight}\t{t}\t{w.kind}\t{w.pull or ''}\n" for t, w in weights.items())
    return HEAD + "".join(rows)


if __name__ == "__main__":
    TARGET.write_text(written(weigh(sentences(DANGERS), sentences(HARMLESS))), "utf-8")
