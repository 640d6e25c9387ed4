"""The same conditions as CLIPS rules, written from the syntax tree and not from the compiled
alternatives, so that the two engines share no step after parsing.

Each node of a condition becomes facts (node ID AT TRUTH). A leaf reads the answers; an `and` is
true when all its parts are and false when one is; `or` the other way about; `not` turns it.
CLIPS 6.4 through clipspy (clipspy 1.0.6 on PyPI wraps the engine of clipsrules.net).
"""

from __future__ import annotations

from collections.abc import Iterator

import clips

from assistant.reasoning.facts import Fact
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
)
from assistant.ruleset.ruleset import Ruleset

TEMPLATE = """(deftemplate reading
  (slot name (type STRING)) (slot at (type STRING)) (slot is (type STRING) (default ""))
  (slot number (type SYMBOL) (default no)) (slot lo (type FLOAT) (default 0.0))
  (slot hi (type FLOAT) (default 0.0))
  (slot known (type STRING) (default "")) (slot fitted (type STRING) (default "")))"""
PICK = (
    "(deftemplate pick (slot name (type STRING)) (slot at (type STRING)) (slot has (type STRING)))"
)


class ClipsRuleset:
    """A ruleset in CLIPS. `run` takes the facts of one replay and gives what it decided."""

    def __init__(self, ruleset: Ruleset) -> None:
        self.ruleset = ruleset
        self.environment = clips.Environment()
        self.environment.build(TEMPLATE)
        self.environment.build(PICK)
        self.environment.build(
            "(deftemplate node (slot id (type INTEGER)) (slot at (type STRING)) "
            "(slot truth (type SYMBOL)))"
        )
        self.environment.build(
            "(deftemplate part (slot axis (type STRING)) (slot at (type STRING)))"
        )
        self.count = 0
        self.rules = 0
        self.root: dict[str, int] = {}
        self.axis: dict[int, str | None] = {}
        for name, inference in ruleset.inferences.items():
            node, _ = self.node(inference.condition)
            self.root[name] = self.at_axis(node, inference.axis)
        self.conclusions: dict[int, list[str]] = {}
        for name, node in self.root.items():
            self.conclusions.setdefault(node, []).append(name)

    def at_axis(self, node: int, axis: str | None) -> int:
        """A condition of the whole car, spread over the parts where the rule has parts."""
        if axis is None or self.axis[node] == axis:
            return node
        spread = self.new(axis)
        for truth in "TF":
            self.rule(f"{self.part(axis)} {self.sees(node, truth)}", spread, "?at", truth)
        return spread

    def new(self, axis: str | None) -> int:
        self.count += 1
        self.axis[self.count] = axis
        return self.count

    def part(self, axis: str) -> str:
        return f'(part (axis "{axis}") (at ?at))'

    def sees(self, node: int, truth: str, at: str = "?at") -> str:
        where = at if self.axis[node] else '""'
        return f"(node (id {node}) (at {where}) (truth {truth}))"

    def rule(self, patterns: str, node: int, at: str, truth: str) -> None:
        self.rules += 1
        self.environment.build(
            f"(defrule r{self.rules} {patterns} => "
            f"(assert (node (id {node}) (at {at}) (truth {truth}))))"
        )

    def node(self, tree: Condition) -> tuple[int, str | None]:
        if isinstance(tree, And | Or):
            return self.joined(tree)
        if isinstance(tree, Not):
            inner, axis = self.node(tree.part)
            node = self.new(axis)
            at = "?at" if axis else '""'
            self.rule(self.sees(inner, "T"), node, at, "F")
            self.rule(self.sees(inner, "F"), node, at, "T")
            return node, axis
        if isinstance(tree, Somewhere):
            inner, axis = self.node(tree.part)
            node = self.new(None)
            self.rule(self.sees(inner, "T"), node, '""', "T")
            members = self.ruleset.members(tree.axis)
            all_false = " ".join(self.sees(inner, "F", f'"{m}"') for m in members)
            self.rule(all_false, node, '""', "F")
            return node, None
        return self.leaf(tree)

    def joined(self, tree: And | Or) -> tuple[int, str | None]:
        parts = [self.node(part) for part in tree.parts]
        axis = next((a for _, a in parts if a), None)
        node = self.new(axis)
        at = "?at" if axis else '""'
        lead = self.part(axis) + " " if axis else ""
        all_of, one_of = ("T", "F") if isinstance(tree, And) else ("F", "T")
        self.rule(lead + " ".join(self.sees(p, all_of) for p, _ in parts), node, at, all_of)
        for part, _ in parts:
            self.rule(lead + self.sees(part, one_of), node, at, one_of)
        return node, axis

    def leaf(self, tree: Condition) -> tuple[int, str | None]:
        names = self.ruleset.names
        axis = names[tree.name].axis  # type: ignore[union-attr]
        if isinstance(tree, Concluded):
            return self.root[tree.name], axis
        node = self.new(axis)
        at = "?at" if axis else '""'
        head = f'(name "{tree.name}") (at {at})'  # type: ignore[union-attr]
        for truth, patterns in self.leaf_patterns(tree, head):
            self.rule(patterns, node, at, truth)
        return node, axis

    def leaf_patterns(self, tree: Condition, head: str) -> Iterator[tuple[str, str]]:
        if isinstance(tree, Word):
            given = " ".join(f'"{w}"' for w in tree.words)
            yield "T", f"(reading {head} (is ?w&:(member$ ?w (create$ {given}))))"
            yield "F", f'(reading {head} (is ?w&~""&:(not (member$ ?w (create$ {given})))))'
        elif isinstance(tree, Has):
            pick = head.replace(f'"{tree.name}"', f'"{tree.name}.{tree.pick}"')
            yield "T", f'(pick {pick} (has "yes"))'
            yield "F", f'(pick {pick} (has "no"))'
        elif isinstance(tree, Fitted):
            yield "T", f'(reading {head} (fitted "yes"))'
            yield "F", f'(reading {head} (fitted "no"))'
        elif isinstance(tree, Known):
            yield "T", f'(reading {head} (known "yes"))'
            yield "F", f'(reading {head} (known "no"))'
        elif isinstance(tree, Number):
            yield from self.number(tree, head)

    def number(self, tree: Number, head: str) -> Iterator[tuple[str, str]]:
        v = f"{tree.value:.4f}"
        read = f"(reading {head} (number yes) (lo ?lo) (hi ?hi))"
        tests = {
            "<": (f"(< ?hi {v})", f"(>= ?lo {v})"),
            "<=": (f"(<= ?hi {v})", f"(> ?lo {v})"),
            ">": (f"(> ?lo {v})", f"(<= ?hi {v})"),
            ">=": (f"(>= ?lo {v})", f"(< ?hi {v})"),
            "==": (f"(and (= ?lo {v}) (= ?hi {v}))", f"(or (< ?hi {v}) (> ?lo {v}))"),
        }
        true, false = tests[tree.op]
        yield "T", f"{read} (test {true})"
        yield "F", f"{read} (test {false})"

    def run(self, facts: list[Fact]) -> dict[tuple[str, str], bool]:
        """What CLIPS decides from answer, worked and part facts; a choice is a fact of its own."""
        self.environment.reset()
        reading = self.environment.find_template("reading")
        pick = self.environment.find_template("pick")
        part = self.environment.find_template("part")
        for fact in facts:
            for some, has in ((fact.has, "yes"), (fact.lacks, "no")):
                for one in some:
                    pick.assert_fact(name=f"{fact.name}.{one}", at=fact.at, has=has)
            if fact.kind == "part":
                part.assert_fact(axis=fact.name, at=fact.at)
            else:
                number = fact.lo is not None
                reading.assert_fact(
                    **{
                        "name": fact.name,
                        "at": fact.at,
                        "is": fact.word,
                        "number": clips.Symbol("yes" if number else "no"),
                        "lo": round(float(fact.lo or 0.0), 4),
                        "hi": round(float(fact.hi or 0.0), 4),
                        "known": fact.known,
                        "fitted": fact.fitted,
                    }
                )
        self.environment.run()
        truths: dict[tuple[int, str], set[str]] = {}
        for fact in self.environment.find_template("node").facts():
            node = fact["id"]
            if node in self.conclusions:
                truths.setdefault((node, fact["at"]), set()).add(str(fact["truth"]))
        decided: dict[tuple[str, str], bool] = {}
        for (node, at), found in truths.items():
            for name in self.conclusions[node]:
                if len(found) == 2:
                    raise AssertionError(f"CLIPS finds {name} both true and false")
                decided[(name, at)] = found == {"T"}
        return decided
