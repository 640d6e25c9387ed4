"""A danger told in any words at any prompt acts in that turn, and stands."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

from assistant.journal.entries import Entry, GoneOn, Worry
from assistant.journal.file import Stored, list_journals
from assistant.reasoning.consultation import consult
from assistant.ruleset.models import Urgency
from assistant.ruleset.ruleset import Ruleset
from assistant.talk.first_screen import open_talk
from tests.support.saying import say, start
from tests.support.scripted import ScriptedAsker
from tests.support.talking import Walk

ABOUT = (("first_used", 735000), ("fuel", "petrol"), ("body", "car"), ("equipment", []),
         ("kit", ["torch"]), ("worry", "dont_know"), ("recent_signs", []))  # fmt: skip
FAILED = "my brakes have just failed"
LEAK = "petrol is pouring out underneath"


def begun(ruleset: Ruleset) -> list[Entry]:
    entries = start(ruleset.about.name)
    for key, value in ABOUT:
        say(entries, key, value)
    return entries


@pytest.fixture
def walk(gb_cars: Ruleset, tmp_path: Path) -> Walk:
    return Walk(gb_cars, tmp_path, begun(gb_cars))


def opened(ruleset: Ruleset, home: Path, *words: str, day: dt.date, car: str | None = None):  # type: ignore[no-untyped-def]
    person = ScriptedAsker(list(words))
    open_talk(lambda: ruleset, person, home, today=day, car=car, new=False)
    return person


def kept(home: Path) -> list[Entry]:
    stored = [one for one in list_journals(home) if isinstance(one, Stored)]
    return list(stored[0].entries)


@pytest.mark.parametrize("prompt", ["pedal_hold", "brake_fluid_level", "steering_play"])
def test_it_acts_at_a_question(walk: Walk, prompt: str) -> None:
    asker = walk.type(LEAK, prompt=prompt)
    text = asker.text
    assert "STOP NOW" in text and "get everybody out" in text
    assert walk.next == "waits fuel_leak"
    (worry,) = [e for e in walk.journal if isinstance(e, Worry)]
    assert worry.dangers[0] == "fuel_leak" and worry.words == LEAK


@pytest.mark.parametrize(
    "before",
    [
        ("found",), ("wrong",), ("wrong", "more"), ("card",), ("what if",), ("why not",),
        ("worry",), ("why", "how"), ("help", "what does that mean"), ("xyzzy", "plugh", "plover"),
        ("maybe it sinks slowly",),
    ],
    ids=" ".join,
)  # fmt: skip
def test_it_acts_inside_everything_that_asks(walk: Walk, before: tuple[str, ...]) -> None:
    """A list, a yes or no, the card, a third attempt: it is never lost."""
    asker = walk.type(*before, FAILED)
    said = asker.moments[-1].text
    assert "STOP NOW" in said and "Press hard, pump if soft" in said
    assert [e.words for e in walk.journal if isinstance(e, Worry)] == [FAILED]
    assert walk.next == "now_brakes"


def test_a_danger_is_asked_about_by_what_settles_it(walk: Walk) -> None:
    walk.type(FAILED)
    asker = walk.type("no idea", "sinks")
    assert "STOP NOW" in asker.moments[-1].text or "DO NOT DRIVE" in asker.moments[-1].text
    assert consult(walk.ruleset, walk.journal).headline.kind == "danger"


def test_words_that_answer_what_is_asked_about_it_are_the_answer(walk: Walk) -> None:
    walk.type("something smells of burning")
    asker = walk.type("flames", prompt="now_smoke")
    assert "STOP NOW" in asker.text
    assert walk.answers["now_smoke"].word == "flames"


@pytest.mark.parametrize(
    "words", ["why not brakes have failed", "what if the brakes fail", "what does smoke mean"]
)
def test_words_that_only_speak_of_it_do_not_act(walk: Walk, words: str) -> None:
    walk.type(words, "none", "none")
    assert not [e for e in walk.journal if isinstance(e, Worry)]


def test_it_is_kept_before_anything_is_said(walk: Walk) -> None:
    asker = walk.type(FAILED)
    moment = asker.moments[-1]
    assert "STOP NOW" in moment.text and moment.entries == len(walk.journal)


def test_taking_it_back_is_asked_about_and_can_be_done_by_name(walk: Walk) -> None:
    walk.type(FAILED)
    walk.type("back", "no")
    assert consult(walk.ruleset, walk.journal).told
    asker = walk.type("wrong", "1", "yes")
    assert f"This takes back what you told: '{FAILED}'" in "".join(m.text for m in asker.moments)
    assert not consult(walk.ruleset, walk.journal).told


def test_go_on_opens_the_walk_and_says_once_what_is_left_out(walk: Walk) -> None:
    walk.type(LEAK)
    asker = walk.type("is it done", "go on")
    assert "Nothing more is asked now" in asker.moments[1].text
    assert "Whom to call" in asker.moments[1].text
    said = asker.moments[-1].text
    assert said.count("left out, because of") == 1
    assert consult(walk.ruleset, walk.journal).headline.urgency is Urgency.STOP_NOW


def test_a_garages_word_is_asked_for_and_ends_it(walk: Walk) -> None:
    walk.type(LEAK, "go on")
    walk.type("a garage has mended it", "1", "no")
    assert consult(walk.ruleset, walk.journal).told
    walk.type("a garage has mended it", "1", "yes")
    assert not consult(walk.ruleset, walk.journal).told


def test_coming_back_says_it_first_and_on_a_later_day_too(gb_cars: Ruleset, tmp_path: Path) -> None:
    first, later = dt.date(2026, 11, 3), dt.date(2026, 11, 20)
    opened(gb_cars, tmp_path, "AB12 CDE", LEAK, "stop", day=first)
    person = opened(gb_cars, tmp_path, "yes", "stop", day=later, car="AB12 CDE")
    danger = next(i for i, line in enumerate(person.lines) if line.kind == "danger")
    asked = next(
        i for i, line in enumerate(person.lines) if line.text.startswith("Nothing more is asked")
    )
    assert "STOP NOW" in person.lines[danger].text and danger < asked
    assert any(isinstance(e, GoneOn) and e.day == later for e in kept(tmp_path))


# before there is a record ---------------------------------------------------------------


@pytest.mark.parametrize(
    "words",
    ["FIRE", "there is fire under the bonnet, the fire brigade comes within 10 minutes, it said"],
)
def test_a_danger_typed_as_a_name_acts_and_is_kept(
    gb_cars: Ruleset, tmp_path: Path, words: str
) -> None:
    """The second is too long for a name, and names a time as a plan does."""
    person = opened(gb_cars, tmp_path, words, "Bob", "stop", day=dt.date(2026, 11, 3))
    texts = [line.text for line in person.lines]
    name = "What shall I call this car? Its number plate, or any name."
    acted = next(i for i, text in enumerate(texts) if "STOP NOW" in text)
    assert texts.index(name) < acted < len(texts) - 1 - texts[::-1].index(name)
    entries = kept(tmp_path)
    assert [e.words for e in entries if isinstance(e, Worry)] == [words]
    assert entries[0].car == "Bob"  # type: ignore[union-attr]


def test_a_danger_typed_for_yes_or_no_acts_and_is_kept(gb_cars: Ruleset, tmp_path: Path) -> None:
    day = dt.date(2026, 11, 3)
    opened(gb_cars, tmp_path, "Bob", "2015", "stop", day=day)
    person = opened(gb_cars, tmp_path, FAILED, "yes", "stop", day=day)
    assert any("STOP NOW" in line.text for line in person.lines)
    assert [e.words for e in kept(tmp_path) if isinstance(e, Worry)] == [FAILED]
