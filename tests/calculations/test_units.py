"""Unit words as people type them, exact decimals, and refusals that help."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.calculations.interval import Interval
from assistant.calculations.units import (
    BASE_UNITS,
    UNITS,
    UnknownUnit,
    WrongKind,
    convert,
)


@pytest.mark.parametrize(
    ("word", "millimetres"),
    [
        *((word, 1) for word in ("mm", "MM", " millimetres ", "mms", "millimeter")),
        *((word, 10) for word in ("cm", "centimetres")),
        *((word, 25.4) for word in ("inch", "inches", "in", "in.", '"', "''", "″", "”", "’’")),
        *((word, 25.4 / 32) for word in ("32nds", "/32", '/32"', "thirty-seconds", "32nd")),
        *((word, 1000) for word in ("metre", "metres")),
        *((word, 304.8) for word in ("ft", "feet")),
    ],
)
def test_lengths(word, millimetres):
    assert convert(1, word, "mm") == millimetres


@pytest.mark.parametrize(
    "word", ["psi", "PSI", "p.s.i.", "lb/in2", "lb/in²", "lbs/in2", "lb / sq in", "lb/sq.in."]
)
def test_pressure_words(word):
    assert convert(32, word, "bar") == pytest.approx(2.206, abs=0.0005)
    assert convert(32, word, "kPa") == pytest.approx(220.6, abs=0.05)


@pytest.mark.parametrize(
    ("value", "word", "to", "expected"),
    [
        (2.2, "bar", "kPa", 220.0),
        (10, "miles", "km", 16.09344),
        (30, "mph", "km/h", 48.28032),
        (100, "kph", "km/h", 100),
        (10, "m/s", "km/h", 36),
        (212, "F", "C", 100),
        (-40, "deg F", "°C", -40),
        (20, "celsius", "F", 68),
        (12400, "mV", "volts", 12.4),
        (1, "tonne", "kg", 1000),
        (100, "lb", "kg", 45.359237),
        (90, "minutes", "days", 0.0625),
        (12, "hours", "days", 0.5),
        (2, "weeks", "days", 14),
        (1, "year", "days", 365.2425),
        (12, "months", "years", 1),
        (1, "kgf", "N", 9.80665),
        (2, "kN", "N", 2000),
        (24, "daN", "N", 240),
    ],
)
def test_worked_conversions(value, word, to, expected):
    assert convert(value, word, to) == expected


def test_one_word_with_two_meanings_is_settled_by_the_target():
    assert convert(32, "lb", "bar") == convert(32, "psi", "bar")
    assert convert(32, "lb", "kg") == pytest.approx(14.515, abs=0.001)


@pytest.mark.parametrize("value", [0.29, 0.07, 0.16, 1.1, 2.3])
def test_typed_decimals_stay_exact(value):
    assert convert(value, "cm", "mm") == float(f"{value * 10:.1f}")


def test_a_range_is_converted_at_both_ends():
    assert convert(Interval(32, 212), "F", "C") == Interval(0, 100)


@pytest.mark.parametrize(("word", "meanings"), [("mil", "thousandths"), ("m", "minutes")])
def test_ambiguous_words_are_refused_with_their_meanings(word, meanings):
    with pytest.raises(UnknownUnit, match=meanings):
        convert(1, word, "mm")


def test_an_unknown_word_gets_the_known_ones():
    with pytest.raises(UnknownUnit, match=r"furlongs.*mm, cm, .*psi.*miles.*years"):
        convert(1, "furlongs", "km")
    with pytest.raises(UnknownUnit, match="furlongs"):
        convert(1, "km", "furlongs")


def test_different_kinds_are_refused():
    with pytest.raises(WrongKind, match="'psi' is a unit of pressure, 'mm' a unit of length"):
        convert(1, "psi", "mm")
    assert not issubclass(WrongKind, UnknownUnit)


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_numbers_that_are_not_finite_are_refused(value):
    with pytest.raises(ValueError, match="finite"):
        convert(value, "mm", "cm")


def test_a_number_too_large_to_convert_is_refused():
    with pytest.raises(ValueError, match="too large"):
        convert(1e308, "cm", "mm")


def test_every_kind_has_its_base_unit_in_the_table():
    bases = {unit.kind: unit.name for unit in UNITS if (unit.factor, unit.offset) == (1, 0)}
    assert bases == BASE_UNITS
    assert {unit.kind for unit in UNITS} == set(BASE_UNITS)


def test_no_word_means_two_units_of_one_kind():
    seen = [(unit.kind, word) for unit in UNITS for word in unit.words]
    assert len(seen) == len(set(seen))


@given(st.floats(-1e6, 1e6), st.data())
def test_there_and_back_is_the_same(value, data):
    kind = data.draw(st.sampled_from(sorted(BASE_UNITS)))
    names = [unit.name for unit in UNITS if unit.kind == kind]
    one, other = data.draw(st.sampled_from(names)), data.draw(st.sampled_from(names))
    back = convert(convert(value, one, other), other, one)
    assert back == pytest.approx(value, rel=1e-12, abs=1e-9)
