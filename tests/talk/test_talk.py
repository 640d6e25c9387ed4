"""The talk: nothing said is lost, dangers come first, and every side step leads back."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from pathlib import Path
from random import Random
from typing import Any

import pytest

from assistant.choosing.order import numbered_prompts
from assistant.journal.entries import Answer, Corrected, Entry, Mended, Said, TookBack
from assistant.journal.file import JournalFile
from assistant.reasoning.consultation import consult
from assistant.report.prompts import HINT
from assistant.ruleset.ruleset import Ruleset
from assistant.talk import talk as talk_module
from tests.support.saying import say, start
from tests.support.talking import Walk, WatchedAsker

ABOUT = ("2001", "gauge", "no")
AT = {
    "made": (),
    "kit": ("2001",),
    "shaky": ("2001", "gauge"),
    "level": ABOUT,
    "wet@left": (*ABOUT, "low"),
    "depth@left": (*ABOUT, "full"),
    "hoop@left": (*ABOUT, "full", "5"),
    "marks": (*ABOUT, "full", "5", "whole"),
    "rings@back": (*ABOUT, "full", "5", "whole", "none", "5"),
}
"""What to type to come to each prompt of the small ruleset."""
ANSWERS = {
    "made": "2001",
    "kit": "gauge",
    "shaky": "no",
    "level": "full",
    "wet@left": "no",
    "depth@left": "5",
    "hoop@left": "whole",
    "marks": "none",
    "rings@back": "all fine",
}
DANGER = (*ABOUT, "low", "yes")
SIDE_STEPS = {
    "help": ("help",),
    "how": ("how do I look",),
    "means": ("what does that mean",),
    "why": ("why do you ask",),
    "found": ("what have we found",),
    "what if": ("what if it was yes",),
    "what if alone": ("what if", "low"),
    "redo": ("redo",),
    "wrong, none": ("I said that wrong", "none"),
    "wrong, five times unclear": ("wrong", "1", "?!", "?!", "?!", "?!", "?!"),
    "mended": ("mended",),
    "card": ("card", ""),
    "card, wrong numbers": ("card", "99 yes", "0 yes", "nonsense", "-1", "stop"),
    "nothing typed": ("", "   "),
    "not understood": ("xyzzy plugh", "\ufffd\ufffd"),
    "escape characters": ("\x1b[31m\x07",),
}


@pytest.fixture
def walk(tiny: Ruleset, tmp_path: Path) -> Walk:
    return Walk(tiny, tmp_path)


def last(asker: WatchedAsker) -> str:
    """The prompt at which the script ran out."""
    return asker.moments[-1].key


@pytest.mark.parametrize("key", AT)
def test_the_way_to_each_prompt(walk: Walk, key: str) -> None:
    assert last(walk.type(*AT[key])) == key


@pytest.mark.parametrize(
    ("kit", "lacks"),
    [([], True), (["lamp"], True), ("dont_know", True), (["gauge"], False),
     (["gauge", "lamp"], False)],
)  # fmt: skip
def test_another_way_is_told_only_to_those_who_lack_the_tool(
    tiny: Ruleset, tmp_path: Path, kit: object, lacks: bool
) -> None:
    journal = start()
    told = {"made": dt.date(2005, 1, 1), "kit": kit, "shaky": "no", "level": "full"}
    for key, value in told.items():
        say(journal, key, value)
    (asked,) = Walk(tiny, tmp_path, journal).type().moments
    assert asked.key == "depth@left"
    assert ("Use your thumb." in asked.text) is lacks


# side steps -----------------------------------------------------------------------------


@pytest.mark.parametrize("step", SIDE_STEPS)
@pytest.mark.parametrize("key", AT)
def test_a_side_step_loses_nothing_and_comes_back(walk: Walk, key: str, step: str) -> None:
    walk.type(*AT[key])
    before, on_disk = walk.answers, walk.path.read_bytes()
    words = list(SIDE_STEPS[step])
    if step.startswith("wrong") and not before:
        words = words[:1]
    asker = walk.type(*words)
    assert last(asker) == key
    assert walk.answers == before
    assert walk.path.read_bytes() == on_disk
    answered = walk.type(*words, ANSWERS[key])
    assert walk.finished or last(answered) != key
    assert set(walk.answers) > set(before)


@pytest.mark.parametrize("key", [k for k in AT if k != "made"])
def test_back_and_redo_come_to_the_same_prompt(walk: Walk, key: str) -> None:
    walk.type(*AT[key])
    before = walk.answers
    asker = walk.type("go back")
    assert last(asker) == walk.next != key
    assert len(walk.answers) == len(before) - 1
    assert last(walk.type("redo")) == key
    assert walk.answers == before


def test_back_many_times_and_redo_all(walk: Walk) -> None:
    walk.type(*AT["rings@back"])
    before = walk.answers
    asker = walk.type(*["back"] * len(before))
    assert last(asker) == "made" and walk.answers == {}
    asker = walk.type("back")
    assert "nothing to take back" in asker.text
    asker = walk.type(*["redo"] * len(before))
    assert last(asker) == "rings@back" and walk.answers == before
    assert "nothing to bring again" in walk.type("redo").text


def test_redo_is_over_once_something_else_is_said(walk: Walk) -> None:
    walk.type("2001", "gauge", "back", "lamp")
    assert "nothing to bring again" in walk.type("redo").text
    assert walk.answers["kit"].words == ("lamp",)


def test_back_takes_a_whole_group_answer(walk: Walk) -> None:
    walk.type("2001", "gauge")
    number = card_numbers(walk)["rings@back"]
    walk.type("card", f"{number} all fine", "")
    assert {"hoop@right", "bell"} <= set(walk.answers)
    walk.type("back")
    assert not {"hoop@right", "bell"} & set(walk.answers)


@pytest.mark.parametrize("key", AT)
def test_stop_leaves_and_the_next_start_asks_the_same(walk: Walk, key: str) -> None:
    asker = walk.type(*AT[key], "stop here")
    assert not walk.finished
    assert asker.lines[-1].text.startswith("Everything you said is kept.")
    assert walk.next == key
    again = walk.type()
    assert last(again) == key


def test_a_command_word_that_is_a_choice_is_an_answer(walk: Walk) -> None:
    """No command can eat an answer: 'full' and 'low' go to the question, whatever else they are."""
    walk.type(*AT["level"], "full")
    assert walk.answers["level"].word == "full"


def test_help_names_every_command(walk: Walk) -> None:
    text = walk.type("help").text
    for word in (
        "how",
        "why",
        "back",
        "redo",
        "wrong",
        "mended",
        "found",
        "what if",
        "card",
        "stop",
    ):
        assert word in text


def test_after_two_misses_the_way_out_is_said(walk: Walk) -> None:
    asker = walk.type("xyzzy", "plugh")
    assert "Type help" not in "\n".join(asker.rows[: asker.rows.index("> plugh")])
    assert "Type help" in asker.moments[-1].text


# what if --------------------------------------------------------------------------------


def test_what_if_keeps_nothing_and_says_what_would_follow(walk: Walk) -> None:
    walk.type(*AT["depth@left"])
    on_disk = walk.path.read_bytes()
    asker = walk.type("what if it was 1 mm")
    assert "(only tried, not kept)" in asker.text
    assert "It is too shallow." in asker.text
    assert walk.path.read_bytes() == on_disk
    assert walk.talk.now.findings == ()


def test_what_if_of_an_earlier_answer_by_its_name(walk: Walk) -> None:
    walk.type(*AT["depth@left"])
    before = walk.answers
    asker = walk.type("what if fluid level was low")
    assert "'fluid level' was 'low'" in asker.text
    assert walk.answers == before


def test_what_if_at_a_group_asks_which_one(walk: Walk) -> None:
    walk.type(*AT["rings@back"])
    asker = walk.type("what if it was broken", "what if bell was no")
    assert "Say which one" in asker.text
    assert "The bell is dumb." in asker.text
    assert last(asker) == "rings@back" and "bell" not in walk.answers


def test_what_if_does_not_take_a_danger_away(walk: Walk) -> None:
    walk.type(*DANGER)
    asker = walk.type("what if left wet wheel was no")
    assert "Gone: " in asker.text and "It leaks." in asker.text
    assert walk.talk.now.urgency.value == "do_not_drive"


# wrong, and mended ----------------------------------------------------------------------


def test_wrong_changes_an_earlier_answer(walk: Walk) -> None:
    walk.type(*AT["marks"])
    asker = walk.type("I said that wrong", "depth", "1")
    assert walk.answers["depth@left"] == Answer(lo=1, hi=1)
    assert "Found: Left: It is too shallow." in asker.text
    assert isinstance(walk.journal[-1], Corrected) and not walk.journal[-1].confirmed
    assert last(asker) == "marks"


def test_wrong_by_number_and_by_name_in_one_go(walk: Walk) -> None:
    walk.type(*AT["marks"])
    walk.type("wrong", "1", "bent")
    assert walk.answers["hoop@left"].word == "bent"
    walk.type("change fluid level", "empty", "no", "no")
    assert walk.answers["level"].word == "empty"


def test_wrong_with_a_number_that_is_not_there_asks_again(walk: Walk) -> None:
    walk.type(*AT["marks"])
    asker = walk.type("wrong", "99", "0", "zebra", "none")
    assert asker.text.count("Which answer was wrong?") == 4
    assert last(asker) == "marks"


def test_wrong_that_takes_a_danger_away_asks_first_and_no_leaves_everything(walk: Walk) -> None:
    walk.type(*DANGER)
    on_disk = walk.path.read_bytes()
    asker = walk.type("wrong", "1", "no", "no")
    assert "This takes away 'Do not drive' for: It leaks." in asker.text
    assert [m.prompt for m in asker.moments].count("Are you certain? (yes or no) > ") == 1
    assert "Then nothing is changed." in asker.text
    assert walk.path.read_bytes() == on_disk
    assert walk.talk.now.urgency.value == "do_not_drive"


def test_wrong_that_takes_a_danger_away_stays_to_be_confirmed(walk: Walk) -> None:
    walk.type(*DANGER)
    asker = walk.type("wrong", "1", "no", "yes")
    assert walk.answers["wet@left"].word == "no"
    entry = walk.journal[-1]
    assert isinstance(entry, Corrected) and entry.confirmed
    assert "it stays on the sheet" in asker.text
    assert walk.talk.now.urgency.value == "have_looked_at"
    assert "Have it confirmed: It leaks." in walk.type("stop").text


def test_silence_is_no_consent_to_losing_a_danger(walk: Walk) -> None:
    walk.type(*DANGER)
    on_disk = walk.path.read_bytes()
    walk.type("wrong", "1", "no", "hmm", "", "what?")
    assert walk.path.read_bytes() == on_disk
    walk.type("wrong", "1", "no", "stop")
    assert walk.path.read_bytes() == on_disk


@pytest.mark.parametrize(
    ("words", "untrue"),
    [
        (("back",), "Taken back"),
        (("mended", "1"), "I ask again"),
    ],
)
def test_no_to_losing_a_danger_leaves_everything_and_says_so(
    walk: Walk, words: tuple[str, ...], untrue: str
) -> None:
    walk.type(*DANGER)
    on_disk = walk.path.read_bytes()
    asker = walk.type(*words, "no")
    assert "Then nothing is changed." in asker.text
    assert untrue not in asker.text
    assert walk.path.read_bytes() == on_disk
    assert last(asker) == "wet@right"


def test_back_over_a_danger_is_confirmed_and_kept_in_sight(walk: Walk) -> None:
    walk.type(*DANGER)
    asker = walk.type("back", "yes")
    assert "Taken back" in asker.text
    assert last(asker) == "wet@left" and "wet@left" not in walk.answers
    assert walk.talk.now.urgency.value == "have_looked_at"
    assert walk.talk.now.withdrawn


def test_redo_brings_a_danger_back_in_the_same_turn(walk: Walk) -> None:
    walk.type(*DANGER, "back", "yes")
    asker = walk.type("redo")
    assert "danger" in asker.moments[-1].kinds()
    assert walk.talk.now.urgency.value == "do_not_drive"


def test_mended_asks_again_at_once(walk: Walk) -> None:
    walk.type(*AT["depth@left"], "1")
    asker = walk.type("that is fixed now", "1")
    assert isinstance(walk.journal[-1], Mended)
    assert last(asker) == "depth@left"
    assert "Have another look at it now" in asker.text
    walk.type("5")
    assert walk.answers["depth@left"] == Answer(lo=5, hi=5)
    assert walk.talk.now.findings == ()


def test_mended_that_takes_a_danger_away_is_confirmed(walk: Walk) -> None:
    walk.type(*DANGER)
    asker = walk.type("mended", "1", "yes")
    assert all(e.confirmed for e in walk.journal if isinstance(e, Mended))
    assert last(asker) in ("level", "wet@left")
    assert walk.talk.now.urgency.value != "nothing"


def test_mended_with_nothing_found(walk: Walk) -> None:
    asker = walk.type(*AT["level"], "mended")
    assert "Nothing has been found" in asker.text and last(asker) == "level"


def test_a_wrong_number_picks_nothing(walk: Walk) -> None:
    walk.type(*AT["depth@left"], "1")
    on_disk = walk.path.read_bytes()
    for words in ("7", "0", "❶", "-1", ""):
        walk.type("mended", words)
        walk.type("found", words)
    walk.type("wrong", "❶", "none")
    assert walk.path.read_bytes() == on_disk


def test_found_shows_how_a_finding_came_about(walk: Walk) -> None:
    walk.type(*AT["depth@left"], "about 1")
    text = walk.type("found", "1", "none").text
    assert "you said 'about 1'" in text
    assert "Source: A book" in text


def test_a_record_with_a_question_that_is_gone_can_still_be_talked_about(
    tiny: Ruleset, tmp_path: Path
) -> None:
    """An older ruleset had a question more: going on, changing and trying must still work."""
    entries = start()
    for key, value in (("made", [1]), ("gone", "yes"), ("level", "full")):
        if key != "made":
            say(entries, key, value)
    walk = Walk(tiny, tmp_path, entries)
    for words in (("found",), ("wrong", "1", "low"), ("wrong", "none"), ("what if it was 2001",)):
        walk.type(*words)
    walk.type("back")
    assert "level" in walk.answers


# the card -------------------------------------------------------------------------------


def card_numbers(walk: Walk) -> dict[str, int]:
    prompts = numbered_prompts(walk.ruleset, walk.journal)
    return {p.key: n for n, p in enumerate(prompts, start=1)}


def test_card_entries_by_number(walk: Walk) -> None:
    walk.type("2001", "gauge")
    number = card_numbers(walk)
    asker = walk.type(
        "card",
        f"{number['depth@left']} about 3 mm",
        f"{number['depth@right']}: 2",
        f"{number['rings@back']} bell",
        f"{number['level']}. full",
        "",
    )
    assert walk.answers["depth@left"] == Answer(lo=2.5, hi=3.5)
    assert walk.answers["depth@right"] == Answer(lo=2, hi=2)
    assert walk.answers["bell"].word == "no" and walk.answers["hoop@right"].word == "whole"
    assert walk.answers["level"].word == "full"
    assert last(asker) == "shaky"


def test_the_card_keeps_its_numbers_while_it_is_typed_in(walk: Walk) -> None:
    walk.type("2001", "gauge")
    number = card_numbers(walk)
    walk.type("card", f"{number['level']} low", f"{number['depth@left']} 1", "done")
    assert card_numbers(walk) == number
    assert walk.answers["depth@left"] == Answer(lo=1, hi=1)


def test_wrong_card_numbers_keep_nothing(walk: Walk) -> None:
    walk.type("2001", "gauge")
    on_disk = walk.path.read_bytes()
    most = len(card_numbers(walk))
    bad = ["0 yes", f"{most + 1} yes", "-1 yes", "999999999999 yes", "x yes", "❶ yes", "1.", "1"]
    asker = walk.type("card", *bad, "")
    assert asker.text.count(f"The card has the numbers 1 to {most}.") == 6
    assert walk.path.read_bytes() == on_disk
    assert last(asker) == "shaky"


def test_an_unclear_card_answer_is_said_and_the_card_goes_on(walk: Walk) -> None:
    walk.type("2001", "gauge")
    number = card_numbers(walk)
    asker = walk.type("card", f"{number['level']} purple", f"{number['level']} full", "")
    assert "I did not understand" in asker.text
    assert walk.answers["level"].word == "full"


def test_a_danger_on_the_card_interrupts(walk: Walk) -> None:
    walk.type(*AT["wet@left"])
    walk.type("yes")
    number = card_numbers(walk)
    asker = walk.type("card", f"{number['level']} full", "no", "")
    assert "This takes away 'Do not drive'" in asker.text
    assert walk.talk.now.urgency.value == "do_not_drive"
    assert walk.answers["level"].word == "low"


# groups ---------------------------------------------------------------------------------


def test_group_all_fine(walk: Walk) -> None:
    walk.type(*AT["rings@back"], "all fine")
    assert walk.answers["hoop@right"].word == "whole"
    assert walk.answers["bell"].word == "yes"
    assert walk.finished
    said = walk.journal[-1]
    assert isinstance(said, Said) and said.group == "rings@back" and said.words == "all fine"


def test_group_one_named_that_says_what_is_wrong_with_it(walk: Walk) -> None:
    asker = walk.type(*AT["rings@back"], "bell")
    assert walk.answers["bell"].word == "no"
    assert walk.answers["hoop@right"].word == "whole"
    assert "Found: The bell is dumb." in asker.text


def test_group_one_named_is_opened_and_the_others_are_kept(walk: Walk) -> None:
    asker = walk.type(*AT["rings@back"], "right hoop")
    assert walk.answers["bell"].word == "yes"
    assert "hoop@right" not in walk.answers
    assert last(asker) == "hoop@right"
    walk.type("bent")
    assert walk.answers["hoop@right"].word == "bent"
    assert walk.finished


def test_group_all_named(walk: Walk) -> None:
    asker = walk.type(*AT["rings@back"], "1 and 2")
    assert walk.answers["bell"].word == "no"
    assert last(asker) == "hoop@right"


@pytest.mark.parametrize(
    ("words", "state"), [("don't know", "dont_know"), ("can't look", "cant_look")]
)
def test_group_not_known(walk: Walk, words: str, state: str) -> None:
    walk.type(*AT["rings@back"], words)
    assert walk.answers["hoop@right"].state == walk.answers["bell"].state == state
    assert len(walk.talk.now.not_known) == 2


def test_group_unsure_words_are_confirmed(walk: Walk) -> None:
    walk.type(*AT["rings@back"])
    on_disk = walk.path.read_bytes()
    asker = walk.type("maybe the bell", "no")
    assert asker.moments[1].prompt == "Is that right? (yes or no) > "
    assert walk.path.read_bytes() == on_disk and last(asker) == "rings@back"
    walk.type("maybe the bell", "yes")
    assert walk.answers["bell"].word == "no"


GROUP = "through_wheels@nearside"


@pytest.fixture
def by_the_wheels(gb_cars: Ruleset, tmp_path: Path) -> Walk:
    """A real walk at a group in which no item says what is wrong with it."""
    entries: list[Entry] = start("gb-cars")
    for key, value in (("fuel", "petrol"), ("body", "car"), ("equipment", []), ("kit", ["torch"])):
        say(entries, key, value)
    return Walk(gb_cars, tmp_path, entries)


def test_a_group_named_as_a_whole_asks_about_each(by_the_wheels: Walk) -> None:
    before = by_the_wheels.answers
    asker = by_the_wheels.type("1 2 3 4", prompt=GROUP)
    assert "Then I ask about each of them." in asker.text
    assert by_the_wheels.answers == before
    kinds = ("disc", "pad_look")
    left = [p for p in by_the_wheels.prompts if p.key.startswith(kinds)]
    assert len([p for p in left if "nearside" in p.key and p.why == "opened here"]) == 4


def test_an_item_opened_by_a_group_is_a_prompt_like_any_other(by_the_wheels: Walk) -> None:
    by_the_wheels.type("1 2 3 4", prompt=GROUP)
    item = next(p.key for p in by_the_wheels.prompts if p.why == "opened here")
    asker = by_the_wheels.type("how", "why", "don't know", prompt=item)
    assert all(moment.lines for moment in asker.moments[1:3])
    assert by_the_wheels.answers[item].state == "dont_know"


def test_going_back_brings_the_group_again(by_the_wheels: Walk) -> None:
    by_the_wheels.type("1 2 3 4", prompt=GROUP)
    assert GROUP not in [p.key for p in by_the_wheels.prompts]
    by_the_wheels.type("back")
    assert GROUP in [p.key for p in by_the_wheels.prompts]


# understanding, dangers, summaries ------------------------------------------------------


def test_unsure_words_are_confirmed_before_they_are_kept(walk: Walk) -> None:
    walk.type(*AT["level"])
    on_disk = walk.path.read_bytes()
    asker = walk.type("probably low", "no")
    assert "I read that as: low" in asker.text
    assert [line for line in asker.lines if line.kind == "heard"][3:] == []
    assert asker.moments[1].prompt.startswith("Is that right?")
    assert walk.path.read_bytes() == on_disk and last(asker) == "level"
    asker = walk.type("probably low", "yes")
    assert walk.answers["level"].word == "low" and last(asker) == "wet@left"


def test_leaving_at_a_yes_or_no_keeps_nothing_unsaid(walk: Walk) -> None:
    walk.type(*AT["level"])
    on_disk = walk.path.read_bytes()
    walk.type("probably low")
    walk.type("probably low", "stop")
    assert walk.path.read_bytes() == on_disk
    assert walk.next == "level"


class Order:
    """What happened, in order: an entry on the disk, an answer understood, the engine at work."""

    def __init__(self, walk: Walk, monkeypatch: pytest.MonkeyPatch) -> None:
        self.done: list[str] = []
        for owner, name, what in (
            (JournalFile, "append", "disk"),
            (WatchedAsker, "show", "heard"),
            (talk_module, "consult", "engine"),
        ):
            monkeypatch.setattr(owner, name, self.noted(what, getattr(owner, name)))

    def noted(self, what: str, whole: Callable[..., Any]) -> Callable[..., Any]:
        def done(*given: Any) -> Any:
            result = whole(*given)
            if what != "heard" or any(line.kind == "heard" for line in given[1]):
                self.done.append(what)
            return result

        return done


def test_the_disk_comes_first_then_understood_then_the_engine(
    walk: Walk, monkeypatch: pytest.MonkeyPatch
) -> None:
    order = Order(walk, monkeypatch)
    walk.type(*AT["marks"], "none")
    answers = len(AT["marks"]) + 1
    assert order.done == ["engine", *["disk", "heard", "engine"] * answers]


def test_what_could_take_a_danger_away_waits_until_it_is_confirmed(
    walk: Walk, monkeypatch: pytest.MonkeyPatch
) -> None:
    walk.type(*DANGER)
    order = Order(walk, monkeypatch)
    walk.type("wrong", "wet", "no", "no")
    assert order.done == ["engine", "engine"]
    order.done.clear()
    walk.type("wrong", "wet", "no", "yes")
    assert order.done == ["engine", "engine", "disk", "heard", "engine"]


def test_a_danger_that_something_seen_rules_out_is_said_so_and_the_talk_goes_on(
    gb_cars: Ruleset, tmp_path: Path
) -> None:
    entries: list[Entry] = start("gb-cars")
    for key, value in (("fuel", "petrol"), ("body", "car"), ("equipment", []), ("kit", ["torch"])):
        say(entries, key, value)
    say(entries, "told_tyre_bulge", "yes")
    walk = Walk(gb_cars, tmp_path, entries)
    asker = walk.type("3", prompt="bulge_shape")
    assert walk.answers["bulge_shape"].word == "dent"
    down = [line.text for line in asker.lines if line.text.startswith("Ruled out")]
    assert len(down) == 1 and "lump" in down[0]
    asker = walk.type("don't know", "don't know")
    assert not [line for line in asker.lines if line.text.startswith("Ruled out")]
    assert len(walk.answers) >= 8


def test_every_answer_is_on_the_disk_before_the_next_question(walk: Walk) -> None:
    asker = walk.type(*AT["rings@back"], "all fine")
    counts = [m.entries for m in asker.moments]
    assert counts == sorted(counts) and len(set(counts)) == len(counts)
    assert walk.talk.journal == walk.journal


def test_a_danger_interrupts_in_the_same_turn(walk: Walk) -> None:
    asker = walk.type(*DANGER)
    moment = asker.moments[-1]
    assert moment.key == "wet@right"
    kinds = moment.kinds()
    assert kinds.index("danger") < kinds.index("place") < kinds.index("question")
    assert "DO NOT DRIVE" in moment.text
    assert "Have it carried to a garage." in moment.text


def test_have_it_looked_at_interrupts_too(walk: Walk) -> None:
    asker = walk.type(*AT["level"], "don't know")
    assert "HAVE IT LOOKED AT BEFORE DRIVING" in asker.moments[-1].text


def test_a_danger_is_at_the_top_of_every_summary(walk: Walk) -> None:
    walk.type(*DANGER)
    rest = ("no", "5", "whole", "none", "5", "all fine")
    for words in (("found", "none"), ("stop",), rest):
        asker = walk.type(*words)
        titles = [
            i
            for i, line in enumerate(asker.lines)
            if line.kind == "title" and line.text.startswith("What we have found")
        ]
        if words[0] == "found":
            first = asker.moments[1].lines[0]
            assert (first.kind, first.text) == ("danger", " DO NOT DRIVE ")
            continue
        assert titles
        for index in titles:
            assert asker.lines[index + 1].kind == "danger"
            assert "DO NOT DRIVE" in asker.lines[index + 1].text
    assert walk.finished


def test_a_danger_is_the_first_thing_said_on_going_on(walk: Walk) -> None:
    walk.type(*DANGER)
    asker = walk.type()
    kinds = [line.kind for line in asker.lines if line.kind != "blank"]
    assert kinds[0] == "danger"
    assert "DO NOT DRIVE" in asker.text


def test_a_danger_is_said_once_and_not_again_with_each_answer(walk: Walk) -> None:
    asker = walk.type(*DANGER, "no", "5")
    assert sum(line.kind == "danger" for line in asker.lines) == 1


def test_no_answer_to_another_question_takes_a_danger_away(walk: Walk) -> None:
    walk.type(*DANGER)
    for words in ("no", "5", "whole", "none", "5", "all fine"):
        walk.type(words)
        assert walk.talk.now.urgency.value == "do_not_drive"


# order, hints, cautions -----------------------------------------------------------------


def test_order_of_the_prompts(walk: Walk) -> None:
    """The car, recent drives, the walk; what a rule asks at once comes before all but the car."""
    asker = walk.type(
        "2001", "gauge", "no", "low", "no", "no", "5", "whole", "none", "5", "all fine"
    )
    order = [
        "made", "kit", "shaky", "level", "wet@left", "wet@right", "depth@left", "hoop@left",
        "marks", "depth@right", "rings@back",
    ]  # fmt: skip
    assert [m.key for m in asker.moments] == order
    assert walk.finished


def test_an_interrupted_walk_asks_the_same_as_one_in_one_go(tiny: Ruleset, tmp_path: Path) -> None:
    words = ["2001", "gauge", "no", "low", "yes", "no", "1", "bent", "crack", "5", "bell"]
    whole = Walk(tiny, tmp_path / "whole")
    keys = [m.key for m in whole.type(*words).moments]
    parts = Walk(tiny, tmp_path / "parts")
    assert [parts.type(word).moments[0].key for word in words] == keys
    assert parts.answers == whole.answers
    assert [e.model_dump() for e in parts.journal] == [e.model_dump() for e in whole.journal]


def test_questions_that_do_not_concern_the_car_are_not_asked(walk: Walk) -> None:
    asker = walk.type("1999", "gauge", "no", "full", "5", "whole", "none", "5", "whole")
    assert walk.finished
    assert not any("bell" in m.text.lower() for m in asker.moments)


def test_the_hint_is_shown_once(walk: Walk) -> None:
    asker = walk.type("2001", "gauge", "no", "help", "back", "no", "full", "5")
    assert [line.text for line in asker.lines].count(HINT) == 1
    assert HINT in asker.moments[0].text


def test_cautions_come_before_the_question(walk: Walk) -> None:
    asker = walk.type(*AT["level"])
    moment = asker.moments[-1]
    kinds = moment.kinds()
    assert kinds.index("caution") < kinds.index("question")
    assert [line.text for line in moment.lines].count("It may be hot.") == 1
    assert "caution" not in walk.type(*AT["level"]).moments[0].kinds()[-1:]


def test_cautions_come_before_every_question_of_the_real_walk(
    gb_cars: Ruleset, tmp_path: Path
) -> None:
    walk = Walk(gb_cars, tmp_path)
    asker = walk.type("2013", "petrol", "car", "none", "torch", *["don't know"] * 25)
    asked = [m for m in asker.moments if "question" in m.kinds()]
    assert len(asked) > 25
    place, seen = None, set[str]()
    for moment in asked:
        kinds = moment.kinds()
        cautions = [i for i, kind in enumerate(kinds) if kind == "caution"]
        assert all(i < kinds.index("question") for i in cautions)
        if moment.place != place:
            place, seen = moment.place, set()
        seen |= {moment.lines[i].text for i in cautions}
        name = moment.key.partition("@")[0]
        model = gb_cars.groups.get(name) or gb_cars.questions[name]
        assert {gb_cars.cautions[caution] for caution in model.cautions} <= seen, moment.key


def test_the_real_walk_interrupts_for_falling_brake_fluid(gb_cars: Ruleset, tmp_path: Path) -> None:
    entries: list[Entry] = start("gb-cars")
    for key, value in (("fuel", "petrol"), ("body", "car"), ("equipment", []), ("kit", ["torch"])):
        say(entries, key, value)
    walk = Walk(gb_cars, tmp_path, entries)
    asker = walk.type("far below the lower mark", prompt="brake_fluid_level")
    plan = [p.key for p in walk.talk.plan.prompts if p.why == "at once"]
    assert "wheel_wet@front_nearside" in plan
    assert ("pedal_hold", "") in walk.talk.plan.forbidden, "a hard press pumps more fluid out"
    assert walk.talk.now.urgency.rank <= consult(gb_cars, walk.journal).urgency.rank
    asker = walk.type("yes", prompt="wheel_wet@front_nearside")
    assert "DO NOT DRIVE" in asker.text
    back = walk.type("stop").text
    assert back.index("DO NOT DRIVE") < back.index("What we have found so far")


def test_the_real_walk_takes_commands_at_every_kind_of_prompt(by_the_wheels: Walk) -> None:
    before, on_disk = by_the_wheels.answers, by_the_wheels.path.read_bytes()
    kinds: dict[str, str] = {}
    for prompt in by_the_wheels.prompts:
        question = by_the_wheels.ruleset.questions.get(prompt.question or "")
        if question and question.kind == "note":
            continue  # any words are an answer there
        kinds.setdefault(question.kind if question else "group", prompt.key)
    assert {"group", "some_of", "one_of", "quantity", "date"} <= set(kinds)
    for key in kinds.values():
        asker = by_the_wheels.type(
            "help", "how", "what does that mean", "why", "found", "what if", "", "xyzzy",
            "card", "",
            prompt=key,
        )  # fmt: skip
        assert asker.moments[0].words == "help"
    assert by_the_wheels.answers == before
    assert by_the_wheels.path.read_bytes() == on_disk


# whatever is typed ----------------------------------------------------------------------

POOL = [
    "2001", "gauge", "no", "yes", "low", "full", "5", "1", "1.6", "whole", "bent", "none", "2",
    "all fine", "bell", "1 and 2", "don't know", "can't look", "help", "how", "why", "back", "redo",
    "wrong", "mended", "found", "what if", "what if it was low", "card", "3 low", "",
    "probably low", "not fitted", "crack", "maybe 2",
    "\x1b[2J", "🚗", "x" * 3000, "99", "-1", "nan", "1e999",
]  # fmt: skip


@pytest.mark.parametrize("seed", range(40))
def test_whatever_is_typed_the_record_says_what_the_talk_says(
    tiny: Ruleset, tmp_path: Path, seed: int
) -> None:
    random = Random(seed)
    walk = Walk(tiny, tmp_path)
    for _ in range(3):
        asker = walk.type(*random.choices(POOL, k=40))
        assert walk.talk.journal == walk.journal
        assert consult(tiny, walk.journal).urgency == walk.talk.now.urgency
        taken = [e for e in walk.journal if isinstance(e, TookBack)]
        said = [e for e in walk.journal if isinstance(e, Said | Mended)]
        assert len(walk.journal) == 1 + len(taken) + len(said)
        assert all("\x1b" not in line.text for line in asker.lines)
