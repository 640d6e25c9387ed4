"""Several numbers in one answer."""

from __future__ import annotations

import datetime as dt

import pytest

from assistant.reading.number_groups import understand_numbers
from assistant.reading.result import GroupItem, NumbersHeard, Unclear
from assistant.ruleset.ruleset import Ruleset

ITEMS = [
    GroupItem("depth", "front_left", "front left depth", ("fl", "front near")),
    GroupItem("depth", "rear_left", "rear left depth", ("rl", "back")),
]


def hear(tiny: Ruleset, words: str) -> NumbersHeard | Unclear:
    return understand_numbers(words, ITEMS, tiny.questions["depth"], today=dt.date(2026, 1, 15))


@pytest.mark.parametrize(
    ("words", "values", "sure"),
    [
        ("5, 4.5", [(5, 5), (4.5, 4.5)], True),
        ("5; 4.5", [(5, 5), (4.5, 4.5)], True),
        ("5 and 4", [(5, 5), (4, 4)], True),
        ("5 4", [(5, 5), (4, 4)], True),
        ("5 mm 4 mm", [(5, 5), (4, 4)], True),
        ("5,4", [(5, 5), (4, 4)], False),
        ("both 5", [(5, 5), (5, 5)], True),
        ("5 each", [(5, 5), (5, 5)], True),
        ("about 4 on both", [(3.5, 4.5), (3.5, 4.5)], True),
        ("between 4 and 5, 3", [(4, 5), (3, 3)], True),
        ("rear left 3 and front left 4", [(4, 4), (3, 3)], True),
        ("rear 3", [None, (3, 3)], True),
        ("fl: 5, back: about 4", [(5, 5), (3.5, 4.5)], True),
    ],
)
def test_numbers_go_to_their_items(
    tiny: Ruleset, words: str, values: list[tuple[float, float] | None], sure: bool
) -> None:
    heard = hear(tiny, words)
    assert isinstance(heard, NumbersHeard)
    got = [None if a is None else (a.lo, a.hi) for a in heard.answers]
    assert got == values
    assert heard.sure is sure


@pytest.mark.parametrize("words", ["don't know", "can't look", "no idea"])
def test_a_refusal_goes_for_all(tiny: Ruleset, words: str) -> None:
    heard = hear(tiny, words)
    assert isinstance(heard, NumbersHeard)
    assert {a.state for a in heard.answers if a} <= {"dont_know", "cant_look"}
    assert None not in heard.answers


def test_one_refusal_among_numbers(tiny: Ruleset) -> None:
    heard = hear(tiny, "5, don't know")
    assert isinstance(heard, NumbersHeard)
    assert [a.state for a in heard.answers if a] == ["value", "dont_know"]


@pytest.mark.parametrize(
    "words", ["5", "5, 4, 3", "banana", "all", "5, banana", "5, 160", "", ", ,"]
)
def test_what_does_not_come_out_even_is_asked_again(tiny: Ruleset, words: str) -> None:
    heard = hear(tiny, words)
    assert isinstance(heard, Unclear)
    assert heard.message
