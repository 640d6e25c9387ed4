"""What worries the person, in their own words: dangers first, then the nearest symptoms to pick.

The words are kept as they were said. Nothing is picked for anybody: without a pick they go on the
sheet as they are.
"""

from __future__ import annotations

import datetime as dt
import re
from functools import lru_cache
from typing import TYPE_CHECKING

from rapidfuzz.distance import OSA

from assistant.dialogue.asking import Line
from assistant.dialogue.danger_words import dangers_told, plainly_comfort
from assistant.dialogue.matching import Match, Matcher
from assistant.dialogue.phrasing import pick_question
from assistant.dialogue.understanding import Unclear, understand
from assistant.dialogue.wording import spoken
from assistant.knowledge.journal import Answer, Entry, Picked, Worry
from assistant.knowledge.models import Question
from assistant.knowledge.ruleset import Ruleset, told
from assistant.reasoning.agenda import Prompt

if TYPE_CHECKING:
    from assistant.dialogue.talk import Talk

__all__ = [
    "dangers_in",
    "nearest",
    "no_worry",
    "sounds_like_worry",
    "take_pick",
    "take_worry",
    "worry_entries",
]

OFFERED = 3
CLEAR_SCORE = 24.0
"""From this score on, words that are no answer are taken for a worry, and asked about.

Ours, assumed."""


def nearest(ruleset: Ruleset, words: str) -> list[Match]:
    """The symptoms the words come nearest to, at most three, best first."""
    return _matcher(ruleset).nearest(words, OFFERED)


def _matcher(ruleset: Ruleset) -> Matcher:
    return _made(ruleset.digest, _Kept(ruleset))


class _Kept:
    """A ruleset that does not count when its matcher is looked up; its digest does."""

    def __init__(self, ruleset: Ruleset) -> None:
        self.ruleset = ruleset

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Kept)

    def __hash__(self) -> int:
        return 0


@lru_cache(maxsize=4)
def _made(digest: str, kept: _Kept) -> Matcher:
    words = kept.ruleset.words
    if words is None:
        return Matcher({})
    says = {name: symptom.say for name, symptom in kept.ruleset.symptoms.items()}
    phrases = {name: [says[name], *ways] for name, ways in words.words.items()}
    return Matcher(phrases, words.same, words.idle)


def dangers_in(ruleset: Ruleset, words: str) -> tuple[str, ...]:
    """The dangers that the words could mean; a slip of the finger in a longer word is forgiven."""
    if ruleset.words is None:
        return ()
    text = _plain_words(words)
    return tuple(
        name
        for name, danger in ruleset.words.ask_first.items()
        if any(_said(_plain_words(phrase), text) for phrase in danger.hear)
    )


@lru_cache(maxsize=1024)
def _plain_words(text: str) -> list[str]:
    return re.findall(r"[a-z]+", text.lower())


def _said(phrase: list[str], text: list[str]) -> bool:
    size = len(phrase)
    return any(
        all(_alike(one, two) for one, two in zip(phrase, text[i : i + size], strict=True))
        for i in range(len(text) - size + 1)
    )


def _alike(one: str, two: str) -> bool:
    """The same word, but for one slip after its first letter in a word of five or more."""
    return one == two or (
        len(one) > 4 and one[0] == two[0] and OSA.distance(one, two, score_cutoff=1) <= 1
    )


def no_worry(ruleset: Ruleset, words: str) -> bool:
    """Whether the words say that nothing worries the person, or that they cannot say."""
    plain = spoken(words).strip(" .!,;")
    phrases = ruleset.words.nothing if ruleset.words else []
    empty = {"no", "n", *(word for phrase in phrases for word in phrase.lower().split())}
    if set(re.findall(r"[a-z']+", plain)) <= empty:
        return True
    if plain.count(" ") > 3 or dangers_in(ruleset, words):
        return False
    heard = understand(words, _ANY, today=dt.date.min)
    return not isinstance(heard, Unclear) and heard.answer.state != "value"


_ANY = Question(
    ask="Is anything worrying you?",
    label="worry",
    kind="yes_no",
    place="here",
    how="Say it in your own words.",
    minutes=0.1,
)


def sounds_like_worry(ruleset: Ruleset, words: str) -> bool:
    """Whether words that are no answer come near enough to a symptom to ask about it."""
    if ruleset.words is None or words.count(" ") < 1:
        return False
    found = nearest(ruleset, words)
    return bool(found) and (found[0].score >= CLEAR_SCORE or bool(dangers_in(ruleset, words)))


def take_worry(talk: Talk, words: str, also: list[Entry]) -> None:
    """Keeps a worry, and says at once what to do if it is a danger."""
    rs = talk.ruleset
    entries = worry_entries(rs, words, talk.next_turn(), talk.clock())
    for name in dangers_in(rs, words):
        assert rs.words is not None
        talk.say(Line("caution", rs.words.ask_first[name].say))
    talk.keep([*also, *entries])
    if isinstance(entries[-1], Picked):
        talk.say(Line("aside", "I know nothing that sounds like that. It goes on the sheet in "
                               "your words, for a garage to look at."))  # fmt: skip


def worry_entries(
    ruleset: Ruleset, words: str, turn: int, when: str | None = None
) -> list[Worry | Picked]:
    """A worry with what it could be; placed as nothing known where nothing comes near."""
    dangers = (*dangers_told(ruleset, words), *dangers_in(ruleset, words))
    comfort = plainly_comfort(ruleset, words)
    offered = tuple(match.name for match in nearest(ruleset, words))
    worry = Worry(
        turn=turn, words=words[:2000], dangers=dangers, offered=offered, comfort=comfort, when=when
    )
    return [worry] if offered else [worry, Picked(turn=turn, of=turn, when=when)]


def take_pick(talk: Talk, prompt: Prompt, words: str) -> list[Entry] | None:
    """The entries for a pick, or None after saying what was not clear."""
    from assistant.dialogue.answering import confirmed, unclear

    assert prompt.worry is not None
    today = talk.now.state.context.today
    heard = understand(words, pick_question(talk.ruleset, prompt.worry), today=today)
    if isinstance(heard, Unclear):
        unclear(talk, heard)
        return None
    if not confirmed(talk, heard):
        return None
    turn, word = talk.next_turn(), heard.answer.word
    symptom = word if word in talk.ruleset.symptoms else None
    picked = Picked(
        turn=turn, of=prompt.worry.turn, symptom=symptom, words=words[:2000], when=talk.clock()
    )
    if symptom is None:
        talk.once_kept.append(
            Line("aside", "Then it goes on the sheet in your words. To try other words, "
                          "type: worry, and the words.")
        )  # fmt: skip
        return [picked]
    said = talk.said(turn, told(symptom), "", Answer(word="yes"), prompt.worry.words)
    return [said, picked]
