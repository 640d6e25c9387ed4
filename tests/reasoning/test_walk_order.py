"""The order of the walk: what it has seen by when, on four cars, beside the best of a search."""

from __future__ import annotations

import datetime as dt
import math
from random import Random

import pytest

from assistant.choosing.agenda import Prompt
from assistant.choosing.order import TIMES, cut_off, numbered_prompts, worth
from assistant.choosing.plan import time_for
from assistant.journal.entries import Entry
from assistant.ruleset.ruleset import Ruleset
from tests.support.saying import say, start

LEAST = (0.38, 0.52, 0.67)
"""What must have been seen at each of TIMES, as a share of what an owner can see."""
KIT = ["helper", "torch", "tread_gauge", "pressure_gauge", "tape"]
CARS = {
    "petrol 2015": (2015, "petrol", "car"),
    "diesel van 2019": (2019, "diesel", "light_van"),
    "electric 2022": (2022, "electric", "car"),
    "petrol 1998": (1998, "petrol", "car"),
}
QUICK = {"lamps_missing", "lamps_stay_on", "pedal_hold", "brake_fluid_level", "tread_depth",
         "stop_lamp"}  # fmt: skip
"""The quick safety checks: both looks at the warning lamps, the pedal under a steady foot, brake
fluid, tread on each side, stop lamps."""


def a_car(name: str) -> list[Entry]:
    year, fuel, body = CARS[name]
    journal = start("gb-cars", dt.date(2026, 3, 2))
    say(journal, "first_used", dt.date(year, 6, 14))
    say(journal, "fuel", fuel)
    say(journal, "body", body)
    say(journal, "equipment", ["electric_steering"] if year > 2000 else [])
    say(journal, "kit", KIT)
    return journal


def seen_by(ruleset: Ruleset, prompts: list[Prompt]) -> list[float]:
    """The share of what an owner can see, at each of TIMES."""
    every = worth(ruleset, prompts)[1]
    return [worth(ruleset, cut_off(ruleset, prompts, time))[1] / every for time in TIMES]


@pytest.mark.parametrize("car", CARS)
def test_the_first_minutes_find_most(gb_cars: Ruleset, car: str) -> None:
    prompts = numbered_prompts(gb_cars, a_car(car))
    shares = seen_by(gb_cars, prompts)
    late = [f"{s:.3f}" for s, least in zip(shares, LEAST, strict=True) if s < least]
    assert not late
    first = {name for p in prompts if p.round == 1 for name, _ in p.items}
    assert first >= QUICK
    last = max(n for n, p in enumerate(prompts) if p.why == "safety")
    assert time_for(gb_cars, prompts[: last + 1], None) <= 35


@pytest.mark.parametrize("car", CARS)
def test_a_question_counts_the_same_however_its_parts_are_grouped(
    gb_cars: Ruleset, car: str
) -> None:
    prompts = numbered_prompts(gb_cars, a_car(car))
    items = [item for p in prompts for item in p.items]
    assert len(items) == len(set(items))
    fails = 0.0
    for name in {name for name, _ in items}:
        question = gb_cars.questions[name]
        asked = sum(one == name for one, _ in items)
        if question.prior is not None:
            fails += question.prior.fails * asked / len(gb_cars.members(question.each))
    assert worth(gb_cars, prompts)[0] == pytest.approx(fails, abs=1e-12)


@pytest.mark.parametrize("car", ["petrol 2015", "electric 2022"])
def test_no_search_finds_a_much_better_order(gb_cars: Ruleset, car: str) -> None:
    """Annealing over orders of the same stops in two rounds, for the sum of the three shares.

    Its rules: the quick safety checks stay in the first round, safety is done by minute 35, and a
    stop is one block (what needs the helper, the engine or straight wheels together stays so).
    """
    random, prompts = Random(7), numbered_prompts(gb_cars, a_car(car))
    memory = [p for p in prompts if p.why == "recent drives"]
    stops: dict[tuple[int, str], list[Prompt]] = {}
    for prompt in prompts:
        if prompt not in memory:
            found = gb_cars.asked_at(*prompt.items[0])
            assert found is not None
            number = found[0]
            stops.setdefault((number, prompt.place), []).append(prompt)

    def score(order: list[tuple[int, str]]) -> float:
        walked = [*memory, *(p for key in order for p in stops[key])]
        last = max(n for n, p in enumerate(walked) if p.why == "safety")
        late = time_for(gb_cars, walked[: last + 1], None) > 35
        return sum(seen_by(gb_cars, walked)) - late

    now = list(stops)
    ours = best = value = score(now)
    for step in range(1500):
        heat = 0.05 * (1 - step / 1500) + 1e-4
        a, b = random.sample(range(len(now)), 2)
        other = [*now]
        other.insert(b, other.pop(a))
        rounds = [gb_cars.stops[number].round for number, _ in other]
        if rounds != sorted(rounds):
            continue
        changed = score(other)
        if changed >= value or random.random() < math.exp((changed - value) / heat):
            now, value = other, changed
            best = max(best, value)
    assert ours >= 0.9 * best, (ours, best)
