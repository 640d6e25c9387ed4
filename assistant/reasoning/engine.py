"""The adapter to durable-rules: the only file that imports it.

Every run is a new session that is told all its facts at once and is deleted afterwards.
Nothing is retracted, nothing is negated, and no action does more than note what matched.
Conclusions become facts for the next round, until a round brings nothing new. Each firing
is then compared, both ways, with the plain reading of its condition.
"""

from __future__ import annotations

import gc
import json
from collections.abc import Hashable, Iterable
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

from assistant.errors import EngineFault
from assistant.knowledge.evaluation import Reading, evaluate
from assistant.knowledge.ruleset import Ruleset
from assistant.reasoning.compiler import Block, compile_ruleset
from assistant.reasoning.facts import Fact, Readings

try:
    import durable.engine as durable_engine
    import durable_rules_engine as native
except ImportError as error:  # pragma: no cover - needs a broken installation
    raise EngineFault(
        "The rule engine (durable-rules) cannot be loaded. It is compiled when it is installed, "
        "so a C compiler and Python's headers are needed (Debian and Ubuntu: build-essential and "
        "python3-dev; Fedora: gcc and python3-devel; macOS: the Xcode command line tools). Then: "
        'CC="cc -DPyEval_CallObject=PyObject_CallObject" '
        "pip install --no-cache-dir --force-reinstall durable-rules"
    ) from error

__all__ = ["Engine", "EngineResult", "Firing"]

_ROUNDS = 40
_MOST_KEPT = 1024


@dataclass(frozen=True)
class Firing:
    """An inference that the engine found certainly true or certainly false at one part.

    supports: every different set of facts that made it so, each in pattern order.
    """

    inference: str
    at: str
    truth: bool
    round: int
    supports: tuple[tuple[Fact, ...], ...]


@dataclass(frozen=True)
class EngineResult:
    """All firings in round and ruleset order, and what went wrong, if anything."""

    firings: dict[tuple[str, str], Firing]
    faults: tuple[tuple[str, str], ...]

    def truth(self, name: str, at: str = "") -> bool | None:
        firing = self.firings.get((name, at))
        return firing.truth if firing else None


class _QuietHost(durable_engine.Host):  # type: ignore[misc]
    """A durable-rules host that starts no background threads."""

    def _run(self) -> None:
        return None


def _no_action(context: Any) -> None:
    """The action of all rules: none of them is ever run, see Engine._matches."""


class Engine:
    """A ruleset compiled into durable rulesets. One per process and ruleset is enough."""

    def __init__(self, ruleset: Ruleset) -> None:
        self.ruleset = ruleset
        self.blocks: list[Block] = ruleset.compiled or compile_ruleset(ruleset)
        self._readers: dict[tuple[str, str], list[int]] = {}
        self._order = {name: inf.order for name, inf in ruleset.inferences.items()}
        self._meaning: dict[str, tuple[str, bool]] = {}
        self._host = _QuietHost()
        self._session = 0
        self._installed: set[str] = set()
        self.concerns: dict[Hashable, frozenset[str]] = {}
        for index, block in enumerate(self.blocks):
            for key in block.reads:
                self._readers.setdefault(key, []).append(index)
        self._inferences = [
            tuple(dict.fromkeys(a.inference for a in block.alternatives)) for block in self.blocks
        ]
        self._somewheres = [
            (name, inf) for name, inf in ruleset.inferences.items() if inf.role == "somewhere"
        ]
        self._plain: dict[tuple[int, frozenset[Fact]], dict[tuple[str, str], bool | None]] = {}
        self._fire = lru_cache(maxsize=_MOST_KEPT)(self._fire_anew)

    def _install(self, block: Block) -> None:
        """Hands a block to durable-rules, the first time there is something to tell it."""
        if block.name in self._installed:
            return
        self._installed.add(block.name)
        rules: dict[str, Any] = {
            "~boot": {"all": [{"m": {"kind": "boot"}}], "run": _no_action},
            "~sink": {
                "all": [{"a": {"$ex": {"kind": 1}}}, {"b": {"kind": "never"}}],
                "run": _no_action,
            },
        }
        for alternative in block.alternatives:
            name = alternative.rule_name
            self._meaning[name] = (alternative.inference, alternative.truth)
            rules[name] = {"all": alternative.for_engine(), "run": _no_action}
        try:
            self._host.set_rulesets({block.name: rules})
        except Exception as error:
            raise EngineFault(
                f"the rule engine refused the rules of {block.name}: {error}"
            ) from error

    def prepare(self) -> None:
        """Hands over all blocks now, while nobody waits, rather than at the first answers.

        What is made by now stays to the end, so the garbage collector is told to leave it alone;
        going over all of it again and again was measured at 100 ms a time.
        """
        if len(self._installed) == len(self.blocks):
            return
        for block in self.blocks:
            self._install(block)
        gc.collect()
        gc.freeze()

    def _fire_anew(
        self, index: int, facts: tuple[Fact, ...]
    ) -> tuple[tuple[str, str, bool, tuple[tuple[Fact, ...], ...]], ...]:
        """Runs one block on its facts in a session of its own."""
        if all(fact.kind == "part" for fact in facts):
            return ()  # every alternative needs something that was said, worked out or concluded
        block = self.blocks[index]
        self._install(block)
        self._session += 1
        session = f"s{self._session}"
        told = [{"sid": session, "id": "boot", "kind": "boot"}]
        told += [fact.for_engine(number, session) for number, fact in enumerate(facts)]
        try:
            matches = self._matches(block.name, session, told)
        except Exception as error:
            raise EngineFault(f"the rule engine stopped on {block.name}: {error}") from error
        found: dict[tuple[str, str, bool], dict[tuple[Fact, ...], None]] = {}
        for rule, matched in matches:
            if rule not in self._meaning:
                continue
            inference, truth = self._meaning[rule]
            parts = [facts[int(m["id"])] for m in matched.values()]
            at = parts[0].at if parts and parts[0].kind == "part" else ""
            support = tuple(f for f in parts if f.kind != "part")
            found.setdefault((inference, at, truth), {})[support] = None
        return tuple(
            (inference, at, truth, tuple(sorted(supports, key=_support_order)))
            if len(supports) > 1
            else (inference, at, truth, tuple(supports))
            for (inference, at, truth), supports in sorted(
                found.items(), key=lambda item: (self._order[item[0][0]], *item[0][1:])
            )
        )

    def _matches(
        self, block: str, session: str, facts: list[dict[str, Any]]
    ) -> list[tuple[str, dict[str, Any]]]:
        """Tells a block its facts and gives every (rule, matched facts by pattern), in order.

        The actions of a rule are taken from the engine one by one and only noted, so none of our
        code runs inside the engine, and none of its state is written out and read again for each.
        """
        rules = self._host.get_ruleset(block)
        handle = rules._handle
        state = rules.assert_facts(facts)
        matches: list[tuple[str, dict[str, Any]]] = []
        started = native.start_action_for_state(handle, state)
        text = started[1] if started else None
        while text:
            message: dict[str, dict[str, Any]] = json.loads(text)
            matches += message.items()
            text = native.complete_and_start_action(handle, state)
        rules.delete_state(session)
        return matches

    def run(self, readings: Readings) -> EngineResult:
        """Fires everything that follows from the readings, round by round."""
        told: list[set[Fact]] = [set() for _ in self.blocks]
        changed = self._tell(told, readings.facts())
        firings: dict[tuple[str, str], Firing] = {}
        faults: list[tuple[str, str]] = []
        lifted: set[Fact] = set()
        for number in range(1, _ROUNDS + 1):
            if not changed:
                break
            new: list[Fact] = []
            for index in sorted(changed):
                facts = tuple(sorted(told[index], key=_fact_order))
                for inference, at, truth, supports in self._fire(index, facts):
                    before = firings.get((inference, at))
                    if before is None:
                        firings[(inference, at)] = Firing(inference, at, truth, number, supports)
                        if self.ruleset.inferences[inference].role == "rule":
                            word = "yes" if truth else "no"
                            new.append(Fact("concluded", inference, at, word))
                    elif before.truth != truth:
                        faults.append((inference, "the engine found it both true and false"))
                    elif before.supports != supports:
                        firings[(inference, at)] = replace(before, supports=supports)
            new += self._lift(firings, lifted)
            changed = self._tell(told, new)
        else:
            faults.append(("", "the rules did not come to rest"))
        faults += self._check(readings, told, firings)
        ordered = dict(
            sorted(firings.items(), key=lambda kv: (kv[1].round, self._order[kv[0][0]], kv[0][1]))
        )
        return EngineResult(ordered, tuple(faults))

    def _tell(self, told: list[set[Fact]], facts: Iterable[Fact]) -> set[int]:
        changed: set[int] = set()
        for fact in facts:
            for index in self._readers.get((fact.kind, fact.name), ()):
                if fact not in told[index]:
                    told[index].add(fact)
                    changed.add(index)
        return changed

    def _lift(self, firings: dict[tuple[str, str], Firing], lifted: set[Fact]) -> list[Fact]:
        """A somewhere(...) is true once one part is, and false once every part is false."""
        new: list[Fact] = []
        for name, inference in self._somewheres:
            parts = self.ruleset.members(inference.axis)
            values = [f.truth if (f := firings.get((name, at))) else None for at in parts]
            if True in values or None not in values:
                text = name.removeprefix("somewhere(").removesuffix(")")
                fact = Fact("somewhere", text, "", "yes" if True in values else "no")
                if fact not in lifted:
                    lifted.add(fact)
                    new.append(fact)
        return new

    def _check(
        self,
        readings: Readings,
        told: list[set[Fact]],
        firings: dict[tuple[str, str], Firing],
    ) -> list[tuple[str, str]]:
        """Compares every firing, both ways, with the plain reading of its condition.

        What a block is told decides the plain reading of its rules too, so an answer that a
        block does not read costs nothing here.
        """
        view = EngineView(self.ruleset, readings, firings)
        faults: list[tuple[str, str]] = []
        for index, names in enumerate(self._inferences):
            key = (index, frozenset(told[index]))
            if key not in self._plain:
                if len(self._plain) > _MOST_KEPT:
                    self._plain.clear()
                self._plain[key] = {
                    (name, at): evaluate(self.ruleset.inferences[name].condition, view, at)
                    for name in names
                    for at in self.ruleset.members(self.ruleset.inferences[name].axis)
                }
            for (name, at), expected in self._plain[key].items():
                firing = firings.get((name, at))
                got = firing.truth if firing else None
                if expected != got:
                    where = f" at {at}" if at else ""
                    text = f"the engine says {got}, a plain reading {expected}{where}"
                    faults.append((name, text))
                    firings.pop((name, at), None)
        return faults


class EngineView:
    """Readings and conclusions as the plain evaluator wants to see them."""

    def __init__(
        self, ruleset: Ruleset, readings: Readings, firings: dict[tuple[str, str], Firing]
    ) -> None:
        self._ruleset = ruleset
        self._readings = readings
        self._firings = firings

    def reading(self, name: str, at: str) -> Reading:
        return self._readings.reading(name, at)

    def concluded(self, name: str, at: str) -> bool | None:
        firing = self._firings.get((name, at))
        return firing.truth if firing else None

    def axis_of(self, name: str) -> str | None:
        return self._ruleset.names[name].axis

    def members(self, axis: str) -> tuple[str, ...]:
        return self._ruleset.members(axis)


@lru_cache(maxsize=16384)
def _fact_order(fact: Fact) -> str:
    return json.dumps([fact.kind, fact.name, fact.at, fact.word, fact.lo, fact.hi, fact.known])


def _support_order(support: tuple[Fact, ...]) -> list[str]:
    return [_fact_order(fact) for fact in support]
