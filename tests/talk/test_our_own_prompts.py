"""The questions that are ours, not the ruleset's: yes or no, one of a list, the card."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path

import pytest

from assistant.journal.entries import Said
from assistant.reasoning.consultation import consult
from assistant.ruleset.ruleset import Ruleset
from assistant.talk.asking import Left
from assistant.talk.choosing import rows_meant
from assistant.talk.sidesteps import _numbered
from tests.support.saying import say, start
from tests.support.talking import Walk, WatchedAsker

UNSURE = "spongy and pumping helps"


def typed(
    ruleset: Ruleset, folder: Path, *answers: str, prompt: str = "pedal_hold"
) -> tuple[Walk, WatchedAsker]:
    """A walk in which some answers were typed at a prompt, the first of them unsure."""
    journal = start(ruleset.about.name)
    walk = Walk(ruleset, folder, journal)
    with suppress(Left):
        walk.type(*answers, prompt=prompt)
    asker = walk.talk.asker
    assert isinstance(asker, WatchedAsker)
    return walk, asker


def said(walk: Walk) -> list[tuple[str, object]]:
    return [(e.question, e.answer.word) for e in walk.journal if isinstance(e, Said)]


def test_yes_keeps_it(gb_cars: Ruleset, tmp_path: Path) -> None:
    walk, asker = typed(gb_cars, tmp_path, UNSURE, "yes")
    assert "Is that right?" in asker.moments[1].prompt
    assert said(walk) == [("pedal_hold", "soft")]


@pytest.mark.parametrize("words", ["yes i think", "probably", "maybe"])
def test_a_hedge_is_no_yes(gb_cars: Ruleset, tmp_path: Path, words: str) -> None:
    walk, _ = typed(gb_cars, tmp_path, UNSURE, words, "1")
    assert said(walk) == [("pedal_hold", "holds")]


def test_anything_else_is_read_by_the_prompt_behind_it(gb_cars: Ruleset, tmp_path: Path) -> None:
    walk, asker = typed(gb_cars, tmp_path, UNSURE, "3")
    assert said(walk) == [("pedal_hold", "sinks")]
    assert [m.prompt for m in asker.moments[:2]] == ["> ", "Is that right? (yes or no) > "]


def test_help_is_heard_there_and_it_is_asked_again(gb_cars: Ruleset, tmp_path: Path) -> None:
    walk, asker = typed(gb_cars, tmp_path, UNSURE, "help", "yes")
    assert asker.moments[2].prompt == "Is that right? (yes or no) > "
    assert said(walk) == [("pedal_hold", "soft")]


def test_a_danger_acts_there(gb_cars: Ruleset, tmp_path: Path) -> None:
    walk, _ = typed(gb_cars, tmp_path, UNSURE, "the car is on fire")
    told = consult(gb_cars, walk.journal).told
    assert "flames_or_thick_smoke" in {one.name for one in told}


def test_stop_there_keeps_nothing_that_was_not_confirmed(gb_cars: Ruleset, tmp_path: Path) -> None:
    """A danger that was only read from unsure words was kept, though nobody had said yes to it."""
    walk, asker = typed(gb_cars, tmp_path, UNSURE, "stop")
    assert said(walk) == []
    assert "Then that answer is not kept." in asker.text


def test_a_closed_window_there_keeps_the_danger(gb_cars: Ruleset, tmp_path: Path) -> None:
    walk, _ = typed(gb_cars, tmp_path, UNSURE)
    assert said(walk) == [("pedal_hold", "soft")]


@pytest.mark.parametrize("words", ["none", "none of them", "no", "nope", "nothing"])
@pytest.mark.parametrize("prompt", ["pedal_hold", "brake_fluid_level"])
def test_a_bare_no_is_no_choice_of_several(
    gb_cars: Ruleset, tmp_path: Path, prompt: str, words: str
) -> None:
    """ "None" was read as a pedal that drops slowly."""
    walk, asker = typed(gb_cars, tmp_path, words, prompt=prompt)
    assert said(walk) == []
    assert "Please say more of it" in asker.text
    assert "I read that as" not in asker.text


def test_a_no_with_more_to_it_is_read(gb_cars: Ruleset, tmp_path: Path) -> None:
    _, asker = typed(gb_cars, tmp_path, "no, it sinks to the floor")
    assert "Please say more of it" not in asker.text


ROWS = [
    "front nearside: The tyre is worn.",
    "The horn is silent.",
    "rear offside: The tyre is cut.",
]


@pytest.mark.parametrize(
    ("words", "meant"),
    [("2", [1]), ("the horn", [1]), ("the tyre", [0, 2]), ("worn", [0]), ("the last one", [2]),
     ("rear tyre", [2]), ("7", []), ("the exhaust", []), ("", [])],
)  # fmt: skip
def test_rows_are_meant_by_number_or_words(words: str, meant: list[int]) -> None:
    assert rows_meant(words, ROWS) == meant


def test_what_was_mended_is_asked_again_where_two_are_meant(
    gb_cars: Ruleset, tmp_path: Path
) -> None:
    """ "The tyre" was dropped, and the "1" after it became an answer to the next question."""
    journal = start(gb_cars.about.name)
    say(journal, "tyre_damage@front_nearside", ["bulge"])
    say(journal, "tyre_damage@rear_offside", ["bulge"])
    walk = Walk(gb_cars, tmp_path, journal)
    with suppress(Left):
        walk.type("mended", "the tyre", "1", "yes", prompt="pedal_hold")
    mended = [e for e in walk.journal if e.kind == "mended"]
    assert {(e.question, e.at) for e in mended} == {("tyre_damage", "front_nearside")}
    assert said(walk)[2:] == []


@pytest.mark.parametrize(
    ("words", "number", "answer"),
    [("24 3.8", "24", "3.8"), ("24: 3.8", "24", "3.8"), ("24. 3.8", "24", "3.8"),
     ("7 about 3 mm", "7", "about 3 mm"), ("7", "7", ""),
     ("20.3 1, 4", "20.3", "1, 4"), ("20.3: 1", "20.3", "1"), ("3.8", "3.8", ""),
     ("seven", "", "")],
)  # fmt: skip
def test_the_number_of_a_card_entry(words: str, number: str, answer: str) -> None:
    """ "24 3.8" was the number 24 with 3 and 8."""
    assert _numbered(words) == (number, answer)
