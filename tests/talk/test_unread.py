"""An answer that was not read for certain and names a danger counts as it until put right."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from assistant.batch.answers_file import AnswersReader
from assistant.reading.result import Unclear, Understood
from assistant.reading.understand import understand
from assistant.reasoning.consultation import consult
from assistant.report.result import result_data
from assistant.ruleset.ruleset import Ruleset
from assistant.talk.asking import Left
from assistant.talk.confirming import counts_as
from tests.support.talking import Walk
from tests.test_command_line import Sidelight, sidelight  # noqa: F401

TODAY = dt.date(2026, 1, 15)


@pytest.fixture
def drive(gb_cars: Ruleset) -> Callable[[str], tuple[dict[str, Any], list[str]]]:
    def judged(answers: str) -> tuple[dict[str, Any], list[str]]:
        (given,) = AnswersReader(lambda name: gb_cars, TODAY).read("a", f"answers:\n{answers}")
        faults = [{"line": f.line, "text": f.text} for f in given.faults]
        data = result_data(consult(gb_cars, given.journal), faults)
        return data["drive"], [f.text for f in given.faults]

    return judged


@pytest.mark.parametrize(
    ("answers", "urgency"),
    [
        ("  brake_fluid_level: no fluid at all\n", "do_not_drive"),
        ("  pedal_hold: it went down slowly to the floor\n", "do_not_drive"),
    ],
)
def test_a_danger_that_was_not_read_for_certain_counts(
    drive: Callable[[str], tuple[dict[str, Any], list[str]]], answers: str, urgency: str
) -> None:
    advice, faults = drive(answers)
    assert advice["headline"] == "danger" and advice["urgency"] == urgency
    assert faults and all("it counts until it is put right" in text for text in faults)


def test_the_first_words_of_one_choice_are_that_choice(
    gb_cars: Ruleset, drive: Callable[[str], tuple[dict[str, Any], list[str]]]
) -> None:
    advice, faults = drive("  wheel_nuts: {all: two}\n")
    assert not faults and advice["urgency"] == "do_not_drive"
    advice, faults = drive("  stop_lamp: {all: dark}\n")
    assert not faults and advice["headline"] != "nothing"
    lamp = gb_cars.questions["dipped_beam"]
    heard = understand("dark", lamp, today=TODAY)
    assert isinstance(heard, Understood) and heard.sure and heard.answer.word == "out"
    assert isinstance(understand("made of points of light", lamp, today=TODAY), Unclear)


def test_an_unclear_answer_that_is_no_danger_is_left_out(
    gb_cars: Ruleset, drive: Callable[[str], tuple[dict[str, Any], list[str]]]
) -> None:
    question = gb_cars.questions["turn_noise"]
    heard = understand("purple", question, today=TODAY)
    assert isinstance(heard, Unclear) and counts_as(gb_cars, "turn_noise", heard) is None
    advice, faults = drive("  wheel_nuts: {all: purple}\n  tread_depth: {all: blue}\n")
    assert advice["headline"] == "cannot_say" and len(faults) == 2
    assert "Most answers could not be read" in advice["words"]


def test_in_the_talk_it_is_asked_about_and_leaving_keeps_it(
    gb_cars: Ruleset, tmp_path: Path
) -> None:
    walk = Walk(gb_cars, tmp_path)
    walk.type("no fluid at all", "no", "no", "between the two marks", prompt="brake_fluid_level")
    assert walk.answers["brake_fluid_level"].word == "between"
    again = Walk(gb_cars, tmp_path / "again")
    with pytest.raises(Left):
        again.type("no fluid at all", prompt="brake_fluid_level")
    assert again.answers["brake_fluid_level"].word == "empty", "the person left without a word"


def test_judging_reports_it_and_exits_with_2(sidelight: Sidelight, tmp_path: Path) -> None:  # noqa: F811
    (tmp_path / "a.yaml").write_text("answers:\n  brake_fluid_level: no fluid at all\n")
    ran = sidelight("judge", "a.yaml")
    assert ran.code == 2 and "DO NOT DRIVE" in ran.out
    assert "a.yaml, line 2: brake_fluid_level: I read 'no fluid at all'" in ran.err
