"""What is asked at any prompt and stores nothing: may it be driven, and what a word means; and
"same again" for the part just answered."""

from __future__ import annotations

import re
from contextlib import suppress
from pathlib import Path

import pytest

from assistant.choosing.plan import time_for
from assistant.journal.entries import Answer
from assistant.reading.commands import term_asked
from assistant.report.drive import LIMITS
from assistant.report.summary import advice_lines
from assistant.ruleset.load import load_ruleset
from assistant.ruleset.ruleset import Ruleset
from assistant.talk.asking import Left
from tests.reasoning.test_walk_order import a_car
from tests.support.saying import say
from tests.support.talking import Moment, Walk, WatchedAsker

ROOT = Path(__file__).resolve().parents[2]
MAY_I = (
    "can I drive it?",
    "is it safe to drive",
    "can i still drive",
    "Is the car safe?",
    "is it ok to drive it home",
    "should I drive it like this",
    "can it be driven",
)
START = (
    ("certificate_end", "skip"), ("worry", "no"), ("recent_signs", "0"), ("recent_events", "0"),
)  # fmt: skip
NOT_ASKED = ("is it ok", "it drives fine", "I can drive it in later", "safe", "yes")


def asked(walk: Walk, prompt: str, *typed: str) -> list[Moment]:
    """What stood when each thing was typed at a prompt, and at the end."""
    with suppress(Left):
        walk.type(*typed, prompt=prompt)
    asker = walk.talk.asker
    assert isinstance(asker, WatchedAsker)
    return asker.moments


def first_of(walk: Walk, prompt: str, words: str) -> str:
    """What was said to words typed at a prompt."""
    return asked(walk, prompt, words, "")[1].text


@pytest.mark.parametrize("words", MAY_I)
@pytest.mark.parametrize(
    "prompt", ["worry", "recent_signs", "tread_side@nearside", "brake_fluid_level"]
)
def test_whether_it_may_be_driven_is_said_at_every_prompt(
    gb_cars: Ruleset, tmp_path: Path, prompt: str, words: str
) -> None:
    walk = Walk(gb_cars, tmp_path, a_car("petrol 2015"))
    before = walk.journal
    said = first_of(walk, prompt, words)
    assert said.startswith("I cannot say whether it may be driven") and said.endswith(LIMITS)
    assert walk.journal == before


@pytest.mark.parametrize("words", NOT_ASKED)
def test_other_words_do_not_ask_that(gb_cars: Ruleset, tmp_path: Path, words: str) -> None:
    walk = Walk(gb_cars, tmp_path, a_car("petrol 2015"))
    assert LIMITS not in first_of(walk, "pedal_hold", words)


def test_a_danger_is_the_answer_and_stands(gb_cars: Ruleset, tmp_path: Path) -> None:
    journal = a_car("petrol 2015")
    say(journal, "pedal_hold", "floor")
    walk = Walk(gb_cars, tmp_path, journal)
    said = first_of(walk, walk.next, "can I drive it?")
    assert "NOT DRIVE" in said or "STOP NOW" in said
    assert said.split("\n") == [line.text for line in advice_lines(walk.talk.now)]


def test_a_yes_or_no_and_the_card_prompt_hear_it_too(gb_cars: Ruleset, tmp_path: Path) -> None:
    walk = Walk(gb_cars, tmp_path, a_car("petrol 2015"))
    asker = walk.type("card", "is it safe to drive", "what's a sump", "")
    assert asker.moments[2].text.endswith(LIMITS)
    assert asker.moments[3].text.startswith("sump: ")
    asker = walk.type("wrong", "can I drive it?", "none")
    assert asker.moments[2].text.endswith(LIMITS)


# words of the trade ---------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "word"),
    [
        ("what's a wishbone", "wishbone"),
        ("what does nearside mean", "nearside"),
        ("what is a caliper", "caliper"),
        ("whats a calliper", "caliper"),
        ("What are wear bars?", "wear bars"),
        ("what is ABS", "ABS"),
        ("what's the shock absorber?", "damper"),
        ("define sill", "sill"),
        ("what is the handbrake", "parking brake"),
        ("what is that", None),
        ("what is a flange", None),
        ("the sill is rusty", None),
        ("sill", None),
    ],
)
def test_a_word_that_is_asked_about_is_found(
    gb_cars: Ruleset, words: str, word: str | None
) -> None:
    assert term_asked(words, gb_cars) == word


@pytest.mark.parametrize("prompt", ["worry", "tread_side@nearside", "wiper_rubber", "vin_looks"])
def test_a_word_is_explained_at_every_prompt(gb_cars: Ruleset, tmp_path: Path, prompt: str) -> None:
    walk = Walk(gb_cars, tmp_path, a_car("petrol 2015"))
    prompt = prompt if any(p.key == prompt for p in walk.prompts) else walk.next
    before = walk.journal
    said = first_of(walk, prompt, "what's a wishbone")
    assert said == f"wishbone: {gb_cars.glossary['wishbone'].say}"
    assert walk.journal == before


def test_a_word_that_is_not_known_is_said_not_to_be(gb_cars: Ruleset, tmp_path: Path) -> None:
    walk = Walk(gb_cars, tmp_path, a_car("petrol 2015"))
    said = first_of(walk, "brake_fluid_level", "what is a flange?")
    assert said.startswith("'flange' is not among the words that I can explain.")


TRADE = (
    "airbag", "alternator", "anti-roll bar", "axle", "ball joint", "bonnet catch", "brake disc",
    "brake drum", "brake fluid", "brake hose", "brake pad", "brake pipe", "bush", "caliper",
    "catalyst", "certificate", "coolant", "cords", "corrosion", "cross-ply", "damper",
    "dipped beam",
    "dipstick", "drive shaft", "drive belt", "emissions", "engine mounting", "filler cap",
    "fog lamp", "free play", "fuse", "gaiter", "glow plug", "gross weight", "halogen",
    "head gasket", "heat shield", "hub", "idling", "ignition", "injector", "insulation",
    "leaf spring", "lining", "load figure", "log book", "main beam", "master cylinder", "nearside",
    "offside", "parking brake", "particulate filter", "power steering", "pre-tensioner", "radial",
    "reflector", "relay", "rim", "servo", "side lamp", "side repeater", "silencer", "sill",
    "speedometer", "spring", "stability control", "stalk", "steering box", "steering column",
    "steering lock", "steering rack", "stop lamp", "subframe", "sump", "tailpipe", "tell-tale",
    "timing belt", "tint", "towbar", "towing socket", "track rod end", "tread", "undertray",
    "valve", "VIN", "warning lamp", "wear bars", "webbing", "wheel alignment", "wheel bearing",
    "wheel nut", "wishbone", "xenon",
)  # fmt: skip
"""Words of the standard and of workshops that are not in everybody's mouth. Ours, chosen before
the glossary was looked at."""


@pytest.mark.parametrize("name", ["gb-cars", "eu-directive"])
def test_each_word_of_the_trade_on_a_screen_is_in_the_glossary(name: str) -> None:
    rs = load_ruleset(ROOT / "rulesets" / name)
    shown = "\n".join(path.read_text() for path in rs.folder.glob("*.yaml")
                      if path.stem not in ("glossary", "words", "standard"))  # fmt: skip
    said = re.findall(r"(?m)\b(?:say|ask|brief|how|why|do|label|means): *(.+)", shown)
    on_screens = "\n".join(said)
    used = [w for w in TRADE if re.search(rf"\b{re.escape(w)}s?\b", on_screens, re.IGNORECASE)]
    unknown = [word for word in used if term_asked(f"what is a {word}", rs) is None]
    assert not unknown


def test_no_name_of_the_glossary_stands_for_two_words(gb_cars: Ruleset) -> None:
    ways = [w for word, term in gb_cars.glossary.items() for w in (word, *term.also)]
    assert len(ways) == len({way.casefold() for way in ways})
    assert 60 <= len(gb_cars.glossary) <= 120


# same again -----------------------------------------------------------------------------


def test_same_again_is_the_part_just_answered(gb_cars: Ruleset, tmp_path: Path) -> None:
    walk = Walk(gb_cars, tmp_path, a_car("petrol 2015"))
    asked(walk, "tyre_harm@nearside", "1, 2")
    asked(walk, "tyre_damage@front_nearside", "5, 6")
    asked(walk, "tyre_damage@rear_nearside", "same again")
    heard = next(line.text for line in walk.talk.asker.lines if line.kind == "heard")
    label = gb_cars.item_label("tyre_damage", "rear_nearside")
    assert heard.startswith(label) and "a cut or slit" in heard and "fine cracks" in heard
    assert walk.answers["tyre_damage@rear_nearside"] == walk.answers["tyre_damage@front_nearside"]


def test_same_again_in_a_row_of_numbers(gb_cars: Ruleset, tmp_path: Path) -> None:
    for words, numbers in (
        ("4, same again", (4, 4)),
        ("front 3, rear the same", (3, 3)),
        ("3.5 same", (3.5, 3.5)),
    ):
        walk = Walk(gb_cars, tmp_path / re.sub(r"\W", "", words), a_car("petrol 2015"))
        asked(walk, "tread_side@nearside", words)
        found = [walk.answers[f"tread_depth@{at}"].lo for at in ("front_nearside", "rear_nearside")]
        assert tuple(found) == numbers, words


@pytest.mark.parametrize(
    "prompt", ["worry", "brake_fluid_level", "tread_side@nearside", "recent_signs"]
)
def test_same_again_where_nothing_is_the_same_is_said_plainly(
    gb_cars: Ruleset, tmp_path: Path, prompt: str
) -> None:
    walk = Walk(gb_cars, tmp_path, a_car("petrol 2015"))
    before = walk.journal
    assert first_of(walk, prompt, "same again").startswith("The same as what?")
    assert walk.journal == before


def test_same_again_never_takes_a_danger_away(gb_cars: Ruleset, tmp_path: Path) -> None:
    """Told of a wheel, a danger is not lifted by what was seen at another."""
    walk = Walk(gb_cars, tmp_path, a_car("petrol 2015"))
    asked(walk, "tyre_harm@nearside", "1, 2")
    asked(walk, "tyre_damage@front_nearside", "0")
    assert walk.answers["tyre_damage@front_nearside"] == Answer(words=())
    asked(walk, "worry", "the back left tyre has a bulge in it")
    danger = [line for line in advice_lines(walk.talk.now) if line.kind == "danger"]
    assert danger
    asked(walk, "tyre_damage@rear_nearside", "same again")
    assert "tyre_damage@rear_nearside" not in walk.answers
    assert [line for line in advice_lines(walk.talk.now) if line.kind == "danger"] == danger


# the plan -------------------------------------------------------------------------------

PLANS = {
    "I have 10 minutes": "Planned", "no helper": "Said", "it's raining": "Went",
    "do the tyres now": "Went", "skip to the rear": "Went", "leave out the rear": "Went",
}  # fmt: skip
AT = {
    "a note": ("worry",),
    "a danger list": ("recent_signs",),
    "numbers": ("tread_side@nearside",),
    "one of": ("brake_fluid_level",),
    "is that right": ("pedal_hold", "spongy I suppose"),
    "which was wrong": ("pedal_hold", "wrong"),
    "the card": ("pedal_hold", "card"),
    "a danger told": ("worry", "the brake pedal goes to the floor"),
}


@pytest.mark.parametrize("words", PLANS)
@pytest.mark.parametrize("where", AT)
def test_a_change_of_plan_is_heard_at_every_prompt(
    gb_cars: Ruleset, tmp_path: Path, where: str, words: str
) -> None:
    walk = Walk(gb_cars, tmp_path, a_car("petrol 2015"))
    prompt, *before = AT[where]
    with suppress(Left):
        if where == "a danger told":
            walk.type(*before, words, "")
        else:
            walk.type(*before, words, "", prompt=prompt)
    assert type(walk.journal[-1]).__name__ == PLANS[words]


def test_what_is_left_names_each_place_and_what_is_left_out(
    gb_cars: Ruleset, tmp_path: Path
) -> None:
    walk = Walk(gb_cars, tmp_path, a_car("petrol 2015"))
    whole = first_of(walk, "worry", "what is left")
    assert "the rear of the car" in whole and "under the bonnet" in whole
    assert f"{len(walk.prompts)} questions left" in whole
    asked(walk, "worry", "I have 10 minutes")
    short = first_of(walk, "worry", "what is left")
    assert "Left out: " in short and "number plate" in short
    assert walk.journal[-1].kind == "planned"


def test_a_place_that_is_asked_for_fits_into_a_named_time(gb_cars: Ruleset, tmp_path: Path) -> None:
    walk = Walk(gb_cars, tmp_path, a_car("petrol 2015"))
    for prompt, words in START:
        asked(walk, prompt, words)
    asked(walk, "lamps_missing", "I have 10 minutes")
    assert not any(p.key.startswith("tread_side") for p in walk.prompts)
    asked(walk, walk.next, "do the tyres now")
    assert walk.prompts[0].place in ("nearside", "offside")
    assert time_for(gb_cars, walk.prompts, walk.talk.plan.place) <= 10


def test_rain_leads_to_what_is_dry(gb_cars: Ruleset, tmp_path: Path) -> None:
    walk = Walk(gb_cars, tmp_path, a_car("petrol 2015"))
    for prompt, words in (*START, ("lamps_missing", "0")):
        asked(walk, prompt, words)
    asked(walk, walk.next, "it's raining")
    dry = {name for name, place in gb_cars.places.items() if place.dry}
    wet = [n for n, p in enumerate(walk.prompts) if p.place not in dry]
    assert dry == {"driver_seat", "cabin"}
    assert all(p.place in dry for p in walk.prompts[: wet[0]]) and wet[0] > 10
