"""Reading several numbers at once: "5, 4.5", "both 5 mm", "front 5, rear about 4"."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from assistant.dialogue.heard import GroupItem, Unclear, Understood
from assistant.dialogue.understanding import clean, understand
from assistant.knowledge.journal import Answer
from assistant.knowledge.models import Question

__all__ = ["NumbersHeard", "understand_numbers"]

_ALL = re.compile(
    r"^(?:all|both|each|every one|everywhere)\b[\s:]*"
    r"|[\s,]*\b(?:each|all round|on all|on both|for all|for both|everywhere)$",
    re.IGNORECASE,
)
_SPLITS = (
    (re.compile(r"\s*(?:;|,(?=\s))\s*"), True),
    (re.compile(r"\s*(?:;|,(?=\s)|\band\b|\bthen\b|/(?=\s))\s*", re.IGNORECASE), True),
    (re.compile(r"\s*[,/]\s*"), False),
    (re.compile(r"\s+(?=[0-9])"), True),
)
"""Ways to part the numbers, and whether that way is sure: "5,4" may also mean 5.4."""


@dataclass(frozen=True)
class NumbersHeard:
    """One answer for each item, in the order of the items; None where one was left out."""

    answers: tuple[Answer | None, ...]
    echo: str
    sure: bool


def understand_numbers(
    words: str, items: Sequence[GroupItem], question: Question, *, today: date
) -> NumbersHeard | Unclear:
    """Reads one number an item, in order or by name; "all" or a refusal goes for every item."""
    words = clean(words)
    together = understand(_ALL.sub("", words), question, today=today)
    refused = isinstance(together, Understood) and together.answer.state != "value"
    if isinstance(together, Understood) and (refused or _ALL.search(words)):
        echo = f"all: {together.echo}"
        return NumbersHeard((together.answer,) * len(items), echo, together.sure)
    named, sure = _parted(words, items)
    if named is None:
        return _unclear(items, question)
    answers: list[Answer | None] = [None] * len(items)
    echoes: list[str] = []
    for index, part in sorted(named.items()):
        heard = understand(part, question, today=today)
        if isinstance(heard, Unclear):
            return Unclear(f"For {items[index].label}: {heard.message}", heard.offers)
        answers[index] = heard.answer
        echoes.append(f"{items[index].label} {heard.echo}")
        sure = sure and heard.sure
    return NumbersHeard(tuple(answers), "; ".join(echoes), sure)


def _parted(words: str, items: Sequence[GroupItem]) -> tuple[dict[int, str] | None, bool]:
    """The words for each item, by name or in order; None where they do not come out even."""
    best: dict[int, str] = {}
    in_order: tuple[dict[int, str] | None, bool] = (None, False)
    for splitter, sure in _SPLITS:
        parts = [part for part in splitter.split(words) if part]
        named = _by_name(parts, items) or {}
        best = max(best, named, key=len)
        if len(parts) == len(items) and in_order[0] is None:
            in_order = (dict(enumerate(parts)), sure)
    return (best, True) if best else in_order


def _by_name(parts: Sequence[str], items: Sequence[GroupItem]) -> dict[int, str] | None:
    """Parts that begin with the name of an item, or None if they do not all do so."""
    found: dict[int, str] = {}
    for part in parts:
        low = part.lower()
        hits: list[tuple[int, int]] = []
        for index, item in enumerate(items):
            ways = [item.at.replace("_", " "), item.label.lower(), *map(str.lower, item.hear)]
            ways += [w for w in item.at.split("_") if _only(w, items)]
            hits += [(len(way), index) for way in ways if low.startswith(way)]
        if not hits:
            return None
        length, index = max(hits)
        if index in found:
            return None
        found[index] = part[length:].strip(" :=-")
    return found


def _only(word: str, items: Sequence[GroupItem]) -> bool:
    """Whether a word stands in the name of one item only."""
    return sum(word in item.at.split("_") for item in items) == 1


def _unclear(items: Sequence[GroupItem], question: Question) -> Unclear:
    labels = ", ".join(item.label for item in items)
    unit = f" in {question.unit}" if question.unit else ""
    return Unclear(
        f"I need {len(items)} numbers{unit}, in this order: {labels}. "
        "Type them with commas between, or one number with 'all', or don't know."
    )
