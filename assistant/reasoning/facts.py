"""What the engine is told: one fact an answer, one a worked-out number or word."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Set
from dataclasses import replace
from typing import Any, NamedTuple

from assistant.calculations.interval import Interval
from assistant.calculations.named import CALCULATIONS
from assistant.calculations.registry import Value
from assistant.journal.entries import Answer, Said, State
from assistant.ruleset.models import Origin
from assistant.ruleset.ruleset import TODAY, Ruleset, mark_of, pick_field
from assistant.ruleset.truth import NOTHING_SAID, Reading


class Fact(NamedTuple):
    """One fact for the engine.

    kind: "answer", "worked", "concluded", "somewhere" or "part". `at` is "" for the car as a
    whole. word is for words, lo and hi for numbers; known and fitted are "yes", "no" or "". has
    and lacks: of several choices those that were picked, and those that were not.
    """

    kind: str
    name: str
    at: str = ""
    word: str = ""
    lo: float | None = None
    hi: float | None = None
    known: str = ""
    fitted: str = ""
    has: frozenset[str] = frozenset()
    lacks: frozenset[str] = frozenset()

    def for_engine(self) -> dict[str, Any]:
        """The fact as durable-rules takes it, but for its number; empty fields are left out."""
        fact: dict[str, Any] = {mark_of(self.kind, self.name): 1}
        if self.at:
            fact["at"] = self.at
        if self.word:
            fact["is"] = self.word
        if self.lo is not None:
            fact["lo"], fact["hi"] = self.lo, self.hi
        if self.known:
            fact["known"] = self.known
        if self.fitted:
            fact["fitted"] = self.fitted
        fact |= {pick_field(pick): "yes" for pick in sorted(self.has)}
        fact |= {pick_field(pick): "no" for pick in sorted(self.lacks)}
        return fact


def read_answer(answer: Answer) -> Reading:
    """A journal answer as a reading; numbers are rounded to four places, as the engine is told."""
    if answer.state != "value":
        return Reading(answer.state)
    return Reading(
        "value",
        word=answer.word,
        picks=None if answer.words is None else frozenset(answer.words),
        lo=None if answer.lo is None else round(answer.lo, 4),
        hi=None if answer.hi is None else round(answer.hi, 4),
    )


class Readings:
    """All readings of one state: answers, today, and what is worked out from them.

    without: questions that do not concern this car; an answer to them is left out. worked: what
    is to be worked out; None for everything.
    """

    def __init__(
        self,
        ruleset: Ruleset,
        state: State,
        without: frozenset[str] = frozenset(),
        worked: Set[str] | None = None,
    ) -> None:
        self.ruleset = ruleset
        self.state = state
        self.without = without
        day = float(state.context.today.toordinal())
        self.table: dict[tuple[str, str], Reading] = {(TODAY, ""): Reading("value", lo=day, hi=day)}
        for key, said in state.answers.items():
            if key[0] in ruleset.questions and key[0] not in without:
                self.table[key] = read_answer(said.answer)
        self.earlier = {(e.question, e.at): e for e in state.context.earlier}
        self._work_out_all({*ruleset.derived, *ruleset.sums} if worked is None else worked)

    @classmethod
    def of_the_car(cls, ruleset: Ruleset, state: State) -> Readings:
        """Only the answers about the car itself, with what tells whom a question concerns."""
        return cls(ruleset, state, ruleset.not_of_the_car, ruleset.worked_for_applies)

    def changed(self, readings: dict[tuple[str, str], Reading]) -> Readings:
        """A copy in which some readings are replaced; nothing is worked out anew."""
        other = object.__new__(Readings)
        other.__dict__.update(self.__dict__)
        other.table = {**self.table, **readings}
        return other

    def with_errors(self, keys: Iterable[tuple[str, str]]) -> Readings:
        """The same with each of these numbers as far out as it may be."""
        answers: dict[tuple[str, str], Said] = {}
        for key in keys:
            question, said = self.ruleset.questions[key[0]], self.state.answers[key]
            low, high = question.range or (said.answer.lo, said.answer.hi)
            assert said.answer.lo is not None and said.answer.hi is not None
            assert low is not None and high is not None
            error = question.error or 0.0
            wider = Answer(
                lo=max(min(low, said.answer.lo), said.answer.lo - error),
                hi=min(max(high, said.answer.hi), said.answer.hi + error),
            )
            answers[key] = said.model_copy(update={"answer": wider})
        return self.answered(answers)

    def answered(self, answers: Mapping[tuple[str, str], Said]) -> Readings:
        """A copy with these answers in place of those that were given, and what is worked out
        from them worked out anew. Whether a question concerns this car is taken as it was."""
        counting = {key: said for key, said in answers.items() if key[0] not in self.without}
        other = self.changed({key: read_answer(said.answer) for key, said in counting.items()})
        other.state = replace(self.state, answers={**self.state.answers, **answers})
        other._work_out_all(
            {n for name, _ in counting for n in self.ruleset.graph.worked_from(name)}
        )
        return other

    def reading(self, name: str, at: str) -> Reading:
        return self.table.get((name, at), NOTHING_SAID)

    def _value(self, origin: Origin, at: str) -> Value:
        when, name = origin
        if when == "word":
            return name
        if when != "now":
            past = self.earlier.get((name, at))
            if past is None or when == "earlier":
                return _given(past.answer) if past else None
            day = float(past.date.toordinal())
            return Interval(day, day)
        kind = self.ruleset.names[name]
        if kind.kind == "limit":
            return Interval(kind.value, kind.value)
        if kind.kind == "text" and (name, at) in self.table:
            return _given(self.state.answers[(name, at)].answer)
        return _plain(self.reading(name, at))

    def _work_out_all(self, names: Set[str]) -> None:
        """Works out these names, in ruleset order; what was known of them before is forgotten.

        Where nothing was said of all that a number is made from, there is nothing to work out.
        """
        if not names:
            return
        said = {name for name, _ in self.table}
        past = {name for name, _ in self.earlier}
        for name, origins in self.ruleset.graph.made_from.items():
            if name not in names:
                continue
            parts = self.ruleset.members(self.ruleset.derived[name].each)
            if origins and not any(o.name in (said if o.when == "now" else past) for o in origins):
                for at in parts:
                    self.table.pop((name, at), None)
            else:
                self._work_out(name)
                said.update(name for at in parts if (name, at) in self.table)
        for name in self.ruleset.sums:
            if name in names:
                self._add_up(name)

    def _work_out(self, name: str) -> None:
        derived = self.ruleset.derived[name]
        calculation = CALCULATIONS[derived.compute]
        for at in self.ruleset.members(derived.each):
            given: dict[str, Any] = {}
            for parameter, how in calculation.parameters.items():
                origin = derived.origins[parameter]
                if isinstance(origin, float):
                    given[parameter] = Interval(origin, origin)
                elif how in ("across", "texts"):
                    axis = self.ruleset.names[origin.name].axis
                    parts = self.ruleset.related(derived.each, at, axis)
                    given[parameter] = {part: self._value(origin, part) for part in parts}
                else:
                    part = self._at(origin.name, at, derived.each)
                    given[parameter] = self._value(origin, part)
            self._keep(name, at, calculation.function(**given))

    def _at(self, name: str, at: str, axis: str | None = None) -> str:
        """The part to read a name at; the axle of a wheel, where the name is of an axle."""
        kind = self.ruleset.names.get(name)
        if kind is None or not kind.axis:
            return ""
        if axis in (None, kind.axis):
            return at
        near = self.ruleset.related(axis, at, kind.axis)
        return near[0] if len(near) == 1 else at

    def _add_up(self, name: str) -> None:
        total = self.ruleset.sums[name]
        for at in self.ruleset.members(total.axis):
            lo = hi = 0.0
            for sign, term in total.terms:
                value = _plain(self.reading(term, self._at(term, at)))
                if not isinstance(value, Interval):
                    break
                lo += value.lo if sign > 0 else -value.hi
                hi += value.hi if sign > 0 else -value.lo
            else:
                self._keep(name, at, Interval(lo, hi))
                continue
            self._keep(name, at, None)

    def _keep(self, name: str, at: str, value: Value) -> None:
        if isinstance(value, Interval):
            reading = Reading("value", lo=round(value.lo, 4), hi=round(value.hi, 4))
        elif isinstance(value, str):
            reading = Reading("value", word=value)
        else:
            self.table.pop((name, at), None)
            return
        self.table[(name, at)] = reading

    def facts(self) -> Iterable[Fact]:
        """Every fact the engine is told; their order does not matter."""
        for (name, at), reading in self.table.items():
            kind = "answer" if name in self.ruleset.questions else "worked"
            yield _fact_of(kind, name, at, reading, self.ruleset.picks.get(name, frozenset()))
        for axis in self.ruleset.axes:
            for at in self.ruleset.members(axis):
                yield Fact("part", axis, at)


def _fact_of(kind: str, name: str, at: str, reading: Reading, picks: frozenset[str]) -> Fact:
    """What the engine is told of one reading. picks: the choices, where several may be picked."""
    if reading.state == "not_fitted":
        return Fact(kind, name, at, fitted="no")
    if reading.state != "value":
        return Fact(kind, name, at, known="no")
    has = reading.picks or frozenset()
    lacks = frozenset() if reading.picks is None else picks - has
    word = reading.word or ""
    return Fact(kind, name, at, word, reading.lo, reading.hi, "yes", "yes", has & picks, lacks)


def _plain(reading: Reading) -> Value:
    if reading.lo is not None and reading.hi is not None:
        return Interval(reading.lo, reading.hi)
    return reading.word if reading.word is not None else reading.picks


def _given(answer: Answer) -> Value:
    """What a calculation is given of an answer: of a note its text, which goes no further."""
    return answer.text if answer.text is not None else _plain(read_answer(answer))
