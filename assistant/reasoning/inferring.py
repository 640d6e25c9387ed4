"""From what was said to what the engine makes of it.

First it is found out whom each question concerns, from the answers about the car; then all else.
"""

from __future__ import annotations

from dataclasses import replace

from assistant.journal.entries import Said, State
from assistant.reasoning.engine import Engine, EngineResult
from assistant.reasoning.facts import Readings
from assistant.ruleset.fitting import misfit
from assistant.ruleset.ruleset import Ruleset

_ENGINES: dict[str, Engine] = {}


def engine_for(ruleset: Ruleset) -> Engine:
    """The compiled engine of a ruleset; compiled once and kept with it."""
    if ruleset.digest not in _ENGINES:
        _ENGINES.clear()
        _ENGINES[ruleset.digest] = Engine(ruleset)
    return _ENGINES[ruleset.digest]


def fitting(ruleset: Ruleset, state: State) -> tuple[State, tuple[tuple[Said, str], ...]]:
    """The state without answers that do not fit their questions, and those with the reason."""
    misfits = {
        key: (said, reason)
        for key, said in state.answers.items()
        if (reason := misfit(ruleset, *key, said.answer)) is not None
    }
    earlier = tuple(
        past
        for past in state.context.earlier
        if misfit(ruleset, past.question, past.at, past.answer) is None
    )
    mended = {k: m for k, m in state.mended.items() if k[0] in ruleset.questions}
    if misfits or len(earlier) != len(state.context.earlier) or len(mended) != len(state.mended):
        state = replace(
            state,
            context=state.context.model_copy(update={"earlier": earlier}),
            answers={k: s for k, s in state.answers.items() if k not in misfits},
            mended=mended,
        )
    return state, tuple(misfits.values())


def infer(ruleset: Ruleset, state: State) -> tuple[Readings, EngineResult]:
    """First what concerns this car, from the answers about the car; then everything."""
    engine = engine_for(ruleset)
    readings = Readings(ruleset, state, not_this_car(engine, state))
    return readings, engine.run(readings)


def not_this_car(engine: Engine, state: State) -> frozenset[str]:
    """The questions that do not concern this car, by the rules that say so."""
    ruleset = engine.ruleset
    first = engine.run(Readings.of_the_car(ruleset, state), of_the_car=True)
    return frozenset(n for n, whom in ruleset.whom.items() if first.truth(whom.name) is False)
