"""What stands as "looked at, nothing found" was looked at, and would have shown it."""

from __future__ import annotations

import ast
import datetime as dt
import re
from collections.abc import Iterator
from dataclasses import replace
from itertools import product
from pathlib import Path
from random import Random
from typing import Any

import pytest

from assistant.authoring.check.cases import case_journal
from assistant.journal.entries import Answer, Corrected, Entry, Said
from assistant.reasoning.cleared import cleared_items
from assistant.reasoning.consultation import Consultation, consult
from assistant.ruleset.load import load_ruleset
from assistant.ruleset.models import Rule, Urgency
from assistant.ruleset.ruleset import Ruleset
from tests.support.journals import JournalMaker
from tests.support.saying import correct, mend, say, start

WHEELS = ("front_nearside", "rear_nearside", "rear_offside", "front_offside")
ROOT = Path(__file__).resolve().parent.parent.parent


def cleared(ruleset: Ruleset, *said: tuple[str, Any]) -> set[str]:
    journal = start("gb-cars")
    for key, value in said:
        say(journal, key, value)
    return set(cleared_items(consult(ruleset, journal)))


def at_wheels(question: str, value: Any) -> list[tuple[str, Any]]:
    return [(f"{question}@{wheel}", value) for wheel in WHEELS]


CAR = [("first_used", (737060, 737060)), ("fuel", "petrol"), ("body", "car"), ("equipment", [])]
"""A petrol car of 2019; 737060 is a day in January of that year."""


def test_what_is_seen_is_cleared(gb_cars: Ruleset) -> None:
    level = cleared(gb_cars, ("brake_fluid_level", "between"))
    assert level == {"1.1.10(d)(i)", "1.1.10(d)(ii)", "1.1.10(d)(iii)"}
    assert "1.1.13(a)(i)" in cleared(gb_cars, *at_wheels("pad_look", "thick"))
    assert "5.2.3(d)(ii)" in cleared(gb_cars, *at_wheels("tyre_damage", []))
    assert "5.2.3(e)" in cleared(gb_cars, *CAR, *at_wheels("tread_depth", 6))
    assert "8.2.1.1(a)" in cleared(gb_cars, *CAR, ("emission_parts", []))


def test_nothing_answered_clears_nothing(gb_cars: Ruleset) -> None:
    assert cleared(gb_cars) == set()
    assert cleared(gb_cars, *CAR) == set()


def test_what_is_hidden_clears_nothing(gb_cars: Ruleset) -> None:
    assert cleared(gb_cars, ("brake_fluid_level", "cannot_see")) == set()
    assert cleared(gb_cars, *at_wheels("pad_look", "hidden")) == set()
    assert cleared(gb_cars, *at_wheels("tyre_damage", ["cut"]), *at_wheels("cut_depth", "too_deep")
                   ).isdisjoint({"5.2.3(d)(i)", "5.2.3(d)(ii)"})  # fmt: skip
    one_hidden = [*at_wheels("pad_look", "thick")[1:], ("pad_look@front_nearside", "hidden")]
    assert cleared(gb_cars, *one_hidden) == set()
    assert cleared(gb_cars, ("plate_looks@front", ["not_british"]), ("plate_looks@rear", [])
                   ).isdisjoint({"0.1(a)", "0.1(b)", "0.1(c)"})  # fmt: skip
    levelled = ("headlamp_levelling", "works")  # "... or the car has no such thing"
    assert cleared(gb_cars, levelled) == set()


def test_what_was_not_asked_clears_nothing(gb_cars: Ruleset) -> None:
    brakes_fine = [
        ("pedal_hold", "holds"),
        ("recent_signs", []),
        ("recent_events", []),
        ("brake_fluid_level", "between"),
    ]
    dry = at_wheels("wheel_wet", "no")
    assert "1.1.16(b)(ii)" not in cleared(gb_cars, *brakes_fine)
    assert "1.1.16(b)(ii)" not in cleared(gb_cars, *brakes_fine, *dry[1:])
    assert "1.1.16(b)(ii)" in cleared(gb_cars, *brakes_fine, *dry)


@pytest.mark.parametrize("state", ["dont_know", "cant_look", None])
def test_one_part_that_was_not_seen_keeps_its_item_open(gb_cars: Ruleset, state: str) -> None:
    said = at_wheels("rim_looks", [])
    assert "5.2.2(a)" in cleared(gb_cars, *said)
    last = [("rim_looks@front_offside", state)] if state else []
    assert "5.2.2(a)" not in cleared(gb_cars, *said[:-1], *last)


def test_a_check_that_is_not_for_this_car_clears_nothing(gb_cars: Ruleset) -> None:
    assert cleared(gb_cars, ("fuel", "electric")) == set()
    electric = [("first_used", (737060, 737060)), ("fuel", "electric"), ("body", "car")]
    fine = [
        (f"{n}@{at}" if at else n, [])
        for n, at in gb_cars.asked_items
        if gb_cars.questions[n].kind == "some_of" and n not in gb_cars.of_the_car
    ]
    exhaust = {i for i in cleared(gb_cars, *electric, *fine) if i.startswith(("8.2", "6.1.2"))}
    assert exhaust == set()
    old = [("first_used", (720000, 720000)), ("body", "car"), ("fuel", "petrol"), ("mirrors", [])]
    assert "3.3(b)(i)" not in cleared(gb_cars, *old), "no rule on damage is about so old a car"
    assert "3.3(b)(i)" in cleared(gb_cars, *CAR, ("mirrors", []))


def test_a_check_that_may_not_be_for_this_car_clears_nothing(gb_cars: Ruleset) -> None:
    """Rear fog lamps are for cars first used from 1 April 1980."""
    seen = ("rear_fog", "lit")
    for year, clear in (((722815, 723180), False), ((723181, 723545), True)):
        assert ("4.5.4(b)" in cleared(gb_cars, ("first_used", year), seen)) is clear
    assert "4.5.4(b)" not in cleared(gb_cars, ("first_used", "dont_know"), seen)
    assert "4.5.4(b)" not in cleared(gb_cars, seen)


def test_a_reading_that_was_withdrawn_clears_nothing(gb_cars: Ruleset) -> None:
    journal = start("gb-cars")
    for wheel in WHEELS:
        say(journal, f"pad_look@{wheel}", "metal" if wheel == WHEELS[0] else "thick")
    correct(journal, f"pad_look@{WHEELS[0]}", "thick")
    result = consult(gb_cars, journal)
    assert [w.rule.rule for w in result.withdrawn] == ["pad_metal"]
    assert cleared_items(result) == ()


def test_what_is_mended_is_open_until_it_is_looked_at(gb_cars: Ruleset) -> None:
    journal = start("gb-cars")
    say(journal, "first_used", dt.date(2015, 3, 1))
    say(journal, "horn_sound", "one_note")
    assert cleared_items(consult(gb_cars, journal)) == ("7.7(a)", "7.7(c)")
    mend(journal, "horn_sound")
    assert cleared_items(consult(gb_cars, journal)) == ()


def test_an_item_is_not_cleared_before_its_parts(gb_cars: Ruleset) -> None:
    held = ("pedal_hold", "holds")
    assert "1.1.2" not in cleared(gb_cars, held), "the feel of the pedal is a part of it"
    assert "1.1.2" in cleared(gb_cars, held, ("pedal_feel", []))


def test_an_item_that_the_station_looks_at_too_is_not_cleared(gb_cars: Ruleset) -> None:
    said = [("brake_fluid_level", "between")]
    assert "1.1.10(d)(iii)" in cleared(gb_cars, *said)
    brakes = gb_cars.systems["brakes"]
    more = brakes.tester_only[0].model_copy(update={"item": "1.1.10(d)(iii)"})
    with_more = brakes.model_copy(update={"tester_only": [*brakes.tester_only, more]})
    files = {**gb_cars.systems, "brakes": with_more}
    other = replace(gb_cars, systems=files, digest="with one more")
    assert "1.1.10(d)(iii)" not in cleared(other, *said)


def test_a_noise_that_was_not_heard_does_not_clear_what_it_hints_at(gb_cars: Ruleset) -> None:
    found = cleared(gb_cars, ("ride_noises", []), ("recent_signs", []))
    assert "5.1.3(b)(i)" in found
    assert not {"1.1.16(c)(i)", "6.1.7(b)(i)", "6.1.7(b)(ii)"} & set(found)


# choices that hide --------------------------------------------------------------------------

HIDE = re.compile(
    r"\bhid(es|den)\b|cannot be (seen|told)|too (deep|narrow|short|dirty|dark)\b.* to (see|tell)|"
    r"\bnobody\b|\bno such (thing|drive)\b|not that you know|there was no wall|only the colour|"
    r"that anybody saw|foreign, diplomatic"
)
SAYS_WHAT_IS_SEEN = {
    ("in_view", "mirror_hidden"), ("in_view", "in_wiped"), ("glass", "crack_wiped"),
    ("towbar_signs", "tow_hides_part"), ("towbar_signs", "tow_hides_plate"),
    ("towing_signs", "tow_hides_part"), ("wear_bars", "clear"), ("glass", "blind"),
    ("scratch_view", "hide"), ("oil_lost_how", "not_read_long"),
}  # fmt: skip
"""Choices with such words that say what the thing looks like, all the same."""
NONE_FITTED = {("headlamp_washers", "spray")}
"""It is the only sight of its item, and says as well that the car has none."""


def hiding(ruleset: Ruleset) -> set[tuple[str, str]]:
    """The choices that hide, by their words."""
    found = {
        (name, word)
        for name, question in ruleset.questions.items()
        for word, choice in question.choices.items()
        if HIDE.search(choice.say) and (name, word) not in SAYS_WHAT_IS_SEEN
    }
    return found | {key for key in NONE_FITTED if key[0] in ruleset.questions}


@pytest.mark.parametrize("name", ["gb-cars", "eu-directive"])
def test_choices_that_hide_say_so(name: str) -> None:
    ruleset = load_ruleset(ROOT / "rulesets" / name)
    marked = {
        (q, word)
        for q, question in ruleset.questions.items()
        for word, choice in question.choices.items()
        if choice.hides
    }
    assert marked == hiding(ruleset)
    assert len(marked) > 0


# over random consultations ------------------------------------------------------------------


def names_in(text: str) -> set[str]:
    return {node.id for node in ast.walk(ast.parse(text.strip(), mode="eval"))
            if isinstance(node, ast.Name)}  # fmt: skip


class Behind:
    """Which questions a rule hangs on, read from its text and nothing else."""

    def __init__(self, ruleset: Ruleset) -> None:
        self.ruleset = ruleset
        self.rules: dict[str, Rule] = {
            rule.rule: rule for file in ruleset.systems.values() for rule in file.rules
        }
        self.hidden = hiding(ruleset)

    def questions(self, text: str) -> set[str]:
        found: set[str] = set()
        seen: set[str] = set()
        todo = list(names_in(" ".join(text.split())))
        while todo:
            name = todo.pop()
            if name in seen:
                continue
            seen.add(name)
            if name in self.ruleset.questions:
                found.add(name)
            elif name in self.rules:
                todo += names_in(" ".join(self.rules[name].when.split()))
            elif name in self.ruleset.derived:
                for part in self.ruleset.derived[name].of.values():
                    if isinstance(part, str) and not part.startswith("="):
                        todo.append(part.removeprefix("earlier date of ").removeprefix("earlier "))
        return found

    def parts(self, rule: Rule, at: str, question: str) -> Iterator[str]:
        """The parts of a question that a rule reads at one of its own."""
        each = self.ruleset.questions[question].each
        axis = self.ruleset.inferences[rule.rule].axis
        if each is None:
            yield ""
        elif each == axis:
            yield at
        else:
            axes = {a.axis: a for a in self.ruleset.about.axes}
            inside = [m.of for m in axes[axis].members if m.at == at] if axis else []
            around = [m.at for m in axes[each].members if at in m.of]
            every = [m.at for m in axes[each].members]
            yield from [m for m in every if inside and m in inside[0]] or around or every

    def whom(self, rule: Rule, answers: dict[tuple[str, str], Said]) -> bool | None:
        """Whether a rule is about this car, by Python itself."""
        if rule.applies is None:
            return True
        limits: dict[str, Any] = {n: of_limit(x.value) for n, x in self.ruleset.limits.items()}
        names = sorted(self.questions(rule.applies))
        truths = set()
        for values in product(*(self.values(answers.get((n, "")), n) for n in names)):
            space = {**limits, **dict(zip(names, values, strict=True))}
            truths.add(bool(eval(" ".join(rule.applies.split()), {"__builtins__": {}}, space)))
        return truths.pop() if len(truths) == 1 else None

    def values(self, said: Said | None, name: str) -> list[Any]:
        """What an answer may stand for; anything at all where there is none."""
        question = self.ruleset.questions[name]
        if said is not None and said.answer.state == "value":
            a = said.answer
            word = a.word if a.word is not None else a.words
            return [a.lo, a.hi] if word is None else [word]
        if question.kind == "some_of":
            return [(), tuple(question.words())]
        return question.words() or [0, 1e6]


def of_limit(value: Any) -> Any:
    return value.toordinal() if hasattr(value, "toordinal") else value


def wrongly_cleared(behind: Behind, result: Consultation, random: Random) -> Iterator[str]:
    """Whatever speaks against one of the items that were cleared."""
    ruleset, answers = behind.ruleset, result.state.answers
    opened = {(f.question, f.at) for f in result.follow_ups}
    for item in cleared_items(result):
        rules = [r for r in behind.rules.values() if r.finds and r.finds.item == item]
        whom = {rule.rule: behind.whom(rule, answers) for rule in rules}
        if None in whom.values() or True not in whom.values():
            yield f"{item}: whether it is about this car: {whom}"
        for rule in (rule for rule in rules if whom[rule.rule]):
            if any(f.rule.rule == rule.rule for f in result.findings):
                yield f"{item}: {rule.rule} is found"
            left: set[str] = set()
            for at in ruleset.members(ruleset.inferences[rule.rule].axis):
                for question in behind.questions(rule.when):
                    for part in behind.parts(rule, at, question):
                        said = answers.get((question, part))
                        further = ruleset.questions[question].asked == "follow_up"
                        if result.applies(question) is False:
                            said = None  # an answer to what is not for this car does not count
                        elif said is not None and result.applies(question) is None:
                            yield f"{item}: {rule.rule}: {question} may not be for this car"
                        if said is None:
                            left.add(question)
                            if not further:
                                yield f"{item}: {rule.rule}: {question}@{part} was not asked"
                            elif (question, part) in opened:
                                yield f"{item}: {rule.rule}: {question}@{part} is still asked"
                        elif said.answer.state != "value":
                            yield f"{item}: {rule.rule}: {question}@{part} {said.answer.state}"
                        else:
                            words = {said.answer.word, *(said.answer.words or ())}
                            if any((question, word) in behind.hidden for word in words):
                                yield f"{item}: {rule.rule}: {question}@{part} is hidden"
            if left and random.random() < 0.02 and not could_show(ruleset, rule, result, left):
                yield f"{item}: {rule.rule}: {sorted(left)} would never have been asked"


def could_show(ruleset: Ruleset, rule: Rule, result: Consultation, left: set[str]) -> bool:
    """Whether answers of a worked case of the rule, to what was asked, find it or ask the rest."""
    axis = ruleset.inferences[rule.rule].axis
    for case in rule.cases:
        made = case_journal(ruleset, case.fires, case.today)
        said = [e for e in made if isinstance(e, Said) and e.question not in left]
        journal: list[Entry] = [result.state.context, *result.state.answers.values()]
        for entry in said:
            spread = entry.question in ruleset.questions and ruleset.questions[entry.question].each
            parts = ruleset.members(spread) if spread and axis else (entry.at,)
            journal += [entry.model_copy(update={"at": part}) for part in parts]
        journal[1:] = [e.model_copy(update={"turn": t}) for t, e in enumerate(journal[1:], 1)]
        other = consult(ruleset, journal)
        if any(firing == rule.rule and f.truth for (firing, _), f in other.result.firings.items()):
            return True
        if any(f.question in left for f in other.follow_ups):
            return True
    return False


@pytest.mark.parametrize("seed", range(6))
def test_no_cleared_item_has_a_part_that_was_not_seen(gb_cars: Ruleset, seed: int) -> None:
    """By code of its own, over random consultations."""
    behind, maker, random = Behind(gb_cars), JournalMaker(gb_cars, 4100 + seed), Random(seed)
    count = 0
    for _ in range(25):
        result = consult(gb_cars, maker.journal())
        count += len(cleared_items(result))
        wrong = list(wrongly_cleared(behind, result, random))
        assert not wrong, "\n".join(wrong[:20])
    assert count > 200


@pytest.mark.parametrize("seed", range(3))
def test_no_danger_that_was_taken_away_is_cleared(gb_cars: Ruleset, seed: int) -> None:
    maker, random, gone = JournalMaker(gb_cars, 5200 + seed), Random(seed), 0
    while gone < 8:
        journal = maker.journal()
        before = consult(gb_cars, journal)
        grave = [f for f in before.findings if f.urgency.rank <= Urgency.DO_NOT_DRIVE.rank]
        if not grave or len(grave) > 6:
            continue
        facts = [f for f in random.choice(grave).firing.supports[0] if f.kind == "answer"]
        for fact in facts:
            question = gb_cars.questions[fact.name]
            if question.kind not in ("one_of", "some_of", "yes_no") or question.asked == "told":
                continue
            others = [w for w in question.words() if w != fact.word]
            now = Answer(words=()) if question.kind == "some_of" else Answer(word=others[0])
            turn = max(e.turn for e in journal) + 1
            journal.append(Corrected(turn=turn, question=fact.name, at=fact.at, answer=now))
        after = consult(gb_cars, journal)
        stands = {(f.rule.rule, f.at) for f in after.findings}
        for finding in grave:
            if (finding.rule.rule, finding.at) not in stands and finding.item:
                gone += 1
                assert finding.item not in cleared_items(after), finding.rule.rule
