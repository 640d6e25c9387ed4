"""Words put right by whoever types them: "front 3, no, rear", "2011. No, tell a lie, 2012".

What stands last is meant. It takes the place of the word of its own kind before it (a side, an end
of the car, a day, a month, a year, a number), or of the whole clause before it. What comes of it
is a reading, to be confirmed: nothing here is sure.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import TypeVar

from assistant.reading.date_forms import MONTH
from assistant.reading.forms import forms
from assistant.reading.result import GroupHeard, NumbersHeard, Unclear, Understood
from assistant.reading.text import spoken, word_set

_Heard = TypeVar("_Heard", Understood, GroupHeard, NumbersHeard)
_FORMS = forms("corrections")

_SAYS_SO = re.compile(_FORMS["says_so"])
"""What stands behind it is meant. A bare "no" wants a mark before it."""
_BARE_NO = re.compile(r"[,.;:-]+ *no +$")
"""A "no" that may as well deny what stands behind it: "all fine, no rust"."""
_THAT_ONE = re.compile(r"\b([a-z]+(?<!about)(?<!like)) one\b")
_NUMBER = r"[0-9]+(?:\.[0-9]+)?|one|two|three|four|five|six|seven|eight|nine|ten"


def _kind(pattern: str) -> re.Pattern[str]:
    return re.compile(rf"\b(?:{pattern})\b")


_ORDINAL = _kind("[0-9]{1,2}(?:st|nd|rd|th)")
_DAY = _kind("[0-9]{1,2}")
_KINDS = (
    _kind("[0-9]{1,4}[/.-][0-9]{1,2}[/.-][0-9]{1,4}"),
    _kind("(?:19|20)[0-9]{2}"),
    _ORDINAL,
    _kind(MONTH),
    _kind("front|rear|back"),
    _kind("(?:left|right|driver|drivers|passenger|passengers)(?: hand)?(?: side)?|[a-z]+side"),
    _kind("top|bottom|upper|lower"),
    _kind(rf"(?:{_NUMBER})(?: ?(?:mm|cm|mil|inch|inches))?"),
)
"""What can take the place of another word of its kind."""
_BESIDE = word_set(
    "the a an one it is was its that thats this more like about say just of on at in for and side "
    "tyre wheel as probably mine my"
)
_THE_OTHER = re.compile(_FORMS["the_other"])
_AN_ASIDE = re.compile(_FORMS["an_aside"])
"""Why the words before were a mistake: "that's the washer bottle." """


def in_the_end(
    words: str,
    read: Callable[[str], _Heard | Unclear],
    told: Callable[[_Heard], bool] = lambda _: True,
) -> _Heard | Unclear:
    """What a reader makes of words as they were put right in the end, to be confirmed; or of the
    words themselves. told: whether what it heard is an answer."""
    for meant in put_right(words):
        heard = read(meant)
        if not isinstance(heard, Unclear) and told(heard):
            return replace(heard, sure=False)
    return read(words)


def put_right(words: str) -> Iterator[str]:
    """What words may mean that put themselves right, the likeliest first; nothing for others."""
    text = spoken(words)
    marks = list(_SAYS_SO.finditer(text))
    if not marks:
        return
    before, after = text[: marks[-1].start()].strip(), text[marks[-1].end() :].strip()
    if len(marks) > 1:
        before = next(put_right(before), before)
    if not before or not after:
        return
    if _THE_OTHER.fullmatch(after):
        swapped = re.sub(r"\b(?:front|rear|back)\b", _other_end, before)
        if swapped != before:
            yield swapped
        return
    first, rest = _first_clause(after)
    if changed := _in_its_place(before, first):
        yield f"{changed}{rest}"
        return
    if _BARE_NO.search(text[: marks[-1].end()]):
        return
    after = _AN_ASIDE.sub("", after, count=1) or after
    kept = before[: max(before.rfind(mark) + 1 for mark in (",", ".", ";"))].strip(" ,.;")
    yield f"{kept}, {after}" if kept else after
    first, _ = _first_clause(after)
    if first != after:
        yield first


def _first_clause(text: str) -> tuple[str, str]:
    found = re.search(r"[,;]|\.(?![0-9])", text)
    return (text, "") if found is None else (text[: found.start()], text[found.start() :])


def _in_its_place(before: str, after: str) -> str:
    """The words before with what is put right in its place, or "" where more is said after."""
    left = _THAT_ONE.sub(r"\1", after)
    found: list[tuple[re.Pattern[str], str]] = []
    for kind in _KINDS:
        told = kind.findall(left)
        if len(told) > 1:
            return ""
        if told:
            found.append((kind, told[0]))
            left = kind.sub(" ", left)
    if not found or set(re.findall(r"[a-z0-9]+", left)) - _BESIDE:
        return ""
    for kind, new in found:
        old = list(kind.finditer(before)) or list(_DAY.finditer(before) if kind is _ORDINAL else ())
        if not old:
            return ""
        before = before[: old[-1].start()] + new + before[old[-1].end() :]
    return before


def _other_end(found: re.Match[str]) -> str:
    return "rear" if found[0] == "front" else "front"
