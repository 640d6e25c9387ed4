"""Coverage of the standard: nothing missing, and a hole is noticed."""

from __future__ import annotations

from dataclasses import replace

from assistant.authoring.check.cover import cover, cover_problems
from assistant.ruleset.models import StandardRow
from assistant.ruleset.ruleset import Ruleset


def test_every_row_of_the_standard_is_accounted_for(gb_cars: Ruleset) -> None:
    assert cover_problems(gb_cars) == []
    states = {row.state for row in cover(gb_cars)}
    assert states == {"decided", "not a defect", "tester only"}


def test_a_row_that_no_rule_decides_is_missing(gb_cars: Ruleset) -> None:
    more = {**gb_cars.standard, "99.9": StandardRow(result="major", owner="yes")}
    assert cover_problems(replace(gb_cars, standard=more)) == ["99.9: no rule decides it."]


def test_a_category_that_differs_is_named(gb_cars: Ruleset) -> None:
    other = {**gb_cars.standard, "1.1.2(a)": StandardRow(result="minor", owner="yes")}
    (problem,) = cover_problems(replace(gb_cars, standard=other))
    assert problem.startswith("1.1.2(a): ") and "the standard says minor" in problem
