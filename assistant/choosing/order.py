"""How soon the walk finds what it can find: its own order cut off, and the plan of a named time.

All of it rests on the ruleset's starting guesses of how likely each check fails and is seen. It
says nothing about a real car. What the card and typed cards need of the order is here too.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from assistant.choosing.agenda import Prompt, agenda, expected
from assistant.choosing.plan import best_for, plan_for, time_for
from assistant.journal.entries import Entry, Planned, Said, active_entries, fold
from assistant.reasoning.consultation import consult
from assistant.ruleset.ruleset import Ruleset

TIMES = (10.0, 15.0, 25.0)


@dataclass(frozen=True)
class Shares:
    """What is seen within each of TIMES, as shares of 0 to 1: of all failures that are expected,
    and of those that an owner can see."""

    name: str
    of_all: tuple[float, ...]
    of_seen: tuple[float, ...]


def worth(ruleset: Ruleset, prompts: Sequence[Prompt]) -> tuple[float, float]:
    """Expected failures of prompts: those that are there, and those an owner would see."""
    both = [expected(ruleset, prompt.items) for prompt in prompts]
    return sum(fails for fails, _ in both), sum(sees for _, sees in both)


def cut_off(ruleset: Ruleset, prompts: Sequence[Prompt], minutes: float) -> list[Prompt]:
    """The prompts that are done within the time, in this order, ways included."""
    return [
        p for n, p in enumerate(prompts) if time_for(ruleset, prompts[: n + 1], None) <= minutes
    ]


def compare_orders(ruleset: Ruleset, journal: Sequence[Entry]) -> list[Shares]:
    """The walk cut off at each of TIMES, the plan for each, and the best that could be."""
    prompts = numbered_prompts(ruleset, journal)
    fails, sees = worth(ruleset, prompts)
    plans = [in_time(ruleset, journal, prompts, time) for time in TIMES]
    found = {
        "this walk, cut off": [cut_off(ruleset, prompts, time) for time in TIMES],
        "a plan for the time": [[p for p in prompts if p.key in keys] for keys in plans],
        "best for the time": [best_for(ruleset, prompts, time) for time in TIMES],
    }
    rows = []
    for name, some in found.items():
        seen = [worth(ruleset, taken)[1] for taken in some]
        rows.append(Shares(name, tuple(s / fails for s in seen), tuple(s / sees for s in seen)))
    return rows


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
