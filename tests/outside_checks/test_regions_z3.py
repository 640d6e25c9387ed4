"""The own check of what can be at once (authoring/check/regions.py) beside a theorem prover.

Outside source: z3, through z3-solver, on formulas written from the syntax trees
(tests/support/z3_form.py). "Impossible" must always be the same; where something is worked out by
a calculation that z3 is not told, both leave it free.
"""

from __future__ import annotations

from collections import defaultdict
from itertools import combinations
from random import Random

import pytest
import z3

from assistant.authoring.check.overlaps import found_by_family
from assistant.authoring.check.regions import Goal, Regions
from assistant.ruleset.condition import leaves
from assistant.ruleset.ruleset import Inference, Ruleset
from tests.support.z3_form import Z3Ruleset


@pytest.fixture(scope="module")
def form(gb_cars: Ruleset) -> Z3Ruleset:
    return Z3Ruleset(gb_cars)


def agree(form: Z3Ruleset, regions: Regions, goals: list[Goal]) -> bool:
    """Whether both say the same; returns whether the goals are possible."""
    own = regions.possible(goals) is not None
    formulas = []
    for goal in goals:
        formula = form.formula(goal.node, goal.at, goal.want)
        formulas.append(formula if goal.sure else z3.Not(formula))
    other = form.possible(formulas, [(goal.node, goal.at) for goal in goals]) is not None
    assert own == other, f"own: {own}, z3: {other}, of {goals}"
    return own


def goal(regions: Regions, inference: Inference, want: bool = True, sure: bool = True) -> Goal:
    return Goal(inference.condition, regions.part(inference.axis), want, sure)


def test_the_same_pairs_of_one_item_are_certain_together(form: Z3Ruleset) -> None:
    regions = Regions(form.ruleset)
    seen = {True: 0, False: 0}
    for rules in found_by_family(form.ruleset).values():
        for (one, first), (two, second) in combinations(rules, 2):
            assert first.finds and second.finds
            if first.finds.category != second.finds.category:
                seen[agree(form, regions, [goal(regions, one), goal(regions, two)])] += 1
    assert min(seen.values()) > 30


def test_the_same_rules_hold_only_where_another_holds(form: Z3Ruleset) -> None:
    regions = Regions(form.ruleset)
    seen = {True: 0, False: 0}
    for rules in found_by_family(form.ruleset).values():
        for one, first in rules:
            for two, second in rules:
                if one is not two and first.finds == second.finds:
                    apart = [goal(regions, one), goal(regions, two, sure=False)]
                    seen[agree(form, regions, apart)] += 1
    assert seen[True] > 30


def test_chance_groups_of_conditions_that_read_the_same_agree(form: Z3Ruleset) -> None:
    regions, random = Regions(form.ruleset), Random(20260115)
    readers: dict[str, list[Inference]] = defaultdict(list)
    for inference in form.ruleset.rules:
        for leaf in leaves(inference.condition):
            readers[leaf.name].append(inference)
    shared = sorted(name for name, users in readers.items() if len(users) >= 3)
    seen = {True: 0, False: 0}
    for _ in range(400):
        rules = random.sample(readers[random.choice(shared)], 3)
        goals = [
            goal(regions, i, random.random() < 0.6, random.random() < 0.7) for i in rules
        ]  # fmt: skip
        seen[agree(form, regions, goals)] += 1
    assert min(seen.values()) > 40


def test_a_difference_is_followed_at_both_its_ends(form: Z3Ruleset) -> None:
    """A cut that is certainly over a limit of 25 mm or more is certainly no cut of 25 mm or less,
    but a cut that is not certainly over it may be."""
    regions = Regions(form.ruleset)
    rules = {i.name: i for i in form.ruleset.rules}
    over, within = rules["tyre_cut_over_limit"], rules["tyre_cut_within_limit"]
    open_within = goal(regions, within, want=False, sure=False)
    assert not agree(form, regions, [goal(regions, over), open_within])
    assert agree(form, regions, [goal(regions, over, sure=False), open_within])


def test_what_is_worked_out_from_several_answers_needs_each(form: Z3Ruleset) -> None:
    """No part of the windscreen is known while the place of the damage is not."""
    regions = Regions(form.ruleset)
    rules = {i.name: i for i in form.ruleset.rules}
    place_open = goal(regions, rules["screen_damage_zone_open"])
    assert not agree(form, regions, [place_open, goal(regions, rules["screen_damage_driver"])])
    assert agree(form, regions, [place_open, goal(regions, rules["screen_damage_view_open"])])


def test_a_kind_of_car_that_is_shown_meets_the_goals(form: Z3Ruleset) -> None:
    """What is shown beside a contradiction is a narrowing of it that z3 finds possible too."""
    regions = Regions(form.ruleset)
    rules = {i.name: i for i in form.ruleset.rules}
    one = rules["tread_too_low"]
    world = regions.possible([goal(regions, one)])
    assert world is not None
    assert "below 1.6" in regions.in_words(world)
