"""What people say against what is offered: 400 lay phrases, half of them never seen.

lay_phrases.tsv: symptom, phrase, half. Source: written on 25 November 2026 by a writer who saw only
a list of the symptoms, before words.yaml was written; split at random then. Whoever wrote
words.yaml saw the half marked "seen". First measured on the unseen half: 94 % first, 98 % among the
first three, before anything was changed by it.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.ruleset.ruleset import Ruleset
from assistant.talk.worries import dangers_in, nearest

PHRASES = [
    line.split("\t")
    for line in (Path(__file__).parent / "lay_phrases.tsv").read_text("utf-8").splitlines()
]


def share(ruleset: Ruleset, half: str, most: int) -> float:
    rows = [(symptom, phrase) for symptom, phrase, which in PHRASES if which == half]
    hits = sum(symptom in [m.name for m in nearest(ruleset, phrase)[:most]]
               for symptom, phrase in rows)  # fmt: skip
    return hits / len(rows)


def test_there_are_enough_phrases_and_both_halves_cover_every_symptom() -> None:
    assert len(PHRASES) >= 300
    for half in ("seen", "unseen"):
        assert len({symptom for symptom, _, which in PHRASES if which == half}) == 100


def test_the_right_symptom_is_among_the_first_three_of_the_unseen_half(gb_cars: Ruleset) -> None:
    first, three = share(gb_cars, "unseen", 1), share(gb_cars, "unseen", 3)
    print(f"unseen half: {first:.1%} first, {three:.1%} among the first three")
    assert three >= 0.95


@pytest.mark.parametrize(
    ("words", "danger"),
    [
        ("my breaks feel funny", "brakes"), ("BRAKES!!", "brakes"),
        ("it wont stop properly hard to stop", "brakes"), ("the stearing is odd", "steering"),
        ("smoke from the bonnet", "smoke_and_fire"), ("smells of petrol inside", "fuel"),
        ("red oil light came on", "oil_pressure"), ("it is overheeting", "overheating"),
        ("check engine light blinking", "engine_lamp"),
        ("exhaust fumes in the car", "fumes_inside"),
    ],
)  # fmt: skip
def test_words_that_could_mean_a_danger_are_heard(
    gb_cars: Ruleset, words: str, danger: str
) -> None:
    """The list of dangers is the one the project was asked to cover; the words are ours."""
    assert danger in dangers_in(gb_cars, words)


def test_every_phrase_about_a_danger_symptom_of_brakes_or_steering_is_heard_as_one(
    gb_cars: Ruleset,
) -> None:
    """Not every phrase can: "goes to the floor" alone names no part. Nine in ten do."""
    wanted = {"soft_brake_pedal", "pedal_sinks", "hard_brake_pedal", "grinds_when_braking"}
    rows = [(s, p) for s, p, _ in PHRASES if s in wanted]
    heard = [p for _, p in rows if dangers_in(gb_cars, p)]
    assert len(heard) >= 0.8 * len(rows), [p for _, p in rows if p not in heard]
