"""What words may mean that no reader understood, to be read back: "I read that as: ...".

The words are matched with the choices of the question as a worry is with the symptoms, by the
shared threes of letters (matching.py), where one choice comes out clearly before the others. Of a
group each clause is matched with what may be fine and what may be wrong of each part. Nothing that
is guessed here is kept before somebody has said yes to it.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping, Sequence, Set

from assistant.dialogue.choices import one, several
from assistant.dialogue.group_words import (
    BAD,
    BUT,
    GOOD,
    REFUSED,
    REST,
    SIDES,
    SORRY,
    THAN,
    is_plural,
    same,
    vocabulary,
)
from assistant.dialogue.groups import group_of, understand_group
from assistant.dialogue.heard import (
    CANT_LOOK,
    DONT_KNOW,
    GroupHeard,
    GroupItem,
    Unclear,
    Understood,
)
from assistant.dialogue.matching import Matcher
from assistant.dialogue.refusals import NOT_DOING_IT
from assistant.dialogue.understanding import ASKS_NOT
from assistant.dialogue.wording import (
    FILLERS,
    NEGATIONS,
    corrected,
    hedged,
    spoken,
    word_set,
    words_of,
)
from assistant.knowledge.journal import Answer
from assistant.knowledge.models import Question
from assistant.knowledge.ruleset import Ruleset, made_once

__all__ = ["beside", "better_guess", "guess", "guess_group", "has_shape", "names_one_of"]

_PARTS = re.compile(
    r"\s*(?:[,;/]|[.!?](?=\s|$)|"
    r"\b(?:but|though|oh|so|because|then|only(?= cos| because)|otherwise)\b)\s*"
)
_JOINED = re.compile(r"\s*(?:&|\+|\b(?:and|n|also|plus|or|nor)\b)\s*")
_CLEARLY = 1.35
"""So many times the score of the next has the one that is meant. Ours, assumed."""
_ENOUGH = 7.2
"""A lower score than this is an accident: a short word that many have. Ours, assumed."""
_LONGEST = 300
_DIGITS = re.compile(r"[0-9]")
_BOTH = frozenset(("both", "all", "every", "each", "either", "they", "them", "sides"))
_ONE_OF_THEM = re.compile(
    r"\bone of (?:the|them|my|these|those)\b|\b(?:couple|some|few) of (?:things|them|these)\b|"
    r"^(?:only |just )?one (?:\w+ )?(?:is|does|has|will|did)\b|^[0-9]+ or [0-9]+$",
    re.IGNORECASE,
)
"""Which one was not said."""
_COMFORT = GOOD | word_set(
    "lovely grand tidy plenty smashing spot brilliant great smooth smoothly normal ordinary nicely "
    "nice perfectly properly proper sweet usual lush champion mint cracking dandy belter"
)
_ALL_WELL = re.compile(
    rf"(?:(?:yes|they|it|are|is|just) )*(?:all|both)\b.*\b(?:{'|'.join(sorted(_COMFORT))}|come on|"
    r"came on|red|white|(?:as|like) (?:you|it|they) \w+)\b"
)
_TOO = re.compile(r"\b(?:too|as well|included|also)$")
_SEES_NOTHING = re.compile(
    r"\b(?:can|could) not see (?:anything|a thing|much|any of (?:it|them|that))\b"
)
_NOUN_NOES = word_set("no none nothing without nor neither")
_STAYED_DARK = NEGATIONS | word_set("dark out off dead missing stayed but except bar apart")
_CAME_ON = re.compile(
    r"\b(?:came|come|comes|coming|is|are|was|were|stayed|still|all) on\b|\b(?:fine|ok|did)$"
)
"""A lamp of which this is said is none of those that did not come on."""


def guess(ruleset: Ruleset, question: Question, words: str) -> Understood | None:
    """The choice, or the choices, that words may mean; None where none is clearly the nearest."""
    if question.kind not in ("one_of", "some_of") or len(words) > _LONGEST:
        return None
    if _ONE_OF_THEM.search(words):
        return None
    found = (_one_guessed if question.kind == "one_of" else _some_guessed)(ruleset, question, words)
    well = found is not None and (found.answer.words == () or found.answer.word == question.fine)
    if found is not None and well and question.safety and hedged(words):
        return Understood(Answer(state="dont_know"), DONT_KNOW, sure=False)
    return found


def _one_guessed(ruleset: Ruleset, question: Question, words: str) -> Understood | None:
    matcher = _of_choices(ruleset, question)
    found = _nearest(matcher, corrected(spoken(words)))
    if found is None:
        picks = {_nearest(matcher, clause) for clause in _clauses(words)} - {None}
        found = picks.pop() if len(picks) == 1 else None
    return None if found is None else one(question, int(found), sure=False)


def _some_guessed(ruleset: Ruleset, question: Question, words: str) -> Understood | None:
    """What each clause names; not what one denies, nor what one says is well.

    Where nothing is named, and things are denied or well, none is meant.
    """
    matcher = _of_choices(ruleset, question)
    asks_not = bool(ASKS_NOT.search(question.ask))
    denied: set[str] = set()
    named: list[str] = []
    well = doubt = 0
    for clause, noes in _clauses_with_noes(words):
        said = set(words_of(clause))
        found = _nearest(matcher, clause)
        if asks_not:
            named += [] if _CAME_ON.search(clause) and not noes else [clause]
        elif (noes or said & NEGATIONS) and not (found and _says_no(question, int(found))):
            denied |= {found} if found else {m.name for m in matcher.nearest(clause)[:1]}
            noun = bool(noes & _NOUN_NOES)
            well, doubt = well + noun, doubt + (not noun and found is None)
        elif (said & _COMFORT and not said & BAD) or clause == "all":
            well += 1
        else:
            named.append(clause)
    if asks_not and not _STAYED_DARK & set(words_of(words)):
        return None
    chosen: list[str] = []
    for clause in named:
        found = _nearest(matcher, clause, denied)
        if found and not any(
            matcher.shared(found, clause) <= matcher.shared(c, clause) for c in chosen
        ):
            chosen.append(found)
    if chosen:
        return several(question, map(int, chosen), sure=False)
    silent = all(set(words_of(clause)) <= FILLERS for clause in named)
    if well and not doubt and silent and not asks_not:
        return several(question, (), sure=False)
    return None


def _says_no(question: Question, index: int) -> bool:
    choice = list(question.choices.values())[index]
    return any(NEGATIONS & set(words_of(way)) for way in (choice.say, *choice.hear))


def _clauses_with_noes(words: str) -> list[tuple[str, set[str]]]:
    """The clauses, each with the "no" and "not" that go for it, also from before an "or"."""
    found: list[tuple[str, set[str]]] = []
    for part in _PARTS.split(corrected(spoken(words))):
        noes: set[str] = set()
        for piece in _JOINED.split(part):
            heard = set(words_of(piece))
            noes |= NEGATIONS & heard
            if heard:
                found.append((piece, set(noes)))
    return found


def beside(ruleset: Ruleset, question: Question, found: Understood, words: str) -> str | None:
    """What of the words the guessed choices have not: "but it clears" of "a rubber is split".

    None where they have fewer than three of the words, or less than half of those that tell
    something.
    """
    matcher = _of_choices(ruleset, question)
    picked = {found.answer.word, *(found.answer.words or ())}
    names = [str(i) for i, word in enumerate(question.choices) if word in picked]
    has = [w for w in words.split() if any(matcher.shared(name, w) for name in names)]
    left = [w for w in words.split() if w not in has]
    told = [w for w in left if matcher.words(w) and w.lower() not in FILLERS]
    return " ".join(left) if len(has) >= max(3, len(told)) else None


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


def names_one_of(words: str) -> bool:
    """Whether words say that it is one of several, and not which."""
    return bool(_ONE_OF_THEM.search(words))


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
    said: dict[str, set[int]] = {"bad": set(), "fine": set(), "unknown": set()}
    whole = refused = doubt = False
    refused_now = False
    for clause in _clauses(re.sub(r"\band all\b", "too", words)):
        refused_before, refused_now = refused_now, bool(REFUSED.search(clause))
        nothing = _SEES_NOTHING.search(clause) and not _forms(clause) & _sides(items)
        if NOT_DOING_IT.match(clause) or nothing:
            refused = True
            continue
        if whole and _TOO.search(clause) and not set(words_of(clause)) & (BAD | NEGATIONS):
            continue
        heard = understand_group(clause, items)
        found = None
        if isinstance(heard, Unclear) or not (heard.sure or heard.unknown):
            found = _nearest_parts(ruleset, clause, items)
            found = found or _nearest_parts(ruleset, clause, items, described=True)
        if found is not None:
            how = "fine" if found[1] else "bad"
            if refused_before and how == "bad" and not _names(clause, items):
                continue  # why it could not be seen
            said["unknown" if REFUSED.search(clause) else how] |= found[0]
        elif isinstance(heard, GroupHeard) and not heard.all_unknown:
            said["bad"] |= set(heard.named)
            said["unknown"] |= set(heard.unknown)
            whole = whole or not (heard.named or heard.unknown)
        elif isinstance(heard, GroupHeard) or REFUSED.search(clause):
            refused = True
        elif _ALL_WELL.match(clause) and not set(words_of(clause)) & (BAD | NEGATIONS):
            whole = True
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
    return [clause for clause, _ in _clauses_with_noes(words)]


def _nearest(matcher: Matcher, words: str, but: Collection[str] = ()) -> str | None:
    """The one name that is clearly the nearest, of all but some."""
    found = [match for match in matcher.nearest(words, 3 + len(but)) if match.name not in but]
    if not found or found[0].score < _ENOUGH:
        return None
    if len(found) > 1 and found[0].score < _CLEARLY * found[1].score:
        return None
    return found[0].name


def _nearest_parts(
    ruleset: Ruleset, words: str, items: Sequence[GroupItem], described: bool = False
) -> tuple[set[int], bool] | None:
    """The parts that a clause is clearly about, and whether it says that they are fine.

    Like parts on two sides are both meant where no side is named: "springs look whole".
    """
    said = _forms(words)
    sides = said & _sides(items)
    matcher = _of_parts(ruleset, items, described)
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
    item = items[min(close)]
    known = {w for text in _said_of_fine(ruleset, item) for w in words_of(text)}
    known |= {"off"} if "out" in known else set()
    return close, _well(said, found[0].name.endswith("fine"), item, known)


def _forms(words: str) -> set[str]:
    """The words, each also without an s at its end: "the driver's side"."""
    return {form for w in words_of(words) for form in (same(w), same(w.removesuffix("s")))}


def _names(clause: str, items: Sequence[GroupItem]) -> bool:
    """Whether a clause has a word of the name of a part, and not only of what may be wrong."""
    return any(_forms(clause) & vocabulary(item) - FILLERS - SIDES for item in items)


def _well(said: set[str], fine: bool, item: GroupItem, known: Set[str]) -> bool:
    """Whether words say that a part is fine. fine: they are nearer to what is fine of it.

    known: the words of what is fine of it, so that a lamp that goes out may be as it should be.
    "No drips" is fine, "no lock" is not there, "will not click" is not fine.
    """
    denied = said & NEGATIONS
    good, bad = bool(said & _COMFORT), bool(said & BAD - known)
    if denied and denied <= {"no", "none", "without"} and not good:
        named = said - denied - FILLERS <= vocabulary(item)
        return not named and not fine
    if denied or bad:
        return bad and bool(denied) and not good
    return fine or good


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


def _of_parts(ruleset: Ruleset, items: Sequence[GroupItem], described: bool) -> Matcher:
    """The matcher of what may be fine and what may be wrong of each part of a group.

    described: with the text of the group, which says at length what is fine.
    """
    known = _matchers(ruleset)
    key = " ".join(f"{item.question}@{item.at}" for item in items) + " described" * described
    if key not in known:
        ways: dict[str, list[str]] = {}
        for index, item in enumerate(items):
            question = ruleset.questions[item.question]
            name = [item.label, *item.hear]
            if described:
                ways[f"{index} fine"] = [*name, *_said_of_fine(ruleset, item)]
            for word, choice in question.choices.items():
                fine = word == question.fine or choice.say.startswith("only ")
                how = "fine" if fine else "bad"
                said = [choice.say, *choice.hear]
                ways.setdefault(f"{index} {how}", [*name]).extend(said)
            ways.setdefault(f"{index} bad", [*name])
        known[key] = _matcher(ruleset, ways)
    return known[key]


def _said_of_fine(ruleset: Ruleset, item: GroupItem) -> list[str]:
    """What the text of a group says of a part that is as it should be; not what it must not have.

    "Nothing hangs" is left out, for whoever says that something hangs would seem to say it too.
    """
    group = ruleset.groups.get(ruleset.questions[item.question].group or "")
    found: list[str] = []
    for line in group.how.splitlines() if group is not None else ():
        for sentence in re.split(r"(?<=[.])\s+(?=[A-Z])", line):
            name, colon, text = sentence.rpartition(": ")
            label = set(map(same, words_of(item.label)))
            if colon and not (_forms(name) - FILLERS) & label:
                continue
            found += [
                piece
                for piece in re.split(r"[;,]", text if colon else sentence)
                if not NEGATIONS & set(words_of(piece)) or piece.endswith("not meant.")
            ]
    return found


_SAYS_LITTLE = word_set("red amber yellow green noise noises old new thing things bit lot")
"""Words that fit one choice by chance."""


def _matcher(ruleset: Ruleset, ways: Mapping[str, Sequence[str]]) -> Matcher:
    words = ruleset.words
    return Matcher(ways, words.same, _SAYS_LITTLE.union(words.idle)) if words else Matcher(ways)


@made_once
def _matchers(_: Ruleset) -> dict[str, Matcher]:
    """The matchers of one ruleset; made as they are needed."""
    return {}
