"""From conditions to the patterns durable-rules is given.

A condition is compiled twice, unless nobody asks whether it is false: what makes it certainly
true, and what makes it certainly false. `not` is pushed down into the tests, the result is
split into alternatives, and an alternative has one positive pattern a fact, with all tests on
that fact merged into it. So the engine never sees a negation, an `any`, or two patterns that
could want the same fact.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby
from typing import Any, NamedTuple

from assistant.errors import EngineFault
from assistant.ruleset.alternatives import Way, ways_of
from assistant.ruleset.condition import (
    Concluded,
    Condition,
    Fitted,
    Has,
    Known,
    Number,
    Somewhere,
    Word,
)
from assistant.ruleset.ruleset import Inference, Key, Ruleset, mark_of, pick_field

Told = tuple[str, str]
"""The kind and the name of a fact."""
Test = tuple[Any, ...]
Tests = dict[Told, frozenset[Test]]

MOST_ALTERNATIVES = 64
MOST_PATTERNS = 15
BLOCK_ALTERNATIVES = 120
BLOCK_TESTS_ON_ONE_FACT = 50
CONCLUSIONS = ("concluded", "somewhere")
_MIRROR = {"<": (">=", "lo"), "<=": (">", "lo"), ">": ("<=", "hi"), ">=": ("<", "hi")}
_STRAIGHT = {"<": "hi", "<=": "hi", ">": "lo", ">=": "lo"}
_ENGINE_OP = {"<": "$lt", "<=": "$lte", ">": "$gt", ">=": "$gte"}


class Pattern(NamedTuple):
    """All tests on one fact. joined: it must stand at the same part as the rule."""

    kind: str
    name: str
    tests: tuple[Test, ...]
    joined: bool


class Alternative(NamedTuple):
    """One way in which an inference is certainly true (or certainly false)."""

    inference: str
    truth: bool
    axis: str | None
    patterns: tuple[Pattern, ...]

    @property
    def asked(self) -> Asked:
        """What the engine is asked: the same for alternatives that are met by the same facts."""
        return self.patterns, self.axis if self.of_any_part else None

    @property
    def of_any_part(self) -> bool:
        """Whether it holds at every part alike, so that the part itself has to be a pattern."""
        return self.axis is not None and not any(pattern.joined for pattern in self.patterns)

    @property
    def where(self) -> int | None:
        """The number, as the engine has them, of the pattern whose fact says at which part this
        holds; None for the whole car."""
        if self.axis is None:
            return None
        return next((i for i, pattern in enumerate(self.patterns) if pattern.joined), 0)

    def for_engine(self) -> list[dict[str, Any]]:
        """The patterns in the dictionary form of durable-rules.

        All that is of one part is joined to the first that is; if nothing is, to the part itself.
        """
        result: list[dict[str, Any]] = []
        where = self.where
        if self.of_any_part:
            result.append({"part": {"$ex": {mark_of("part", str(self.axis)): 1}}})
        for index, pattern in enumerate(self.patterns):
            tests: list[Any] = [{"$ex": {mark_of(pattern.kind, pattern.name): 1}}]
            if pattern.joined and where != index:
                tests.append({"at": {f"f{where}": "at"}})
            # a list of words becomes an $or, and durable-rules ignores a join that follows one
            tests += sorted(
                (_engine_test(test) for test in pattern.tests), key=lambda t: "$or" in t
            )
            result.append({f"f{index}": {"$and": tests}})
        return result


Asked = tuple[tuple[Pattern, ...], str | None]
"""The patterns of an alternative, and the axis where the part itself is one of them."""


@dataclass(frozen=True)
class Block:
    """A handful of alternatives that make one durable ruleset, inside the engine's limits.

    later: whether each of them reads a conclusion, so that nothing can follow in the first round.
    The others are kept apart from these, so that a new conclusion does not run them again.
    symptom: the inference whose causes all of it weighs, and without which it counts for nothing.
    """

    name: str
    alternatives: tuple[Alternative, ...]
    reads: frozenset[Told]
    later: bool = False
    symptom: str | None = None


def _engine_test(test: Test) -> Any:
    field, op, value = test
    if op == "in":
        words = [{field: word} for word in value]
        return words[0] if len(words) == 1 else {"$or": words}
    return {_ENGINE_OP[op]: {field: value}}


def _word_test(words: tuple[str, ...]) -> frozenset[Test]:
    return frozenset([("is", "in", tuple(sorted(words)))])


def _merged(way: Way) -> list[Tests]:
    """One alternative as tests on facts; several where a number may lie on either side."""
    found: list[Tests] = [{}]
    for node, truth in way:
        both = [_merge(left, right) for left in found for right in _leaf(node, truth)]
        found = [tests for tests in both if tests is not None]
    return found


def _leaf(node: Condition, truth: bool) -> list[Tests]:
    yes_no = "yes" if truth else "no"
    if isinstance(node, Somewhere):
        return [{("somewhere", node.name): _word_test((yes_no,))}]
    if isinstance(node, Concluded):
        return [{("concluded", node.name): _word_test((yes_no,))}]
    if isinstance(node, Has):
        return [{("reading", node.name): frozenset([(pick_field(node.pick), "in", (yes_no,))])}]
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
        for field in sorted({field for field, op, _ in both if op == "in"}):
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
    every = (tests for way in ways_of(inference.condition, truth) for tests in _merged(way))
    for tests in every:
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
        found.append(Alternative(inference.name, truth, inference.axis, patterns))
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
    return ruleset.names[name].axis


def compile_ruleset(ruleset: Ruleset) -> list[Block]:
    """All inferences in blocks that stay inside the engine's limits: first what says whom a
    question concerns, then system by system."""
    concerning = [
        a
        for inference in ruleset.inferences.values()
        if inference.says_whom
        for truth in (True, False)
        for a in alternatives(ruleset, inference, truth)
    ]
    blocks = [_block(f"concerns{i}", some) for i, some in enumerate(_parted(concerning))]
    for system, inferences in groupby(ruleset.inferences.values(), key=lambda inf: inf.system):
        rules: list[Alternative] = []
        evidence: dict[str, list[Alternative]] = {}
        for inference in inferences:
            if inference.says_whom:
                continue
            for truth in (True, False) if inference.both_sides else (True,):
                some = alternatives(ruleset, inference, truth)
                if inference.symptom is not None and inference.role == "evidence":
                    name = Key("symptom", inference.symptom.symptom).text
                    evidence.setdefault(name, []).extend(some)
                else:
                    rules += some
        later = [a for a in rules if any(p.kind in CONCLUSIONS for p in a.patterns)]
        others = [a for a in rules if not any(p.kind in CONCLUSIONS for p in a.patterns)]
        blocks += (_block(f"{system}{i}", some) for i, some in enumerate(_parted(others)))
        blocks += (
            _block(f"{system}_later{i}", some, later=True) for i, some in enumerate(_parted(later))
        )
        blocks += (
            _block(f"{name}{i}", some, symptom=name)
            for name, weighing in evidence.items()
            for i, some in enumerate(_parted(weighing))
        )
    return blocks


def _parted(some: list[Alternative]) -> Iterator[list[Alternative]]:
    """Alternatives in as few lots as can be; those of one inference stay together. What the
    engine is asked twice in a lot counts once."""
    waiting: list[Alternative] = []
    asked: set[Asked] = set()
    tests_on: Counter[Told] = Counter()
    for _, group in groupby(some, key=lambda a: a.inference):
        new = list(group)
        more = {a.asked for a in new} - asked
        if waiting and (
            len(asked) + len(more) > BLOCK_ALTERNATIVES
            or any(tests_on[k] + n > BLOCK_TESTS_ON_ONE_FACT for k, n in _tests_on(more).items())
        ):
            yield waiting
            waiting, asked = [], set()
            tests_on.clear()
            more = {a.asked for a in new}
        waiting += new
        asked |= more
        tests_on += _tests_on(more)
    if waiting:
        yield waiting


def _tests_on(asked: set[Asked]) -> Counter[Told]:
    return Counter((p.kind, p.name) for patterns, _ in asked for p in patterns)


def _block(
    name: str, some: list[Alternative], later: bool = False, symptom: str | None = None
) -> Block:
    reads = {(p.kind, p.name) for a in some for p in a.patterns}
    reads |= {("part", a.axis) for a in some if a.axis and a.of_any_part}
    return Block(name, tuple(some), frozenset(reads), later, symptom)


def compiled_or_none(ruleset: Ruleset) -> list[Block] | None:
    """The same, or None for a ruleset that the engine cannot take: a check says so with places,
    and the engine says so when it is needed."""
    try:
        return compile_ruleset(ruleset)
    except EngineFault:
        return None
