"""The check that decides: only about what was told, to a stated end, never twice, and it ends."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from random import Random

import pytest

from assistant.choosing.agenda import Prompt, agenda
from assistant.choosing.next_check import (
    GRAVE_SHARE,
    LEAST_FOR_WORST,
    MOST_FOR_WORST,
    _Weighing,
    checks_for,
    information,
    next_check,
    sorts_of_answer,
    told_symptoms,
)
from assistant.journal.entries import (
    Answer,
    Entry,
    Picked,
    Said,
    TookBack,
    Worry,
    entry_adapter,
)
from assistant.reasoning.consultation import Consultation, SymptomFound, consult
from assistant.ruleset.models import Cause, Urgency
from assistant.ruleset.ruleset import Ruleset, told
from tests.support.journals import JournalMaker
from tests.support.saying import say, start, take_back

MOST_QUESTIONS = 25
WITHOUT_CHECK: set[str] = set()
"""The symptoms that no check tells anything about when nothing but the symptom is known."""


def telling(*symptoms: str) -> list[Entry]:
    journal = start("gb-cars")
    for symptom in symptoms:
        say(journal, told(symptom), "yes")
    return journal


def say_answer(journal: list[Entry], question: str, at: str, answer: Answer) -> None:
    turn = max(e.turn for e in journal) + 1
    journal.append(Said(turn=turn, question=question, at=at, answer=answer))


def one(now: Consultation, symptom: str) -> SymptomFound:
    (found,) = [s for s in now.symptoms if s.symptom.symptom == symptom]
    return found


def deciding(now: Consultation) -> list[Prompt]:
    return [p for p in agenda(now).prompts if p.deciding is not None]


@pytest.fixture(scope="module")
def alone(gb_cars: Ruleset) -> dict[str, Consultation]:
    """Each symptom with nothing said but that it is there."""
    return {name: consult(gb_cars, telling(name)) for name in gb_cars.symptoms}


# which check ----------------------------------------------------------------------------


def test_what_was_not_told_is_given_no_check(gb_cars: Ruleset, tiny: Ruleset) -> None:
    """A symptom that was only seen on the walk is shown, and gets no check of its own."""
    assert deciding(consult(gb_cars, start("gb-cars"))) == []
    seen = start("gb-cars")
    say(seen, "brake_fluid_level", "below")
    now = consult(gb_cars, seen)
    assert [s.symptom.symptom for s in now.symptoms] == ["fluid_falling"]
    assert told_symptoms(now) == [] and deciding(now) == []
    small = start()
    say(small, "level", "low")
    assert consult(tiny, small).symptoms and deciding(consult(tiny, small)) == []


@pytest.mark.parametrize("word", ["no", "dont_know"])
def test_a_symptom_that_was_denied_is_given_no_check(gb_cars: Ruleset, word: str) -> None:
    journal = start("gb-cars")
    say(journal, told("pedal_sinks"), word)
    assert deciding(consult(gb_cars, journal)) == []


def test_every_symptom_told_alone_has_a_first_check(
    gb_cars: Ruleset, alone: dict[str, Consultation]
) -> None:
    """There is a check for each, and it stands in the order before anything on the walk: as the
    check that decides, or as what a rule wants to know at once."""
    without = {name for name, now in alone.items() if next_check(now, one(now, name)) is None}
    assert len(alone) >= 102
    assert without == WITHOUT_CHECK, f"no first check: {sorted(without)}"
    for name, now in alone.items():
        check = next_check(now, one(now, name))
        assert check is not None
        item = (check.question, check.at)
        (prompt,) = [p for p in agenda(now).prompts if item in p.items]
        assert prompt.why in ("deciding", "at once"), name
        assert len(deciding(now)) == (prompt.why == "deciding"), name


def test_a_check_is_one_of_the_questions_that_its_symptom_hangs_on(
    gb_cars: Ruleset, alone: dict[str, Consultation]
) -> None:
    """It can be asked of a person at the car: no note, nothing about the car itself, no date of
    the end, and no other symptom to be told."""
    for name, now in alone.items():
        for question, at in checks_for(now, one(now, name)):
            model = gb_cars.questions[question]
            assert question in gb_cars.deciding_questions(name)
            assert at in gb_cars.members(model.each)
            assert model.kind != "note" and model.asked != "told"
            assert gb_cars.places[model.place].stage not in ("start", "end")
            assert now.applies(question) is not False


def possible_and_graver(now: Consultation, found: SymptomFound) -> list[Cause]:
    """The causes that say not to drive on, are graver than all known, and are not ruled out."""
    return [
        c.cause
        for c in found.causes
        if c.cause.urgency in (Urgency.STOP_NOW, Urgency.DO_NOT_DRIVE)
        and c.cause.urgency.rank < now.urgency.rank
        and c.share >= GRAVE_SHARE
    ]


def tells(now: Consultation, found: SymptomFound, worst: Cause) -> float:
    """What the best check tells of whether it is a cause, in bits."""
    column = [c.cause for c in found.causes].index(worst)
    weighing = _Weighing(now, found)
    tables = [weighing.joint(*check) for check in checks_for(now, found)]
    return max((information(table, column) for table in tables), default=0.0)


def test_it_rules_out_exactly_while_something_graver_is_possible(gb_cars: Ruleset) -> None:
    """The worst comes first wherever a check can still move it; else the causes are told apart.
    Each symptom told alone, and again after each of up to three random answers."""
    maker, aims = JournalMaker(gb_cars, 9), Counter[str]()
    for name in gb_cars.symptoms:
        maker.random, journal = Random(name), telling(name)
        for _ in range(4):
            now = consult(gb_cars, journal)
            found = one(now, name)
            check = next_check(now, found)
            graver = possible_and_graver(now, found)
            tried = [cause for cause in graver if tells(now, found, cause) >= LEAST_FOR_WORST]
            if check is None:
                assert not tried, name
                break
            aims["rules out" if check.worst else "separates"] += 1
            if check.worst is not None:
                assert check.worst is min(tried, key=rank_of), name
            else:
                assert not tried, name
                aims["too little to rule out"] += bool(graver)
            say_answer(journal, check.question, check.at, maker.answer(check.question))
    assert aims["rules out"] >= 20 and aims["separates"] >= 20, aims


def rank_of(cause: Cause) -> int:
    assert cause.urgency is not None
    return cause.urgency.rank


def test_once_the_worst_is_known_the_causes_are_told_apart(gb_cars: Ruleset) -> None:
    """Brake fluid low could be a leak, so that is ruled out first; a car that must not be driven
    already has nothing graver to look for."""
    journal = telling("fluid_falling")
    now = consult(gb_cars, journal)
    check = next_check(now, one(now, "fluid_falling"))
    assert check is not None and check.worst is not None
    say(journal, told("oil_lamp_on"), "yes")
    now = consult(gb_cars, journal)
    assert now.urgency is Urgency.STOP_NOW
    check = next_check(now, one(now, "fluid_falling"))
    assert check is not None and check.worst is None


def test_two_things_told_get_a_check_each_in_the_order_told(gb_cars: Ruleset) -> None:
    for pair in (("squeals_when_braking", "slow_starting"), ("slow_starting", "exhaust_noise")):
        now = consult(gb_cars, telling(*pair))
        assert [s.symptom.symptom for s in told_symptoms(now)] == list(pair)
        about = {p.deciding.symptom.symptom.symptom for p in deciding(now) if p.deciding}
        assert about == set(pair)


# to the end -----------------------------------------------------------------------------


def answer_all(
    ruleset: Ruleset, maker: JournalMaker, journal: list[Entry]
) -> tuple[list[tuple[str, str]], list[Entry]]:
    """Answers every check that decides at random until none is left."""
    asked: list[tuple[str, str]] = []
    while True:
        now = consult(ruleset, journal)
        open_ = deciding(now)
        for prompt in open_:
            assert not {*prompt.items} & {*now.state.answers}, prompt.key
        if not open_:
            return asked, journal
        assert len(asked) < MOST_QUESTIONS, asked
        turn = max(e.turn for e in journal) + 1
        for question, at in open_[0].items:
            answer = maker.answer(question)
            journal = [*journal, Said(turn=turn, question=question, at=at, answer=answer)]
        asked += open_[0].items[:1]


def test_the_checks_come_to_an_end_and_none_is_asked_twice(gb_cars: Ruleset) -> None:
    """Every symptom alone, answered at random, "don't know" and "can't look" among it."""
    maker = JournalMaker(gb_cars, 7)
    counts: Counter[int] = Counter()
    for name in gb_cars.symptoms:
        maker.random = Random(name)
        asked, _ = answer_all(gb_cars, maker, telling(name))
        assert len(set(asked)) == len(asked) <= MOST_FOR_WORST, (name, asked)
        counts[len(asked)] += 1
    assert sum(count for length, count in counts.items() if length > 1) > 45, counts


def test_the_checks_for_several_things_come_to_an_end(gb_cars: Ruleset) -> None:
    maker = JournalMaker(gb_cars, 8)
    for seed in range(8):
        maker.random = random = Random(seed)
        asked, _ = answer_all(gb_cars, maker, telling(*random.sample(list(gb_cars.symptoms), 2)))
        assert len(set(asked)) == len(asked), (seed, asked)


def test_a_check_that_was_not_known_is_not_asked_again(gb_cars: Ruleset) -> None:
    journal = telling("slow_starting")
    seen: set[str] = set()
    for state in ("dont_know", "cant_look", "dont_know"):
        (prompt,) = deciding(consult(gb_cars, journal))
        assert prompt.key not in seen
        seen.add(prompt.key)
        for question, at in prompt.items:
            say(journal, f"{question}@{at}", state)
    assert not seen & {p.key for p in agenda(consult(gb_cars, journal)).prompts}


# worries --------------------------------------------------------------------------------


def worry(journal: list[Entry], *dangers: str, offered: Sequence[str] = ("pedal_sinks",)) -> int:
    turn = max(e.turn for e in journal) + 1
    journal.append(Worry(turn=turn, words="it feels odd", dangers=dangers, offered=tuple(offered)))
    return turn


def pick(journal: list[Entry], of: int, symptom: str | None) -> None:
    turn = max(e.turn for e in journal) + 1
    if symptom:
        journal.append(Said(turn=turn, question=told(symptom), answer=Answer(word="yes")))
    journal.append(Picked(turn=turn, of=of, symptom=symptom, words="1"))


def whys(now: Consultation) -> list[str]:
    return [p.why for p in agenda(now).prompts]


def test_every_danger_asks_its_questions_first_and_then_which_symptom(gb_cars: Ruleset) -> None:
    assert gb_cars.words is not None and len(gb_cars.words.ask_first) >= 8
    for name, danger in gb_cars.words.ask_first.items():
        journal = start("gb-cars")
        turn = worry(journal, name)
        prompts = agenda(consult(gb_cars, journal)).prompts
        first = prompts[: len(danger.ask) + 1]
        assert {p.question for p in first[:-1]} == set(danger.ask), name
        assert {p.why for p in first[:-1]} == {"triage"}, name
        assert first[-1].why == "worry" and first[-1].key == f"worry {turn}", name
        assert "car" in {p.why for p in prompts[len(first) :]}, name


def test_a_worry_without_a_danger_is_placed_before_anything_else(gb_cars: Ruleset) -> None:
    journal = start("gb-cars")
    worry(journal, offered=["slow_starting"])
    assert whys(consult(gb_cars, journal))[:2] == ["worry", "car"]


def test_two_worries_are_placed_oldest_first(gb_cars: Ruleset) -> None:
    journal = start("gb-cars")
    one_, two = worry(journal, "brakes"), worry(journal, "fuel", offered=["fuel_smell_noticed"])
    assert whys(consult(gb_cars, journal))[:4] == ["triage", "triage", "worry", "worry"]
    keys = [p.key for p in agenda(consult(gb_cars, journal)).prompts if p.worry]
    assert keys == [f"worry {one_}", f"worry {two}"]
    pick(journal, two, None)
    keys = [p.key for p in agenda(consult(gb_cars, journal)).prompts if p.worry]
    assert keys == [f"worry {one_}"]


def test_the_answer_to_a_danger_interrupts_before_anything_is_picked(gb_cars: Ruleset) -> None:
    """Each danger has an answer to its first questions that says not to drive on."""
    assert gb_cars.words is not None
    for name, danger in gb_cars.words.ask_first.items():
        journal = start("gb-cars")
        worry(journal, name)
        reached = []
        for question in danger.ask:
            for answer in sorts_of_answer(gb_cars, question):
                said = Said(turn=9, question=question, answer=answer)
                reached.append(consult(gb_cars, [*journal, said]).urgency)
        assert min(u.rank for u in reached) <= Urgency.DO_NOT_DRIVE.rank, name


def test_what_could_be_a_danger_and_is_none_of_those_offered_cannot_be_said(
    gb_cars: Ruleset,
) -> None:
    journal = start("gb-cars")
    turn = worry(journal, "brakes")
    pick(journal, turn, None)
    now = consult(gb_cars, journal)
    assert now.headline.kind == "cannot_say"
    assert [w.turn for w in now.headline.worries] == [turn]
    assert whys(now)[0] == "triage" and "worry" not in whys(now)
    for name, at in list(gb_cars.asked_items)[:40]:
        say(journal, f"{name}@{at}", "dont_know")
    later = consult(gb_cars, journal)
    assert [w.turn for w in later.unplaced] == [turn]
    assert later.urgency.rank <= Urgency.HAVE_LOOKED_AT.rank


def test_a_harmless_worry_that_is_none_of_them_is_only_kept(gb_cars: Ruleset) -> None:
    journal = start("gb-cars")
    pick(journal, worry(journal, offered=["slow_starting"]), None)
    now = consult(gb_cars, journal)
    assert now.headline.kind == "cannot_say" and now.urgency is Urgency.NOTHING
    assert [w.words for w in now.unplaced] == ["it feels odd"]


def test_what_was_picked_is_told_and_the_worry_is_placed(gb_cars: Ruleset) -> None:
    journal = start("gb-cars")
    pick(journal, worry(journal, "brakes"), "pedal_sinks")
    now = consult(gb_cars, journal)
    assert now.unplaced == () and now.state.open_worries() == ()
    assert [s.symptom.symptom for s in told_symptoms(now)] == ["pedal_sinks"]
    assert now.urgency is Urgency.DO_NOT_DRIVE


def test_a_pick_and_a_worry_can_be_taken_back(gb_cars: Ruleset) -> None:
    journal = start("gb-cars")
    worried = worry(journal, "brakes")
    before = consult(gb_cars, journal)
    pick(journal, worried, None)
    take_back(journal)
    again = consult(gb_cars, journal)
    assert again.unplaced == before.unplaced and again.urgency is before.urgency
    assert whys(again) == whys(before)
    journal.append(TookBack(turn=max(e.turn for e in journal) + 1, of=worried))
    gone = consult(gb_cars, journal)
    assert gone.state.worries == () and not {"triage", "worry"} & set(whys(gone))


def test_worries_and_picks_are_read_back_as_they_were_written() -> None:
    entries: list[Entry] = [
        Worry(turn=1, words="the \u201cbrakes\u201d feel\nfunny", dangers=("brakes",)),
        Worry(turn=2, words="", offered=("pedal_sinks", "long_brake_pedal"), when="10:00"),
        Picked(turn=3, of=1, symptom="pedal_sinks", words="1"),
        Picked(turn=3, of=2, when="10:01"),
    ]
    for entry in entries:
        text = entry_adapter.dump_json(entry)
        assert entry_adapter.validate_json(text) == entry
        assert type(entry_adapter.validate_json(text)) is type(entry)
