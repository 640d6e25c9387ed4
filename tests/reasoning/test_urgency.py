"""A danger that is told interrupts at once, and nothing else that is said makes it milder."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from pathlib import Path
from random import Random

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from assistant.authoring.check.cases import case_journal, typed_answer
from assistant.choosing.next_check import sorts_of_answer
from assistant.journal.entries import (
    Answer,
    Context,
    Corrected,
    Entry,
    Mended,
    Said,
    TookBack,
)
from assistant.journal.file import read_journal
from assistant.reasoning.consultation import Consultation, consult
from assistant.ruleset.condition import leaves
from assistant.ruleset.models import CaseAnswer, Urgency
from assistant.ruleset.ruleset import Ruleset, told
from tests.support.journals import JournalMaker, car_first

DAY = dt.date(2026, 1, 15)
DEMOS = Path(__file__).resolve().parent.parent.parent / "transcripts_demo"
DANGERS_AT_LEAST, ONE_ANSWER_AWAY_AT_LEAST = 25, 41
SOME = settings(
    max_examples=25,
    deadline=None,
    derandomize=True,
    database=None,
    suppress_health_check=list(HealthCheck),
)
SEEDS = st.integers(0, 2**32 - 1)
HOW = ["corrected", "mended", "taken back", "said anew"]
YES, NO = Answer(word="yes"), Answer(word="no")
WORKED_LIMITS = {
    ("tyre_cut_over_limit", "tyre_width"),
    ("play_rack_over", "wheel_across"),
    ("play_box_over", "wheel_across"),
    ("play_and_wandering", "wheel_across"),
}
"""A danger, and a question that the limit it is judged by is worked out from."""


class Dangers:
    """alone: each symptom with nothing said but that it is there. urgent: those of them that say
    not to drive on, with how urgent each is."""

    def __init__(self, ruleset: Ruleset) -> None:
        self.rs = ruleset
        self.maker = JournalMaker(ruleset, 0)
        self.alone = {
            name: consult(ruleset, telling(ruleset, [], name)) for name in ruleset.symptoms
        }
        self.urgent = {name: c.urgency for name, c in self.alone.items() if is_danger(c.urgency)}
        self.names = sorted(self.urgent)


@pytest.fixture(scope="module")
def dangers(gb_cars: Ruleset) -> Dangers:
    return Dangers(gb_cars)


def is_danger(urgency: Urgency) -> bool:
    return urgency.rank <= Urgency.DO_NOT_DRIVE.rank


def danger_keys(consultation: Consultation) -> set[tuple[str, str]]:
    return {(f.rule.rule, f.at) for f in consultation.findings if is_danger(f.urgency)}


def found(consultation: Consultation) -> list[tuple[str, str]]:
    return [(f.rule.rule, f.at) for f in consultation.findings]


def worst(consultation: Consultation) -> int:
    """The rank of the gravest finding that says not to drive on, or that of nothing."""
    ranks = [f.urgency.rank for f in consultation.findings if is_danger(f.urgency)]
    return min(ranks, default=Urgency.NOTHING.rank)


def telling(ruleset: Ruleset, before: Sequence[Entry], symptom: str) -> list[Entry]:
    """A journal with one more turn, in which a symptom is told."""
    journal = list(before) or [Context(today=DAY, ruleset=ruleset.about.name)]
    turn = max(e.turn for e in journal) + 1
    said = Said(turn=turn, question=told(symptom), answer=YES, words="it is so")
    return [*journal, said]


def without(journal: Sequence[Entry], symptom: str) -> list[Entry]:
    """A journal in which nothing was said yet about whether a symptom was noticed."""
    return [e for e in journal if getattr(e, "question", "") != told(symptom)]


def with_one(journal: Sequence[Entry], question: str, at: str, answer: Answer) -> list[Entry]:
    turn = max(e.turn for e in journal) + 1
    return [*journal, Said(turn=turn, question=question, at=at, answer=answer)]


def some_journal(maker: JournalMaker, random: Random) -> list[Entry]:
    """A demo or a random journal, up to a random turn."""
    if random.random() < 0.2:
        journal = read_journal(random.choice(sorted(DEMOS.glob("*.jsonl"))))
    else:
        maker.random = random
        journal = maker.journal()
    return journal[: random.randint(1, len(journal))]


def newly_lowered(before: Consultation, after: Consultation) -> set[tuple[str, str]]:
    """The dangers that something seen has ruled out since; what rules them out reads answers."""
    rs = after.ruleset
    new = [s for s in after.stood_down if s not in before.stood_down]
    for down in new:
        names = [leaf.name for leaf in leaves(rs.inferences[down.by.rule].condition)]
        assert all(name in rs.questions for name in names), (down.by.rule, names)
        assert down.rule.rule in down.by.lowers
    return {(s.rule.rule, s.at) for s in new}


# telling a danger -----------------------------------------------------------------------


def test_there_are_many_symptoms_that_are_a_danger_by_themselves(dangers: Dangers) -> None:
    assert len(dangers.urgent) >= DANGERS_AT_LEAST, dangers.names


@SOME
@given(seed=SEEDS)
def test_telling_a_danger_interrupts_from_any_point_of_a_walk(dangers: Dangers, seed: int) -> None:
    """The consultation of that very turn is as urgent as the symptom alone, or more; the only
    way round is a danger that was directly seen to be none, which then is shown as ruled out."""
    rs, random = dangers.rs, Random(seed)
    before = some_journal(dangers.maker, random)
    was = consult(rs, before)
    for symptom in random.sample(dangers.names, 4):
        now = consult(rs, telling(rs, before, symptom))
        lowered = newly_lowered(was, now)
        assert now.urgency.rank <= dangers.urgent[symptom].rank or lowered, symptom
        assert now.urgency.rank <= was.urgency.rank, symptom


def test_every_danger_interrupts_a_walk_that_found_nothing(dangers: Dangers) -> None:
    """Every one of them, at five points of the walk of a car that is in order."""
    rs, journal = dangers.rs, read_journal(DEMOS / "clean-car.jsonl")
    cuts = [1, len(journal) // 4, len(journal) // 2, 3 * len(journal) // 4, len(journal)]
    for symptom, urgency in dangers.urgent.items():
        for cut in cuts:
            now = consult(rs, telling(rs, journal[:cut], symptom))
            assert now.urgency.rank <= urgency.rank or now.stood_down, (symptom, cut)


@SOME
@given(seed=SEEDS)
def test_a_danger_is_as_urgent_in_any_order_of_answers(dangers: Dangers, seed: int) -> None:
    """Told first, last or in between: the same findings, the same urgency."""
    rs, random = dangers.rs, Random(seed)
    symptom = random.choice(dangers.names)
    dangers.maker.random = random
    journal = telling(rs, without(dangers.maker.journal(), symptom), symptom)
    said = [e for e in journal if isinstance(e, Said)]
    first = consult(rs, journal)
    assert is_danger(first.urgency) or first.stood_down, symptom
    random.shuffle(said)
    again = [e.model_copy(update={"turn": turn}) for turn, e in enumerate(said, 1)]
    other = consult(rs, [journal[0], *again])
    assert other.urgency is first.urgency
    assert found(other) == found(first)


# one more answer ------------------------------------------------------------------------


def open_items(now: Consultation) -> Iterator[tuple[str, str]]:
    """What has not been answered, but for what is asked about the car itself."""
    rs = now.ruleset
    for name, at in rs.asked_items:
        stage = rs.places[rs.questions[name].place].stage
        if stage != "start" and (name, at) not in now.state.answers:
            yield name, at


def questions_of_dangers(now: Consultation) -> set[str]:
    """The questions that the dangers found, and what could lower them, hang on."""
    rs, names = now.ruleset, set[str]()
    for rule, _ in danger_keys(now):
        for name in (rule, *rs.lowered_by(rule)):
            names |= set(rs.graph.questions_behind(rs.inferences[name].condition))
    return names


@SOME
@given(seed=SEEDS)
def test_an_answer_to_another_question_makes_no_danger_milder(dangers: Dangers, seed: int) -> None:
    """A further answer leaves every danger, unless something seen has ruled it out; what was
    told to be looked at for want of an answer may become milder, since then it is answered.

    Left out, and looked at on their own below: answers about the car, which say which questions
    concern it, and a limit that is worked out from an answer.
    """
    random = Random(seed)
    dangers.maker.random = random
    journal = car_first(dangers.rs, dangers.maker.journal())
    was = consult(dangers.rs, journal)
    hangs = questions_of_dangers(was)
    items = list(open_items(was))
    random.shuffle(items)
    near = [item for item in items if item[0] in hangs]
    for name, at in random.sample(near, min(4, len(near))) + items[:1]:
        answer = dangers.maker.answer(name)
        now = consult(dangers.rs, with_one(journal, name, at, answer))
        gone = danger_keys(was) - danger_keys(now) - newly_lowered(was, now)
        gone = {key for key in gone if not given_way(now, *key)}
        assert {rule for rule, _ in gone if (rule, name) not in WORKED_LIMITS} == set(), (
            name,
            at,
            answer,
        )
        if worst(now) > worst(was):
            assert newly_lowered(was, now) or gone, (name, at, answer)


def given_way(now: Consultation, rule: str, at: str) -> bool:
    """Whether a finding is left out beside one that is as grave, on the same thing."""
    model = now.ruleset.inferences[rule].rule
    assert model is not None and model.urgency is not None
    return any(
        f.rule.rule in model.gives_way_to and f.urgency.rank <= model.urgency.rank
        for f in now.findings
        if f.at in (at, "") or not at
    )


def danger_cases(ruleset: Ruleset) -> Iterator[tuple[str, list[Entry]]]:
    """The first worked case of every rule that says not to drive on."""
    for inference in ruleset.rules:
        rule = inference.rule
        if rule is not None and rule.urgency is not None and is_danger(rule.urgency):
            yield rule.rule, case_journal(ruleset, rule.cases[0].fires, rule.cases[0].today)


def test_no_single_answer_makes_the_case_of_a_danger_milder(dangers: Dangers) -> None:
    """Every rule that says not to drive on, from its worked case, with each sort of answer to each
    question that it or what lowers it hangs on."""
    rs, tried = dangers.rs, 0
    for rule, journal in danger_cases(rs):
        was = consult(rs, journal)
        assert is_danger(was.urgency), rule
        hangs = questions_of_dangers(was)
        for name, at in open_items(was):
            first = at == rs.members(rs.questions[name].each)[0]
            if name not in hangs or not first or (rule, name) in WORKED_LIMITS:
                continue
            for answer in [*sorts_of_answer(rs, name), Answer(state="dont_know")]:
                tried += 1
                now = consult(rs, with_one(journal, name, at, answer))
                lowered = newly_lowered(was, now)
                assert worst(now) <= worst(was) or lowered, (rule, name, answer)
    assert tried >= 400


def test_a_cut_is_judged_anew_once_the_width_of_the_tyre_is_known(dangers: Dangers) -> None:
    """A limit that is a share of the width follows the width that is said: the one danger that
    another answer can take away without anything being seen to be in order. It stays a finding."""
    rs = dangers.rs
    answers = {"tyre_damage": ["cut"], "cut_depth": "felt", "cut_length": 28}
    journal = case_journal(rs, {**answers, "tyre_size": "275/35 R19 100Y"})
    assert consult(rs, journal).urgency is Urgency.DO_NOT_DRIVE
    at = rs.members(rs.questions["tyre_width"].each)[0]
    for width in (185.0, 275.0, 345.0):
        now = consult(rs, with_one(journal, "tyre_width", at, Answer(lo=width, hi=width)))
        assert now.urgency.rank <= Urgency.HAVE_LOOKED_AT.rank, width


@pytest.mark.parametrize(
    ("danger", "question", "word"),
    [
        ({"fuel_hoses": ["fuel_drips"]}, "fuel", "electric"),
        ({"exhaust_hold": ["box_drags"]}, "fuel", "electric"),
        ({"servo_dip": "rock_hard"}, "fuel", "petrol_hybrid"),
        ({"gas_system_signs": ["gas_part_loose"]}, "fuel", "petrol"),
        ({"towbar_signs": ["tow_hangs"]}, "equipment", []),
    ],
)
def test_a_danger_that_does_not_concern_this_car_after_all_stays_visible(
    dangers: Dangers, danger: dict[str, CaseAnswer], question: str, word: CaseAnswer
) -> None:
    """Where an answer about the car comes after the danger and contradicts it, it is not lost."""
    rs = dangers.rs
    journal = case_journal(rs, danger)
    assert is_danger(consult(rs, journal).urgency)
    more = with_one(journal, question, "", typed_answer(rs, question, word))
    now = consult(rs, more)
    assert is_danger(now.urgency) or now.withdrawn


def test_a_more_exact_finding_in_place_of_a_danger_takes_nothing_away(dangers: Dangers) -> None:
    """0.8 mm is under every limit; once the kind of vehicle is known, one limit is named."""
    rs = dangers.rs
    journal = case_journal(rs, {"tread_depth": 0.8})
    assert "tread_too_low_any_kind" in {f.rule.rule for f in consult(rs, journal).findings}
    now = consult(rs, with_one(journal, "body", "", typed_answer(rs, "body", "car")))
    assert "tread_too_low" in {f.rule.rule for f in now.findings}
    assert now.withdrawn == ()


# one answer away ------------------------------------------------------------------------


def test_many_symptoms_are_one_answer_away_from_a_danger(dangers: Dangers) -> None:
    """Besides those that are a danger by themselves: told, and then one of its checks answered."""
    milder = [name for name in dangers.alone if name not in dangers.urgent]
    missing = [name for name in milder if not one_answer_away(dangers.rs, name)]
    reached = len(milder) - len(missing)
    assert reached >= ONE_ANSWER_AWAY_AT_LEAST, f"{reached} reach it; not: {', '.join(missing)}"


def one_answer_away(ruleset: Ruleset, symptom: str) -> bool:
    journal = telling(ruleset, [], symptom)
    return any(
        is_danger(consult(ruleset, with_one(journal, name, at, answer)).urgency)
        for name in ruleset.deciding_questions(symptom)
        if name != told(symptom)
        for at in ruleset.members(ruleset.questions[name].each)[:1]
        for answer in sorts_of_answer(ruleset, name)
    )


# the very answer changed ----------------------------------------------------------------


def changed(journal: Sequence[Entry], symptom: str, how: str) -> list[Entry]:
    """The journal after the telling of a symptom was corrected, mended, taken back or said anew."""
    turn = max(e.turn for e in journal) + 1
    entry: Entry
    if how == "mended":
        entry = Mended(turn=turn, question=told(symptom), words="mended")
    elif how == "taken back":
        (of,) = [e.turn for e in journal if isinstance(e, Said) and e.question == told(symptom)]
        entry = TookBack(turn=turn, of=of)
    else:
        kind = Corrected if how == "corrected" else Said
        entry = kind(turn=turn, question=told(symptom), answer=NO, words="it is not")
    return [*journal, entry]


@pytest.mark.parametrize("how", HOW)
def test_a_danger_whose_own_answer_is_changed_stays_to_be_confirmed(
    dangers: Dangers, how: str
) -> None:
    for symptom in dangers.names:
        now = consult(dangers.rs, changed(telling(dangers.rs, [], symptom), symptom, how))
        withdrawn = {(g.rule.rule, g.at) for g in now.withdrawn}
        assert danger_keys(now) == set(), symptom
        assert withdrawn == danger_keys(dangers.alone[symptom]), symptom
        assert all(g.words_before == "it is so" for g in now.withdrawn)
        assert now.urgency is Urgency.HAVE_LOOKED_AT, symptom


@SOME
@given(seed=SEEDS)
def test_a_changed_danger_stays_visible_at_any_point_of_a_walk(dangers: Dangers, seed: int) -> None:
    """Whatever was said before: still found, withdrawn, or ruled out by what was seen."""
    random = Random(seed)
    symptom, how = random.choice(dangers.names), random.choice(HOW)
    before = without(some_journal(dangers.maker, random), symptom)
    journal = telling(dangers.rs, before, symptom)
    then = consult(dangers.rs, journal)
    now = consult(dangers.rs, changed(journal, symptom, how))
    visible = danger_keys(now) | {(g.rule.rule, g.at) for g in now.withdrawn}
    visible |= {(s.rule.rule, s.at) for s in now.stood_down}
    assert danger_keys(then) <= visible, (symptom, how)
    if danger_keys(then):
        assert now.urgency.rank <= Urgency.HAVE_LOOKED_AT.rank
