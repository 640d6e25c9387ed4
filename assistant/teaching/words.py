"""What a trainer types at a step, understood loosely."""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum

from rapidfuzz import distance

from assistant.reading.forms import forms
from assistant.reading.text import clean, spoken


class Wish(StrEnum):
    """What is wished for at a step."""

    NEXT = "next"
    BACK = "back"
    JUMP = "jump"
    ON = "on"
    PAUSE = "pause"
    TRY = "try"
    COMPARE = "compare"
    REJOIN = "rejoin"
    KNOWN = "known"
    FIRED = "fired"
    ALMOST = "almost"
    PLAN = "plan"
    CAUSES = "causes"
    URGENCY = "urgency"
    TRAIL = "trail"
    STEPS = "steps"
    HERE = "here"
    PREDICT = "predict"
    REVEAL = "reveal"
    SCORES = "scores"
    MORE = "more"
    HELP = "help"
    QUIT = "quit"


HELP_ROWS = (
    ("next, back", "one step on, one step back; an empty line is next"),
    ("jump 12, or jump brake fluid", "to a question, by its number or its words"),
    ("on", "on to the next conclusion"),
    ("pause, pause off", "stop before each conclusion, and ask the class first"),
    ("predict", "learners say what they expect, by name; scored when it is shown"),
    ("reveal", "show what was predicted beside what the rules conclude"),
    ("try, and another answer", "go on from here with another answer, as a branch"),
    ("compare, rejoin", "both outcomes beside each other; back to the case as it was"),
    ("known, fired, almost", "what is known; what fired, in order; what is one condition short"),
    ("plan, causes, urgency", "what would be asked next and why; shares; how urgency changed"),
    ("trail 1, or trail and words", "how a finding came about, down to the words"),
    ("steps, here, more", "all questions; this step again; the rest of a long screen"),
    ("scores", "how the class has done"),
    ("quit", "leave"),
)


@dataclass(frozen=True)
class WishHeard:
    """A wish and the words after it."""

    wish: Wish
    rest: str = ""


_FORMS = forms("lesson")
_TAKES_WORDS = (Wish.JUMP, Wish.TRY, Wish.TRAIL)

_CALLED = {
    re.compile(_FORMS[f"{wish}_called"]): wish
    for wish in (Wish.KNOWN, Wish.FIRED, Wish.PLAN, Wish.ON)
}
"""What was once typed for some of them, or is typed elsewhere."""
_CLEAR = {wish: re.compile(_FORMS[wish]) for wish in Wish if wish not in _TAKES_WORDS}
_PAUSE_OFF = re.compile(_FORMS["pause_off"])
_WITH_REST = [(wish, re.compile(_FORMS[wish])) for wish in _TAKES_WORDS]
_ENDS = {"start": "0", "beginning": "0", "first": "0", "end": "last", "last": "last",
         "the end": "last", "the start": "0", "the beginning": "0"}  # fmt: skip
_POLITE = re.compile(_FORMS["polite"])


def wish_of(words: str) -> WishHeard | None:
    """What is wished for, or None where it cannot be told. An empty line is next."""
    text = spoken(clean(words)).strip(" .!,;")
    if not text:
        return WishHeard(Wish.NEXT)
    text = re.sub(r"[ ,]+(?:please|thanks|then|now)$", "", text)
    if text in _ENDS:
        return WishHeard(Wish.JUMP, _ENDS[text])
    number = re.fullmatch(r"(?:number |no\.? ?|#)?([0-9]{1,4})", text)
    if number:
        return WishHeard(Wish.JUMP, number[1])
    bare = text.rstrip(" ?") or text
    forms = (bare, _POLITE.sub("", bare))
    if any(_PAUSE_OFF.fullmatch(form) for form in forms):
        return WishHeard(Wish.PAUSE, "off")
    for form in forms:
        for wish, pattern in _CLEAR.items():
            if pattern.fullmatch(form):
                return WishHeard(wish)
    for form in forms:
        for wish, pattern in _WITH_REST:
            if found := pattern.fullmatch(form):
                rest = (found["rest"] or "").strip()
                return WishHeard(wish, _ENDS.get(rest, rest) if wish is Wish.JUMP else rest)
    return _misspelt(bare)


def called_here(words: str) -> Wish | None:
    """What is wished for by a word that is another here."""
    text = _POLITE.sub("", spoken(clean(words)).strip(" .!,;?"))
    return next((wish for form, wish in _CALLED.items() if form.fullmatch(text)), None)


def _misspelt(text: str) -> WishHeard | None:
    """A command word with one slip of the finger; words of four letters and more only."""
    first, _, rest = text.partition(" ")
    if len(first) < 4:
        return None
    for wish in Wish:
        if len(wish.value) >= 4 and distance.OSA.distance(wish.value, first, score_cutoff=1) <= 1:
            takes = wish in _TAKES_WORDS
            if takes or not rest:
                return WishHeard(wish, rest if takes else "")
    return None
