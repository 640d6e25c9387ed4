"""Reading which of several like parts are not right: "left one's out", "2 and 4", "both rear".

A part is known by its number and by any of its words; words that fit several parts name none
of them, unless "both", "all" or a plural says so.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from assistant.dialogue.choices import ordinal
from assistant.dialogue.group_words import (
    ALL_BAD,
    BAD,
    BUT,
    FINE,
    GOOD,
    HOW_MANY,
    NONE,
    ONLY_ONE,
    PLURAL,
    is_plural,
    same,
    telling_words,
    vocabulary,
)
from assistant.dialogue.heard import (
    CANT_LOOK,
    DONT_KNOW,
    GroupHeard,
    GroupItem,
    Unclear,
    Unknown,
    shortened,
)
from assistant.dialogue.refusals import refusal
from assistant.dialogue.wording import (
    FILLERS,
    HEDGES,
    NEGATIONS,
    clean,
    fold,
    joined,
    listed,
    near,
    spoken,
    words_of,
)

__all__ = ["understand_group"]


_LONGEST = 400


@dataclass
class _Part:
    """One piece of what was said: the parts it may mean, and what is said of them."""

    words: list[str]
    candidates: list[int]
    said_of: str  # "bad", "fine" or "unknown"
    plural: bool = False
    sure: bool = True
    state: Unknown = "dont_know"


def understand_group(words: str, items: Sequence[GroupItem]) -> GroupHeard | Unclear:
    """Which parts the words name as not right. Never raises."""
    words = clean(words)
    if not words or not items:
        return _unclear("Nothing was typed")
    if len(words) > _LONGEST:
        return _unclear("That is more than I can take in at once")
    text = spoken(words)
    exact = [i for i, item in enumerate(items) if fold(item.label) == fold(words)]
    if len(exact) == 1:
        return _heard(exact, items)
    plain = " ".join(words_of(text))
    numbers = _numbers(fold(words))
    if numbers:
        wrong = [n for n in numbers if not 1 <= n <= len(items)]
        if wrong:
            return _unclear(f"There is no number {wrong[0]}, only 1 to {len(items)}")
        return _heard([n - 1 for n in numbers], items)
    refused = refusal(text)
    if refused and refused.sure and refused.state != "not_fitted":
        echo = DONT_KNOW if refused.state == "dont_know" else CANT_LOOK
        return GroupHeard((), (), True, echo, True, refused.state)
    whole = _whole(plain, items)
    if whole is not None:
        return whole
    but = BUT.search(text)
    if but:
        return _but(words, text, but, items)
    if refused and refused.state == "cant_look" and not _any_named(plain, items):
        return GroupHeard((), (), True, CANT_LOOK, False, "cant_look")
    return _parts(words, text, items)


def _whole(plain: str, items: Sequence[GroupItem]) -> GroupHeard | Unclear | None:
    """Answers about all of the parts at once."""
    counted = re.fullmatch(r"(all(?: of them)?) (two|three|four|five|six|seven|eight)\b(.*)", plain)
    if counted and HOW_MANY[counted[2]] == len(items):
        plain = counted[1] + counted[3]
    if NONE.fullmatch(plain):
        return _heard([], items)
    if FINE.fullmatch(plain):
        both = plain.startswith("both") and len(items) != 2
        doubt = plain in ("on", "work", "light", "lights", "well") or plain.endswith("all right")
        return _heard([], items, sure=not (both or doubt))
    if plain in ("both", "both of them", "both out") and len(items) != 2:
        return _unclear("There are more than two", items, range(len(items)))
    if ALL_BAD.fullmatch(plain):
        return _heard(range(len(items)), items, sure=False)
    if ONLY_ONE.fullmatch(plain) and len(items) > 1:
        return _unclear("I do not know which one", items, range(len(items)))
    return None


def _but(
    words: str, text: str, but: re.Match[str], items: Sequence[GroupItem]
) -> GroupHeard | Unclear:
    """ "all fine but the left", "all but the left", "none but the left"."""
    rest = _parts(words, text[but.end() :], items, but_only=True)
    if isinstance(rest, Unclear):
        return rest
    before = text[: but.start("but")]
    said = set(words_of(before))
    denied = bool(said & NEGATIONS)
    if (said & (GOOD | {"on"}) and not denied) or (denied and not said & (GOOD | {"on"})):
        return rest
    if rest.unknown:
        return _unclear(f"I did not understand {shortened(words)}", items, range(len(items)))
    others = [i for i in range(len(items)) if i not in rest.named]
    return _heard(others, items, sure=False)


def _parts(
    words: str, text: str, items: Sequence[GroupItem], but_only: bool = False
) -> GroupHeard | Unclear:
    parts = [part for piece in _pieces(text, items) if (part := _part(piece, items))]
    if not parts:
        return _unclear(f"I did not understand {shortened(words)}", items, _nearest(text, items))
    for index, part in enumerate(parts):
        _settle(part, parts[:index] + parts[index + 1 :], items)
        if not part.candidates:
            if any(other.candidates for other in parts):
                why = f"I did not understand {shortened(' '.join(part.words))}"
            else:
                why = f"I did not understand {shortened(words)}"
            return _unclear(why, items, _nearest(" ".join(part.words), items))
        if len(part.candidates) > 1 and not part.plural:
            return _unclear("More than one may be meant", items, part.candidates)
        if "both" in part.words and len(part.candidates) != 2:
            return _unclear("I do not know which two", items, part.candidates)
    if all(p.said_of == "fine" and len(p.candidates) == len(items) for p in parts):
        return _heard([], items, sure=False)
    named = {i for p in parts if p.said_of == "bad" for i in p.candidates}
    unknown = {i for p in parts if p.said_of == "unknown" for i in p.candidates}
    fine = {i for p in parts if p.said_of == "fine" for i in p.candidates}
    if named & fine or named & unknown or (not named and not unknown):
        why = "I heard which are fine, but not which are not" if fine and not named else ""
        return _unclear(why or f"I did not understand {shortened(words)}", items, named | unknown)
    sure = all(p.sure for p in parts) and not (fine and len(fine | named | unknown) < len(items))
    states: list[Unknown] = [p.state for p in parts if p.said_of == "unknown"]
    state = states[0] if states else "dont_know"
    return _heard(named, items, unknown, sure=sure, state=state)


def _pieces(text: str, items: Sequence[GroupItem]) -> list[str]:
    """The sentence cut at commas and "and", but not inside the full name of a part."""
    labels = sorted({fold(item.label) for item in items}, key=len, reverse=True)
    for number, label in enumerate(labels):
        if len(label) > 2 and re.search(r",|;|/|\band\b|\bbut\b", label):
            text = text.replace(label, f" \x00{number}\x00 ")
    pieces = re.split(r"[,;&+/]|\band\b|\bplus\b|\bbut\b|\. |\balso\b", text)
    return [
        re.sub(r"\x00(\d+)\x00", lambda m: labels[int(m[1])], piece).strip()
        for piece in pieces
        if piece.strip(" .!?")
    ]


def _part(piece: str, items: Sequence[GroupItem]) -> _Part | None:
    exact = [i for i, item in enumerate(items) if words_of(item.label) == words_of(piece)]
    if len(exact) == 1:
        return _Part(list(words_of(piece)), exact, "bad")
    refused = re.search(
        r"(?:do|did|can|could) not (?:know|tell|see|reach|check|look|remember|get to)|"
        r"not (?:sure|certain|known|checked)|no idea|unsure|unknown",
        piece,
    )
    state: Unknown = "dont_know"
    if refused:
        looking = re.search(r"see|reach|check|look|get to", refused[0])
        state = "cant_look" if looking else "dont_know"
        piece = piece[: refused.start()] + piece[refused.end() :]
        piece = re.sub(r"^\W*(?:now)?\W*(?:about|if|whether|which|:)?\W*", "", piece)
    heard = list(words_of(piece))
    plural = bool(PLURAL & set(heard)) or is_plural(heard)
    content = telling_words(heard, items)
    if not content:
        if not set(heard) - FILLERS - {"so", "yes", "right"} and not refused:
            return None
        return _Part(heard, [], "unknown" if refused else "bad", state=state)
    number = [w for w in content if w.isdigit()]
    place = ordinal(content, len(items))
    sure = not HEDGES & set(heard)
    if place is not None:
        candidates = [place]
    elif number and len(content) == 1 and len(number[0]) < 4:
        index = int(number[0]) - 1
        candidates = [index] if 0 <= index < len(items) else []
    else:
        candidates, plain = _candidates(content, heard, items)
        sure = sure and plain
    denied = bool(NEGATIONS & set(heard))
    good = bool(GOOD & set(heard)) or heard[-1] == "on"
    bad = bool(BAD & set(heard))
    said_of = (
        "unknown" if refused else "fine" if (good and not denied) or (bad and denied) else "bad"
    )
    if denied and not good and not bad and not refused and heard[-1] != "not":
        every = len(candidates) == len(items) and heard[0] in ("no", "none")
        return _Part(heard, candidates if every else [], "fine", every, False)
    if heard[-1] == "not" and not good:
        denied, bad = False, True
    if good and bad:
        sure = False
    return _Part(heard, candidates, said_of, plural, sure, state)


def _candidates(
    content: list[str], heard: list[str], items: Sequence[GroupItem]
) -> tuple[list[int], bool]:
    """The parts that all of these words fit, and whether they fit plainly."""
    by_name = [
        i
        for i, item in enumerate(items)
        if any(joined(words_of(w)) == joined(heard) for w in (item.label, *item.hear))
    ]
    if by_name:
        return by_name, True
    known = [vocabulary(item) for item in items]
    every = frozenset().union(*known)
    used = [w for w in content if w in every or any(near(w, k) for k in every)]
    plain = len(used) == len(content) and all(w in every or w + "s" in every for w in used)
    if not used:
        return [], False
    fits = [i for i, v in enumerate(known) if all(w in v for w in used)]
    if not fits:
        fits = [i for i, v in enumerate(known) if all(any(near(w, k) for k in v) for w in used)]
    return fits, plain


def _settle(part: _Part, others: list[_Part], items: Sequence[GroupItem]) -> None:
    """ "front left and right": the right one that shares most with what else was said."""
    if len(part.candidates) < 2 or part.plural:
        return
    clear = [items[o.candidates[0]] for o in others if len(o.candidates) == 1]
    taken = {o.candidates[0] for o in others if len(o.candidates) == 1}
    if not clear:
        return
    shared = {
        i: max(len(vocabulary(items[i]) & vocabulary(c)) for c in clear)
        for i in part.candidates
        if i not in taken
    }
    if not shared:
        return
    top = max(shared.values())
    best = [i for i, count in shared.items() if count == top]
    if len(best) == 1:
        part.candidates, part.sure = best, False


def _any_named(plain: str, items: Sequence[GroupItem]) -> bool:
    every = frozenset().union(*(vocabulary(item) for item in items))
    return any(same(w) in every and w not in FILLERS for w in plain.split())


_LIST = re.compile(
    r"(?:numbers?|no\.|nos\.?|#|just|only|it is|its)? ?#?[0-9]{1,3}\.?"
    r"(?:(?: ?(?:,|;|&|\+|/|\band\b|\bplus\b) ?)+(?:number |no\. ?|#)?[0-9]{1,3}| [0-9]{1,3})*"
    r"(?: (?:is|are) (?:out|not working|broken|dead|bad|off|gone)| out)?[.]?"
)


def _numbers(text: str) -> list[int]:
    if len(text) > 200 or not _LIST.fullmatch(text) or text == "0":
        return []
    return [int(n) for n in re.findall(r"[0-9]+", text)]


def _nearest(text: str, items: Sequence[GroupItem]) -> list[int]:
    words = [w for w in words_of(text) if w not in FILLERS][:20]
    hits = {
        i: sum(any(near(same(w), k) for k in vocabulary(item)) for w in words)
        for i, item in enumerate(items)
    }
    return sorted((i for i in hits if hits[i]), key=lambda i: -hits[i])


def _heard(
    named: Sequence[int] | set[int] | range,
    items: Sequence[GroupItem],
    unknown: set[int] | frozenset[int] = frozenset(),
    sure: bool = True,
    state: Unknown = "dont_know",
) -> GroupHeard:
    picks, gaps = tuple(sorted(set(named))), tuple(sorted(unknown))
    reason = DONT_KNOW if state == "dont_know" else CANT_LOOK
    parts = [items[i].label for i in picks] + [f"{reason}: {items[i].label}" for i in gaps]
    echo = ("; ".join(parts) if gaps else listed(parts)) or "none of them"
    return GroupHeard(picks, gaps, bool(gaps) and len(gaps) == len(items), echo, sure, state)


def _unclear(
    because: str, items: Sequence[GroupItem] = (), offers: Sequence[int] | set[int] | range = ()
) -> Unclear:
    shown = tuple(dict.fromkeys(items[i].label for i in sorted(offers)))[:3] if items else ()
    message = f"{because}: type the numbers or names of those that are not right, or all fine, "
    return Unclear(message + "or don't know.", shown)
