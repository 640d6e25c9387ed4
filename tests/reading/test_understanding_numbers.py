"""Measured and counted numbers: units, fractions, ranges, and figures that are impossible."""

import pytest

from tests.reading.test_understanding_questions import (
    CLICKS,
    COLD,
    MILES,
    PLAY,
    PRESSURE,
    TREAD,
    TURNS,
    heard,
    number,
    refused,
)

INCH = 25.4


@pytest.mark.parametrize(
    ("words", "lo", "hi"),
    [
        *((w, 2, 2) for w in (
            "2", "2 mm", "2mm", "2.0", "2,0", "two", "two mm", "0.2 cm", "it's 2 mm",
            "2 millimetres",
            "it is 2 mm deep", "the tread is 2 mm", "2 deep", "I think 2", "this one is 2mm", "2.",
        )),
        ("1.6", 1.6, 1.6), ("1,6 mm", 1.6, 1.6), ("0.29 cm", 2.9, 2.9), (".5", 0.5, 0.5),
        ("two and a half", 2.5, 2.5), ("2 1/2", 2.5, 2.5), ("2½ mm", 2.5, 2.5), ("½", 0.5, 0.5),
        ("half a millimetre", 0.5, 0.5), ("one point six", 1.6, 1.6), ("three quarters", 0.75,
        0.75),
        ("twelve", 12, 12), ("twenty", 20, 20), ("nought point five", 0.5, 0.5), ("zero", 0, 0),
        ("one and three quarters", 1.75, 1.75), ("a quarter of an inch", 6.35, 6.35),
        ("1/2 inch", 12.7, 12.7), ('1/4"', 6.35, 6.35), ("3/32 inch", 2.3813, 2.3813),
        ("3 32nds", 2.3813, 2.3813), ("4/32nds", 3.175, 3.175), ("six thirty-seconds", 4.7625,
        4.7625), ("exactly 2", 2, 2),
        ("the gauge says 3.5", 3.5, 3.5), ("under 3/32 inch", 0, 2.3812), ("3/32 of an inch",
        2.3813, 2.3813),
        ("between 1.5 and 2", 1.5, 2), ("1.5-2", 1.5, 2), ("1.5 – 2 mm", 1.5, 2), ("2 or 3", 2, 3),
        ("1.5 to 2 mm", 1.5, 2), ("from 1.5 to 2", 1.5, 2), ("3 to 2", 2, 3), ("1,5-2,5", 1.5, 2.5),
        ("1 mm to 0.2 cm", 1, 2), ("somewhere between 2 and 3", 2, 3), ("0.1-0.2 cm", 1, 2),
        ("2 plus or minus 0.5", 1.5, 2.5), ("2 ± 0.5", 1.5, 2.5), ("2 +/- 0.5", 1.5, 2.5),
        *((w, 1.5, 2.5) for w in (
            "about 2", "roughly 2mm", "around 2", "nearly 2", "~2", "2ish", "2 or so", "approx 2",
            "almost two", "circa 2", "approximately 2 millimetres", "I think it's about 2", "2-ish",
        )),
        ("just under 2", 1.5, 2), ("a bit over 2", 2, 2.5), ("about 19.8", 19.3, 20),
        ("less than 2", 0, 1.9999), ("under 2", 0, 1.9999), ("below 2 mm", 0, 1.9999),
        ("<2", 0, 1.9999), ("over 3", 3.0001, 20), ("more than 3", 3.0001, 20), ("> 3", 3.0001, 20),
        ("deeper than 3 mm", 3.0001, 20), ("at least 2", 2, 20), ("2 or more", 2, 20), ("2+", 2,
        20),
        ("no less than 2", 2, 20), ("no more than 3", 0, 3), ("at most 3", 0, 3), ("up to 3", 0, 3),
        ("2 mm or less", 0, 2), ("not more than 3", 0, 3), (">= 3", 3, 20), ("<= 3", 0, 3),
        ("more than 1.6 but less than 3", 1.6001, 2.9999),
    ],
)  # fmt: skip
def test_tread_depths(words, lo, hi):
    assert heard(words, TREAD).answer == number(lo, hi)


@pytest.mark.parametrize(
    ("words", "asked", "lo", "echo"),
    [
        ("2", TREAD, 2, "2 mm"), ("1.60", TREAD, 1.6, "1.6 mm"),
        ("0.29 cm", TREAD, 2.9, "2.9 mm (from 0.29 cm)"), ("2.2", PRESSURE, 2.2, "2.2 bar"),
        ("32 psi", PRESSURE, 2.2063, "2.2063 bar (from 32 psi)"),
        ("220 kPa", PRESSURE, 2.2, "2.2 bar (from 220 kPa)"),
        ("32 lb", PRESSURE, 2.2063, "2.2063 bar (from 32 lb)"),
        ("thirty-two psi", PRESSURE, 2.2063, "2.2063 bar (from 32 psi)"),
        ("32 lb/in2", PRESSURE, 2.2063, "2.2063 bar (from 32 psi)"),
        ("35 p.s.i.", PRESSURE, 2.4132, "2.4132 bar (from 35 psi)"),
        ("60,000", MILES, 60000, "60,000 miles"), ("60000 miles", MILES, 60000, "60,000 miles"),
        ("60k", MILES, 60000, "60,000 miles"), ("85k miles", MILES, 85000, "85,000 miles"),
        ("sixty thousand", MILES, 60000, "60,000 miles"),
        ("12,345.6 miles", MILES, 12345.6, "12,345.6 miles"),
        ("one hundred and twenty thousand", MILES, 120000, "120,000 miles"),
        ("100 km", MILES, 62.1371, "62.1371 miles (from 100 km)"),
        ("-5", COLD, -5, "-5 C"), ("minus 5 degrees", COLD, -5, "-5 C"),
        ("77 F", COLD, 25, "25 C (from 77 F)"), ("20 °C", COLD, 20, "20 C"),
        ("5 min", PLAY, 5, "5 minutes"), ("20", TURNS, 20, "20 degrees"),
        ("20 degrees", TURNS, 20, "20 degrees"), ("3", CLICKS, 3, "3"), ("three", CLICKS, 3, "3"),
        ("3 clicks", CLICKS, 3, "3"), ("3.0", CLICKS, 3, "3"),
    ],
)  # fmt: skip
def test_units_and_echo(words, asked, lo, echo):
    found = heard(words, asked)
    assert (found.answer, found.echo, found.sure) == (number(lo), echo, True)


@pytest.mark.parametrize(
    ("words", "lo", "hi"),
    [("2 or 3", 2, 3), ("about 5", 4, 6), ("less than 3", 0, 2), ("over 3", 4, 30),
     ("at least 4", 4, 30), ("between four and six", 4, 6), ("none", 0, 0), ("5-7", 5, 7)],
)  # fmt: skip
def test_counts_are_whole(words, lo, hi):
    assert heard(words, CLICKS).answer == number(lo, hi)


@pytest.mark.parametrize(
    ("words", "asked", "answer"),
    [
        ("3/32", TREAD, number(2.3813)), ("2/32", TREAD, number(1.5875)),
        ("1,600", TREAD, number(1.6)), ("60 000", MILES, number(60000)),
        ("2 milimetres", TREAD, number(2)), ("none", TREAD, number(0)),
        ("not sure, about 2", TREAD, number(1.5, 2.5)), ("maybe 2", TREAD, number(2)),
        ("I squeezed 3.2mm in sideways", TREAD, number(3.2)),
        ("2 in the middle", TREAD, number(2)), ("no", CLICKS, number(0)),
    ],
)  # fmt: skip
def test_numbers_that_are_confirmed(words, asked, answer):
    found = heard(words, asked)
    assert (found.answer, found.sure) == (answer, False)


def test_about_without_a_half_width_is_ten_percent():
    assert heard("about 2 bar", PRESSURE).answer == number(1.8, 2.2)
    assert heard("about 60,000", MILES).answer == number(54000, 66000)


def test_an_impossible_figure_says_what_is_possible():
    unclear = refused("160 mm", TREAD)
    assert unclear.message == (
        "Tread depth: 160 mm is more than 20 mm, the most I can take. Did you mean 16 mm or 1.6 mm?"
    )
    assert unclear.offers == ("16 mm", "1.6 mm")
    assert "less than 0 mm, the least I can take" in refused("-2", TREAD).message
    assert refused("30", PRESSURE).offers[0] == "30 psi"


@pytest.mark.parametrize(
    "words",
    ["nan", "inf", "-inf", "1e999", "1e5", "0x10", "1/0", "1.6.2", "2²", "9" * 500, "2 fathoms",
     "2 psi", "2 kg", "2 m", "50%", "2 parsecs", "bald", "legal", "٣", "--", "+", "1/",
     "/2"],
)  # fmt: skip
def test_what_is_no_number_names_the_units(words):
    assert "mm" in refused(words, TREAD).message


@pytest.mark.parametrize(
    "words",
    ["not 2", "it isn't 3 mm", "2 mm 3 mm", "3 on the inside, 4 on the outside", "2, 3", "1/2/2015",
     "-2", "minus 3", "above 30", "less than 0", "2 to 200", "not much more than 2",
     "nowhere near 2"],
)  # fmt: skip
def test_numbers_not_guessed_at(words):
    refused(words, TREAD)


def test_whole_numbers_only_for_counts():
    assert "whole number" in refused("2.5", CLICKS).message
    assert "no unit" in refused("5 mm", CLICKS).message
    refused("a few", CLICKS)
