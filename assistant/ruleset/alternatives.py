"""The alternatives of a condition: its disjunctive normal form, each a row of tests.

The compiler makes patterns of them, and whoever explains a rule looks for the nearest. Two others
go down a condition and are no split into alternatives: authoring/check/regions.py branches one
step at a time and gives up early, through rules and parts, since all alternatives would be too
many; and reasoning/cleared.py keeps `and` and `or` as they stand.
"""

from __future__ import annotations

from assistant.errors import EngineFault
from assistant.ruleset.condition import And, Condition, Not, Or, Word

MOST_WAYS = 256
"""More ways of one condition than this are refused; no rule has so many."""
Test = tuple[Condition, bool]
"""One test, and whether it is wanted to be true; False for a test under `not`."""
Way = tuple[Test, ...]


def ways_of(node: Condition, wanted: bool = True) -> list[Way]:
    """The ways in which a condition is as wanted, each a row of tests; none that is impossible.

    Raises EngineFault where there are too many.
    """
    if isinstance(node, Not):
        return ways_of(node.part, not wanted)
    if not isinstance(node, And | Or):
        return [((node, wanted),)]
    parts = [ways_of(part, wanted) for part in node.parts]
    if isinstance(node, And) != wanted:
        return [way for part in parts for way in part]
    ways: list[Way] = [()]
    for part in parts:
        joined = [tuple(dict.fromkeys((*left, *right))) for left in ways for right in part]
        ways = [way for way in joined if _possible(way)]
        if len(ways) > MOST_WAYS:
            raise EngineFault("a condition splits into too many alternatives")
    return ways


def _possible(way: Way) -> bool:
    """Whether one answer can meet all the tests of it in an alternative, as far as words go."""
    words: dict[str, set[str]] = {}
    for test, wanted in way:
        if (test, not wanted) in way:
            return False
        if isinstance(test, Word):
            fitting = {w for w in test.all_words if (w in test.words) == wanted}
            words[test.name] = words.get(test.name, fitting) & fitting
    return all(words.values())
