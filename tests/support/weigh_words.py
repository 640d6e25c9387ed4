"""Weighs words by the sentences they stand in: `python -m tests.support.weigh_words` writes
rulesets/gb-cars/weighed_words.txt anew.

The method is naive Bayes with the words that are there, and each two side by side; see Manning,
Raghavan and Schütze, Introduction to Information Retrieval (2008), chapter 13 (from memory). A
word's weight is the logarithm of how often it stands in sentences that tell a danger, over how
often in those that do not. Sentences that were left unread for one look (NEVER) are never weighed.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from math import log
from pathlib import Path

from assistant.dialogue.chat import WEIGHED_WORDS, terms_of

ROOT = Path(__file__).resolve().parent.parent.parent
TARGET = ROOT / "rulesets" / "gb-cars" / WEIGHED_WORDS
OUTSIDE = ROOT / "tests" / "outside_checks"
DIALOGUE = ROOT / "tests" / "dialogue"
DANGERS = (OUTSIDE / "danger_phrases.tsv", DIALOGUE / "danger_sayings.tsv")
HARMLESS = (
    OUTSIDE / "harmless_phrases.tsv",
    DIALOGUE / "harmless_sayings.tsv",
    OUTSIDE / "mild_phrases.tsv",
)
NEVER = "unseen 4"
FEWEST = 2
"""A word that stands in fewer sentences weighs nothing."""
SMALL = 0.4
"""Added to each count, so that a word seen in one kind alone weighs no endless amount."""
HEAD = (
    "# How much each word, or two side by side, tells of a danger (above nought) or of chat, in\n"
    "# hundredths of a natural logarithm. Made by `python -m tests.support.weigh_words`.\n"
)


def sentences(paths: Iterable[Path]) -> list[str]:
    """The texts of some files, but for those never to be weighed."""
    found = []
    for path in paths:
        lines = [ln.split("\t") for ln in path.read_text("utf-8").splitlines() if ln[:1] != "#"]
        rows = (dict(zip(lines[0], line, strict=True)) for line in lines[1:])
        found += [row["text"] for row in rows if row.get("half") != NEVER]
    return found


def weigh(dangers: list[str], harmless: list[str]) -> dict[str, int]:
    """The weight of each word that stands in enough of the sentences."""
    counts = [Counter(t for text in texts for t in terms_of(text)) for texts in (dangers, harmless)]
    told, chat = counts
    sizes = [len(texts) + 2 * SMALL for texts in (dangers, harmless)]
    return {
        term: round(100 * log((told[term] + SMALL) / sizes[0] * sizes[1] / (chat[term] + SMALL)))
        for term in sorted(told.keys() | chat.keys())
        if told[term] + chat[term] >= FEWEST
    }


def written(weights: dict[str, int]) -> str:
    """The file: the weight and the word, a line each; what weighs nothing is left out."""
    return HEAD + "".join(f"{weight} {term}\n" for term, weight in weights.items() if weight)


if __name__ == "__main__":
    TARGET.write_text(written(weigh(sentences(DANGERS), sentences(HARMLESS))), "utf-8")
