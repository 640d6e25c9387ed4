"""The pieces of what was said of several like parts: which part, and what of it.

"1 ok 2 thin 3 and 4 can't see, rest fine" is four pieces. What is said behind the last of some
parts goes for all of them, what is said before the first likewise, and "them" for those before.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from assistant.reading.choices import ordinal
from assistant.reading.group_words import (
    ABSENT,
    ASIDE,
    BAD,
    FAULTS,
    GOOD,
    PLURAL,
    REFUSED,
    REST,
    THAN,
    THEM,
    WILL_NOT,
    is_plural,
    same,
    telling_words,
    vocabulary,
)
from assistant.reading.result import GroupItem, Unknown
from assistant.reading.text import FILLERS, HEDGES, NEGATIONS, fold, joined, near, words_of

Said = Literal["bad", "fine", "unknown", ""]
_JOINS = re.compile(r"(?:\s*(?:&|\+|\band\b|\bplus\b|\balso\b)\s*)+")
_CUTS = re.compile(
    r"\s*(?:[,;/]|[.?!](?=\s|$)|\bbut\b|\bthough\b|\bso\b|\bbecause\b|\bthen\b|"
    r"(?<=\bfine)\s(?=no\b)|(?<=\bgood)\s(?=no\b)|(?<=\bok)\s(?=no\b))\s*"
)
_LOOKING = re.compile(r"see|saw|reach|check|look|get|find|tell from")


@dataclass
class Piece:
    """Some words: the parts that they may mean, and what is said of them.

    said: "" where they only name. rest: they speak of all the others. before: what is said stands
    before the part that is named. joined: an "and" leads on from the piece before. apart: not even
    a comma does. them: it speaks of the parts before it, or of something else. named: a part is
    named, and not only what may be wrong with it.
    """

    words: list[str]
    candidates: list[int]
    said: Said = ""
    plural: bool = False
    sure: bool = True
    state: Unknown = "dont_know"
    rest: bool = False
    before: bool = False
    joined: bool = False
    apart: bool = False
    them: bool = False
    named: bool = True


def pieces_of(text: str, items: Sequence[GroupItem]) -> list[Piece]:
    """The pieces of a text that went through `spoken`, in order, with what each says."""
    found: list[Piece] = []
    for words, led_on, apart in _cut(THAN.sub("", text), items):
        piece = _piece(words, items)
        if piece is not None:
            piece.joined, piece.apart = led_on and bool(found), apart
            piece.sure = piece.sure and not words.startswith("no ")
            found.append(piece)
    listed = False
    for index in range(len(found) - 2, -1, -1):  # "4, 5 and 6 can't see": all three
        one, two = found[index], found[index + 1]
        listed = (listed or two.joined) and not (one.said or two.apart) and bool(one.candidates)
        listed = listed and (one.sure or one.joined)
        if listed and two.said and not two.before and two.candidates:
            one.said, one.state, one.sure = two.said, two.state, one.sure and two.sure
    for one, two in pairwise(found):  # "the rear disc is rusty and scored"
        same_part = set(one.candidates) & set(two.candidates)
        if two.joined and not two.named and same_part and len(same_part) < len(two.candidates):
            two.candidates = sorted(same_part)
    for one, two in pairwise(found):  # "can't see 5 and 6"
        if not two.said and two.joined and one.said and one.before:
            two.said, two.state, two.before = one.said, one.state, True  # "5, 6 and 7" too
        if one.candidates and not one.said and two.them and not two.joined:
            one.said, one.state, one.sure = two.said, two.state, False
    for piece in found:
        if not piece.said and not piece.them:
            piece.said = "bad"
    return found


def _cut(text: str, items: Sequence[GroupItem]) -> list[tuple[str, bool, bool]]:
    """The text cut where a new piece begins, but not inside the full name of a part; and whether
    an "and" leads on to it, or nothing at all."""
    labels = sorted({fold(item.label) for item in items}, key=len, reverse=True)
    for number, label in enumerate(labels):
        if len(label) > 2 and re.search(r",|;|/|\b(?:and|but|so|then)\b", label):
            text = text.replace(label, f" \x00{number}\x00 ")
    cut: list[tuple[str, bool, bool]] = []
    for clause in _CUTS.split(REST.sub(r" , \g<0>", text)):
        for index, joined_part in enumerate(_JOINS.split(clause)):
            for later, run in enumerate(_number_runs(joined_part)):
                cut.append((run, index > 0 and not later, later > 0))
    back = re.compile(r"\x00(\d+)\x00")
    named = [
        (back.sub(lambda m: labels[int(m[1])], run).strip(), one, two) for run, one, two in cut
    ]
    return [(words, led_on, apart) for words, led_on, apart in named if words.strip(" .!?")]


def _number_runs(clause: str) -> list[str]:
    """ "1 ok 2 ok 4 thin" has three pieces; "can't see 1" and "1 is out" have one."""
    runs: list[list[str]] = [[]]
    for word in clause.split():
        told = [w for w in runs[-1] if not w.isdigit()]
        if word.isdigit() and runs[-1] and runs[-1][0].isdigit() and told:
            runs.append([])
        runs[-1].append(word)
    return [" ".join(run) for run in runs]


def _piece(words: str, items: Sequence[GroupItem]) -> Piece | None:
    exact = [i for i, item in enumerate(items) if words_of(item.label) == words_of(words)]
    if len(exact) == 1:
        return Piece(list(words_of(words)), exact)
    absent = ABSENT.search(words)
    if absent:
        words = words[: absent.start()] + words[absent.end() :] + " out"
    refused = REFUSED.search(words)
    state: Unknown = "dont_know"
    before = False
    if refused:
        state = "cant_look" if _LOOKING.search(refused[0]) else "dont_know"
        before = not words[: refused.start()].strip(" .")
        words = words[: refused.start()] + " " + words[refused.end() :]
        words = re.sub(r"^\W*(?:now)?\W*(?:about|if|whether|which|any|:)?\W*", "", words)
    heard = list(words_of(words))
    content = telling_words(heard, items)
    told: Said = "unknown" if refused else _said(heard)
    rest = bool(REST.search(words))
    if rest:
        return Piece(heard, [], told, state=state, rest=True, before=before)
    every = told == "fine" and bool({"all", "everything", "both", "each", "every"} & set(heard))
    if every and not _meant(content, heard, items)[0]:
        return Piece(heard, [], "fine", sure=False, rest=True)
    if not content:
        them = bool(THEM & set(words.split())) or bool(refused) or told == "fine"
        if not set(heard) - FILLERS - {"so", "yes", "right"} and not refused:
            return None
        return Piece(heard, [], told, state=state, before=before, them=them)
    plural = bool(PLURAL & set(heard))
    several = not plural and is_plural(heard, items)
    plural = plural or several
    sure = not HEDGES & set(heard)
    candidates, plain = _meant(content, heard, items)
    sure = sure and plain and not absent and not (several and len(candidates) > 1)
    denied = bool(NEGATIONS & set(heard))
    good, bad = bool(GOOD & set(heard)) or heard[-1:] == ["on"], bool(BAD & set(heard))
    if denied and not good and not bad and not refused and heard[-1] != "not":
        if WILL_NOT.search(words) and candidates:
            return Piece(heard, candidates, "bad", plural, False)
        return _without(heard, candidates, plural, items)
    aside = not candidates and not told and bool(ASIDE.match(" ".join(heard)))
    sure = sure and not (good and bad)
    known = frozenset().union(*map(vocabulary, items))
    named = any(same(w) in known or same(w.removesuffix("s")) in known for w in content)
    return Piece(
        heard, candidates, told, plural, sure, state, False, before, them=aside, named=named
    )


def _without(
    heard: list[str], candidates: list[int], plural: bool, items: Sequence[GroupItem]
) -> Piece:
    """ "no cuts" of tyres is fine; "no middle one" names a part that is not there."""
    if heard[0] not in ("no", "none"):
        return Piece(heard, [], "fine", sure=False)
    if len(candidates) == len(items):
        return Piece(heard, candidates, "fine", True, False)
    single = {form for w in heard for form in (same(w), w.removesuffix("s"))} - FILLERS
    named = [i for i in candidates if single & vocabulary(items[i]) - FAULTS]
    if named:
        return Piece(heard, named, "bad", plural, sure=False)
    return Piece(heard, [], "fine", sure=False, them=not named)


def _said(heard: Sequence[str]) -> Said:
    """What words say of a part, if anything; "1 is not" says that it is bad."""
    words = set(heard)
    denied = bool(NEGATIONS & words)
    good, bad = bool(GOOD & words) or heard[-1:] == ["on"], bool(BAD & words)
    if heard[-1:] == ["not"] and not good:
        return "bad"
    if good or bad:
        return "fine" if (good and not denied) or (bad and denied and not good) else "bad"
    return ""


def _meant(
    content: Sequence[str], heard: Sequence[str], items: Sequence[GroupItem]
) -> tuple[list[int], bool]:
    """The parts that these words may mean, by place, number or name; and whether plainly."""
    numbers = [w for w in content if w.isdigit()]
    place = ordinal(content, len(items))
    if place is not None:
        return [place], True
    if numbers and len(numbers[0]) < 4:
        index = int(numbers[0]) - 1
        inside = 0 <= index < len(items) and len(set(numbers)) == 1
        return ([index] if inside else []), len(content) == 1
    return _named(list(content), list(heard), items)


def _named(
    content: list[str], heard: list[str], items: Sequence[GroupItem]
) -> tuple[list[int], bool]:
    """The parts that all of these words fit, and whether they fit plainly."""
    as_said = {joined(heard), joined(content)}
    by_name = [
        i
        for i, item in enumerate(items)
        if {joined(words_of(w)) for w in (item.label, *item.hear)} & as_said
    ]
    if by_name:
        return by_name, True
    known = [vocabulary(item) for item in items]
    every = frozenset().union(*known)
    used = [w for w in content if w in every or any(_alike(w, k) for k in every)]
    plain = len(used) == len(content) and all(w in every or w + "s" in every for w in used)
    fits = [i for i, v in enumerate(known) if all(w in v for w in used)]
    if not fits:
        fits = [i for i, v in enumerate(known) if all(any(_alike(w, k) for k in v) for w in used)]
    left = [w for w in content if w not in used and len(w) > 3 and not _is_state(w)]
    if len(fits) > 1 and left:
        fits = _telling(left, fits, items) or (fits if used else [])
    elif len(fits) > 1:
        fits = _telling([w for w in content if _is_state(w)], fits, items) or fits
    return fits if used or left else [], plain


def _telling(left: list[str], fits: list[int], items: Sequence[GroupItem]) -> list[int]:
    """Those of which other words tell what may be wrong: a nail is in a tyre, not in its rim."""
    hits = {i: sum(any(_alike(w, k) for k in items[i].tells) for w in left) for i in fits}
    top = max(hits.values())
    return [i for i in fits if hits[i] == top] if top else []


def _is_state(word: str) -> bool:
    return any(near(word, known) for known in GOOD | BAD)


def _alike(word: str, other: str) -> bool:
    """The same word in another form: "bouncing" and "bounces"."""
    if near(word, other) or (len(word) > 5 and word[:5] == other[:5]):
        return True
    if len(word) > 2 and other.startswith(word):
        return True
    return len(other) > 3 and word.startswith(other) and len(word) < len(other) + 4
