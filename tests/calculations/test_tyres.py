"""Tyre markings, sizes, ratings, age codes and pressure."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.calculations.interval import Interval, about, exactly
from assistant.calculations.tyres import (
    TyreMarking,
    deviation_percent,
    load_capacity_kg,
    outside_diameter_mm,
    pressure_at_temperature,
    read_age_code,
    read_marking,
    speed_limit_kmh,
)

PLAIN = TyreMarking(205, 55, "R", 16, False, 91, None, "V", ())


@pytest.mark.parametrize(
    "text",
    [
        "205/55 R16 91V",
        "205/55R16 91 V",
        "205/55 r16 91v",
        " 205 / 55 R 16  91V ",
        "205/55R1691V",
        "P205/55 R16 91V",
        "P 205/55 R16 91V",
    ],
)
def test_spellings_of_one_marking(text):
    assert read_marking(text) == PLAIN


def test_other_markings():
    assert read_marking("205/55 ZR 17 94W XL") == TyreMarking(
        205, 55, "ZR", 17, False, 94, None, "W", ("XL",)
    )
    commercial = TyreMarking(195, 65, "R", 15, True, 106, 104, "T", ())
    assert read_marking("195/65 R15 C 106/104T") == commercial
    assert read_marking("195/65R15C 106/104 T") == commercial
    assert read_marking("205/55 R16 (91Y) xl m+s 3pmsf") == TyreMarking(
        205, 55, "R", 16, False, 91, None, "Y", ("XL", "M+S", "3PMSF")
    )
    assert read_marking("205/55-16") == TyreMarking(205, 55, "-", 16, False, None, None, None, ())
    assert read_marking("205/55 16").construction == ""


def test_a_size_without_load_and_speed():
    size = read_marking("205/55 R16")
    assert (size.load_index, size.speed_symbol) == (None, None)
    assert outside_diameter_mm(size) == outside_diameter_mm(PLAIN)


@pytest.mark.parametrize(
    "text",
    ["", "205", "205/55", "205/55 R16 9V", "205/55 R16 V", "205/55 R16 91", "20/55 R16", "hello"],
)
def test_other_texts_are_no_marking(text):
    with pytest.raises(ValueError, match="205/55 R16 91V"):
        read_marking(text)


@pytest.mark.parametrize(
    "text", ["104/55 R16", "406/55 R16", "205/19 R16", "205/101 R16", "205/55 R09", "205/55 R25"]
)
def test_sizes_no_car_tyre_has(text):
    with pytest.raises(ValueError, match="no car tyre"):
        read_marking(text)


@pytest.mark.parametrize("text", ["105/20 R10", "405/100 R24"])
def test_the_extreme_sizes_are_read(text):
    assert read_marking(text).width_mm in (105, 405)


@given(
    st.integers(105, 405),
    st.integers(20, 100),
    st.integers(10, 24),
    st.integers(60, 126),
    st.sampled_from("QSTHVWY"),
    st.sampled_from(["{w}/{a} R{r} {l}{s}", "{w}/{a}R{r} {l} {s}", "{w}/{a} ZR{r} {l}{s} XL"]),
)
def test_a_written_marking_is_read_back(width, aspect, rim, load, speed, shape):
    tyre = read_marking(shape.format(w=width, a=aspect, r=rim, l=load, s=speed).lower())
    assert (tyre.width_mm, tyre.aspect_percent, tyre.rim_inches) == (width, aspect, rim)
    assert (tyre.load_index, tyre.speed_symbol) == (load, speed)


def test_worked_size():
    assert outside_diameter_mm(PLAIN) == pytest.approx(631.9)


def test_worked_replacements():
    low_profile, other = read_marking("225/45 R17"), read_marking("195/65 R15")
    assert deviation_percent(PLAIN, low_profile) == pytest.approx(0.38, abs=0.005)
    assert deviation_percent(PLAIN, other) == pytest.approx(0.41, abs=0.005)
    assert deviation_percent(PLAIN, PLAIN) == 0


def test_ratings():
    assert (load_capacity_kg(60), load_capacity_kg(91), load_capacity_kg(126)) == (250, 615, 1700)
    for index in (59, 127, -1):
        with pytest.raises(ValueError, match="between 60 and 126"):
            load_capacity_kg(index)
    assert (speed_limit_kmh("V"), speed_limit_kmh(" h ")) == (240, 210)
    for symbol in ("X", "", "Z", "VV"):
        with pytest.raises(ValueError, match="not a speed symbol"):
            speed_limit_kmh(symbol)


@pytest.mark.parametrize(
    "text", ["2319", "DOT AB12 CDEF 2319", "23/19", "23 19", " 23.19 ", "LMLR2319"]
)
def test_four_digit_age_codes(text):
    code = read_age_code(text)
    assert code.monday == date(2019, 6, 3)
    assert (code.earliest, code.latest) == (date(2019, 5, 27), date(2019, 6, 10))


def test_weeks_at_the_ends_of_a_year():
    assert read_age_code("0100").monday == date(2000, 1, 3)
    assert read_age_code("5321").monday == date(2022, 1, 3)
    for text in ("0019", "5419", "9919"):
        with pytest.raises(ValueError, match="weeks run from 1 to 53"):
            read_age_code(text)


@pytest.mark.parametrize("text", ["", "19", "12319", "DOT", "2319A", "231 9"])
def test_texts_without_an_age_code(text):
    with pytest.raises(ValueError, match="age code"):
        read_age_code(text)


def test_three_digits_mean_before_2000():
    code = read_age_code("DOT ABC 238")
    assert code.monday is None
    assert (code.earliest, code.latest) == (date(1971, 1, 1), date(1999, 12, 31))
    with pytest.raises(ValueError, match="weeks"):
        read_age_code("548")


@pytest.mark.parametrize(("celsius", "bar"), [(0, 2.07), (10, 2.19), (20, 2.30), (45, 2.58)])
def test_worked_pressures(celsius, bar):
    pressure = pressure_at_temperature(2.30, 20, celsius)
    assert pressure.lo == pressure.hi == pytest.approx(bar, abs=0.005)


def test_pressure_guards_and_ranges():
    spread = pressure_at_temperature(about(2.3, 0.1), about(20, 5), 0)
    assert spread.lo == pytest.approx(pressure_at_temperature(2.2, 25, 0).lo)
    assert spread.hi == pytest.approx(pressure_at_temperature(2.4, 15, 0).hi)
    for arguments in (
        (2.3, -273.15, 20),
        (2.3, 20, -273.15),
        (2.3, Interval(-300, 20), 20),
        (2.3, 20, Interval(-300, 20)),
    ):
        with pytest.raises(ValueError, match="absolute zero"):
            pressure_at_temperature(*arguments)
    with pytest.raises(ValueError, match="pressure"):
        pressure_at_temperature(Interval(-1.1, 2), 20, 0)
    assert pressure_at_temperature(-1.01325, 20, 0) == exactly(-1.01325)
    assert pressure_at_temperature(2.3, -272.5, -272.5).lo == pytest.approx(2.3)


@given(st.floats(0, 5), st.floats(-40, 60), st.floats(-40, 60))
def test_pressure_there_and_back(bar, cold, warm):
    there = pressure_at_temperature(bar, cold, warm)
    back = pressure_at_temperature(there, warm, cold)
    assert back.middle == pytest.approx(bar, abs=1e-9)
    assert (there.middle > bar) is (warm > cold) or there.middle == pytest.approx(bar, abs=1e-9)
