"""What is too close to tell: rules that hang on what a rough or unknown answer really is.

A reading may lie across a limit. A car of "1980" may be older or younger than a rule, and of a car
whose fuel nobody knows a rule may or may not be about it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product

from assistant.reasoning.engine import EngineResult, EngineView, Supposed
from assistant.reasoning.facts import Readings
from assistant.ruleset.condition import Condition, Number, leaves
from assistant.ruleset.condition_words import label_of
from assistant.ruleset.models import Rule, Urgency
from assistant.ruleset.ruleset import Inference, Ruleset, made_once
from assistant.ruleset.truth import Reading
from assistant.ruleset.words import range_words


@dataclass(frozen=True)
class TooCloseToTell:
    """A rule that fires for one thing that a reading may stand for, and for another does not.

    lo, hi: the ends of the reading, None where nothing of it is known. text: all of it in words.
    """

    rule: Rule
    at: str
    at_words: str
    reading: str
    lo: float | None
    hi: float | None
    text: str


def too_close(
    ruleset: Ruleset, readings: Readings, result: EngineResult
) -> tuple[TooCloseToTell, ...]:
    """Findings that hang on where in its range a rough reading is, or on what the car is."""
    car = _unsure_of_the_car(ruleset, readings)
    every = list(_measured(ruleset, readings, result))
    if car:
        may_be = list(_of_the_car(ruleset, readings, result, car))
        told = {_what(r, at) for r, at in _standing(ruleset, result)} if may_be else set()
        for one in may_be:
            if _what(one.rule, one.at) not in told:
                told.add(_what(one.rule, one.at))
                every.append(one)
        every += _perhaps_not_for_this_car(ruleset, result, car)
    return tuple({(one.rule.rule, one.at, one.reading): one for one in every}.values())


def _measured(
    ruleset: Ruleset, readings: Readings, result: EngineResult
) -> Iterator[TooCloseToTell]:
    """Rules that one end of a rough reading would fire."""
    rough = {
        key: reading
        for key, reading in readings.table.items()
        if reading.lo is not None and reading.lo != reading.hi and key[0] not in ruleset.of_the_car
    }
    for (name, part), reading in rough.items():
        for user in ruleset.graph.read_by.get(name, ()):
            inference = ruleset.inferences.get(user)
            if inference is None or not _says(inference):
                continue
            for at in (part,) if inference.axis and part else ruleset.members(inference.axis):
                if result.truth(user, at) is not None:
                    continue
                ends = [Reading("value", lo=v, hi=v) for v in (reading.lo, reading.hi)]
                views = [
                    EngineView(ruleset, readings.changed({(name, part): end}), result.firings)
                    for end in ends
                ]
                if any(ruleset.reader(user)(view, at) is True for view in views):
                    yield _close(ruleset, inference, at, name, reading)


def _of_the_car(
    ruleset: Ruleset, readings: Readings, result: EngineResult, car: dict[str, Reading]
) -> Iterator[TooCloseToTell]:
    """Rules on an item, or on driving, that would fire for a car that this one may be."""
    for user in dict.fromkeys(user for name in car for user in _on_the_car(ruleset)[name]):
        inference = ruleset.inferences[user]
        open_at = [at for at in ruleset.members(inference.axis) if result.truth(user, at) is None]
        if not open_at:
            continue
        names = [name for name in car if user in _on_the_car(ruleset)[name]]
        may_be = [_may_be(ruleset, name, car[name], inference.condition) for name in names]
        cars = [{(n, ""): r for n, r in zip(names, one, strict=True)} for one in product(*may_be)]
        views = [Supposed(ruleset, readings.changed(one)) for one in cars]
        for at in open_at:
            if any(ruleset.reader(user)(view, at) is True for view in views):
                yield _close(ruleset, inference, at, names[0], car[names[0]])


@made_once
def _on_the_car(ruleset: Ruleset) -> dict[str, dict[str, None]]:
    """For each question about the car itself, the rules that name it and find an item or say how
    the car may be driven."""
    found: dict[str, dict[str, None]] = {name: {} for name in ruleset.of_the_car}
    for inference in ruleset.rules:
        if _grave(inference) or (inference.rule is not None and inference.rule.finds is not None):
            for name in {leaf.name for leaf in leaves(inference.condition)} & found.keys():
                found[name][inference.name] = None
    return found


def _perhaps_not_for_this_car(
    ruleset: Ruleset, result: EngineResult, car: dict[str, Reading]
) -> Iterator[TooCloseToTell]:
    """Rules that fired only by checks for cars of a date which this one may not be of.

    What keeps the car from being driven stands all the same.
    """
    dates = [name for name in car if ruleset.questions[name].kind == "date"]
    whom = {
        name: date
        for date in dates
        for name, behind in ruleset.whom_by.items()
        if date in behind and result.truth(ruleset.whom[name].name) is None
    }
    for firing in result.firings.values() if whom else ():
        inference = ruleset.inferences[firing.inference]
        if not firing.truth or not _says(inference) or _grave(inference):
            continue
        unsure = [[f.name for f in facts if f.name in whom] for facts in firing.supports]
        if unsure and all(unsure):
            date = whom[unsure[0][0]]
            yield _close(ruleset, inference, firing.at, date, car[date])


def _unsure_of_the_car(ruleset: Ruleset, readings: Readings) -> dict[str, Reading]:
    """What is said of the car itself, but roughly, or that it is not known."""
    found: dict[str, Reading] = {}
    for name in (name for name in ruleset.questions if name in ruleset.of_the_car):
        reading = readings.reading(name, "")
        rough = reading.lo is not None and reading.lo != reading.hi
        unknown = reading.state in ("dont_know", "cant_look")
        if name != ruleset.about.kit and (rough or unknown):
            found[name] = reading
    return found


def _may_be(ruleset: Ruleset, name: str, reading: Reading, condition: Condition) -> list[Reading]:
    """What an unsure answer may stand for, as far as a condition tells it apart."""
    question = ruleset.questions[name]
    if reading.lo is not None and reading.hi is not None:
        return [Reading("value", lo=v, hi=v) for v in (reading.lo, reading.hi)]
    if question.kind == "some_of":
        return [Reading("value", picks=frozenset(p)) for p in ((), question.words())]
    if words := question.words():
        return [Reading("value", word=word) for word in words]
    tests = [one for one in leaves(condition) if isinstance(one, Number) and one.name == name]
    near = sorted({one.value + step for one in tests for step in (-1, 0, 1)})
    return [Reading("value", lo=v, hi=v) for v in near]


def _close(
    ruleset: Ruleset, inference: Inference, at: str, name: str, reading: Reading
) -> TooCloseToTell:
    assert inference.rule is not None
    words = "not known"
    if reading.lo is not None and reading.hi is not None:
        words = range_words(reading.lo, reading.hi, ruleset.names[name].unit)
    at_words = ruleset.at_words(inference.name, at)
    reading_words = f"{label_of(ruleset, name)}, {words}"
    say = inference.rule.say
    if name in ruleset.of_the_car:
        text = f"{at_words}: {say} Whether that counts depends on this: {reading_words}."
    else:
        text = f"{at_words} {reading_words}: it may be that {say.lower()}"
    text = text.removeprefix(": ").strip()
    return TooCloseToTell(inference.rule, at, at_words, name, reading.lo, reading.hi, text)


def _says(inference: Inference) -> bool:
    """Whether a rule says something to the person."""
    return inference.rule is not None and bool(inference.rule.finds or inference.rule.urgency)


def _grave(inference: Inference) -> bool:
    """Whether a rule says how the car may be driven, if at all."""
    urgency = inference.rule.urgency if inference.rule else None
    return urgency is not None and urgency.rank <= Urgency.GENTLY_TO_GARAGE.rank


def _standing(ruleset: Ruleset, result: EngineResult) -> Iterator[tuple[Rule, str]]:
    for firing in result.firings.values():
        rule = ruleset.inferences[firing.inference].rule
        if firing.truth and rule is not None:
            yield rule, firing.at


def _what(rule: Rule, at: str) -> tuple[str, str, str]:
    """What a rule finds: rules for several kinds of car may find the same."""
    return (rule.finds.item, rule.finds.category, at) if rule.finds else (rule.rule, "", at)
