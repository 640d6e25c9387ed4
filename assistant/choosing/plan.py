"""The plan for the time there is: which checks are made, and which are left out.

What is told or asked at once always comes, ways included. Of the walk as much is taken as fits:
from fifteen minutes the safety checks of the first round come before all else, from thirty the
whole safety set. The time that is left goes to what sees most, the way to each further place
counted: at a place that is visited its safety checks come before any other. A place that was asked
for comes before the others.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from assistant.journal.entries import State
from assistant.ruleset.minutes import minutes_for, way
from assistant.ruleset.ruleset import Ruleset

if TYPE_CHECKING:
    from assistant.choosing.agenda import Prompt

QUICK_SAFETY, WHOLE_SAFETY = 15.0, 30.0
"""From so many minutes on the first round's safety checks are kept, and the whole set; ours."""
STEP = 0.05
"""Minutes are packed in steps of three seconds, each check rounded up."""

_Pack = tuple[float, tuple[str, ...]]
"""What is seen, and the keys of the prompts that see it; worth below nothing: not to be had."""
_NONE: _Pack = (-1.0, ())


@dataclass(frozen=True)
class Plan:
    """Which prompts are kept and left out, in agenda order; budget: minutes still to go."""

    kept: tuple[Prompt, ...]
    left_out: tuple[Prompt, ...]
    budget: float | None


def minutes_spent(ruleset: Ruleset, state: State) -> float:
    """Minutes of the checks answered since the time was named, with the ways; no clock is read."""
    if state.planned is None:
        return 0.0
    asked: dict[tuple[int, str], list[tuple[str, str]]] = {}
    for (name, at), said in state.answers.items():
        question = ruleset.questions.get(name)
        if said.turn <= state.planned.turn or question is None or question.asked == "told":
            continue
        group = question.group or "" if said.group else ""
        asked.setdefault((said.turn, group), []).append((name, at))
    places = {ruleset.place_of(*items[0]) for items in asked.values()}
    walked = sum(ruleset.places[place].stage == "walk" for place in places)
    minutes = [
        minutes_for(ruleset, items, ruleset.groups.get(group) or ruleset.questions[items[0][0]])
        for (_, group), items in asked.items()
    ]
    return sum(minutes) + way(ruleset) * walked


def time_for(ruleset: Ruleset, prompts: Sequence[Prompt], here: str | None) -> float:
    """Minutes for prompts in this order, with the way to each stop but where we are.

    What comes after the walk does not count.
    """
    minutes = 0.0
    for prompt in prompts:
        if prompt.why == "end":
            continue
        minutes += prompt.minutes
        if ruleset.places[prompt.place].stage == "walk" and prompt.place != here:
            minutes += way(ruleset)
            here = prompt.place
    return minutes


def plan_for(ruleset: Ruleset, state: State, prompts: Sequence[Prompt], here: str | None) -> Plan:
    """Leaves out the places that are left, and fits the rest into the time that was named."""
    left = {p.key for p in prompts if p.place in state.left_places and p.why in ("safety", "walk")}
    every, prompts = prompts, [p for p in prompts if p.key not in left]
    if state.planned is None or state.planned.minutes is None:
        return Plan(tuple(prompts), tuple(p for p in every if p.key in left), None)
    named = state.planned.minutes
    budget = max(0.0, named - minutes_spent(ruleset, state))
    must = [p for p in prompts if _must(p, named)]
    rest = [p for p in prompts if not _must(p, named)]
    wanted = [p for p in rest if p.place in state.wanted]
    must += _fullest(ruleset, must, wanted, here, budget)
    rest = [p for p in rest if p not in wanted]
    keys = {p.key for p in [*must, *_fullest(ruleset, must, rest, here, budget)]}
    return Plan(
        tuple(p for p in prompts if p.key in keys),
        tuple(p for p in every if p.key not in keys),
        budget,
    )


def _must(prompt: Prompt, named: float) -> bool:
    """Whether a prompt is asked whatever else has to go."""
    if prompt.why not in ("safety", "walk"):
        return True
    if prompt.why != "safety":
        return False
    return named >= WHOLE_SAFETY or (named >= QUICK_SAFETY and prompt.round == 1)


def best_for(ruleset: Ruleset, prompts: Sequence[Prompt], minutes: float) -> list[Prompt]:
    """The prompts that see most within the time, with nothing that must be asked but dangers."""
    must = [p for p in prompts if _must(p, 0.0)]
    free = [replace(p, why="walk") for p in prompts if not _must(p, 0.0)]
    return [*must, *_fullest(ruleset, must, free, None, minutes)]


def _fullest(
    ruleset: Ruleset, must: list[Prompt], rest: list[Prompt], here: str | None, budget: float
) -> list[Prompt]:
    """What sees most in the time that is left by what must be asked."""
    if time_for(ruleset, [*must, *rest], here) <= budget:
        return rest
    free = {p.place for p in must} | {here}
    walked = [p for p in free - {here} if p and ruleset.places[p].stage == "walk"]
    left = budget - sum(p.minutes for p in must if p.why != "end") - way(ruleset) * len(walked)
    best: list[_Pack] = [(0.0, ())] * (int(max(0.0, left) / STEP) + 1)
    for place in dict.fromkeys(p.place for p in rest):
        there = [p for p in rest if p.place == place]
        safety, other = ([p for p in there if (p.why == "safety") is s] for s in (True, False))
        come = [] if place in free else [way(ruleset)]
        some = _filled(_spent(best, come), safety)
        every = _spent(best, [*come, *(p.minutes for p in safety)], safety)
        best = [max(pack) for pack in zip(best, some, _filled(every, other), strict=True)]
    keys = set(best[-1][1])
    return [p for p in rest if p.key in keys]


def _spent(
    best: list[_Pack], minutes: Sequence[float], taken: Sequence[Prompt] = ()
) -> list[_Pack]:
    """The same packs once some minutes more have gone, with what was taken for them."""
    steps = sum(_steps(one) for one in minutes)
    worth, keys = sum(p.worth for p in taken), tuple(p.key for p in taken)
    later = [(one + worth, (*had, *keys)) if one >= 0 else _NONE for one, had in best]
    return [*[_NONE] * min(steps, len(best)), *later][: len(best)]


def _filled(best: list[_Pack], prompts: Sequence[Prompt]) -> list[_Pack]:
    """The packs with any of some prompts put in: the knapsack, exact but for rounding up."""
    for prompt in prompts:
        best = [
            max(pair) for pair in zip(best, _spent(best, [prompt.minutes], [prompt]), strict=True)
        ]
    return best


def _steps(minutes: float) -> int:
    return math.ceil(minutes / STEP - 1e-9)
