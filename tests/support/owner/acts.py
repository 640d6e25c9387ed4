"""Which acts a printed line asks a person to do, by a list of phrases
that was written blind."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

import yaml

from assistant.dialogue.asking import Line

__all__ = ["acts_of", "asked_acts"]

HERE = Path(__file__).resolve().parent
ASKING = ("question", "text", "caution", "found")
"""The kinds of lines that can ask for something. A choice says what was seen, not what to do."""
TOLD = re.compile(
    r"^(?:you said|tell the garage|if the answer is|if '|ruled out|what you said)", re.I
)
NOTHING_ASKED = re.compile(
    r"^(?:never|do not|don't|nobody|no one)\b(?!.*(?::|\b(?:but|then|instead)\b))"  # all forbidden
    r"|only in the open air"  # says where, not that it be done
    r"|^move away\b|^move everybody\b"  # the person, not the car
    r"|^with the engine running, (?:was|were|did|how was)\b"  # from memory
    r"|look under the front edge|pull it up gently"  # an edge of a panel, or the bonnet
    r"|\bsit(?:ting)? as you drive\b"  # how one sits
    r"|\bcan boil over\b"  # what may happen
    r"|^if (?:it|this|that|the car) must be moved\b",  # by whom it is carried
    re.I,
)
"""Sentences that the list of phrases takes for an act, and that ask for none: each was read."""

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
        if asks.search(sentence) and not any(p.search(sentence) for p in denied)
    )


@cache
def _acts_of_text(text: str) -> tuple[tuple[str, str], ...]:
    sentences = _SENTENCE.split(" ".join(text.split()))
    return tuple((act, sentence) for sentence in sentences for act in acts_of(sentence))


def asked_acts(lines: tuple[Line, ...]) -> list[tuple[str, str]]:
    """The acts that lines ask for, each with the sentence that does."""
    found: list[tuple[str, str]] = []
    for line in lines:
        if line.kind in ASKING and not TOLD.match(line.text):
            found += _acts_of_text(line.text)
    return found
