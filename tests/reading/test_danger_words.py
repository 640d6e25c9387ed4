"""Dangers told in the owner's own words, and the same words told harmlessly.

tests/outside_checks/danger_phrases.tsv and harmless_phrases.tsv (id, kind, text, half), and
mild_phrases.tsv (id, about, text): written by people who had seen neither code nor ruleset. Who
wrote the lines of words.yaml saw those marked "seen", and the mild ones; before that, 73 of 100 of
the dangers whose id begins with "DA" were told with the right kind of caution, and 13 of 100 of the
harmless words and 24 of 100 of the mild faults were told as dangers. Of those that begin with "DB"
and "HB", written later, it was 97 of 100 and 5 of 100. danger_sayings.tsv and harmless_sayings.tsv
beside this file were written by the author of those lines, before they were tuned. The last 234 and
378 of them were tried in four lots, each before it was tuned on: 66 of 83, 36 of 47, 50 of 56 and
50 of 52 dangers were told with the right kind of caution, and 30 of 146, 16 of 73, 7 of 85 and 12
of 74 harmless words were told as dangers.

Those marked "unseen 1" to "unseen 6" (100 each) were typed once into the talk before anybody read
them (tests/support/blind_look.py), each set after what the ones before had shown was mended:

    dangers that acted      91  97  99  90  96  99
    with the right caution  87  95  97  88  94  98
    lost under "nothing"     1   0   0   1   0   0
    harmless that acted      8   7   8   3   6   1

Before the fourth, sentences that sound like chat came to be asked about first; before the fifth, a
sentence that weighs like a danger came to act though no line knows it (word_weights.tsv). After the
sixth the weight of chat was lowered from 200 to -150: two more harmless ones of it act, and no
other danger is asked about. It is never weighed, so it is the one to measure by.

On 1 December 2026 the 1,204 phrases of eighty cases that a mechanic had written (complaints, and
facts about a car, most of them of a mild fault) were heard: 178 of them rang a danger that they do
not tell. With the lines mended 50 did; weighed with the phrases of the other forty cases too, 21;
with all of them weighed, 8. The last rows of danger_sayings.tsv and harmless_sayings.tsv are those
phrases. What is asked about first was then put at -300.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.errors import RulesetError
from assistant.reading.danger_words import (
    ask_first_in,
    dangers_told,
    plainly_comfort,
    sounds_alarming,
    sounds_like_chat,
)
from assistant.ruleset.load import load_ruleset
from assistant.ruleset.ruleset import Ruleset
from tests.support.talking import Walk

HERE = Path(__file__).parent
OUTSIDE = HERE.parent / "outside_checks"

RIGHT = {
    "fire": "fire_now fire_smell brake_hot high_voltage_fire",
    "fuel": "fuel_leak fuel_strong person",
    "gas": "gas_leak",
    "fumes": "fumes person",
    "heat": "heat",
    "oil": "oil_pressure fire_now",
    "belt_charging": "belt person",
    "brake": "brake brake_hot",
    "roll_away": "roll_away",
    "steering": "steering suspension",
    "suspension": "suspension steering wheel_loose tyre",
    "tyre": "tyre",
    "wheel": "wheel_loose tyre",
    "throttle": "throttle",
    "power_loss": "power_loss",
    "high_voltage": "high_voltage high_voltage_fire fire_smell fire_now",
    "battery_12v": "battery_12v person",
    "sight_lamps": "sight_lamps",
    "sight_rain": "sight_rain sight_glass",
    "sight_glass": "sight_glass person",
    "open_door": "not_to_be_moved sight_glass person",
    "person": "person fumes",
    "live_road": "live_road",
    "wrong_fuel": "wrong_fuel",
}
"""For each kind that the writer of the phrases named, the hazards that a right caution is about; of
"kind", where no part is named, any is."""


def rows(path: Path) -> list[dict[str, str]]:
    told = [line for line in path.read_text("utf-8").splitlines() if not line.startswith("#")]
    lines = [line.split("\t") for line in told]
    return [dict(zip(lines[0], line, strict=True)) for line in lines[1:]]


def hazards(ruleset: Ruleset, words: str) -> set[str]:
    assert ruleset.words is not None
    told = dangers_told(ruleset, words)
    return {hazard for name in told for hazard in ruleset.words.dangers[name].hazards}


def missed(ruleset: Ruleset, phrases: list[dict[str, str]]) -> list[str]:
    """Those that do not act at once, or not with the right kind of caution."""
    return [
        one["text"]
        for one in phrases
        if sounds_like_chat(ruleset, one["text"])
        or not (heard := hazards(ruleset, one["text"]))
        or (one["kind"] in RIGHT and not heard & set(RIGHT[one["kind"]].split()))
    ]


def taken(ruleset: Ruleset, phrases: list[dict[str, str]]) -> list[str]:
    """Those that act at once; what sounds like chat is asked about first."""
    texts = [one["text"] for one in phrases if dangers_told(ruleset, one["text"])]
    return [text for text in texts if not sounds_like_chat(ruleset, text)]


def half(name: str, which: str) -> list[dict[str, str]]:
    return [one for one in rows(OUTSIDE / name) if one["half"] == which]


def test_the_dangers_of_the_seen_half_are_told(gb_cars: Ruleset) -> None:
    phrases = half("danger_phrases.tsv", "seen")
    assert len(phrases) == 940
    assert len(missed(gb_cars, phrases)) <= 0.03 * len(phrases), missed(gb_cars, phrases)


def test_the_harmless_words_of_the_seen_half_tell_nothing(gb_cars: Ruleset) -> None:
    phrases = half("harmless_phrases.tsv", "seen")
    assert len(phrases) == 1040
    assert len(taken(gb_cars, phrases)) <= 0.02 * len(phrases), taken(gb_cars, phrases)


@pytest.mark.parametrize("which", [f"unseen {number}" for number in range(1, 7)])
def test_what_was_unseen_is_heard_no_worse_than_when_it_was_seen(
    gb_cars: Ruleset, which: str
) -> None:
    dangers, harmless = half("danger_phrases.tsv", which), half("harmless_phrases.tsv", which)
    assert len(dangers) == len(harmless) == 100
    assert len(missed(gb_cars, dangers)) <= 5, missed(gb_cars, dangers)
    assert len(taken(gb_cars, harmless)) <= 8, taken(gb_cars, harmless)


def test_a_mild_fault_is_no_danger(gb_cars: Ruleset) -> None:
    phrases = rows(OUTSIDE / "mild_phrases.tsv")
    assert len(phrases) == 160
    assert len(taken(gb_cars, phrases)) <= 0.05 * len(phrases), taken(gb_cars, phrases)


@pytest.mark.parametrize(
    ("mild", "danger"),
    [
        ("the brakes squeal a bit", "grinding metal on metal when I brake"),
        ("oil drips on my drive", "red oil lamp is on"),
        ("steering wheel shakes at 70", "the wheel is wobbling badly"),
        ("engine light is on, steady amber", "engine light is flashing"),
        ("coolant is a bit low", "coolant is boiling"),
        ("it pulls slightly to one side", "it swerves when I brake"),
        ("small chip in the windscreen", "windscreen has shattered"),
        ("one headlight is out", "no headlights and it is dark"),
        ("worn outer edge on the front tyres", "cords showing on the front tyres"),
        ("clutch bites a bit high", "the clutch has gone"),
        ("exhaust blows a little when cold", "exhaust blows into the cabin"),
        ("slow puncture", "the tyre has burst"),
    ],
)
def test_the_same_thing_mild_and_grave(gb_cars: Ruleset, mild: str, danger: str) -> None:
    assert dangers_told(gb_cars, mild) == ()
    assert dangers_told(gb_cars, danger)


@pytest.mark.parametrize(
    ("words", "danger"),
    [
        ("brakes feel a bit spongy", "brakes_weak_standing"),
        ("brake fluid is leaking a bit", "brake_warning_or_leak"),
        ("a bit of smoke from the dash", "smoke_not_known"),
        ("a small fire under the bonnet", "flames_or_thick_smoke"),
    ],
)
def test_a_small_word_makes_no_grave_thing_mild(gb_cars: Ruleset, words: str, danger: str) -> None:
    assert danger in dangers_told(gb_cars, words)


@pytest.mark.parametrize(
    ("words", "danger"),
    [
        ("both headlights went off on a dark lane then came back on", "lamps_out_night"),
        ("the dipped beams cut out for a few seconds, three times now", "lamps_out_night"),
        ("the pedal sank to the floor once and then it was all right", "brakes_failed_moving"),
        ("the red brake lamp flickers on now and then since today", "brake_warning_or_leak"),
        ("steering locked up for a second last week, all right since", "steering_lost_or_sticks"),
        ("it overheated on friday, seems fine now", "engine_too_hot"),
        ("the car rolled off the drive once, handbrake seems ok now", "car_rolling_now"),
        ("smelt burning yesterday, its gone now", "burning_smell"),
        ("the brakes failed once coming down the hill, fine since", "brakes_failed_moving"),
    ],
)
def test_what_came_and_went_stands(gb_cars: Ruleset, words: str, danger: str) -> None:
    """A danger that is past has been ruled out by nothing that was seen."""
    assert danger in dangers_told(gb_cars, words)


@pytest.mark.parametrize(
    ("words", "danger"),
    [
        ("steering wheel on the wonk since i clipped a kerb", "bent_after_kerb"),
        ("one front wheel points outwards since I hit a kerb", "bent_after_kerb"),
        ("clunking from the tow bar when i brake with the trailer on", "hitch_not_fast"),
        ("the tow ball rocks in its socket", "hitch_not_fast"),
    ],
)
def test_a_bent_wheel_and_a_loose_tow_ball(gb_cars: Ruleset, words: str, danger: str) -> None:
    assert danger in dangers_told(gb_cars, words)


@pytest.mark.parametrize(
    "words",
    [
        "windscreen mists up with greasy film and theres a sickly sweet smell",
        "doors lock and unlock themselves and alarm goes off at night",
        "with the lever in neutral it fires straight up",
        "water dripping out of exaust and white smoke in the morning, is my head gasket gone",
        "fan roaring after i switch off and hot smell, engine off",
        "No lamps are on.",
        "There is no oil under the car.",
        "cruise control doesnt work",
        "squeal when I push the clutch down",
    ],
)
def test_a_mild_thing_rings_no_danger(gb_cars: Ruleset, words: str) -> None:
    told = dangers_told(gb_cars, words)
    assert set(told) <= {"smoke_not_known"}, told


@pytest.mark.parametrize(
    ("words", "danger"),
    [
        ("the door refuses to shut", "door_or_boot_open"),
        ("the door closes not", "door_or_boot_open"),
        ("the handbrake will not ever hold", "parking_brake_slips"),
        ("the wipers dinnae work", "wipers_dead"),
        ("belt buckle wont clip in neither", "seat_or_belt"),
        ("the radiator is boiling like a kettle", "engine_too_hot"),
    ],
)
def test_a_denied_word_tells_too(gb_cars: Ruleset, words: str, danger: str) -> None:
    assert danger in dangers_told(gb_cars, words)


@pytest.mark.parametrize(
    ("alarming", "calm"),
    [
        ("help please", "i need help with the form"),
        ("oh god it did it again", "it did it again"),
        ("the wheel is goosed", "the wheel trim is goosed"),
        ("the steering is hanging", "the steering is not hanging"),
        ("scary noise from it", "noise from it"),
    ],
)
def test_what_sounds_alarming_and_is_not_understood(
    gb_cars: Ruleset, alarming: str, calm: str
) -> None:
    assert dangers_told(gb_cars, alarming) or sounds_alarming(gb_cars, alarming)
    assert not sounds_alarming(gb_cars, calm)


def test_a_danger_that_is_told_only_sounds_alarming_no_more(gb_cars: Ruleset) -> None:
    assert not sounds_alarming(gb_cars, "the brakes have failed, help please")


def test_harmless_words_do_not_sound_alarming(gb_cars: Ruleset) -> None:
    for phrases in (half("harmless_phrases.tsv", "seen"), rows(HERE / "harmless_sayings.tsv")):
        heard = [
            one["text"]
            for one in phrases
            if sounds_alarming(gb_cars, one["text"]) and not sounds_like_chat(gb_cars, one["text"])
        ]
        assert len(heard) <= 0.01 * len(phrases), heard


def test_our_own_sayings(gb_cars: Ruleset) -> None:
    """A guard against a step back; the bar is what was reached, with a little room."""
    dangers, harmless = rows(HERE / "danger_sayings.tsv"), rows(HERE / "harmless_sayings.tsv")
    assert len(dangers) > 600 and len(harmless) > 600
    assert len(missed(gb_cars, dangers)) <= 0.015 * len(dangers), missed(gb_cars, dangers)
    assert len(taken(gb_cars, harmless)) <= 0.015 * len(harmless), taken(gb_cars, harmless)


@pytest.mark.parametrize("word", ["frame", "shoulder", "seam", "steel", "fuses", "tires me out"])
def test_a_common_word_is_never_a_slip(gb_cars: Ruleset, word: str) -> None:
    for words in (word, f"the {word}", f"there is {word} here"):
        assert dangers_told(gb_cars, words) == () and ask_first_in(gb_cars, words) == ()


@pytest.mark.parametrize(
    ("words", "danger"),
    [
        ("smoek from the bonnet", "smoke_not_known"),
        ("the brkaes have failed", "brakes_failed_moving"),
        ("its overheeting", "engine_too_hot"),
        ("the throtle is stuck", "throttle_stuck"),
        ("deisel is leaking", "fuel_leak"),
        ("BRAKES HAVE FAILED!!!", "brakes_failed_moving"),
        ("the brakes won\u2019t work", "brakes_failed_moving"),
        ("the brakes wont work", "brakes_failed_moving"),
    ],
)
def test_slips_capitals_and_apostrophes(gb_cars: Ruleset, words: str, danger: str) -> None:
    assert danger in dangers_told(gb_cars, words)


@pytest.mark.parametrize(
    ("harmless", "told"),
    [
        ("it doesn't smoke", "it smokes from the bonnet"),
        ("no smell of petrol", "smell of petrol"),
        ("no leaks, drips or smell of fuel", "drips and a smell of fuel"),
        ("the brakes are fine but the radio is dead", "the radio is fine but the brakes are dead"),
        ("none of the wheel nuts are loose", "the wheel nuts are loose"),
        ("flames? no", "flames"),
        ("brakes failed last year, mended", "brakes failed again"),
        ("it used to overheat, the garage fixed it", "the garage fixed it, now it overheats"),
        ("burnt-out bulb in the boot", "burnt-out wiring in the boot, it is smoking"),
        ("my mirror broke off", "both wing mirrors broke off"),
        ("I had a tea break", "my breaks have failed"),
        ("hot hatch", "the wheel is red hot"),
        ("wheel trim is loose", "wheel is loose"),
        ("what does brake fluid do", "brake fluid is leaking"),
        ("how do I check if a tyre is bald", "a tyre is bald"),
        ("skip the brakes, the tyres are next", "the brakes are gone"),
        ("the fire extinguisher is out of date", "fire"),
        ("spring cleaning", "spring has snapped"),
    ],
)
def test_the_same_words_harmless_and_not(gb_cars: Ruleset, harmless: str, told: str) -> None:
    assert dangers_told(gb_cars, harmless) == ()
    assert dangers_told(gb_cars, told)


@pytest.mark.parametrize(
    ("words", "dangers"),
    [
        ("the brakes have failed and i smell petrol", {"brakes_failed_moving", "fuel_smell"}),
        ("tyre is flat. bonnet wont shut", {"tyre_unsafe", "bonnet_not_latched"}),
    ],
)
def test_two_told_at_once_are_two(gb_cars: Ruleset, words: str, dangers: set[str]) -> None:
    assert set(dangers_told(gb_cars, words)) == dangers


def test_the_gravest_comes_first_and_there_are_three_at_most(gb_cars: Ruleset) -> None:
    words = "the tyre is flat, the brakes failed, there are flames and he is trapped under the car"
    told = dangers_told(gb_cars, words)
    assert told[:2] == ("trapped_under_car", "flames_or_thick_smoke") and len(told) == 3


def test_comfort_is_plainly_comfort_and_nothing_else_is(gb_cars: Ruleset) -> None:
    for words in (
        "the radio cuts out", "cup holder is broken", "heated seat does nothing",
        "key fob battery is going flat", "massage seat has packed up", "keyless entry is dead",
        "rear cup holder snapped off by the kids",
    ):  # fmt: skip
        assert plainly_comfort(gb_cars, words), words
    for words in ("the radio is smoking", "it feels odd", "radio dead and the brakes pull", "no"):
        assert not plainly_comfort(gb_cars, words), words


def test_each_line_is_short_and_calm(gb_cars: Ruleset) -> None:
    assert gb_cars.words is not None and len(gb_cars.words.dangers) == 65
    for name, danger in gb_cars.words.dangers.items():
        assert len(danger.first.split()) <= 20 and len(danger.then.split()) <= 25, name
        assert "!" not in f"{danger.first}{danger.then}{danger.call}{danger.never}", name


def test_what_lifts_a_danger_is_decided_by_the_engine(gb_cars: Ruleset) -> None:
    assert gb_cars.words is not None
    lifted = {n for n, d in gb_cars.words.dangers.items() if d.lifted_by}
    roles = {n: i for n, i in gb_cars.inferences.items() if i.role in ("lifted", "lowered")}
    lowered = {n for n, d in gb_cars.words.dangers.items() if d.lowered}
    named = {f"lifted: {name}" for name in lifted} | {f"lowered: {name}" for name in lowered}
    assert roles.keys() == named
    assert not any(inference.both_sides for inference in roles.values())


@pytest.mark.parametrize(
    ("was", "is_now", "complaint"),
    [
        ("ask: [now_fuel]", "ask: [now_fool]", "there is no question 'now_fool'"),
        ("      wheel_gone", "      wheel_goner", "there is no group of words 'wheel_goner'"),
        ("lifted_by: \"now_oil == 'no'\"", "lifted_by: \"now_oil == 'nay'\"", "nay"),
        ("lifted_by: \"now_oil == 'no'\"", "lifted_by: oil_pressure_cannot_wait", "is no question"),
    ],
)
def test_a_mistake_has_its_place(
    gb_cars: Ruleset, tmp_path: Path, was: str, is_now: str, complaint: str
) -> None:
    for path in gb_cars.folder.glob("*"):
        text = path.read_text("utf-8")
        if path.name == "words.yaml":
            assert was in text
            text = text.replace(was, is_now, 1)
        (tmp_path / path.name).write_text(text, "utf-8")
    with pytest.raises(RulesetError) as error:
        load_ruleset(tmp_path)
    assert complaint in str(error.value) and "words.yaml:" in str(error.value)


# where a worry is told ------------------------------------------------------------------


def test_a_danger_told_at_the_worry_says_both_lines(gb_cars: Ruleset, tmp_path: Path) -> None:
    walk = Walk(gb_cars, tmp_path)
    asker = walk.type("worry: the brakes have failed")
    assert gb_cars.words is not None
    danger = gb_cars.words.dangers["brakes_failed_moving"]
    said = [line.text for line in asker.moments[-1].lines]
    assert said[said.index(" STOP NOW ") + 1 :][:2] == [danger.first, danger.then]


def test_yes_alone_asks_what(gb_cars: Ruleset, tmp_path: Path) -> None:
    walk = Walk(gb_cars, tmp_path)
    asker = walk.type("yes", "the brakes squeal", prompt="worry")
    assert "What worries you?" in asker.moments[1].text
    (worry,) = [e for e in walk.journal if e.kind == "worry"]
    assert worry.words == "the brakes squeal"


def test_two_things_told_at_once_are_two_worries(gb_cars: Ruleset, tmp_path: Path) -> None:
    walk = Walk(gb_cars, tmp_path)
    walk.type("worry: the brakes squeal and theres a clunk at the back")
    words = [e.words for e in walk.journal if e.kind == "worry"]
    assert words == ["the brakes squeal", "theres a clunk at the back"]


def test_two_can_be_picked(gb_cars: Ruleset, tmp_path: Path) -> None:
    walk = Walk(gb_cars, tmp_path)
    walk.type("worry: the engine is slow to start in the morning")
    (worry,) = [e for e in walk.journal if e.kind == "worry"]
    walk.type("1 and 2")
    picked = [e.symptom for e in walk.journal if e.kind == "picked"]
    assert picked == list(worry.offered[:2])
    walk.type("back")
    assert walk.next == f"worry {worry.turn}"


@pytest.mark.parametrize("words", ["help", "I've only got ten minutes", "go back"])
def test_a_command_is_no_name_for_a_car(words: str) -> None:
    from assistant.talk.first_screen import ask_name
    from tests.support.scripted import ScriptedAsker

    asker = ScriptedAsker([words, "AB12 CDE"])
    assert ask_name(asker, lambda: None) == "AB12 CDE"
