"""What a trainer types at a step, understood loosely."""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum

from rapidfuzz import distance

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


_FORMS: dict[Wish, str] = {
    Wish.NEXT: r"n|next(?: (?:one|step|question|turn))?|continue|forwards?|"
    r"one (?:on|more)|proceed|step|and then",
    Wish.BACK: r"b|back|go back|backwards?|previous(?: (?:one|step|question))?|prev|before|"
    r"one back|step back|last one",
    Wish.ON: r"on|(?:go|carry|play|skip) on|play|go|skip|"
    r"(?:on )?(?:to (?:the )?)?next (?:conclusion|finding)",
    Wish.PAUSE: r"p|pause|pausing|pause on|(?:pause|stop) before (?:an? |the |each |every )?"
    r"(?:conclusions?|findings?)",
    Wish.COMPARE: r"compare(?: them| both| the two)?|comparison|side by side|difference|both|"
    r"what (?:is|are) the difference(?:s)?|differences",
    Wish.REJOIN: r"rejoin|join(?: again)?|main(?: line)?|leave (?:the )?branch|end (?:the )?branch|"
    r"(?:back|return) to (?:the )?(?:case|main line|original|journal|demo)|original",
    Wish.KNOWN: r"k|known?|(?:all )?(?:that|what) (?:is|do we) know(?:n)?|answers",
    Wish.FIRED: r"f|fired|(?:the |which )?rules (?:that |have )?fired|"
    r"what (?:has )?fired|firings?|order",
    Wish.ALMOST: r"a|almost|nearly|near misses|one (?:condition )?short|almost fired|"
    r"what (?:almost|nearly) fired|missing",
    Wish.PLAN: r"plan|what (?:is|comes) next|next questions|why this question|why",
    Wish.CAUSES: r"c|causes?|likely causes?|shares?|odds|what is behind it",
    Wish.URGENCY: r"u|urgency|urgencies|how urgent(?: is it)?|drive or not|can it be driven",
    Wish.STEPS: r"steps|list|questions|all (?:steps|questions)|contents|overview",
    Wish.HERE: r"here|again|show|this(?: step)?|where (?:am i|are we)|screen|repeat|redraw",
    Wish.PREDICT: r"predict(?:ions?)?|guess(?:es)?|bet|ask the class|ask (?:the )?learners?|quiz",
    Wish.REVEAL: r"reveal|show (?:the )?(?:answer|conclusion)s?|uncover",
    Wish.SCORES: r"scores?|marks|points|results|table|class",
    Wish.MORE: r"m|more|rest|page|next page|the rest",
    Wish.HELP: r"h|help|\?|commands|what can i (?:say|type|do)|options|menu",
    Wish.QUIT: r"q|quit|exit|stop|leave|end (?:the )?lesson|bye|finish|close|done",
}
_CALLED = {
    re.compile(r"(?:the |all )?facts?(?: so far)?"): Wish.KNOWN,
    re.compile(r"(?:the |all )?rules?"): Wish.FIRED,
    re.compile(r"(?:the )?agenda"): Wish.PLAN,
    re.compile(r"run(?: on| (?:to|until) .+)?"): Wish.ON,
}
"""What was once typed for some of them, or is typed elsewhere."""
_CLEAR = {wish: re.compile(form) for wish, form in _FORMS.items()}
_PAUSE_OFF = re.compile(
    r"(?:no|stop|end|do not|never) paus(?:e|es|ing)|paus(?:e|ing) (?:off|no more)|un-?pause"
)
_WITH_REST = [
    (Wish.JUMP, re.compile(r"(?:jump|goto|go to|g|j|step|question|turn|find|to)(?: to)?"
                           r"(?: (?:the )?(?:step|question|turn|number))?[ :]+(?P<rest>.+)")),
    (Wish.TRY, re.compile(r"(?:try|what if|branch|suppose|answer|say|instead|change)"
                          r"(?: (?:another|a different|the other) answer)?(?: (?:to|with))?"
                          r"(?:[ :,]+(?P<rest>.+))?")),
    (Wish.TRAIL, re.compile(r"(?:t|trail|trace|how|why|because|how come|where does)"
                            r"(?: (?:of|for|did|come|the|finding|number))*(?:[ :]+(?P<rest>.+))?")),
]  # fmt: skip
_ENDS = {"start": "0", "beginning": "0", "first": "0", "end": "last", "last": "last",
         "the end": "last", "the start": "0", "the beginning": "0"}  # fmt: skip
_POLITE = re.compile(
    r"^(?:(?:please|ok|okay|now|and|let us|let me|can (?:we|you|i)|could (?:we|you|i)|"
    r"show(?: me| us)?(?: the)?|see(?: the)?|give (?:me|us)(?: the)?|the)[ ,]+)+"
)


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
            takes = wish in (Wish.JUMP, Wish.TRY, Wish.TRAIL)
            if takes or not rest:
                return WishHeard(wish, rest if takes else "")
    return None
