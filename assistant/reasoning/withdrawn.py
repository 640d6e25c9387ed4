"""Serious findings that stood once and are gone, not because they were disproved.

They stay visible and are to be confirmed: an answer may have been changed by mistake, or to be
rid of the warning.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Sequence
from dataclasses import dataclass, replace

from assistant.journal.entries import (
    Corrected,
    Entry,
    Mended,
    Said,
    State,
    TookBack,
    fold,
)
from assistant.reasoning.engine import Supposed
from assistant.reasoning.facts import Readings
from assistant.reasoning.findings import Finding, findings, in_its_place
from assistant.reasoning.inferring import engine_for, fitting, infer, not_this_car
from assistant.ruleset.models import Rule
from assistant.ruleset.ruleset import Ruleset, made_once

_MOST_KEPT = 1024


@dataclass(frozen=True)
class Withdrawn:
    """A serious finding that went away because its own answer was changed, not disproved."""

    rule: Rule
    at: str
    at_words: str
    how: str
    words_before: str
    words_now: str


def withdrawn(
    ruleset: Ruleset, state: State, journal: Sequence[Entry], now: tuple[Finding, ...]
) -> tuple[Withdrawn, ...]:
    """Serious findings that stood once and are gone because an answer was changed.

    What stood before each correction, repair or step back is compared with what stood after it;
    several things mended in one turn are one repair. A finding that comes back later is not
    withdrawn, nor one in whose place a graver or equal one has come.
    """
    found: dict[tuple[str, str], Withdrawn] = {}
    present = {(f.rule.rule, f.at) for f in now}
    for start, changes in _changing(journal):
        before = _dangers(ruleset, journal[:start])
        if not before:
            continue
        end = start + len(changes)
        after = _dangers(ruleset, journal[:end], now if end == len(journal) else None)
        for key, finding in before.items():
            if key in after or key in present:
                continue
            if not in_its_place(ruleset, finding, before, after.values()):
                entry = _change_behind(ruleset, _known_last(changes, journal[:start]), *key)
                how = {"mended": "said to be repaired", "took_back": "taken back"}.get(
                    entry.kind, "answered differently later"
                )
                old = _words_changed(entry, journal[:start])
                new = getattr(entry, "words", "")
                found[key] = Withdrawn(finding.rule, finding.at, finding.at_words, how, old, new)
    found.update(_not_of_this_car(ruleset, state, journal, present))
    return tuple(found.values())


def _known_last(changes: list[Entry], before: Sequence[Entry]) -> list[Entry]:
    """Changes with those last that change something that was known."""
    answers = fold(before).answers
    old = (answers.get((getattr(e, "question", ""), getattr(e, "at", ""))) for e in changes)
    known = [said is not None and said.answer.state == "value" for said in old]
    pairs = sorted(zip(known, changes, strict=True), key=lambda pair: pair[0])
    return [entry for _, entry in pairs]


def _not_of_this_car(
    ruleset: Ruleset, state: State, journal: Sequence[Entry], present: set[tuple[str, str]]
) -> dict[tuple[str, str], Withdrawn]:
    """Serious findings that would stand without an answer about the car that came after others.

    With such an answer a question may concern the car no more, and what was said to it not count.
    """
    others, late = False, []
    for entry in journal:
        if isinstance(entry, Said):
            if entry.question not in ruleset.of_the_car:
                others = True
            elif others:
                late.append(entry)
    out = not_this_car(engine_for(ruleset), state) if late else frozenset()
    dangerous = {name for name, _ in state.answers if name in out and ruleset.dangers_on(name)}
    if not dangerous:
        return {}
    deciding = {question for name in dangerous for question in ruleset.whom_by[name]}
    found: dict[tuple[str, str], Withdrawn] = {}
    of_car = [e for e in journal if getattr(e, "question", None) not in ruleset.not_of_the_car]
    for entry in (entry for entry in late if entry.question in deciding):
        whom = fitting(ruleset, fold(e for e in of_car if e is not entry))[0]
        again = dangerous - not_this_car(engine_for(ruleset), whom)
        if not again:
            continue
        less = _without(ruleset, state, journal, entry)
        back = _may_come_back(ruleset, less, again, out - again) - present
        for key, finding in _standing(ruleset, less, back).items():
            how = "what was said of the car later does not go with it"
            words = f"{ruleset.questions[entry.question].label}: {entry.words}"
            found[key] = Withdrawn(finding.rule, finding.at, finding.at_words, how, "", words)
    return found


def _without(ruleset: Ruleset, state: State, journal: Sequence[Entry], entry: Said) -> State:
    """The state of a journal without one of its answers."""
    key = (entry.question, entry.at)
    alike = [e for e in journal if isinstance(e, Said | Mended) and (e.question, e.at) == key]
    if alike == [entry] and state.answers.get(key) is entry:
        return replace(state, answers={k: s for k, s in state.answers.items() if k != key})
    return fitting(ruleset, fold(e for e in journal if e is not entry))[0]


def _may_come_back(
    ruleset: Ruleset, state: State, again: set[str], without: frozenset[str]
) -> set[tuple[str, str]]:
    """The serious rules, by part, that hold in a state, by a plain reading, on the questions that
    may concern this car again.

    Removing an answer can only add findings by making other answers applicable.
    """
    rules = {rule for name in again for rule in ruleset.dangers_on(name)}
    worked = ruleset.graph.worked_behind(rules)
    view = Supposed(ruleset, Readings(ruleset, state, without, worked))
    return {
        (rule, at)
        for rule in rules
        for at in ruleset.members(ruleset.inferences[rule].axis)
        if view.concluded(rule, at) is True
    }


def _standing(
    ruleset: Ruleset, state: State, wanted: set[tuple[str, str]]
) -> dict[tuple[str, str], Finding]:
    """Those of the wanted rules, by part, that the engine finds, not superseded by a graver one."""
    if not wanted:
        return {}
    found = {(f.rule.rule, f.at): f for f in findings(ruleset, *infer(ruleset, state))}
    return {key: finding for key, finding in found.items() if key in wanted}


def _changing(journal: Sequence[Entry]) -> Iterator[tuple[int, list[Entry]]]:
    """What changes what was said before, with its place; what was mended in one turn as one."""
    said: set[tuple[str, str]] = set()
    mended: list[Entry] = []
    for place, entry in enumerate(journal):
        if mended and not (isinstance(entry, Mended) and entry.turn == mended[0].turn):
            yield place - len(mended), mended
            mended = []
        if isinstance(entry, Mended):
            mended.append(entry)
        elif _changes(entry, said):
            yield place, [entry]
        if isinstance(entry, Said):
            said.add((entry.question, entry.at))
    if mended:
        yield len(journal) - len(mended), mended


def _changes(entry: Entry, said: set[tuple[str, str]]) -> bool:
    """Whether an entry changes what was said before: the questions and parts in `said`."""
    again = isinstance(entry, Said) and (entry.question, entry.at) in said
    return again or isinstance(entry, Corrected | TookBack)


def _change_behind(ruleset: Ruleset, changes: Sequence[Entry], rule: str, at: str) -> Entry:
    """Which of several changes a finding is gone for: the last that it hangs on, at its own part
    if there is one."""
    behind = ruleset.graph.questions_behind(ruleset.inferences[rule].condition)
    near = [e for e in changes if getattr(e, "question", None) in behind]
    there = [e for e in near if getattr(e, "at", "") == at]
    return (there or near or changes)[-1]


def _dangers(
    ruleset: Ruleset, journal: Sequence[Entry], known: tuple[Finding, ...] | None = None
) -> dict[tuple[str, str], Finding]:
    """The serious findings of a journal. known: all its findings, where they are known already.

    They are kept, since each answer asks it of the same beginnings: without, every change that was
    made adds 20 ms to all later answers.
    """
    state, kept = fitting(ruleset, fold(journal))[0], _kept(ruleset)
    answers = tuple((key, said.answer) for key, said in state.answers.items())
    key = (ruleset.garage, state.context.today, state.context.earlier, answers)
    if key not in kept:
        if len(kept) > _MOST_KEPT:
            kept.clear()
        every = findings(ruleset, *infer(ruleset, state)) if known is None else known
        serious = [f for f in every if f.urgency.is_danger]
        kept[key] = {(f.rule.rule, f.at): f for f in serious}
    return kept[key]


@made_once
def _kept(ruleset: Ruleset) -> dict[Hashable, dict[tuple[str, str], Finding]]:
    """What _dangers has found in this ruleset."""
    return {}


def _words_changed(entry: Entry, before: Sequence[Entry]) -> str:
    """What the person had said before an entry changed it."""
    if isinstance(entry, TookBack):
        words = [e.words for e in before if isinstance(e, Said) and e.turn == entry.of]
        return "; ".join(dict.fromkeys(words))
    if isinstance(entry, Said | Mended):
        old = fold(before).answers.get((entry.question, entry.at))
        return old.words if old else ""
    return ""
