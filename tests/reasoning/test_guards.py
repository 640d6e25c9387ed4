"""What must not be asked after something was said, since doing it could hurt."""

from __future__ import annotations

import pytest

from assistant.authoring.check.cases import case_journal
from assistant.choosing.agenda import agenda
from assistant.reasoning.consultation import consult
from assistant.ruleset.models import Act, CaseAnswer
from assistant.ruleset.ruleset import Ruleset

STAYS_OFF = [
    {"now_oil": "yes"}, {"now_smoke": "plastic"}, {"now_heat": "red"}, {"now_fuel": "strong"},
    {"recent_signs": ["fuel_smell"]}, {"recent_signs": ["overheated"]},
    {"recent_signs": ["burning_smell"]}, {"recent_signs": ["fumes_inside"]},
    {"red_lamp_which": ["oil"]}, {"told_oil_lamp_on": "yes"}, {"told_overheating_noticed": "yes"},
    {"told_fumes_inside_noticed": "yes"}, {"steering_heavy_how": ["sudden"]},
]  # fmt: skip
NOTHING_MORE = [
    {"now_smoke": "flames"}, {"now_fuel": "drips"}, {"fuel_smell_where": ["drops"]},
    {"gas_system_signs": ["gas_hiss"]}, {"ground_patch": ["fuel_patch"]},
]  # fmt: skip


def asked(ruleset: Ruleset, answers: dict[str, CaseAnswer]) -> set[str]:
    plan = agenda(consult(ruleset, case_journal(ruleset, answers)))
    return {name for prompt in plan.prompts for name, _ in prompt.items if not prompt.safely}


@pytest.mark.parametrize("said", STAYS_OFF, ids=str)
def test_nothing_asks_to_start_an_engine_that_must_stay_off(
    gb_cars: Ruleset, said: dict[str, CaseAnswer]
) -> None:
    before, after = asked(gb_cars, {}), asked(gb_cars, said)
    running = {
        name
        for name, question in gb_cars.questions.items()
        for at in gb_cars.members(question.each)
        if Act.ENGINE in gb_cars.acts_of(name, at)
    }
    assert before & running and not after & running


@pytest.mark.parametrize("said", NOTHING_MORE, ids=str)
def test_nothing_more_is_asked_over_flames_fuel_and_gas(
    gb_cars: Ruleset, said: dict[str, CaseAnswer]
) -> None:
    assert asked(gb_cars, said) == set()


def test_a_leaking_battery_is_not_measured(gb_cars: Ruleset) -> None:
    weak: dict[str, CaseAnswer] = {"recent_events": ["slow_start"], "kit": ["multimeter"]}
    assert "battery_looks" in asked(gb_cars, weak)
    leaking: dict[str, CaseAnswer] = {**weak, "battery_looks": ["leaks"]}
    assert "battery_volts" not in asked(gb_cars, leaking)
    dry: dict[str, CaseAnswer] = {**leaking, "battery_looks": []}
    assert "battery_volts" in asked(gb_cars, dry)
