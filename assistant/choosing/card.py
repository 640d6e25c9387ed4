"""The numbers on the printed card: the same for a car whenever the card is made."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from assistant.choosing.agenda import Prompt, agenda
from assistant.choosing.plan import plan_for
from assistant.journal.entries import Entry, Planned, Said, active_entries, fold
from assistant.reasoning.consultation import consult
from assistant.ruleset.ruleset import Ruleset


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
