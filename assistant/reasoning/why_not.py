"""Why something was not found: the nearest way in which its rule would have fired.

A condition is split into its alternatives. The nearest is the one with the fewest tests that are
not met, then the fewest that are unknown; what another rule concludes, and what is looked for at
several parts, is followed down to tests of answers. The state of each test is the plain
three-valued reading of it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from assistant.reasoning.consultation import Consultation
from assistant.reasoning.engine import EngineView
from assistant.reasoning.trail import MET, NOT_MET, UNKNOWN, Node, basis_of, missing_under, trail_of
from assistant.ruleset.alternatives import Way, ways_of
from assistant.ruleset.condition import Concluded, Condition, Known, Somewhere
from assistant.ruleset.condition_words import words_of
from assistant.ruleset.models import Rule
from assistant.ruleset.truth import evaluate


@dataclass(frozen=True)
class Tested:
    """One test of an alternative at one part; wanted is False for a test under `not`.

    under: the tests of the nearest way in which it would be met, for a test of what another rule
    concludes or of several parts that is not met.
    """

    test: Condition
    wanted: bool
    at: str
    state: str
    under: tuple[Tested, ...] = ()

    def plain(self) -> Iterator[Tested]:
        """The tests of answers in it, itself if it is one."""
        if self.under:
            for one in self.under:
                yield from one.plain()
        else:
            yield self

    @property
    def name(self) -> str:
        return self.test.text if isinstance(self.test, Somewhere) else self.test.name  # type: ignore[union-attr]


def state_of(truth: bool | None) -> str:
    """The truth of a test as "met", "not met" or "unknown"."""
    return {True: MET, False: NOT_MET, None: UNKNOWN}[truth]


class Nearest:
    """Finds nearest alternatives in one consultation; each is worked out once."""

    def __init__(self, consultation: Consultation) -> None:
        self.consultation = consultation
        self.ruleset = consultation.ruleset
        self.view = EngineView(
            consultation.ruleset, consultation.readings, consultation.result.firings
        )
        self._known: dict[tuple[str, str, bool], tuple[Tested, ...]] = {}
        self._ways: dict[tuple[str, bool], list[Way]] = {}

    def of_rule(self, name: str, at: str, wanted: bool = True) -> tuple[Tested, ...]:
        """The tests of the nearest way in which an inference is certainly as wanted."""
        key = (name, at, wanted)
        if key not in self._known:
            condition = self.ruleset.inferences[name].condition
            if (name, wanted) not in self._ways:
                self._ways[(name, wanted)] = ways_of(condition, wanted)
            self._known[key] = self._best(self._ways[(name, wanted)], at)
        return self._known[key]

    def _best(self, ways: list[Way], at: str) -> tuple[Tested, ...]:
        tried = [tuple(self._tested(test, wanted, at) for test, wanted in way) for way in ways]
        return min(tried, key=distance, default=())

    def _tested(self, test: Condition, wanted: bool, at: str) -> Tested:
        if not isinstance(test, Somewhere):
            at = at if self.ruleset.names[test.name].axis else ""  # type: ignore[union-attr]
        truth = evaluate(test, self.view, at)
        state = state_of(truth if wanted or truth is None else not truth)
        if state == MET:
            return Tested(test, wanted, at, state)
        if isinstance(test, Concluded):
            return Tested(test, wanted, at, state, self.of_rule(test.name, at, wanted))
        if isinstance(test, Somewhere):
            return Tested(test, wanted, "", state, self._of_parts(test, wanted))
        return Tested(test, wanted, at, state)

    def _of_parts(self, test: Somewhere, wanted: bool) -> tuple[Tested, ...]:
        """The nearest part; for "at none of them" what stands in the way at each."""
        ways = ways_of(test.part, wanted)
        each = [self._best(ways, member) for member in self.ruleset.members(test.axis)]
        if wanted:
            return min(each, key=distance)
        return tuple(t for row in each for t in row if t.state != MET) or each[0]

    def question_for(self, tested: Tested) -> tuple[str, str] | None:
        """The question, and part, whose answer would tell about a test that is unknown."""
        if tested.state != UNKNOWN or isinstance(tested.test, Somewhere):
            return None
        if self.view.reading(tested.name, tested.at).state == "not_fitted":
            return None
        consultation, questions = self.consultation, self.ruleset.questions
        items = [
            item
            for item in self.ruleset.graph.items_behind(tested.name, tested.at)
            if questions[item[0]].asked != "told" and consultation.applies(item[0]) is not False
        ]
        answers = consultation.state.answers
        unsaid = [i for i in items if i not in answers]
        vague = [i for i in items if i in answers and answers[i].answer.state != "value"]
        for item in [*unsaid, *vague, *items]:
            first = item if item in answers else self._opened_by(item)
            if first is not None:
                return first
        return None

    def _opened_by(self, item: tuple[str, str]) -> tuple[str, str] | None:
        """The question itself, or the one that opens it; None where it will not be asked."""
        consultation, rs = self.consultation, self.ruleset
        opened = {(f.question, f.at) for f in consultation.follow_ups}
        if rs.questions[item[0]].asked == "walk" or item in opened:
            return item
        for inference in rs.rules:
            if inference.rule is None or inference.rule.asks is None:
                continue
            if item[0] not in inference.rule.asks.questions:
                continue
            axis = rs.questions[item[0]].each
            for at in rs.related(axis, item[1], inference.axis):
                if consultation.result.truth(inference.name, at) is not None:
                    continue
                for behind in rs.graph.items_behind(inference.name, at):
                    fits = rs.questions[behind[0]].asked == "walk"
                    if fits and behind not in consultation.state.answers:
                        return behind
        return None


def distance(tests: tuple[Tested, ...]) -> tuple[int, int]:
    """How far an alternative is from met: its answers that are not met, and that are unknown."""
    plain = [one for tested in tests for one in tested.plain()]
    not_met = {(t.name, t.at, t.test) for t in plain if t.state == NOT_MET}
    unknown = {(t.name, t.at) for t in plain if t.state == UNKNOWN}
    return len(not_met), len(unknown)


def why_not(
    consultation: Consultation, rule: str, at: str = "", nearest: Nearest | None = None
) -> Node:
    """The nearest way in which a rule would be certain, as a tree of its tests.

    The root is the rule, with the state of the rule as a whole. Each test carries its state, the
    answer it rests on, and for an unknown one the question that would tell. Where the rule holds
    and yet is not shown, what stands instead is under it. Raises KeyError for an unknown rule.
    """
    nearest = nearest or Nearest(consultation)
    rs = consultation.ruleset
    inference = rs.inferences[rule]
    if inference.rule is None:
        raise KeyError(rule)
    at = at if inference.axis else ""
    truth = consultation.result.truth(rule, at)
    children = tuple(_node(nearest, t) for t in nearest.of_rule(rule, at))
    if truth is True:
        children = (
            _instead(consultation, inference.rule, at) or trail_of(consultation, rule, at).children
        )
    return Node(
        "rule",
        rule,
        at,
        rs.at_words(rule, at),
        inference.rule.say,
        holds=truth is True,
        rule=inference.rule,
        source=rs.sources[inference.rule.source],
        children=children,
        state=state_of(truth),
    )


def _instead(consultation: Consultation, rule: Rule, at: str) -> tuple[Node, ...]:
    """The trails of what is shown in the place of a rule, or rules its danger out."""
    rs = consultation.ruleset
    found: list[Node] = []
    for other in (*rule.gives_way_to, *rs.lowered_by(rule.rule)):
        axis = rs.inferences[other].axis
        parts = (at,) if at in rs.members(axis) else rs.members(axis)
        held = [part for part in parts if consultation.result.truth(other, part) is True]
        found += [trail_of(consultation, other, part) for part in held[:1]]
    return tuple(found)


def _node(nearest: Nearest, tested: Tested) -> Node:
    """A test as a node; under it the answer it rests on, or the tests that would meet it."""
    consultation, rs = nearest.consultation, nearest.ruleset
    text = words_of(rs, tested.test, tested.wanted)
    if isinstance(tested.test, Concluded) and tested.wanted and tested.state != MET:
        return why_not(consultation, tested.name, tested.at, nearest)
    if tested.under:
        children = tuple(_node(nearest, one) for one in tested.under)
    elif isinstance(tested.test, Somewhere):
        children = ()
    else:
        basis = basis_of(consultation, tested.name, tested.at)
        children = () if basis is None else (basis,)
    where = "" if isinstance(tested.test, Somewhere) else rs.at_words(tested.name, tested.at)
    return Node(
        "parts" if isinstance(tested.test, Somewhere) else "condition",
        tested.name,
        tested.at,
        where,
        text,
        holds=tested.state == MET,
        children=children,
        state=tested.state,
        ask=None if tested.under else nearest.question_for(tested),
    )


def nearly_found(consultation: Consultation) -> list[list[Node]]:
    """The rules that almost fired: one thing not known keeps them from it. The gravest first.

    One list a rule, of its parts. Only rules that find something, of which something seen on the
    walk is met already; none whose unknown answer would not be asked, and none that a graver
    finding stands in for.
    """
    nearest, rs = Nearest(consultation), consultation.ruleset
    known = {(f.rule.rule, f.at) for f in consultation.findings}
    known |= {(t.rule.rule, t.at) for t in consultation.too_close}
    found: dict[str, list[Node]] = {}
    ranks: dict[str, tuple[int, int]] = {}
    for inference in rs.rules:
        rule = inference.rule
        if rule is None or not (rule.finds or rule.urgency):
            continue
        for at in rs.members(inference.axis):
            if (rule.rule, at) in known or consultation.result.truth(rule.rule, at) is not None:
                continue
            tests = nearest.of_rule(rule.rule, at)
            if distance(tests) != (0, 1) or _instead(consultation, rule, at):
                continue
            if not any(_seen_on_walk(consultation, t) for t in tests):
                continue
            node = why_not(consultation, rule.rule, at, nearest)
            if missing_under(node):
                found.setdefault(rule.rule, []).append(node)
                ranks[rule.rule] = (rule.urgency.rank if rule.urgency else 99, inference.order)
    return [found[name] for name in sorted(found, key=lambda name: ranks[name])]


def _seen_on_walk(consultation: Consultation, tested: Tested) -> bool:
    """Whether a test that is met rests on something seen, not on the car or on what is unknown."""
    rs = consultation.ruleset
    if tested.under:
        return any(_seen_on_walk(consultation, one) for one in tested.under)
    if tested.state != MET or (isinstance(tested.test, Known) and not tested.wanted):
        return False
    if isinstance(tested.test, Somewhere):
        return True
    return any(
        item in consultation.state.answers
        and rs.places[rs.questions[item[0]].place].stage in ("walk", "triage")
        for item in rs.graph.items_behind(tested.name, tested.at)
    )
