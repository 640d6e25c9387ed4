"""The plan for the time there is: what is always asked stays, and nothing is hidden."""

from __future__ import annotations

import datetime as dt
from itertools import groupby

import pytest

from assistant.choosing.agenda import agenda
from assistant.choosing.order import compare_orders, in_time, numbered_prompts, worth
from assistant.journal.entries import Entry, Planned, Went
from assistant.reading.plan_words import plan_of
from assistant.reasoning.consultation import consult
from assistant.ruleset.minutes import minutes_for, way
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


MUST = {"triage", "worry", "car", "at once", "deciding", "recent drives", "again", "opened here"}


@pytest.mark.parametrize("minutes", [0, 5, 10, 15, 20, 30, 45, 90])
def test_a_named_time_is_kept(gb_cars: Ruleset, minutes: float) -> None:
    """Ways included; only danger signs may take longer. From 15 and 30 minutes safety is kept."""
    whole = agenda(consult(gb_cars, ordinary()))
    plan = agenda(consult(gb_cars, ordinary(minutes)))
    assert {p.why for p in plan.left_out} <= {"safety", "walk"}
    assert {p.key for p in plan.prompts + plan.left_out} == {p.key for p in whole.prompts}
    needed = sum(p.minutes for p in plan.prompts if p.why in MUST)
    assert plan.minutes <= max(minutes, needed)
    left = [p for p in plan.left_out if p.why == "safety"]
    assert minutes < 15 or not [p for p in left if p.round == 1]
    assert minutes < 30 or not left


def test_at_a_place_that_is_visited_safety_comes_first(gb_cars: Ruleset) -> None:
    plan = agenda(consult(gb_cars, ordinary(10)))
    other = {p.place for p in plan.prompts if p.why == "walk"}
    assert other and not [p for p in plan.left_out if p.why == "safety" and p.place in other]


def test_more_time_never_sees_less(gb_cars: Ruleset) -> None:
    def seen(minutes: float) -> float:
        return worth(gb_cars, agenda(consult(gb_cars, ordinary(minutes))).prompts)[1]

    times = [seen(m) for m in (0, 15, 25, 35, 50, 90)]
    assert times == sorted(times)
    assert times[0] < times[-1]


def test_each_place_is_visited_once_in_a_named_time(gb_cars: Ruleset) -> None:
    walked = [p.place for p in agenda(consult(gb_cars, ordinary(25))).prompts if p.round]
    visits = [place for place, _ in groupby(walked)]
    assert len(visits) == len(set(visits)) > 3


def test_a_place_is_wanted_next_or_left_out(gb_cars: Ruleset) -> None:
    journal = ordinary()
    whole = agenda(consult(gb_cars, journal))
    turn = max(e.turn for e in journal) + 1
    journal.append(Went(turn=turn, places=["rear"], words="do the rear now"))
    plan = agenda(consult(gb_cars, journal))
    first, before = (next(p for p in a.prompts if p.round) for a in (plan, whole))
    assert first.place == "rear" != before.place
    assert {p.key for p in plan.prompts} == {p.key for p in whole.prompts}
    journal.append(Went(turn=turn + 1, places=["rear"], leave=True, words="leave out the rear"))
    plan = agenda(consult(gb_cars, journal))
    assert {p.place for p in plan.left_out} == {"rear"}
    assert {p.key for p in plan.prompts + plan.left_out} == {p.key for p in whole.prompts}
    journal.append(Went(turn=turn + 2, places=["rear"], words="do the back now"))
    assert not agenda(consult(gb_cars, journal)).left_out


@pytest.mark.parametrize(
    ("words", "places", "leave"),
    [
        ("do the tyres now", {"nearside", "offside"}, False),
        ("skip to the rear", {"rear"}, False),
        ("can we do the bonnet first please", {"bonnet"}, False),
        ("leave out the back", {"rear"}, True),
        ("skip the driver's side", {"offside"}, True),
        ("do the dishes now", set(), False),
        ("skip it", set(), False),
    ],
)
def test_places_are_understood(gb_cars: Ruleset, words: str, places: set[str], leave: bool) -> None:
    heard = plan_of(words, gb_cars, None, dt.date(2026, 1, 15))
    assert set(heard.places if heard else ()) == places
    assert heard is None or heard.leave is leave


def test_time_runs_with_the_checks_and_not_with_the_clock(tiny: Ruleset) -> None:
    journal = start()
    journal.append(Planned(turn=1, minutes=5.0, words="5 minutes"))
    assert agenda(consult(tiny, journal)).budget == 5.0
    say(journal, "level", "full")
    took = minutes_for(tiny, [("level", "")], tiny.questions["level"]) + way(tiny)
    assert agenda(consult(tiny, journal)).budget == pytest.approx(5 - took)


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


def test_the_plan_sees_as_much_as_could_be_seen(gb_cars: Ruleset) -> None:
    walk, plan, best = compare_orders(gb_cars, ordinary())
    for row in (walk, plan, best):
        assert all(0 < all_ < seen < 1 for all_, seen in zip(row.of_all, row.of_seen, strict=True))
        assert list(row.of_seen) == sorted(row.of_seen)
    assert all(p <= b for p, b in zip(plan.of_seen, best.of_seen, strict=True))


def test_ten_minutes_ask_a_van_for_no_axle_loads(gb_cars: Ruleset) -> None:
    """They are opened by what car it is; without a limit they are asked."""
    journal = ordinary()
    say(journal, "body", "light_van")
    asked = {name for p in agenda(consult(gb_cars, journal)).prompts for name, _ in p.items}
    assert "axle_marking" in asked
    journal.append(Planned(turn=99, minutes=10, words="10 minutes"))
    plan = agenda(consult(gb_cars, journal))
    assert not any(name.startswith("axle_") for p in plan.prompts for name, _ in p.items)
    assert any(name == "axle_marking" for p in plan.left_out for name, _ in p.items)
