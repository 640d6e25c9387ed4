"""The calculations that a ruleset asks for by name: units, nothing known, and bounds."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.calculations.interval import Interval, exactly
from assistant.calculations.named import CALCULATIONS, MODULES
from assistant.calculations.registry import Value

TODAY = exactly(float(date(2026, 1, 15).toordinal()))
LIMITS = {
    "limit", "lowest", "highest", "figure", "share", "half", "today", "order", "slowest", "fastest",
    "tape_error_cm", "high_lamp", "least_low", "least_high", "most", "tyres", "gauge_error",
    "set_coolest", "set_warmest", "error", "new_least", "new_most", "front_bore", "rear_bore",
    "area_least", "area_most", "too_much", "meter_error", "tester_error", "wanted",
}  # fmt: skip


def call(name: str, **given: object) -> Value:
    """A calculation; a plain number is exact and a pair is a range."""

    def reading(value: object) -> object:
        if isinstance(value, dict):
            return {part: reading(one) for part, one in value.items()}
        if isinstance(value, tuple):
            return Interval(*map(float, value))
        return exactly(float(value)) if isinstance(value, int | float) else value

    return CALCULATIONS[name].function(**{key: reading(value) for key, value in given.items()})


def ends(value: Value) -> tuple[float, float]:
    assert isinstance(value, Interval)
    return value.lo, value.hi


def test_one_list_holds_the_calculations_of_every_module() -> None:
    made_in = {c.function.__module__ for c in CALCULATIONS.values()}
    assert {module.__name__ for module in MODULES} < made_in
    assert all(name == c.name == c.function.__name__ for name, c in CALCULATIONS.items())


@pytest.mark.parametrize("name", sorted(CALCULATIONS))
def test_nothing_known_gives_nothing(name: str) -> None:
    calculation = CALCULATIONS[name]
    given = {
        parameter: (
            {"order": "a b", "alike": "1 2"}.get(parameter, exactly(1.0))
            if parameter in LIMITS
            else {"one": None, "two": None}
            if how in ("across", "texts")
            else None
        )
        for parameter, how in calculation.parameters.items()
    }
    assert calculation.function(**given) is None


@pytest.mark.parametrize(
    "name",
    sorted(n for n, c in CALCULATIONS.items() if "text" in str(sorted(c.parameters.values()))),
)
@given(text=st.text(max_size=40))
def test_any_text_may_be_typed(name: str, text: str) -> None:
    """It gives a number, one of the words, or nothing, and never raises."""
    calculation = CALCULATIONS[name]
    given = {
        parameter: {"text": text, "texts": {"one": text, "two": "205/55 R16 91V"}}.get(
            how, "80 82" if parameter == "alike" else TODAY
        )
        for parameter, how in calculation.parameters.items()
    }
    found = calculation.function(**given)
    assert found is None or isinstance(found, Interval) or found in calculation.words


@pytest.mark.parametrize(
    ("text", "width", "kg", "kmh"),
    [
        ("205/55 R16 91V", 205, 615, 240),
        (" 195/65r15 91 h ", 195, 615, 210),
        ("215/70 R15C 109/107S", 215, 1030, 180),
        ("225/45 ZR17 (94Y)", 225, 670, 300),
    ],
)
def test_a_marking_decoded(text: str, width: float, kg: float, kmh: float) -> None:
    assert ends(call("tyre_section_width", marking=text)) == (width, width)
    assert ends(call("axle_capacity", marking=text, tyres=2)) == (2 * kg, 2 * kg)
    assert ends(call("tyre_speed", marking=text)) == (kmh, kmh)
    assert call("tyre_size_reads", marking=text) == "yes"


@pytest.mark.parametrize("text", ["205", "205/55", "999/55 R16", "", "no idea", "205/55 R16 91"])
def test_what_is_no_marking_gives_nothing(text: str) -> None:
    assert call("tyre_size_reads", marking=text) == "no"
    for name in ("tyre_section_width", "tyre_speed"):
        assert call(name, marking=text) is None
    assert call("axle_capacity", marking=text, tyres=2) is None


def test_a_size_alone_has_no_load_and_no_speed() -> None:
    assert ends(call("tyre_section_width", marking="205/55 R16")) == (205, 205)
    assert call("axle_capacity", marking="205/55 R16", tyres=2) is None
    assert call("tyre_speed", marking="205/55 R16") is None
    assert call("axle_capacity", marking="205/55 R16 200V", tyres=2) is None
    assert call("tyre_speed", marking="205/55 R16 91A") is None


@pytest.mark.parametrize(
    ("left", "right", "word"),
    [
        ("205/55 R16 91V", "205/55R16 91V", "same"),
        ("205/55 R16 91V", "205/55 R16 94V", "rating"),
        ("205/55 R16 91V", "205/55 R16 91H", "rating"),
        ("205/55 R16 91V", "205/55 R16", "same"),
        ("205/55 R16", "205/60 R16", "size"),
        ("205/55 R16", "195/55 R16", "size"),
        ("205/55 R16", "205/55 R17", "size"),
        ("165/80 R13", "165/82 R13", "same"),
        ("165/80 R13", "165/80-13", "kind"),
        ("225/45 R17", "225/45 ZR17", "same"),
        ("205/55 R16", "what", None),
        ("205/55 R16", None, None),
    ],
)
def test_two_markings_of_an_axle(left: str, right: str | None, word: str | None) -> None:
    for pair in ({"l": left, "r": right}, {"l": right, "r": left}):
        assert call("markings_compared", markings=pair, alike="80 82") == word


def test_a_replacement_is_compared_with_the_original() -> None:
    found = call("diameter_change", original="205/55 R16", replacement="225/45 R17")
    assert ends(found)[0] == pytest.approx(0.38, abs=0.005)
    assert call("diameter_change", original="205/55 R16", replacement="?") is None


@pytest.mark.parametrize(
    ("code", "first", "last"),
    [
        ("2319", date(2019, 5, 27), date(2019, 6, 10)),
        ("DOT AB12 CDE 2319", date(2019, 5, 27), date(2019, 6, 10)),
        ("23/19", date(2019, 5, 27), date(2019, 6, 10)),
        ("2019", date(2019, 1, 1), date(2019, 12, 31)),  # a year, or week 20 of it
        ("1998", date(1998, 1, 1), date(1998, 12, 31)),  # week 19 of 2098 is yet to come
        ("238", date(1971, 1, 1), date(1999, 12, 31)),
        ("0226", date(2025, 12, 29), date(2026, 1, 12)),
        ("0326", date(2026, 1, 5), date(2026, 1, 15)),  # never after today
    ],
)
def test_when_a_tyre_was_made(code: str, first: date, last: date) -> None:
    found = call("tyre_made_between", code=code, today=TODAY)
    assert ends(found) == (first.toordinal(), last.toordinal())


@pytest.mark.parametrize("code", ["5426", "0027", "2330", "worn off", ""])
def test_no_tyre_is_made_in_a_week_to_come_or_in_no_week(code: str) -> None:
    assert call("tyre_made_between", code=code, today=TODAY) is None


def test_a_code_that_reads_and_one_that_does_not() -> None:
    assert call("tyre_code_reads", code="2319") == "yes"
    assert call("tyre_code_reads", code="5419") == "no"


def test_the_lowest_of_the_readings_that_are_known() -> None:
    found = call("lowest_reading", one=3.0, inner=None, middle=(2.0, 3.5), outer=2.5)
    assert ends(found) == (2.0, 2.5)
    assert ends(call("lowest_reading", one=3.0, inner=None, middle=None, outer=None)) == (3, 3)


@pytest.mark.parametrize(
    ("inner", "middle", "outer", "word"),
    [
        (3.0, 3.2, 3.1, "even"),
        (4.0, 3.0, 4.0, "middle"),
        (3.0, 4.0, 3.1, "both_edges"),
        (2.0, 3.0, 4.0, "one_edge"),
        ((2.0, 4.0), 3.0, 4.0, "even"),  # a rough reading proves nothing
        (3.0, None, 4.0, None),
    ],
)
def test_wear_across_the_width(inner, middle, outer, word) -> None:
    found = call("wear_across", inner=inner, middle=middle, outer=outer, gauge_error=0.2)
    assert found == word


@pytest.mark.parametrize(
    ("reading", "plate", "air", "word"),
    [
        (2.3, 2.3, 0, "at_plate"),
        (2.2, 2.3, 0, "at_plate"),
        (2.1, 2.3, 0, "cold_explains"),
        (1.93, 2.3, 0, "cold_explains"),
        (1.9, 2.3, 0, "too_low"),
        (2.1, 2.3, 25, "too_low"),  # no cold to explain it
        (2.5, 2.3, 0, "too_high"),
        ((1.8, 2.0), 2.3, 0, "cannot_tell"),
        ((2.1, 2.3), 2.3, 0, "cannot_tell"),
        (2.1, 2.3, None, None),
        (2.1, None, 0, None),
        (None, 2.3, 0, None),
    ],
)
def test_pressure_beside_the_plate_and_the_weather(reading, plate, air, word) -> None:
    expected = call("pressure_today", set_to=plate, air=air, set_coolest=15, set_warmest=25)
    found = call(
        "pressure_verdict", reading=reading, plate=plate, expected=expected, gauge_error=0.1
    )
    assert found == word


@pytest.mark.parametrize(
    ("flashes", "seconds", "word"),
    [
        (17, 10, "inside"), (20, 10, "count_30"), (61, 30, "count_60"), (60, 60, "count_120"),
        (120, 120, "cannot_tell"), (119, 120, "cannot_tell"), (240, 120, "cannot_tell"),
        (28, 30, "outside"), (62, 30, "outside"), (0, 30, None), (10, None, None),
    ],
)  # fmt: skip
def test_flashes_over_any_time(flashes, seconds, word) -> None:
    rate = call("flash_rate", flashes=flashes, seconds=seconds)
    assert call("flash_verdict", rate=rate, seconds=seconds, slowest=60, fastest=120) == word


@given(st.integers(1, 400), st.integers(5, 300))
def test_a_flash_verdict_always_tells_or_says_how_to_tell(flashes: int, seconds: int) -> None:
    rate = call("flash_rate", flashes=flashes, seconds=seconds)
    word = call("flash_verdict", rate=rate, seconds=seconds, slowest=60, fastest=120)
    assert isinstance(word, str) and isinstance(rate, Interval)
    assert (word == "inside") == (rate.within(60, 120) is True)
    assert (word == "outside") == (rate.within(60, 120) is False)
    if word.startswith("count_"):
        assert int(word.removeprefix("count_")) > seconds


@pytest.mark.parametrize(
    ("drop", "metres", "height", "word"),
    [
        (6, 5, 680, "inside"), (3, 5, 680, "cannot_tell"), (1, 5, 680, "too_high"),
        (-5, 5, 680, "too_high"), (15, 5, 680, "too_low"), (5, 5, 900, "too_high"),
        (5, 5, 850, "inside"), (10, 5, None, "inside"), (5, 5, None, "cannot_tell"),
        (5, 5, (840, 860), "cannot_tell"), (20, 5, None, "too_low"), (0, 5, None, "too_high"),
        (5, None, 680, None), (None, 5, 680, None),
    ],
)  # fmt: skip
def test_the_fall_of_a_beam(drop, metres, height, word) -> None:
    dip = call("beam_dip", drop_cm=drop, metres=metres, tape_error_cm=1)
    found = call(
        "beam_verdict", dip=dip, height=height, high_lamp=850, least_low=0.5, least_high=1.25,
        most=2.75,
    )  # fmt: skip
    assert found == word


def test_drop_and_distance_are_in_centimetres_and_metres() -> None:
    assert ends(call("beam_dip", drop_cm=10, metres=10, tape_error_cm=0)) == (1.0, 1.0)


@pytest.mark.parametrize(
    ("volts", "word"),
    [
        (12.7, "charged"), (12.24, "half"), (11.9, "flat"), (12.4, "cannot_tell"), (0, "flat"),
        (13.2, "cannot_tell"), (12.88, "cannot_tell"), ((11.8, 12.7), "cannot_tell"),
    ],
)  # fmt: skip
def test_the_charge_of_a_battery(volts, word) -> None:
    assert call("battery_charge", volts=volts, meter_error=0.05) == word


@pytest.mark.parametrize(
    ("strength", "glycol", "expected"),
    [
        (50, "ethylene", (-38, -38)), (50, "propylene", (-34, -34)), (0, "ethylene", (0, 0)),
        (50, None, (-38, -34)), (50, "only_colour", (-38, -34)),
    ],
)  # fmt: skip
def test_where_coolant_freezes(strength, glycol, expected) -> None:
    found = call("coolant_freezes", strength=strength, glycol=glycol, tester_error=0)
    assert ends(found) == expected


def test_past_the_tables_nothing_is_said_of_coolant() -> None:
    assert call("coolant_freezes", strength=57, glycol="ethylene", tester_error=2) is None
    assert call("coolant_freezes", strength=52, glycol=None, tester_error=2) is None


@pytest.mark.parametrize(
    ("litres", "strength", "wanted", "expected"),
    [
        (6, 25, 40, (1.2, 1.2)),
        ((6, 8), 25, 40, (1.2, 1.6)),
        (6, 50, 50, (0, 0)),
        (6, 90, 50, (0, 0)),
    ],
)
def test_how_much_coolant_to_drain(litres, strength, wanted, expected) -> None:
    found = call("coolant_to_drain", litres=litres, strength=strength, wanted=wanted)
    assert ends(found) == pytest.approx(expected)
    assert call("coolant_to_drain", litres=6, strength=(40, 100), wanted=50) is None


def test_the_foot_brake_as_a_share_of_the_weight() -> None:
    forces = {"a": 140, "b": 140, "c": 140, "d": 140}
    assert ends(call("brake_efficiency", forces=forces, weight=1000, error=0)) == (56, 56)
    assert ends(call("brake_efficiency", forces=forces, weight=1000, error=5)) == (54, 58)
    found = call("brake_efficiency", forces=forces, weight=(1000, 1120), error=0)
    assert ends(found) == (50, 56)
    for missing in ({**forces, "a": None}, {}):
        assert call("brake_efficiency", forces=missing, weight=1000, error=5) is None
    assert call("brake_efficiency", forces=forces, weight=None, error=5) is None
    assert ends(call("parking_efficiency", force=160, weight=1000, error=5)) == (15.5, 16.5)


def test_uneven_brakes() -> None:
    found = call("brake_imbalance", forces={"l": 240, "r": 160}, error=0)
    assert ends(found)[0] == pytest.approx(33.33, abs=0.01)
    low, high = ends(call("brake_imbalance", forces={"l": 240, "r": 160}, error=5))
    assert low < 100 / 3 < high
    assert call("brake_imbalance", forces={"l": 3, "r": 4}, error=5) is None
    assert call("brake_imbalance", forces={"l": 3, "r": None}, error=0) is None


FLUID = {"new_least": 10, "new_most": 12, "front_bore": 54, "rear_bore": 36}


@pytest.mark.parametrize(
    ("lining", "fallen", "word"),
    [
        (2, 10, "explained"), (2, 100, "more_than_wear"), (2, 60, "cannot_tell"),
        (6, 10, "cannot_tell"), (6, 8, "explained"), (6, 60, "more_than_wear"),
        (10, 10, None), (None, 10, None), (2, None, None),
    ],
)  # fmt: skip
def test_a_fall_of_brake_fluid_beside_wear(lining, fallen, word) -> None:
    expected = call("fluid_fall_expected", lining=lining, area_least=30, area_most=60, **FLUID)
    found = call("fluid_fall_verdict", fallen=fallen, expected=expected, most=1.5, too_much=2)
    assert found == word


def test_which_side_of_a_limit_and_of_a_band() -> None:
    assert call("side_of_limit", value=16, limit=16) == "not_under"
    assert call("side_of_limit", value=15.9, limit=16) == "under"
    assert call("side_of_limit", value=(15, 17), limit=16) == "cannot_tell"
    words = [call("side_of_band", value=v, lowest=-3, highest=3) for v in (-3.1, -3, 3, 3.1)]
    assert words == ["under", "inside", "inside", "over"]
    assert call("side_of_band", value=(2, 4), lowest=-3, highest=3) == "cannot_tell"


def test_the_first_of_two_that_is_known() -> None:
    assert ends(call("first_known", first=1, second=2)) == (1, 1)
    assert ends(call("first_known", first=None, second=2)) == (2, 2)
