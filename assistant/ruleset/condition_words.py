"""Conditions in words: for whoever reads a finding, for the author of a rule, and for messages.

A reader is told "tread depth below 2 mm"; an author "[tread depth] is less than 2 mm (least
depth)", with the name of each rule and limit. A message uses the names of the file.
"""

from __future__ import annotations

import datetime as dt

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
from assistant.ruleset.ruleset import TODAY, Ruleset
from assistant.ruleset.words import date_words, number_words, range_words

_OTHER = {"<": ">=", "<=": ">", ">": "<=", ">=": "<", "==": "!="}
_AMOUNTS = {
    "<": "below", "<=": "at most", ">": "above", ">=": "at least", "==": "exactly", "!=": "not",
}  # fmt: skip
_DAYS = {
    "<": "before", "<=": "on or before", ">": "after", ">=": "on or after", "==": "on",
    "!=": "not on",
}  # fmt: skip
_AUTHOR_AMOUNTS = {
    "<": "is less than", "<=": "is at most", ">": "is more than", ">=": "is at least",
    "==": "is exactly", "!=": "is not exactly",
}  # fmt: skip
_AUTHOR_DAYS = {
    "<": "is before", "<=": "is not after", ">": "is after", ">=": "is not before",
    "==": "is exactly", "!=": "is not exactly",
}  # fmt: skip


def words_of(ruleset: Ruleset, node: Condition, holds: bool = True, author: bool = False) -> str:
    """A condition as one phrase, or what it says when it does not hold."""
    no = "" if holds else "not "
    if isinstance(node, Not):
        return words_of(ruleset, node.part, not holds, author)
    if isinstance(node, And | Or):
        joined = " and " if isinstance(node, And) == holds else " or "
        return f"({joined.join(words_of(ruleset, part, holds, author) for part in node.parts)})"
    if isinstance(node, Somewhere):
        one, axis = "one or more" if author else "one", ruleset.axes[node.axis].say
        inner = f": {words_of(ruleset, node.part, author=True)}" if author else ""
        return f"at {one if holds else 'none'} of the {axis}{inner}"
    if isinstance(node, Concluded):
        return _concluded(ruleset, node.name, holds, author)
    label = label_of(ruleset, node.name, author)
    if isinstance(node, Fitted | Known):
        return f"{label}: {'it is ' if author else ''}{no}{type(node).__name__.lower()}"
    if isinstance(node, Has):
        choice = choice_words(ruleset, node.name, node.pick)
        return f"{label}: " + (f'"{choice}" is {no}among what is seen' if author else no + choice)
    if isinstance(node, Word) and author:
        words = [f'"{choice_words(ruleset, node.name, word)}"' for word in node.words]
        return f"{label} is {no}{', '.join(words[:-1])}{' or ' if words[1:] else ''}{words[-1]}"
    if isinstance(node, Word):
        words = [w for w in node.all_words if (w in node.words) == holds]
        return f"{label}: {' or '.join(choice_words(ruleset, node.name, w) for w in words)}"
    return f"{label} {_compared(ruleset, node, holds, author)}"


def whole_words(ruleset: Ruleset, condition: Condition | None) -> str:
    """A condition in words, with brackets where parts of parts are joined."""
    if condition is None:
        return ""
    if isinstance(condition, And | Or):
        inner = [(part, whole_words(ruleset, part)) for part in condition.parts]
        joint = " and " if isinstance(condition, And) else " or "
        return joint.join(f"({w})" if isinstance(part, And | Or) else w for part, w in inner)
    if isinstance(condition, Somewhere):
        return f"{words_of(ruleset, condition)}: {whole_words(ruleset, condition.part)}"
    return words_of(ruleset, condition)


def _concluded(ruleset: Ruleset, name: str, holds: bool, author: bool) -> str:
    rule = ruleset.inferences[name].rule
    if author:
        said = f' ("{rule.say}")' if rule else ""
        return f"the rule {name} {'holds' if holds else 'does not hold'}{said}"
    return f"{'' if holds else 'it does not hold that: '}{rule.say if rule else name}"


def _compared(ruleset: Ruleset, test: Number, holds: bool, author: bool) -> str:
    op = test.op if holds else _OTHER[test.op]
    unit = ruleset.names[test.name].unit
    if author:
        words = _AUTHOR_DAYS if unit == "date" else _AUTHOR_AMOUNTS
        return f"{words[op]} {_limit_words(ruleset, test)}"
    if unit == "date":
        return f"{_DAYS[op]} {date_words(dt.date.fromordinal(int(test.value)))}"
    return f"{_AMOUNTS[op]} {range_words(test.value, test.value, unit)}"


def _limit_words(ruleset: Ruleset, test: Number) -> str:
    """What a number is compared with, and the limit that it is: "2 mm (least depth)"."""
    limit = ruleset.limits[test.limit]
    if isinstance(limit.value, dt.date):
        return f"{date_words(limit.value)} ({limit.say})"
    unit = "" if limit.unit == "count" else f" {limit.unit}"
    return f"{number_words(test.value)}{unit} ({limit.say})"


def label_of(ruleset: Ruleset, name: str, author: bool = False) -> str:
    """What an answer, a worked-out fact or a sum is called; for an author in square brackets."""
    if name in ruleset.sums:
        plus = "and" if author else "plus"
        rows = [
            f"{plus if sign > 0 else 'less'} {label_of(ruleset, term, author)}"
            for sign, term in ruleset.sums[name].terms
        ]
        return " ".join(rows).removeprefix(f"{plus} ")
    if name in ruleset.questions or name in ruleset.derived:
        question = ruleset.questions.get(name)
        say = question.label if question else ruleset.derived[name].say
        return f"[{say}]" if author else say
    return "the day of the walk" if author and name == TODAY else name.replace("_", " ")


def choice_words(ruleset: Ruleset, name: str, word: str) -> str:
    """What a word of an answer or of a worked-out fact says."""
    question = ruleset.questions.get(name)
    if question is not None:
        return question.choices[word].say if question.choices else word
    says = ruleset.derived[name].choices if name in ruleset.derived else {}
    return says.get(word, word.replace("_", " "))


def in_names(node: Condition) -> str:
    """A condition in short for messages, with the names of the file."""
    if isinstance(node, Word):
        return f"{node.name} is {' or '.join(node.words)}"
    if isinstance(node, Has):
        return f"{node.pick} among {node.name}"
    if isinstance(node, Number):
        return f"{node.name} {node.op} {node.limit or node.value}"
    if isinstance(node, Concluded):
        return node.name
    if isinstance(node, Fitted | Known):
        return f"{type(node).__name__.lower()}({node.name})"
    if isinstance(node, Not):
        return f"not {in_names(node.part)}"
    if isinstance(node, Somewhere):
        return node.name
    joined = " and " if isinstance(node, And) else " or "
    return "(" + joined.join(in_names(part) for part in node.parts) + ")"
