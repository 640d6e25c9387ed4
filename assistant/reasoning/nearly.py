"""Rules that are one condition short, with what is missing and the question that would tell.

A condition is split into its alternatives. A rule is one condition short where all tests of an
alternative but one are met, and one at least of those that are met was told of on the walk: what
is true of every car of the kind is no sign of anything. Each test is read plainly
(knowledge/evaluation.py). Nothing is concluded here.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from assistant.knowledge.condition_words import words_of_condition
from assistant.knowledge.conditions import Condition, Fitted, Known
from assistant.knowledge.evaluation import evaluate
from assistant.knowledge.models import Rule
from assistant.knowledge.ruleset import Inference, Ruleset
from assistant.knowledge.ways import Test, Way, ways_of
from assistant.reasoning.consultation import Consultation


@dataclass(frozen=True)
class Nearly:
    """A rule that is one condition short at one part.

    missing: the test in words. open: True where it is not known, False where it was answered
    otherwise. question: the question and part whose answer would tell, or None.
    """

    rule: Rule
    at: str
    at_words: str
    missing: str
    open: bool
    question: tuple[str, str] | None


class NearlyFinder:
    """Finds the rules that are one condition short; one for a ruleset, for many consultations."""

    def __init__(self, ruleset: Ruleset) -> None:
        self.ruleset = ruleset
        self._ways = [
            (inference, [way for way in ways_of(inference.condition) if len(way) > 1])
            for inference in ruleset.rules
        ]
        self._ways = [(inference, ways) for inference, ways in self._ways if ways]
        self._start = ruleset.of_the_car
        self._behind: dict[Condition, tuple[str, ...]] = {}

    def find(self, consultation: Consultation) -> tuple[Nearly, ...]:
        """All of them: what is open first, then the gravest, then in the order of the ruleset."""
        found: list[Nearly] = []
        answered = {name for name, _ in consultation.state.answers}
        view = consultation.view()
        for inference, ways in self._ways:
            for at in self.ruleset.members(inference.axis):
                if consultation.result.truth(inference.name, at) is True:
                    continue
                truths: dict[Test, bool | None] = {}
                best: Nearly | None = None
                for way in ways:
                    missing: list[Test] = []
                    for test in way:
                        if test not in truths:
                            truth = evaluate(test[0], view, at)
                            truths[test] = truth if test[1] or truth is None else not truth
                        if truths[test] is not True:
                            missing.append(test)
                            if len(missing) > 1:
                                break
                    if len(missing) != 1 or not self._told(way, missing[0], answered):
                        continue
                    nearly = self._nearly(
                        consultation, inference, at, missing[0], truths[missing[0]]
                    )
                    if nearly and (best is None or (nearly.open and not best.open)):
                        best = nearly
                if best is not None:
                    found.append(best)
        found.sort(key=lambda n: (not n.open, n.rule.urgency.rank if n.rule.urgency else 99))
        return tuple(found)

    def _told(self, way: Way, missing: Test, answered: set[str]) -> bool:
        """Whether something that is met was said of the car's state, not only of its kind.

        That something is not so, or was not found, is no sign.
        """
        return any(
            test[1]
            and not isinstance(test[0], Known | Fitted)
            and any(name in answered and name not in self._start for name in self._names(test[0]))
            for test in way
            if test != missing
        )

    def _names(self, test: Condition) -> tuple[str, ...]:
        if test not in self._behind:
            self._behind[test] = self.ruleset.graph.questions_behind(test)
        return self._behind[test]

    def _nearly(
        self,
        consultation: Consultation,
        inference: Inference,
        at: str,
        missing: Test,
        truth: bool | None,
    ) -> Nearly | None:
        names = self._names(missing[0])
        if inference.rule is None or all(name in self._start for name in names):
            return None  # a car of another kind is not nearly this
        return Nearly(
            inference.rule,
            at,
            self.ruleset.at_words(inference.name, at),
            words_of_condition(self.ruleset, *missing),
            truth is None,
            self._question(consultation, inference, at, names, truth is None),
        )

    def _question(
        self,
        consultation: Consultation,
        inference: Inference,
        at: str,
        names: tuple[str, ...],
        open_: bool,
    ) -> tuple[str, str] | None:
        """The first question behind an open test that is not answered, or that was answered."""
        rs = self.ruleset
        items = [
            (name, part)
            for name in names
            if rs.questions[name].asked != "told" and consultation.applies(name) is not False
            for part in rs.related(inference.axis, at, rs.questions[name].each)
        ]
        answers = consultation.state.answers
        vague = [i for i in items if i in answers and answers[i].answer.state != "value"]
        said = [i for i in items if i in answers and i not in vague]
        unsaid = [i for i in items if i not in answers]
        ordered = [*unsaid, *vague, *said] if open_ else [*said, *vague, *unsaid]
        return ordered[0] if ordered else None


def nearly_words(ruleset: Ruleset, nearly: Sequence[Nearly]) -> list[str]:
    """Each rule in a sentence: what is missing, and what would tell; like parts in one."""
    rows: dict[tuple[str, str, bool], list[Nearly]] = {}
    for one in nearly:
        rows.setdefault((one.rule.rule, one.missing, one.open), []).append(one)
    found = []
    for (_, missing, open_), some in rows.items():
        places = ", ".join(n.at_words for n in some if n.at_words)
        lead = f"{places[:1].upper()}{places[1:]}: " if places else ""
        question = some[0].question
        tell = ""
        if question is not None:
            where = ruleset.at_words(*question)
            label = f"{where} {ruleset.questions[question[0]].label}".strip()
            tell = f" To tell, ask: {label}." if open_ else " It was answered otherwise."
        found.append(f"{lead}Missing: {missing}.{tell} For: {some[0].rule.say}")
    return found
