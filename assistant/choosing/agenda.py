"""What to ask next, and why that and nothing else.

Where a danger is such that nothing more may be asked, that is all there is, until the person says
that somebody has dealt with it. Else the order is: what words that could mean a danger ask first;
the car; what a rule wants to know at once; the check that decides about what the person told of;
the questions about recent drives; then the walk, stop by stop as the ruleset lists them and never
back, but for a place the person has asked for; then what is asked at the end. At a stop: what a
rule has opened there, and readings of an earlier day that are to be confirmed, then the rest in the
order of the ruleset. Where a time was named each place is visited once, in the order of its first
stop.
What a standing danger forbids is not asked, or asked in its safe form. Nothing is ever dropped:
what is not asked stays on the list of what was not asked.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from assistant.choosing.next_check import Deciding, next_check, told_symptoms
from assistant.choosing.plan import plan_for, time_for
from assistant.journal.entries import Worry
from assistant.reasoning.consultation import Consultation, FollowUp
from assistant.reasoning.hazards import StandingHazard
from assistant.ruleset.about_file import Stop
from assistant.ruleset.condition import leaves
from assistant.ruleset.grammar import placed, upper
from assistant.ruleset.minutes import minutes_for
from assistant.ruleset.models import Group, Question, Safely
from assistant.ruleset.ruleset import Ruleset
from assistant.ruleset.words import in_short


@dataclass(frozen=True)
class Prompt:
    """One thing to ask: a question at one part, or a group with the items it shows.

    why: "waits" (a danger somebody has to deal with first; without items), "triage", "worry" (which
    symptom is meant; then without items), "car", "at once", "deciding", "recent drives", "again" (a
    reading of an earlier day), "opened here", "safety", "walk", "end".
    deciding: for a check that decides about a symptom, which, and to what end.
    minutes: to read it, to look and to type. worth: chance that it fails and is seen; from starting
    guesses. stop: the one of the walk at which it is asked, if it is in one. safely: its safe form,
    where a danger forbids the usual one. hazard: the one that "waits". worded: what is asked, where
    its words are those for this car.
    """

    question: str | None
    at: str
    group: str | None
    items: tuple[tuple[str, str], ...]
    place: str
    why: str
    minutes: float
    worth: float
    stop: Stop | None = None
    follow_up: FollowUp | None = None
    deciding: Deciding | None = None
    worry: Worry | None = None
    safely: Safely | None = None
    hazard: StandingHazard | None = None
    worded: Question | Group | None = None

    @property
    def round(self) -> int:
        """The round of the walk, 0 for what is in none."""
        return self.stop.round if self.stop else 0

    @property
    def key(self) -> str:
        """A stable name: question, question@part, group@place, which worry or hazard."""
        if self.hazard:
            return f"waits {self.hazard.name}"
        if self.worry:
            return f"worry {self.worry.turn}"
        if self.group:
            return group_text(self.group, self.place)
        return f"{self.question}@{self.at}" if self.at else str(self.question)

    def asks(self, ruleset: Ruleset) -> Question | Group:
        """The single question, or the group, in the words for this car."""
        if self.group and not self.worded:
            return ruleset.groups[self.group]
        return self.worded or self.one(ruleset)

    def one(self, ruleset: Ruleset) -> Question:
        """The single question, in the words for this car."""
        if isinstance(self.worded, Question):
            return self.worded
        return ruleset.questions[str(self.question)]

    def arrive(self, ruleset: Ruleset) -> str | None:
        """How to get there: the words of its stop, else those of the place."""
        return (self.stop.arrive if self.stop else None) or ruleset.places[self.place].arrive

    def words(self, ruleset: Ruleset, ask: str | None = None) -> str:
        """What is asked, with the part it is about. ask: other words for it."""
        where = "" if self.group else ruleset.at_words(str(self.question), self.at)
        return placed(upper(where), ask or self.asks(ruleset).ask)


def group_text(group: str, place: str) -> str:
    """A group at a place as the journal names it; made here only, and never read back."""
    return f"{group}@{place}"


def asked_words(ruleset: Ruleset, prompt: Prompt) -> str:
    """A prompt in one sentence, with the part it is about."""
    if prompt.hazard is not None:
        return "Nothing more is asked until somebody has dealt with it."
    if prompt.worry is not None:
        return f"You said: {in_short(prompt.worry.words)}. Which of these comes nearest?"
    return prompt.words(ruleset)


@dataclass(frozen=True)
class Agenda:
    """All that is left to ask, in order, and what is left out for want of time.

    place: where the walk has got to. minutes: for all that is left, ways and all. budget: minutes
    that are left of a named time, or None.
    forbidden: the checks that a standing danger forbids.
    """

    prompts: tuple[Prompt, ...]
    place: str | None
    minutes: float = 0.0
    left_out: tuple[Prompt, ...] = ()
    budget: float | None = None
    forbidden: tuple[tuple[str, str], ...] = ()

    @property
    def next(self) -> Prompt | None:
        return self.prompts[0] if self.prompts else None


def agenda(consultation: Consultation) -> Agenda:
    """The agenda of a consultation; a pure function of it."""
    rs = consultation.ruleset
    reached = _reached(consultation)
    here = rs.stops[reached].place if reached >= 0 else None
    asked, forbidden = _open_prompts(consultation)
    waiting = consultation.hazards.waiting
    if waiting is not None:
        place = here or rs.about.walk[0].place
        prompt = Prompt(None, "", None, (), place, "waits", 0.0, 0.0, hazard=waiting)
        return Agenda((prompt,), here, 0.0, tuple(asked), forbidden=tuple(forbidden))
    prompts = asked + _picks(consultation)
    first = list(asked_first(consultation))
    state = consultation.state
    timed = state.planned is not None and state.planned.minutes is not None
    prompts.sort(key=lambda p: _order(rs, p, reached, first, timed, state.wanted))
    plan = plan_for(rs, state, prompts, here)
    minutes = time_for(rs, plan.kept, here)
    return Agenda(plan.kept, here, minutes, plan.left_out, plan.budget, tuple(forbidden))


def _reached(consultation: Consultation) -> int:
    """The furthest stop of the walk at which a question has been answered; -1 before the first.

    What a rule opened out of turn does not count.
    """
    rs = consultation.ruleset
    opened = {(f.question, f.at) for f in consultation.follow_ups}
    keys = (key for key in consultation.state.answers if key[0] in rs.questions)
    stops = (rs.asked_at(*key) for key in keys if key not in opened)
    return max((stop[0] for stop in stops if stop is not None), default=-1)


def _open_prompts(consultation: Consultation) -> tuple[list[Prompt], list[tuple[str, str]]]:
    """What there is to ask, in no order, and the checks that a standing danger forbids."""
    rs = consultation.ruleset
    follow_ups = {(f.question, f.at): f for f in consultation.follow_ups}
    groups: dict[tuple[str, str], list[tuple[str, str]]] = {}
    prompts: list[Prompt] = []
    begun = {s.group for s in consultation.state.answers.values() if s.group}
    begun |= consultation.state.opened
    first = asked_first(consultation)
    answers = consultation.state.answers
    forbidden: list[tuple[str, str]] = []
    told = (next_check(consultation, found) for found in told_symptoms(consultation))
    checks = {(check.question, check.at): check for check in reversed([*told]) if check}
    asked_now = ((name, at) for name in first for at in rs.members(rs.questions[name].each))
    wanted = (*rs.always_asked, *follow_ups, *consultation.state.mended, *asked_now, *checks)
    for name, at in rs.in_order(wanted):
        question = rs.questions[name]
        said = answers.get((name, at))
        later = said is not None and said.turn <= first.get(name, -1)
        again = question.ages and consultation.state.of_an_earlier_day((name, at))
        if said is not None and not later and not (again and said.answer.state == "value"):
            continue
        follow_up = follow_ups.get((name, at))
        mended = (name, at) in consultation.state.mended
        if consultation.applies(name) is False:
            continue
        form = consultation.form_of(name, at)
        if form is False:
            forbidden.append((name, at))
            continue
        if name in first and (said is None or later):
            single = _single(rs, name, at, None, False)
            prompts.append(replace(single, why="triage", safely=_safe(form)))
            continue
        if said is not None:
            single = _single(rs, name, at, None, False)
            prompts.append(replace(single, why="again", safely=_safe(form)))
            continue
        check = None if mended or (follow_up and follow_up.now) else checks.get((name, at))
        if check is not None or form is not True:
            single = _single(rs, name, at, follow_up, False, mended)
            why = "deciding" if check else single.why
            prompts.append(replace(single, why=why, deciding=check, safely=_safe(form)))
            continue
        group = (question.group, rs.place_of(name, at)) if question.group else None
        named = group is not None and group_text(*group) in begun
        if mended:
            prompts.append(_single(rs, name, at, follow_up, True, mended))
        elif group and not named and not (follow_up and follow_up.now):
            groups.setdefault(group, []).append((name, at))
        else:
            prompts.append(_single(rs, name, at, follow_up, named))
    for (name, place), items in groups.items():
        if len(items) == 1:
            prompts.append(_single(rs, *items[0], follow_ups.get(items[0]), False))
        else:
            prompts.append(_grouped(rs, name, place, items))
    return [_for_this_car(consultation, prompt) for prompt in prompts], forbidden


def _for_this_car(consultation: Consultation, prompt: Prompt) -> Prompt:
    """A prompt in the words for this car."""
    rs, worded = consultation.ruleset, consultation.worded(prompt.group, prompt.question)
    if worded is prompt.asks(rs):
        return prompt
    return replace(prompt, worded=worded, minutes=minutes_for(rs, prompt.items, worded))


def _safe(form: Safely | bool) -> Safely | None:
    return form if isinstance(form, Safely) else None


def asked_first(consultation: Consultation) -> dict[str, int]:
    """The questions asked first because of what worries the person, with the turn it was told.

    Those that settle a told danger that stands, in the order in which they do; and those of words
    that only might mean one, where no danger was told by them too.
    """
    words = consultation.ruleset.words
    found: dict[str, int] = {}
    for one in consultation.told:
        found |= dict.fromkeys(one.danger.ask, one.worry.turn)
    for worry in consultation.state.worries:
        if words is None or any(name in words.dangers for name in worry.dangers):
            continue
        for asked in (asked for name in worry.dangers for asked in words.asks_of(name)):
            found[asked] = max(found.get(asked, -1), worry.turn)
    return found


def _picks(consultation: Consultation) -> list[Prompt]:
    """For each worry that is not placed yet: which of the offered symptoms it is."""
    rs = consultation.ruleset
    if rs.about.worry is None:
        return []
    place = rs.questions[rs.about.worry].place
    return [
        Prompt(None, "", None, (), place, "worry", 0.2, 0.0, worry=worry)
        for worry in consultation.state.open_worries()
    ]


def _single(
    rs: Ruleset, name: str, at: str, follow_up: FollowUp | None, named: bool, mended: bool = False
) -> Prompt:
    question = rs.questions[name]
    place = rs.place_of(name, at)
    stage = rs.places[place].stage
    if mended or (follow_up is not None and follow_up.now):
        why = "at once"
    elif stage == "start":
        why = "car"
    elif stage == "triage" and rs.asked_at(name, at) is None:
        why = "recent drives"
    elif stage == "end":
        why = "end"
    elif named or (follow_up is not None and not _by_the_car(rs, follow_up)):
        why = "opened here"
    else:
        why = "safety" if question.safety else "walk"
    items = ((name, at),)
    return Prompt(
        name, at, None, items, place, why, minutes_for(rs, items, question), expected(rs, items)[1],
        rs.stop_at(name, at), follow_up,
    )  # fmt: skip


def _by_the_car(rs: Ruleset, follow_up: FollowUp) -> bool:
    """Whether a question is opened by what car it is, and so no less left out than any other."""
    read = {test.name for test in leaves(rs.inferences[follow_up.rule.rule].condition)}
    return not read.isdisjoint(rs.of_the_car - {rs.about.kit})


def _grouped(rs: Ruleset, name: str, place: str, items: list[tuple[str, str]]) -> Prompt:
    group = rs.groups[name]
    stage = rs.places[place].stage
    safety = group.safety or any(rs.questions[q].safety for q, _ in items)
    known = {"start": "car", "triage": "recent drives", "end": "end"}
    why = known.get(stage, "safety" if safety else "walk")
    return Prompt(
        None, "", name, tuple(items), place, why, minutes_for(rs, items, group),
        expected(rs, items)[1], rs.stop_at(*items[0]),
    )  # fmt: skip


def expected(rs: Ruleset, items: Iterable[tuple[str, str]]) -> tuple[float, float]:
    """Expected failures of some items: those that are there, and those an owner would see.

    A question's guess is shared among the parts that it is asked of.
    """
    fails = seen = 0.0
    for name, _ in items:
        question = rs.questions[name]
        if question.prior is not None:
            share = question.prior.fails / len(rs.members(question.each))
            fails += share
            seen += share * question.prior.sees
    return fails, seen


_WHY_ORDER = {
    "waits": 0, "triage": 0, "worry": 1, "car": 2, "at once": 3, "deciding": 4, "recent drives": 5,
    "again": 6, "opened here": 6, "safety": 6, "walk": 6, "end": 7,
}  # fmt: skip


def _order(
    rs: Ruleset,
    prompt: Prompt,
    reached: int,
    asked_first: list[str],
    timed: bool,
    wanted: frozenset[str],
) -> tuple[int, ...]:
    """Where a prompt comes: its kind, then its stop, then its rank there."""
    position = rs.question_order[prompt.items[0][0]] if prompt.items else 0
    if prompt.why == "triage":
        position = asked_first.index(str(prompt.question))
    first = _WHY_ORDER[prompt.why]
    if first != _WHY_ORDER["walk"]:
        return (first, position)
    stop, rank = _stop(rs, prompt, reached)
    behind = 1 if stop < reached else 0
    if timed:
        stop, behind = next(iter(_visits(rs, prompt.place)), 0), 0
    later = 0 if prompt.place in wanted else 1
    return (first, later, behind, stop, 1 if prompt.why in ("safety", "walk") else 0, rank)


def _stop(rs: Ruleset, prompt: Prompt, reached: int) -> tuple[int, int]:
    """The stop and the rank there; what is in no stop comes at the next visit to its place."""
    found = rs.asked_at(*prompt.items[0])
    if found is not None and (found[0] >= reached or prompt.why in ("safety", "walk")):
        return found
    rank = rs.question_order[prompt.items[0][0]]
    visits = _visits(rs, prompt.place)
    return next((n for n in visits if n >= reached), visits[-1] if visits else 0), rank


def _visits(rs: Ruleset, place: str) -> list[int]:
    """The stops at a place."""
    return [number for number, stop in enumerate(rs.stops) if stop.place == place]
