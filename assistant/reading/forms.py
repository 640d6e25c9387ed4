"""The forms of words that the readers listen for, which stand as plain text in `forms/`.

`[name]` begins a list, and each line after it is one form, or several with | between. (a|b) is one
of these, a ? after a bracket says that it may be left out, and {name} is any form of a list above.
A line that begins with # is a comment. What else a form needs is regular expression syntax, but
that a plain bracket captures nothing.
"""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

FOLDER = Path(__file__).with_name("forms")
_LIST = re.compile(r"\[(\w+)\]")
_NAMED = re.compile(r"\{([a-z]\w*)\}")
_BRACKET = re.compile(r"\\.|\[(?:\\.|[^]\\])+\]|\((?!\?)")


class FormsError(ValueError):
    """What a file of forms says cannot be read; the text names the file and the line."""


@cache
def forms(subject: str) -> dict[str, str]:
    """The lists of a file by name, each as one pattern."""
    return {name: "|".join(each) for name, each in form_lists(subject).items()}


@cache
def form_lists(subject: str) -> dict[str, list[str]]:
    """The lists of a file by name, each form as a pattern of its own."""
    file = FOLDER / f"{subject}.txt"
    lists: dict[str, list[str]] = {}
    name = ""
    for number, line in enumerate(file.read_text("utf-8").splitlines(), 1):
        form = line.strip()
        if not form or form.startswith("#"):
            continue
        where = f"{file.name}, line {number}"
        if heading := _LIST.fullmatch(form):
            name = heading[1]
            if name in lists:
                raise FormsError(f"{where}: there is a list {name} already")
            lists[name] = []
        elif not name:
            raise FormsError(f"{where}: a form stands before the first list")
        else:
            lists[name].append(_pattern(form, lists, where))
    return lists


def word_list(subject: str, name: str) -> frozenset[str]:
    """The words of a list of plain words, with spaces between."""
    return frozenset(" ".join(form_lists(subject)[name]).split())


def rewrites(subject: str, name: str) -> list[tuple[re.Pattern[str], str]]:
    """What a list says to write in place of what: each form is followed by -> and a text."""
    pairs = (form.rpartition(" -> ") for form in form_lists(subject)[name])
    return [(re.compile(form), text.strip('"')) for form, _, text in pairs]


def _pattern(form: str, lists: dict[str, list[str]], where: str) -> str:
    for name in _NAMED.findall(form):
        if not lists.get(name):
            raise FormsError(f"{where}: no list {name} stands above")
    plain = _BRACKET.sub(lambda m: "(?:" if m[0] == "(" else m[0], form)
    return _NAMED.sub(lambda m: f"(?:{'|'.join(lists[m[1]])})", plain)
