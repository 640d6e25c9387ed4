"""Words that no reader understands: what they come nearest to, which is read back."""

from __future__ import annotations

from dataclasses import replace

import pytest

from assistant.reading.command_words import Command
from assistant.reading.guessing import guess
from assistant.reading.guessing_parts import guess_group
from assistant.reading.steering import LEFT, UNSURE, wanted, wanted_in_part
from assistant.ruleset.ruleset import Ruleset
from assistant.ruleset.sayings import sayings_of, sayings_problems
from assistant.talk.answering import group_items
from tests.support.typed_answers import outcome, prompt_of, ruleset_of_answers


@pytest.mark.parametrize(
    ("key", "words", "meant"),
    [
        ("wipers_washers", "the rubber has a split in it but it still clears ok", "4"),
        ("wipers_washers", "both wipe lovely, plenty of water", "none"),
        ("wipers_washers", "only the back wiper dosent work", "6"),
        ("recent_signs", "grinding when braking, no smoke no burning smell", "4"),
        ("equipment", "no towbar, no button, no sliding doors. just electric steering", "3"),
        ("lamps_stay_on", "just the orange engine one, not flashing", "9"),
        ("lamps_stay_on", "engine one is blinking", "10"),
        ("lamps_missing", "the airbag came on fine", "ask again"),
        ("pedal_hold", "stayed up i think, didnt count", "not known"),
    ],
)
def test_what_a_clause_denies_or_praises_is_not_picked(key: str, words: str, meant: str) -> None:
    assert outcome(key, words, meant) == "right"


@pytest.mark.parametrize(
    "words", ["one of them sticks", "a couple of things", "purple", "", "x" * 400]
)
def test_which_one_is_not_guessed_where_it_was_not_said(gb_cars: Ruleset, words: str) -> None:
    assert guess(gb_cars, gb_cars.questions["wipers_washers"], words) is None


def test_words_that_stand_in_several_choices_alike_are_asked_again(gb_cars: Ruleset) -> None:
    assert guess(gb_cars, gb_cars.questions["fuel"], "it's a hybrid") is None


@pytest.mark.parametrize(
    ("key", "words", "bad", "unseen"),
    [
        ("corner_check@front", "left spring has snapped, couldn't see the right one. bounce fine",
         {2}, {3}),
        ("corner_check@front", "not pushing it with my back, the springs look fine both sides",
         set(), {0, 1}),
        ("through_wheels@nearside", "both discs have deep grooves. pads and hoses not visible",
         {0, 1}, {2, 3, 4, 5}),
        ("under_bonnet_look@bonnet", "fuel pipes are under a cover so can't see them, rest is fine",
         set(), {3}),
        ("outside_body@offside", "few dents and scratches, otherwise sound", set(), set()),
        ("stop_lamp_check@rear", "all three come on and go off with the pedal", set(), set()),
        ("stop_lamp_check@rear", "they stay lit for a few secs after she lets go", {3}, set()),
        ("seat_controls@driver_seat", "horn sounds like a dying duck, rest ok", {8}, set()),
    ],
)  # fmt: skip
def test_each_clause_says_what_of_which_part(
    key: str, words: str, bad: set[int], unseen: set[int]
) -> None:
    ruleset, prompt = ruleset_of_answers(), prompt_of(key)
    found = guess_group(ruleset, group_items(ruleset, prompt), words)
    assert found is not None and not found.sure
    assert (set(found.named), set(found.unknown)) == (bad, unseen), found.echo


@pytest.mark.parametrize(
    "words",
    [
        "all fine apart from the squeaky bit",  # what is excepted is not understood
        "one of them is bad", "drums on the back", "",
    ],
)  # fmt: skip
def test_all_fine_is_not_guessed_where_something_may_be_wrong(words: str) -> None:
    ruleset, prompt = ruleset_of_answers(), prompt_of("through_wheels@nearside")
    found = guess_group(ruleset, group_items(ruleset, prompt), words)
    assert found is None or found.named or found.unknown


def test_a_guess_is_never_kept_unasked() -> None:
    words = "both wipe lovely, plenty of water"
    assert outcome("wipers_washers", words, "2") == "confirmed wrong"  # so it was read back


@pytest.mark.parametrize(
    ("words", "want"),
    [
        ("give me the steps please", Command.HOW.value), ("how many more are there", LEFT),
        ("i put the wrong thing, let me change it", Command.BACK.value),
        ("i must go now, save it please", Command.STOP.value), ("haven't a clue mate", None),
        ("what have you got so far", Command.FOUND.value), ("im not sure about that", None),
        ("the brakes squeal", None), ("all fine", None), ("2 mm", None), ("two fingers", None),
        ("no problems with any of them", None), ("havent got a lever its a button", None),
    ],
)  # fmt: skip
def test_steering_words_come_near_to_one_phrase(words: str, want: str | None) -> None:
    assert wanted(words) in (want, UNSURE if want is None else want)


def test_one_clause_may_steer_but_a_reason_not_to_look_does_not() -> None:
    assert wanted_in_part("teas ready, save it and carry on later") == Command.STOP.value
    assert wanted_in_part("it's chucking it down, not looking now") is None


def test_sayings_name_questions_and_choices_that_are_there(
    gb_cars: Ruleset, tiny: Ruleset, tmp_path
) -> None:
    assert list(sayings_problems(gb_cars)) == []
    assert sayings_of(gb_cars, gb_cars.questions["wipers_washers"])["no_water"]
    rows = ["# note", "nowhere\tlow\tx", "level\tnowhere\tx", "level\tlow", "level\tlow\tdry"]
    (tmp_path / "sayings.tsv").write_text("\n".join(rows), "utf-8")
    moved = replace(tiny, folder=tmp_path)
    said = [f"{place}: {text}" for place, text in sayings_problems(moved)]
    assert [line.split(":")[1] for line in said] == ["2", "3", "4"]
    assert sayings_of(moved, moved.questions["level"]) == {"low": ["dry"]}
