"""Random journals that reach every rule: worked cases mixed with random other answers."""

from __future__ import annotations

import datetime as dt
from random import Random

from assistant.knowledge.conditions import Number, leaves
from assistant.knowledge.journal import Answer, Context, Entry, Said
from assistant.knowledge.ruleset import Ruleset
from assistant.reasoning.cases import CASE_DAY, case_journal


def limits_of(ruleset: Ruleset) -> dict[str, list[float]]:
    """The values each number is compared with."""
    found: dict[str, list[float]] = {}
    for inference in ruleset.inferences.values():
        for leaf in leaves(inference.condition):
            if isinstance(leaf, Number):
                found.setdefault(leaf.name, []).append(leaf.value)
    return found


class JournalMaker:
    """Makes journals from a seed; the same seed gives the same journals."""

    def __init__(self, ruleset: Ruleset, seed: int) -> None:
        self.ruleset = ruleset
        self.random = Random(seed)
        self.limits = limits_of(ruleset)
        self.cases: list[dict[str, object]] = []
        self.dates: list[dt.date | None] = []
        for inference in ruleset.rules():
            assert inference.rule is not None
            for case in inference.rule.cases:
                for answers in (case.fires, *({**case.fires, **near} for near in case.near)):
                    self.cases.append(answers)
                    self.dates.append(case.today)

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
        lo = r.choice(near) + question.step * r.choice([-2, -1, 0, 1, 2])
        lo = min(max(lo, question.range[0]), question.range[1])
        hi = min(lo + question.step * r.choice([0, 0, 0, 1, 3]), question.range[1])
        return Answer(lo=round(lo, 4), hi=round(max(lo, hi), 4))

    def journal(self) -> list[Entry]:
        r = self.random
        index = r.randrange(len(self.cases))
        entries: list[Entry] = []
        taken: set[tuple[str, str]] = set()
        earlier: tuple = ()
        for number in [index, *r.sample(range(len(self.cases)), r.choice([0, 1, 3]))]:
            made = case_journal(self.ruleset, self.cases[number], self.dates[number])
            if number == index:
                assert isinstance(made[0], Context)
                today, earlier = made[0].today, made[0].earlier
            for said in made[1:]:
                assert isinstance(said, Said)
                if (said.question, said.at) not in taken and (number == index or r.random() < 0.8):
                    taken.add((said.question, said.at))
                    entries.append(said)
        share = r.choice([0.0, 0.1, 0.3, 0.7])
        for name, at in self.ruleset.asked_items():
            if (name, at) not in taken and r.random() < share:
                entries.append(Said(turn=1, question=name, at=at, answer=self.answer(name)))
        r.shuffle(entries)
        context = Context(today=today, ruleset=self.ruleset.about.name, earlier=earlier)
        return [context] + [e.model_copy(update={"turn": t}) for t, e in enumerate(entries, 1)]
