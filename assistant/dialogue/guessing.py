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
from assistant.dialogue.group_words import (
    BAD,
    BUT,
    GOOD,
    REFUSED,
    REST,
    SORRY,
    THAN,
    is_plural,
    same,
    vocabulary,
)
from assistant.dialogue.groups import group_of, understand_group
from assistant.dialogue.heard import CANT_LOOK, GroupHeard, GroupItem, Unclear, Understood
from assistant.dialogue.matching import Matcher
from assistant.dialogue.refusals import NOT_DOING_IT
from assistant.dialogue.wording import FILLERS, NEGATIONS, corrected, spoken, word_set, words_of
from assistant.knowledge.models import Question
from assistant.knowledge.ruleset import Ruleset, made_once

__all__ = ["better_guess", "guess", "guess_group", "has_shape"]

_CLAUSES = re.compile(
    r"\s*(?:[,;/]|[.!?](?=\s|$)|&|\+|"
    r"\b(?:and|n|but|also|plus|though|oh|so|because|then)\b)\s*"
)
_CLEARLY = 1.35
"""So many times the score of the next has the one that is meant. Ours, assumed."""
_ENOUGH = 7.2
"""A lower score than this is an accident: a short word that many have. Ours, assumed."""
_LONGEST = 300
_DIGITS = re.compile(r"[0-9]")
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


def better_guess(
    ruleset: Ruleset, question: Question, words: str, heard: Understood | Unclear
) -> Understood | None:
    """A guess in place of what a reader made of the words, where that knew less of them.

    It did where it understood nothing, or named fewer things than are guessed.
    """
    if isinstance(heard, Understood) and not (heard.answer.words or heard.answer.word):
        return None
    found = guess(ruleset, question, words)
    if found is None or isinstance(heard, Unclear):
        return found
    more = len(found.answer.words or ()) >= len(heard.answer.words or ())
    return found if more else None


def has_shape(words: str) -> bool:
    """Whether words count or correct the parts, or say "all but": what a reader knows better."""
    text = spoken(words)
    return any(p.search(text) for p in (_DIGITS, BUT, SORRY, REST))


def guess_group(ruleset: Ruleset, items: Sequence[GroupItem], words: str) -> GroupHeard | None:
    """Which parts words may mean, clause by clause; None where that tells nothing.

    What somebody could not or would not look at, without a name, are the parts that are not said
    to be fine: "not pushing it with my back, the springs look fine".
    """
    if len(words) > _LONGEST or _ONE_OF_THEM.search(words):
        return None
    matcher = _of_parts(ruleset, items)
    said: dict[str, set[int]] = {"bad": set(), "fine": set(), "unknown": set()}
    whole = refused = doubt = False
    for clause in _clauses(words):
        if NOT_DOING_IT.match(clause):
            refused = True
            continue
        heard = understand_group(clause, items)
        found = None
        if isinstance(heard, Unclear) or not (heard.sure or heard.unknown):
            found = _nearest_parts(matcher, clause, items)
        if found is not None:
            how = "fine" if found[1] else "bad"
            said["unknown" if REFUSED.search(clause) else how] |= found[0]
        elif isinstance(heard, GroupHeard) and not heard.all_unknown:
            said["bad"] |= set(heard.named)
            said["unknown"] |= set(heard.unknown)
            whole = whole or not (heard.named or heard.unknown)
        elif isinstance(heard, GroupHeard) or REFUSED.search(clause):
            refused = True
        else:
            doubt = doubt or bool(set(words_of(clause)) & (BAD | NEGATIONS))
    bad, unknown = said["bad"] - said["fine"], said["unknown"] - said["bad"]
    others = set(range(len(items))) - bad - unknown - said["fine"]
    if refused and not any(said.values()) and not whole:
        return GroupHeard((), (), True, CANT_LOOK, False, "cant_look")
    if refused and not unknown and said["fine"] and not whole:
        unknown, others = others, set()
    if bad or unknown:
        return group_of(bad, items, unknown, sure=False)
    if (whole or (said["fine"] and not others)) and not doubt and not refused:
        return group_of((), items, sure=False)
    return None


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
    said = set(map(same, words_of(words)))
    sides = said & _sides(items)
    found = [
        match
        for match in matcher.nearest(THAN.sub("", words), 2 * len(items))
        if sides <= vocabulary(items[int(match.name.split()[0])])
    ]
    if not found or found[0].score < _ENOUGH:
        return None
    best: dict[int, float] = {}
    for match in found:
        best.setdefault(int(match.name.split()[0]), match.score)
    top = found[0].score
    close = {index for index, score in best.items() if top < _CLEARLY * score}
    like = {items[index].question for index in close}
    if len(close) > 1 and (
        len(like) > 1 or not (is_plural(words_of(words), items) or said & _BOTH)
    ):
        return None
    return close, _well(said, found[0].name.endswith("fine"), items[min(close)])


def _well(said: set[str], fine: bool, item: GroupItem) -> bool:
    """Whether words say that a part is fine. fine: they are nearer to what is fine of it.

    "No drips" is fine, "no lock" is not there, "will not click" is not fine.
    """
    denied = said & NEGATIONS
    if denied and denied <= {"no", "none", "without"} and not said & GOOD:
        named = said - denied - FILLERS <= vocabulary(item)
        return not named and not fine
    if denied or said & BAD:
        return bool(said & BAD and denied and not said & GOOD)
    return fine or bool(said & GOOD)


def _sides(items: Sequence[GroupItem]) -> set[str]:
    """The words that tell the parts of one question apart: left, front, inner."""
    found: set[str] = set()
    for item in items:
        like = [vocabulary(other) for other in items if other.question == item.question]
        found |= set().union(*like) - frozenset(like[0]).intersection(*like)
    return found


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


_SAYS_LITTLE = word_set("red orange amber yellow green noise noises old new thing things bit lot")
"""Words that fit one choice by chance."""


def _matcher(ruleset: Ruleset, ways: Mapping[str, Sequence[str]]) -> Matcher:
    words = ruleset.words
    return Matcher(ways, words.same, _SAYS_LITTLE.union(words.idle)) if words else Matcher(ways)


@made_once
def _matchers(_: Ruleset) -> dict[str, Matcher]:
    """The matchers of one ruleset; made as they are needed."""
    return {}
