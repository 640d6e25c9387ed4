"""One table of the units people type, and conversion between them.

Factors are exact fractions, so a decimal that a person types stays that decimal: 0.29 cm is 2.9 mm
and not a hair above it. Factors are definitions (international inch, pound and mile, standard
gravity), from memory; a test compares them with an independent library. A month and a year are
the mean ones of the calendar.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from fractions import Fraction
from typing import overload

from assistant.calculations.interval import Interval

# The unit the tool computes in, for each kind of quantity.
BASE_UNITS = {
    "length": "mm",
    "pressure": "bar",
    "distance": "km",
    "mass": "kg",
    "force": "N",
    "temperature": "C",
    "voltage": "V",
    "speed": "km/h",
    "duration": "days",
    "volume": "litres",
    "share": "percent",
}


class UnknownUnit(ValueError):
    """The word is no unit in the table, or could mean more than one of them."""


class WrongKind(ValueError):
    """Both units are known but measure different things."""


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit: value in base units = value * factor + offset."""

    name: str
    kind: str
    factor: Fraction
    words: frozenset[str]
    offset: Fraction


_INCH = Fraction("25.4")
_MILE = Fraction("1609.344") / 1000
_POUND = Fraction("0.45359237")
# In m/s2, by definition.
STANDARD_GRAVITY = Fraction("9.80665")
_PSI = _POUND * STANDARD_GRAVITY / (_INCH / 1000) ** 2 / 100_000
_YEAR = Fraction("365.2425")


def _unit(name: str, kind: str, factor: Fraction | int, words: str, offset: str = "0") -> Unit:
    known = frozenset(_key(word) for word in [name, *words.split(", ")])
    return Unit(name, kind, Fraction(factor), known, Fraction(offset))


def _key(word: str) -> str:
    """Fold case and typographic signs; drop spaces, full stops, hyphens and the degree sign."""
    folded = word.casefold().translate(str.maketrans("″”’²", '""\'2'))
    return re.sub(r"[\s.°\-]", "", folded)


UNITS = (
    _unit(
        "mm",
        "length",
        1,
        "mms, mil, mils, millimetre, millimetres, millimeter, millimeters",
    ),
    _unit("cm", "length", 10, "cms, centimetre, centimetres, centimeter, centimeters"),
    _unit("metres", "length", 1000, "metre, meter, meters"),
    _unit("inches", "length", _INCH, "in, inch, ins, \", ''"),
    _unit(
        "32nds",
        "length",
        _INCH / 32,
        '32nd, /32, /32", /32 in, /32 inch, /32nds, thirty-second, thirty-seconds,'
        " 32nds of an inch, 32nd of an inch, thirty-seconds of an inch",
    ),
    _unit("ft", "length", _INCH * 12, "foot, feet"),
    _unit("bar", "pressure", 1, "bars"),
    _unit("kPa", "pressure", Fraction(1, 100), "kilopascal, kilopascals"),
    _unit(
        "psi",
        "pressure",
        _PSI,
        "lb/in2, lbs/in2, lb/sq in, lbs/sq in, pounds per square inch, lb, lbs, pounds",
    ),
    _unit("km", "distance", 1, "kms, kilometre, kilometres, kilometer, kilometers"),
    _unit("miles", "distance", _MILE, "mile, mi"),
    _unit("kg", "mass", 1, "kgs, kilo, kilos, kilogram, kilograms, kilogramme, kilogrammes"),
    _unit("tonnes", "mass", 1000, "t, tonne"),
    _unit("lb", "mass", _POUND, "lbs, pound, pounds"),
    _unit("N", "force", 1, "newton, newtons"),
    _unit("kN", "force", 1000, "kilonewton, kilonewtons"),
    _unit("daN", "force", 10, "decanewton, decanewtons"),
    _unit("kgf", "force", STANDARD_GRAVITY, "kilogram-force, kilograms-force, kg, kgs"),
    _unit("C", "temperature", 1, "deg C, degrees C, celsius, degrees celsius, centigrade"),
    _unit(
        "F",
        "temperature",
        Fraction(5, 9),
        "deg F, degrees F, fahrenheit, degrees fahrenheit",
        offset="-160/9",
    ),
    _unit("V", "voltage", 1, "volt, volts"),
    _unit("mV", "voltage", Fraction(1, 1000), "millivolt, millivolts"),
    _unit("km/h", "speed", 1, "kph, kmh, kmph, kilometres per hour, kilometres an hour"),
    _unit("mph", "speed", _MILE, "mi/h, miles per hour, miles an hour"),
    _unit("m/s", "speed", Fraction("3.6"), "metres per second, metres a second"),
    _unit("seconds", "duration", Fraction(1, 86_400), "s, sec, secs, second"),
    _unit("minutes", "duration", Fraction(1, 1440), "min, mins, minute"),
    _unit("hours", "duration", Fraction(1, 24), "h, hr, hrs, hour"),
    _unit("days", "duration", 1, "day"),
    _unit("weeks", "duration", 7, "wk, wks, week"),
    _unit("months", "duration", _YEAR / 12, "mth, mths, month"),
    _unit("years", "duration", _YEAR, "yr, yrs, year"),
    _unit("litres", "volume", 1, "l, litre, liter, liters, ltr"),
    _unit("ml", "volume", Fraction(1, 1000), "millilitre, millilitres, milliliter, milliliters"),
    _unit("percent", "share", 1, "%, per cent, pc"),
)

_AMBIGUOUS = {
    "m": "metres, miles, minutes or months",
    "mil": "millimetres, miles or thousandths of an inch",
    "mils": "millimetres, miles or thousandths of an inch",
}


@overload
def convert(value: float, unit_word: str, to: str) -> float: ...
@overload
def convert(value: Interval, unit_word: str, to: str) -> Interval: ...
def convert(value: float | Interval, unit_word: str, to: str) -> float | Interval:
    """The value in the unit `to`, given in the unit a person typed.

    A word with two meanings is settled by `to`: 32 lb into bar is a pressure, into kg a mass.
    Raises UnknownUnit for a word not in the table, WrongKind when the two cannot be converted,
    ValueError for a number that is not finite.
    """
    source, target = _pair(unit_word, to)
    if isinstance(value, Interval):
        return Interval(_scaled(value.lo, source, target), _scaled(value.hi, source, target))
    return _scaled(value, source, target)


def _pair(unit_word: str, to: str) -> tuple[Unit, Unit]:
    sources, targets = _find(unit_word), _find(to)
    for source in sources:
        for target in targets:
            if source.kind == target.kind:
                return source, target
    raise WrongKind(
        f"{unit_word!r} is a unit of {sources[0].kind}, {to!r} a unit of {targets[0].kind}"
    )


def _find(word: str) -> list[Unit]:
    key = _key(word)
    if key in _AMBIGUOUS:
        raise UnknownUnit(f"{word!r} could mean {_AMBIGUOUS[key]}; type the word in full")
    found = [unit for unit in UNITS if key in unit.words]
    if not found:
        known = ", ".join(dict.fromkeys(unit.name for unit in UNITS))
        raise UnknownUnit(f"{word!r} is not a known unit; the known ones are {known}")
    return found


def _scaled(value: float, source: Unit, target: Unit) -> float:
    if not math.isfinite(value):
        raise ValueError(f"cannot convert {value}: it is not a finite number")
    in_base = Fraction(repr(float(value))) * source.factor + source.offset
    try:
        return float((in_base - target.offset) / target.factor)
    except OverflowError:
        raise ValueError(f"{value} is too large to convert") from None
