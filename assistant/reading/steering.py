"""What somebody wants who steers in words of their own: "give me the steps, please".

Words that are no answer and no plain command (commands.py) are matched with the phrases of
steering.tsv by shared threes of letters, so that a slip does no harm. They have to be made of the
words of such phrases, so that what tells something of the car is never taken for a command.
"""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

from rapidfuzz import fuzz

from assistant.reading.group_words import BAD, GOOD
from assistant.reading.matching import Matcher
from assistant.reading.refusals import NOT_DOING_IT, refusal
from assistant.reading.text import near, spoken, word_set

PHRASES = Path(__file__).with_name("steering.tsv")
UNSURE = "unsure"
LEFT = "what is left"
NO_STEERING = "-"
_CLEARLY = 1.12
"""So many times the score of the next has what is wanted. Ours, chosen on the phrases seen."""
_NEAR = 64
"""So near to one of the phrases are words that ask for something, of 100. Ours, chosen on the
phrases and answers seen: 4 of 1,208 answers would be taken for a wish."""
_NEAR_IN_PART = 80
"""So near is one clause among others. Ours, assumed."""
AS_SAID = 86
"""So near it is that phrase, but for a slip or a small word. Ours, assumed."""
_LONGEST = 16
_ROOM_FOR_ONE = 7
"""From so many words on, one may be strange. Ours, assumed."""
_CLAUSES = re.compile(r"[,;]|[.!?](?=\s|$)")
_POLITE = word_set(
    "please pls ok okay sorry just the a an now mate thanks cheers um er well right so naw nah no"
)


@cache
def _phrases() -> dict[str, list[str]]:
    """The phrases by what is wanted."""
    found: dict[str, list[str]] = {}
    for line in PHRASES.read_text("utf-8").splitlines():
        if not line.startswith("#"):
            name, _, phrase = line.partition("\t")
            found.setdefault(name, []).append(" ".join(_words(spoken(phrase))))
    return found


@cache
def _known() -> tuple[Matcher, frozenset[str]]:
    """The matcher of the phrases, and the words in those that want something."""
    phrases = _phrases()
    asking = (phrase for name, said in phrases.items() for phrase in said if name != NO_STEERING)
    return Matcher(phrases), _POLITE | {word for phrase in asking for word in _words(phrase)}


def wanted(words: str, at_least: float = _NEAR) -> str | None:
    """The name of the command that words ask for, "unsure" for don't know, "left" for how
    much is left; or None."""
    said = _words(spoken(words))
    if len(said) > _LONGEST:
        return None
    near = {name: _nearness(" ".join(said), name) for name in _phrases()}
    nearest = max(near, key=lambda name: near[name])
    matcher, known = _known()
    strange = [word for word in said if word not in known and not _slip(word, known)]
    if nearest == UNSURE and set(said) - known:
        return None  # "haven't got a lever" is not "haven't got a clue"
    if len(said) > 1 and near[nearest] >= AS_SAID:
        refuses = nearest == UNSURE and refusal(spoken(words)) is not None
        return None if nearest == NO_STEERING or refuses else nearest
    if len(said) < 2 or re.search(r"[0-9]", words) or refusal(spoken(words)):
        return None
    if len(strange) > (len(said) >= _ROOM_FOR_ONE):
        return None
    found = matcher.nearest(" ".join(said))
    if not found or (len(found) > 1 and found[0].score < _CLEARLY * found[1].score):
        return None
    if found[0].name == NO_STEERING or near[found[0].name] < at_least:
        return None
    return found[0].name


def _nearness(words: str, name: str) -> float:
    """How near words come to the nearest phrase that wants something: 0 to 100, by letters."""
    return max(fuzz.ratio(words, phrase) for phrase in _phrases()[name])


def wanted_in_part(words: str) -> str | None:
    """What one clause asks for beside others: "save it, I have to do the school run"."""
    clauses = [clause for clause in _CLAUSES.split(words) if clause.count(" ")]
    if any(refusal(spoken(clause)) or NOT_DOING_IT.search(spoken(clause)) for clause in clauses):
        return None
    asked = {wanted(clause, _NEAR_IN_PART) for clause in clauses} - {None, UNSURE}
    return asked.pop() if len(clauses) > 1 and len(asked) == 1 else None


def _words(text: str) -> list[str]:
    return re.findall(r"[a-z]+", text.replace("'", ""))


def _slip(word: str, known: frozenset[str]) -> bool:
    """Whether it is a known word but for a slip of the finger."""
    if len(word) < 4 or word in GOOD | BAD:
        return False
    return any(near(word, other) for other in known if len(other) > 3)
