"""One advice for the car; a danger has one box, and confirming it is never argued with."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

from assistant.journal.entries import Entry
from assistant.journal.file import read_journal
from assistant.reading.result import Unclear
from assistant.reading.understand import understand
from assistant.reasoning.consultation import Consultation, consult
from assistant.report.lines import Line
from assistant.report.result import result_data
from assistant.report.sheet import sheet
from assistant.report.summary import summary_lines
from assistant.ruleset.models import Urgency
from assistant.ruleset.ruleset import Ruleset
from assistant.ruleset.words import URGENCY_WORDS
from assistant.talk.confirming import counts_as, is_as_grave, lost_dangers
from tests.support.saying import correct, say
from tests.support.talking import Walk, WatchedAsker
from tests.talk.test_told_dangers import begun, opened

DEMOS = sorted((Path(__file__).resolve().parents[2] / "transcripts_demo").glob("*.jsonl"))
CERTAIN = "Are you certain?"


@pytest.fixture
def walk(gb_cars: Ruleset, tmp_path: Path) -> Walk:
    return Walk(gb_cars, tmp_path, begun(gb_cars))


def told(gb_cars: Ruleset, *answers: tuple[str, object]) -> list[Entry]:
    entries = begun(gb_cars)
    for key, value in answers:
        say(entries, key, value)
    return entries


def with_told(gb_cars: Ruleset, folder: Path, *answers: tuple[str, object]) -> Walk:
    return Walk(gb_cars, folder, told(gb_cars, *answers))


def boxes(asker: WatchedAsker) -> list[str]:
    lines: list[Line] = [line for moment in asker.moments for line in moment.lines]
    return [line.text.strip() for line in lines if line.kind == "danger"]


def milder_words(now: Consultation) -> list[str]:
    """How milder advice is put, where nothing milder may be said."""
    grave = now.headline.urgency
    if grave.rank > Urgency.HAVE_LOOKED_AT.rank:
        return []
    never = Urgency.DO_NOT_DRIVE  # its words may stand in what to do about something graver
    milder = [words for u, words in URGENCY_WORDS.items() if u.rank > grave.rank and u != never]
    return [*milder, "drive gently"]


# one advice -----------------------------------------------------------------------------


MANY = (
    ("now_brakes", "floor"), ("recent_events", ["pulls_braking", "fluid_topped_up"]),
    ("told_abs_lamp_on", "yes"), ("plate_lamps", "one_out"), ("wipers_washers", ["wiper_dead"]),
    ("disc_lip", "yes"),
)  # fmt: skip


def test_nothing_milder_is_advised_under_a_danger(gb_cars: Ruleset) -> None:
    known = [(key, value) for key, value in MANY if key in gb_cars.questions]
    assert len(known) >= 4
    entries = told(gb_cars, *known)
    now = consult(gb_cars, entries)
    assert now.headline.urgency is Urgency.STOP_NOW
    assert any(f.urgency is Urgency.GENTLY_TO_GARAGE for f in now.findings)
    talk = "\n".join(line.text for line in summary_lines(now, complete=True))
    for text in (talk, sheet(now, entries, "md"), sheet(now, entries, "html")):
        for words in milder_words(now):
            assert words.lower() not in text.lower()
    data = {f["rule"]: f for f in result_data(now)["findings"]}
    assert data["recent_pulls_braking"]["urgency"] == "gently_to_garage"
    assert "gently" in data["recent_pulls_braking"]["do"]


@pytest.mark.parametrize("path", DEMOS, ids=lambda p: p.stem)
def test_no_demo_speaks_with_two_voices(gb_cars: Ruleset, path: Path) -> None:
    entries = list(read_journal(path))
    now = consult(gb_cars, entries)
    talk = "\n".join(line.text for line in summary_lines(now, complete=True))
    for text in (talk, sheet(now, entries, "md")):
        below = text.split("About this sheet")[0]
        for words in milder_words(now):
            assert words.lower() not in below.lower()


def test_a_line_of_a_finding_says_what_where_and_its_category(walk: Walk) -> None:
    asker = walk.type("worry the horn is silent", "1", "stop")
    assert all(words not in asker.text for words in ("Put right before", "Keep an eye"))


@pytest.mark.parametrize(("picked", "said"), [("abs", True), ("brake, abs", False)])
def test_what_makes_the_advice_graver_says_so_for_the_car(
    walk: Walk, picked: str, said: bool
) -> None:
    """It waits for what a finding wants to know at once: the parking brake behind the red lamp."""
    asker = walk.type(picked, prompt="lamps_stay_on")
    text = asker.text.replace("\n", " ")
    assert "Found:" in text
    assert ("So for the car as a whole: drive gently, straight to a garage" in text) is said


# confirming, or worse -------------------------------------------------------------------


@pytest.mark.parametrize(
    ("before", "name", "typed", "becomes"),
    [
        (("now_steering", "slack"), "how the steering was last", "sticks", "sticks"),
        (("now_fuel", "strong"), "1", "1", "drips"),
        (("now_brakes", "weak"), "how the brakes were last", "1", "floor"),
    ],
)
def test_worse_is_never_asked_about(
    gb_cars: Ruleset, tmp_path: Path, before: tuple[str, str], name: str, typed: str, becomes: str
) -> None:
    walk = with_told(gb_cars, tmp_path, before)
    asker = walk.type("wrong", name, typed, "stop")
    assert CERTAIN not in asker.text
    assert walk.answers[before[0]].word == becomes
    now = consult(gb_cars, walk.journal)
    assert now.headline.urgency is Urgency.STOP_NOW
    assert not now.withdrawn, "giving way to a graver one takes nothing away"


def test_what_was_seen_is_kept_after_a_no(gb_cars: Ruleset, tmp_path: Path) -> None:
    """The wet patch is corrected away, and something else is seen: a no keeps both."""
    walk = with_told(
        gb_cars, tmp_path, ("told_fuel_smell_noticed", "yes"), ("fuel_smell_where", ["drops"])
    )
    asker = walk.type("wrong", "where the fuel", "2, 4", "no", "stop")
    assert CERTAIN in "".join(m.prompt for m in asker.moments)
    assert set(walk.answers["fuel_smell_where"].words or ()) == {"drops", "bonnet", "inside"}
    assert "what you see now is added" in asker.text.replace("\n", " ")


def test_what_is_milder_is_still_asked_about(gb_cars: Ruleset, tmp_path: Path) -> None:
    walk = with_told(gb_cars, tmp_path, ("now_brakes", "floor"))
    asker = walk.type("wrong", "how the brakes", "4", "no", "stop")
    assert CERTAIN in "".join(m.prompt for m in asker.moments)
    assert walk.answers["now_brakes"].word == "floor"


def test_a_change_to_something_milder_is_never_silent(gb_cars: Ruleset, tmp_path: Path) -> None:
    """Every answer that is a danger, changed to every other answer of its question."""
    places, tried = gb_cars.places, 0
    for name, question in gb_cars.questions.items():
        of_drives = places[question.place].stage == "triage" and question.asked != "told"
        if not of_drives or name == "recent_signs" or not gb_cars.dangers_on(name):
            continue
        for first in question.choices:
            many = question.kind == "some_of"
            entries = told(gb_cars, (name, [first] if many else first))
            before = consult(gb_cars, entries)
            if before.headline.urgency.rank > Urgency.DO_NOT_DRIVE.rank:
                continue
            walk = Walk(gb_cars, tmp_path / f"{name}-{first}", entries)
            asker = walk.type("stop")
            assert asker.talk is not None
            for then in question.choices:
                after = list(entries)
                say(after, name, [then] if many else then)
                trial = consult(gb_cars, after)
                lost = lost_dangers(asker.talk, trial)
                silent = not lost or is_as_grave(asker.talk, lost, trial)
                worse = trial.headline.urgency.rank <= before.headline.urgency.rank
                assert not silent or worse, (name, first, then)
                tried += 1
    assert tried > 100


def test_a_danger_that_became_graver_and_then_went_is_to_be_confirmed(gb_cars: Ruleset) -> None:
    entries = told(gb_cars, ("now_steering", "slack"))
    correct(entries, "now_steering", "sticks")
    correct(entries, "now_steering", "follows")
    assert [w.rule.rule for w in consult(gb_cars, entries).withdrawn] == ["steering_cannot_wait"]


# one danger, one box --------------------------------------------------------------------


def test_a_low_fluid_with_what_cannot_be_seen_is_one_box(walk: Walk) -> None:
    walk.type("below the lower mark", prompt="brake_fluid_level")
    shown: list[str] = []
    for prompt in ("wheel_wet@front_nearside", "fluid_fall_time", "brake_reservoir_looks",
                   "thinnest_pad"):  # fmt: skip
        asker = walk.type("can't look", prompt=prompt)
        new = [i for i, line in enumerate(asker.lines) if line.kind == "heard"]
        shown += [line.text for line in asker.lines[new[0] :] if line.kind == "danger"]
    assert shown in ([], [" HAVE IT LOOKED AT BEFORE DRIVING "])


def test_a_told_danger_that_an_answer_confirms_has_one_box(walk: Walk) -> None:
    asker = walk.type("my brakes have just failed", "it went to the floor", "yes", "stop")
    until = asker.text.split("What we have found")[0]
    assert until.count("STOP NOW") == 1
    assert "The brakes did not work as they should" in until.replace("\n", " ")


# one fault by two routes ----------------------------------------------------------------


PLATE = "worry a number plate lamp is dark"


def test_a_lamp_that_was_told_of_and_looked_at_is_one_finding(walk: Walk) -> None:
    walk.type(PLATE, "1", "stop")
    walk.type("number plate lamps", prompt="lamps_lit@rear")
    walk.type("2", prompt="plate_lamps")
    now = consult(walk.ruleset, walk.journal)
    (found,) = [f for f in now.findings if "plate_lamp" in f.rule.rule]
    assert found.rule.rule in ("plate_lamp_one_out", "plate_lamps_all_out")
    (data,) = [f for f in result_data(now)["findings"] if f["rule"] == found.rule.rule]
    assert {a["question"] for a in data["rests_on"]} == {"plate_lamps", "told_plate_lamp_dark"}
    page_one = sheet(now, walk.journal, "md").partition("## What was found, in whole")[0]
    assert "a number plate lamp is dark" in page_one


def test_a_worry_that_an_answer_contradicts_is_asked_about_once_and_both_stand(walk: Walk) -> None:
    walk.type(PLATE, "1", "stop")
    asker = walk.type("all fine", "yes", prompt="lamps_lit@rear")
    text = asker.text.replace("\n", " ")
    assert "You told me: 'a number plate lamp is dark'." in text
    assert "Now I have: number plate lamps: all lit" in text
    assert walk.answers["plate_lamps"].word == "lit"
    now = consult(walk.ruleset, walk.journal)
    assert "told_plate_lamp" in [f.rule.rule for f in now.findings]
    (data,) = result_data(now)["told_and_answered_otherwise"]
    assert data["words"] == "a number plate lamp is dark"
    for form in ("md", "html"):
        assert "Told, and answered otherwise: both stand" in sheet(now, walk.journal, form)
    asker = walk.type("wrong", "number plate lamps", "1", "stop")
    assert "Is that how it is now?" not in "".join(m.prompt for m in asker.moments)


def test_a_no_to_it_drops_only_the_answer_that_contradicts(walk: Walk) -> None:
    walk.type(PLATE, "1", "stop")
    walk.type("all fine", "no", prompt="lamps_lit@rear")
    assert "plate_lamps" not in walk.answers
    assert [key for key in walk.answers if key.startswith("rear_fog")]


def test_a_danger_that_was_told_stands_on_beside_an_answer_that_contradicts_it(
    gb_cars: Ruleset,
) -> None:
    entries = told(gb_cars, ("told_pedal_sinks", "yes"), ("pedal_hold", "holds"))
    now = consult(gb_cars, entries)
    assert now.headline.urgency is Urgency.DO_NOT_DRIVE
    assert [d["rule"] for d in result_data(now)["told_and_answered_otherwise"]] == [
        "told_pedal_sinks_stop"
    ]


def test_a_wet_patch_told_twice_is_one_finding(gb_cars: Ruleset) -> None:
    entries = told(gb_cars, ("told_fuel_smell_noticed", "yes"), ("fuel_smell_where", ["drops"]))
    assert [f.rule.rule for f in consult(gb_cars, entries).findings] == ["fuel_runs_out"]


def test_what_gives_way_is_never_milder_than_what_was_told(gb_cars: Ruleset) -> None:
    milder = []
    for inference in gb_cars.rules:
        rule = inference.rule
        assert rule is not None
        for name in rule.gives_way_to if rule.looked_at else ():
            graver = gb_cars.inferences[name].rule
            assert graver is not None and graver.urgency is not None and rule.urgency is not None
            if graver.urgency.rank > rule.urgency.rank:
                milder.append((rule.rule, name))
    assert not milder


def test_mending_it_ends_both_routes(walk: Walk) -> None:
    walk.type(PLATE, "1", "stop")
    walk.type("number plate lamps", prompt="lamps_lit@rear")
    walk.type("2", prompt="plate_lamps")
    asker = walk.type("mended plate", "stop")
    assert "I ask again" in asker.text
    asker = walk.type("1", prompt="plate_lamps")
    assert "You told me" not in asker.text
    assert not [f for f in consult(walk.ruleset, walk.journal).findings if "plate" in f.rule.rule]


def test_what_is_not_seen_advises_nothing_milder_under_a_danger(
    gb_cars: Ruleset, tmp_path: Path
) -> None:
    walk = with_told(gb_cars, tmp_path, ("brake_fluid_level", "far_below"))
    asker = walk.type("can't look", prompt="fluid_fall_time")
    new = asker.text.split("Understood")[1]
    assert "nobody knows how fast" in new.replace("\n", " ")
    assert "Have it looked at before it is driven" not in new.replace("\n", " ")


def test_a_danger_typed_as_a_name_has_one_box(gb_cars: Ruleset, tmp_path: Path) -> None:
    day = dt.date(2026, 11, 3)
    person = opened(gb_cars, tmp_path, "my brakes have failed", "Bob", "stop", day=day)
    until = [line.text for line in person.lines if line.kind in ("danger", "title")]
    assert until[: until.index("What we have found so far")].count(" STOP NOW ") == 1
    person = opened(gb_cars, tmp_path, "yes", "stop", day=day)
    first = next(line for line in person.lines if line.kind in ("danger", "place"))
    assert first.text == " STOP NOW ", "coming back says it first"


@pytest.mark.parametrize("words", ["none", "no", "nothing", "none of these", "neither"])
def test_a_bare_no_is_never_read_back_as_a_danger(gb_cars: Ruleset, words: str) -> None:
    """An echo never says the opposite of what was typed: "none" is no drops of fuel."""
    for name, question in gb_cars.questions.items():
        if question.kind == "one_of":
            heard = understand(words, question, today=dt.date(2026, 12, 1))
            if isinstance(heard, Unclear):
                assert counts_as(gb_cars, name, heard) is None, name
