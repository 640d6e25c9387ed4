"""What the rule engine cannot take, found before it is handed over."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from assistant.errors import EngineFault, Place
from assistant.reasoning.compiler import BLOCK_TESTS_ON_ONE_FACT, Alternative, alternatives
from assistant.ruleset.condition import day_number
from assistant.ruleset.ruleset import Ruleset

_PLACES = 4


def engine_limits(ruleset: Ruleset) -> Iterator[tuple[Place, str]]:
    """Conditions that are too big for the engine, and figures finer than it is told."""
    compiled: dict[str, list[Alternative]] = {}
    for block in ruleset.compiled or ():
        for way in block.alternatives:
            compiled.setdefault(way.inference, []).append(way)
    for inference in ruleset.inferences.values():
        try:
            ways = compiled.get(inference.name) or [
                *alternatives(ruleset, inference, True), *alternatives(ruleset, inference, False)
            ]  # fmt: skip
        except EngineFault as error:
            text = str(error).removeprefix(f"{inference.name}: ")
            place = ruleset.where(inference)
            yield place, f"{inference.name}: {text}. Split it into several rules."
            continue
        tests = Counter(p.name for way in ways for p in way.patterns)
        name, most = max(tests.items(), key=lambda pair: pair[1], default=("", 0))
        if most > BLOCK_TESTS_ON_ONE_FACT:
            text = f"it looks at {name} {most} times, and the engine takes"
            text += f" {BLOCK_TESTS_ON_ONE_FACT}. Split it into several rules."
            yield ruleset.where(inference), f"{inference.name}: {text}"
    for system, file in ruleset.systems.items():
        for name, limit in file.limits.items():
            value = day_number(limit.value)
            if round(value, _PLACES) != value:
                place = ruleset.place(system, "limits", name, "value")
                text = f"{value:g} has more than {_PLACES} places after the point, and answers"
                yield place, f"{name}: {text} are rounded to {_PLACES}."
