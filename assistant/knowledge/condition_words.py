"""The tests of a condition in plain words, such as "tread depth below 2 mm"."""

from __future__ import annotations

import datetime as dt

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
from assistant.knowledge.ruleset import Ruleset
from assistant.knowledge.wording import date_words, range_words

_OTHER = {"<": ">=", "<=": ">", ">": "<=", ">=": "<", "==": "!="}
_AMOUNTS = {
    "<": "below", "<=": "at most", ">": "above", ">=": "at least", "==": "exactly", "!=": "not",
}  # fmt: skip
_DAYS = {
    "<": "before", "<=": "on or before", ">": "after", ">=": "on or after", "==": "on",
    "!=": "not on",
}  # fmt: skip


def label_of(ruleset: Ruleset, name: str) -> str:
    """What an answer, a worked-out fact or a sum is called."""
    if name in ruleset.questions:
        return ruleset.questions[name].label
    if name in ruleset.derived:
        return ruleset.derived[name].say
    if name in ruleset.sums:
        terms = ruleset.sums[name].terms
        words = [(" plus " if s > 0 else " less ") + label_of(ruleset, n) for s, n in terms]
        return "".join(words).removeprefix(" plus ").strip()
    return name.replace("_", " ")


def words_of_test(ruleset: Ruleset, test: Condition, wanted: bool = True) -> str:
    """One test of a condition in words; wanted False for a test under `not`.

    Raises TypeError for `and`, `or` and `not`, which are no tests.
    """
    if isinstance(test, Somewhere):
        axis = ruleset.axes[test.axis].say
        return f"at one of the {axis}" if wanted else f"at none of the {axis}"
    if isinstance(test, Concluded):
        rule = ruleset.inferences[test.name].rule
        say = rule.say if rule else test.name
        return say if wanted else f"it does not hold that: {say}"
    if not isinstance(test, Fitted | Known | Word | Has | Number):
        raise TypeError(f"not a single test: {test!r}")
    label = label_of(ruleset, test.name)
    if isinstance(test, Fitted):
        return f"{label}: {'fitted' if wanted else 'not fitted'}"
    if isinstance(test, Known):
        return f"{label}: {'known' if wanted else 'not known'}"
    if isinstance(test, Word):
        words = [w for w in test.all_words if (w in test.words) == wanted]
        return f"{label}: {' or '.join(choice_words(ruleset, test.name, w) for w in words)}"
    if isinstance(test, Has):
        choice = choice_words(ruleset, test.name, test.pick)
        return f"{label}: {'' if wanted else 'not '}{choice}"
    return f"{label} {_compared(ruleset, test, wanted)}"


def words_of_condition(ruleset: Ruleset, node: Condition, wanted: bool = True) -> str:
    """A whole condition in words; wanted False for what stands under a `not`."""
    if isinstance(node, Not):
        return words_of_condition(ruleset, node.part, not wanted)
    if isinstance(node, And | Or):
        joint = " and " if isinstance(node, And) == wanted else " or "
        return joint.join(words_of_condition(ruleset, part, wanted) for part in node.parts)
    words = words_of_test(ruleset, node, wanted)
    if isinstance(node, Somewhere):
        return f"{words}: {words_of_condition(ruleset, node.part)}"
    return words


def choice_words(ruleset: Ruleset, name: str, word: str) -> str:
    """What a word of an answer or of a worked-out fact says."""
    question = ruleset.questions.get(name)
    if question is not None:
        return question.choices[word].say if question.choices else word
    says = ruleset.derived[name].choices if name in ruleset.derived else {}
    return says.get(word, word.replace("_", " "))


def _compared(ruleset: Ruleset, test: Number, wanted: bool) -> str:
    op = test.op if wanted else _OTHER[test.op]
    unit = ruleset.names[test.name].unit
    if unit == "date":
        return f"{_DAYS[op]} {date_words(dt.date.fromordinal(int(test.value)))}"
    return f"{_AMOUNTS[op]} {range_words(test.value, test.value, unit)}"
