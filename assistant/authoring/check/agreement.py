"""Whether the rule engine and a plain reading of the rules come to the same end."""

from __future__ import annotations

from collections.abc import Iterator
from random import Random

from assistant.authoring.check.cases import CASE_DAY, CaseError, case_journal
from assistant.errors import EngineFault, Place, Problem
from assistant.journal.entries import Answer, Context, Entry, Said, fold
from assistant.reasoning.facts import Readings
from assistant.reasoning.inferring import engine_for
from assistant.ruleset.ruleset import Key, Ruleset
from assistant.ruleset.truth import Reading, evaluate

_CASES = 25
_ANSWERS = 0.04


class PlainFixpoint:
    """All conclusions, by reading every condition again and again until nothing changes."""

    def __init__(self, ruleset: Ruleset, readings: Readings) -> None:
        self._ruleset = ruleset
        self._readings = readings
        self.truth: dict[tuple[str, str], bool | None] = {}
        changed = True
        while changed:
            changed = False
            for name, inference in ruleset.inferences.items():
                for at in ruleset.members(inference.axis):
                    value = evaluate(inference.condition, self, at)
                    if value is not self.truth.get((name, at)):
                        self.truth[(name, at)] = value
                        changed = True

    def reading(self, name: str, at: str) -> Reading:
        return self._readings.reading(name, at if self._ruleset.names[name].axis else "")

    def concluded(self, name: str, at: str) -> bool | None:
        return self.truth.get((name, at if self._ruleset.names[name].axis else ""))

    def members(self, axis: str) -> tuple[str, ...]:
        return self._ruleset.members(axis)


def asked_for(
    ruleset: Ruleset, decided: dict[tuple[str, str], bool]
) -> dict[tuple[str, str], bool]:
    """What the engine is asked, of all that can be decided: evidence is only evaluated if its
    symptom holds, and one-sided roles never yield False."""
    there = {name for (name, _), truth in decided.items() if truth}
    found: dict[tuple[str, str], bool] = {}
    for (name, at), truth in decided.items():
        inference = ruleset.inferences[name]
        if inference.role == "evidence" and Key("symptom", inference.key.of).text not in there:
            continue
        if truth or inference.both_sides:
            found[(name, at)] = truth
    return found


def quick_journals(ruleset: Ruleset, count: int, seed: int) -> Iterator[list[Entry]]:
    """Journals of worked cases that go together, mixed with a few answers at random."""
    random = Random(seed)
    cases = [case for i in ruleset.rules if i.rule for case in i.rule.cases]
    for _ in range(count):
        taken: dict[tuple[str, str], Answer] = {}
        for case in random.sample(cases, min(_CASES, len(cases))):
            answers = {**case.fires, **random.choice([{}, *case.near])}
            try:
                for entry in case_journal(ruleset, answers, case.today):
                    if isinstance(entry, Said):
                        taken.setdefault((entry.question, entry.at), entry.answer)
            except CaseError:
                continue  # reported by check_cases
        for name, at in ruleset.asked_items:
            if (name, at) not in taken and random.random() < _ANSWERS:
                taken[(name, at)] = _any_answer(ruleset, name, random)
        context = Context(today=CASE_DAY, ruleset=ruleset.about.name)
        said = [
            Said(turn=turn, question=name, at=at, answer=answer)
            for turn, ((name, at), answer) in enumerate(taken.items(), 1)
        ]
        yield [context, *said]


def _any_answer(ruleset: Ruleset, name: str, random: Random) -> Answer:
    question = ruleset.questions[name]
    if random.random() < 0.1:
        return Answer(state="dont_know")
    if question.kind in ("yes_no", "one_of"):
        return Answer(word=random.choice(question.words()))
    if question.kind == "some_of":
        return Answer(words=tuple(w for w in question.words() if random.random() < 0.2))
    if question.kind == "date":
        day = float(CASE_DAY.toordinal() - random.randrange(20_000))
        return Answer(lo=day, hi=day)
    if question.range is not None:
        value = round(random.uniform(*question.range), 0 if question.kind == "count" else 1)
        value = min(max(value, question.range[0]), question.range[1])
        return Answer(lo=value, hi=value)
    return Answer(text="a note")


def disagreements(ruleset: Ruleset, journals: int = 2) -> Iterator[Problem]:
    """What the engine and the plain reading say differently, on a few generated journals."""
    seed = int(ruleset.digest[:8], 16)
    found: dict[str, str] = {}
    try:
        engine = engine_for(ruleset)
        for journal in quick_journals(ruleset, journals, seed):
            readings = Readings(ruleset, fold(journal))
            result, plain = engine.run(readings), PlainFixpoint(ruleset, readings)
            for name, text in result.faults:
                found.setdefault(name, text)
            decided = {key: value for key, value in plain.truth.items() if value is not None}
            expected = asked_for(ruleset, decided)
            for name, at in plain.truth:
                says, plainly = result.truth(name, at), expected.get((name, at))
                if says is not plainly:
                    found.setdefault(name, f"the engine says {says}, a plain reading {plainly}")
    except EngineFault as error:
        yield Place("ruleset.yaml"), f"{error}."
        return
    for name, text in found.items():
        inference = ruleset.inferences.get(name)
        place = ruleset.where(inference) if inference else Place("ruleset.yaml")
        yield place, f"{name}: {text}. This is a fault of the program; please report it."
