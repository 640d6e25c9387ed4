"""Units beside figures, and amounts in the question's own unit."""

from __future__ import annotations

import math
from fractions import Fraction
from functools import lru_cache

from assistant.calculations.units import UNITS, UnknownUnit, WrongKind, convert
from assistant.reading.figures import Figure
from assistant.reading.number_shapes import OPERATORS
from assistant.reading.text import FILLERS, near, word_set, words_of
from assistant.ruleset.models import Question

# Units people forget to name, the likeliest first.
_COMMON = ("psi", "mm", "cm", "miles", "km", "bar", "kPa")
AFTER_FIGURE = FILLERS | word_set(
    """deep wide long thick left or but now today when each all both high across apart exactly
    precisely measured measures measure gauge says reads shows reading dead must down"""
)


def units_of(figures: list[Figure], question: Question, shape: str) -> list[str]:
    """The unit of each figure; one without a unit takes that of its neighbour."""
    said = [figure.unit if fits_unit(figure.unit, question) else "" for figure in figures]
    said = [_unit_word(unit, figure, question) for unit, figure in zip(said, figures, strict=True)]
    given = [unit for unit in said if unit]
    if len(set(given)) == 1 and len(figures) > 1:
        return [given[0]] * len(said)
    return said


def _unit_word(unit: str, figure: Figure, question: Question) -> str:
    if unit:
        return unit
    strange = (
        figure.unit if figure.unit not in AFTER_FIGURE | OPERATORS | own_words(question) else ""
    )
    if strange and question.kind == "count" and not _known_unit(strange):
        return ""
    if strange and not asked_for(strange, question):
        return strange
    if figure.inches and question.unit and kind_of(question.unit) == "length" and not strange:
        return "inches"
    return ""


def fits_unit(word: str, question: Question) -> bool:
    """Whether a word is the question's unit, or one that can be converted to it."""
    return bool(word and question.unit) and _fits(word, question.unit or "")


@lru_cache(maxsize=1024)
def _fits(word: str, unit: str) -> bool:
    if _own(word, unit):
        return True
    try:
        convert(1.0, word, unit)
    except ValueError:
        return False
    return True


def _own(word: str, unit: str) -> bool:
    small = unit.casefold()
    return word in (
        small,
        small + "s",
        small.removesuffix("s"),
        "%" if small == "percent" else small,
    )


def own_words(question: Question) -> frozenset[str]:
    """The question's unit in one and many; "min" is minutes where time is asked for."""
    return _own_words(question.unit) if question.unit else frozenset()


@lru_cache(maxsize=64)
def _own_words(unit: str) -> frozenset[str]:
    also = {"min"} if _fits("min", unit) else set()
    unit = unit.casefold()
    if kind_of(unit) == "temperature":
        also |= {"degree", "degrees", "deg"}
    return frozenset({unit, unit + "s", unit.removesuffix("s")} | also)


def _known_unit(word: str) -> bool:
    try:
        convert(1.0, word, word)
    except ValueError:
        return False
    return True


@lru_cache(maxsize=64)
def kind_of(unit: str) -> str:
    return next((u.kind for u in UNITS if unit.casefold() in (u.name.casefold(), *u.words)), "")


def value_of(figure: Figure, unit: str, question: Question) -> tuple[float, bool] | str:
    """A figure in the question's unit and whether that is certain; or why it cannot be."""
    own = question.unit or ""
    value = float(figure.value)
    if not math.isfinite(value):
        return "That is not a number I can take"
    certain = True
    if unit and not fits_unit(unit, question):
        spelt = [u.name for u in UNITS if any(len(unit) > 3 and near(unit, w) for w in u.words)]
        if spelt and fits_unit(spelt[0], question):
            unit, certain = spelt[0], False
        else:
            return _unknown_unit(unit, question)
    if question.kind == "count":
        certain = certain and not figure.thousands
        return (
            (value, certain)
            if value == int(value)
            else f"It has to be a whole number, not {plain_number(value)}"
        )
    if figure.other is not None and question.range:
        whole, decimal = (_converted(v, unit, own) for v in (value, float(figure.other)))
        if not question.range[0] <= whole <= question.range[1] >= decimal:
            return decimal, False
    if figure.thousands or (figure.inches and not figure.unit):
        certain = False
    return _converted(value, unit, own), certain


def _converted(value: float, unit: str, own: str) -> float:
    return value if not unit or _own(unit, own) else convert(value, unit, own)


def _unknown_unit(word: str, question: Question) -> str:
    if not question.unit:
        return f'This is a plain number, so it takes no unit such as "{word[:20]}"'
    word = word[:20]
    known = unit_names(question)
    try:
        convert(1.0, word, question.unit or "mm")
    except WrongKind:
        return f'"{word}" does not measure this; the units here are {known}'
    except UnknownUnit as error:
        if "could mean" in str(error):
            return f'"{word}" could mean more than one unit; the units here are {known}'
    return f'"{word}" is no unit I know; the units here are {known}'


def unit_names(question: Question) -> str:
    own = question.unit or ""
    kind = kind_of(own)
    names = [
        u.name for u in UNITS if kind and u.kind == kind and u.name not in (own, "metres", "ft")
    ]
    return ", ".join([own, *names]) if own else "none: it is a plain number"


def asked_for(word: str, question: Question) -> bool:
    spoken_of = (*words_of(question.ask), *words_of(question.label))
    return any(near(word, other) for other in spoken_of)


def rounded(value: float) -> float:
    return round(value, 4) + 0.0


def plain_number(value: float) -> str:
    """A number to four places, without needless zeros; commas from ten thousand on."""
    value = rounded(value)
    pattern = ",.4f" if abs(value) >= 10_000 else ".4f"
    return f"{value:{pattern}}".rstrip("0").rstrip(".")


def said_amount(value: float, question: Question) -> str:
    return f"{plain_number(value)} {question.unit}" if question.unit else plain_number(value)


def origin_words(figures: list[Figure], units: list[str], question: Question) -> str:
    """ " (from 22 psi)" for one figure given in another unit."""
    own = question.unit or ""
    if len(figures) != 1 or not fits_unit(units[0], question) or _own(units[0], own):
        return ""
    if convert(1.0, units[0], own) == 1.0:
        return ""
    name = next((u.name for u in UNITS if u.name.casefold() == units[0]), units[0])
    return f" (from {figures[0].raw} {name})"


def meant(value: float, figure: Figure, unit: str, question: Question) -> list[str]:
    """What may have been meant: another unit, or a lost decimal point."""
    low, high = question.range or (0.0, 1e7)
    offers: list[str] = []
    if not unit and question.unit and question.kind == "quantity":
        kind = kind_of(question.unit)
        for other in UNITS:
            if other.kind == kind and not _own(other.name.casefold(), question.unit):
                there = convert(float(figure.value), other.name, question.unit)
                if low < there <= high and other.name in _COMMON:
                    offers.append(f"{figure.raw} {other.name}")
    offers.sort(key=lambda offer: _COMMON.index(offer.split()[-1]))
    for factor in (Fraction(1, 10), Fraction(1, 100), Fraction(10)):
        near_by = value * float(factor)
        if low <= near_by <= high and near_by and (factor < 1) == (value > high):
            whole = near_by == int(near_by)
            if question.kind == "quantity" or whole:
                offers.append(said_amount(near_by, question))
    return list(dict.fromkeys(offers))[:3]
