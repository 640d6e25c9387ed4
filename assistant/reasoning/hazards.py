"""Which dangers stand, what they forbid, and which were ruled out or ended.

A hazard stands while any danger that names it stands, also one that gives way to a graver one.
What all of them forbid counts together. Time is never counted here: that a time is over, or that
a garage has mended it, is what the person says, as an entry of the journal.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from typing import NamedTuple

from assistant.journal.entries import Released, State, Worry
from assistant.reasoning.engine import EngineResult
from assistant.reasoning.findings import stands
from assistant.ruleset.hazards_file import Hazard
from assistant.ruleset.models import Act, Rule, Safely, Urgency
from assistant.ruleset.ruleset import Key, Ruleset
from assistant.ruleset.words_file import Danger, Lowered


@dataclass(frozen=True)
class ToldDanger:
    """A danger in the person's own words, by its name in the ruleset.

    lowered: what stays of it, where something seen has shown that it is less.
    """

    name: str
    danger: Danger
    worry: Worry
    lowered: Lowered | None = None

    @property
    def urgency(self) -> Urgency:
        return self.lowered.urgency if self.lowered else self.danger.urgency

    @property
    def condition(self) -> str | None:
        """When the car must not be driven, where it may be at all."""
        return self.lowered.condition if self.lowered else self.danger.condition

    @property
    def do(self) -> str:
        """What to do now that the car stands."""
        return self.lowered.do if self.lowered else self.danger.then

    @property
    def hazards(self) -> tuple[str, ...]:
        """What it threatens; nothing, once it was seen to be less."""
        return () if self.lowered else tuple(self.danger.hazards)


@dataclass(frozen=True)
class StandingHazard:
    """A hazard that stands: what it forbids now, and what was told or seen that names it.

    waits: nothing more is asked until the person says that somebody has dealt with it.
    """

    name: str
    hazard: Hazard
    forbids: frozenset[Act]
    because: tuple[str, ...]
    waits: bool


class RestsOn(NamedTuple):
    """turn: of the latest answer a rule rests on. told_only: all were told, and nothing seen."""

    turn: int
    told_only: bool


@dataclass(frozen=True)
class Hazards:
    """The hazards that stand, the gravest first, and the dangers that a garage's word has ended."""

    standing: tuple[StandingHazard, ...]
    ended: tuple[Rule, ...] = ()

    @cached_property
    def forbids(self) -> frozenset[Act]:
        """All that is forbidden by any of them."""
        return frozenset(act for one in self.standing for act in one.forbids)

    @property
    def waiting(self) -> StandingHazard | None:
        """The gravest of those for which nothing more is asked now."""
        return next((one for one in self.standing if one.waits), None)


def form_allowed(
    ruleset: Ruleset, forbids: frozenset[Act], question: str, at: str
) -> Safely | bool:
    """Whether a check may be made: True as usual, False not at all, or in which safe form."""
    if not forbids or forbids.isdisjoint(ruleset.acts_of(question, at)):
        return True
    safely = ruleset.questions[question].safely
    return safely if safely is not None and forbids.isdisjoint(safely.acts) else False


def told_dangers(
    ruleset: Ruleset, state: State, result: EngineResult
) -> tuple[tuple[ToldDanger, ...], tuple[ToldDanger, ...]]:
    """The dangers that were told: those that stand, and those ruled out since by an answer.

    One is ruled out only by what was said of it after it was told. A garage's word ends it.
    """
    dangers = ruleset.words.dangers if ruleset.words is not None else {}
    latest = {
        name: ToldDanger(name, dangers[name], worry)
        for worry in state.worries
        for name in worry.dangers
        if name in dangers
    }
    standing: list[ToldDanger] = []
    lifted: list[ToldDanger] = []
    for told in latest.values():
        turn = told.worry.turn
        if all(_ended(state, name, turn) for name in told.danger.hazards) and told.danger.hazards:
            continue
        if _shown(ruleset, state, result, told, "lifted"):
            lifted.append(told)
        elif told.danger.lowered and _shown(ruleset, state, result, told, "lowered"):
            standing.append(replace(told, lowered=told.danger.lowered))
        else:
            standing.append(told)
    standing.sort(key=lambda told: told.urgency.rank)
    return tuple(standing), tuple(lifted)


def ended_firings(
    ruleset: Ruleset, state: State, result: EngineResult
) -> frozenset[tuple[str, str]]:
    """The dangers, as rules by part, that rest on what was told and that a garage has ended."""
    if not any(_is_garage(released) for released in state.released):
        return frozenset()
    return frozenset(
        key
        for key, hazards in _named(ruleset, result)
        if (rests := rests_on(ruleset, state, result, key)).told_only
        and all(_ended(state, hazard, rests.turn) for hazard in hazards)
    )


def hazards_now(
    ruleset: Ruleset,
    state: State,
    result: EngineResult,
    told: Iterable[ToldDanger],
    ended: frozenset[tuple[str, str]],
) -> Hazards:
    """The hazards that stand with what they forbid. ended: see ended_firings."""
    since: dict[str, int] = {}
    because: dict[str, dict[str, None]] = {}

    def name_all(hazards: Iterable[str], turn: int, words: str) -> None:
        for name in hazards:
            since[name] = max(since.get(name, -1), turn)
            because.setdefault(name, {})[words] = None

    for one in told:
        name_all(one.hazards, one.worry.turn, f"you said: {one.worry.words}")
    for key, hazards in _named(ruleset, result):
        if key not in ended:
            rule = ruleset.inferences[key[0]].rule
            assert rule is not None
            turn = rests_on(ruleset, state, result, key).turn if state.released else 0
            name_all(hazards, turn, rule.say)
    standing = []
    for name, hazard in ruleset.hazards.items():
        if name not in since:
            continue
        said = {r.how for r in state.released if r.hazard == name and r.turn > since[name]}
        freed = hazard.cooled.frees if hazard.cooled and "cooled" in said else []
        waits = hazard.nothing_more and not said
        forbids = frozenset(hazard.forbids) - set(freed)
        standing.append(StandingHazard(name, hazard, forbids, tuple(because[name]), waits))
    rules = (ruleset.inferences[name].rule for name, _ in sorted(ended))
    return Hazards(tuple(standing), tuple(rule for rule in rules if rule is not None))


def _named(
    ruleset: Ruleset, result: EngineResult
) -> Iterator[tuple[tuple[str, str], tuple[str, ...]]]:
    """The rules, by part, that hold, name hazards, and are not ruled out by something seen."""
    for key, firing in result.firings.items():
        if not firing.truth or ruleset.inferences[key[0]].rule is None:
            continue
        hazards = ruleset.hazards_of(key[0])
        lowered = ruleset.lowered_by(key[0]) if hazards else ()
        if hazards and not any(stands(ruleset, result, by, key[1]) for by in lowered):
            yield key, hazards


def _ended(state: State, hazard: str, turn: int) -> bool:
    """Whether a garage's word came after a turn."""
    return any(_is_garage(r) and r.hazard == hazard and r.turn > turn for r in state.released)


def _is_garage(released: Released) -> bool:
    return released.how == "garage"


def _shown(
    ruleset: Ruleset, state: State, result: EngineResult, told: ToldDanger, what: str
) -> bool:
    """Whether answers given since it was told show that a danger is "lifted", or "lowered"."""
    inference = ruleset.inferences.get(Key(what, told.name).text)
    if inference is None:
        return False
    for at in ruleset.members(inference.axis):
        if result.truth(inference.name, at) is not True:
            return False
        turns = [
            state.answers[key].turn
            for key in _answers_under(ruleset, state, result, (inference.name, at))
            if key in state.answers
        ]
        if not turns or min(turns) <= told.worry.turn:
            return False
    return True


def rests_on(ruleset: Ruleset, state: State, result: EngineResult, key: tuple[str, str]) -> RestsOn:
    """What the answers are that a rule at a part rests on."""
    answers = _answers_under(ruleset, state, result, key)
    places = ruleset.places
    told_only = all(places[ruleset.questions[name].place].stage == "triage" for name, _ in answers)
    turns = [state.answers[answer].turn for answer in answers if answer in state.answers]
    return RestsOn(max(turns, default=0), told_only and bool(turns))


def _answers_under(
    ruleset: Ruleset, state: State, result: EngineResult, key: tuple[str, str]
) -> set[tuple[str, str]]:
    """All answers that a firing rests on, but for those about the car."""
    found: set[tuple[str, str]] = set()
    seen: set[tuple[str, str]] = set()
    todo = [key]
    while todo:
        one = todo.pop()
        firing = result.firings.get(one)
        if one in seen or firing is None:
            continue
        seen.add(one)
        for fact in (fact for support in firing.supports for fact in support):
            if fact.kind == "concluded":
                todo.append((fact.name, fact.at))
            elif fact.kind == "somewhere":
                axis = ruleset.inferences[fact.name].axis
                todo += [(fact.name, at) for at in ruleset.members(axis)]
            elif fact.kind in ("answer", "worked"):
                found |= _answers_of(ruleset, state, fact.name, fact.at)
    return {(name, at) for name, at in found if name not in ruleset.of_the_car}


def _answers_of(ruleset: Ruleset, state: State, name: str, at: str) -> set[tuple[str, str]]:
    """An answer, or the answers that something worked out was made from."""
    if name in ruleset.questions:
        return {(name, at)}
    sources = ruleset.graph.behind([name])
    return {key for key in state.answers if key[0] in sources}
