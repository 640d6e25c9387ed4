"""Random journals that reach every rule: worked cases mixed with random other answers."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Iterator
from random import Random

from assistant.authoring.check.cases import CASE_DAY, case_journal
from assistant.journal.entries import Answer, Context, Earlier, Entry, Said
from assistant.ruleset.condition import Has, Number, Word, leaves
from assistant.ruleset.ruleset import Ruleset


def limits_of(ruleset: Ruleset) -> dict[str, list[float]]:
    """The values each number is compared with."""
    found: dict[str, list[float]] = {}
    for inference in ruleset.inferences.values():
        for leaf in leaves(inference.condition):
            if isinstance(leaf, Number):
                found.setdefault(leaf.name, []).append(leaf.value)
    return found


def car_first(ruleset: Ruleset, journal: list[Entry]) -> list[Entry]:
    """The same answers, with those about the car before all others, as on a real walk.

    For each answer about the car that comes late a consultation looks at the whole journal again,
    so where the order does not matter this is much quicker.
    """

    def late(entry: Entry) -> bool:
        assert isinstance(entry, Said)
        return entry.question not in ruleset.of_the_car

    ordered = sorted(journal[1:], key=late)
    return [journal[0]] + [e.model_copy(update={"turn": t}) for t, e in enumerate(ordered, 1)]


class JournalMaker:
    """Makes journals from a seed; the same seed and the same notes give the same journals.

    Each journal begins with a worked case of the rule that was reached least so far, and takes
    in cases of other rules that go with it; then come random answers.
    """

    def __init__(self, ruleset: Ruleset, seed: int) -> None:
        self.ruleset = ruleset
        self.random = Random(seed)
        self.limits = limits_of(ruleset)
        self.fires: dict[str, list[list[Entry]]] = {}
        self.near: dict[str, list[list[Entry]]] = {}
        for inference in ruleset.rules:
            rule = inference.rule
            assert rule is not None
            self.fires[rule.rule] = [case_journal(ruleset, c.fires, c.today) for c in rule.cases]
            self.near[rule.rule] = [
                case_journal(ruleset, {**c.fires, **n}, c.today) for c in rule.cases for n in c.near
            ]
        self.names = list(self.fires)
        self.true: Counter[str] = Counter()
        self.false: Counter[str] = Counter()
        self.remembered = sorted(
            {o.name for d in ruleset.derived.values() for o in d.reads if o.when != "now"}
        )

    def note(self, decided: dict[tuple[str, str], bool]) -> None:
        """Tells what the last journal decided, so that the next one goes where few have been."""
        for (name, _), truth in decided.items():
            (self.true if truth else self.false)[name] += 1

    def first(self) -> list[Entry]:
        """A case of one of the rules that were true, or false, least often so far."""
        count, rows = self.random.choice([(self.true, self.fires), (self.false, self.near)])
        name = self.random.choice(sorted(self.names, key=lambda name: count[name])[:30])
        made = self.random.choice(rows[name])
        return made if rows is self.fires else [*made, *self.against(name, made)]

    def against(self, name: str, made: list[Entry]) -> Iterator[Said]:
        """Answers that each meet none of a rule's tests of words, where nothing is said yet.

        A near miss alone mostly leaves a rule open that can be met in many ways.
        """
        taken = {(e.question, e.at) for e in made if isinstance(e, Said)}
        for leaf in leaves(self.ruleset.inferences[name].condition):
            if leaf.name not in self.ruleset.questions or not isinstance(leaf, Word | Has):
                continue
            others = (
                [w for w in leaf.all_words if w not in leaf.words] if isinstance(leaf, Word) else []
            )
            if isinstance(leaf, Word) and not others:
                continue
            answer = Answer(word=self.random.choice(others)) if others else Answer(words=())
            for at in self.ruleset.members(self.ruleset.questions[leaf.name].each):
                if (leaf.name, at) not in taken:
                    taken.add((leaf.name, at))
                    yield Said(turn=1, question=leaf.name, at=at, answer=answer)

    def other(self) -> list[Entry]:
        name = self.random.choice(self.names)
        return self.random.choice((self.fires if self.random.random() < 0.7 else self.near)[name])

    def answer(self, name: str) -> Answer:
        r, question = self.random, self.ruleset.questions[name]
        roll = r.random()
        if roll < 0.08:
            return Answer(state="dont_know")
        if roll < 0.11:
            return Answer(state="cant_look")
        if roll < 0.2 and question.not_fitted:
            return Answer(state="not_fitted")
        if question.kind in ("yes_no", "one_of"):
            return Answer(word=r.choice(question.words()))
        if question.kind == "some_of":
            count = r.choice([0, 0, 1, 1, 2, 3])
            words = question.words()
            return Answer(words=tuple(r.sample(words, min(count, len(words)))))
        if question.kind == "note":
            return Answer(text="a note")
        if question.kind == "date":
            near = self.limits.get(name) or [float(CASE_DAY.toordinal())]
            lo = r.choice(near) + r.choice([-400, -1, 0, 1, 400])
            lo = min(lo, float(CASE_DAY.toordinal()))
            return Answer(lo=lo, hi=lo + r.choice([0, 0, 30, 364]))
        assert question.range is not None
        near = self.limits.get(name) or [sum(question.range) / 2]
        if r.random() < 0.35:
            near = [r.uniform(*question.range)]
        lo = r.choice(near) + question.step * r.choice([-2, -1, 0, 1, 2])
        lo = min(max(lo, question.range[0]), question.range[1])
        if question.kind == "count":
            lo = float(round(lo))
        hi = min(lo + question.step * r.choice([0, 0, 0, 1, 3]), question.range[1])
        return Answer(lo=round(lo, 4), hi=round(max(lo, hi), 4))

    def fine(self, name: str) -> Answer:
        question = self.ruleset.questions[name]
        if question.kind == "some_of":
            return Answer(words=())
        if question.kind in ("yes_no", "one_of") and self.random.random() < 0.9:
            return Answer(word=question.fine or self.random.choice(question.words()))
        return self.answer(name)

    def journal(self) -> list[Entry]:
        r = self.random
        taken: dict[tuple[str, str], Said] = {}
        made = self.first()
        context = made[0]
        assert isinstance(context, Context)
        self.take(taken, made, context)
        for _ in range(r.choice([0, 5, 40, 80])):
            self.take(taken, self.other(), context)
        share, mostly_fine = r.choice([(0.0, False), (0.1, False), (0.5, False), (1.0, True)])
        for name, at in self.ruleset.asked_items:
            if (name, at) not in taken and r.random() < share:
                answer = self.fine(name) if mostly_fine else self.answer(name)
                taken[(name, at)] = Said(turn=1, question=name, at=at, answer=answer)
        if not context.earlier and r.random() < 0.5:
            context = context.model_copy(update={"earlier": tuple(self.earlier(context.today))})
        entries = list(taken.values())
        r.shuffle(entries)
        return [context] + [e.model_copy(update={"turn": t}) for t, e in enumerate(entries, 1)]

    def earlier(self, today: dt.date) -> Iterator[Earlier]:
        """Readings of last time, for the questions that a calculation compares with it."""
        for name in self.remembered:
            for at in self.ruleset.members(self.ruleset.questions[name].each):
                answer = self.answer(name)
                if answer.state == "value":
                    past = today - dt.timedelta(days=365)
                    yield Earlier(question=name, at=at, answer=answer, date=past)

    def take(self, taken: dict[tuple[str, str], Said], made: list[Entry], context: Context) -> None:
        """Adds the answers of a case, unless one of them is there already and says otherwise."""
        assert isinstance(made[0], Context)
        said = [e for e in made[1:] if isinstance(e, Said)]
        if made[0].today != context.today or (made[0].earlier and made[0] is not context):
            return
        for entry in said:
            old = taken.get((entry.question, entry.at))
            if old is not None and old.answer != entry.answer:
                return
        taken.update({(entry.question, entry.at): entry for entry in said})
