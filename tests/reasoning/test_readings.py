"""Readings with other answers in the place of some."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from random import Random

import pytest

from assistant.journal.entries import Context, Said, fold
from assistant.reasoning.facts import Readings
from assistant.ruleset.load import load_ruleset
from assistant.ruleset.ruleset import Ruleset
from tests.support.journals import JournalMaker

ROOT = Path(__file__).resolve().parent.parent.parent


def test_other_answers_give_what_readings_made_anew_would_give(gb_cars: Ruleset) -> None:
    maker, random = JournalMaker(gb_cars, seed=20261128), Random(20261128)
    compared = 0
    for _ in range(25):
        readings = Readings(gb_cars, fold(maker.journal()))
        items = [item for item in gb_cars.asked_items if gb_cars.graph.worked_from(item[0])]
        other = {
            (name, at): Said(turn=999, question=name, at=at, answer=maker.answer(name))
            for name, at in random.sample(items, 8)
        }
        now = readings.answered(other)
        anew = Readings(gb_cars, now.state)
        assert now.table == anew.table
        compared += now.table != readings.table
    assert compared > 15, "the other answers changed nothing"


def test_an_error_counts_once_for_a_number_that_counts_twice(gb_cars: Ruleset) -> None:
    """A gauge is out once, however many worked-out numbers the reading is in."""
    maker = JournalMaker(gb_cars, seed=1)
    found = 0
    for _ in range(40):
        readings = Readings(gb_cars, fold(maker.journal()))
        keys = [k for k, r in readings.table.items()
                if r.lo is not None and k[0] in gb_cars.questions
                and gb_cars.questions[k[0]].error]  # fmt: skip
        for key in keys:
            once = readings.with_errors([key]).table
            assert readings.with_errors([key, key]).table == once
            found += once[key] != readings.table[key]
    assert found > 20


@pytest.mark.parametrize("name", ["gb-cars", "eu-directive"])
def test_nothing_follows_where_nothing_was_said_of_what_it_is_made_from(name: str) -> None:
    """Readings do not ask the calculations then; each of them must have nothing to say."""
    ruleset = load_ruleset(ROOT / "rulesets" / name)
    empty = Readings(ruleset, fold([Context(today=dt.date(2026, 3, 2), ruleset=name)]))
    made = [one for one, sources in ruleset.graph.made_from.items() if sources]
    assert made and set(empty.table) == {("today", "")}
    for one in made:
        empty._work_out(one)
    assert set(empty.table) == {("today", "")}
