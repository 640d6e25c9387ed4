"""What would change a conclusion: the smallest set of answers whose change makes it go, or come.

Answers are tried by the plain reading of the conditions first; what is told is confirmed by a
real replay of the altered journal. Nothing is kept.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from assistant.choosing.why import with_answer
from assistant.journal.entries import Answer, Entry, Said
from assistant.reasoning.consultation import Consultation, consult
from assistant.reasoning.engine import Supposed
from assistant.reasoning.supposed import suppose, worded_answers
from assistant.ruleset.condition import Known, Number, leaves
from assistant.ruleset.fitting import misfit
from assistant.ruleset.models import Urgency
from assistant.ruleset.ruleset import Ruleset
from assistant.ruleset.truth import evaluate

LARGEST = 2
"""No larger set of answers is looked for."""
MOST_PAIRS = 6000
"""So many pairs of answers are tried at most; ours, assumed."""
Item = tuple[str, str]


@dataclass(frozen=True)
class Change:
    """One answer that would be another; was is None where there is none yet."""

    question: str
    at: str
    answer: Answer
    was: Said | None


@dataclass(frozen=True)
class ChangeSet:
    """Answers that together would change it, and the urgency that would then stand.

    graver: with them something else would be found that is as pressing, or more. urgency: None
    where only the answers behind the rule were replayed.
    """

    changes: tuple[Change, ...]
    graver: bool
    urgency: Urgency | None


@dataclass(frozen=True)
class WhatChanges:
    """What would make a conclusion go (held is True) or come, the nearest answers first.

    size: of the sets found, or of the largest that were looked for where there is none. whole:
    False where there were too many pairs to try all of them.
    """

    rule: str
    at: str
    held: bool
    sets: tuple[ChangeSet, ...]
    size: int
    whole: bool = True


def holds(consultation: Consultation, rule: str, at: str) -> bool:
    """Whether a rule is certain, and not ruled out by something seen."""
    down = any(s.rule.rule == rule and s.at == at for s in consultation.stood_down)
    return consultation.result.truth(rule, at) is True and not down


def altered(journal: Sequence[Entry], changes: Sequence[Change]) -> list[Entry]:
    """A copy of a journal in which the changed answers are given last."""
    entries = list(journal)
    for change in changes:
        entries = with_answer(entries, change.question, change.at, change.answer)
    return entries


def candidates(ruleset: Ruleset, item: Item, now: Answer | None, rule: str) -> list[Answer]:
    """The answers that are tried for a question, those nearest to the answer that stands first.

    Those of each sort; for picks also one more and one fewer than now; for a number
    also a step past each limit of what the rule reads, and the ends of the range.
    """
    name, at = item
    question = ruleset.questions[name]
    found = worded_answers(question)
    found.sort(key=lambda a: question.fine is None or a.word != question.fine)
    if question.kind == "some_of" and now is not None and now.words is not None:
        fewer = [Answer(words=tuple(w for w in now.words if w != one)) for one in now.words]
        more = [Answer(words=(*now.words, one)) for one in question.words() if one not in now.words]
        found = [*fewer, *more, *found]
    if question.range is not None or question.kind == "date":
        found = _numbers(ruleset, name, now, rule)
    if question.not_fitted:
        found.append(Answer(state="not_fitted"))
    if any(isinstance(leaf, Known) and leaf.name == name for leaf in _leaves_behind(ruleset, rule)):
        found.append(Answer(state="dont_know"))
    kept = {a: None for a in found if a != now and misfit(ruleset, name, at, a) is None}
    return list(kept)


def _numbers(ruleset: Ruleset, name: str, now: Answer | None, rule: str) -> list[Answer]:
    """Numbers on either side of each limit that the rule compares something of this unit with."""
    question = ruleset.questions[name]
    unit = ruleset.names[name].unit
    values: set[float] = set()
    for leaf in _leaves_behind(ruleset, rule):
        if isinstance(leaf, Number) and ruleset.names[leaf.name].unit == unit:
            step = question.step
            values |= {leaf.value - step, leaf.value, leaf.value + step}
    ends: set[float] = set()
    if question.range is not None:
        low, high = question.range
        values = {v for v in values if low <= v <= high}
        ends = {low, high} - values
    if now is None or now.lo is None or now.hi is None:
        near = [*sorted(values), *sorted(ends)]
    else:
        middle = (now.lo + now.hi) / 2
        near = sorted(values | ends, key=lambda v: (abs(v - middle), v))
    return [Answer(lo=round(v, 4), hi=round(v, 4)) for v in near if -1e7 <= v <= 1e7]


def _leaves_behind(ruleset: Ruleset, rule: str) -> Iterator[object]:
    """All tests behind a rule, through the rules that it reads, and behind what rules it out."""
    for name in ruleset.graph.behind([rule, *ruleset.lowered_by(rule)]):
        if name in ruleset.inferences:
            yield from leaves(ruleset.inferences[name].condition)


def what_would_change(
    ruleset: Ruleset,
    journal: Sequence[Entry],
    rule: str,
    at: str = "",
    most: int = 3,
    now: Consultation | None = None,
    narrow: bool = False,
) -> WhatChanges:
    """The smallest sets of answers whose change makes a conclusion go, or come if it is not there.

    At most `most` sets, each of other questions than the ones before it. narrow: replays only what
    is behind the rule, and what was said of the car, which is quicker and comes to the same for
    this rule; the urgency is then not known. Raises KeyError for an unknown rule.
    """
    consultation = now or consult(ruleset, journal)
    at = at if ruleset.inferences[rule].axis else ""
    search = _Search(consultation, journal, rule, at, narrow)
    for size in range(1, LARGEST + 1):
        sets = search.sets(size, most)
        if sets:
            return WhatChanges(rule, at, search.held, tuple(sets), size, search.whole)
    return WhatChanges(rule, at, search.held, (), LARGEST, search.whole)


class _Search:
    """One search among the answers behind a rule."""

    def __init__(
        self, now: Consultation, journal: Sequence[Entry], rule: str, at: str, narrow: bool
    ) -> None:
        self.now, self.rule, self.at = now, rule, at
        self.ruleset = now.ruleset
        self.held = holds(now, rule, at)
        self.narrow = narrow
        self.whole = True
        items = self._items()
        self.journal = self._behind(items) if narrow else list(journal)
        answers = now.state.answers
        self.tried: dict[Item, list[Answer]] = {
            item: candidates(
                self.ruleset, item, answers[item].answer if item in answers else None, rule
            )
            for item in items
        }
        self.lowering = [
            (other, part) for other in self.ruleset.lowered_by(rule) for part in self._parts(other)
        ]

    def _parts(self, other: str) -> tuple[str, ...]:
        members = self.ruleset.members(self.ruleset.inferences[other].axis)
        return (self.at,) if self.at in members else members

    def _items(self) -> list[Item]:
        """The answers behind the rule: what was seen before what was said of the car.

        What is missing comes first where the conclusion is to come, and last where it is to go.
        """
        rs = self.ruleset
        found = dict.fromkeys(rs.graph.items_behind(self.rule, self.at))
        for other in rs.lowered_by(self.rule):
            for part in self._parts(other):
                found.update(dict.fromkeys(rs.graph.items_behind(other, part)))
        usable = [
            item
            for item in found
            if (rs.questions[item[0]].asked != "told" or item in self.now.state.answers)
            and self.now.applies(item[0]) is not False
        ]
        answers = self.now.state.answers

        opened = {(f.question, f.at) for f in self.now.follow_ups}

        def order(item: Item) -> tuple[bool, bool, bool]:
            question = rs.questions[item[0]]
            about_car = item[0] in rs.of_the_car
            unopened = question.asked == "follow_up" and item not in {*answers, *opened}
            return about_car, unopened, (item in answers) != self.held

        return sorted(usable, key=order)

    def _behind(self, items: list[Item]) -> list[Entry]:
        """A journal of only what is behind the rule, and what was said of the car."""
        rs, state = self.ruleset, self.now.state
        kept = [
            said
            for key, said in state.answers.items()
            if key in set(items) or key[0] in rs.of_the_car
        ]
        return [state.context, *kept]

    def sets(self, size: int, most: int) -> list[ChangeSet]:
        """The confirmed sets of one size, one for each choice of questions."""
        found: list[ChangeSet] = []
        pairs = 0
        for chosen in itertools.combinations(self.tried, size):
            working: list[tuple[bool, Mapping[Item, Answer]]] = []
            for answers in itertools.product(*(self.tried[item] for item in chosen)):
                pairs += size > 1
                if pairs > MOST_PAIRS:
                    self.whole = False
                    return found
                given = dict(zip(chosen, answers, strict=True))
                view = suppose(self.now, given)
                if self._held_in(view) != self.held:
                    working.append((self._graver(chosen, view), given))
                    if not working[-1][0]:
                        break
            working.sort(key=lambda w: w[0])
            for graver, works in working:
                near = self._nearest(works) if size == 1 and not graver else works
                confirmed = self._confirmed(near, graver)
                if confirmed is not None:
                    found.append(confirmed)
                    break
            if sum(not one.graver for one in found) >= most:
                break
        milder = [one for one in found if not one.graver]
        return (milder or found)[:most]

    def _graver(self, chosen: tuple[Item, ...], view: Supposed) -> bool:
        """Whether something else as pressing, or more, would be found, by the plain reading."""
        rs, result = self.ruleset, self.now.result
        if not self.held:
            return False
        own = self._rank(self.rule)
        hanging = [i for item in chosen for i in rs.graph.hanging_on(item[0])]
        for name, axis in {i.name: i.axis for i in hanging if i.role == "rule"}.items():
            if name == self.rule or self._rank(name) > own:
                continue
            for at in rs.members(axis):
                if result.truth(name, at) is not True and view.concluded(name, at) is True:
                    return True
        return False

    def _rank(self, name: str) -> int:
        rule = self.ruleset.inferences[name].rule
        return rule.urgency.rank if rule is not None and rule.urgency is not None else 99

    def _changes_it(self, given: Mapping[Item, Answer]) -> bool:
        """Whether the plain reading says that these answers change it."""
        return self._held_in(suppose(self.now, given)) != self.held

    def _held_in(self, view: Supposed) -> bool:
        condition = self.ruleset.inferences[self.rule].condition
        if evaluate(condition, view, self.at) is not True:
            return False
        return not any(view.concluded(other, part) is True for other, part in self.lowering)

    def _nearest(self, given: Mapping[Item, Answer]) -> Mapping[Item, Answer]:
        """A single number moved as near to what was said as it still changes it, by halving."""
        ((item, answer),) = given.items()
        said = self.now.state.answers.get(item)
        step = self.ruleset.questions[item[0]].step
        if answer.lo is None or said is None or said.answer.lo is None or said.answer.hi is None:
            return given
        good = round(answer.lo / step)
        start = said.answer.lo if answer.lo < said.answer.lo else said.answer.hi
        bad = round(start / step)
        while abs(good - bad) > 1:
            middle = (good + bad) // 2
            value = round(middle * step, 4)
            if self._changes_it({item: Answer(lo=value, hi=value)}):
                good = middle
            else:
                bad = middle
        value = round(good * step, 4)
        nearer = {item: Answer(lo=value, hi=value)}
        fits = misfit(self.ruleset, *item, nearer[item]) is None and self._changes_it(nearer)
        return nearer if fits else given

    def _confirmed(self, given: Mapping[Item, Answer], graver: bool) -> ChangeSet | None:
        """The set, if a real replay comes to the same."""
        answers = self.now.state.answers
        changes = tuple(
            Change(name, at, answer, answers.get((name, at)))
            for (name, at), answer in given.items()
        )
        if self.narrow:
            later = consult(self.ruleset, _replaced(self.journal, changes))
        else:
            later = consult(self.ruleset, altered(self.journal, changes))
        if holds(later, self.rule, self.at) == self.held:
            return None
        return ChangeSet(changes, graver, None if self.narrow else later.urgency)


def _replaced(journal: Sequence[Entry], changes: Sequence[Change]) -> list[Entry]:
    """A journal in which the changed answers stand in the place of those that were given."""
    keys = {(c.question, c.at) for c in changes}
    kept = [e for e in journal if not isinstance(e, Said) or (e.question, e.at) not in keys]
    return altered(kept, changes)
