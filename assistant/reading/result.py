"""What comes out of reading a person's words: understood, or not."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from assistant.journal.entries import Answer
from assistant.ruleset.models import Question

Unknown = Literal["dont_know", "cant_look"]

DONT_KNOW = "don't know"
CANT_LOOK = "can't look now"
NOT_FITTED = "not fitted"
NONE_OF_THESE = "none of these"


@dataclass(frozen=True)
class Understood:
    """An answer. echo says it in plain words; sure=False where it must be confirmed first."""

    answer: Answer
    echo: str
    sure: bool = True


@dataclass(frozen=True)
class Unclear:
    """Not understood: one plain sentence, and up to three answers that may have been meant."""

    message: str
    offers: tuple[str, ...] = ()


@dataclass(frozen=True)
class GroupItem:
    """One of the parts that a group question asks about. tells: the words of what may be wrong."""

    question: str
    at: str
    label: str
    hear: tuple[str, ...] = ()
    tells: frozenset[str] = frozenset()


@dataclass(frozen=True)
class GroupHeard:
    """Which parts were named, by index; `unknown` are those said not to be known.

    all_unknown: nothing is known of any of them. state: why the unknown ones are not known.
    """

    named: tuple[int, ...]
    unknown: tuple[int, ...] = ()
    all_unknown: bool = False
    echo: str = ""
    sure: bool = True
    state: Unknown = "dont_know"


def possible(question: Question) -> str:
    """What may be typed in answer to a question, for the end of a sentence."""
    unit = f" {question.unit}" if question.unit else ""
    own = {
        "yes_no": ["yes", "no"],
        "one_of": ["the number or the words of one choice"],
        "some_of": ["the numbers or the words of those that apply", "none"],
        "quantity": [f"a number such as {_example(question)}{unit}", "a range"],
        "count": ["a whole number"],
        "date": ["a date such as 1 March 2015", "a month", "a year"],
        "note": ["a few words"],
    }[question.kind]
    also = [DONT_KNOW, "can't look"] + (
        question.absent[:1] or [NOT_FITTED] if question.not_fitted else []
    )
    return f"{', '.join([*own, *also[:-1]])} or {also[-1]}"


def unclear(words: str, question: Question, *offers: str, because: str = "") -> Unclear:
    """The usual refusal: what was not understood, why if known, and what can be typed."""
    start = because or f"I did not understand {shortened(words)}"
    return Unclear(f"{start}: type {possible(question)}.", tuple(dict.fromkeys(offers))[:3])


def shortened(words: str) -> str:
    """Somebody's words in quotation marks, cut to fit in a sentence."""
    return f'"{words}"' if len(words) <= 40 else f'"{words[:37].rstrip()}..."'


def _example(question: Question) -> str:
    low, high = question.range or (0.0, 10.0)
    middle = low + (high - low) / 4
    return f"{float(f'{middle:.2g}'):g}" if low <= float(f"{middle:.2g}") <= high else f"{low:g}"


@dataclass(frozen=True)
class NumbersHeard:
    """One answer for each item, in the order of the items; None where one was left out."""

    answers: tuple[Answer | None, ...]
    echo: str
    sure: bool
