"""A consultation is a pure function of its journal."""

from __future__ import annotations

import datetime as dt
from itertools import permutations
from random import Random

import pytest

from assistant.choosing.agenda import agenda
from assistant.choosing.why import why_asked
from assistant.journal.entries import Answer, Corrected, Mended, Said, fold
from assistant.reasoning.consultation import Consultation, consult
from assistant.reasoning.engine import Engine
from assistant.reasoning.facts import Fact
from assistant.reasoning.inferring import engine_for, infer
from assistant.reasoning.trail import answers_under, trail_of
from assistant.reasoning.withdrawn import _changes
from assistant.ruleset.models import Urgency
from assistant.ruleset.ruleset import Ruleset
from assistant.ruleset.truth import Reading
from tests.outside_checks.test_clips_agreement import decided
from tests.support.journals import JournalMaker
from tests.support.saying import correct, mend, say, start, take_back


def found(consultation: Consultation) -> list[str]:
    return [f"{f.rule.rule}@{f.at}" if f.at else f.rule.rule for f in consultation.findings]


def keys(consultation: Consultation) -> list[str]:
    return [p.key for p in agenda(consultation).prompts]


def test_the_first_things_asked_are_about_the_car(tiny: Ruleset) -> None:
    assert keys(consult(tiny, start()))[:3] == ["made", "kit", "shaky"]


def test_low_fluid_asks_about_the_wheels_at_once(tiny: Ruleset) -> None:
    journal = start()
    say(journal, "level", "low")
    assert keys(consult(tiny, journal))[:5] == ["made", "kit", "wet@left", "wet@right", "shaky"]
    assert agenda(consult(tiny, journal)).prompts[2].why == "at once"


def test_one_wet_wheel_says_do_not_drive(tiny: Ruleset) -> None:
    journal = start()
    say(journal, "level", "low")
    say(journal, "wet@right", "yes")
    result = consult(tiny, journal)
    assert found(result) == ["leaking"]
    assert result.urgency is Urgency.DO_NOT_DRIVE
    assert result.symptoms[0].causes[0].cause.cause == "ran_out"


def test_no_answer_to_another_question_lowers_a_danger(tiny: Ruleset) -> None:
    journal = start()
    say(journal, "level", "low")
    say(journal, "wet@right", "yes")
    for name, at in tiny.asked_items:
        question = tiny.questions[name]
        key = f"{name}@{at}" if at else name
        if key in ("level", "wet@right"):
            continue
        values = {
            "yes_no": ["yes", "no"],
            "one_of": question.words(),
            "some_of": [[], *([w] for w in question.words())],
            "quantity": [0.5, 5.0],
            "date": [dt.date(1990, 1, 1), dt.date(2020, 1, 1)],
        }[question.kind]
        for value in [*values, "dont_know", "cant_look"]:
            more = list(journal)
            say(more, key, value)
            assert consult(tiny, more).urgency is Urgency.DO_NOT_DRIVE, (key, value)


@pytest.mark.parametrize("how", ["correct", "mend", "take back", "say again"])
def test_a_danger_taken_away_by_its_own_answer_stays_to_be_confirmed(
    tiny: Ruleset, how: str
) -> None:
    journal = start()
    say(journal, "level", "low")
    say(journal, "wet@right", "yes", "it is soaked")
    if how == "correct":
        correct(journal, "wet@right", "no")
    elif how == "mend":
        mend(journal, "wet@right")
    elif how == "take back":
        take_back(journal)
    else:
        say(journal, "wet@right", "no")
    result = consult(tiny, journal)
    assert found(result) == []
    assert result.urgency is Urgency.HAVE_LOOKED_AT
    assert result.withdrawn[0].rule.rule == "leaking"
    assert "soaked" in result.withdrawn[0].words_before


def test_what_is_mended_in_one_turn_is_told_apart_by_its_part(gb_cars: Ruleset) -> None:
    """Two tyres mended in one turn: each is to be confirmed with what was said of it."""
    journal = start("gb-cars")
    for at in ("front_nearside", "rear_offside"):
        say(journal, f"tyre_damage@{at}", ["cords", "bulge"], f"cords at the {at}")
    turn = journal[-1].turn + 1
    for at in ("front_nearside", "rear_offside"):
        journal.append(Mended(turn=turn, question="tyre_damage", at=at, words="new ones"))
    gone = {
        (g.rule.rule, g.at): (g.how, g.words_before) for g in consult(gb_cars, journal).withdrawn
    }
    assert gone == {
        (rule, at): ("said to be repaired", f"cords at the {at}")
        for rule in ("tyre_cords", "tyre_bulge")
        for at in ("front_nearside", "rear_offside")
    }


def test_facts_that_a_block_does_not_read_keep_no_other_out(tiny: Ruleset) -> None:
    """durable-rules says of each lot that some fact met no pattern; wherever that one stands, and
    however many there are, the others are taken."""
    engine = Engine(tiny)
    engine.prepare()
    read = Fact("answer", "level", word="low")
    block = next(b for b in engine.blocks if ("answer", "level") in b.reads and not b.later)
    strange = [Fact("answer", f"nothing {number}", known="yes") for number in range(3)]
    alone = {rule for rule, _ in engine._matches(block.name, "s-alone", [read])}
    assert any(rule in engine._meaning for rule in alone)
    for number, facts in enumerate(permutations([read, *strange])):
        matches = engine._matches(block.name, f"s-{number}", list(facts))
        assert {rule for rule, _ in matches} == alone
    assert not {rule for rule, _ in engine._matches(block.name, "s-none", strange)} & set(
        engine._meaning
    )


def test_a_correction_is_looked_at_whether_or_not_the_answer_was_there_before() -> None:
    """A correction of what was never said may take a danger away like any other."""
    entry = Corrected(turn=1, question="level", answer=Answer(word="full"), words="full")
    fresh = Said(turn=1, question="level", answer=Answer(word="full"), words="full")
    assert _changes(entry, set()) and not _changes(fresh, set())
    assert _changes(entry, {("level", "")}) and _changes(fresh, {("level", "")})


def test_a_danger_that_comes_back_is_not_withdrawn(tiny: Ruleset) -> None:
    journal = start()
    say(journal, "level", "low")
    say(journal, "wet@right", "yes")
    correct(journal, "wet@right", "no")
    correct(journal, "wet@right", "yes")
    assert consult(tiny, journal).withdrawn == ()


def test_what_was_mended_is_asked_again_at_once(tiny: Ruleset) -> None:
    journal = start()
    say(journal, "depth@left", 1.5)
    mend(journal, "depth@left")
    plan = agenda(consult(tiny, journal))
    prompt = next(p for p in plan.prompts if p.key == "depth@left")
    assert prompt.why == "at once"


def test_undo_and_redo_give_the_same_states(tiny: Ruleset) -> None:
    journal = start()
    say(journal, "level", "low")
    one = consult(tiny, journal)
    say(journal, "wet@left", "yes")
    two = consult(tiny, journal)
    take_back(journal)
    assert consult(tiny, journal).result.firings == one.result.firings
    take_back(journal)
    assert consult(tiny, journal).result.firings == two.result.firings


def test_what_does_not_concern_the_car_is_neither_asked_nor_counted(tiny: Ruleset) -> None:
    journal = start()
    say(journal, "made", dt.date(1999, 12, 31))
    say(journal, "bell", "no")
    result = consult(tiny, journal)
    assert found(result) == []
    assert result.applies("bell") is False
    assert "rings@back" not in keys(result)
    correct(journal, "made", dt.date(2000, 1, 1))
    assert found(consult(tiny, journal)) == ["bell_dumb"]


def test_a_date_that_is_not_known_leaves_it_open(tiny: Ruleset) -> None:
    journal = start()
    say(journal, "made", (729000.0, 731000.0))
    assert consult(tiny, journal).applies("bell") is None


def test_a_measurement_near_its_limit_is_marked(tiny: Ruleset) -> None:
    journal = start()
    say(journal, "depth@left", 1.5)
    say(journal, "depth@right", 0.5)
    by_part = {f.at: f.close_to_limit for f in consult(tiny, journal).findings}
    assert by_part == {"left": True, "right": False}


def test_the_same_journal_gives_the_same_result(tiny: Ruleset) -> None:
    journal = start()
    say(journal, "level", "empty")
    say(journal, "wet@left", "yes")
    say(journal, "marks", ["crack"])
    first = consult(tiny, journal)
    engine_for(tiny)._fire.cache_clear()
    again = consult(tiny, journal)
    assert first.result == again.result
    assert first.findings == again.findings


def test_every_cited_answer_is_necessary(tiny: Ruleset) -> None:
    """Remove a cited answer and the conclusion goes: nothing idle is cited."""
    journal = start()
    for key, value in [
        ("level", "low"),
        ("wet@left", "yes"),
        ("depth@right", 1.0),
        ("shaky", "yes"),
    ]:
        say(journal, key, value)
    result = consult(tiny, journal)
    for finding in result.findings:
        trail = trail_of(result, finding.rule.rule, finding.at)
        for said in answers_under(trail):
            less = [e for e in journal if e is not said]
            assert f"{finding.rule.rule}" not in [f.rule.rule for f in consult(tiny, less).findings]


def test_the_trail_ends_in_the_persons_own_words(tiny: Ruleset) -> None:
    journal = start()
    say(journal, "level", "low", "a bit down")
    say(journal, "wet@right", "yes", "dripping")
    trail = trail_of(consult(tiny, journal), "leaking")
    assert [s.words for s in answers_under(trail)] == ["a bit down", "dripping"]
    assert trail.source is not None and trail.source.title == "A book"


def test_why_a_question_is_asked_is_found_by_trying_each_answer(tiny: Ruleset) -> None:
    journal = start()
    say(journal, "level", "low")
    result = consult(tiny, journal)
    prompt = next(p for p in agenda(result).prompts if p.key == "wet@left")
    why = why_asked(result, journal, prompt)
    assert why.opened_by is not None and why.opened_by.rule == "falling"
    outcomes = {o.words: [f.rule.rule for f in o.new] for o in why.outcomes}
    assert outcomes == {"yes": ["leaking"], "no": []}


def test_an_engine_that_lies_is_a_fault_and_not_believed(
    tiny: Ruleset, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A false match of a dangerous rule is dropped, reported, and leaves 'have it looked at'."""
    engine = engine_for(tiny)
    honest = engine._fire

    def lying(index: int, facts: tuple) -> tuple:
        return (*honest(index, facts), ("leaking", "", True, ((),)))

    monkeypatch.setattr(engine, "_fire", lying)
    result = consult(tiny, start())
    assert ("leaking", "the engine says True, a plain reading None") in result.faults
    assert result.findings == ()
    assert result.urgency is Urgency.HAVE_LOOKED_AT


def test_an_engine_that_keeps_silent_is_a_fault_too(
    tiny: Ruleset, monkeypatch: pytest.MonkeyPatch
) -> None:
    engine = engine_for(tiny)
    monkeypatch.setattr(engine, "_fire", lambda index, facts: ())
    journal = start()
    say(journal, "depth@left", 1.0)
    result = consult(tiny, journal)
    assert ("shallow", "the engine says None, a plain reading True at left") in result.faults


def test_readings_are_read_only_values() -> None:
    with pytest.raises(AttributeError):
        Reading().word = "x"  # type: ignore[misc]


def test_a_rough_reading_across_a_limit_says_so(tiny: Ruleset) -> None:
    journal = start()
    say(journal, "depth@left", (1.5, 2.5))
    result = consult(tiny, journal)
    assert result.findings == ()
    assert [(t.rule.rule, t.at, t.lo, t.hi) for t in result.too_close] == [
        ("shallow", "left", 1.5, 2.5)
    ]
    correct(journal, "depth@left", (1.7, 2.5))
    assert consult(tiny, journal).too_close == ()


def test_a_list_of_words_at_one_part_says_nothing_of_the_other_parts(tiny: Ruleset) -> None:
    """durable-rules ignores a join that follows an $or; found on 25 November 2026."""
    journal = start()
    say(journal, "made", dt.date(2001, 1, 1))
    say(journal, "level", "full")
    say(journal, "hoop@left", "bent")
    say(journal, "hoop@right", "gone")
    result = consult(tiny, journal)
    assert result.faults == ()
    assert found(result) == ["bent_hoop@left"]
    assert result.result.truth("bent_hoop", "right") is False


def test_the_order_of_answers_changes_nothing(gb_cars: Ruleset) -> None:
    """What the engine decides; all that is made of it afterwards is left out, which takes long."""
    maker = JournalMaker(gb_cars, seed=7)
    random = Random(7)
    for _ in range(100):
        journal = maker.journal()
        first = decided(infer(gb_cars, fold(journal))[1])
        rest = journal[1:]
        random.shuffle(rest)
        moved = [e.model_copy(update={"turn": t}) for t, e in enumerate(rest, 1)]
        assert decided(infer(gb_cars, fold([journal[0], *moved]))[1]) == first
