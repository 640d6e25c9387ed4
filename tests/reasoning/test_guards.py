"""What must not be asked after something was said, since doing it could hurt."""

from __future__ import annotations

import re

import pytest

from assistant.knowledge.models import CaseAnswer
from assistant.knowledge.ruleset import Ruleset
from assistant.reasoning.agenda import agenda
from assistant.reasoning.cases import case_journal
from assistant.reasoning.consultation import consult

RUNNING = re.compile(r"start the engine|engine running|engine idling|engine on\b|idle for", re.I)
NEED_NOT_RUN = {
    "flash_count": "only where the flashing is slow; the switched-on ignition does",
    "dim_brightens": "a lamp that brightens may be watched from recent drives too",
    "mirror_view": "a mirror may be looked at with the engine off",
    "front_fog": "most light with the ignition on",
}
STAYS_OFF = [
    {"now_oil": "yes"}, {"now_fuel": "drips"}, {"now_smoke": "flames"}, {"now_heat": "red"},
    {"told_oil_lamp_on": "yes"}, {"told_overheating_noticed": "yes"},
]  # fmt: skip


def asked(ruleset: Ruleset, answers: dict[str, CaseAnswer]) -> set[str]:
    plan = agenda(consult(ruleset, case_journal(ruleset, answers)))
    return {name for prompt in plan.prompts for name, _ in prompt.items}


def test_every_check_with_the_engine_running_is_guarded_or_named(gb_cars: Ruleset) -> None:
    running = {
        name
        for name, q in gb_cars.questions.items()
        if q.place != "recent_drives" and RUNNING.search(f"{q.ask} {q.how}")
    }
    unguarded = {n for n in running if not gb_cars.questions[n].not_when}
    about_off = {n for n in unguarded if "engine off" in gb_cars.questions[n].how.lower()}
    assert len(running - unguarded) >= 8
    assert unguarded - about_off - NEED_NOT_RUN.keys() == set()


@pytest.mark.parametrize("said", STAYS_OFF, ids=lambda s: next(iter(s)))
def test_nothing_asks_to_start_an_engine_that_must_stay_off(
    gb_cars: Ruleset, said: dict[str, CaseAnswer]
) -> None:
    before, after = asked(gb_cars, {}), asked(gb_cars, said)
    guarded = {n for n, q in gb_cars.questions.items() if "engine_stays_off_now" in str(q.not_when)}
    assert before & guarded and not after & guarded
    left = consult(gb_cars, case_journal(gb_cars, said)).not_asked
    assert {"servo_dip", "lamps_stay_on"} <= {name for name, _ in left}


def test_a_leaking_battery_is_not_measured(gb_cars: Ruleset) -> None:
    weak: dict[str, CaseAnswer] = {"told_slow_starting": "yes", "kit": ["multimeter"]}
    assert "battery_volts" in asked(gb_cars, weak) or "battery_age" in asked(gb_cars, weak)
    leaking = {**weak, "recent_signs": ["slow_start"], "battery_looks": ["leaks"]}
    assert "battery_volts" not in asked(gb_cars, leaking)
    dry = {**leaking, "battery_looks": []}
    assert "battery_volts" in asked(gb_cars, dry)
