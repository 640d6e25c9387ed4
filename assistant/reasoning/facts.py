"""What the engine is told: one fact an answer, one a pick, one a worked-out number."""

from __future__ import annotations

from collections.abc import Iterable
from copy import copy
from typing import Any, NamedTuple

from assistant.calculations.interval import Interval
from assistant.calculations.named import CALCULATIONS, Value
from assistant.knowledge.evaluation import NOTHING_SAID, Reading
from assistant.knowledge.journal import Answer, State
from assistant.knowledge.ruleset import TODAY, Ruleset

__all__ = ["Fact", "Readings", "read_answer"]


class Fact(NamedTuple):
    """One fact for the engine.

    kind: "answer", "pick", "worked", "concluded", "somewhere" or "part". `at` is "" for the car
    as a whole. word is for words, lo and hi for numbers; known and fitted are "yes", "no" or "".
    """

    kind: str
    name: str
    at: str = ""
    word: str = ""
    lo: float | None = None
    hi: float | None = None
    known: str = ""
    fitted: str = ""

    def for_engine(self, number: int, session: str) -> dict[str, Any]:
        """The fact as durable-rules takes it; empty fields are left out."""
        fact: dict[str, Any] = {
            "sid": session,
            "id": str(number),
            "kind": self.kind,
            "name": self.name,
            "at": self.at,
        }
        if self.word:
            fact["is"] = self.word
        if self.lo is not None:
            fact["lo"], fact["hi"] = self.lo, self.hi
        if self.known:
            fact["known"] = self.known
        if self.fitted:
            fact["fitted"] = self.fitted
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

    without: questions that do not concern this car; an answer to them is left out.
    """

    def __init__(
        self, ruleset: Ruleset, state: State, without: frozenset[str] = frozenset()
    ) -> None:
        self.ruleset = ruleset
        self.state = state
        day = float(state.context.today.toordinal())
        self.table: dict[tuple[str, str], Reading] = {(TODAY, ""): Reading("value", lo=day, hi=day)}
        for key, said in state.answers.items():
            if key[0] in ruleset.questions and key[0] not in without:
                self.table[key] = read_answer(said.answer)
        self.earlier = {(e.question, e.at): e for e in state.context.earlier}
        for name in ruleset.derived:
            self._work_out(name)
        for name in ruleset.sums:
            self._add_up(name)

    def changed(self, readings: dict[tuple[str, str], Reading]) -> Readings:
        """A copy in which some readings are replaced; nothing is worked out anew."""
        other = copy(self)
        other.table = {**self.table, **readings}
        return other

    def reading(self, name: str, at: str) -> Reading:
        return self.table.get((name, at), NOTHING_SAID)

    def _value(self, name: str, at: str) -> Value:
        if name.startswith("="):
            return name[1:]
        if name.startswith("earlier date of "):
            past = self.earlier.get((name.removeprefix("earlier date of "), at))
            day = float(past.date.toordinal()) if past else 0.0
            return Interval(day, day) if past else None
        if name.startswith("earlier "):
            past = self.earlier.get((name.removeprefix("earlier "), at))
            return _plain(read_answer(past.answer)) if past else None
        limit = self.ruleset.names[name]
        if limit.kind == "limit":
            return Interval(limit.value, limit.value)
        return _plain(self.reading(name, at))

    def _work_out(self, name: str) -> None:
        derived = self.ruleset.derived[name]
        calculation = CALCULATIONS[derived.compute]
        for at in self.ruleset.members(derived.each):
            given: dict[str, Any] = {}
            for parameter, how in calculation.parameters.items():
                source = derived.of[parameter]
                if not isinstance(source, str):
                    given[parameter] = Interval(float(source), float(source))
                elif how == "across":
                    given[parameter] = {
                        part: self._value(source, part)
                        for part in self._parts(derived.each, at, source)
                    }
                else:
                    given[parameter] = self._value(source, self._at(source, at))
            self._keep(name, at, calculation.function(**given))

    def _parts(self, axis: str | None, at: str, source: str) -> tuple[str, ...]:
        if axis and at:
            inside = self.ruleset.member(axis, at).of
            if inside:
                return tuple(inside)
        plain = source.removeprefix("earlier ")
        return self.ruleset.members(self.ruleset.names[plain].axis)

    def _at(self, source: str, at: str) -> str:
        plain = source.removeprefix("earlier date of ").removeprefix("earlier ")
        kind = self.ruleset.names.get(plain)
        return at if kind is not None and kind.axis else ""

    def _add_up(self, name: str) -> None:
        total = self.ruleset.sums[name]
        for at in self.ruleset.members(total.axis):
            lo = hi = 0.0
            for sign, term in total.terms:
                value = self._value(term, self._at(term, at))
                if not isinstance(value, Interval):
                    break
                lo += value.lo if sign > 0 else -value.hi
                hi += value.hi if sign > 0 else -value.lo
            else:
                self._keep(name, at, Interval(lo, hi))

    def _keep(self, name: str, at: str, value: Value) -> None:
        if isinstance(value, Interval):
            reading = Reading("value", lo=round(value.lo, 4), hi=round(value.hi, 4))
            self.table[(name, at)] = reading
        elif isinstance(value, str):
            self.table[(name, at)] = Reading("value", word=value)

    def facts(self) -> Iterable[Fact]:
        """Every fact the engine is told, in a fixed order."""
        for (name, at), reading in sorted(self.table.items()):
            kind = "answer" if name in self.ruleset.questions else "worked"
            if reading.state == "not_fitted":
                yield Fact(kind, name, at, fitted="no")
            elif reading.state != "value":
                yield Fact(kind, name, at, known="no")
            else:
                yield Fact(kind, name, at, reading.word or "", reading.lo, reading.hi, "yes", "yes")
                for pick in self.ruleset.names[name].words if reading.picks is not None else ():
                    has = "yes" if pick in (reading.picks or ()) else "no"
                    yield Fact("pick", f"{name}.{pick}", at, has)
        for axis in self.ruleset.axes:
            for at in self.ruleset.members(axis):
                yield Fact("part", axis, at)


def _plain(reading: Reading) -> Value:
    if reading.lo is not None and reading.hi is not None:
        return Interval(reading.lo, reading.hi)
    return reading.word if reading.word is not None else reading.picks
