"""A consultation: everything that follows from a journal under a ruleset.

`consult` is a pure function. Undo, what-if, resume and replay are all "make another journal
and consult again", so they cannot differ from going forward.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from assistant.journal.entries import (
    Entry,
    Said,
    State,
    Worry,
    fold,
)
from assistant.reasoning.engine import EngineResult, EngineView
from assistant.reasoning.facts import Readings
from assistant.reasoning.findings import Finding, findings, stands
from assistant.reasoning.hazards import (
    Hazards,
    RestsOn,
    ToldDanger,
    ended_firings,
    form_allowed,
    hazards_now,
    rests_on,
    told_dangers,
)
from assistant.reasoning.headline import Headline, headline, unseen_checks
from assistant.reasoning.inferring import fitting, infer
from assistant.reasoning.too_close import TooCloseToTell, too_close
from assistant.reasoning.withdrawn import Withdrawn, withdrawn
from assistant.ruleset.models import (
    Cause,
    Group,
    Question,
    Rule,
    Safely,
    Symptom,
    TesterOnly,
    Urgency,
    Wording,
)
from assistant.ruleset.ruleset import Key, Ruleset, most_pressing


@dataclass(frozen=True)
class FollowUp:
    """A question that a rule has opened."""

    question: str
    at: str
    rule: Rule
    now: bool


@dataclass(frozen=True)
class CauseFound:
    """A possible cause with its share of the odds and the evidence that moved it.

    weighed: the evidence has raised its share above the one that it starts with.
    """

    cause: Cause
    share: float
    speaks_for: tuple[str, ...]
    speaks_against: tuple[str, ...]
    weighed: bool = True

    @property
    def word(self) -> str:
        """In words; nothing is "most likely" by its number of 100 alone."""
        if self.share >= MOST_LIKELY and self.weighed:
            return "most likely"
        return "possible" if self.share >= POSSIBLE else "unlikely"


MOST_LIKELY, POSSIBLE = 0.5, 0.15
"""The shares of the odds from which a cause is called so; ours, assumed."""
_NO_MORE = 1e-9
"""Shares that differ by no more are the same share."""


@dataclass(frozen=True)
class SymptomFound:
    """A symptom with its causes, the likeliest first."""

    symptom: Symptom
    at: str
    at_words: str
    causes: tuple[CauseFound, ...]

    @property
    def likely(self) -> CauseFound | None:
        """The cause that is most likely, or None while that is open."""
        return self.causes[0] if self.causes[0].word == "most likely" else None


@dataclass(frozen=True)
class StoodDown:
    """A danger that something directly seen has ruled out. It stays visible."""

    rule: Rule
    at: str
    at_words: str
    by: Rule


@dataclass(frozen=True)
class Consultation:
    """What follows from one journal. Nothing in it is stored; all of it can be made again.

    pending: what a rule wants to know at once and has not been told; until then the car should
    be looked at before it is driven. unplaced: worries that are none of the symptoms known here,
    but for plain comfort. told: the dangers told in the person's own words that stand; lifted:
    those that an answer has ruled out. not_known, not_asked: of the car; what is asked at the end,
    about dates, is not among them.
    """

    ruleset: Ruleset
    state: State
    readings: Readings
    result: EngineResult
    findings: tuple[Finding, ...]
    follow_ups: tuple[FollowUp, ...]
    symptoms: tuple[SymptomFound, ...]
    withdrawn: tuple[Withdrawn, ...]
    unplaced: tuple[Worry, ...]
    told: tuple[ToldDanger, ...]
    lifted: tuple[ToldDanger, ...]
    hazards: Hazards
    headline: Headline
    stood_down: tuple[StoodDown, ...]
    too_close: tuple[TooCloseToTell, ...]
    pending: tuple[FollowUp, ...]
    not_known: tuple[Said, ...]
    not_asked: tuple[tuple[str, str], ...]
    tester_only: tuple[TesterOnly, ...]
    urgency: Urgency
    misfits: tuple[tuple[Said, str], ...] = ()

    @property
    def faults(self) -> tuple[tuple[str, str], ...]:
        return self.result.faults

    @cached_property
    def causes_here(self) -> frozenset[str]:
        """The names of all causes of the symptoms that were found."""
        return frozenset(c.cause.cause for found in self.symptoms for c in found.causes)

    @cached_property
    def told_alone(self) -> tuple[ToldDanger, ...]:
        """The told dangers that no finding stands for: one as grave that names the same hazard."""
        seen: dict[str, int] = {}
        for finding in self.findings:
            for name in self.ruleset.hazards_of(finding.rule.rule):
                seen[name] = min(seen.get(name, 99), finding.urgency.rank)
        return tuple(
            one
            for one in self.told
            if not any(seen.get(h, 99) <= one.urgency.rank for h in one.hazards)
        )

    def would_fail(self) -> tuple[Finding, ...]:
        """The findings whose category fails the inspection."""
        scale = self.ruleset.about.scale
        return tuple(f for f in self.findings if f.category and scale[f.category].fails)

    def view(self) -> EngineView:
        return EngineView(self.ruleset, self.readings, self.result.firings)

    def applies(self, question: str) -> bool | None:
        """Whether a question concerns this car: True, False, or None while that is open."""
        whom = self.ruleset.whom.get(question)
        return True if whom is None else self.result.truth(whom.name)

    def worded(self, group: str | None, question: str | None) -> Question | Group:
        """A group or a question in the words for this car."""
        rs, answers = self.ruleset, self.state.answers
        asked = rs.groups[group] if group else rs.questions[str(question)]
        for one in asked.instead:
            said = ((answers.get((name, "")), words) for name, words in one.on.items())
            if all(answer and answer.answer.word in words for answer, words in said):
                asked = in_words(asked, one)
        return asked

    def may_be_asked(self, question: str, at: str = "") -> bool:
        """Whether it concerns this car, as far as known, and no danger forbids it in every form."""
        return self.applies(question) is not False and self.form_of(question, at) is not False

    def form_of(self, question: str, at: str = "") -> Safely | bool:
        """How a check may be made now: True as usual, False not at all, or in which safe form."""
        return form_allowed(self.ruleset, self.hazards.forbids, question, at)

    def rests_on(self, rule: str, at: str) -> RestsOn:
        """What the answers are that a rule at a part rests on."""
        return rests_on(self.ruleset, self.state, self.result, (rule, at))

    def lacks(self, needs: list[str]) -> bool:
        """Whether something that a check needs is known not to be at hand."""
        kit = self.ruleset.about.kit
        if not needs or kit is None:
            return False
        reading = self.readings.reading(kit, "")
        return reading.state != "value" or not set(needs) <= (reading.picks or frozenset())


def consult(ruleset: Ruleset, journal: Sequence[Entry]) -> Consultation:
    """Works out everything that follows from a journal. Pure: no clock, no file, no history."""
    state, misfits = fitting(ruleset, fold(journal))
    readings, result = infer(ruleset, state)
    told, lifted = told_dangers(ruleset, state, result)
    ended = ended_firings(ruleset, state, result)
    hazards = hazards_now(ruleset, state, result, told, ended)
    close = too_close(ruleset, readings, result)
    unsure = {(t.rule.rule, t.at) for t in close}
    found = tuple(
        f for f in findings(ruleset, readings, result, ended) if (f.rule.rule, f.at) not in unsure
    )
    every = findings(ruleset, readings, result) if ended else found
    gone = withdrawn(ruleset, state, journal, every)
    follow_ups = _follow_ups(ruleset, result)
    applies = _applies(ruleset, result)
    pending = tuple(
        f
        for f in follow_ups
        if f.now and (f.question, f.at) not in state.answers and applies[f.question] is not False
    )
    also = []
    if any(_is_danger(ruleset, t.rule.rule) for t in close):
        also.append(Urgency.HAVE_LOOKED_AT)
    if gone or any(_is_danger(ruleset, name) for name, _ in result.faults):
        also.append(Urgency.HAVE_LOOKED_AT)
    urgencies = [f.urgency for f in found if not f.rule.unseen]
    urgencies += [*(t.urgency for t in told), *also]
    unplaced = _unplaced(state, told)
    opened = {(f.question, f.at): f.now for f in follow_ups}
    unread = [(said.question, said.at) for said, _ in misfits]
    unseen = unseen_checks(ruleset, state, applies, opened, unread)
    return Consultation(
        ruleset=ruleset,
        state=state,
        readings=readings,
        result=result,
        findings=found,
        follow_ups=follow_ups,
        pending=pending,
        symptoms=_symptoms(ruleset, result),
        withdrawn=gone,
        unplaced=unplaced,
        told=told,
        lifted=lifted,
        hazards=hazards,
        headline=headline(most_pressing(urgencies), found, told, unplaced, unseen),
        stood_down=_stood_down(ruleset, result),
        too_close=close,
        not_known=tuple(
            s
            for s in state.answers.values()
            if s.answer.state in ("dont_know", "cant_look") and s.question not in ruleset.for_dates
        ),
        not_asked=tuple(
            (name, at)
            for name, at in ruleset.walk_items
            if (name, at) not in state.answers and applies[name] is not False
        ),
        tester_only=_tester_only(ruleset, result),
        urgency=most_pressing(urgencies),
        misfits=misfits,
    )


def in_words(asked: Question | Group, other: Wording) -> Question | Group:
    """The same asked in other words, without the choices that are left out there."""
    words = other.model_dump(exclude={"on", "leaves"}, exclude_none=True)
    if isinstance(asked, Question) and other.leaves:
        kept = {name: one for name, one in asked.choices.items() if name not in other.leaves}
        words["choices"] = kept
    return asked.model_copy(update=words)


def _unplaced(state: State, told: Sequence[ToldDanger]) -> tuple[Worry, ...]:
    """Worries that no symptom known here stands for, but those about comfort or a told danger."""
    dangers = {one.worry.turn for one in told}
    return tuple(
        worry
        for worry in state.worries
        if not worry.comfort
        and worry.turn not in dangers
        and not (worry.turn in state.picked and state.picked[worry.turn].symptom)
    )


def _applies(ruleset: Ruleset, result: EngineResult) -> dict[str, bool | None]:
    every: dict[str, bool | None] = dict.fromkeys(ruleset.questions, True)
    return every | {name: result.truth(whom.name) for name, whom in ruleset.whom.items()}


def _is_danger(ruleset: Ruleset, inference: str) -> bool:
    found = ruleset.inferences.get(inference)
    urgency = found.rule.urgency if found and found.rule else None
    return urgency is not None and urgency.is_danger


def _stood_down(ruleset: Ruleset, result: EngineResult) -> tuple[StoodDown, ...]:
    """The dangers that have fired and are lowered by what was directly seen."""
    return tuple(
        StoodDown(rule, firing.at, ruleset.at_words(rule.rule, firing.at), by_rule)
        for firing in result.firings.values()
        if firing.truth and (rule := ruleset.inferences[firing.inference].rule) is not None
        for by in ruleset.lowered_by(rule.rule)
        if stands(ruleset, result, by, firing.at)
        and (by_rule := ruleset.inferences[by].rule) is not None
    )


def _follow_ups(ruleset: Ruleset, result: EngineResult) -> tuple[FollowUp, ...]:
    found: dict[tuple[str, str], FollowUp] = {}
    for firing in result.firings.values():
        if not firing.truth:
            continue
        rule = ruleset.inferences[firing.inference].rule
        if rule is None or rule.asks is None:
            continue
        axis = ruleset.inferences[firing.inference].axis
        for name in rule.asks.questions:
            for at in ruleset.related(axis, firing.at, ruleset.questions[name].each):
                old = found.get((name, at))
                if old is None or (rule.asks.now and not old.now):
                    found[(name, at)] = FollowUp(name, at, rule, rule.asks.now)
    return tuple(found.values())


def _symptoms(ruleset: Ruleset, result: EngineResult) -> tuple[SymptomFound, ...]:
    found: list[SymptomFound] = []
    for firing in result.firings.values():
        if not firing.truth:
            continue
        inference = ruleset.inferences[firing.inference]
        if inference.role != "symptom" or inference.symptom is None:
            continue
        symptom = inference.symptom
        weighed = [_weigh(ruleset, result, symptom, cause, firing.at) for cause in symptom.causes]
        total = sum(odds for _, odds, _, _ in weighed)
        start = sum(cause.of_100 for cause in symptom.causes)
        causes = [
            CauseFound(cause, share, speaks_for, against, share > cause.of_100 / start + _NO_MORE)
            for cause, odds, speaks_for, against in weighed
            for share in (odds / total,)
        ]
        causes.sort(key=lambda c: -c.share)
        axis = inference.axis
        words = ruleset.part_words(axis, firing.at)
        found.append(SymptomFound(symptom, firing.at, words, tuple(causes)))
    return tuple(found)


def _weigh(
    ruleset: Ruleset, result: EngineResult, symptom: Symptom, cause: Cause, at: str
) -> tuple[Cause, float, tuple[str, ...], tuple[str, ...]]:
    """How many of 100 such cars, times the factor of each piece of evidence that holds."""
    odds = cause.of_100
    speaks_for: list[str] = []
    against: list[str] = []
    for inference in ruleset.evidence_of(symptom.symptom, cause.cause):
        evidence = inference.evidence
        if evidence and result.truth(inference.name, at if inference.axis else ""):
            odds *= evidence.factor
            (speaks_for if evidence.factor > 1 else against).append(evidence.because)
    return cause, odds, tuple(speaks_for), tuple(against)


def _tester_only(ruleset: Ruleset, result: EngineResult) -> tuple[TesterOnly, ...]:
    return tuple(
        only
        for system, file in ruleset.systems.items()
        for number, only in enumerate(file.tester_only)
        if result.truth(Key("tester", system, number=number).text) is not False
    )
