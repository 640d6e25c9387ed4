"""What words may mean that no reader understood, to be read back: "I read that as: ...".

The words are matched with the choices of the question as a worry is with the symptoms, by the
shared threes of letters (matching.py), where one choice comes out clearly before the others. Of a
group each clause is matched with what may be fine and what may be wrong of each part. Nothing that
is guessed here is kept before somebody has said yes to it.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from assistant.dialogue.choices import one, several
from assistant.dialogue.group_words import BAD, GOOD, REFUSED, is_plural
from assistant.dialogue.groups import group_of, understand_group
from assistant.dialogue.heard import GroupHeard, GroupItem, Understood
from assistant.dialogue.matching import Matcher
from assistant.dialogue.wording import NEGATIONS, corrected, spoken, words_of
from assistant.knowledge.models import Question
from assistant.knowledge.ruleset import Ruleset, made_once

__all__ = ["guess", "guess_group"]

_CLAUSES = re.compile(
    r"\s*(?:[,;/]|[.!?](?=\s|$)|&|\+|"
    r"\b(?:and|n|but|also|plus|though|oh|so|because|then)\b)\s*"
)
_CLEARLY = 1.35
"""So many times the score of the next has the one that is meant. Ours, assumed."""
_ENOUGH = 7.2
"""A lower score than this is an accident: a short word that many have. Ours, assumed."""
_LONGEST = 300
_BOTH = frozenset(("both", "all", "every", "each", "either", "they", "them", "sides"))
_ONE_OF_THEM = re.compile(
    r"\bone of (?:the|them|my|these|those)\b|"
    r"^(?:only |just )?one (?:\w+ )?(?:is|does|has|will|did)\b|^[0-9]+ or [0-9]+$",
    re.IGNORECASE,
)
"""Which one was not said."""


def guess(ruleset: Ruleset, question: Question, words: str) -> Understood | None:
    """The choice, or the choices, that words may mean; None where none is clearly the nearest."""
    if question.kind not in ("one_of", "some_of") or len(words) > _LONGEST:
        return None
    if _ONE_OF_THEM.search(words):
        return None
    matcher = _of_choices(ruleset, question)
    if question.kind == "one_of":
        found = _nearest(matcher, corrected(spoken(words)))
        return None if found is None else one(question, int(found), sure=False)
    picks = [_nearest(matcher, clause) for clause in _clauses(words)]
    named = {int(pick) for pick in picks if pick is not None}
    return several(question, named, sure=False) if named else None


def guess_group(ruleset: Ruleset, items: Sequence[GroupItem], words: str) -> GroupHeard | None:
    """Which parts words may mean; None where a clause is not understood and matches nothing."""
    if len(words) > _LONGEST or _ONE_OF_THEM.search(words):
        return None
    matcher = _of_parts(ruleset, items)
    bad: set[int] = set()
    unknown: set[int] = set()
    fine: set[int] = set()
    told = False
    for clause in _clauses(words):
        heard = understand_group(clause, items)
        if isinstance(heard, GroupHeard) and not heard.all_unknown:
            bad |= set(heard.named)
            unknown |= set(heard.unknown)
            told = True
            continue
        found = _nearest_parts(matcher, clause, items)
        if found is None:
            continue
        where, well = found
        if REFUSED.search(clause):
            unknown |= where
        elif well:
            fine |= where
        else:
            bad |= where
        told = True
    if not told or (not bad and not unknown and not fine):
        return None
    bad -= fine & bad
    return group_of(bad, items, unknown - bad, sure=False)


def _clauses(words: str) -> list[str]:
    text = corrected(spoken(words))
    return [part for part in _CLAUSES.split(text) if part and part.strip()]


def _nearest(matcher: Matcher, words: str) -> str | None:
    """The one name that is clearly the nearest."""
    found = matcher.nearest(words)
    if not found or found[0].score < _ENOUGH:
        return None
    if len(found) > 1 and found[0].score < _CLEARLY * found[1].score:
        return None
    return found[0].name


def _nearest_parts(
    matcher: Matcher, words: str, items: Sequence[GroupItem]
) -> tuple[set[int], bool] | None:
    """The parts that a clause is clearly about, and whether it says that they are fine.

    Like parts on two sides are both meant where no side is named: "springs look whole".
    """
    found = matcher.nearest(words, 2 * len(items))
    if not found or found[0].score < _ENOUGH:
        return None
    best: dict[int, float] = {}
    for match in found:
        best.setdefault(int(match.name.split()[0]), match.score)
    top = found[0].score
    close = {index for index, score in best.items() if top < _CLEARLY * score}
    like = {items[index].question for index in close}
    said = set(words_of(words))
    if len(close) > 1 and (
        len(like) > 1 or not (is_plural(words_of(words), items) or said & _BOTH)
    ):
        return None
    good, bad, denied = said & GOOD, said & BAD, said & NEGATIONS
    if good or bad or denied:
        return close, bool(good) and not bad and not denied
    return close, found[0].name.endswith("fine")


def _of_choices(ruleset: Ruleset, question: Question) -> Matcher:
    """The matcher of the choices of a question."""
    known = _matchers(ruleset)
    key = question.ask + question.label
    if key not in known:
        ways = {
            str(index): [choice.say, *choice.hear]
            for index, choice in enumerate(question.choices.values())
        }
        known[key] = _matcher(ruleset, ways)
    return known[key]


def _of_parts(ruleset: Ruleset, items: Sequence[GroupItem]) -> Matcher:
    """The matcher of what may be fine and what may be wrong of each part of a group."""
    known = _matchers(ruleset)
    key = " ".join(f"{item.question}@{item.at}" for item in items)
    if key not in known:
        ways: dict[str, list[str]] = {}
        for index, item in enumerate(items):
            question = ruleset.questions[item.question]
            name = [item.label, *item.hear]
            for word, choice in question.choices.items():
                how = "fine" if word == question.fine else "bad"
                said = [choice.say, *choice.hear]
                ways.setdefault(f"{index} {how}", [*name]).extend(said)
            ways.setdefault(f"{index} bad", [*name])
        known[key] = _matcher(ruleset, ways)
    return known[key]


def _matcher(ruleset: Ruleset, ways: Mapping[str, Sequence[str]]) -> Matcher:
    words = ruleset.words
    return Matcher(ways, words.same, words.idle) if words else Matcher(ways)


@made_once
def _matchers(_: Ruleset) -> dict[str, Matcher]:
    """The matchers of one ruleset; made as they are needed."""
    return {}
