"""What somebody wants who steers in words of their own: "give me the steps, please".

Words that are no answer and no plain command (commands.py) are matched with the phrases of
steering.tsv by shared threes of letters, so that a slip does no harm. They have to be made of the
words of such phrases, so that what tells something of the car is never taken for a command.
"""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

from assistant.dialogue.group_words import BAD, GOOD
from assistant.dialogue.matching import Matcher
from assistant.dialogue.refusals import refusal
from assistant.dialogue.wording import near, spoken, word_set

__all__ = ["LEFT", "UNSURE", "wanted"]

PHRASES = Path(__file__).with_name("steering.tsv")
UNSURE = "unsure"
LEFT = "left"
NO_STEERING = "-"
_CLEARLY = 1.12
"""So many times the score of the next has what is wanted. Ours, chosen on the phrases seen."""
_LONGEST = 16
_ROOM_FOR_ONE = 7
"""From so many words on, one may be strange. Ours, assumed."""
_CLAUSES = re.compile(r"[,;]|[.!?](?=\s|$)")
_POLITE = word_set(
    "please pls ok okay sorry just the a an now mate thanks cheers um er well right so"
)


@cache
def _known() -> tuple[Matcher, frozenset[str]]:
    """The phrases by what is wanted, and the words in those that want something."""
    phrases: dict[str, list[str]] = {}
    for line in PHRASES.read_text("utf-8").splitlines():
        if not line.startswith("#"):
            name, _, phrase = line.partition("\t")
            phrases.setdefault(name, []).append(spoken(phrase))
    asking = (phrase for name, said in phrases.items() for phrase in said if name != NO_STEERING)
    return Matcher(phrases), _POLITE | {word for phrase in asking for word in _words(phrase)}


def wanted(words: str) -> str | None:
    """The name of the command that words ask for, "unsure" for don't know, "left" for how
    much is left; or None. One clause may ask for it: "save it, I have to do the school run"."""
    found = _wanted(words)
    clauses = [clause for clause in _CLAUSES.split(words) if clause.count(" ") > 1]
    if found is None and len(clauses) > 1:
        asked = {_wanted(clause) for clause in clauses} - {None, UNSURE}
        found = asked.pop() if len(asked) == 1 else None
    return found


def _wanted(words: str) -> str | None:
    said = _words(spoken(words))
    if not 1 < len(said) <= _LONGEST or re.search(r"[0-9]", words) or refusal(spoken(words)):
        return None
    matcher, known = _known()
    strange = [word for word in said if word not in known and not _slip(word, known)]
    if len(strange) > (len(said) >= _ROOM_FOR_ONE):
        return None
    found = matcher.nearest(" ".join(said))
    if not found or (len(found) > 1 and found[0].score < _CLEARLY * found[1].score):
        return None
    return None if found[0].name == NO_STEERING else found[0].name


def _words(text: str) -> list[str]:
    return re.findall(r"[a-z]+", text.replace("'", ""))


def _slip(word: str, known: frozenset[str]) -> bool:
    """Whether it is a known word but for a slip of the finger."""
    if len(word) < 4 or word in GOOD | BAD:
        return False
    return any(near(word, other) for other in known if len(other) > 3)
