"""How many minutes a check takes: one formula, and its constants stand in ruleset.yaml.

Words to read, seconds for each part that is looked at or tried, and one line to type. The way from
place to place comes on top (`way`). Nothing else changes a minute.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from assistant.ruleset.models import Group, Question
from assistant.ruleset.ruleset import Ruleset


def minutes_for(
    ruleset: Ruleset, items: Sequence[tuple[str, str]], asked: Question | Group
) -> float:
    """Minutes for one prompt: a single question at one part, or a group with its items."""
    pace = ruleset.about.timing
    reading = words_for(ruleset, items, asked) / pace.words_a_minute.value
    looking = sum(ruleset.questions[name].seconds for name, _ in items)
    return reading + (looking + pace.typing_seconds.value) / 60


def words_for(ruleset: Ruleset, items: Sequence[tuple[str, str]], asked: Question | Group) -> float:
    """The words of one prompt that are read, with the line of ours below it."""
    words = sum(len(text.split()) for text in _texts(ruleset, items, asked))
    return words + ruleset.about.timing.hint_words.value


def way(ruleset: Ruleset) -> float:
    """Minutes from one place to the next."""
    return ruleset.about.timing.way_seconds.value / 60


def _texts(
    ruleset: Ruleset, items: Sequence[tuple[str, str]], asked: Question | Group
) -> Iterable[str]:
    """What is read: cautions, the question, its items or choices."""
    yield from (ruleset.cautions[name] for name in asked.cautions)
    yield asked.ask
    yield asked.brief or ""
    if isinstance(asked, Group):
        yield from (ruleset.label_here(*item) for item in items)
    else:
        yield from (choice.say for choice in asked.choices.values())
