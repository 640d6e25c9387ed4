"""The checks of a ruleset, in groups, and how long they took."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from itertools import chain

from assistant.authoring.check.act_checks import act_problems
from assistant.authoring.check.agreement import disagreements
from assistant.authoring.check.cases import cases_at_limits, check_cases, check_mutations
from assistant.authoring.check.checks import check_statics, engine_limits
from assistant.authoring.check.lowering import lowering_problems
from assistant.authoring.check.overlaps import (
    contradictions,
    gaps,
    impossible_conditions,
    subsumed_rules,
)
from assistant.authoring.check.reach import circles, dead_ends, never_given, never_reached
from assistant.errors import Problem
from assistant.ruleset.ruleset import Ruleset
from assistant.ruleset.sayings import sayings_problems


@dataclass(frozen=True)
class Check:
    """A group of checks under one name."""

    name: str
    parts: tuple[Callable[[Ruleset], Iterable[Problem]], ...]


QUICK = (
    Check("limits of the files and of the engine", (engine_limits,)),
    Check("circles", (circles,)),
    Check("what is never reached, and what leads nowhere",
          (check_statics, never_given, never_reached, dead_ends)),
    Check("what checks make a person do, and what dangers forbid", (act_problems,)),
    Check("what lowers a danger that was told", (lowering_problems,)),
    Check("what people say for each choice", (sayings_problems,)),
    Check("rules that say the same", (subsumed_rules,)),
    Check("contradictions", (contradictions,)),
    Check("impossible conditions and gaps", (impossible_conditions, gaps)),
    Check("the engine beside a plain reading", (disagreements,)),
    Check("cases either side of every limit", (cases_at_limits,)),
)  # fmt: skip
"""The quick checks. The first is half done before: a file that is not as it must be is not read."""

CASES = (
    Check("worked cases", (check_cases,)),
    Check("changes that no case notices", (check_mutations,)),
)
"""The slow ones: every worked case is run, and every condition is changed to see a case notice."""


def problems_of(ruleset: Ruleset, check: Check) -> list[Problem]:
    """What one group of checks finds, in file order, each sentence once."""
    found = chain.from_iterable(part(ruleset) for part in check.parts)
    return sorted(dict.fromkeys(found))
