"""The same conditions as z3 formulas, written from the syntax tree and not from the compiled
alternatives. Each condition gives two formulas: what makes it certainly true at a part, and what
makes it certainly false; where neither holds it is open.

An answer is one of: a value, "don't know" or "can't look", not fitted, not asked. Words are
numbers into their list, picks are booleans, numbers are a range lo..hi inside the question's own
range. Dates and counts are whole numbers. Sums, "the larger of", the
first known, the lowest of some and the windscreen zone are worked out here anew; other worked-out
facts are free.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator

import z3

from assistant.ruleset.condition import (
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
    children,
    parse,
)
from assistant.ruleset.ruleset import Ruleset

VALUE, UNKNOWN, ABSENT, UNASKED = range(4)
FIRST_DAY = dt.date(1886, 1, 1).toordinal()
TODAYS = dt.date(2018, 5, 20).toordinal(), dt.date(2060, 1, 1).toordinal()
Key = tuple[str, str]
NOTHING_WITHOUT = {
    "age_in_years": ("since", "today"),
    "battery_charge": ("volts",),
    "beam_dip": ("drop_cm", "metres"),
    "beam_verdict": ("dip",),
    "coolant_freezes": ("strength",),
    "coolant_to_drain": ("litres", "strength"),
    "flash_rate": ("flashes", "seconds"),
    "flash_verdict": ("rate", "seconds"),
    "fluid_fall_expected": ("lining",),
    "fluid_fall_verdict": ("fallen", "expected"),
    "pressure_today": ("set_to", "air"),
    "pressure_verdict": ("reading", "plate", "expected"),
    "side_of_band": ("value",),
    "side_of_limit": ("value",),
    "use_rate": ("used", "over"),
    "wear_across": ("inner", "middle", "outer"),
}
"""What a calculation that is not worked out here gives nothing without."""


class Z3Ruleset:
    """A ruleset in z3. `true` and `false` give formulas; `possible` asks whether they can hold."""

    def __init__(self, ruleset: Ruleset) -> None:
        self.ruleset = ruleset
        self.cache: dict[tuple[int, str, bool], z3.BoolRef] = {}
        self.keep: list[Condition] = []
        self.domains: dict[Key, list[z3.BoolRef]] = {}

    def read(self, text: str) -> Condition:
        """A condition in the ruleset's own language."""
        tree, sums = parse(text, self.ruleset.names)
        assert not sums.keys() - self.ruleset.sums.keys()
        self.keep.append(tree)
        return tree

    def first(self, axis: str | None) -> str:
        return self.ruleset.members(axis)[0]

    # readings -----------------------------------------------------------------------------

    def state(self, key: Key) -> z3.ArithRef:
        return z3.Int(f"state {key}")

    def said(self, key: Key) -> z3.BoolRef:
        return self.state(key) == VALUE

    def word(self, key: Key) -> z3.ArithRef:
        return z3.Int(f"word {key}")

    def pick(self, key: Key, pick: str) -> z3.BoolRef:
        return z3.Bool(f"pick {key} {pick}")

    def whole(self, name: str) -> bool:
        question = self.ruleset.questions.get(name)
        return name == "today" or (question is not None and question.kind in ("date", "count"))

    def ends(self, key: Key) -> tuple[z3.ArithRef, z3.ArithRef]:
        if self.whole(key[0]):
            return z3.ToReal(z3.Int(f"lo {key}")), z3.ToReal(z3.Int(f"hi {key}"))
        return z3.Real(f"lo {key}"), z3.Real(f"hi {key}")

    def key(self, name: str, at: str) -> Key:
        return (name, at if self.ruleset.names[name].axis else "")

    # conditions ---------------------------------------------------------------------------

    def true(self, node: Condition, at: str) -> z3.BoolRef:
        return self.formula(node, at, True)

    def false(self, node: Condition, at: str) -> z3.BoolRef:
        return self.formula(node, at, False)

    def formula(self, node: Condition, at: str, want: bool) -> z3.BoolRef:
        cached = self.cache.get((id(node), at, want))
        if cached is None:
            cached = self.cache[(id(node), at, want)] = self.build(node, at, want)
            self.keep.append(node)
        return cached

    def build(self, node: Condition, at: str, want: bool) -> z3.BoolRef:
        if isinstance(node, And | Or):
            parts = [self.formula(part, at, want) for part in node.parts]
            return z3.And(parts) if isinstance(node, And) == want else z3.Or(parts)
        if isinstance(node, Not):
            return self.formula(node.part, at, not want)
        if isinstance(node, Somewhere):
            members = self.ruleset.members(node.axis)
            parts = [self.formula(node.part, member, want) for member in members]
            return z3.Or(parts) if want else z3.And(parts)
        if isinstance(node, Concluded):
            inner = self.ruleset.inferences[node.name]
            return self.formula(inner.condition, at if inner.axis else "", want)
        return self.leaf(node, self.key(node.name, at), want)

    def leaf(self, node: Condition, key: Key, want: bool) -> z3.BoolRef:
        said = self.said(key)
        if isinstance(node, Fitted):
            return said if want else self.state(key) == ABSENT
        if isinstance(node, Known):
            return said if want else self.state(key) == UNKNOWN
        if isinstance(node, Word):
            one = z3.Or([self.word(key) == node.all_words.index(word) for word in node.words])
            return z3.And(said, one if want else z3.Not(one))
        if isinstance(node, Has):
            pick = self.pick(key, node.pick)
            return z3.And(said, pick if want else z3.Not(pick))
        assert isinstance(node, Number)
        lo, hi = self.ends(key)
        limit = real(node.value)
        true, false = {
            "<": (hi < limit, lo >= limit),
            "<=": (hi <= limit, lo > limit),
            ">": (lo > limit, hi <= limit),
            ">=": (lo >= limit, hi < limit),
            "==": (z3.And(lo == limit, hi == limit), z3.Or(hi < limit, lo > limit)),
        }[node.op]
        return z3.And(said, true if want else false)

    # what can be ----------------------------------------------------------------------------

    def keys(self, node: Condition, at: str) -> Iterator[Key]:
        """Every reading that a condition looks at, directly."""
        if isinstance(node, Somewhere):
            for member in self.ruleset.members(node.axis):
                yield from self.keys(node.part, member)
        elif isinstance(node, Concluded):
            inner = self.ruleset.inferences[node.name]
            yield from self.keys(inner.condition, at if inner.axis else "")
        elif inner_parts := children(node):
            for part in inner_parts:
                yield from self.keys(part, at)
        else:
            yield self.key(node.name, at)  # type: ignore[union-attr]

    def behind(self, key: Key) -> set[Key]:
        """The readings that a reading depends on: what it is worked out from, and `applies`."""
        name, at = key
        rs = self.ruleset
        found: set[Key] = set()
        applies = rs.inferences.get(f"applies: {name}")
        if applies is not None:
            found |= set(self.keys(applies.condition, ""))
        for source in rs.graph.reads(name):
            if source in rs.names and rs.names[source].kind != "limit":
                found.add(self.key(source, at))
        if name in rs.questions and rs.questions[name].kind == "date":
            found.add(("today", ""))
        return found - {key}

    def world(self, keys: Iterable[Key]) -> list[z3.BoolRef]:
        """What is always so of these readings, and of those behind them."""
        open_keys, done = set(keys), set[Key]()
        rules: list[z3.BoolRef] = []
        while open_keys:
            key = open_keys.pop()
            done.add(key)
            if key not in self.domains:
                self.domains[key] = list(self.domain(key))
            rules += self.domains[key]
            open_keys |= self.behind(key) - done
        return rules

    def domain(self, key: Key) -> Iterator[z3.BoolRef]:
        name, at = key
        rs, kind = self.ruleset, self.ruleset.names[name]
        state = self.state(key)
        question = rs.questions.get(name)
        if kind.kind == "word":
            yield z3.And(self.word(key) >= 0, self.word(key) < len(kind.words))
        lo, hi = self.ends(key)
        if kind.kind == "number":
            yield lo <= hi
        if name == "today":
            yield z3.And(state == VALUE, lo == hi, lo >= TODAYS[0], lo <= TODAYS[1])
        elif question is None:
            yield z3.Or(state == VALUE, state == UNASKED)
            yield from self.worked(name, at)
        else:
            allowed = [VALUE, UNKNOWN, UNASKED, *([ABSENT] if question.not_fitted else [])]
            yield z3.Or([state == each for each in allowed])
            if question.kind == "date":
                latest = self.ends(("today", ""))[0] + 31 * (question.ahead or 0)
                yield z3.And(lo >= FIRST_DAY, hi <= latest)
            elif question.range is not None:
                yield z3.And(lo >= real(question.range[0]), hi <= real(question.range[1]))
            applies = rs.inferences.get(f"applies: {name}")
            if applies is not None:
                yield z3.Implies(self.false(applies.condition, ""), state == UNASKED)

    def worked(self, name: str, at: str) -> Iterator[z3.BoolRef]:
        """What a worked-out fact is, from what it is worked out from."""
        rs, key = self.ruleset, (name, at)
        lo, hi = self.ends(key)
        if name in rs.sums:
            terms = [(sign, self.key(term, at)) for sign, term in rs.sums[name].terms]
            yield self.said(key) == z3.And([self.said(term) for _, term in terms])
            ends = [(sign, *self.ends(term)) for sign, term in terms]
            yield lo == z3.Sum([low if sign > 0 else -high for sign, low, high in ends])
            yield hi == z3.Sum([high if sign > 0 else -low for sign, low, high in ends])
            return
        derived = rs.derived[name]

        def limit(parameter: str) -> z3.ArithRef:
            source = derived.of[parameter]
            return real(rs.names[source].value if isinstance(source, str) else source)

        def answer(parameter: str) -> Key:
            return self.key(str(derived.of[parameter]), at)

        needed = [answer(parameter) for parameter in NOTHING_WITHOUT.get(derived.compute, ())]
        yield z3.Implies(self.said(key), z3.And([self.said(source) for source in needed]))
        if derived.compute == "larger_of_figure_and_share":
            whole = answer("whole")
            yield self.said(key) == self.said(whole)
            for mine, other in zip((lo, hi), self.ends(whole), strict=True):
                share = other * limit("share") / 100
                yield mine == z3.If(share > limit("figure"), share, limit("figure"))
        elif derived.compute == "first_known":
            first, second = answer("first"), answer("second")
            yield self.said(key) == z3.Or(self.said(first), self.said(second))
            for mine, one, other in zip((lo, hi), self.ends(first), self.ends(second), strict=True):
                yield mine == z3.If(self.said(first), one, other)
        elif derived.compute == "lowest_reading":
            readings = [answer(name) for name in ("one", "inner", "middle", "outer")]
            yield self.said(key) == z3.Or([self.said(reading) for reading in readings])
            for reading in readings:
                ends = self.ends(reading)
                yield z3.Implies(self.said(reading), z3.And(lo <= ends[0], hi <= ends[1]))
            for end, mine in enumerate((lo, hi)):
                same = [z3.And(self.said(r), mine == self.ends(r)[end]) for r in readings]
                yield z3.Implies(self.said(key), z3.Or(same))
        elif derived.compute == "screen_zone":
            offset, size, half = answer("offset"), answer("size"), limit("half")
            near, far = self.ends(offset)  # a distance, never below nought
            small, large = self.ends(size)
            touches, clear = far - small / 2 <= half, near - large / 2 > half
            known = z3.And(self.said(offset), self.said(size), z3.Or(touches, clear))
            yield self.said(key) == known
            words = rs.names[name].words
            wanted = z3.If(touches, words.index("driver"), words.index("elsewhere"))
            yield z3.Implies(self.said(key), self.word(key) == wanted)

    def possible(
        self, formulas: Iterable[z3.BoolRef], nodes: Iterable[tuple[Condition, str]]
    ) -> z3.ModelRef | None:
        """A car for which all formulas hold, or None. nodes: the conditions they speak of."""
        solver = z3.Solver()
        solver.set("timeout", 10_000)
        solver.add(self.world({key for node, at in nodes for key in self.keys(node, at)}))
        solver.add(*formulas)
        answer = solver.check()
        assert answer != z3.unknown, "z3 could not tell"
        return solver.model() if answer == z3.sat else None


def real(value: float) -> z3.ArithRef:
    return z3.RealVal(repr(float(value)))


def said_in(model: z3.ModelRef) -> str:
    """The answers of a model, for messages."""
    lines = [f"{variable} = {model[variable]}" for variable in model.decls()]
    return ", ".join(sorted(line for line in lines if not line.startswith("state")))
