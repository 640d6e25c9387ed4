"""What to ask next, and why that and nothing else.

Where a danger is such that nothing more may be asked, that is all there is, until the person says
that somebody has dealt with it. Else the order is: what words that could mean a danger ask first;
the car; what a rule wants to know at once; the check that decides about what the person told of;
the questions about recent drives; then the walk, place by place and never back; then what is asked
at the end. Inside a place: what a rule has opened there, and readings of an earlier day that are
to be confirmed, then the safety set, then value for time (how likely it fails and is seen, by the
minute).
What a standing danger forbids is not asked, or asked in its safe form. Nothing is ever dropped:
what is not asked stays on the list of what was not asked.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from assistant.choosing.next_check import Deciding, next_check, told_symptoms
from assistant.choosing.plan import plan_for, time_for
from assistant.journal.entries import Worry
from assistant.reasoning.consultation import Consultation, FollowUp
from assistant.reasoning.hazards import StandingHazard
from assistant.ruleset.grammar import placed, upper
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
    value: chance that it fails and is seen, per minute; from starting guesses. safely: its safe
    form, where a danger forbids the usual one. hazard: the one that "waits".
    """

    question: str | None
    at: str
    group: str | None
    items: tuple[tuple[str, str], ...]
    place: str
    why: str
    minutes: float
    value: float
    follow_up: FollowUp | None = None
    deciding: Deciding | None = None
    worry: Worry | None = None
    safely: Safely | None = None
    hazard: StandingHazard | None = None

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
        """The single question, or the group."""
        if self.group:
            return ruleset.groups[self.group]
        return ruleset.questions[str(self.question)]

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

    place: where the walk has got to. budget: minutes that are left of a named time, or None.
    forbidden: the checks that a standing danger forbids.
    """

    prompts: tuple[Prompt, ...]
    place: str | None
    left_out: tuple[Prompt, ...] = ()
    budget: float | None = None
    forbidden: tuple[tuple[str, str], ...] = ()

    @property
    def next(self) -> Prompt | None:
        return self.prompts[0] if self.prompts else None

    def minutes_left(self) -> float:
        """Minutes for all that is left, with a minute of walking for each further place."""
        return time_for(self.prompts, self.place)


def agenda(consultation: Consultation) -> Agenda:
    """The agenda of a consultation; a pure function of it."""
    rs = consultation.ruleset
    reached = _reached(consultation)
    here = rs.about.walk[reached].place if reached >= 0 else None
    asked, forbidden = _open_prompts(consultation)
    waiting = consultation.hazards.waiting
    if waiting is not None:
        place = here or rs.about.walk[0].place
        prompt = Prompt(None, "", None, (), place, "waits", 0.0, 0.0, hazard=waiting)
        return Agenda((prompt,), here, tuple(asked), forbidden=tuple(forbidden))
    prompts = asked + _picks(consultation)
    first = list(asked_first(consultation))
    prompts.sort(key=lambda p: _order(rs, p, reached, first))
    plan = plan_for(rs, consultation.state, prompts, here)
    return Agenda(plan.kept, here, plan.left_out, plan.budget, tuple(forbidden))


def _reached(consultation: Consultation) -> int:
    """The furthest stop on the walk at which a walk question has been answered."""
    rs = consultation.ruleset
    opened = {(f.question, f.at) for f in consultation.follow_ups}
    reached = -1
    for key in consultation.state.answers:
        question = rs.questions.get(key[0])
        if question is None or question.asked != "walk" or key in opened:
            continue
        place = rs.place_of(*key)
        if rs.places[place].stage != "end":
            reached = max(reached, rs.walk_order[place])
    return reached


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
    return prompts, forbidden


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
    elif stage == "triage":
        why = "recent drives"
    elif stage == "end":
        why = "end"
    elif follow_up is not None or named:
        why = "opened here"
    else:
        why = "safety" if question.safety else "walk"
    value = _worth(question) / question.minutes
    return Prompt(name, at, None, ((name, at),), place, why, question.minutes, value, follow_up)


def _grouped(rs: Ruleset, name: str, place: str, items: list[tuple[str, str]]) -> Prompt:
    group = rs.groups[name]
    stage = rs.places[place].stage
    safety = group.safety or any(rs.questions[q].safety for q, _ in items)
    known = {"start": "car", "triage": "recent drives", "end": "end"}
    why = known.get(stage, "safety" if safety else "walk")
    worth = sum(_worth(rs.questions[q]) for q in dict.fromkeys(q for q, _ in items))
    return Prompt(None, "", name, tuple(items), place, why, group.minutes, worth / group.minutes)


def _worth(question: Question) -> float:
    return question.prior.fails * question.prior.sees if question.prior else 0.0


_WHY_ORDER = {
    "waits": 0, "triage": 0, "worry": 1, "car": 2, "at once": 3, "deciding": 4, "recent drives": 5,
    "again": 6, "opened here": 6, "safety": 6, "walk": 6, "end": 7,
}  # fmt: skip
_INSIDE = {"again": 0, "opened here": 0, "safety": 1, "walk": 2}


def _order(
    rs: Ruleset, prompt: Prompt, reached: int, asked_first: list[str]
) -> tuple[int, int, int, int, float, int]:
    position = rs.question_order[prompt.items[0][0]] if prompt.items else 0
    if prompt.why == "triage":
        position = asked_first.index(str(prompt.question))
    first = _WHY_ORDER[prompt.why]
    if first != _WHY_ORDER["walk"]:
        return (first, 0, 0, 0, 0.0, position)
    stop = rs.walk_order[prompt.place]
    behind = 1 if stop < reached else 0
    return (first, behind, stop, _INSIDE[prompt.why], -prompt.value, position)
