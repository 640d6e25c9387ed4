"""What a danger must not keep anybody from looking at, held to what others publish.

The Highway Code, annex 6, and the daily walk-round of the driving test ("show me, tell me") ask a
driver to look at the brake fluid, the belts, the wheels, the tyres and the lamps of a standing car
with its engine off. So no fault of brakes, wheels, belt, lamps, glass or oil pressure can make that
dangerous; fire and high voltage can. Which question asks for it was picked by reading them.
"""

from __future__ import annotations

import pytest

from assistant.ruleset.models import Act
from assistant.ruleset.ruleset import Ruleset

MILD = ("brake", "brake_leak", "wheel_loose", "belt", "sight_lamps", "sight_rain", "sight_glass",
        "oil_pressure")  # fmt: skip
ENGINE_OFF = (
    "brake_fluid_level", "wet_elsewhere", "wheel_wet", "drive_belt_signs", "wheel_nuts",
    "tyre_damage", "tyre_fit", "tread_depth", "rim_looks", "oil_level", "coolant_level",
    "headlamp_looks", "position_looks", "stop_looks", "indicator_looks", "reflector_looks",
)  # fmt: skip


@pytest.mark.parametrize("hazard", MILD)
def test_a_look_with_engine_and_ignition_off_is_never_forbidden(
    gb_cars: Ruleset, hazard: str
) -> None:
    forbids = set(gb_cars.hazards[hazard].forbids)
    for name in ENGINE_OFF:
        question = gb_cars.questions[name]
        for at in gb_cars.members(question.each):
            usual = forbids.isdisjoint(gb_cars.acts_of(name, at))
            safe = question.safely and forbids.isdisjoint(question.safely.acts)
            assert usual or safe, f"{hazard} forbids {name}"


def test_the_bonnet_waits_for_an_hour_after_heat(gb_cars: Ruleset) -> None:
    """GEM Motoring Assist and the RACQ wait from half an hour to hours; an hour was chosen."""
    heat = gb_cars.hazards["heat"]
    assert Act.BONNET in heat.forbids
    assert heat.cooled and Act.BONNET in heat.cooled.frees and Act.ENGINE not in heat.cooled.frees
    assert "hour" in heat.cooled.say
