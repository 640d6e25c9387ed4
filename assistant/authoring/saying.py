"""Conditions and worked cases in plain words."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

from assistant.knowledge.conditions import (
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
from assistant.knowledge.grammar import and_words
from assistant.knowledge.models import CaseAnswer
from assistant.knowledge.ruleset import TODAY, Ruleset
from assistant.knowledge.wording import answer_words, date_words, number_words
from assistant.reasoning.cases import typed_answer

_COMPARED = {
    "<": "is less than", "<=": "is at most", ">": "is more than", ">=": "is at least",
    "==": "is exactly",
}  # fmt: skip
_DAYS = {
    "<": "is before", "<=": "is not after", ">": "is after", ">=": "is not before",
    "==": "is exactly",
}  # fmt: skip
_OTHER_WAY = {"<": ">=", "<=": ">", ">": "<=", ">=": "<"}


def condition_rows(ruleset: Ruleset, node: Condition, depth: int = 0) -> list[str]:
    """A condition as rows: what must hold together, or the ways in which it can hold."""
    pad = "  " * depth
    if isinstance(node, And | Or):
        head = "all of these hold:" if isinstance(node, And) else "one of these holds:"
        rows = [f"{pad}{head}"]
        for part in node.parts:
            inner = condition_rows(ruleset, part, depth + 1)
            rows += [f"{pad}  - {inner[0].strip()}", *(f"  {row}" for row in inner[1:])]
        return rows
    return [pad + condition_words(ruleset, node)]


def condition_words(ruleset: Ruleset, node: Condition, holds: bool = True) -> str:
    """A condition as one phrase, or what it says when it does not hold."""
    if isinstance(node, Not):
        return condition_words(ruleset, node.part, not holds)
    if isinstance(node, And | Or):
        joined = " and " if isinstance(node, And) == holds else " or "
        parts = [condition_words(ruleset, part, holds) for part in node.parts]
        return f"({joined.join(parts)})"
    if isinstance(node, Somewhere):
        axis = ruleset.axes[node.axis].say
        inner = condition_words(ruleset, node.part)
        return f"at {'one or more' if holds else 'none'} of the {axis}: {inner}"
    if isinstance(node, Concluded):
        rule = ruleset.inferences[node.name].rule
        said = f' ("{rule.say}")' if rule else ""
        return f"the rule {node.name} {'holds' if holds else 'does not hold'}{said}"
    name = label(ruleset, node.name)
    if isinstance(node, Fitted):
        return f"{name}: it is {'fitted' if holds else 'not fitted'}"
    if isinstance(node, Known):
        return f"{name}: it is {'known' if holds else 'not known'}"
    if isinstance(node, Has):
        word = choice(ruleset, node.name, node.pick)
        return f'{name}: "{word}" is {"" if holds else "not "}among what is seen'
    if isinstance(node, Word):
        words = [f'"{choice(ruleset, node.name, word)}"' for word in node.words]
        return f"{name} is {'' if holds else 'not '}{and_words(words, 'or')}"
    return _number_words(ruleset, node, holds)


def _number_words(ruleset: Ruleset, node: Number, holds: bool) -> str:
    unit = ruleset.names[node.name].unit
    words = _DAYS if unit == "date" else _COMPARED
    if not holds and node.op == "==":
        compared = "is not exactly"
    else:
        compared = words[node.op if holds else _OTHER_WAY[node.op]]
    return f"{label(ruleset, node.name)} {compared} {limit_words(ruleset, node.limit, node.value)}"


def limit_words(ruleset: Ruleset, name: str, value: float) -> str:
    """A limit with its figure: "2 mm (least depth)"."""
    limit = ruleset.limits.get(name)
    if limit is None:
        return number_words(value)
    if isinstance(limit.value, dt.date):
        return f"{date_words(limit.value)} ({limit.say})"
    unit = "" if limit.unit in ("count",) else f" {limit.unit}"
    return f"{number_words(value)}{unit} ({limit.say})"


def label(ruleset: Ruleset, name: str) -> str:
    """What a name in a condition stands for, in the author's words."""
    if name == TODAY:
        return "the day of the walk"
    if name in ruleset.questions:
        return f"[{ruleset.questions[name].label}]"
    if name in ruleset.derived:
        return f"[{ruleset.derived[name].say}]"
    if name in ruleset.sums:
        terms = ruleset.sums[name].terms
        rows = [f"{'less' if sign < 0 else 'and'} {label(ruleset, term)}" for sign, term in terms]
        return " ".join(rows).removeprefix("and ")
    limit = ruleset.limits.get(name)
    return f"[{limit.say}]" if limit else name


def choice(ruleset: Ruleset, name: str, word: str) -> str:
    """One answer of a question, or one word of a calculation, as it is said."""
    question = ruleset.questions.get(name)
    if question is not None and word in question.choices:
        return question.choices[word].say
    if name in ruleset.derived:
        return ruleset.derived[name].choices.get(word, word.replace("_", " "))
    return word.replace("_", " ")


def answers_words(ruleset: Ruleset, answers: Mapping[str, CaseAnswer]) -> list[str]:
    """The answers of a worked case, one phrase each. Raises CaseError where one does not fit."""
    rows: list[str] = []
    for key, value in answers.items():
        earlier = key.startswith("earlier ")
        name, _, at = key.removeprefix("earlier ").partition("@")
        answer = typed_answer(ruleset, name, value)
        question = ruleset.questions[name]
        where = ruleset.at_words(name, at) if at else ""
        tail = "".join([f", {where}" if where else "", ", a year before" if earlier else ""])
        rows.append(f"{label(ruleset, name)}{tail}: {answer_words(question, answer)}")
    return rows
