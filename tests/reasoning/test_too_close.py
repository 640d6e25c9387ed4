"""What hangs on a rough or unknown answer is too close to tell; what is at odds is not settled."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from assistant.choosing.agenda import agenda
from assistant.journal.entries import Entry
from assistant.reasoning.cleared import cleared_items
from assistant.reasoning.consultation import Consultation, consult
from assistant.report.sheet import sheet
from assistant.ruleset.models import Urgency
from assistant.ruleset.ruleset import Ruleset
from tests.support.saying import correct, say, start

YEAR_1980 = (dt.date(1980, 1, 1).toordinal(), dt.date(1980, 12, 31).toordinal())


def journal(*said: tuple[str, Any]) -> list[Entry]:
    made = start("gb-cars")
    for key, value in said:
        say(made, key, value)
    return made


def found(result: Consultation) -> list[str]:
    return [f.rule.rule for f in result.findings]


def close(result: Consultation) -> list[str]:
    return [t.rule.rule for t in result.too_close]


def test_a_bare_year_across_the_date_of_a_check_is_too_close(gb_cars: Ruleset) -> None:
    """Rear fog lamps are for cars first used from 1 April 1980."""
    result = consult(gb_cars, journal(("first_used", YEAR_1980), ("rear_fog", "out")))
    assert "rear_fog_out" in close(result) and "rear_fog_out" not in found(result)
    assert not result.would_fail() and "4.5.1(a)(ii)" not in cleared_items(result)
    (one,) = result.too_close
    assert one.text.endswith(
        "Whether that counts depends on this: first registered, between 1 January 1980 and "
        "31 December 1980."
    )
    for year, stands in ((1981, True), (1979, False)):
        plain = (dt.date(year, 1, 1).toordinal(), dt.date(year, 12, 31).toordinal())
        result = consult(gb_cars, journal(("first_used", plain), ("rear_fog", "out")))
        assert ("rear_fog_out" in found(result)) is stands and close(result) == []


def test_an_unknown_date_is_too_close_where_a_check_has_one(gb_cars: Ruleset) -> None:
    result = consult(gb_cars, journal(("first_used", "dont_know"), ("rear_fog", "out")))
    assert close(result) == ["rear_fog_out"] and found(result) == []
    assert result.too_close[0].text.endswith("depends on this: first registered, not known.")


def test_a_finding_that_holds_by_another_check_too_is_certain(gb_cars: Ruleset) -> None:
    """Front fog lamps are looked at from 2018 on, rear ones long before."""
    year = (dt.date(2018, 1, 1).toordinal(), dt.date(2018, 12, 31).toordinal())
    front = ("front_fog_looks", ["broken"])
    alone = consult(gb_cars, journal(("first_used", year), front))
    assert close(alone) == ["fog_lens_broken"] and found(alone) == []
    both = consult(gb_cars, journal(("first_used", year), front, ("rear_fog_looks", ["broken"])))
    assert close(both) == [] and found(both) == ["fog_lens_broken"]


def test_an_unknown_fuel_is_neither_nothing_nor_certain(gb_cars: Ruleset) -> None:
    lit = ("lamps_stay_on", ["engine"])
    new = ("first_used", dt.date(2019, 3, 1))
    result = consult(gb_cars, journal(new, ("fuel", "dont_know"), lit))
    items = [t.rule.finds.item for t in result.too_close if t.rule.finds]
    assert items == ["8.2.1.2(h)", "8.2.2.2(g)"] and not result.would_fail()
    old_car = ("first_used", dt.date(1990, 3, 1))
    older = consult(gb_cars, journal(old_car, ("fuel", "dont_know"), lit))
    assert not [t for t in older.too_close if t.rule.finds], "too old for the item with any fuel"
    assert "8.2.1.2(h)" in [f.item for f in consult(
        gb_cars, journal(new, ("fuel", "petrol"), lit)).findings]  # fmt: skip


def test_what_holds_for_every_kind_of_car_is_not_said_twice(gb_cars: Ruleset) -> None:
    said = [("body", "dont_know"), ("tread_depth@front_nearside", 0.5)]
    result = consult(gb_cars, journal(*said))
    assert "tread_too_low_any_kind" in found(result)
    assert not [t for t in result.too_close if t.rule.finds and t.rule.finds.item == "5.2.3(e)"]


def test_a_danger_stands_whatever_is_known_of_the_car(gb_cars: Ruleset) -> None:
    said = [("first_used", "dont_know"), ("fuel", "dont_know"), ("fuel_hoses", ["fuel_drips"])]
    result = consult(gb_cars, journal(*said))
    assert "fuel_runs_out" in found(result) and result.urgency.rank <= Urgency.DO_NOT_DRIVE.rank
    perhaps = consult(gb_cars, journal(("body", "dont_know"), ("first_used", dt.date(2019, 3, 1)),
                                       ("driver_belt", ["none_there"])))  # fmt: skip
    assert "driver_belt_missing" in close(perhaps)
    assert perhaps.urgency is Urgency.HAVE_LOOKED_AT


def test_nothing_is_too_close_before_the_car_was_asked_about(gb_cars: Ruleset) -> None:
    assert consult(gb_cars, journal(("lamps_stay_on", ["engine"]))).too_close == ()


@pytest.mark.parametrize("form", ["html", "md"])
def test_the_sheet_gives_the_dates_in_words(gb_cars: Ruleset, form: str) -> None:
    said = journal(("first_used", YEAR_1980), ("rear_fog", "out"))
    text = sheet(consult(gb_cars, said), said, form)
    assert "first registered, between 1 January 1980 and 31 December 1980." in text
    assert str(YEAR_1980[0]) not in text.split("Everything that was answered")[0]


def test_a_reading_across_a_limit_is_told_with_its_part(gb_cars: Ruleset) -> None:
    said = journal(("body", "car"), ("tread_depth@rear_nearside", (1.5, 1.7)))
    one = consult(gb_cars, said).too_close[0]
    assert (
        one.text.startswith("passenger's side rear ")
        and "between 1.5 and 1.7 mm: it may be" in one.text
    )


# readings at odds ---------------------------------------------------------------------------

WHEEL = "front_nearside"


def at_odds() -> list[Entry]:
    made = journal(
        ("kit", ["tread_gauge"]),
        ("first_used", dt.date(2019, 3, 1)),
        ("fuel", "petrol"),
        ("body", "car"),
        (f"tread_depth@{WHEEL}", "dont_know"),
        (f"wear_bars@{WHEEL}", "level"),
    )
    for wheel in ("rear_nearside", "rear_offside", "front_offside"):
        say(made, f"tread_depth@{wheel}", 6)
    correct(made, f"tread_depth@{WHEEL}", 4)
    return made


def test_a_gauge_and_wear_bars_at_odds_are_asked_again_and_not_settled(gb_cars: Ruleset) -> None:
    said = at_odds()
    result = consult(gb_cars, said)
    assert found(result) == ["gauge_and_bars_differ"]
    assert result.urgency is Urgency.HAVE_LOOKED_AT
    assert "5.2.3(e)" not in cleared_items(result)
    again = {f"tread_{part}@{WHEEL}" for part in ("inner", "middle", "outer")}
    assert again <= {prompt.key for prompt in agenda(result).prompts}
    text = sheet(result, said, "md")
    assert "do not agree, so the depth of this tread is not settled" in " ".join(text.split())


def test_measuring_again_settles_it_only_where_the_two_then_agree(gb_cars: Ruleset) -> None:
    said = at_odds()
    for part in ("inner", "middle", "outer"):
        say(said, f"tread_{part}@{WHEEL}", 4)
    assert found(consult(gb_cars, said)) == ["gauge_and_bars_differ"], "they still do not agree"
    correct(said, f"tread_inner@{WHEEL}", 1.2)
    assert "tread_too_low" in found(consult(gb_cars, said))
    assert "gauge_and_bars_differ" not in found(consult(gb_cars, said))
    said = at_odds()
    correct(said, f"wear_bars@{WHEEL}", "clear")
    result = consult(gb_cars, said)
    assert found(result) == [] and "5.2.3(e)" in cleared_items(result)
