"""The plan for the time there is: what is always asked stays, and nothing is hidden."""

from __future__ import annotations

import datetime as dt
from itertools import combinations

import pytest

from assistant.choosing.agenda import agenda
from assistant.choosing.order import compare_orders, expected, in_time, numbered_prompts
from assistant.choosing.plan import time_for
from assistant.journal.entries import Entry, Planned
from assistant.reading.plan_words import plan_of
from assistant.reasoning.consultation import consult
from assistant.ruleset.ruleset import Ruleset
from tests.support.saying import say, start


def ordinary(minutes: float | None = None) -> list[Entry]:
    journal = start("gb-cars", dt.date(2026, 3, 2))
    say(journal, "first_used", dt.date(2015, 6, 14))
    say(journal, "fuel", "petrol")
    say(journal, "body", "car")
    say(journal, "equipment", ["electric_steering"])
    say(journal, "kit", ["torch", "daylight"])
    if minutes is not None:
        turn = max(e.turn for e in journal) + 1
        journal.append(Planned(turn=turn, minutes=minutes, words=f"{minutes} minutes"))
    return journal


@pytest.mark.parametrize("minutes", [0, 5, 10, 20, 30, 45, 90])
def test_what_is_always_asked_is_never_left_out(gb_cars: Ruleset, minutes: float) -> None:
    whole = agenda(consult(gb_cars, ordinary()))
    plan = agenda(consult(gb_cars, ordinary(minutes)))
    assert all(p.why == "walk" for p in plan.left_out)
    assert {p.key for p in plan.prompts + plan.left_out} == {p.key for p in whole.prompts}
    if plan.left_out and any(p.why == "walk" for p in plan.prompts):
        assert plan.minutes <= minutes


def test_more_time_never_sees_less(gb_cars: Ruleset) -> None:
    def worth(minutes: float) -> float:
        plan = agenda(consult(gb_cars, ordinary(minutes)))
        return sum(expected(gb_cars, p)[1] for p in plan.prompts)

    worths = [worth(m) for m in (0, 15, 25, 35, 50, 90)]
    assert worths == sorted(worths)
    assert worths[0] < worths[-1]


def test_no_other_set_of_places_would_see_more(gb_cars: Ruleset) -> None:
    """Checked against trying every set of places by hand, without the fill-up at the end."""
    minutes = 32.0
    whole = agenda(consult(gb_cars, ordinary()))
    always = [p for p in whole.prompts if p.why != "walk"]
    rest = [p for p in whole.prompts if p.why == "walk"]
    places = sorted({p.place for p in rest})
    best = 0.0
    for size in range(len(places) + 1):
        for some in combinations(places, size):
            taken = [p for p in rest if p.place in some]
            if time_for([*always, *taken], whole.place) <= minutes:
                best = max(best, sum(p.value * p.minutes for p in taken))
    plan = agenda(consult(gb_cars, ordinary(minutes)))
    got = sum(p.value * p.minutes for p in plan.prompts if p.why == "walk")
    assert got >= best - 1e-9


def test_time_runs_with_the_checks_and_not_with_the_clock(tiny: Ruleset) -> None:
    journal = start()
    journal.append(Planned(turn=1, minutes=5.0, words="5 minutes"))
    assert agenda(consult(tiny, journal)).budget == 5.0
    say(journal, "level", "full")
    assert agenda(consult(tiny, journal)).budget == pytest.approx(4.7)


def test_no_hurry_brings_everything_back(tiny: Ruleset) -> None:
    journal = start()
    whole = agenda(consult(tiny, journal)).prompts
    journal.append(Planned(turn=1, minutes=1.0, words="a minute"))
    assert agenda(consult(tiny, journal)).left_out
    journal.append(Planned(turn=2, words="no hurry"))
    plan = agenda(consult(tiny, journal))
    assert [p.key for p in plan.prompts] == [p.key for p in whole]
    assert plan.left_out == ()


def test_what_is_left_out_is_still_listed_as_not_asked(gb_cars: Ruleset) -> None:
    result = consult(gb_cars, ordinary(10))
    left_out = {item for p in agenda(result).left_out for item in p.items}
    assert left_out and left_out <= set(result.not_asked)


def test_the_cards_numbers_do_not_move_with_the_time(gb_cars: Ruleset) -> None:
    plain, hurried = ordinary(), ordinary(15)
    keys = [p.key for p in numbered_prompts(gb_cars, plain)]
    assert [p.key for p in numbered_prompts(gb_cars, hurried)] == keys
    prompts = numbered_prompts(gb_cars, hurried)
    assert in_time(gb_cars, hurried, prompts, None) == in_time(gb_cars, plain, prompts, 15)
    assert len(in_time(gb_cars, hurried, prompts, None)) < len(keys)


@pytest.mark.parametrize(
    ("words", "minutes"),
    [
        ("I have 10 minutes", 10),
        ("I've only got ten mins", 10),
        ("half an hour", 30),
        ("only 20 minutes left", 20),
        ("no hurry", None),
    ],
)
def test_time_is_understood(tiny: Ruleset, words: str, minutes: float | None) -> None:
    heard = plan_of(words, tiny, None, dt.date(2026, 1, 15))
    assert heard is not None and heard.timed and heard.minutes == minutes


@pytest.mark.parametrize("words", ["no", "none", "2 mm", "10", "no idea", "don't know", "minutes"])
def test_answers_are_not_taken_for_plans(tiny: Ruleset, words: str) -> None:
    assert plan_of(words, tiny, None, dt.date(2026, 1, 15)) is None


def test_a_lost_tool_is_understood_from_the_rulesets_own_words(tiny: Ruleset) -> None:
    day = dt.date(2026, 1, 15)
    lost = plan_of("no gauge", tiny, None, day)
    assert lost is not None and lost.lost == "gauge"
    gained = plan_of("I've got a lamp now", tiny, None, day)
    assert gained is not None and gained.gained == "lamp"
    assert plan_of("no gauge", tiny, "kit", day) is None


def test_the_plan_sees_more_than_the_other_orders(gb_cars: Ruleset) -> None:
    plan, shuffled, standard = compare_orders(gb_cars, ordinary())
    assert plan.times == (5, 10, 20, 30)
    for share in (*plan.shares, *shuffled.shares, *standard.shares):
        assert 0 <= share <= 1
    assert list(plan.shares) == sorted(plan.shares)
    assert plan.shares[3] > shuffled.shares[3]
