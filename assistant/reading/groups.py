"""Reading which of several like parts are not right: "left one's out", "2 and 4", "both rear".

A part is known by its number and by any of its words; words that fit several parts name none
of them, unless "both", "all" or a plural says so.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from assistant.reading.corrections import in_the_end
from assistant.reading.group_pieces import Piece, pieces_of
from assistant.reading.group_words import (
    ALL_BAD,
    BUT,
    FINE,
    GOOD,
    HOW_MANY,
    NONE,
    ONLY_ONE,
    REST,
    same,
    vocabulary,
)
from assistant.reading.refusals import only_a_reason, refusal
from assistant.reading.result import (
    CANT_LOOK,
    DONT_KNOW,
    GroupHeard,
    GroupItem,
    Unclear,
    Unknown,
    shortened,
)
from assistant.reading.text import (
    FILLERS,
    NEGATIONS,
    PERIODS,
    clean,
    fold,
    hedged,
    listed,
    near,
    spoken,
    tidied,
    unhedged,
    word_set,
    words_of,
)

_LONGEST = 400
_FINE_CRACK = re.compile(r"\bfine(?= (?:crack|line|scratch|hairline))")
_COUNTED = re.compile(
    r"\b[0-9]{1,2} (?=(?:times?|new|old|clicks?|secs?|seconds?|minutes?|turns?|holes?|cracks?|"
    r"nuts?|bolts?|tyres?|wheels?|lamps?|lights?|belts?|springs?|bulbs?|seaters?|doors?|"
    rf"{PERIODS})\b)"
)
"""A number that counts something is not the number of a part."""
_A_SIZE = re.compile(r"[0-9]{3} ?/ ?[0-9]{2,3} ?(?:z?r|-)? ?[0-9]{2}\b([a-z0-9 ]*)")
_ALL_THE_SAME = re.compile(
    r"(?:(?:all|both|every one|they|are|is|of|them|say|says|the|it|same|four|tyres?|on|for|round|"
    r"at|each|corner|wheel|sides?|left|right) ?)*"
)
_NEITHER = re.compile(r"(\bnot\b[^,;.]*\b[0-9]{1,2}) or (?=[0-9])")
_GOES_ON = word_set("that it this does did will is has can would just")
"""With these begins what is said of the part before: "all but the left, it doesn't lock"."""
_SOMEBODYS_SIDE = re.compile(
    r"\b(drivers?|passengers?|left|right)(?: hand)? side\b(?! ?(?:lamp|light|repeater))"
)
_SO_IS = re.compile(r"\band so (?:is|are|does|do|has|have)\b")
_AS_WELL = re.compile(r" as well\b")
_GOES_BACK = re.compile(
    r"\b((?:wind|go|snap|spring|come|pull|slide|reel|roll|retract)(?:s|es|ing)?) back\b"
)
_MINE = re.compile(
    r"(?<!on )(?<!of )(?<!in )(?<!for )\bmine\b(?! (?:has|have|is not|does not|did not|never|too))|"
    r"\bmy (?:own )?(?:one|side)\b"
)
_A_LIGHT = re.compile(r"\b(side|fog|tail|stop|brake|plate|reversing|repeater)[ -]?lights?\b")


def understand_group(words: str, items: Sequence[GroupItem]) -> GroupHeard | Unclear:
    """Which parts the words name as not right. Never raises."""
    words = clean(words)
    if not words or not items:
        return _unclear("Nothing was typed")
    if len(words) > _LONGEST:
        return _unclear("That is more than I can take in at once")
    return in_the_end(words, lambda meant: _understood(meant, items))


def _understood(words: str, items: Sequence[GroupItem]) -> GroupHeard | Unclear:
    text = plain_parts(_NEITHER.sub(r"\1 and ", tidied(spoken(words))), items)
    text = _FINE_CRACK.sub("small", _A_LIGHT.sub(r"\1 lamp", text))
    if _all_of_one_size(text, items):
        return group_of([], items, sure=False)
    exact = [i for i, item in enumerate(items) if fold(item.label) == fold(words)]
    if len(exact) == 1:
        return group_of(exact, items)
    plain = " ".join(words_of(text))
    numbers = _numbers(tidied(fold(words)))
    if numbers == [0]:
        return group_of([], items)
    if numbers:
        wrong = [n for n in numbers if not 1 <= n <= len(items)]
        if wrong:
            return _unclear(f"There is no number {wrong[0]}, only 1 to {len(items)}")
        return group_of([n - 1 for n in numbers], items)
    refused = refusal(text)
    named = _any_named(plain, items)
    if refused and refused.sure and refused.state != "not_fitted":
        echo = DONT_KNOW if refused.state == "dont_know" else CANT_LOOK
        return GroupHeard((), (), True, echo, True, refused.state)
    if only_a_reason(text):
        return GroupHeard((), (), True, CANT_LOOK, False, "cant_look")
    whole = _whole(plain, items)
    if whole is not None:
        return whole
    if hedged(words) and isinstance(_whole(" ".join(words_of(unhedged(words))), items), GroupHeard):
        return GroupHeard((), (), True, DONT_KNOW, True, "dont_know")
    but = BUT.search(text)
    if but:
        return _but(words, text, but, items)
    if refused and refused.state == "cant_look" and not named and REST.search(text):
        return _unclear("I heard that something could not be looked at, but not what")
    if refused and refused.state == "cant_look" and not named:
        return GroupHeard((), (), True, CANT_LOOK, False, "cant_look")
    text = _COUNTED.sub("", text)
    return _told(words, pieces_of(text, items), text, items)


def plain_parts(text: str, items: Sequence[GroupItem]) -> str:
    """A text with "driver" for "driver's side" and, where it is one of the parts, for "mine"; and
    without a "back" or "well" that names nothing: "winds back", "as well"."""
    text = _SO_IS.sub("and", _AS_WELL.sub(" too", _SOMEBODYS_SIDE.sub(r"\1", text)))
    text = _GOES_BACK.sub(r"\1", text)
    if any("driver" in vocabulary(item) for item in items):
        text = _MINE.sub("driver", text)
    return text


def tells_two_sizes(words: str, items: Sequence[GroupItem]) -> bool:
    """Whether two sizes are named where it is asked which differ; then not all are fine."""
    sizes = set(re.findall(r"\b[0-9]{3}\b", words))
    return len(sizes) > 1 and all("differ" in item.label for item in items)


def _all_of_one_size(text: str, items: Sequence[GroupItem]) -> bool:
    """Whether one size is said of all, where it is asked which differ: "205/55 R16 all round"."""
    size = _A_SIZE.search(text)
    if size is None or not all("differ" in item.label for item in items):
        return False
    around = f"{text[: size.start()]} {size[1]} {text[size.end() :]}"
    return bool(_ALL_THE_SAME.fullmatch(" ".join(words_of(around))))


def _whole(plain: str, items: Sequence[GroupItem]) -> GroupHeard | Unclear | None:
    """Answers about all of the parts at once."""
    counted = re.fullmatch(r"(all(?: of them)?) (two|three|four|five|six|seven|eight)\b(.*)", plain)
    if counted and HOW_MANY[counted[2]] == len(items):
        plain = counted[1] + counted[3]
    if NONE.fullmatch(plain):
        return group_of([], items)
    if FINE.fullmatch(plain):
        both = plain.startswith("both") and len(items) != 2
        doubt = plain in ("on", "work", "light", "lights", "well") or plain.endswith("all right")
        return group_of([], items, sure=not (both or doubt))
    if plain in ("both", "both of them", "both out") and len(items) != 2:
        return _unclear("There are more than two", items, range(len(items)))
    if ALL_BAD.fullmatch(plain):
        return group_of(range(len(items)), items, sure=False)
    if ONLY_ONE.fullmatch(plain) and len(items) > 1:
        return _unclear("I do not know which one", items, range(len(items)))
    return None


def _but(
    words: str, text: str, but: re.Match[str], items: Sequence[GroupItem]
) -> GroupHeard | Unclear:
    """ "all fine but the left", "all but the left", "none but the left", "all but 3 are fine"."""
    behind = pieces_of(text[but.end() :], items)
    before = text[: but.start("but")]
    said = set(words_of(before))
    denied = bool(said & NEGATIONS)
    told = bool(said & (GOOD | {"on"})) != denied
    if not told and behind and all(p.said == "fine" and p.candidates for p in behind):
        for piece in behind:
            piece.said, piece.sure = "bad", False
        told = True
    behind = behind[:1] + [p for p in behind[1:] if p.words[0] not in _GOES_ON]
    rest = _told(words, behind, text, items)
    if isinstance(rest, Unclear) or told:
        return rest
    if rest.unknown or re.fullmatch(r"[0-9 ,]+", text[but.end() :]):
        return _unclear(f"I did not understand {shortened(words)}", items, range(len(items)))
    return group_of(rest.named, items, sure=False)


def _told(
    words: str, pieces: list[Piece], text: str, items: Sequence[GroupItem]
) -> GroupHeard | Unclear:
    """What the pieces say together."""
    if not pieces:
        return _unclear(f"I did not understand {shortened(words)}", items, _nearest(text, items))
    for index, piece in enumerate(pieces):
        _settle(piece, pieces[:index] + pieces[index + 1 :], items)
    naming = [p for p in pieces if p.candidates or p.rest]
    refusing = [p for p in pieces if p.said == "unknown"]
    if not naming and refusing and all(p.said == "unknown" or p.them for p in pieces):
        reason = DONT_KNOW if refusing[0].state == "dont_know" else CANT_LOOK
        return GroupHeard((), (), True, reason, False, refusing[0].state)
    if _is_all_fine(pieces, items):
        return group_of([], items, sure=False)
    for piece in pieces:
        if piece in naming or (piece.them and naming):
            continue
        said = shortened(" ".join(piece.words) if naming else words)
        return _unclear(
            f"I did not understand {said}", items, _nearest(" ".join(piece.words), items)
        )
    for piece in naming:
        if len(piece.candidates) > 1 and not piece.plural and piece.said == "bad":
            return _unclear("More than one may be meant", items, piece.candidates)
        two = len(naming) == 2 and all(len(p.candidates) == 1 for p in naming)
        if "both" in piece.words and not two and len(piece.candidates) != 2 and not piece.rest:
            return _unclear("I do not know which two", items, piece.candidates)
    sets = {
        said: {i for p in naming if p.said == said for i in p.candidates}
        for said in ("bad", "fine", "unknown")
    }
    named, fine, unknown = sets["bad"], sets["fine"], sets["unknown"]
    others = set(range(len(items))) - named - fine - unknown
    rests = [p for p in naming if p.rest]
    if len(rests) > 1 or (rests and rests[0].said == "bad") or named & fine or fine & unknown:
        return _unclear(f"I did not understand {shortened(words)}", items, named | unknown)
    if named & unknown:
        return _unclear(f"I did not understand {shortened(words)}", items, named | unknown)
    if rests and rests[0].said == "unknown":
        unknown, others = unknown | others, set()
    if not named and not unknown and not rests and fine != set(range(len(items))):
        why = "I heard which are fine, but not which are not" if fine else ""
        return _unclear(why or f"I did not understand {shortened(words)}", items, named | unknown)
    sure = all(p.sure for p in pieces) and all(p in naming for p in pieces)
    sure = sure and bool(named or rests) and (not fine or bool(rests) or not others)
    states: list[Unknown] = [p.state for p in naming if p.said == "unknown"]
    state = states[0] if states else "dont_know"
    return group_of(named, items, unknown, sure=sure and _plain(naming), state=state)


def _is_all_fine(pieces: list[Piece], items: Sequence[GroupItem]) -> bool:
    """Whether each piece says that something is fine, and together they speak of all parts."""
    if any(piece.said != "fine" for piece in pieces):
        return False
    named = {index for piece in pieces for index in piece.candidates}
    unnamed = [piece for piece in pieces if not piece.candidates]
    every = [piece for piece in unnamed if {"all", "everything", "any"} & set(piece.words)]
    return len(every) == len(pieces) or len(named) + len(unnamed) >= len(items) > 1


def _plain(naming: list[Piece]) -> bool:
    """Whether each piece means exactly one part, or says plainly that it means several."""
    return all(len(p.candidates) == 1 or p.plural for p in naming if p.candidates)


def _settle(piece: Piece, others: list[Piece], items: Sequence[GroupItem]) -> None:
    """ "front left and right": the right one that shares most with what else was said."""
    if len(piece.candidates) < 2 or piece.plural:
        return
    clear = [items[o.candidates[0]] for o in others if len(o.candidates) == 1]
    taken = {o.candidates[0] for o in others if len(o.candidates) == 1}
    if not clear:
        return
    shared = {
        i: max(len(vocabulary(items[i]) & vocabulary(c)) for c in clear)
        for i in piece.candidates
        if i not in taken
    }
    if not shared:
        return
    top = max(shared.values())
    best = [i for i, count in shared.items() if count == top]
    if len(best) == 1:
        piece.candidates, piece.sure = best, False


def _any_named(plain: str, items: Sequence[GroupItem]) -> bool:
    every = frozenset().union(*(vocabulary(item) for item in items))
    words = plain.split()
    return any(
        w.isdigit() or (w not in FILLERS and {same(w), w.removesuffix("s")} & every) for w in words
    )


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


def group_of(
    named: Sequence[int] | set[int] | range,
    items: Sequence[GroupItem],
    unknown: set[int] | frozenset[int] = frozenset(),
    sure: bool = True,
    state: Unknown = "dont_know",
) -> GroupHeard:
    """The parts that are not right, and those that are not known, with an echo of both."""
    picks, gaps = tuple(sorted(set(named))), tuple(sorted(unknown))
    reason = DONT_KNOW if state == "dont_know" else CANT_LOOK
    parts = [items[i].label for i in picks] + [f"{reason}: {items[i].label}" for i in gaps]
    if gaps and len(picks) + len(gaps) < len(items):
        parts.append("the rest fine")
    echo = ("; ".join(parts) if gaps else listed(parts)) or "none of them"
    return GroupHeard(picks, gaps, bool(gaps) and len(gaps) == len(items), echo, sure, state)


def _unclear(
    because: str, items: Sequence[GroupItem] = (), offers: Sequence[int] | set[int] | range = ()
) -> Unclear:
    shown = tuple(dict.fromkeys(items[i].label for i in sorted(offers)))[:3] if items else ()
    message = f"{because}: type the numbers or names of those that are not right, or all fine, "
    return Unclear(message + "or don't know.", shown)
