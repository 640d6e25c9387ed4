"""A consultation: everything that follows from a journal under a ruleset.

`consult` is a pure function. Undo, what-if, resume and replay are all "make another journal
and consult again", so they cannot differ from going forward.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from assistant.knowledge.evaluation import Reading, evaluate
from assistant.knowledge.fitting import misfit
from assistant.knowledge.journal import (
    Corrected,
    Entry,
    Mended,
    Said,
    State,
    TookBack,
    Worry,
    fold,
)
from assistant.knowledge.models import Cause, Rule, Symptom, TesterOnly, Urgency
from assistant.knowledge.ruleset import Inference, Ruleset, most_pressing
from assistant.reasoning.engine import Engine, EngineResult, EngineView, Firing, Supposed
from assistant.reasoning.facts import Readings

__all__ = [
    "CauseFound",
    "Consultation",
    "Finding",
    "FollowUp",
    "StoodDown",
    "SymptomFound",
    "TooCloseToTell",
    "Withdrawn",
    "consult",
    "engine_for",
]


@dataclass(frozen=True)
class Finding:
    """A rule that has fired and says something to the person."""

    rule: Rule
    at: str
    at_words: str
    urgency: Urgency
    firing: Firing
    close_to_limit: bool = False

    @property
    def item(self) -> str | None:
        return self.rule.finds.item if self.rule.finds else None

    @property
    def category(self) -> str | None:
        return self.rule.finds.category if self.rule.finds else None


@dataclass(frozen=True)
class FollowUp:
    """A question that a rule has opened."""

    question: str
    at: str
    rule: Rule
    rule_at: str
    now: bool


@dataclass(frozen=True)
class CauseFound:
    """A possible cause with its share of the odds and the evidence that moved it."""

    cause: Cause
    share: float
    speaks_for: tuple[str, ...]
    speaks_against: tuple[str, ...]
    weighed: bool = True

    @property
    def word(self) -> str:
        """In words; nothing is "most likely" by a starting weight alone."""
        if self.share >= MOST_LIKELY and self.weighed:
            return "most likely"
        return "possible" if self.share >= POSSIBLE else "unlikely"


MOST_LIKELY, POSSIBLE = 0.5, 0.15
"""The shares of the odds from which a cause is called so; ours, assumed."""


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
class TooCloseToTell:
    """A rule that one end of a rough reading would fire and the other end would not."""

    rule: Rule
    at: str
    at_words: str
    reading: str
    lo: float
    hi: float


@dataclass(frozen=True)
class Withdrawn:
    """A serious finding that went away because its own answer was changed, not disproved."""

    rule: Rule
    at: str
    at_words: str
    how: str
    words_before: str
    words_now: str


@dataclass(frozen=True)
class Consultation:
    """What follows from one journal. Nothing in it is stored; all of it can be made again.

    pending: what a rule wants to know at once and has not been told; until then the car should
    be looked at before it is driven. unplaced: worries that could be a danger and were said to be
    none of the symptoms offered. not_known, not_asked: of the car; what is asked at the end,
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

    def would_fail(self) -> tuple[Finding, ...]:
        """The findings whose category fails the inspection."""
        scale = self.ruleset.about.scale
        return tuple(f for f in self.findings if f.category and scale[f.category].fails)

    def view(self) -> EngineView:
        return EngineView(self.ruleset, self.readings, self.result.firings)

    def applies(self, question: str) -> bool | None:
        """Whether a question concerns this car: True, False, or None while that is open."""
        if self.ruleset.questions[question].applies is None:
            return True
        return self.result.truth(f"applies: {question}")

    def may_be_asked(self, question: str) -> bool:
        """Whether it concerns this car, as far as known, and nothing said makes it one to leave."""
        if self.applies(question) is False:
            return False
        name = f"not when: {question}"
        axis = self.ruleset.inferences[name].axis if name in self.ruleset.inferences else None
        return not any(self.result.truth(name, at) is True for at in self.ruleset.members(axis))

    def lacks(self, needs: list[str]) -> bool:
        """Whether something that a check needs is known not to be at hand."""
        kit = self.ruleset.about.kit
        if not needs or kit is None:
            return False
        reading = self.readings.reading(kit, "")
        return reading.state != "value" or not set(needs) <= (reading.picks or frozenset())


_ENGINES: dict[str, Engine] = {}


def engine_for(ruleset: Ruleset) -> Engine:
    """The compiled engine of a ruleset; compiled once and kept with it."""
    if ruleset.digest not in _ENGINES:
        _ENGINES.clear()
        _ENGINES[ruleset.digest] = Engine(ruleset)
    return _ENGINES[ruleset.digest]


def consult(ruleset: Ruleset, journal: Sequence[Entry]) -> Consultation:
    """Works out everything that follows from a journal. Pure: no clock, no file, no history."""
    state, misfits = _fitting(ruleset, fold(journal))
    readings, result = _infer(ruleset, state)
    findings = _findings(ruleset, readings, result)
    withdrawn = _withdrawn(ruleset, state, journal, findings)
    urgencies = [f.urgency for f in findings]
    too_close = _too_close(ruleset, readings, result)
    follow_ups = _follow_ups(ruleset, result)
    applies = _applies(ruleset, result)
    at_end = {n for n, q in ruleset.questions.items() if ruleset.places[q.place].stage == "end"}
    pending = tuple(
        f
        for f in follow_ups
        if f.now and (f.question, f.at) not in state.answers and applies[f.question] is not False
    )
    if pending or any(_is_danger(ruleset, t.rule.rule) for t in too_close):
        urgencies.append(Urgency.HAVE_LOOKED_AT)
    if withdrawn or any(_is_danger(ruleset, name) for name, _ in result.faults):
        urgencies.append(Urgency.HAVE_LOOKED_AT)
    if _unplaced(state):
        urgencies.append(Urgency.HAVE_LOOKED_AT)
    return Consultation(
        ruleset=ruleset,
        state=state,
        readings=readings,
        result=result,
        findings=findings,
        follow_ups=follow_ups,
        pending=pending,
        symptoms=_symptoms(ruleset, result),
        withdrawn=withdrawn,
        unplaced=_unplaced(state),
        stood_down=_stood_down(ruleset, result),
        too_close=too_close,
        not_known=tuple(
            s
            for s in state.answers.values()
            if s.answer.state in ("dont_know", "cant_look") and s.question not in at_end
        ),
        not_asked=tuple(
            (name, at)
            for name, at in ruleset.asked_items()
            if ruleset.questions[name].asked == "walk"
            and name not in at_end
            and applies[name] is not False
            and (name, at) not in state.answers
        ),
        tester_only=_tester_only(ruleset, result),
        urgency=most_pressing(urgencies),
        misfits=misfits,
    )


def _unplaced(state: State) -> tuple[Worry, ...]:
    """Worries whose words could mean a danger and that are none of what was offered."""
    return tuple(
        worry
        for worry in state.worries
        if worry.dangers and worry.turn in state.picked and not state.picked[worry.turn].symptom
    )


def _fitting(ruleset: Ruleset, state: State) -> tuple[State, tuple[tuple[Said, str], ...]]:
    """The state without answers that do not fit their questions, and those with the reason."""
    misfits = {
        key: (said, reason)
        for key, said in state.answers.items()
        if (reason := misfit(ruleset, *key, said.answer)) is not None
    }
    earlier = tuple(
        past
        for past in state.context.earlier
        if misfit(ruleset, past.question, past.at, past.answer) is None
    )
    mended = {k: m for k, m in state.mended.items() if k[0] in ruleset.questions}
    if misfits or len(earlier) != len(state.context.earlier) or len(mended) != len(state.mended):
        state = replace(
            state,
            context=state.context.model_copy(update={"earlier": earlier}),
            answers={k: s for k, s in state.answers.items() if k not in misfits},
            mended=mended,
        )
    return state, tuple(misfits.values())


def _infer(ruleset: Ruleset, state: State) -> tuple[Readings, EngineResult]:
    """First what concerns this car, from the answers about the car; then everything."""
    engine = engine_for(ruleset)
    readings = Readings(ruleset, state, _not_this_car(engine, state))
    return readings, engine.run(readings)


def _not_this_car(engine: Engine, state: State) -> frozenset[str]:
    """The questions that do not concern this car, by the rules that say so."""
    ruleset = engine.ruleset
    about_car = tuple(
        (key, said.answer) for key, said in state.answers.items() if key[0] in ruleset.of_the_car
    )

    def work_out() -> frozenset[str]:
        of_car = Readings(ruleset, state, ruleset.not_of_the_car, ruleset.worked_for_applies)
        first = engine.whom_it_concerns(of_car)
        return frozenset(n for n in ruleset.questions if first.truth(f"applies: {n}") is False)

    return engine.keep(("not this car", state.context.today, about_car), work_out)


def _applies(ruleset: Ruleset, result: EngineResult) -> dict[str, bool | None]:
    return {
        name: True if q.applies is None else result.truth(f"applies: {name}")
        for name, q in ruleset.questions.items()
    }


def _is_danger(ruleset: Ruleset, inference: str) -> bool:
    found = ruleset.inferences.get(inference)
    urgency = found.rule.urgency if found and found.rule else None
    return urgency is not None and urgency.rank <= Urgency.DO_NOT_DRIVE.rank


def _findings(ruleset: Ruleset, readings: Readings, result: EngineResult) -> tuple[Finding, ...]:
    found: list[Finding] = []
    for firing in result.firings.values():
        inference = ruleset.inferences[firing.inference]
        rule = inference.rule
        if rule is None or not firing.truth or not (rule.finds or rule.urgency):
            continue
        if any(_stands(ruleset, result, graver, firing.at) for graver in rule.gives_way_to):
            continue
        if any(_stands(ruleset, result, by, firing.at) for by in ruleset.lowered_by(rule.rule)):
            continue
        found.append(
            Finding(
                rule,
                firing.at,
                ruleset.at_words(rule.rule, firing.at),
                rule.urgency or Urgency.NOTHING,
                firing,
                _is_close(ruleset, readings, inference, firing),
            )
        )
    scale = list(ruleset.about.scale)
    found.sort(
        key=lambda f: (
            f.urgency.rank,
            scale.index(f.category) if f.category else len(scale),
            ruleset.inferences[f.rule.rule].order,
            ruleset.members(ruleset.inferences[f.rule.rule].axis).index(f.at),
        )
    )
    return tuple(found)


def _stood_down(ruleset: Ruleset, result: EngineResult) -> tuple[StoodDown, ...]:
    """The dangers that have fired and are lowered by what was directly seen."""
    return tuple(
        StoodDown(rule, firing.at, ruleset.at_words(rule.rule, firing.at), by_rule)
        for firing in result.firings.values()
        if firing.truth and (rule := ruleset.inferences[firing.inference].rule) is not None
        for by in ruleset.lowered_by(rule.rule)
        if _stands(ruleset, result, by, firing.at)
        and (by_rule := ruleset.inferences[by].rule) is not None
    )


def _stands(ruleset: Ruleset, result: EngineResult, rule: str, at: str) -> bool:
    """Whether a rule has fired at a part, or for the whole car, or somewhere if it has parts."""
    axis = ruleset.inferences[rule].axis
    parts = (at,) if at in ruleset.members(axis) else ruleset.members(axis)
    return any(result.truth(rule, part) is True for part in parts)


def _is_close(ruleset: Ruleset, readings: Readings, inference: Inference, firing: Firing) -> bool:
    """Whether a measuring error of the usual size could turn this finding over."""
    measured = [
        key
        for fact in firing.supports[0]
        for key in readings.behind(fact.name, fact.at)
        if ruleset.questions[key[0]].error
    ]
    if not measured:
        return False
    view = EngineView(ruleset, readings.with_errors(measured), {})
    return evaluate(inference.condition, view, firing.at) is None


def _too_close(
    ruleset: Ruleset, readings: Readings, result: EngineResult
) -> tuple[TooCloseToTell, ...]:
    """Findings that hang on where in its range a rough reading really is."""
    rough = {
        key: reading
        for key, reading in readings.table.items()
        if reading.lo is not None and reading.lo != reading.hi
    }
    found: dict[tuple[str, str, str], TooCloseToTell] = {}
    for (name, part), reading in rough.items() if rough else ():
        for user in ruleset.used_by.get(name, ()):
            inference = ruleset.inferences[user]
            rule = inference.rule
            if rule is None or not (rule.finds or rule.urgency):
                continue
            for at in (part,) if inference.axis and part else ruleset.members(inference.axis):
                if result.truth(user, at) is not None:
                    continue
                ends = [Reading("value", lo=v, hi=v) for v in (reading.lo, reading.hi)]
                views = [
                    EngineView(ruleset, readings.changed({(name, part): end}), result.firings)
                    for end in ends
                ]
                if any(evaluate(inference.condition, view, at) is True for view in views):
                    words = ruleset.at_words(user, at)
                    assert reading.lo is not None and reading.hi is not None
                    close = TooCloseToTell(rule, at, words, name, reading.lo, reading.hi)
                    found[(user, at, name)] = close
    return tuple(found.values())


def _follow_ups(ruleset: Ruleset, result: EngineResult) -> tuple[FollowUp, ...]:
    found: dict[tuple[str, str], FollowUp] = {}
    for firing in result.firings.values():
        rule = ruleset.inferences[firing.inference].rule
        if rule is None or rule.asks is None or not firing.truth:
            continue
        axis = ruleset.inferences[firing.inference].axis
        for name in rule.asks.questions:
            for at in ruleset.related(axis, firing.at, ruleset.questions[name].each):
                old = found.get((name, at))
                if old is None or (rule.asks.now and not old.now):
                    found[(name, at)] = FollowUp(name, at, rule, firing.at, rule.asks.now)
    return tuple(found.values())


def _symptoms(ruleset: Ruleset, result: EngineResult) -> tuple[SymptomFound, ...]:
    found: list[SymptomFound] = []
    for firing in result.firings.values():
        inference = ruleset.inferences[firing.inference]
        if inference.role != "symptom" or inference.symptom is None or not firing.truth:
            continue
        symptom = inference.symptom
        weighed = [_weigh(ruleset, result, symptom, cause, firing.at) for cause in symptom.causes]
        total = sum(odds for _, odds, _, _ in weighed)
        moved = any(speaks_for or against for _, _, speaks_for, against in weighed)
        causes = [
            CauseFound(cause, odds / total, speaks_for, against, moved)
            for cause, odds, speaks_for, against in weighed
        ]
        causes.sort(key=lambda c: -c.share)
        axis = inference.axis
        words = ruleset.member(axis, firing.at).say if axis else ""
        found.append(SymptomFound(symptom, firing.at, words, tuple(causes)))
    return tuple(found)


def _weigh(
    ruleset: Ruleset, result: EngineResult, symptom: Symptom, cause: Cause, at: str
) -> tuple[Cause, float, tuple[str, ...], tuple[str, ...]]:
    """Starting weight times the factor of each piece of evidence that holds."""
    odds = cause.weight
    speaks_for: list[str] = []
    against: list[str] = []
    for index, evidence in enumerate(cause.evidence):
        name = f"evidence: {symptom.symptom}/{cause.cause}/{index}"
        axis = ruleset.inferences[name].axis
        if result.truth(name, at if axis else ""):
            odds *= evidence.factor
            (speaks_for if evidence.factor > 1 else against).append(evidence.because)
    return cause, odds, tuple(speaks_for), tuple(against)


def _tester_only(ruleset: Ruleset, result: EngineResult) -> tuple[TesterOnly, ...]:
    return tuple(
        only
        for system, file in ruleset.systems.items()
        for index, only in enumerate(file.tester_only)
        if only.applies is None or result.truth(f"tester: {system}/{index}") is not False
    )


def _withdrawn(
    ruleset: Ruleset, state: State, journal: Sequence[Entry], now: tuple[Finding, ...]
) -> tuple[Withdrawn, ...]:
    """Serious findings that stood once and are gone because an answer was changed.

    Each correction, repair or step back is compared with what stood just before it. A finding
    that comes back later is not withdrawn.
    """
    found: dict[tuple[str, str], Withdrawn] = {}
    present = {(f.rule.rule, f.at) for f in now}
    said: set[tuple[str, str]] = set()
    for index, entry in enumerate(journal):
        again = isinstance(entry, Said) and (entry.question, entry.at) in said
        if isinstance(entry, Said):
            said.add((entry.question, entry.at))
        if not again and not isinstance(entry, Corrected | Mended | TookBack):
            continue
        before = _dangers(ruleset, journal[:index])
        if not before:
            continue
        after = _dangers(ruleset, journal[: index + 1])
        how = {"mended": "said to be repaired", "took_back": "taken back"}.get(
            entry.kind, "answered differently later"
        )
        for key, finding in before.items():
            if key not in after and key not in present:
                old = _words_changed(entry, journal[:index])
                new = getattr(entry, "words", "")
                found[key] = Withdrawn(finding.rule, finding.at, finding.at_words, how, old, new)
    found.update(_not_of_this_car(ruleset, state, journal, present))
    return tuple(found.values())


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
    found: dict[tuple[str, str], Withdrawn] = {}
    for entry in late:
        rest = [e for e in journal if e is not entry]
        if not _more_may_stand(ruleset, state, rest, present):
            continue
        for key, finding in _dangers(ruleset, rest).items():
            if key not in present:
                how = "what was said of the car later does not go with it"
                words = f"{ruleset.questions[entry.question].label}: {entry.words}"
                found[key] = Withdrawn(finding.rule, finding.at, finding.at_words, how, "", words)
    return found


def _more_may_stand(
    ruleset: Ruleset, state: State, rest: Sequence[Entry], present: set[tuple[str, str]]
) -> bool:
    """Whether a serious finding could stand by `rest` and not by all, by a plain reading.

    Without an answer no more can follow, unless it counts others again: those to questions that
    do not concern this car by it.
    """
    out = _not_this_car(engine_for(ruleset), state)
    not_counting = {name for name, _ in state.answers if name in out}
    if not any(ruleset.dangers_on(name) for name in not_counting):
        return False
    less = _fitting(ruleset, fold(rest))[0]
    car = Readings(ruleset, less, ruleset.not_of_the_car, ruleset.worked_for_applies)
    whom = Supposed(ruleset, car)
    back = {n for n in not_counting if whom.concluded(f"applies: {n}", "") is not False}
    rules = {rule for name in back for rule in ruleset.dangers_on(name)}
    if not rules:
        return False
    view = Supposed(ruleset, Readings(ruleset, less, out - back))
    return any(
        (rule, at) not in present and view.concluded(rule, at) is True
        for rule in sorted(rules)
        for at in ruleset.members(ruleset.inferences[rule].axis)
    )


def _dangers(ruleset: Ruleset, journal: Sequence[Entry]) -> dict[tuple[str, str], Finding]:
    """The serious findings of a journal; kept, since each answer asks it of the same beginnings."""
    state = _fitting(ruleset, fold(journal))[0]

    def work_out() -> dict[tuple[str, str], Finding]:
        return {
            (f.rule.rule, f.at): f
            for f in _findings(ruleset, *_infer(ruleset, state))
            if f.urgency.rank <= Urgency.DO_NOT_DRIVE.rank
        }

    answers = tuple((key, said.answer) for key, said in state.answers.items())
    key = ("dangers", state.context.today, state.context.earlier, answers)
    return engine_for(ruleset).keep(key, work_out)


def _words_changed(entry: Entry, before: Sequence[Entry]) -> str:
    """What the person had said before an entry changed it."""
    if isinstance(entry, TookBack):
        words = [e.words for e in before if isinstance(e, Said) and e.turn == entry.of]
        return "; ".join(dict.fromkeys(words))
    if isinstance(entry, Said | Mended):
        old = fold(before).answers.get((entry.question, entry.at))
        return old.words if old else ""
    return ""
