"""Whether a sentence sounds like chat, by how its words are used: a danger in it is asked about.

"My nan says one door closes and another opens" has the words of a danger. What tells it apart is
the company they keep. weighed_words.txt has a weight for each word, and each two words side by
side: how much oftener it stands in sentences that tell a danger (above nought) than in chat. The
weights of a sentence are added up, as naive Bayes does (tests/support/weigh_words.py makes them,
and names the source).
"""

from __future__ import annotations

import re
from itertools import pairwise
from pathlib import Path

from assistant.dialogue.wording import fold
from assistant.knowledge.ruleset import Ruleset, made_once

__all__ = ["IS_IT_A_WORRY", "WEIGHED_WORDS", "sounds_like_chat", "terms_of"]

IS_IT_A_WORRY = "Is that something that worries you about the car?"
WEIGHED_WORDS = "weighed_words.txt"
"""A weight in hundredths, and a word or two, on each line, beside the ruleset's files; # is a
note."""
_A_SENTENCE = 5
"""Fewer words than these are a cry, and never chat. Ours, assumed."""
_CHAT = -150
"""From this weight down it is chat: four or five times as likely as a danger, e to the 1.5. Ours,
chosen on sentences that had been left out of the weighing."""


def sounds_like_chat(ruleset: Ruleset, words: str) -> bool:
    """Whether a sentence sounds so little like a danger that it is asked about first."""
    if words.count(" ") < _A_SENTENCE - 1:
        return False
    weights = _weights(ruleset)
    return sum(weights.get(term, 0) for term in terms_of(words)) <= _CHAT


def terms_of(words: str) -> set[str]:
    """The words of a sentence, and each two that stand side by side; without apostrophes."""
    single = re.findall(r"[a-z0-9]+", fold(words).replace("'", ""))
    return {*single, *(" ".join(pair) for pair in pairwise(single))}


@made_once
def _weights(ruleset: Ruleset) -> dict[str, int]:
    return read_weights(ruleset.folder / WEIGHED_WORDS)


def read_weights(path: Path) -> dict[str, int]:
    """The weights of a file; none where there is no such file."""
    try:
        lines = path.read_text("utf-8").splitlines()
    except (OSError, UnicodeDecodeError):
        return {}
    rows = (line.split(" ", 1) for line in lines if line and not line.startswith("#"))
    return {term: int(weight) for weight, term in rows}
