"""How soon the walk finds what it can find, beside two other orders.

All of it rests on the ruleset's starting guesses of how likely each check fails and is seen. It
compares orders with one another; it says nothing about a real car.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from random import Random

from assistant.choosing.agenda import Prompt, agenda
from assistant.choosing.plan import WALKING, plan_for
from assistant.journal.entries import Entry, Planned, Said, active_entries, fold
from assistant.reasoning.consultation import consult
from assistant.ruleset.ruleset import Ruleset

TIMES = (5.0, 10.0, 20.0, 30.0)
_SHUFFLES = 200


@dataclass(frozen=True)
class Shares:
    """Share of all expected failures seen within each time, 0 to 1."""

    name: str
    times: tuple[float, ...]
    shares: tuple[float, ...]


def expected(ruleset: Ruleset, prompt: Prompt) -> tuple[float, float]:
    """Expected failures of a prompt: those that are there, and those an owner would see."""
    priors = [ruleset.questions[name].prior for name in dict.fromkeys(q for q, _ in prompt.items)]
    known = [p for p in priors if p is not None]
    return sum(p.fails for p in known), sum(p.fails * p.sees for p in known)


def seen_within(
    ruleset: Ruleset, prompts: Sequence[Prompt], minutes: float, all_failures: float
) -> float:
    """The share seen in the time, walking from place to place in the order given."""
    clock, seen, place = 0.0, 0.0, None
    for prompt in prompts:
        clock += prompt.minutes + (WALKING if prompt.place != place else 0.0)
        if clock > minutes:
            break
        place = prompt.place
        seen += expected(ruleset, prompt)[1]
    return seen / all_failures if all_failures else 0.0


def compare_orders(ruleset: Ruleset, journal: Sequence[Entry], seed: int = 1) -> list[Shares]:
    """The plan for each time, a random order (mean of many), and the order of the standard."""
    prompts = numbered_prompts(ruleset, journal)
    failures = sum(expected(ruleset, p)[0] for p in prompts)
    planned = [
        seen_within(
            ruleset,
            [p for p in prompts if p.key in in_time(ruleset, journal, prompts, minutes)],
            minutes,
            failures,
        )
        for minutes in TIMES
    ]
    random = Random(seed)
    totals = [0.0] * len(TIMES)
    for _ in range(_SHUFFLES):
        shuffled = random.sample(prompts, len(prompts))
        for index, minutes in enumerate(TIMES):
            totals[index] += seen_within(ruleset, shuffled, minutes, failures) / _SHUFFLES
    fixed = sorted(prompts, key=lambda p: _item(ruleset, p))
    standard = [seen_within(ruleset, fixed, minutes, failures) for minutes in TIMES]
    return [
        Shares("this plan", TIMES, tuple(planned)),
        Shares("random order", TIMES, tuple(totals)),
        Shares("order of the standard", TIMES, tuple(standard)),
    ]


def _item(ruleset: Ruleset, prompt: Prompt) -> tuple[tuple[int, ...], str]:
    """The first item of the standard that a prompt decides, as numbers for sorting."""
    found: list[tuple[tuple[int, ...], str]] = []
    for question, _ in prompt.items:
        for rule in (inference.rule for inference in ruleset.graph.hanging_on(question)):
            if rule is not None and rule.finds is not None:
                head = rule.finds.item.split("(")[0]
                numbers = tuple(int(n) for n in head.split(".") if n.isdigit())
                found.append((numbers, rule.finds.item))
    return min(found, default=((99,), ""))


# card --------------------------------------------------------------------------------------------


def in_time(
    ruleset: Ruleset, journal: Sequence[Entry], prompts: list[Prompt], minutes: float | None
) -> set[str]:
    """The keys of the prompts that fit; minutes, or else the time named in the journal."""
    state = fold(journal)
    if minutes is not None:
        state = replace(state, planned=Planned(turn=state.last_turn + 1, minutes=minutes))
    return {p.key for p in plan_for(ruleset, state, prompts, None).kept}


def numbered_prompts(ruleset: Ruleset, journal: Sequence[Entry]) -> list[Prompt]:
    """The prompts of the walk for a car, numbered from 1 by their place in the list.

    Only the answers about the car itself count, so that later answers never move a number.
    """
    about_car = [
        entry
        for entry in active_entries(journal)
        if not isinstance(entry, Said) or entry.question in ruleset.of_the_car
    ]
    kept = [e for e in about_car if e.kind in ("context", "said", "corrected")]
    plan = agenda(consult(ruleset, kept))
    return [
        p for p in plan.prompts if p.items and ruleset.places[p.place].stage not in ("start", "end")
    ]
