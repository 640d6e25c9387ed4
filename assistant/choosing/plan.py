"""The plan for the time there is: which checks are made, and which are left out.

What is always asked stays: the car, dangers, recent drives, what was opened, the safety set. Of
the rest whole places are taken, by trying every set of places and keeping the one in which most
expected failures would be seen in the time. What time is then left goes to single checks at
places that are visited anyway, best value for time first.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import TYPE_CHECKING

from assistant.journal.entries import State
from assistant.ruleset.ruleset import Ruleset

if TYPE_CHECKING:
    from assistant.choosing.agenda import Prompt


WALKING = 1.0
"""Minutes to go to the next place; assumed."""


@dataclass(frozen=True)
class Plan:
    """Which prompts are kept and left out, in agenda order; budget: minutes still to go."""

    kept: tuple[Prompt, ...]
    left_out: tuple[Prompt, ...]
    budget: float | None


def minutes_spent(ruleset: Ruleset, state: State) -> float:
    """Minutes of the checks answered since the time was named; no clock is read."""
    if state.planned is None:
        return 0.0
    spent: dict[object, float] = {}
    for (name, at), said in state.answers.items():
        question = ruleset.questions.get(name)
        if said.turn <= state.planned.turn or question is None:
            continue
        if said.group:
            group = ruleset.groups.get(question.group or "")
            spent[said.turn, said.group] = group.minutes if group else 0.0
        else:
            spent[said.turn, name, at] = question.minutes
    return sum(spent.values())


def time_for(prompts: Sequence[Prompt], here: str | None) -> float:
    """Minutes for prompts, with the way to each place but the one we are at.

    What comes after the walk does not count.
    """
    prompts = [p for p in prompts if p.why != "end"]
    places = {p.place for p in prompts} - {here}
    return sum(p.minutes for p in prompts) + WALKING * len(places)


def plan_for(ruleset: Ruleset, state: State, prompts: Sequence[Prompt], here: str | None) -> Plan:
    """Fits the prompts into the time that was named, if any was."""
    if state.planned is None or state.planned.minutes is None:
        return Plan(tuple(prompts), (), None)
    budget = max(0.0, state.planned.minutes - minutes_spent(ruleset, state))
    always = [p for p in prompts if p.why != "walk"]
    rest = [p for p in prompts if p.why == "walk"]
    chosen = _best_places(always, rest, here, budget)
    kept = always + [p for p in rest if p.place in chosen]
    visited = {p.place for p in kept} | {here}
    for prompt in sorted((p for p in rest if p.place not in chosen), key=lambda p: -p.value):
        if prompt.place in visited and time_for([*kept, prompt], here) <= budget:
            kept.append(prompt)
    keys = {p.key for p in kept}
    return Plan(
        tuple(p for p in prompts if p.key in keys),
        tuple(p for p in prompts if p.key not in keys),
        budget,
    )


def _best_places(
    always: Sequence[Prompt], rest: Sequence[Prompt], here: str | None, budget: float
) -> frozenset[str]:
    """The set of places whose checks are worth most and fit; the quicker of two equal ones."""
    places = list(dict.fromkeys(p.place for p in rest))
    best: tuple[float, float, frozenset[str]] = (0.0, 0.0, frozenset())
    for size in range(1, len(places) + 1):
        for some in combinations(places, size):
            taken = [p for p in rest if p.place in some]
            minutes = time_for([*always, *taken], here)
            if minutes <= budget:
                worth = sum(p.value * p.minutes for p in taken)
                best = max(best, (worth, -minutes, frozenset(some)), key=lambda b: b[:2])
    return best[2]
