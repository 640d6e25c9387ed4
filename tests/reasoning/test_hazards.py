"""What a danger forbids, what releases it, and which of three headlines a consultation has.

What each hazard forbids is checked by things outside the project in tests/outside_checks.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

import pytest

from assistant.authoring.check.cases import case_journal
from assistant.choosing.agenda import Agenda, agenda
from assistant.journal.entries import Entry, Picked, Released, Worry
from assistant.reasoning.consultation import Consultation, consult
from assistant.ruleset.models import Act, CaseAnswer, Urgency
from assistant.ruleset.ruleset import Ruleset
from tests.support.saying import say

Answers = Mapping[str, CaseAnswer]
PLACE_BOUND = {Act.NEAR, Act.BONNET, Act.ENGINE, Act.IGNITION}


def told(journal: list[Entry], words: str, *dangers: str) -> int:
    turn = max(e.turn for e in journal) + 1
    journal.append(Worry(turn=turn, words=words, dangers=dangers))
    journal.append(Picked(turn=turn, of=turn))
    return turn


def release(journal: list[Entry], hazard: str, how: str) -> None:
    turn = max(e.turn for e in journal) + 1
    journal.append(Released.model_validate({"turn": turn, "hazard": hazard, "how": how}))


@pytest.fixture
def car(gb_cars: Ruleset) -> Callable[..., list[Entry]]:
    def made(answers: Answers | None = None) -> list[Entry]:
        return case_journal(gb_cars, {"fuel": "petrol", "body": "car", **(answers or {})})

    return made


def asked_acts(now: Consultation, plan: Agenda) -> set[Act]:
    """All acts that what is asked makes a person do."""
    found: set[Act] = set()
    for prompt in plan.prompts:
        for question, at in prompt.items:
            usual = now.ruleset.acts_of(question, at)
            found |= set(prompt.safely.acts) if prompt.safely else usual
    return found


@pytest.mark.parametrize(
    "answers",
    [
        {"now_fuel": "strong"}, {"now_smoke": "plastic"}, {"now_heat": "red"}, {"now_oil": "yes"},
        {"now_fumes": "yes"}, {"told_charging_lamp_on": "yes"}, {"now_steering": "sticks"},
        {"now_engine_lamp": "flashing"}, {"wheel_nuts": "more"},
        {"fuel": "electric", "orange_cables": "damaged"},
        {"now_fuel": "strong", "wheel_nuts": "more", "now_oil": "yes"},
    ],
    ids=lambda answers: " ".join(answers),
)  # fmt: skip
def test_nothing_is_asked_that_a_standing_danger_forbids(
    gb_cars: Ruleset, car: Callable[..., list[Entry]], answers: Answers
) -> None:
    now = consult(gb_cars, car(answers))
    plan = agenda(now)
    assert now.hazards.forbids and plan.prompts and plan.forbidden
    assert not asked_acts(now, plan) & now.hazards.forbids
    assert set(plan.forbidden) <= set(gb_cars.asked_items)
    before = agenda(consult(gb_cars, car()))
    assert asked_acts(now, before) & now.hazards.forbids, "what is left out is asked otherwise"


def test_what_all_of_them_forbid_counts_together(
    gb_cars: Ruleset, car: Callable[..., list[Entry]]
) -> None:
    one = consult(gb_cars, car({"now_oil": "yes"})).hazards.forbids
    two = consult(gb_cars, car({"wheel_nuts": "more"})).hazards.forbids
    both = consult(gb_cars, car({"now_oil": "yes", "wheel_nuts": "more"})).hazards.forbids
    assert one | two == both and one != both != two


WAITS = [
    ({"now_fuel": "drips"}, "fuel_leak"), ({"now_smoke": "flames"}, "fire_now"),
]  # fmt: skip


@pytest.mark.parametrize(("answers", "hazard"), WAITS, ids=["fuel", "flames"])
def test_nothing_more_is_asked_until_somebody_has_dealt_with_it(
    gb_cars: Ruleset, car: Callable[..., list[Entry]], answers: Answers, hazard: str
) -> None:
    journal = car(answers)
    (only,) = agenda(consult(gb_cars, journal)).prompts
    assert only.why == "waits" and only.hazard is not None and only.hazard.name == hazard
    release(journal, hazard, "go_on")
    now = consult(gb_cars, journal)
    assert now.hazards.waiting is None and now.headline.urgency is Urgency.STOP_NOW
    assert not asked_acts(now, agenda(now)) & now.hazards.forbids
    assert Act.NEAR in now.hazards.forbids, "the walk is open, and what was forbidden still is"
    say(journal, next(iter(answers)), next(iter(answers.values())))
    assert agenda(consult(gb_cars, journal)).prompts[0].why == "waits", "told again"


def test_time_that_is_over_frees_some_and_a_garage_frees_the_rest(
    gb_cars: Ruleset, car: Callable[..., list[Entry]]
) -> None:
    journal = car({"now_heat": "red"})
    hot = consult(gb_cars, journal).hazards.forbids
    assert {Act.BONNET, Act.ENGINE} <= hot
    release(journal, "heat", "cooled")
    cold = consult(gb_cars, journal)
    assert cold.hazards.forbids == hot - set(gb_cars.hazards["heat"].cooled.frees)  # type: ignore[union-attr]
    assert cold.headline.urgency is Urgency.STOP_NOW
    release(journal, "heat", "garage")
    mended = consult(gb_cars, journal)
    assert not mended.hazards.standing and mended.headline.kind == "cannot_say"
    assert [rule.rule for rule in mended.hazards.ended] == ["heat_cannot_wait"]


def test_a_garages_word_does_not_end_what_was_seen(
    gb_cars: Ruleset, car: Callable[..., list[Entry]]
) -> None:
    journal = car({"wheel_nuts": "more"})
    release(journal, "wheel_loose", "garage")
    now = consult(gb_cars, journal)
    assert now.headline.urgency is Urgency.DO_NOT_DRIVE and now.hazards.standing


def test_a_danger_that_gives_way_keeps_what_it_forbids(
    gb_cars: Ruleset, car: Callable[..., list[Entry]]
) -> None:
    now = consult(gb_cars, car({"now_fuel": "drips"}))
    shown = {f.rule.rule for f in now.findings}
    assert "fuel_drips_now" in shown and "fuel_cannot_wait" not in shown
    assert {"fuel_leak", "fuel_strong"} <= {one.name for one in now.hazards.standing}


# told in own words ----------------------------------------------------------------------


def test_a_told_danger_stands_until_something_said_later_rules_it_out(
    gb_cars: Ruleset, car: Callable[..., list[Entry]]
) -> None:
    journal = car({"now_oil": "no"})
    told(journal, "the oil can came on", "red_oil_lamp")
    now = consult(gb_cars, journal)
    assert [one.name for one in now.told] == ["red_oil_lamp"], "what was said before is no proof"
    assert now.headline.urgency is Urgency.STOP_NOW and Act.ENGINE in now.hazards.forbids
    assert [p.question for p in agenda(now).prompts][:1] == ["now_oil"], "it is asked again"
    say(journal, "now_oil", "dont_know")
    assert consult(gb_cars, journal).told, "not knowing rules nothing out"
    say(journal, "now_oil", "no")
    later = consult(gb_cars, journal)
    assert not later.told and [one.name for one in later.lifted] == ["red_oil_lamp"]


def test_a_told_danger_can_be_seen_to_be_less(
    gb_cars: Ruleset, car: Callable[..., list[Entry]]
) -> None:
    journal = car()
    told(journal, "the battery lamp came on", "charging_lamp_or_belt")
    assert consult(gb_cars, journal).headline.urgency is Urgency.STOP_NOW
    say(journal, "charge_lamp_heat", "normal")
    assert consult(gb_cars, journal).headline.urgency is Urgency.STOP_NOW
    say(journal, "drive_belt_signs", [])
    head = consult(gb_cars, journal).headline
    assert (head.kind, head.urgency) == ("danger", Urgency.GENTLY_TO_GARAGE)
    assert head.conditions == ("not after dark, not in rain",)


def test_a_garages_word_ends_a_told_danger_that_was_told_before_it(
    gb_cars: Ruleset, car: Callable[..., list[Entry]]
) -> None:
    journal = car()
    told(journal, "a wheel is coming off", "wheel_loose")
    release(journal, "wheel_loose", "garage")
    assert not consult(gb_cars, journal).told
    told(journal, "it wobbles again", "wheel_loose")
    assert consult(gb_cars, journal).told


def test_one_danger_is_not_listed_twice(gb_cars: Ruleset, car: Callable[..., list[Entry]]) -> None:
    journal = car()
    told(journal, "no oil pressure", "red_oil_lamp")
    assert len(consult(gb_cars, journal).told_alone) == 1
    say(journal, "now_oil", "yes")
    now = consult(gb_cars, journal)
    assert now.told and not now.told_alone


# three headlines ------------------------------------------------------------------------


def sound(ruleset: Ruleset, journal: list[Entry]) -> None:
    """Answers every safety check that is asked with what is fine."""
    fine: dict[str, object] = {
        "lamps_missing": [], "lamps_stay_on": [], "recent_signs": [], "pedal_hold": "holds",
        "brake_fluid_level": "between", "steering_play": 5, "stop_lamp": "lit",
        "old_stop_lamps": "bright_red", "tread_depth": 5, "tyre_damage": [],
        "wheel_nuts": "all_there",
    }  # fmt: skip
    for name, at in gb_cars_safety(ruleset):
        question = ruleset.questions[name]
        value = fine.get(name)
        if value is None or (isinstance(value, str) and value not in question.words()):
            value = [] if question.kind == "some_of" else question.fine or question.words()[0]
        say(journal, f"{name}@{at}" if at else name, value)


def gb_cars_safety(ruleset: Ruleset) -> Sequence[tuple[str, str]]:
    return [
        (name, at)
        for name, at in ruleset.asked_items
        if ruleset.questions[name].safety and ruleset.questions[name].asked == "walk"
    ]


def test_three_answers_are_never_enough(gb_cars: Ruleset, car: Callable[..., list[Entry]]) -> None:
    head = consult(gb_cars, car({"wheel_nuts": "all_there"})).headline
    assert head.kind == "cannot_say" and head.urgency is Urgency.NOTHING
    assert {"pedal_hold", "tread_depth"} <= {one.question for one in head.unseen}


def test_an_unseen_safety_check_alone_is_no_danger_and_keeps_the_car_from_nothing(
    gb_cars: Ruleset, car: Callable[..., list[Entry]]
) -> None:
    journal = car()
    sound(gb_cars, journal)
    assert consult(gb_cars, journal).headline.kind == "nothing"
    for name in ("pedal_hold", "brake_fluid_level", "wheel_nuts@front_offside"):
        unseen = list(journal)
        say(unseen, name, "dont_know")
        head = consult(gb_cars, unseen).headline
        assert head.kind == "cannot_say", name
        assert [one.question for one in head.unseen][:1] == [name.partition("@")[0]]


def test_another_form_of_a_check_answers_it(
    gb_cars: Ruleset, car: Callable[..., list[Entry]]
) -> None:
    journal = car()
    sound(gb_cars, journal)
    for at in gb_cars.members("wheels"):
        say(journal, f"tread_depth@{at}", "cant_look")
    assert consult(gb_cars, journal).headline.kind == "cannot_say"
    for at in gb_cars.members("wheels"):
        say(journal, f"wear_bars@{at}", "clear")
    assert consult(gb_cars, journal).headline.kind == "nothing"


def test_a_worry_that_names_nothing_known_cannot_be_said_and_comfort_changes_nothing(
    gb_cars: Ruleset, car: Callable[..., list[Entry]]
) -> None:
    journal = car()
    sound(gb_cars, journal)
    comfort = list(journal)
    turn = max(e.turn for e in journal) + 1
    comfort.append(Worry(turn=turn, words="the radio cuts out", comfort=True))
    assert consult(gb_cars, comfort).headline.kind == "nothing"
    told(journal, "it just feels wrong")
    head = consult(gb_cars, journal).headline
    assert head.kind == "cannot_say" and [w.words for w in head.worries] == ["it just feels wrong"]


def test_a_condition_alone_is_a_danger(gb_cars: Ruleset, car: Callable[..., list[Entry]]) -> None:
    journal = car()
    sound(gb_cars, journal)
    say(journal, "dipped_beam@offside", "out")
    head = consult(gb_cars, journal).headline
    assert head.kind == "danger" and any("dark" in one for one in head.conditions)
    assert head.urgency is not Urgency.NOTHING


SILENT = ("fire_now", "fuel_leak", "gas_leak", "high_voltage_fire", "person", "live_road")


def test_fire_and_high_voltage_keep_people_away(gb_cars: Ruleset) -> None:
    for hazard in ("fire_now", "high_voltage_fire", "high_voltage", "fuel_leak", "gas_leak"):
        assert {Act.BONNET, Act.NEAR} <= set(gb_cars.hazards[hazard].forbids)


@pytest.mark.parametrize("hazard", SILENT)
def test_nothing_more_is_asked_while_it_burns_leaks_or_somebody_is_hurt(
    gb_cars: Ruleset, hazard: str
) -> None:
    assert gb_cars.hazards[hazard].nothing_more
    assert gb_cars.hazards[hazard].cooled is None


def test_people_come_before_fire_and_fire_before_the_rest(gb_cars: Ruleset) -> None:
    assert list(gb_cars.hazards)[:7] == [
        "person", "fire_now", "high_voltage_fire", "gas_leak", "fuel_leak", "fumes", "live_road",
    ]  # fmt: skip


def test_no_time_alone_lets_anybody_drive_or_start(gb_cars: Ruleset) -> None:
    for name, hazard in gb_cars.hazards.items():
        freed = set(hazard.cooled.frees) if hazard.cooled else set()
        assert freed.isdisjoint({Act.ENGINE, Act.IGNITION, Act.DRIVEN, Act.MOVED}), name
