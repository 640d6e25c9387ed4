"""The words people use of several like parts: fine, broken, all, both, all but."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import lru_cache

from assistant.reading.forms import forms, word_list
from assistant.reading.result import GroupItem
from assistant.reading.text import FILLERS, NEGATIONS, joined, word_set, words_of

_FORMS = forms("parts")
GOOD = word_list("parts", "good")
BAD = word_list("parts", "bad")
_SMALL = FILLERS | GOOD | BAD | word_list("parts", "small")
PLURAL = word_set("""both either any neither all ones lamps lights bulbs sides every each""")
FINE = re.compile(_FORMS["fine"])
NONE = re.compile(_FORMS["none"])
ALL_BAD = re.compile(_FORMS["all_bad"])
BUT = re.compile(_FORMS["but"])
EXCEPTS = re.compile(_FORMS["excepts"])
"""Words that say that all is well, but for something."""
ONLY_ONE = re.compile(_FORMS["only_one"])
REFUSED = re.compile(_FORMS["refused"])
REST = re.compile(_FORMS["rest"])
CORRECTS = re.compile(_FORMS["corrects"])
"""Words that take back what was said before."""
ASIDE = re.compile(_FORMS["aside"])
ABSENT = re.compile(_FORMS["absent"])
WILL_NOT = re.compile(_FORMS["will_not"])
THAN = re.compile(_FORMS["than"])
THEM = word_set("them those it that these they thats lol though anyway mine like said all")
FAULTS = word_set("rust damage wear patch wet play")
"""Names of parts that name what may be wrong: "no rust" is fine."""
HOW_MANY = {"two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8}


@lru_cache(maxsize=512)
def vocabulary(item: GroupItem) -> frozenset[str]:
    found: set[str] = set()
    label = item.label.replace("behind the wheel", "")
    for phrase in (label, *item.hear, item.at.replace("_", " ")):
        found.update(words_of(phrase))
        found.add(joined(words_of(phrase)))
    return frozenset(same(word) for word in found)


def same(word: str) -> str:
    return "rear" if word in ("back", "behind") else word


def telling_words(heard: Sequence[str], items: Sequence[GroupItem]) -> list[str]:
    """Words that can tell parts apart; two words that make one name are joined."""
    known = frozenset().union(*(vocabulary(item) for item in items))
    found: list[str] = []
    index = 0
    while index < len(heard):
        word = same(heard[index])
        pair = joined(heard[index : index + 2])
        if index + 1 < len(heard) and pair in known and not {word, same(heard[index + 1])} <= known:
            found.append(pair)
            index += 1
        elif word in known and word not in NEGATIONS and word not in FILLERS | {"on", "out"}:
            found.append(word)
        elif word not in _SMALL and word not in NEGATIONS:
            found.append(word.removesuffix("s") if word.removesuffix("s") in known else word)
        index += 1
    return found


def is_plural(heard: Sequence[str], items: Sequence[GroupItem]) -> bool:
    """Whether a part is named in the plural: "hoses" where each is a hose."""
    known = frozenset().union(*(vocabulary(item) for item in items))
    return any(w.endswith("s") and w not in known and w[:-1] in known for w in heard)
