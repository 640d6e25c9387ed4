"""Readings with other answers in the place of some."""

from __future__ import annotations

from random import Random

from assistant.knowledge.journal import Said, fold
from assistant.knowledge.ruleset import Ruleset
from assistant.reasoning.facts import Readings
from tests.support.journals import JournalMaker


def test_other_answers_give_what_readings_made_anew_would_give(gb_cars: Ruleset) -> None:
    maker, random = JournalMaker(gb_cars, seed=20261128), Random(20261128)
    compared = 0
    for _ in range(25):
        readings = Readings(gb_cars, fold(maker.journal()))
        items = [item for item in gb_cars.asked_items() if gb_cars.worked_from(item[0])]
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
