"""Which acts a printed line asks a person to do, by a list of phrases that was written blind."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

import yaml

from assistant.report.lines import Line

HERE = Path(__file__).resolve().parent
ASKING = ("question", "text", "caution", "found")
"""The kinds of lines that can ask for something. A choice says what was seen, not what to do."""

LISTS = re.compile(r"^(?:not looked at yet|not known|too close to tell|only .* can measure)", re.I)
"""Titles above lists of names: what follows them is no sentence."""

TOLD = re.compile(
    r"^(?:you said|tell the garage|if the answer is|if '|ruled out|what you said"
    r"|(?:what to do(?: now)?: )?if you are on the road|off the accelerator|press the brake firmly"
    r"|(?:possible|unlikely|most likely): |['\"])",
    re.I,
)
"""Lines that repeat what was said or would follow, and what a driver does on the road."""

NOTHING_ASKED = re.compile(
    r"^(?:never|do not|don't|nobody|no one)\b(?!.*(?::|\b(?:but|then|instead)\b))"  # all forbidden
    r"|only in the open air|only when standing"  # says where, not that it be done
    r"|^with the engine running, (?:was|were|did|how was)\b"  # from memory
    r"|^red oil lamp with the engine running:|\btakes away its light\b"  # what was heard or found
    r"|\bswitch does not switch the\b|\bhardly moves as the engine starts\b"
    r"|\bmight come on while you drive\b"
    r"|\bmat that could hold the pedal\b"
    r"|\b(?:was lit|lamp is on) with the engine running\b"  # what was found
    r"|\b(?:still|stays?) (?:on|there) with the engine\b"
    r"|\ba small dip just as the engine\b|\bthe next time you brake\b"
    r"|\bwhile driving\b|\bkey sticks\b"
    r"|\b(?:sit|sitting|seat) as you drive\b|\bcan boil over\b|\bready to drive\b"
    r"|^if (?:it|this|that|the car) must be moved\b",  # by whom it is carried
    re.I,
)
NOT_THIS = {
    "driven at all": re.compile(
        r"^select reverse, look in the mirrors\b|\bonly when it could drive off\b"
        r"|\bwhile you drive, and you lose your hold\b",
        re.I,
    ),
    "car moved": re.compile(
        r"\brock it (?:gently )?by (?:its body|the ball)\b|\bmove (?:away|everybody)\b"
        r"|\bpull(?: it)?(?: right)? (?:up|out)\b|\bpush it in\b|\bcome back by itself\b"
        r"|\bpush it sideways\b",
        re.I,
    ),
    "hand at a wheel": re.compile(r"\bspare wheel\b", re.I),
    "under the car": re.compile(
        r"\bfrom beside\b|\bfrom a step away\b|\bbelow the windscreen\b"
        r"|\blook under the (?:front|back) edge\b",
        re.I,
    ),
}
"""Sentences, and what in them is not that act, that the list takes for one: each was read."""

_SENTENCE = re.compile(r"(?<=[.!?])\s+")


@cache
def _patterns() -> dict[str, tuple[re.Pattern[str], tuple[re.Pattern[str], ...]]]:
    """For each act: what asks for it, as one pattern, and what shows that it is not asked."""
    read = yaml.load((HERE / "act_phrases.yaml").read_text("utf-8"), yaml.CSafeLoader)
    return {
        act: (
            re.compile("|".join(f"(?:{p})" for p in entry["asks"]), re.I),
            tuple(re.compile(p, re.I) for p in entry["not_asks"]),
        )
        for act, entry in read.items()
    }


@cache
def acts_of(sentence: str) -> tuple[str, ...]:
    """The acts that one sentence asks for."""
    if NOTHING_ASKED.search(sentence):
        return ()
    return tuple(
        act
        for act, (asks, denied) in _patterns().items()
        if asks.search(sentence)
        and not any(p.search(sentence) for p in denied)
        and not (act in NOT_THIS and NOT_THIS[act].search(sentence))
    )


@cache
def _acts_of_text(text: str) -> tuple[tuple[str, str], ...]:
    sentences = _SENTENCE.split(" ".join(text.split()))
    return tuple((act, sentence) for sentence in sentences for act in acts_of(sentence))


def asked_acts(lines: tuple[Line, ...]) -> list[tuple[str, str]]:
    """The acts that lines ask for, each with the sentence that does."""
    found: list[tuple[str, str]] = []
    listed = False
    for line in lines:
        if line.kind in ("title", "place"):
            listed = bool(LISTS.search(line.text))
        if not listed and line.kind in ASKING and not TOLD.match(line.text):
            found += _acts_of_text(line.text)
    return found
