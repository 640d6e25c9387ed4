"""The questions that the other tests of understanding put, and short ways to state answers."""

import datetime as dt
from typing import Any

import pytest

from assistant.journal.entries import Answer
from assistant.reading.result import GroupItem, Unclear, Understood
from assistant.reading.understand import understand
from assistant.ruleset.models import Question

TODAY = dt.date(2026, 6, 18)


def question(kind: str, **fields: Any) -> Question:
    base = {
        "ask": "What do you see?",
        "label": "what is seen",
        "kind": kind,
        "place": "front",
        "seconds": 30,
        "how": "Look.",
    }
    return Question(**{**base, **fields})


WOBBLE = question("yes_no", ask="Does the wheel wobble?", label="wheel wobble")
HORN = question("yes_no", ask="Does the horn sound?", label="horn", fine="yes")
FOG = question(
    "yes_no", ask="Does the rear fog lamp light?", label="rear fog lamp", not_fitted=True
)
TREAD = question(
    "quantity", ask="How deep is the tread?", label="tread depth", unit="mm", range=(0, 20),
    about=0.5,
)  # fmt: skip
PRESSURE = question(
    "quantity", ask="What is the pressure?", label="tyre pressure", unit="bar", range=(0, 10)
)
MILES = question("quantity", label="mileage", unit="miles", range=(0, 1_000_000))
COLD = question("quantity", label="temperature", unit="C", range=(-40, 150))
PLAY = question("quantity", label="waiting time", unit="minutes", range=(0, 60))
TURNS = question("quantity", label="play of the wheel", unit="degrees", range=(0, 90))
CLICKS = question("count", ask="How many clicks?", label="clicks", range=(0, 30))
DATE = question("date", ask="When was it first registered?", label="first registered")
NOTE = question("note")
FUEL = question(
    "one_of",
    ask="What does it run on?",
    label="fuel",
    choices={
        "petrol": {"say": "petrol", "hear": ["gasoline", "unleaded"]},
        "diesel": {"say": "diesel", "hear": ["derv"]},
        "petrol_hybrid": {"say": "petrol hybrid", "hear": ["hybrid", "plug-in hybrid"]},
        "electric": {"say": "electric only", "hear": ["ev", "battery"]},
    },
)
LEVEL = question(
    "one_of",
    ask="Where is the level?",
    label="fluid level",
    fine="right",
    not_fitted=True,
    choices={
        "right": {"say": "between the marks", "hear": ["in the middle"]},
        "low": {"say": "below the MIN mark", "hear": ["below min", "under min"]},
        "high": {"say": "above the MAX mark", "hear": ["over max"]},
    },
)
DAMP = question(
    "one_of",
    ask="How does the hose look?",
    label="hose",
    choices={
        "dry": {"say": "dry", "hear": ["not wet"]},
        "damp": {"say": "damp"},
        "wet": {"say": "wet or dripping", "hear": ["leaking"]},
    },
)
SIGNS = question(
    "some_of",
    ask="Which of these have you noticed?",
    label="signs",
    choices={
        "pedal_soft": {
            "say": "the brake pedal felt soft, or sank under the foot",
            "hear": ["spongy brakes", "soft pedal"],
        },
        "pedal_hard": {"say": "the brake pedal was hard and the car slowed little"},
        "fuel_smell": {"say": "a smell of fuel", "hear": ["petrol smell"]},
        "burning": {"say": "a smell of burning", "hear": ["burnt smell"]},
        "red_lamp": {"say": "a red lamp on the dashboard", "hear": ["red light"]},
    },
)
LAMPS = question(
    "some_of",
    label="lamps",
    choices={
        "abs": {"say": "ABS (anti-lock brakes)"},
        "airbag": {"say": "airbag (a seated figure with a ball, SRS)"},
        "engine": {"say": "engine lamp, steady (amber outline)", "hear": ["check engine"]},
        "engine_flashing": {"say": "engine lamp flashing"},
    },
)
EVERY = [
    WOBBLE, HORN, FOG, TREAD, PRESSURE, MILES, COLD, PLAY, TURNS, CLICKS, DATE, NOTE, FUEL, LEVEL,
    DAMP, SIGNS, LAMPS,
]  # fmt: skip

_CORNERS = [
    ("fn", "front nearside", ("front left", "left front", "passenger front", "nsf")),
    ("fo", "front offside", ("front right", "right front", "osf")),
    ("rn", "rear nearside", ("rear left", "left rear", "back left", "nsr")),
    ("ro", "rear offside", ("rear right", "right rear", "back right", "osr")),
]
_SIDES = [
    ("nearside", "nearside", ("left", "passenger side", "kerb side", "ns")),
    ("offside", "offside", ("right", "driver side", "drivers side", "os")),
]
WHEELS = [GroupItem("cut", at, f"{say} tyre cut", hear) for at, say, hear in _CORNERS]
PAIR = [GroupItem("dipped", at, f"{say} dipped beam", hear) for at, say, hear in _SIDES]
FRONT = [
    GroupItem(name, at, f"{say} {label}", hear)
    for name, label in (("dipped", "dipped beam"), ("main", "main beam"), ("flash", "indicator"))
    for at, say, hear in _SIDES
]
ODDS = [
    GroupItem("horn", "", "horn"),
    GroupItem("wipers", "", "washers and wipers"),
    GroupItem("mirror", "", "interior mirror"),
]


def number(lo: float, hi: float | None = None) -> Answer:
    return Answer(lo=lo, hi=lo if hi is None else hi)


def day(*low: int, to: tuple[int, int, int] | None = None) -> Answer:
    first = dt.date(*low)
    last = dt.date(*to) if to else first
    return number(first.toordinal(), last.toordinal())


def heard(words: str, asked: Question) -> Understood:
    found = understand(words, asked, today=TODAY)
    assert isinstance(found, Understood), f"{words!r}: {found}"
    return found


def refused(words: str, asked: Question) -> Unclear:
    found = understand(words, asked, today=TODAY)
    assert isinstance(found, Unclear), f"{words!r}: {found}"
    assert found.message.endswith((".", "?")) and len(found.offers) <= 3
    return found


DONT_KNOW = Answer(state="dont_know")
CANT_LOOK = Answer(state="cant_look")
NOT_FITTED = Answer(state="not_fitted")


@pytest.mark.parametrize("asked", EVERY, ids=lambda q: f"{q.kind}-{q.label}")
@pytest.mark.parametrize(
    ("words", "answer"),
    [
        *((w, DONT_KNOW) for w in (
            "don't know", "Dont know", "I don't know", "dunno", "no idea", "not sure",
            "I'm not sure",
            "no clue", "haven't a clue", "I really don't know", "can't say", "hard to tell", "idk",
            "Not sure, sorry", "I couldn't tell you", "I have no idea", "unsure", "can't remember",
        )),
        *((w, CANT_LOOK) for w in (
            "can't look", "can't look now", "cannot see it", "I can't see", "can't reach it",
            "skip",
            "not now", "later", "I can't get to it", "skip this one", "unable to check",
            "I haven't looked", "ask me later", "can't look, it's raining",
            "can't see it in the dark",
        )),
    ],
)  # fmt: skip
def test_every_kind_takes_dont_know_and_cant_look(words, answer, asked):
    found = heard(words, asked)
    assert (found.answer, found.sure) == (answer, True)


@pytest.mark.parametrize("asked", [q for q in EVERY if q.kind != "note"], ids=lambda q: q.label)
@pytest.mark.parametrize("words", ["it's too dark", "it's raining", "no torch", "I'm on my own"])
def test_a_reason_is_taken_as_cannot_look_but_confirmed(words, asked):
    found = heard(words, asked)
    assert (found.answer, found.sure) == (CANT_LOOK, False)


@pytest.mark.parametrize(
    "words",
    [
        "not fitted", "it hasn't got one", "hasn't got one", "there isn't one", "doesn't have it",
        "it doesn't have one", "my car hasn't got one", "n/a", "not got one", "no such thing",
        "haven't got one of those", "it has none", "there is no such thing", "not applicable",
    ],
)  # fmt: skip
def test_not_fitted(words):
    for asked in (FOG, LEVEL):
        assert heard(words, asked).answer == NOT_FITTED
    if words not in ("n/a", "it has none"):
        unclear = refused(words, WOBBLE)
        assert "yes" in unclear.message and unclear.offers == ("yes", "no")


def test_not_fitted_by_the_name_of_the_thing_is_confirmed():
    for words in ("it hasn't got a rear fog lamp", "there is no rear fog lamp"):
        assert (heard(words, FOG).answer, heard(words, FOG).sure) == (NOT_FITTED, False)
