"""From conditions to the patterns durable-rules is given.

Each condition is compiled twice: what makes it certainly true, and what makes it certainly
false. `not` is pushed down into the tests, the result is split into alternatives, and an
alternative has one positive pattern a fact, with all tests on that fact merged into it. So
the engine never sees a negation, an `any`, or two patterns that could want the same fact.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import Any

from assistant.errors import EngineFault
from assistant.knowledge.conditions import (
    And,
    Concluded,
    Condition,
    Fitted,
    Has,
    Known,
    Not,
    Number,
    Or,
    Somewhere,
    Word,
)
from assistant.knowledge.ruleset import Inference, Ruleset

__all__ = ["Alternative", "Block", "Pattern", "compile_ruleset", "compiled_or_none"]

Key = tuple[str, str]
Test = tuple[Any, ...]
Tests = dict[Key, frozenset[Test]]

MOST_ALTERNATIVES = 64
MOST_PATTERNS = 15
BLOCK_ALTERNATIVES = 120
BLOCK_TESTS_ON_ONE_FACT = 50
_MIRROR = {"<": (">=", "lo"), "<=": (">", "lo"), ">": ("<=", "hi"), ">=": ("<", "hi")}
_STRAIGHT = {"<": "hi", "<=": "hi", ">": "lo", ">=": "lo"}
_ENGINE_OP = {"<": "$lt", "<=": "$lte", ">": "$gt", ">=": "$gte"}


@dataclass(frozen=True)
class Pattern:
    """All tests on one fact. joined: it must stand at the same part as the rule."""

    kind: str
    name: str
    tests: tuple[Test, ...]
    joined: bool


@dataclass(frozen=True)
class Alternative:
    """One way in which an inference is certainly true (or certainly false)."""

    inference: str
    truth: bool
    number: int
    axis: str | None
    patterns: tuple[Pattern, ...]

    @property
    def rule_name(self) -> str:
        return f"{self.inference}|{'true' if self.truth else 'false'}|{self.number}"

    def for_engine(self) -> list[dict[str, Any]]:
        """The patterns in the dictionary form of durable-rules, the part first."""
        result: list[dict[str, Any]] = []
        if self.axis:
            result.append({"part": {"$and": [{"kind": "part"}, {"name": self.axis}]}})
        for index, pattern in enumerate(self.patterns):
            tests: list[Any] = [{"kind": pattern.kind}, {"name": pattern.name}]
            if pattern.joined:
                tests.append({"at": {"part": "at"}})
            # a list of words becomes an $or, and durable-rules ignores a join that follows one
            tests += sorted(
                (_engine_test(test) for test in pattern.tests), key=lambda t: "$or" in t
            )
            result.append({f"f{index}": {"$and": tests}})
        return result


@dataclass(frozen=True)
class Block:
    """A handful of alternatives that make one durable ruleset, inside the engine's limits."""

    name: str
    alternatives: tuple[Alternative, ...]
    reads: frozenset[Key]


def _engine_test(test: Test) -> Any:
    field, op, value = test
    if op == "in":
        words = [{field: word} for word in value]
        return words[0] if len(words) == 1 else {"$or": words}
    return {_ENGINE_OP[op]: {field: value}}


def _word_test(words: tuple[str, ...]) -> frozenset[Test]:
    return frozenset([("is", "in", tuple(sorted(words)))])


def ways(node: Condition, truth: bool) -> list[Tests]:
    """The alternatives that make `node` certainly `truth`, in disjunctive form."""
    if isinstance(node, Not):
        return ways(node.part, not truth)
    if isinstance(node, And | Or):
        if isinstance(node, And) == truth:
            product: list[Tests] = [{}]
            for part in node.parts:
                product = [
                    merged
                    for left in product
                    for right in ways(part, truth)
                    if (merged := _merge(left, right)) is not None
                ]
                if len(product) > 4 * MOST_ALTERNATIVES:
                    raise EngineFault("a condition splits into too many alternatives")
            return product
        return [way for part in node.parts for way in ways(part, truth)]
    return _leaf(node, truth)


def _leaf(node: Condition, truth: bool) -> list[Tests]:
    yes_no = "yes" if truth else "no"
    if isinstance(node, Somewhere):
        return [{("somewhere", node.text): _word_test((yes_no,))}]
    if isinstance(node, Concluded):
        return [{("concluded", node.name): _word_test((yes_no,))}]
    if isinstance(node, Has):
        return [{("pick", f"{node.name}.{node.pick}"): _word_test((yes_no,))}]
    if isinstance(node, Fitted):
        return [{("reading", node.name): frozenset([("fitted", "in", (yes_no,))])}]
    if isinstance(node, Known):
        return [{("reading", node.name): frozenset([("known", "in", (yes_no,))])}]
    if isinstance(node, Word):
        words = node.words if truth else tuple(w for w in node.all_words if w not in node.words)
        return [{("reading", node.name): _word_test(words)}] if words else []
    assert isinstance(node, Number)
    key = ("reading", node.name)
    if node.op == "==":
        if truth:
            both = frozenset([("lo", ">=", node.value), ("hi", "<=", node.value)])
            return [{key: both}]
        return [
            {key: frozenset([("hi", "<", node.value)])},
            {key: frozenset([("lo", ">", node.value)])},
        ]
    if truth:
        return [{key: frozenset([(_STRAIGHT[node.op], node.op, node.value)])}]
    op, field = _MIRROR[node.op]
    return [{key: frozenset([(field, op, node.value)])}]


def _merge(left: Tests, right: Tests) -> Tests | None:
    """Both sets of tests together, or None where one fact cannot meet both."""
    merged = dict(left)
    for key, tests in right.items():
        both = merged.get(key, frozenset()) | tests
        for field in ("is", "known", "fitted"):
            lists = [set(t[2]) for t in both if t[0] == field]
            if len(lists) > 1:
                common = tuple(sorted(set.intersection(*lists)))
                if not common:
                    return None
                both = frozenset(t for t in both if t[0] != field) | {(field, "in", common)}
        merged[key] = both
    return merged


def alternatives(ruleset: Ruleset, inference: Inference, truth: bool) -> list[Alternative]:
    """The alternatives of one inference. Raises EngineFault beyond the engine's limits."""
    found: list[Alternative] = []
    seen: set[tuple[Pattern, ...]] = set()
    for tests in ways(inference.condition, truth):
        patterns = tuple(
            Pattern(
                _kind(ruleset, kind, name),
                name,
                tuple(sorted(group, key=str)),
                _axis(ruleset, kind, name) is not None,
            )
            for (kind, name), group in tests.items()
        )
        if patterns in seen:
            continue
        seen.add(patterns)
        if len(patterns) > MOST_PATTERNS:
            raise EngineFault(f"{inference.name}: more than {MOST_PATTERNS} answers in one rule")
        found.append(Alternative(inference.name, truth, len(found), inference.axis, patterns))
    if len(found) > MOST_ALTERNATIVES:
        raise EngineFault(f"{inference.name}: more than {MOST_ALTERNATIVES} alternatives")
    return found


def _kind(ruleset: Ruleset, kind: str, name: str) -> str:
    if kind != "reading":
        return kind
    return "answer" if name in ruleset.questions else "worked"


def _axis(ruleset: Ruleset, kind: str, name: str) -> str | None:
    if kind == "somewhere":
        return None
    if kind == "pick":
        name = name.rpartition(".")[0]
    return ruleset.names[name].axis


def compile_ruleset(ruleset: Ruleset) -> list[Block]:
    """All inferences, system by system, in blocks that stay inside the engine's limits."""
    blocks: list[Block] = []
    waiting: list[Alternative] = []
    tests_on: Counter[Key] = Counter()

    def close(system: str) -> None:
        if waiting:
            reads = {(p.kind, p.name) for a in waiting for p in a.patterns}
            reads |= {("part", a.axis) for a in waiting if a.axis}
            blocks.append(Block(f"{system}{len(blocks)}", tuple(waiting), frozenset(reads)))
            waiting.clear()
            tests_on.clear()

    system = ""
    for inference in ruleset.inferences.values():
        if inference.system != system:
            close(system)
            system = inference.system
        new = alternatives(ruleset, inference, True) + alternatives(ruleset, inference, False)
        more: Counter[Key] = Counter((p.kind, p.name) for a in new for p in a.patterns)
        full = len(waiting) + len(new) > BLOCK_ALTERNATIVES or any(
            tests_on[key] + count > BLOCK_TESTS_ON_ONE_FACT for key, count in more.items()
        )
        if full:
            close(system)
        waiting += new
        tests_on += more
    close(system)
    return blocks


def compiled_or_none(ruleset: Ruleset) -> list[Block] | None:
    """The same, or None for a ruleset that the engine cannot take: a check says so with places,
    and the engine says so when it is needed."""
    try:
        return compile_ruleset(ruleset)
    except EngineFault:
        return None
