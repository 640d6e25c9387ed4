"""What is most likely, what stays open, and what only a garage can measure.

A cause is most likely only where the answers have raised its share; up to four fifths it is still
said that it is not certain.
"""

from __future__ import annotations

import pytest

from assistant.choosing.next_check import SETTLED
from assistant.reasoning.consultation import SymptomFound, consult
from assistant.report.summary import IF_NO_HELP, MUST_MEASURE, symptom_lines
from assistant.ruleset.ruleset import Ruleset, told
from tests.support.saying import say, start


def said_of(ruleset: Ruleset, symptom: str, **answers: object) -> tuple[SymptomFound, str]:
    """A symptom after some answers, and what is said of it."""
    journal = start(ruleset.about.name)
    say(journal, told(symptom), "yes")
    for question, value in answers.items():
        say(journal, question, value)
    now = consult(ruleset, journal)
    (found,) = [one for one in now.symptoms if one.symptom.symptom == symptom]
    return found, "\n".join(line.text for line in symptom_lines(now, found))


def test_commonness_alone_is_no_cause(gb_cars: Ruleset) -> None:
    """A bulb is behind 85 of 100 dark headlamps; told alone, nothing is most likely."""
    found, text = said_of(gb_cars, "headlamp_dark")
    assert found.likely is None and found.causes[0].share > SETTLED
    assert f"Which of them it is stays open. {MUST_MEASURE}" in text


def test_what_the_answers_speak_against_is_not_most_likely(gb_cars: Ruleset) -> None:
    """A disc comes first still, but felt from the back it is less likely than before."""
    answers = {"braking_signs": ["shook_gently"], "judder_felt": "seat"}
    found, text = said_of(gb_cars, "shakes_when_braking", **answers)
    assert found.causes[0].cause.cause == "uneven_disc" and found.causes[0].share > 0.5
    assert found.likely is None
    assert "stays open" in text


@pytest.mark.parametrize(
    ("symptom", "answers", "ending"),
    [
        ("locks_alone", {"locks_when": "no_pattern", "locks_wet": "yes"}, MUST_MEASURE),
        ("hesitates", {"starts_longer": "yes", "idle_smooth": "yes"}, MUST_MEASURE),
        ("musty_vents", {"filter_year": "no", "musty_first": "all_the_time"}, IF_NO_HELP),
    ],
)
def test_what_is_not_certain_ends_with_a_garage(
    gb_cars: Ruleset, symptom: str, answers: dict[str, object], ending: str
) -> None:
    found, text = said_of(gb_cars, symptom, **answers)
    assert found.causes[0].share < SETTLED
    assert ending in text


def test_what_is_certain_does_not(gb_cars: Ruleset) -> None:
    found, text = said_of(gb_cars, "hitch_loose", ball_shows="unlocked", ball_moves="ball_only")
    assert found.likely is not None and found.likely.share >= SETTLED
    assert MUST_MEASURE not in text and IF_NO_HELP not in text
