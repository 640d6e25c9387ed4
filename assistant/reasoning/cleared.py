"""The items of the standard that were looked at, with nothing found.

An item is cleared only where its check applies to this car, each part that could show it was
answered by something seen, and those answers could have shown it. What was refused, hidden, never
asked, not for this car, withdrawn, or at odds with another reading clears nothing.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from assistant.reasoning.consultation import Consultation
from assistant.ruleset.condition import (
    And,
    Concluded,
    Condition,
    Not,
    Number,
    Or,
    Somewhere,
    Word,
)
from assistant.ruleset.ruleset import Inference, Ruleset, made_once
from assistant.ruleset.truth import evaluate

Item = tuple[str, str]


@dataclass(frozen=True)
class _Test:
    """One test of a rule at one part, and what must hold of it for the rule to fire."""

    node: Condition
    at: str
    holds: bool


@dataclass(frozen=True)
class _All:
    """Tests that must all be met. Without `every`, one of them is enough.

    whom: which cars they are about; of another car they show nothing.
    """

    parts: tuple[_All | _Test, ...]
    every: bool
    whom: Condition | None = None


def cleared_items(consultation: Consultation) -> tuple[str, ...]:
    """The items of the standard that were looked at with nothing found, in ruleset order."""
    rs = consultation.ruleset
    look = _Look(consultation)
    clear = [item for item, rules in _decided_by(rs).items() if look.clears(rules)]
    every = frozenset(clear)
    return tuple(item for item in clear if _below(rs)[item] <= every)


class _Look:
    """What one consultation has seen."""

    def __init__(self, consultation: Consultation) -> None:
        self.consultation = consultation
        self.ruleset = consultation.ruleset
        self.view = consultation.view()
        self.opened = {(f.question, f.at) for f in consultation.follow_ups}
        doubted = [(gone.rule, gone.at) for gone in consultation.withdrawn]
        doubted += [(f.rule, f.at) for f in consultation.findings if f.rule.unsettled]
        self.doubted = {
            item for rule, at in doubted for item in self.ruleset.graph.items_behind(rule.rule, at)
        }
        self.faulty = {name for name, _ in consultation.faults}
        self.seen: dict[Item, bool] = {}
        self.hiding = _hiding(self.ruleset)
        self.tests = _tests_of(self.ruleset)

    def clears(self, rules: list[Inference]) -> bool:
        """Whether one of these rules at least is about this car, and each that may be is clear."""
        whom = [(rule, self._about(rule.applies)) for rule in rules]
        ours = [rule for rule, about in whom if about is True]
        if not ours or any(about is None for _, about in whom):
            return False
        return all(map(self._false, ours)) and all(map(self._clear_everywhere, ours))

    def _about(self, whom: Condition | None) -> bool | None:
        """Whether something is about this car."""
        return True if whom is None else evaluate(whom, self.view)

    def _false(self, rule: Inference) -> bool:
        """Whether a rule is known to be false at every part; a quick look before the long one."""
        if rule.when is None or rule.name in self.faulty:
            return False
        truth = self.consultation.result.truth
        return all(truth(rule.name, at) is False for at in self.ruleset.members(rule.axis))

    def _clear_everywhere(self, rule: Inference) -> bool:
        assert rule.when is not None
        for at in self.ruleset.members(rule.axis):
            if (rule.name, at) not in self.tests:
                self.tests[rule.name, at] = _tests(self.ruleset, rule.when, at, True)
            if not self._clear(self.tests[rule.name, at]):
                return False
        return True

    def _clear(self, node: _All | _Test) -> bool:
        """Whether what was seen shows that this is not so, and could have shown that it is."""
        if isinstance(node, _Test):
            if not self._seen_behind(node):
                return False
            truth = evaluate(node.node, self.view, node.at)
            return truth is not None and truth is not node.holds
        if self._about(node.whom) is not True:
            return False
        if not node.every:
            return all(self._clear(part) for part in node.parts)
        return any(
            self._clear(part)
            and all(o is part or self._seen(o) or self._led_to(part, o) for o in node.parts)
            for part in node.parts
        )

    def _seen(self, node: _All | _Test) -> bool:
        """Whether all that a test hangs on was seen, whatever was seen there."""
        if isinstance(node, _Test):
            return self._seen_behind(node)
        return all(self._seen(part) for part in node.parts)

    def _seen_behind(self, test: _Test) -> bool:
        """Whether all that a test hangs on was seen; looked up where it was asked before."""
        key = (test.node.name, test.at)  # type: ignore[union-attr]
        if key not in self.seen:
            self.seen[key] = self._all_seen(*key)
        return self.seen[key]

    def _all_seen(self, name: str, at: str) -> bool:
        """A number may be worked out of less than all there is, where no rule asks for the rest."""
        items = self.ruleset.graph.items_behind(name, at)
        worked_out = name not in self.ruleset.questions and self.view.reading(name, at).state
        return bool(items) and all(
            self._saw(item) or (worked_out == "value" and self._never_opened(item))
            for item in items
        )

    def _saw(self, item: Item) -> bool:
        """Whether a question that is for this car was answered by something seen."""
        reading = self.consultation.readings.reading(*item)
        if reading.state != "value" or item in self.doubted:
            return False
        if self.consultation.applies(item[0]) is not True:
            return False
        hiding = self.hiding.get(item[0])
        return not hiding or hiding.isdisjoint({reading.word, *(reading.picks or ())})

    def _never_opened(self, item: Item) -> bool:
        """Whether a question is a further one that no rule has asked for, and nobody answered."""
        unasked = self.consultation.readings.reading(*item).state == "unasked"
        further = self.ruleset.questions[item[0]].asked == "follow_up"
        return unasked and further and item not in self.opened

    def _led_to(self, gate: _All | _Test, node: _All | _Test) -> bool:
        """Whether the gate would have led to all further questions that another test hangs on."""
        if isinstance(node, _All):
            return all(self._led_to(gate, part) for part in node.parts)
        name: str = node.node.name  # type: ignore[union-attr]
        return all(
            self._saw(item)
            or (self._never_opened(item) and all(self._opens(t, item[0]) for t in _each(gate)))
            for item in self.ruleset.graph.items_behind(name, node.at)
        )

    def _opens(self, gate: _Test, question: str) -> bool:
        """Whether a rule that asks a question does so where this test is met."""
        return any(
            test.holds is gate.holds and _met_by(test.node, gate.node)
            for test in _leading_to(self.ruleset)[question]
        )


def _each(node: _All | _Test) -> Iterator[_Test]:
    """All tests in it."""
    if isinstance(node, _Test):
        yield node
    else:
        for part in node.parts:
            yield from _each(part)


def _tests(ruleset: Ruleset, node: Condition, at: str, holds: bool) -> _All | _Test:
    """A condition as tests at parts: `not` is pushed down, and conclusions are followed."""
    if isinstance(node, Not):
        return _tests(ruleset, node.part, at, not holds)
    if isinstance(node, Concluded):
        inference = ruleset.inferences[node.name]
        at = at if inference.axis else ""
        when = _tests(ruleset, inference.when or inference.condition, at, holds)
        return _All((when,), True, inference.applies)
    if isinstance(node, Somewhere):
        parts = [(node.part, member) for member in ruleset.members(node.axis)]
    elif isinstance(node, And | Or):
        parts = [(part, at) for part in node.parts]
    else:
        return _Test(node, at, holds)
    every = isinstance(node, And) is holds
    return _All(tuple(_tests(ruleset, part, there, holds) for part, there in parts), every)


@made_once
def _tests_of(_: Ruleset) -> dict[Item, _All | _Test]:
    """The tests of each rule at a part; filled as they are needed."""
    return {}


def _met_by(asking: Condition, gate: Condition) -> bool:
    """Whether a test of a rule that asks is met wherever the gate would be."""
    if isinstance(asking, Word) and isinstance(gate, Word):
        return asking.name == gate.name and set(asking.words) >= set(gate.words)
    if isinstance(asking, Number) and isinstance(gate, Number):
        return asking.name == gate.name
    return asking == gate


@made_once
def _hiding(ruleset: Ruleset) -> dict[str, frozenset[str]]:
    """For each question the choices that say that the thing itself was not seen."""
    found = {
        name: frozenset(word for word, choice in question.choices.items() if choice.hides)
        for name, question in ruleset.questions.items()
    }
    return {name: words for name, words in found.items() if words}


@made_once
def _decided_by(ruleset: Ruleset) -> dict[str, list[Inference]]:
    """For each item the rules that decide it; none for one that the station looks at as well."""
    found: dict[str, list[Inference]] = {}
    station = {only.item for file in ruleset.systems.values() for only in file.tester_only}
    for inference in ruleset.rules:
        if inference.rule is not None and inference.rule.finds is not None:
            item = inference.rule.finds.item
            if not any(one == item or one.startswith(f"{item}(") for one in station):
                found.setdefault(item, []).append(inference)
    return found


@made_once
def _below(ruleset: Ruleset) -> dict[str, set[str]]:
    """For each item those that are a part of it: 1.1.2(a) is one of 1.1.2."""
    items = _decided_by(ruleset)
    return {item: {one for one in items if one.startswith(f"{item}(")} for item in items}


@made_once
def _leading_to(ruleset: Ruleset) -> dict[str, tuple[_Test, ...]]:
    """For each question what makes a rule ask it, through further questions before it."""
    asked_by: dict[str, list[Condition]] = {name: [] for name in ruleset.questions}
    for inference in ruleset.rules:
        if inference.rule is not None and inference.rule.asks is not None:
            for name in inference.rule.asks.questions:
                asked_by[name].append(inference.condition)
    found: dict[str, tuple[_Test, ...]] = {}
    for name in ruleset.questions:
        tests: dict[_Test, None] = {}
        todo, done = [name], {name}
        while todo:
            for condition in asked_by[todo.pop()]:
                for test in _each(_tests(ruleset, condition, "", True)):
                    tests[test] = None
                    for one in ruleset.graph.questions_behind(test.node):
                        if one not in done and ruleset.questions[one].asked == "follow_up":
                            done.add(one)
                            todo.append(one)
        found[name] = tuple(tests)
    return found
