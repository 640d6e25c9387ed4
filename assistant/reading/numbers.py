"""Reading a measured or counted number, with its unit, as a range in the question's unit."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from assistant.journal.entries import Answer
from assistant.reading.amounts import (
    AFTER_FIGURE,
    asked_for,
    meant,
    origin_words,
    own_words,
    plain_number,
    rounded,
    said_amount,
    unit_names,
    units_of,
    value_of,
)
from assistant.reading.figures import Figure, figures_in
from assistant.reading.forms import forms
from assistant.reading.number_shapes import OPERATORS, SHAPES
from assistant.reading.result import Unclear, Understood, unclear
from assistant.reading.text import NEGATIONS, words_of
from assistant.ruleset.models import Question

_STEP = 0.0001
_POWER = re.compile(r"\bto the (?!nearest)", re.IGNORECASE)
"""As in "ten to the six", which is no range."""
_BARE_HALF = re.compile(r"\W*(?:about |a )*(?:half|quarter)\W*", re.IGNORECASE)
"""Half of what was not said."""
_FORMS = forms("numbers")
_HARDLY = re.compile(_FORMS["hardly"], re.IGNORECASE)
"""Said before the figure: "hardly anything, maybe 5 mm"."""
_ZERO = re.compile(_FORMS["zero"])


@dataclass(frozen=True)
class _Reading:
    """lo..hi in the question's unit, and how it is said."""

    lo: float
    hi: float
    echo: str


def read_number_answer(words: str, question: Question) -> Understood | Unclear:
    """An answer to a quantity or count question that is not a refusal."""
    clauses = [words] if re.search(r"[0-9]", words) else words.split(",")
    first = clauses[0]
    zero = next(filter(None, (_ZERO.fullmatch(" ".join(words_of(c))) for c in clauses)), None)
    if zero and question.range and question.range[0] <= 0 <= question.range[1]:
        return _understood(
            _Reading(0, 0, said_amount(0, question)),
            question,
            zero[0] in ("zero", "nil") and first == words,
        )
    words = _HARDLY.sub("", words)
    if _POWER.search(words) or _BARE_HALF.fullmatch(words):
        return _no_number(words, question, "")
    figures, shape = figures_in(words, own_words(question))
    if any(f.faulty for f in figures):
        wrong = next(f.raw for f in figures if f.faulty)
        return _no_number(words, question, f'"{wrong[:20]}" is not a number I can take')
    sure = True
    values: list[float] = []
    units = units_of(figures, question, shape)
    for figure, unit in zip(figures, units, strict=True):
        found = value_of(figure, unit, question)
        if isinstance(found, str):
            return _no_number(words, question, found)
        value, certain = found
        sure = sure and certain
        values.append(rounded(value))
    if not values:
        return _no_number(words, question, "")
    rest, plain = _operators_only(shape, question)
    if rest is None:
        return _no_number(words, question, "I heard a number with a not beside it")
    sure = sure and plain
    for pattern, name in SHAPES:
        if pattern.fullmatch(rest):
            if problem := _outside(values, figures, units, question):
                return problem
            reading = _reading(name, rest, values, question)
            if reading is None:
                return unclear(words, question, because="There is nothing possible in that range")
            origin = origin_words(figures, units, question)
            return _understood(reading, question, sure, origin)
    low, high = question.range or (-1e7, 1e7)
    offers = (
        [said_amount(v, question) for v in dict.fromkeys(values) if low <= v <= high]
        if len(values) > 1
        else []
    )
    because = "I heard more than one number" if len(values) > 1 else ""
    return unclear(words, question, *offers, because=because)


def _understood(reading: _Reading, question: Question, sure: bool, origin: str = "") -> Understood:
    answer = Answer(lo=rounded(reading.lo), hi=rounded(reading.hi))
    return Understood(answer, reading.echo + origin, sure)


# shape ----------------------------------------------------------------------------------


def _operators_only(shape: str, question: Question) -> tuple[str | None, bool]:
    """The shape without words that do not matter, and whether those were all small ones.

    None when a "not" is left beside the number, because then it is not the answer.
    """
    plain = True
    kept: list[str] = []
    words = shape.split()
    for word in words:
        if word == "#" or word in OPERATORS:
            kept.append(word)
        elif (
            word not in AFTER_FIGURE
            and word not in tuple("?.,;!:")
            and not asked_for(word, question)
        ):
            plain = False
        if word in ("maybe", "probably", "perhaps", "possibly", "could", "might", "guess"):
            plain = False
    text = " ".join(kept)
    text = re.sub(r"\b(?:just|bit|little|touch|slightly)\b (?=#|between|at|up)", "", text)
    ends = r"(?:and|or|to|but|of|so|from|in|at|-|near|like|just|bit|little|plus|maybe|more|for)"
    trimmed = re.sub(rf"^(?:{ends} )+(?=#|between|about)|(?<=#)(?: (?:of|in|maybe))+$", "", text)
    for pattern, _ in SHAPES:
        if pattern.fullmatch(trimmed):
            return _checked(shape, trimmed), plain
    trimmed = re.sub(rf"(?<=#)(?: {ends})+$", "", trimmed)
    return _checked(shape, trimmed), False


def _checked(shape: str, kept: str) -> str | None:
    lost = set(shape.split()) & (NEGATIONS | {"n't"})
    return None if lost - set(kept.split()) else kept


def _reading(name: str, shape: str, values: list[float], question: Question) -> _Reading | None:
    low, high = question.range or (0.0, 1e7)
    value, last = values[0], values[-1]
    step = 1.0 if question.kind == "count" else _STEP
    if name == "between":
        return _range(min(values), max(values), question)
    if name == "inside":
        lo, hi = min(values), max(values)
        said = f"more than {plain_number(lo)} but less than {said_amount(hi, question)}"
        return _Reading(lo + step, hi - step, said) if hi - lo >= 2 * step else None
    if name == "either side":
        return _range(max(low, value - last), min(high, value + last), question)
    if name == "about or plain":
        if shape == "#":
            return _Reading(value, value, said_amount(value, question))
        return _range(*_about(value, question), question)
    if name == "just under":
        return _range(_about(value, question)[0], value, question)
    if name == "just over":
        return _range(value, _about(value, question)[1], question)
    said = said_amount(value, question)
    if name in ("under", "at most"):
        top = value - step if name == "under" else value
        words = "less than" if name == "under" else "at most"
        return _Reading(low, top, f"{words} {said}") if top >= low else None
    bottom = value + step if name == "over" else value
    words = "more than" if name == "over" else "at least"
    return _Reading(bottom, high, f"{words} {said}") if bottom <= high else None


def _range(lo: float, hi: float, question: Question) -> _Reading | None:
    if lo > hi:
        return None
    if rounded(lo) == rounded(hi):
        return _Reading(lo, lo, said_amount(lo, question))
    unit = f" {question.unit}" if question.unit else ""
    return _Reading(lo, hi, f"between {plain_number(lo)} and {plain_number(hi)}{unit}")


def _about(value: float, question: Question) -> tuple[float, float]:
    low, high = question.range or (0.0, 1e7)
    half = question.about if question.about else abs(value) / 10
    if question.kind == "count":
        half = max(1.0, round(half))
    half = half or (high - low) / 100
    return max(low, value - half), min(high, value + half)


def _no_number(words: str, question: Question, because: str) -> Unclear:
    if not because and question.unit:
        because = f"I did not find a number in that; the units here are {unit_names(question)}"
    return unclear(words, question, because=because)


def _outside(
    values: Iterable[float], figures: list[Figure], units: list[str], question: Question
) -> Unclear | None:
    """A refusal that says what is possible, when a value is not."""
    low, high = question.range or (-1e7, 1e7)
    for value, figure, unit in zip(values, figures, units, strict=True):
        if low <= rounded(value) <= high:
            continue
        if value > high:
            limit = f"more than {said_amount(high, question)}, the most I can take"
        else:
            limit = f"less than {said_amount(low, question)}, the least I can take"
        label = f"{question.label[:1].upper()}{question.label[1:]}"
        offers = meant(value, figure, unit, question)
        hint = f" Did you mean {' or '.join(offers)}?" if offers else f" Type {_span(question)}."
        return Unclear(f"{label}: {said_amount(value, question)} is {limit}.{hint}", tuple(offers))
    return None


def _span(question: Question) -> str:
    low, high = question.range or (0.0, 1e7)
    return f"a number from {plain_number(low)} to {said_amount(high, question)}"
