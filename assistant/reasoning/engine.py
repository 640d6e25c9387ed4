"""The adapter to durable-rules: the only file that imports it.

Every run is a new session that is told all its facts at once and is deleted afterwards.
Nothing is retracted, nothing is negated, and no action does more than note what matched.
Conclusions become facts for the next round, until a round brings nothing new. Each firing
is then compared, both ways, with the plain reading of its condition.
"""

from __future__ import annotations

import json
import os
import re
import sys
from collections.abc import Collection, Hashable, Iterable, Set
from dataclasses import dataclass
from functools import lru_cache
from itertools import islice
from typing import Any, NamedTuple

from assistant.errors import EngineFault
from assistant.reasoning.compiler import CONCLUSIONS, Alternative, Block, compile_ruleset
from assistant.reasoning.facts import Fact, Readings
from assistant.ruleset.condition import leaves, names_in
from assistant.ruleset.ruleset import Inference, Ruleset
from assistant.ruleset.truth import NOTHING_SAID, Reading

_LAZY = getattr(os, "RTLD_LAZY", None)
try:
    if _LAZY is not None:  # it names a function that Python 3.13 took away, and never calls it
        _flags = sys.getdlopenflags()
        sys.setdlopenflags(_LAZY)
    import durable.engine as durable_engine
    import durable_rules_engine as native
except ImportError as error:  # pragma: no cover - needs a broken installation
    raise EngineFault(
        f"The rule engine (durable-rules) cannot be loaded: {error}. It is compiled when it is "
        "installed, so a C compiler and Python's headers are needed (Debian and Ubuntu: "
        "build-essential and python3-dev; Fedora: gcc and python3-devel; macOS: the Xcode command "
        "line tools). Then: CPPFLAGS=-DPyEval_CallObject=PyObject_CallObject "
        "pip install --no-cache-dir --force-reinstall durable-rules"
    ) from error
finally:
    if _LAZY is not None:
        sys.setdlopenflags(_flags)


_ROUNDS = 40
_SOME_UNREAD = 1
_MOST_KEPT = 1024
_FACT_NUMBER = re.compile('"id":"([0-9]+)"')


class Firing(NamedTuple):
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


class _Asked(NamedTuple):
    """What is asked of the engine: blocks, and the inferences whose alternatives all stand there,
    each with the symptom without which it counts for nothing."""

    blocks: frozenset[int]
    inferences: tuple[tuple[Inference, str | None], ...]


class _RuleMeaning(NamedTuple):
    """What a match of one rule of the engine says.

    part_index: the fact that says at which part, None for the car as a whole. support_from: the
    first fact that is more than a part. conclusions: the inferences that are then certainly true,
    or certainly false.
    """

    part_index: int | None
    support_from: int
    conclusions: tuple[tuple[str, bool], ...]


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
        inferences = sorted(ruleset.inferences.values(), key=lambda inf: inf.order)
        keys = ((inf.name, at) for inf in inferences for at in sorted(ruleset.members(inf.axis)))
        self._order = {key: place for place, key in enumerate(keys)}
        self._meaning: dict[str, _RuleMeaning] = {}
        self._host = _QuietHost()
        self._session = 0
        self._installed: set[str] = set()
        for index, block in enumerate(self.blocks):
            for key in block.reads if block.symptom is None else ():
                self._readers.setdefault(key, []).append(index)
        self._concluded_read = {
            name for block in self.blocks for kind, name in block.reads if kind == "concluded"
        }
        self._held_by: dict[str, set[int]] = {}
        for index, block in enumerate(self.blocks):
            for alternative in block.alternatives:
                self._held_by.setdefault(alternative.inference, set()).add(index)
        self._all = self._asked(frozenset(self._held_by))
        self._of_the_car = self._asked(ruleset.saying_whom)
        self._reads: dict[str, frozenset[str]] = {}
        self._somewheres = {
            name: [(name, at) for at in ruleset.members(inf.axis)]
            for name, inf in ruleset.inferences.items()
            if inf.role == "somewhere"
        }
        # what most blocks are told is the same from one answer to the next
        self._fire = lru_cache(maxsize=_MOST_KEPT)(self._fire_anew)

    def _asked(self, names: frozenset[str]) -> _Asked:
        """What is asked for these inferences, and for all whose conclusions they read."""
        todo, seen = sorted(names), set()
        while todo:
            name = todo.pop()
            if name in self._held_by and name not in seen:
                seen.add(name)
                todo += names_in(self.ruleset.inferences[name].condition)
        blocks = frozenset(block for name in seen for block in self._held_by[name])
        whole = [
            (self.ruleset.inferences[name], self.blocks[min(some)].symptom)
            for name, some in self._held_by.items()
            if some <= blocks
        ]
        return _Asked(blocks, tuple(whole))

    def _install(self, block: Block) -> None:
        """Hands a block to durable-rules, the first time there is something to tell it."""
        if block.name in self._installed:
            return
        self._installed.add(block.name)
        rules: dict[str, Any] = {
            "~boot": {"all": [{"m": {"kind": "boot"}}], "run": _no_action},
        }
        same: dict[Hashable, list[Alternative]] = {}
        for alternative in block.alternatives:
            same.setdefault(alternative.asked, []).append(alternative)
        for some in same.values():
            name = f"r{len(self._meaning)}"
            self._meaning[name] = _RuleMeaning(
                some[0].where,
                support_from=1 if some[0].of_any_part else 0,
                conclusions=tuple((a.inference, a.truth) for a in some),
            )
            rules[name] = {"all": some[0].for_engine(), "run": _no_action}
        try:
            self._host.set_rulesets({block.name: rules})
        except Exception as error:
            raise EngineFault(
                f"the rule engine refused the rules of {block.name}: {error}"
            ) from error
        kept = self._host.get_ruleset(block.name)
        kept._definition = None  # durable-rules keeps what it has compiled; it is never read again
        kept._actions.clear()

    def prepare(self) -> None:
        """Hands over the blocks now, while nobody waits, rather than at the first answers. Those
        that weigh the causes of a symptom wait until it comes; most never do."""
        for block in self.blocks:
            if block.symptom is None:
                self._install(block)

    def _fire_anew(
        self, index: int, told: frozenset[Fact]
    ) -> tuple[tuple[str, str, bool, tuple[tuple[Fact, ...], ...]], ...]:
        """Runs one block on its facts in a session of its own."""
        block = self.blocks[index]
        if all(fact.kind == "part" for fact in told):
            return ()  # every alternative needs something that was said, worked out or concluded
        if block.later and not any(fact.kind in CONCLUSIONS for fact in told):
            return ()
        self._install(block)
        self._session += 1
        facts = sorted(told)  # no two are of one name at one part, so nothing else is compared
        try:
            matches = self._matches(block.name, f"s{self._session}", facts)
        except Exception as error:
            raise EngineFault(f"the rule engine stopped on {block.name}: {error}") from error
        found: dict[tuple[str, str, bool], list[tuple[Fact, ...]]] = {}
        for rule, met in matches:
            if rule not in self._meaning:
                continue
            part_index, support_from, conclusions = self._meaning[rule]
            at = "" if part_index is None else met[part_index].at
            support = met[support_from:] if support_from else met
            for inference, truth in conclusions:
                found.setdefault((inference, at, truth), []).append(support)
        return tuple((*key, _in_order(supports)) for key, supports in found.items())

    def _matches(
        self, block: str, session: str, facts: list[Fact]
    ) -> list[tuple[str, tuple[Fact, ...]]]:
        """Tells a block its facts and gives every match: the rule, and the facts that met its
        patterns, in their order.

        The actions of a rule are taken from the engine one by one and only noted, so none of our
        code runs inside the engine, and none of its state is written out and read again for each.
        A match is JSON with whole facts as they were told,
        {"r7":{"f0":{"sid":"s1","id":"3",...},...}}. Only the number that stands under "id" is
        read; inside a word a quote is escaped, so it cannot look like that.
        """
        rules = self._host.get_ruleset(block)
        handle = rules._handle
        head = f'{{"sid":"{session}","id":"'
        numbered = {str(number): fact for number, fact in enumerate(facts)}
        fact = numbered.__getitem__
        told = [f'{head}boot","kind":"boot"}}']
        told += [f'{head}{number}",{_fact_text(fact)}' for number, fact in numbered.items()]
        text = f"[{','.join(told)}]"
        result = native.assert_facts(handle, text)
        # 1 says that a fact met no pattern of the block; all the others are taken none the less
        state = result[1] if result[0] == _SOME_UNREAD else rules._handle_result(result, text)
        matches: list[tuple[str, tuple[Fact, ...]]] = []
        started = native.start_action_for_state(handle, state)
        match = started[1] if started else None
        while match:
            rule = match[2 : match.index('"', 2)]
            matches.append((rule, tuple(map(fact, _FACT_NUMBER.findall(match)))))
            match = native.complete_and_start_action(handle, state)
        rules.delete_state(session)
        return matches

    def run(self, readings: Readings, of_the_car: bool = False) -> EngineResult:
        """Fires everything that follows from the readings, round by round.

        What weighs the causes of a symptom comes last, and only where the symptom is there.
        of_the_car: ask only what says whom a question concerns, and what that rests on; what else
        follows is not complete then.
        """
        asked = self._of_the_car if of_the_car else self._all
        told: dict[int, set[Fact]] = {index: set() for index in asked.blocks}
        new: Iterable[Fact] = readings.facts()
        by_name: dict[tuple[str, str], list[Fact]] = {}
        changed = self._tell(told, by_name, new)
        firings: dict[tuple[str, str], Firing] = {}
        faults: list[tuple[str, str]] = []
        concluded: set[str] = set()
        seen = 0
        for number in range(1, _ROUNDS + 1):
            if not changed:
                break
            new = self._fire_all(sorted(changed), told, number, firings, faults)
            new += self._conclude_somewhere(firings, islice(firings, seen, None), concluded)
            seen = len(firings)
            changed = self._tell(told, by_name, new)
        else:
            faults.append(("", "the rules did not settle"))
        there = {name for (name, _), firing in firings.items() if firing.truth}
        weighing = [index for index in sorted(asked.blocks) if self.blocks[index].symptom in there]
        for index in weighing:
            reads = self.blocks[index].reads
            told[index] = {fact for key in reads for fact in by_name.get(key, ())}
        self._fire_all(weighing, told, number, firings, faults)
        faults += self._check(readings, asked, firings, there)
        every = len(self._order)
        ordered = sorted(firings, key=lambda key: firings[key].round * every + self._order[key])
        return EngineResult({key: firings[key] for key in ordered}, tuple(faults))

    def _fire_all(
        self,
        indexes: Iterable[int],
        told: dict[int, set[Fact]],
        number: int,
        firings: dict[tuple[str, str], Firing],
        faults: list[tuple[str, str]],
    ) -> list[Fact]:
        """Runs these blocks in round `number`; returns what was newly concluded, as facts."""
        new: list[Fact] = []
        for index in indexes:
            for inference, at, truth, supports in self._fire(index, frozenset(told[index])):
                before = firings.get((inference, at))
                if before is None:
                    firings[(inference, at)] = Firing(inference, at, truth, number, supports)
                    if inference in self._concluded_read:
                        word = "yes" if truth else "no"
                        new.append(Fact("concluded", inference, at, word))
                elif before.truth != truth:
                    faults.append((inference, "the engine found it both true and false"))
                elif before.supports != supports:
                    every = _in_order({*before.supports, *supports})
                    firings[(inference, at)] = before._replace(supports=every)
        return new

    def _tell(
        self,
        told: dict[int, set[Fact]],
        by_name: dict[tuple[str, str], list[Fact]],
        facts: Iterable[Fact],
    ) -> set[int]:
        """Tells new facts to the blocks that read them; returns which blocks these are."""
        changed: set[int] = set()
        for fact in facts:
            key = (fact.kind, fact.name)
            by_name.setdefault(key, []).append(fact)
            for index in self._readers.get(key, ()):
                if index in told:
                    told[index].add(fact)
                    changed.add(index)
        return changed

    def _conclude_somewhere(
        self,
        firings: dict[tuple[str, str], Firing],
        fired: Iterable[tuple[str, str]],
        concluded: set[str],
    ) -> list[Fact]:
        """A somewhere(...) is true once one part is, and false once every part is false.

        fired: what has fired in this round.
        """
        new: list[Fact] = []
        for name in dict.fromkeys(name for name, _ in fired if name in self._somewheres):
            if name in concluded:
                continue
            keys = self._somewheres[name]
            decided = [firings[key].truth for key in keys if key in firings]
            if True in decided or len(decided) == len(keys):
                concluded.add(name)
                kind, text = self.ruleset.inferences[name].concludes
                new.append(Fact(kind, text, "", "yes" if True in decided else "no"))
        return new

    def _check(
        self,
        readings: Readings,
        asked: _Asked,
        firings: dict[tuple[str, str], Firing],
        there: Set[str],
    ) -> list[tuple[str, str]]:
        """Compares every firing, both ways, with the plain reading of its condition.

        Where nothing is known, nothing follows.
        """
        view = EngineView(self.ruleset, readings, firings)
        known = {name for name, _ in (*readings.table, *firings)}
        expected: dict[tuple[str, str], bool] = {}
        for inference, symptom in asked.inferences:
            if symptom is not None and symptom not in there:
                continue
            name = inference.name
            if name not in self._reads:
                self._reads[name] = frozenset(leaf.name for leaf in leaves(inference.condition))
            if self._reads[name].isdisjoint(known):
                continue
            read = self.ruleset.reader(name)
            for at in self.ruleset.members(inference.axis):
                value = read(view, at)
                if value or (value is False and inference.both_sides):
                    expected[(name, at)] = value
        got = {key: firing.truth for key, firing in firings.items()}
        faults: list[tuple[str, str]] = []
        if expected == got:
            return faults
        for name, at in sorted(dict(expected.items() ^ got.items())):
            where = f" at {at}" if at else ""
            says, plain = got.get((name, at)), expected.get((name, at))
            faults.append((name, f"the engine says {says}, a plain reading {plain}{where}"))
            firings.pop((name, at), None)
        return faults


class EngineView:
    """Readings and conclusions as the plain evaluator wants to see them."""

    def __init__(
        self, ruleset: Ruleset, readings: Readings, firings: dict[tuple[str, str], Firing]
    ) -> None:
        self._ruleset = ruleset
        self._table = readings.table
        self._firings = firings

    def reading(self, name: str, at: str) -> Reading:
        there = self._table.get((name, at))
        return there if there is not None else self._table.get((name, ""), NOTHING_SAID)

    def concluded(self, name: str, at: str) -> bool | None:
        firing = self._firings.get((name, at)) or self._firings.get((name, ""))
        return firing.truth if firing else None

    def members(self, axis: str) -> tuple[str, ...]:
        return self._ruleset.members(axis)


class Supposed(EngineView):
    """A view in which rules are read anew from supposed readings, not taken from the engine.

    It filters what is worth a real replay, and nothing more.
    """

    def __init__(self, ruleset: Ruleset, readings: Readings) -> None:
        super().__init__(ruleset, readings, {})
        self._known: dict[tuple[str, str], bool | None] = {}

    def concluded(self, name: str, at: str) -> bool | None:
        inference = self._ruleset.inferences[name]
        key = (name, at if inference.axis else "")
        if key not in self._known:
            self._known[key] = self._ruleset.reader(name)(self, key[1])
        return self._known[key]


def _fact_text(fact: Fact) -> str:
    """A fact as JSON without the brace that opens it."""
    return json.dumps(fact.for_engine(), ensure_ascii=False)[1:]


def _in_order(supports: Collection[tuple[Fact, ...]]) -> tuple[tuple[Fact, ...], ...]:
    """Different supports, each once, in an order that does not hang on the engine's."""
    return tuple(supports) if len(supports) < 2 else tuple(sorted(set(supports)))
