"""A simulated owner of hidden cars drives the real talk; what must never be is looked for after
every screen. Each check is shown to notice a fault that was planted in the product."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from random import Random
from typing import Any

import pytest
import yaml

from assistant.journal.entries import Answer, Entry, Said
from assistant.journal.file import JournalFile
from assistant.report.lines import Line
from assistant.ruleset.ruleset import Ruleset
from assistant.talk.opening import Listening
from tests.support.owner import invariants, product
from tests.support.owner.acts import acts_of, asked_acts
from tests.support.owner.car import Truth, sound_car, truths
from tests.support.owner.forms import bank
from tests.support.owner.oracle import CORE, Oracle, kinds
from tests.support.owner.owner import Mood
from tests.support.owner.screens import Asked, Reader, Screen
from tests.support.owner.walks import DAY, Walk, walk, walk_with

CHUNKS, IN_ONE = 30, 10
HERE = Path(__file__).resolve().parent / "support" / "owner"


@pytest.mark.parametrize("chunk", range(CHUNKS))
def test_nothing_is_wrong_on_walks_with_hidden_cars(gb_cars: Ruleset, chunk: int) -> None:
    walks = [walk(seed, gb_cars) for seed in range(chunk * IN_ONE, (chunk + 1) * IN_ONE)]
    wrong = [one for one in walks if one.faults]
    assert not wrong, f"{len(wrong)} of {IN_ONE} walks; the first:\n{wrong[0].report()}"


# the tables -----------------------------------------------------------------------------


def test_the_table_of_truths_knows_every_question_that_is_asked(gb_cars: Ruleset) -> None:
    asked = {name for name, q in gb_cars.questions.items() if q.asked != "told"}
    missing = sorted(asked - truths().keys())
    assert not missing, f"tests/support/owner/truths.yaml has no line for: {', '.join(missing)}"
    assert set(CORE) <= asked


@pytest.mark.parametrize("part", ["fine", "danger", "settles"])
def test_the_table_of_truths_names_choices_that_there_are(gb_cars: Ruleset, part: str) -> None:
    for name, entry in truths().items():
        if name not in gb_cars.questions or part not in entry:
            continue
        question, given = gb_cars.questions[name], entry[part]
        lists = given.values() if part == "settles" else [list(given)]
        if part == "danger":
            assert set(given.values()) <= kinds().keys(), name
        if isinstance(given, str):
            lists = [[given]] if question.kind != "note" else []
        for words in lists:
            if words != "fine" and question.kind not in ("quantity", "count"):
                assert set(words) - {"fine"} <= set(question.words()), name


def test_every_kind_of_danger_that_is_told_has_its_acts() -> None:
    assert bank()["dangers_told"].keys() <= kinds().keys()
    known = set(yaml.safe_load((HERE / "act_phrases.yaml").read_text("utf-8")))
    for entry in kinds().values():
        assert set(entry["forbids"]) <= known
        assert set(entry.get("cooled", ())) <= set(entry["forbids"])


def test_acts_are_recognised_in_sentences_that_were_written_blind() -> None:
    rows = yaml.safe_load((HERE / "act_sentences.yaml").read_text("utf-8"))
    watched = {act for entry in kinds().values() for act in entry["forbids"]}
    asks = [(row["text"], act) for row in rows for act in set(row["asks"]) & watched]
    missed = [(text, act) for text, act in asks if act not in acts_of(text)]
    wrong = [r["text"] for r in rows if (set(acts_of(r["text"])) & watched) - set(r["asks"])]
    assert len(missed) <= 0.05 * len(asks), missed
    assert len(wrong) <= 0.05 * len(rows), wrong


# planted faults -------------------------------------------------------------------------


def stroll(
    ruleset: Ruleset,
    turns: int = 70,
    truth: dict[tuple[str, str], Truth] | None = None,
    danger: float = 0.0,
    whole: bool = False,
) -> Walk:
    """A walk with a car that is sound but for what is given."""
    random = Random(5)
    car = sound_car(ruleset, random, DAY)
    car.fuel, car.body, car.age, car.equipment, car.kit = "petrol", "car", 12, (), ("daylight",)
    car.known.update(truth or {})
    if truth or danger:
        car.bad = 1e-9
    mood = Mood(danger=danger, window=0, turns=10_000 if whole else turns)
    one = walk_with(5, ruleset, car, mood, random)
    crashed = one.ended == "exception"
    assert crashed or set(truth or {}) <= one.owner.oracle.answered.keys(), "it was never asked"
    return one


SINKS = {("pedal_hold", ""): Truth("bad", ("sinks",), frozenset({"brake"}))}
"""A danger that the owner picks at a question at the driver's seat."""


def kinds_of_faults(one: Walk, invariant: str) -> list[str]:
    return [f.kind for f, _ in one.faults if f.invariant == invariant]


Consult = Callable[[Ruleset, Sequence[Entry]], Any]


def answered_otherwise(real: Consult, name: str, answer: Answer) -> Consult:
    """A consultation that takes one answer for another one."""

    def forged(ruleset: Ruleset, journal: Sequence[Entry]) -> Any:
        return real(
            ruleset,
            [
                e.model_copy(update={"answer": answer})
                if isinstance(e, Said) and e.question == name
                else e
                for e in journal
            ],
        )

    return forged


HOLDS = Answer(word="holds")


def test_no_exception_is_noticed(gb_cars: Ruleset, monkeypatch: pytest.MonkeyPatch) -> None:
    assert not kinds_of_faults(stroll(gb_cars), "no_exception")
    keep = product.Talk.keep

    def breaks(self: product.Talk, entries: list[Entry]) -> bool:
        if len(self.journal) > 8:
            raise ZeroDivisionError
        return keep(self, entries)

    monkeypatch.setattr(product.Talk, "keep", breaks)
    (kind,) = kinds_of_faults(stroll(gb_cars), "no_exception")
    assert kind == "ZeroDivisionError in test_simulated_owner.py, breaks"


def test_a_danger_that_is_dropped_is_noticed(
    gb_cars: Ruleset, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert not kinds_of_faults(stroll(gb_cars, truth=SINKS), "danger_stands")
    from assistant.talk import talk

    monkeypatch.setattr(talk, "consult", answered_otherwise(talk.consult, "pedal_hold", HOLDS))
    one = stroll(gb_cars, truth=SINKS)
    assert kinds_of_faults(one, "danger_stands") == [
        "a danger that was picked at pedal_hold is not in the advice: brake"
    ]


def test_a_danger_that_is_not_answered_at_once_is_noticed(
    gb_cars: Ruleset, monkeypatch: pytest.MonkeyPatch
) -> None:
    show, say = Listening.show, product.Talk.say

    def harmless(lines: Sequence[Line]) -> list[Line]:
        return [line for line in lines if line.kind not in ("danger", "caution")]

    monkeypatch.setattr(Listening, "show", lambda self, lines: show(self, harmless(lines)))
    monkeypatch.setattr(product.Talk, "say", lambda self, *lines: say(self, *harmless(lines)))
    assert kinds_of_faults(stroll(gb_cars, danger=0.9), "danger_acts")


@pytest.mark.parametrize(
    "planted", ["Start the engine.", "Now open the bonnet.", "Switch the ignition on."]
)
def test_an_act_that_is_forbidden_is_noticed(
    gb_cars: Ruleset, monkeypatch: pytest.MonkeyPatch, planted: str
) -> None:
    screen = Screen((Line("text", planted), Line("question", "What do you see?")), "> ")
    oracle = Oracle(sound_car(gb_cars, Random(1), DAY))
    seen = invariants.Seen(screen, product.Advice("danger"), oracle)
    assert invariants.no_forbidden_act(seen) is None
    oracle.told("fuel", "petrol drips out")
    assert invariants.no_forbidden_act(seen) is not None
    from assistant.talk import talk

    real = talk.ask_lines

    def asking(*args: Any) -> list[Line]:
        return [Line("text", planted), *real(*args)]

    monkeypatch.setattr(talk, "ask_lines", asking)
    one = stroll(gb_cars, danger=0.9)
    details = {f.detail for f, _ in one.faults if f.invariant == "no_forbidden_act"}
    assert planted in details


def test_what_is_forbidden_may_be_forbidden_in_words() -> None:
    lines = [
        "Do not start the engine, and leave the bonnet shut.",
        "From memory only. Do not drive the car to find out.",
        "Never open the coolant cap while the engine is warm. It can throw out boiling water.",
        "Run the engine only in the open air, never in a garage. Exhaust fumes kill.",
    ]
    assert asked_acts(tuple(Line("text", text) for text in lines)) == []
    assert asked_acts((Line("choice", "it starts and runs"), Line("heard", "start it"))) == []


def test_a_wrong_headline_is_noticed(gb_cars: Ruleset, monkeypatch: pytest.MonkeyPatch) -> None:
    def dangers(one: Walk) -> list[str]:
        return [k for k in kinds_of_faults(one, "right_headline") if k.startswith("danger")]

    assert not dangers(stroll(gb_cars))
    from assistant.talk import talk

    sinks = Answer(word="sinks")
    monkeypatch.setattr(talk, "consult", answered_otherwise(talk.consult, "pedal_hold", sinks))
    assert dangers(stroll(gb_cars))


@pytest.mark.parametrize(
    ("kind", "done", "right"),
    [
        ("danger", False, False),
        ("cannot_say", False, True),
        ("nothing", False, False),
        ("danger", True, False),
        ("cannot_say", True, False),
        ("nothing", True, True),
        ("it is fine", True, False),
    ],
)
def test_the_right_headline_of_a_sound_car(
    gb_cars: Ruleset, kind: str, done: bool, right: bool
) -> None:
    oracle = Oracle(sound_car(gb_cars, Random(1), DAY))
    seen = invariants.Seen(Screen((), ""), product.Advice(kind), oracle, done)
    assert (invariants.right_headline(seen) is None) is right


def test_a_sound_car_that_is_partly_seen_is_never_a_danger(gb_cars: Ruleset) -> None:
    oracle = Oracle(sound_car(gb_cars, Random(1), DAY, 0.2))
    oracle.answer("pedal_hold", "", Truth("hidden"), "can't look")
    assert oracle.right(True) == {"cannot_say"}
    oracle.told_vaguely()
    assert oracle.right(True) == {"cannot_say"}
    oracle.told("brake", "it hardly stops")
    assert oracle.right(True) == {"danger"}
    oracle.answer("now_brakes", "", Truth("fine", ("works",)), "4")
    assert oracle.right(True) == {"cannot_say", "danger"}


def test_a_fourth_headline_in_print_is_noticed(
    gb_cars: Ruleset, monkeypatch: pytest.MonkeyPatch
) -> None:
    def printed(one: Walk) -> list[str]:
        return kinds_of_faults(one, "printed_headline")

    assert not printed(stroll(gb_cars, truth=SINKS))
    say = product.Talk.say

    def otherwise(self: product.Talk, *lines: Line) -> None:
        say(self, *(
            Line("text", "Your car is all right.") if _is_headline(line) else line for line in lines
        ))  # fmt: skip

    monkeypatch.setattr(product.Talk, "say", otherwise)
    assert any("without one of the three" in k for k in printed(stroll(gb_cars, truth=SINKS)))


def _is_headline(line: Line) -> bool:
    return line.kind == "danger" or "must not be driven" in line.text


def test_an_answer_that_is_kept_as_another_is_noticed(
    gb_cars: Ruleset, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert not kinds_of_faults(stroll(gb_cars), "kept_as_meant")
    said = product.Talk.said

    def misread(self: product.Talk, turn: int, question: str, *rest: Any) -> Said:
        one = said(self, turn, question, *rest)
        other = {"answer": Answer(word="diesel_hybrid")} if question == "fuel" else {}
        return one.model_copy(update=other)

    monkeypatch.setattr(product.Talk, "said", misread)
    (kind,) = kinds_of_faults(stroll(gb_cars), "kept_as_meant")
    assert kind == "a plain answer is kept as another one"


def test_an_answer_that_is_lost_on_the_disk_is_noticed(
    gb_cars: Ruleset, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert not kinds_of_faults(stroll(gb_cars), "same_today")
    append = JournalFile.append

    def loses(self: JournalFile, entries: list[Entry]) -> None:
        if any(isinstance(e, Said) and e.question == "equipment" for e in entries):
            self.entries.extend(entries)
        else:
            append(self, entries)

    monkeypatch.setattr(JournalFile, "append", loses)
    faults = kinds_of_faults(stroll(gb_cars), "same_today")
    assert "gone on with today: another question is asked" in faults


def test_an_answer_that_is_forgotten_at_once_is_noticed(
    gb_cars: Ruleset, monkeypatch: pytest.MonkeyPatch
) -> None:
    append = JournalFile.append

    def otherwise(self: JournalFile, entries: list[Entry]) -> None:
        append(
            self,
            [
                e.model_copy(update={"question": "worry", "answer": Answer(text="?")})
                if isinstance(e, Said) and e.question == "equipment"
                else e
                for e in entries
            ],
        )

    monkeypatch.setattr(JournalFile, "append", otherwise)
    monkeypatch.setattr(
        product.Talk, "refresh", lambda self, known=None, real=product.Talk.refresh: real(self)
    )
    assert kinds_of_faults(stroll(gb_cars), "kept_as_meant")


def test_advice_that_changes_by_leaving_is_noticed(
    gb_cars: Ruleset, monkeypatch: pytest.MonkeyPatch
) -> None:
    def about_advice(one: Walk) -> set[str]:
        found = kinds_of_faults(one, "same_today") + kinds_of_faults(one, "same_later")
        return {k.partition(":")[0] for k in found if "where the talk says" in k}

    assert not about_advice(stroll(gb_cars, truth=SINKS))
    opened = JournalFile.open.__func__  # type: ignore[attr-defined]

    def forgets(cls: type[JournalFile], path: Path) -> JournalFile:
        journal: JournalFile = opened(cls, path)
        journal.entries = [
            e for e in journal.entries if not (isinstance(e, Said) and e.question == "pedal_hold")
        ]
        return journal

    monkeypatch.setattr(JournalFile, "open", classmethod(forgets))
    one = stroll(gb_cars, truth=SINKS)
    assert about_advice(one) == {"gone on with today", "gone on with later"}


def test_a_day_that_stays_the_first_is_noticed(
    gb_cars: Ruleset, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(product, "today_of", lambda talk: DAY)
    kind = "gone on with later: it still reckons with an earlier day"
    assert kind in kinds_of_faults(stroll(gb_cars), "same_later")


def test_a_sheet_with_other_advice_is_noticed(
    gb_cars: Ruleset, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert not kinds_of_faults(stroll(gb_cars, truth=SINKS), "sheet_agrees")
    real = product.result_data

    def otherwise(*args: Any) -> dict[str, Any]:
        data = real(*args)
        return data | {"drive": data["drive"] | {"urgency": "nothing", "headline": "nothing"}}

    monkeypatch.setattr(product, "result_data", otherwise)
    assert kinds_of_faults(stroll(gb_cars, truth=SINKS), "sheet_agrees")


def test_judge_with_other_advice_is_noticed(
    gb_cars: Ruleset, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert not kinds_of_faults(stroll(gb_cars, truth=SINKS), "judge_agrees")
    from assistant.batch import judge as judging

    real = judging.consult
    monkeypatch.setattr(judging, "consult", answered_otherwise(real, "pedal_hold", HOLDS))
    faults = kinds_of_faults(stroll(gb_cars, truth=SINKS), "judge_agrees")
    assert {kind.partition(":")[0] for kind in faults} == {"judge --json", "judge in words"}


def test_a_question_beside_flames_is_noticed(gb_cars: Ruleset) -> None:
    oracle = Oracle(sound_car(gb_cars, Random(1), DAY))
    oracle.told("fire", "the car is on fire")
    lines = (Line("text", "Call 999. Type 'go on' when somebody has dealt with it."),)

    def fault(screen: Screen, asked: Asked) -> invariants.Fault | None:
        return invariants.only_go_on(
            invariants.Seen(screen, product.Advice("danger"), oracle, asked=asked)
        )

    told = Screen(lines, "> ")
    reader = Reader(gb_cars)
    assert fault(told, reader.asked(told, None)) is None
    quiet = Screen((Line("text", "Type 'go on' when somebody has dealt with it."),), "> ")
    assert fault(quiet, reader.asked(quiet, None)) is not None
    other = Asked("question", ("fuel", ""), (("fuel", ""),), main=True)
    assert fault(Screen(lines, "> "), other) is not None
    oracle.went_on()
    assert fault(Screen(lines, "> "), other) is None


# the owner ------------------------------------------------------------------------------


def test_the_same_seed_gives_the_same_walk(gb_cars: Ruleset) -> None:
    def typed(seed: int) -> list[str]:
        return [screen.typed for screen in walk(seed, gb_cars, whole=False).owner.screens]

    assert typed(3) == typed(3) != typed(4)


def test_a_report_names_the_seed_and_shows_the_last_two_screens(gb_cars: Ruleset) -> None:
    one = stroll(gb_cars)
    one.faults = [(invariants.Fault("no_exception", "made up", "for this test"), 4)]
    text = one.report()
    assert text.startswith("seed 5: sound, all seen, petrol car, 12 years")
    assert "- no_exception: made up\n  for this test" in text
    assert all(screen.shown() in text for screen in one.owner.screens[2:4])


def test_a_sound_car_is_walked_round_to_the_end(gb_cars: Ruleset) -> None:
    one = stroll(gb_cars, whole=True)
    assert one.done and one.ended != "exception"
    assert set(CORE) <= {name for name, _ in one.owner.oracle.answered}
    assert not one.owner.oracle.clouded
    assert not kinds_of_faults(one, "kept_as_meant")


# what is stored, echoed, boxed and cleared ----------------------------------------------

UNSEEN = {(name, ""): Truth("hidden") for name in ("back_belts", "horn_sound", "mirrors")}
"""One part each of three groups that cannot be seen; the others can."""


def test_a_part_that_was_not_seen_and_is_kept_as_fine_is_noticed(
    gb_cars: Ruleset, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert not kinds_of_faults(stroll(gb_cars, truth=UNSEEN), "kept_as_meant")
    said = product.Talk.said

    def as_fine(self: product.Talk, turn: int, question: str, *rest: Any) -> Said:
        one = said(self, turn, question, *rest)
        unseen = (question, "") in UNSEEN and one.answer.state != "value"
        fine = gb_cars.questions[question].fine
        answer = Answer(word=fine) if fine else Answer(words=())
        return one.model_copy(update={"answer": answer} if unseen else {})

    monkeypatch.setattr(product.Talk, "said", as_fine)
    assert kinds_of_faults(stroll(gb_cars, truth=UNSEEN), "kept_as_meant") == [
        "a part of a group that was hidden is kept as another"
    ]


def test_an_echo_of_something_else_is_noticed(
    gb_cars: Ruleset, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert not kinds_of_faults(stroll(gb_cars), "echo_of_what_is_kept")
    say = product.Talk.say

    def otherwise(self: product.Talk, *lines: Line) -> None:
        say(self, *(Line("heard", "diesel") if ln == Line("heard", "petrol") else ln
                    for ln in lines))  # fmt: skip

    monkeypatch.setattr(product.Talk, "say", otherwise)
    assert kinds_of_faults(stroll(gb_cars), "echo_of_what_is_kept")


def test_the_same_box_twice_is_noticed(gb_cars: Ruleset, monkeypatch: pytest.MonkeyPatch) -> None:
    assert not kinds_of_faults(stroll(gb_cars, truth=SINKS), "one_box")
    say = product.Talk.say

    def twice(self: product.Talk, *lines: Line) -> None:
        boxed = any(line.kind == "danger" for line in lines)
        say(self, *lines, *(lines if boxed else ()))

    monkeypatch.setattr(product.Talk, "say", twice)
    assert kinds_of_faults(stroll(gb_cars, truth=SINKS), "one_box")


def test_an_item_that_is_cleared_unseen_is_noticed(
    gb_cars: Ruleset, monkeypatch: pytest.MonkeyPatch
) -> None:
    hidden = {("pedal_feel", ""): Truth("hidden")}
    assert not kinds_of_faults(stroll(gb_cars, truth=hidden), "cleared")
    items = {i.rule.finds.item for i in gb_cars.rules if i.rule and i.rule.finds
             and "pedal_feel" in i.rule.when}  # fmt: skip
    monkeypatch.setattr(product, "cleared", lambda talk: tuple(sorted(items)))
    assert kinds_of_faults(stroll(gb_cars, truth=hidden), "cleared")
