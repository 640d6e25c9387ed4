"""Reading several numbers at once: "5, 4.5", "both 5 mm", "front 5, rear about 4"."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date

from assistant.journal.entries import Answer
from assistant.reading.corrections import in_the_end
from assistant.reading.forms import forms
from assistant.reading.result import GroupItem, NumbersHeard, Unclear, Understood
from assistant.reading.text import clean
from assistant.reading.understand import understand
from assistant.ruleset.models import Question

_FORMS = forms("numbers")
_ALL = re.compile(_FORMS["all"], re.IGNORECASE)
_SPLITS = (
    (re.compile(r"\s*(?:;|[,.](?=\s))\s*"), True),
    (re.compile(r"\s*(?:;|,(?=\s)|\band\b|\bthen\b|/(?=\s))\s*", re.IGNORECASE), True),
    (re.compile(r"\s*[,/]\s*"), False),
    (re.compile(r"\s+(?=[0-9])"), True),
    (re.compile(r"(?<=[0-9m])\s+(?=[a-z])", re.IGNORECASE), True),
    (re.compile(r"(?<=[0-9mh])\s+(?=the rest|the other)", re.IGNORECASE), True),
)
"""Ways to part the numbers, and whether that way is sure: "5,4" may also mean 5.4."""


_SAME = re.compile(
    r"([0-9]+(?:[.,][0-9]+)?)((?:(?!\b(?:all|both)\b)[^0-9])*?)"
    r"(?:\bthe )?\bsame\b(?: again| too| as (?:the last|that|before)(?: one)?)?",
    re.IGNORECASE,
)
_HALF = re.compile(r"^\W*\w+ and a (?:half|quarter|bit)\W*$", re.IGNORECASE)
"""One number, though an "and" is in it."""
_OTHERS = re.compile(_FORMS["others"], re.IGNORECASE)
_REFUSED_OTHERS = re.compile(_FORMS["refused_others"], re.IGNORECASE)


def understand_numbers(
    words: str, items: Sequence[GroupItem], question: Question, *, today: date
) -> NumbersHeard | Unclear:
    """Reads one number an item, in order or by name; "all" or a refusal goes for every item."""
    return in_the_end(words, lambda meant: _understood(meant, items, question, today))


def _understood(
    words: str, items: Sequence[GroupItem], question: Question, today: date
) -> NumbersHeard | Unclear:
    words = _without_asides(_same_written_out(clean(words)))
    if _HALF.search(words) and len(items) > 1 and not _ALL.search(words):
        return _unclear(items, question)
    together = understand(_ALL.sub("", words), question, today=today)
    refused = isinstance(together, Understood) and together.answer.state != "value"
    refused = refused and not re.search(_NUMBER, words, re.IGNORECASE)
    if isinstance(together, Understood) and (refused or _ALL.search(words)):
        echo = f"all: {together.echo}"
        return NumbersHeard((together.answer,) * len(items), echo, together.sure)
    named, sure = _parted(words, items)
    if named is None or not _all_read(named, question, today):
        named, sure = _between_names(words, items) or named, sure
    if named is None or not _all_read(named, question, today):
        named = _only_one(words, items) or named
    if named is None:
        return _unclear(items, question)
    answers: list[Answer | None] = [None] * len(items)
    echoes: list[str] = []
    for index, part in sorted(named.items()):
        heard = understand(part, question, today=today)
        if isinstance(heard, Unclear):
            return Unclear(f"For {items[index].label}: {heard.message}", heard.offers)
        answers[index] = heard.answer
        echoes.append(f"{items[index].label} {heard.echo}")
        sure = sure and heard.sure
    return NumbersHeard(tuple(answers), "; ".join(echoes), sure)


def _same_written_out(words: str) -> str:
    """With the number before in place of "same again": "4, same" is "4, 4"."""
    while (said := _SAME.sub(r"\1\2\1", words, count=1)) != words:
        words = said
    return words


def _without_asides(words: str) -> str:
    """Without the clauses behind the last number that hold none: "4 and 5, the tyres look fine"."""
    clauses = re.split(r"(?<=[0-9a-z])[,;.]\s+", words)
    while len(clauses) > 1 and re.search(_NUMBER, "".join(clauses[:-1]), re.IGNORECASE):
        last = clauses[-1]
        if re.search(_NUMBER, last, re.IGNORECASE) or _SPEAKS_OF_AN_ITEM.search(last):
            break
        clauses.pop()
    return ", ".join(clauses) if clauses else words


def _only_one(words: str, items: Sequence[GroupItem]) -> dict[int, str] | None:
    """The only number for the only item that is named: "only done the front one so far, 5 mm"."""
    named = {
        index for index, item in enumerate(items)
        if re.search(rf"\b(?:{_ways(item, items)})s?\b", words, re.IGNORECASE)
    }  # fmt: skip
    numbers = re.findall(r"[0-9]+(?:\.[0-9]+)?(?: ?mm)?", words)
    return {named.pop(): numbers[0]} if len(named) == len(numbers) == 1 else None


def _parted(words: str, items: Sequence[GroupItem]) -> tuple[dict[int, str] | None, bool]:
    """The words for each item, by name or in order; None where they do not come out even."""
    best: dict[int, str] = {}
    in_order: tuple[dict[int, str] | None, bool] = (None, False)
    for splitter, sure in _SPLITS:
        parts = [part for part in splitter.split(words) if part]
        named = _by_name(parts, items) or {}
        best = max(best, named, key=len)
        if len(parts) == len(items) and in_order[0] is None:
            in_order = (dict(enumerate(parts)), sure)
    return (best, True) if best else in_order


def _all_read(named: dict[int, str], question: Question, today: date) -> bool:
    return all(isinstance(understand(w, question, today=today), Understood) for w in named.values())


def _between_names(words: str, items: Sequence[GroupItem]) -> dict[int, str] | None:
    """What stands between the names: "front about 3", "4 at the front and 5.5 on the back".

    An item that is not named stays without an answer.
    """
    places = sorted(
        (found.start(), found.end(), index)
        for index, item in enumerate(items)
        for found in re.finditer(rf"\b(?:{_ways(item, items)})(?:'?s)?\b", words, re.IGNORECASE)
    )
    if not places or len({index for _, _, index in places}) < len(places):
        return None
    ahead = bool(re.search(_NUMBER, words[: places[0][0]], re.IGNORECASE))
    starts = [0, *(end for _, end, _ in places[:-1])] if ahead else [end for _, end, _ in places]
    ends = [start for start, _, _ in places] if ahead else [*(s for s, _, _ in places[1:]), None]
    parts = [words[start:end] for start, end in zip(starts, ends, strict=True)]
    return {index: _AROUND.sub("", part) for (_, _, index), part in zip(places, parts, strict=True)}


_SPEAKS_OF_AN_ITEM = re.compile(_FORMS["speaks_of_an_item"], re.IGNORECASE)
_NUMBER = r"[0-9]|\b(?:one|two|three|four|five|six|seven|eight|nine|ten|half)\b(?! (?:tyre|one))"
_AROUND = re.compile(_FORMS["around"], re.IGNORECASE)


def _ways(item: GroupItem, items: Sequence[GroupItem]) -> str:
    """What tells an item from the others, as a pattern: its front or rear, left or right."""
    ways = [w for w in item.at.split("_") if _only(w, items)]
    ways += [w for w in (*item.hear, item.label) if w]
    ways += ["back"] if "rear" in ways else []
    return "|".join(re.escape(way) for way in sorted(ways, key=len, reverse=True))


def _by_name(parts: Sequence[str], items: Sequence[GroupItem]) -> dict[int, str] | None:
    """Parts that begin or end with the name of an item, or None if they do not all do so.

    "The rest" are those that were not named; one that is only left out stays without an answer.
    """
    found: dict[int, str] = {}
    rest: str | None = None
    for part in parts:
        if _OTHERS.match(part) and found and rest is None:
            rest = _OTHERS.sub("", part)
            continue
        if found and _REFUSED_OTHERS.search(part) and rest is None:
            rest = _REFUSED_OTHERS.sub("", part)
            continue
        named = _at_an_end(part, items)
        if named is None and found.get(-1) is None and re.search(r"[0-9]", part):
            found[-1] = part
            continue
        if named is None or not named[1] or named[0] in found or _several(named[1]):
            return None
        found[named[0]] = named[1]
    if (bare := found.pop(-1, None)) is not None:
        left = [index for index in range(len(items)) if index not in found]
        if rest is not None or len(left) != 1 or not found or _several(bare):
            return None
        found[left[0]] = bare
    if rest is not None:
        found |= {index: rest for index in range(len(items)) if index not in found}
    return found


def _several(part: str) -> bool:
    """Whether a part has more than one number in it, and is no range."""
    numbers = re.findall(r"[0-9]+(?:[.,/][0-9]+)?", part)
    return len(numbers) > 1 and not re.search(r"[0-9]\s*(?:-|to|or)\s*[0-9]|between", part)


def _at_an_end(part: str, items: Sequence[GroupItem]) -> tuple[int, str] | None:
    """The item whose name a part begins or ends with, and what else the part says."""
    found: list[tuple[bool, int, int, str]] = []
    for index, item in enumerate(items):
        ways = [item.at.replace("_", " "), item.label, *item.hear]
        ways += [w for w in item.at.split("_") if _only(w, items)]
        ways += ["back"] if "rear" in ways else []
        for way in map(re.escape, ways):
            first = re.match(rf"{way}(?:'?s)?\b(?: (?:is|was|ones?|tyre))*", part, re.IGNORECASE)
            if first:
                found.append((True, len(way), index, part[first.end() :]))
            last = re.search(
                rf"(?:\b(?:on|at|for|the) )*\b{way}s?(?: (?:ones?|tyre))?(?: yet)?$",
                part,
                re.IGNORECASE,
            )
            if last:
                found.append((False, len(way), index, part[: last.start()]))
    if not found:
        return None
    _, _, index, rest = max(found, key=lambda one: one[:2])
    return index, rest.strip(" :=-")


def _only(word: str, items: Sequence[GroupItem]) -> bool:
    """Whether a word stands in the name of one item only."""
    return sum(word in item.at.split("_") for item in items) == 1


def _unclear(items: Sequence[GroupItem], question: Question) -> Unclear:
    labels = ", ".join(item.label for item in items)
    unit = f" in {question.unit}" if question.unit else ""
    return Unclear(
        f"I need {len(items)} numbers{unit}, in this order: {labels}. "
        "Type them with commas between, or one number with 'all', or don't know."
    )
