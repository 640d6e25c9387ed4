"""Why a question is asked, and what an answer would change: replays of altered journals."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from assistant.choosing.agenda import Prompt
from assistant.journal.entries import Answer, Entry, Said
from assistant.reasoning.consultation import Consultation, consult
from assistant.reasoning.findings import Finding
from assistant.reasoning.supposed import worded_answers
from assistant.ruleset.condition import Number, leaves
from assistant.ruleset.models import Question, Rule
from assistant.ruleset.ruleset import Ruleset
from assistant.ruleset.words import answer_words

_MOST_OUTCOMES = 12


@dataclass(frozen=True)
class AnswerOutcome:
    """What one possible answer would lead to: findings that are new with it."""

    words: str
    answer: Answer
    new: tuple[Finding, ...]
    opens: tuple[str, ...]


@dataclass(frozen=True)
class WhyAsked:
    """Why a prompt stands where it does.

    could_find: rules that its answer has a part in and that are still open, gravest first.
    opened_by: the rule that opened it, for a follow-up.
    """

    prompt: Prompt
    could_find: tuple[Rule, ...]
    opened_by: Rule | None
    outcomes: tuple[AnswerOutcome, ...]


def with_answer(
    journal: Sequence[Entry], question: str, at: str, answer: Answer, words: str = ""
) -> list[Entry]:
    """A copy of a journal with one more answer, for a look at what would follow."""
    turn = max(e.turn for e in journal) + 1
    return [*journal, Said(turn=turn, question=question, at=at, answer=answer, words=words)]


def why_asked(consultation: Consultation, journal: Sequence[Entry], prompt: Prompt) -> WhyAsked:
    """Works out why a prompt is asked; each possible answer is tried by a real replay."""
    rs = consultation.ruleset
    rules: dict[str, Rule] = {}
    for question, at in prompt.items:
        for inference in rs.graph.hanging_on(question):
            rule, name = inference.rule, inference.name
            decided = consultation.result.truth(name, at if inference.axis else "")
            if rule is not None and (rule.finds or rule.urgency) and decided is None:
                rules[name] = rule
    ordered = sorted(rules.values(), key=lambda r: r.urgency.rank if r.urgency else 99)
    opened = prompt.follow_up.rule if prompt.follow_up else None
    outcomes: list[AnswerOutcome] = []
    if prompt.question is not None:
        question_model = rs.questions[prompt.question]
        left = question_model.vocabulary.difference(prompt.one(rs).words())
        answers = possible_answers(rs, prompt.question)
        here = [a for a in answers if left.isdisjoint(a.words or ()) and a.word not in left]
        for answer in here[:_MOST_OUTCOMES]:
            outcomes.append(_outcome(consultation, journal, prompt, question_model, answer))
    return WhyAsked(prompt, tuple(ordered), opened, tuple(outcomes))


def possible_answers(ruleset: Ruleset, name: str) -> list[Answer]:
    """One answer of each sort: every choice, every single pick, either side of each limit."""
    question = ruleset.questions[name]
    if question.words() or question.kind == "note":
        return worded_answers(question)
    values: set[float] = set()
    for inference in ruleset.graph.hanging_on(name):
        for leaf in leaves(inference.condition):
            if isinstance(leaf, Number) and (leaf.name == name or _same_thing(ruleset, leaf, name)):
                values |= {leaf.value - question.step, leaf.value}
    return [Answer(lo=v, hi=v) for v in sorted(values) if -1e7 <= v <= 1e7]


def _same_thing(ruleset: Ruleset, leaf: Number, name: str) -> bool:
    """Whether a worked-out number is this reading or another of the same sort, in its unit."""
    unit = ruleset.names[name].unit
    return (
        leaf.name in ruleset.derived
        and name in ruleset.graph.reads(leaf.name)
        and ruleset.names[leaf.name].unit == unit
    )


def _outcome(
    consultation: Consultation,
    journal: Sequence[Entry],
    prompt: Prompt,
    question: Question,
    answer: Answer,
) -> AnswerOutcome:
    assert prompt.question is not None
    later = consult(consultation.ruleset, with_answer(journal, prompt.question, prompt.at, answer))
    before = {(f.rule.rule, f.at) for f in consultation.findings}
    asked = {(f.question, f.at) for f in consultation.follow_ups}
    opens = [f.question for f in later.follow_ups if (f.question, f.at) not in asked]
    return AnswerOutcome(
        answer_words(question, answer),
        answer,
        tuple(f for f in later.findings if (f.rule.rule, f.at) not in before),
        tuple(dict.fromkeys(opens)),
    )
