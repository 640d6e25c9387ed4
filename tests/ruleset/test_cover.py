"""Coverage of the standard: nothing missing, and a hole is noticed."""

from __future__ import annotations

import argparse
import re
from dataclasses import replace

import pytest

from assistant.authoring.check.cover import cover, cover_counts, cover_problems
from assistant.authoring.command import run_rules
from assistant.ruleset.ruleset import Ruleset
from assistant.ruleset.standard_file import StandardRow


def test_every_row_of_the_standard_is_accounted_for(gb_cars: Ruleset) -> None:
    assert cover_problems(gb_cars) == []
    states = {row.state for row in cover(gb_cars)}
    assert states == {"decided", "not a defect", "tester only", "left out"}


def test_a_row_that_no_rule_decides_is_missing(gb_cars: Ruleset) -> None:
    more = {**gb_cars.standard, "99.9": StandardRow(result="major", owner="yes")}
    assert cover_problems(replace(gb_cars, standard=more)) == ["99.9: no rule decides it."]


def test_a_category_that_differs_is_named(gb_cars: Ruleset) -> None:
    other = {**gb_cars.standard, "1.1.2(a)": StandardRow(result="minor", owner="yes")}
    (problem,) = cover_problems(replace(gb_cars, standard=other))
    assert problem.startswith("1.1.2(a): ") and "the standard says minor" in problem


def test_only_rare_equipment_is_left_out_of_what_an_owner_can_see(gb_cars: Ruleset) -> None:
    left = [row.by[0] for row in cover(gb_cars) if row.state == "left out"]
    assert left
    for why in left:
        assert re.search(r"\bfew\b|hardly any|only some old|more than 8 passenger seats", why), why


def test_a_row_that_is_decided_may_not_say_why_it_is_left_out(gb_cars: Ruleset) -> None:
    row = gb_cars.standard["1.1.2(a)"].model_copy(update={"left": "Rare."})
    more = {**gb_cars.standard, "1.1.2(a)": row}
    assert cover_problems(replace(gb_cars, standard=more)) == [
        "1.1.2(a): it says why it is left out, but it is decided."
    ]


def test_rows_are_counted_by_section(gb_cars: Ruleset) -> None:
    rows = cover(gb_cars)
    *sections, total = cover_counts(rows)
    assert total.startswith(f"All sections: {len(rows)} rows. ")
    assert sum(int(re.findall(r"\d+", line)[1]) for line in sections) == len(rows)
    assert "Section 9: 5 rows. 5 left out." in sections


def test_the_command_says_what_it_counts_and_what_was_not_read(
    gb_cars: Ruleset, capsys: pytest.CaptureFixture[str]
) -> None:
    options = argparse.Namespace(rules_command="cover", folder="x")
    assert run_rules(options, lambda name: gb_cars, print, lambda *_: 0) == 0
    said = capsys.readouterr().out
    assert "rows of our own table, which may lack lines" in said
    for text in ("Section 9,", "Section 10,", "item 3.3"):
        assert text in said.partition("Not read:")[2]
