"""A worry in the owner's own words: dangers first, then a pick that only the person makes."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from assistant.authoring.check.cases import case_journal
from assistant.journal.entries import Entry, Picked, Said, TookBack, Worry, active_entries
from assistant.reading.danger_words import ask_first_in, dangers_told
from assistant.reasoning.consultation import consult
from assistant.ruleset.models import Urgency
from assistant.ruleset.ruleset import Ruleset, told
from assistant.talk.worries import dangers_in, nearest, no_worry
from tests.support.talking import Walk, WatchedAsker

BRAKES = "my brakes feel funny"
HARMLESS = "the engine is slow to start in the morning"


@pytest.fixture
def walk(gb_cars: Ruleset, tmp_path: Path) -> Iterator[Walk]:
    """A record that is talked about; whatever is done with it, nothing is picked silently."""
    walk = Walk(gb_cars, tmp_path)
    yield walk
    picked = {(e.turn, told(e.symptom)) for e in kinds(walk, Picked) if e.symptom}
    said = {(e.turn, e.question) for e in kinds(walk, Said) if e.question.startswith("told_")}
    assert said == picked


def kinds(walk: Walk, kind: type) -> list:  # type: ignore[type-arg]
    return [e for e in walk.journal if type(e) is kind]


def worry(walk: Walk) -> Worry:
    (found,) = kinds(walk, Worry)
    return found


def picks(walk: Walk) -> list[str | None]:
    return [e.symptom for e in active_entries(walk.journal) if isinstance(e, Picked)]


def last(asker: WatchedAsker) -> str:
    return asker.moments[-1].key


def number_of(walk: Walk, symptom: str) -> str:
    return str(worry(walk).offered.index(symptom) + 1)


def none_of_these(walk: Walk) -> str:
    return str(len(worry(walk).offered) + 1)


# telling --------------------------------------------------------------------------------


def test_a_worry_is_told_where_it_is_asked_for(walk: Walk) -> None:
    asker = walk.type(HARMLESS, prompt="worry")
    assert worry(walk).words == HARMLESS and worry(walk).dangers == ()
    assert "slow_starting" in worry(walk).offered and len(worry(walk).offered) == 3
    assert walk.answers["worry"].text == HARMLESS
    assert walk.next == f"worry {worry(walk).turn}"
    assert "caution" not in asker.moments[-1].kinds()


def test_a_worry_is_told_at_any_other_prompt(walk: Walk) -> None:
    asker = walk.type(f"worry: {BRAKES}")
    assert worry(walk).words == BRAKES and worry(walk).dangers == ("brakes",)
    assert walk.answers == {}
    assert last(asker) == walk.next == "now_brakes"


@pytest.mark.parametrize(
    "words",
    [
        "I'm worried about the noise from the brakes",
        "we are a bit concerned that the brakes grind",
        "one more thing: the brakes are spongy",
        "by the way, brakes squeal",
    ],
)
def test_a_worry_is_told_in_other_words(walk: Walk, words: str) -> None:
    walk.type(words)
    assert worry(walk).dangers[-1] == "brakes"


def test_a_worry_is_asked_for_where_only_that_was_said(walk: Walk) -> None:
    asker = walk.type("worry", BRAKES)
    assert "What worries you?" in asker.moments[1].text
    assert worry(walk).words == BRAKES


@pytest.mark.parametrize("words", ["no", "nothing", "not really"])
def test_a_worry_that_is_none_after_all_goes_back_to_the_prompt(walk: Walk, words: str) -> None:
    before = walk.next
    asker = walk.type("worry", words)
    assert kinds(walk, Worry) == [] and last(asker) == before


def test_a_worry_can_be_told_at_every_prompt_there_is_at_the_start(walk: Walk) -> None:
    """Every kind of question and every group; nothing is understood as an answer to them."""
    prompts = [p for p in walk.prompts if p.key != "worry"]
    assert len({p.why for p in prompts}) >= 4
    shapes: dict[object, str] = {}
    for prompt in prompts:
        question = walk.ruleset.questions[prompt.items[0][0]]
        shapes.setdefault((bool(prompt.group), question.kind, prompt.why), prompt.key)
    assert len(shapes) >= 6
    for count, key in enumerate(shapes.values(), 1):
        walk.type(f"worry: {HARMLESS}", prompt=key)
        assert len(kinds(walk, Worry)) == count and walk.answers == {}, key


@pytest.mark.parametrize(
    ("opened_by", "key"),
    [
        ({"tyre_damage": ["cracks"]}, "tyre_code@front_nearside"),
        ({"tyre_match": ["size"]}, "tyre_size@front_offside"),
        ({"new_tyres": "other"}, "axle_marking@front"),
    ],
)
def test_a_worry_can_be_told_where_a_marking_is_read_off(
    gb_cars: Ruleset, tmp_path: Path, opened_by: dict[str, object], key: str
) -> None:
    journal = case_journal(gb_cars, opened_by)  # type: ignore[arg-type]
    walk = Walk(gb_cars, tmp_path, journal)
    walk.type(f"worry: {BRAKES}", prompt=key)
    assert worry(walk).words == BRAKES


# words that are no answer ---------------------------------------------------------------


def test_words_that_are_no_answer_but_sound_like_a_worry_are_asked_about(walk: Walk) -> None:
    asker = walk.type(BRAKES, "yes")
    assert asker.moments[1].prompt.startswith("Is that something that worries you")
    assert worry(walk).words == BRAKES and walk.answers == {}
    assert last(asker) == "now_brakes"


@pytest.mark.parametrize("word", ["no", "back"])
def test_words_that_were_no_worry_leave_the_prompt_open(walk: Walk, word: str) -> None:
    before = walk.next
    asker = walk.type(BRAKES, word)
    assert kinds(walk, Worry) == [] and walk.answers == {}
    assert last(asker) == before


def test_words_that_sound_like_nothing_are_not_asked_about(walk: Walk) -> None:
    asker = walk.type("xyzzy plugh")
    assert not any("worries you about" in m.prompt for m in asker.moments)
    assert kinds(walk, Worry) == []


def test_an_answer_is_never_taken_for_a_worry(walk: Walk) -> None:
    walk.type("2015")
    assert kinds(walk, Worry) == [] and set(walk.answers) == {"certificate_end"}


# no worry -------------------------------------------------------------------------------


@pytest.mark.parametrize("words", ["no", "No.", "nothing", "nope", "don't know", "no worries"])
def test_no_worry_asks_nothing_more(walk: Walk, words: str) -> None:
    walk.type(words, prompt="worry")
    assert kinds(walk, Worry) == [] and kinds(walk, Picked) == []
    assert "worry" in walk.answers and walk.next == "certificate_end"
    assert not {"worry", "triage"} & {p.why for p in walk.prompts}


@pytest.mark.parametrize(
    "words",
    [
        "no brakes",
        "no oil pressure",
        "no power steering",
        "no, but the brakes grind",
        "not sure but the brakes grind",
        "I don't know, it smells of petrol",
        "no idea what it is but smoke comes out",
        "nope, well the steering is heavy",
    ],
)
def test_a_danger_that_begins_with_no_is_a_worry(walk: Walk, words: str) -> None:
    """ "No" in front of a danger does not say that nothing is wrong."""
    walk.type(words, prompt="worry")
    assert worry(walk).words == words and worry(walk).dangers
    assert walk.prompts[0].why == "triage"


@pytest.mark.parametrize("words", ["no pedal", "no lights", "no horn", "never stops in time"])
def test_a_lack_of_something_is_a_worry(gb_cars: Ruleset, words: str) -> None:
    assert not no_worry(gb_cars, words)


# dangers first --------------------------------------------------------------------------


def test_each_danger_is_said_at_once_and_asked_first(walk: Walk) -> None:
    """Every word of every danger: what to do now is said before anything is asked."""
    rs = walk.ruleset
    assert rs.words is not None
    for name, may_be in rs.words.ask_first.items():
        words = f"the {may_be.hear[0].replace('-', ' ')} thing"
        told_ = dangers_told(rs, words)
        asker = walk.type(f"worry: {words}")
        moment = asker.moments[-1]
        first = rs.words.dangers[told_[0]].first if told_ else may_be.say
        asked = rs.words.dangers[told_[0]].ask if told_ else may_be.ask
        assert name in ask_first_in(rs, words), words
        assert first in [line.text for line in moment.lines if line.kind in ("caution", "text")]
        assert moment.key in asked
        walk.type("back", "yes")


def test_every_word_of_danger_is_heard_in_a_sentence(gb_cars: Ruleset) -> None:
    assert gb_cars.words is not None
    for name, may_be in gb_cars.words.ask_first.items():
        for line in may_be.hear:
            if " " in line or "_" in line:
                continue
            word = line.replace("-", " ")
            for sentence in (word, f"there is some {word.upper()} here!", f"{word}, since May"):
                assert name in dangers_in(gb_cars, sentence), sentence


def test_a_slip_of_the_finger_in_a_danger_is_forgiven(gb_cars: Ruleset) -> None:
    assert dangers_in(gb_cars, "the braeks feel odd") == ("brakes",)
    assert "steering" in dangers_in(gb_cars, "the sterring is odd")
    assert dangers_in(gb_cars, "slow to start") == ()


def test_a_danger_interrupts_before_the_pick_is_asked(walk: Walk) -> None:
    asker = walk.type(f"worry: {BRAKES}", "1")
    assert "danger" in asker.moments[-1].kinds()
    assert consult(walk.ruleset, walk.journal).urgency.rank <= Urgency.DO_NOT_DRIVE.rank
    assert picks(walk) == []


def test_the_pick_comes_after_the_danger_and_before_the_car(walk: Walk) -> None:
    asker = walk.type(f"worry: {BRAKES}", "works", "1", "2015")
    assert [m.key for m in asker.moments] == [
        "certificate_end",
        "now_brakes",
        f"worry {worry(walk).turn}",
        "certificate_end",
        "first_used",
    ]


# the pick -------------------------------------------------------------------------------


def test_a_pick_by_number(walk: Walk) -> None:
    walk.type(f"worry: {HARMLESS}")
    asker = walk.type(number_of(walk, "slow_starting"))
    assert asker.moments[0].text.count(HARMLESS) == 1
    assert picks(walk) == ["slow_starting"]
    assert walk.answers[told("slow_starting")].word == "yes"
    (said,) = kinds(walk, Said)
    assert said.words == HARMLESS, "the trail leads back to the person's own words"


def test_a_pick_by_its_words(walk: Walk) -> None:
    walk.type(f"worry: {HARMLESS}")
    walk.type(walk.ruleset.symptoms["slow_starting"].say)
    assert picks(walk) == ["slow_starting"]


def test_a_pick_that_is_a_danger_interrupts_in_that_turn(walk: Walk) -> None:
    walk.type("worry: the brake pedal feels soft and spongy", "works", "1")
    asker = walk.type(number_of(walk, "soft_brake_pedal"))
    assert "danger" in asker.moments[1].kinds()
    assert consult(walk.ruleset, walk.journal).urgency is Urgency.DO_NOT_DRIVE


def test_a_pick_leads_to_the_check_that_decides(walk: Walk) -> None:
    walk.type(f"worry: {HARMLESS}")
    walk.type(number_of(walk, "slow_starting"))
    deciding = [p for p in walk.prompts if p.deciding]
    assert len(deciding) == 1 and deciding[0].why == "deciding"
    assert deciding[0].deciding is not None
    assert deciding[0].deciding.symptom.symptom.symptom == "slow_starting"


@pytest.mark.parametrize("words", ["none of these", "none", "no", "neither", "something else"])
def test_none_of_these_keeps_the_words_for_the_garage(walk: Walk, words: str) -> None:
    asker = walk.type(f"worry: {BRAKES}", "works", words, "found", "none")
    assert picks(walk) == [None]
    now = consult(walk.ruleset, walk.journal)
    assert [w.words for w in now.unplaced] == [BRAKES]
    assert now.headline.kind == "cannot_say"
    text = "\n".join(m.text for m in asker.moments)
    assert f"You said '{BRAKES}'. If it changes how the car stops" in text
    assert not any(p.worry for p in walk.prompts)


def test_none_of_these_by_number(walk: Walk) -> None:
    walk.type(f"worry: {HARMLESS}")
    walk.type(none_of_these(walk))
    now = consult(walk.ruleset, walk.journal)
    assert picks(walk) == [None] and [w.words for w in now.unplaced] == [HARMLESS]


@pytest.mark.parametrize("words", ["xyzzy plugh", "99", "0", "?!", "yes", "maybe", "all of them"])
def test_words_that_pick_nothing_pick_nothing(walk: Walk, words: str) -> None:
    """Asked again, and nothing is guessed."""
    walk.type(f"worry: {HARMLESS}")
    before = len(walk.journal)
    asker = walk.type(words, "no")
    assert asker.moments[1].key == f"worry {worry(walk).turn}" or picks(walk) == [None]
    assert [s for s in picks(walk) if s] == [] and len(walk.journal) <= before + 1


@pytest.mark.parametrize("step", ["help", "how", "why", "what does that mean", "found", "redo"])
def test_a_side_step_at_the_pick_comes_back_to_it(walk: Walk, step: str) -> None:
    walk.type(f"worry: {HARMLESS}")
    on_disk = walk.path.read_bytes()
    asker = walk.type(step)
    assert last(asker) == f"worry {worry(walk).turn}" and walk.path.read_bytes() == on_disk


def test_words_that_sound_like_nothing_known_are_kept_and_not_offered(walk: Walk) -> None:
    asker = walk.type("worry: zzqx qqjj")
    assert worry(walk).offered == () and picks(walk) == [None]
    assert "I know nothing that sounds like that" in asker.moments[-1].text
    assert not any(p.worry for p in walk.prompts)


def test_nothing_is_picked_for_the_words_of_any_symptom(walk: Walk) -> None:
    """Its own words exactly: it is among those offered, and still waits for the person."""
    rs = walk.ruleset
    missed = []
    for name, symptom in rs.symptoms.items():
        if name not in [match.name for match in nearest(rs, symptom.say)]:
            missed.append(name)
    assert missed == []
    for name in list(rs.symptoms)[::12]:
        walk.type(f"worry: {rs.symptoms[name].say}")
    assert len(kinds(walk, Worry)) >= 8 and picks(walk) == []
    assert not any(key.startswith("told_") for key in walk.answers)


# back, and another day ------------------------------------------------------------------


def test_back_takes_a_pick_back_and_redo_brings_it_again(walk: Walk) -> None:
    walk.type(f"worry: {HARMLESS}")
    key = f"worry {worry(walk).turn}"
    walk.type(number_of(walk, "slow_starting"))
    asker = walk.type("back")
    assert picks(walk) == [] and told("slow_starting") not in walk.answers
    assert last(asker) == walk.next == key
    walk.type("redo")
    assert picks(walk) == ["slow_starting"] and told("slow_starting") in walk.answers
    walk.type("back", "back")
    assert not consult(walk.ruleset, walk.journal).state.worries


def test_back_over_a_picked_danger_asks_and_keeps_it_on_the_sheet(walk: Walk) -> None:
    walk.type("worry: the brake pedal feels soft and spongy", "works", "1")
    walk.type(number_of(walk, "soft_brake_pedal"))
    walk.type("back", "no")
    assert picks(walk) == ["soft_brake_pedal"]
    walk.type("back", "yes")
    now = consult(walk.ruleset, walk.journal)
    assert picks(walk) == [] and now.withdrawn and now.urgency is Urgency.HAVE_LOOKED_AT


def test_another_day_shows_the_same_pick_again(walk: Walk) -> None:
    walk.type(f"worry: {BRAKES}", "works")
    first = walk.type("stop")
    again = walk.type()
    assert last(again) == f"worry {worry(walk).turn}"
    shown = [line.text for line in first.moments[0].lines if line.kind == "choice"]
    assert [line.text for line in again.moments[0].lines if line.kind == "choice"] == shown
    assert len(shown) == len(worry(walk).offered) + 1 and "none of these" in shown[-1]


def test_another_day_asks_about_the_danger_first(walk: Walk) -> None:
    walk.type(f"worry: {BRAKES}", "stop")
    assert last(walk.type()) == walk.next == "now_brakes"


def test_two_worries_are_picked_in_turn(walk: Walk) -> None:
    walk.type(f"worry: {BRAKES}", "works", f"worry: {HARMLESS}")
    first, second = kinds(walk, Worry)
    assert walk.next == f"worry {first.turn}"
    walk.type("none of these")
    assert walk.next == f"worry {second.turn}"
    walk.type(str(second.offered.index("slow_starting") + 1))
    assert picks(walk) == [None, "slow_starting"]


def test_a_small_ruleset_that_knows_no_worries_says_so(tiny: Ruleset, tmp_path: Path) -> None:
    walk = Walk(tiny, tmp_path)
    asker = walk.type(f"worry: {BRAKES}")
    assert "knows no symptoms" in asker.moments[-1].text
    assert [e.kind for e in walk.journal] == ["context"]


def test_the_journal_only_grows(walk: Walk) -> None:
    """Whatever is taken back, every entry stays on the disk in its place."""
    before: list[Entry] = []
    for words in (f"worry: {BRAKES}", "works", "none of these", "back", "redo", "back"):
        walk.type(words)
        assert walk.journal[: len(before)] == before
        before = walk.journal
    assert len([e for e in before if isinstance(e, TookBack)]) == 3
