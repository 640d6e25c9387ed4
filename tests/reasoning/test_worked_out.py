"""What is worked out from answers: asked only where it is opened, kept from the engine as text."""

from __future__ import annotations

import datetime as dt
import json

from assistant.choosing.agenda import agenda
from assistant.ruleset.models import CaseAnswer
from assistant.ruleset.ruleset import Ruleset
from tests.support.worked_out import opened, said, told, word


def test_nobody_with_an_ordinary_car_is_asked_any_of_it(gb_cars: Ruleset) -> None:
    """None of the measurements stands on the walk; each is opened by an answer."""
    car: dict[str, CaseAnswer] = {"first_used": dt.date(2015, 6, 1), "fuel": "petrol",
        "body": "car", "equipment": [], "kit": ["torch", "tread_gauge", "tape"]}  # fmt: skip
    asked = {q for p in agenda(told(gb_cars, car)).prompts for q, _ in p.items}
    assert asked and all(gb_cars.questions[q].asked == "walk" for q in asked)
    measured = {n for d in gb_cars.derived for n in gb_cars.graph.reads(d)}
    notes = {n for n, q in gb_cars.questions.items() if q.kind == "note"}
    assert notes and notes & asked == {gb_cars.about.worry}
    assert {"flash_count", "battery_volts", "brake_force", "beam_drop"} <= measured - asked


def test_what_is_typed_to_a_note_never_enters_the_engine(gb_cars: Ruleset) -> None:
    """Only the number or the word that was decoded does."""
    typed = {"tyre_size": "205/55 R16 91V odd words", "tyre_code": "DOT odd words 2319",
             "axle_marking": "215/70 R15C 109/107S", "plate_marking": "odd words"}  # fmt: skip
    facts = list(told(gb_cars, typed).readings.facts())
    text = json.dumps([f.for_engine() for f in facts])
    assert "odd words" not in text and "215/70" not in text
    carries = next(f for f in facts if f.name == "axle_carries")
    assert {"lo": 2060.0, "hi": 2060.0}.items() <= carries.for_engine().items()


def test_a_marking_that_cannot_be_read_is_said_and_the_width_asked(gb_cars: Ruleset) -> None:
    cut: dict[str, CaseAnswer] = {"tyre_damage": ["cut"], "cut_depth": "felt"}
    result = told(gb_cars, {**cut, "tyre_size": "two hundred and five"})
    assert "tyre_width" in opened(result)
    assert said(result)["tyre_marking_not_read"] == "nothing"


def test_a_rough_axle_limit_is_too_close_to_tell(gb_cars: Ruleset) -> None:
    result = told(
        gb_cars,
        {"body": "car", "axle_marking": "205/55 R16 91V", "axle_limit": [1210, 1250]},
    )
    close = {t.rule.rule for t in result.too_close}
    assert close == {"tyres_carry_too_little", "tyres_carry_enough"} and not said(result)


def test_every_count_over_every_time_is_decided_or_counted_longer(gb_cars: Ruleset) -> None:
    """A count is inside, outside, or the next longer time is asked for."""
    rules = ("flashes_too_fast", "flashes_too_slow", "flashes_too_near")
    longer = [f"count_for_{n}_seconds" for n in (30, 60, 120)]
    for seconds in (10, 25, 30, 60, 90, 120, 240):
        for per_minute in (50, 59, 60, 61, 90, 119, 120, 121, 130):
            given = {"flash_count": round(per_minute * seconds / 60), "flash_seconds": seconds}
            result = told(gb_cars, given)
            inside = word(result, "flash_judged") == "inside"
            fired = [rule for rule in (*rules, *longer) if result.result.truth(rule) is True]
            assert len(fired) == (0 if inside else 1), given
