"""The plan of a named time is the best under its rules: held against z3's optimiser.

Source of the check: z3 (Microsoft Research, MIT licence), which knows nothing of this packing.
"""

from __future__ import annotations

import pytest
import z3

from assistant.choosing.order import in_time, numbered_prompts, worth
from assistant.choosing.plan import STEP, _must, _steps
from assistant.ruleset.minutes import way
from assistant.ruleset.ruleset import Ruleset
from tests.reasoning.test_walk_order import a_car


@pytest.mark.parametrize("minutes", [4.0, 6.0, 8.0])
def test_no_other_plan_sees_more(gb_cars: Ruleset, minutes: float) -> None:
    journal = a_car("petrol 2015")
    prompts = numbered_prompts(gb_cars, journal)
    plan = [p for p in prompts if p.key in in_time(gb_cars, journal, prompts, minutes)]
    must = [p for p in prompts if _must(p, minutes)]
    rest = [p for p in prompts if not _must(p, minutes)]
    taken = {p.key: z3.Bool(p.key) for p in rest}
    there = {p.place for p in must}
    visited = {place: z3.Bool(f"at {place}") for place in {p.place for p in rest} - there}
    best = z3.Optimize()
    for prompt in rest:
        if prompt.place in visited:
            best.add(z3.Implies(taken[prompt.key], visited[prompt.place]))
        if prompt.why != "safety":
            first = [p for p in rest if p.place == prompt.place and p.why == "safety"]
            best.add(z3.Implies(taken[prompt.key], z3.And([taken[p.key] for p in first])))
    room = int((minutes - sum(p.minutes for p in must)) / STEP)
    steps = [(taken[p.key], _steps(p.minutes)) for p in rest]
    steps += [(at, _steps(way(gb_cars))) for at in visited.values()]
    best.add(z3.PbLe(steps, room))
    best.maximize(z3.Sum([z3.If(taken[p.key], round(p.worth * 10**6), 0) for p in rest]))
    assert best.check() == z3.sat
    model = best.model()
    found = sum(p.worth for p in rest if z3.is_true(model[taken[p.key]]))
    ours = worth(gb_cars, [p for p in plan if not _must(p, minutes)])[1]
    assert ours == pytest.approx(found, abs=1e-5) and ours > 0
