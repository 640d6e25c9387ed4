"""What to ask next, and why that and nothing else.

The order is: what words that could mean a danger ask first; the car; what a rule wants to know at
once; the check that decides about what the person told of; the questions about recent drives; then
the walk, place by place and never back; then what is asked at the end. Inside a place: what
a rule has opened there, then the safety set, then value for time (how likely it fails and is
seen, by the minute).
Nothing is ever dropped: what is not asked stays on the list of what was not asked.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from assistant.knowledge.journal import Worry
from assistant.knowledge.models import Group, Question
from assistant.knowledge.ruleset import Ruleset
from assistant.reasoning.consultation import Consultation, FollowUp
from assistant.reasoning.deciding import Deciding, next_check, told_symptoms
from assistant.reasoning.plan import plan_for, time_for

__all__ = ["Agenda", "Prompt", "agenda"]


@dataclass(frozen=True)
class Prompt:
    """One thing to ask: a question at one part, or a group with the items it shows.

    why: "triage", "worry" (which symptom is meant; then without items), "car", "at once",
    "deciding", "recent drives", "opened here", "safety", "walk", "end".
    deciding: for a check that decides about a symptom, which, and to what end.
    value: chance that it fails and is seen, per minute; from starting guesses.
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

    @property
    def key(self) -> str:
        """A stable name: question, question@part, the group's name, or which worry."""
        if self.worry:
            return f"worry {self.worry.turn}"
        if self.group:
            return self.group
        return f"{self.question}@{self.at}" if self.at else str(self.question)


@dataclass(frozen=True)
class Agenda:
    """All that is left to ask, in order, and what is left out for want of time.

    place: where the walk has got to. budget: minutes that are left of a named time, or None.
    """

    prompts: tuple[Prompt, ...]
    place: str | None
    left_out: tuple[Prompt, ...] = ()
    budget: float | None = None

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
    prompts = _with_deciding(consultation, _open_prompts(consultation))
    prompts += _picks(consultation)
    prompts.sort(key=lambda p: _order(rs, p, reached))
    here = rs.about.walk[reached].place if reached >= 0 else None
    plan = plan_for(rs, consultation.state, prompts, here)
    return Agenda(plan.kept, here, plan.left_out, plan.budget)


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


def _open_prompts(consultation: Consultation) -> list[Prompt]:
    rs = consultation.ruleset
    follow_ups = {(f.question, f.at): f for f in consultation.follow_ups}
    groups: dict[str, list[tuple[str, str]]] = {}
    prompts: list[Prompt] = []
    begun = {s.group for s in consultation.state.answers.values() if s.group}
    begun |= consultation.state.opened
    first = asked_first(consultation)
    answers = consultation.state.answers
    for name, at in rs.asked_items():
        if (name, at) in answers:
            continue
        question = rs.questions[name]
        follow_up = follow_ups.get((name, at))
        mended = (name, at) in consultation.state.mended
        wanted = question.asked == "walk" or name in first or follow_up is not None or mended
        if not wanted or not consultation.may_be_asked(name):
            continue
        if name in first:
            prompts.append(replace(_single(rs, name, at, None, False), why="triage"))
            continue
        group = f"{question.group}@{rs.place_of(name, at)}" if question.group else ""
        if mended:
            prompts.append(_single(rs, name, at, follow_up, True, mended))
        elif group and group not in begun and not (follow_up and follow_up.now):
            groups.setdefault(group, []).append((name, at))
        else:
            prompts.append(_single(rs, name, at, follow_up, group in begun))
    for group, items in groups.items():
        if len(items) == 1:
            prompts.append(_single(rs, *items[0], follow_ups.get(items[0]), False))
        else:
            prompts.append(_grouped(rs, group, items))
    return prompts


def asked_first(consultation: Consultation) -> frozenset[str]:
    """The questions asked first because what worries the person could be a danger."""
    words = consultation.ruleset.words
    return frozenset(
        name
        for worry in consultation.state.worries
        for danger in worry.dangers
        if words is not None
        for name in words.asks_of(danger)
    )


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


def _with_deciding(consultation: Consultation, prompts: list[Prompt]) -> list[Prompt]:
    """Moves up, or adds, the check that decides most about each thing the person told of."""
    for found in told_symptoms(consultation):
        check = next_check(consultation, found)
        if check is None:
            continue
        item = (check.question, check.at)
        there = next((p for p in prompts if item in p.items), None)
        if there is not None and there.why in ("triage", "at once", "deciding"):
            continue
        prompts = [p for p in prompts if p is not there]
        if there is None:
            there = _single(consultation.ruleset, *item, None, False)
        prompts.append(replace(there, why="deciding", deciding=check))
    return prompts


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


def _grouped(rs: Ruleset, key: str, items: list[tuple[str, str]]) -> Prompt:
    name, _, place = key.partition("@")
    group: Group = rs.groups[name]
    stage = rs.places[place].stage
    safety = group.safety or any(rs.questions[q].safety for q, _ in items)
    known = {"start": "car", "triage": "recent drives", "end": "end"}
    why = known.get(stage, "safety" if safety else "walk")
    worth = sum(_worth(rs.questions[q]) for q in dict.fromkeys(q for q, _ in items))
    return Prompt(None, "", key, tuple(items), place, why, group.minutes, worth / group.minutes)


def _worth(question: Question) -> float:
    return question.prior.fails * question.prior.sees if question.prior else 0.0


_WHY_ORDER = {
    "triage": 0, "worry": 1, "car": 2, "at once": 3, "deciding": 4, "recent drives": 5,
    "opened here": 6, "safety": 6, "walk": 6, "end": 7,
}  # fmt: skip
_INSIDE = {"opened here": 0, "safety": 1, "walk": 2}


def _order(rs: Ruleset, prompt: Prompt, reached: int) -> tuple[int, int, int, int, float, int]:
    position = rs.question_order[prompt.items[0][0]] if prompt.items else 0
    first = _WHY_ORDER[prompt.why]
    if first != _WHY_ORDER["walk"]:
        return (first, 0, 0, 0, 0.0, position)
    stop = rs.walk_order[prompt.place]
    behind = 1 if stop < reached else 0
    return (first, behind, stop, _INSIDE[prompt.why], -prompt.value, position)
