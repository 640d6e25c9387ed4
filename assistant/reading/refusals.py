"""Answers that are no value: don't know, can't look, not fitted."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from assistant.reading.forms import forms
from assistant.reading.text import FILLERS, words_of

_FORMS = forms("refusals")
_LEAD = _FORMS["lead"]
_DONT_KNOW = re.compile(_FORMS["dont_know"])
_DONT_KNOW_TAIL = re.compile(_FORMS["dont_know_tail"])
_CANT_LOOK = re.compile(_FORMS["cant_look"])
_CANT_LOOK_TAIL = _FORMS["cant_look_tail"]
_REASON = re.compile(_FORMS["reason"])
_NO_TOOL = re.compile(_FORMS["no_tool"])
"""Whoever lacks what a check needs cannot look, whatever else is said."""
_TOO_TO_SEE = re.compile(_FORMS["too_to_see"])
_NOT_FITTED = re.compile(_FORMS["not_fitted"])
_ANY = re.compile(r"\b(?:any|none)\b")
_HAS_NO = re.compile(_FORMS["has_no"])


_LONGEST = 400
"""A refusal is short; in longer words there is more than that."""


@dataclass(frozen=True)
class Refusal:
    """state; whether it was said plainly; any: said as "any" or "none", so it may mean zero.

    rest: words beside it that may hold an answer after all ("not sure, about 2"); apart: they
    are set apart from it, so that "not sure it leaks" holds none.
    """

    state: Literal["dont_know", "cant_look", "not_fitted"]
    sure: bool
    any: bool = False
    rest: str = ""
    apart: bool = False


def refusal(text: str, asked: Iterable[str] = (), label: str = "") -> Refusal | None:
    """Whether words (as `spoken` gives them) say that there is no value, and why.

    asked: the words of the question and its choices, so that "it's hot" stays an answer where
    heat is asked about. label: what the thing is called, for "it hasn't got a rear fog lamp".
    """
    words = " ".join(words_of(text)) if len(text) <= _LONGEST else ""
    if not words:
        return None
    found = _dont_know_or_cant(words, text)
    if (found is None or not found.sure) and only_reasons(text):
        return Refusal("cant_look", sure=False)
    if found:
        return found
    if NOT_DOING_IT.match(words) and not re.search(r"[0-9]", words):
        return Refusal("cant_look", sure=False)
    clauses = [" ".join(words_of(part)) for part in text.split(",", 1)]
    short = clauses[-1].count(" ") < 5 and not re.search(r"\b[0-9]{1,3}\b", clauses[-1])
    if len(clauses) == 2 and short and _NOT_FITTED.fullmatch(clauses[0]):
        return Refusal("not_fitted", sure=False, any=bool(_ANY.search(clauses[0])))
    so_new = re.search(r" (?:it is|its) .{0,24}$", words)
    if so_new and _NOT_FITTED.fullmatch(words[: so_new.start()]):
        return Refusal("not_fitted", sure=False)
    if _NOT_FITTED.fullmatch(words):
        return Refusal("not_fitted", True, any=bool(_ANY.search(words)))
    reason = _REASON.fullmatch(words)
    first = " ".join(words_of(re.split(r"[,.]| (?:so|and) ", text)[0]))
    if re.match(r"(?:car |it )?(?:will|does|would) not start\b", words):
        return Refusal("cant_look", sure=False)
    if _NO_TOOL.fullmatch(first) and not re.search(r"[0-9]", re.sub(r"20 ?p", "", words)):
        return Refusal("cant_look", sure=False)
    too = _TOO_TO_SEE.search(words)
    if too or reason:
        asked_for = set(asked)
        about = set(reason["reason"].split()) - FILLERS - {"too"} if reason else set()
        if (too and "too" not in asked_for) or (reason and not about & asked_for):
            return Refusal("cant_look", sure=False)
    thing = _HAS_NO.fullmatch(words)
    known = set(words_of(label))
    if thing and known and set(thing["thing"].split()) & known:
        return Refusal("not_fitted", sure=False)
    begins = re.fullmatch(r"no (\w+)", first)
    if begins and begins[1] in known and first != words:
        return Refusal("not_fitted", sure=False)
    ends = re.search(r"\b(?:no|not(?: a| an)?) (\w+)$", words)
    if ends and ends[1] in known:
        return Refusal("not_fitted", sure=False)
    return None


NOT_DOING_IT = re.compile(_FORMS["not_doing_it"])
_OF_LOOKING = re.compile(_FORMS["of_looking"])
_CAN_NOT = re.compile(_FORMS["can_not"])


def only_reasons(text: str) -> bool:
    """Whether every clause is a reason not to look, or says that one can't: "on my own, nobody to
    press it"."""
    clauses = [
        " ".join(words_of(part))
        for part in re.split(r"[,;]|[.](?=\s|$)|\b(?:and|so|but|because)\b", text[:400])
    ]
    clauses = [clause for clause in clauses if clause]
    reasons = [clause for clause in clauses if _REASON.fullmatch(clause)]
    rest = [clause for clause in clauses if clause not in reasons]
    return len(clauses) > 1 and bool(reasons) and all(map(_CAN_NOT.fullmatch, rest))


def only_a_reason(text: str) -> bool:
    """Whether words are no more than a reason not to look: "too tight against the wall"."""
    return bool(_REASON.fullmatch(" ".join(words_of(text[:400])))) or only_reasons(text)


def _dont_know_or_cant(words: str, text: str) -> Refusal | None:
    if re.fullmatch(_LEAD + _DONT_KNOW.pattern + _DONT_KNOW_TAIL.pattern, words):
        return Refusal("dont_know", sure=True)
    cant = re.fullmatch(_LEAD + _CANT_LOOK.pattern + _CANT_LOOK_TAIL + r"(?P<rest>.*)", words)
    if cant:
        rest = cant["rest"].strip()
        if not rest or rest.startswith(("because", "as ", "since")) or _REASON.fullmatch(rest):
            return Refusal("cant_look", sure=True)
    doubt = re.search(r"\b" + _DONT_KNOW.pattern + r"\b", words)
    if doubt:
        rest = f"{words[: doubt.start()]} , {words[doubt.end() :]}".strip(" ,")
        set_apart = r" (?:but|maybe|probably|perhaps|possibly|i (?:think|guess|would))\b|$"
        joined_on = not re.match(set_apart, words[doubt.end() :])
        apart = not joined_on or bool(re.search(r"[,;.!?-]|\bbut\b", text.strip(" .!?")))
        return Refusal("dont_know", sure=False, rest=_rest_of(text, rest), apart=apart)
    if re.search(
        r"\b(?:can|could) not (?:see|find|feel|hear|spot) (?:any|anything|no|nothing)\b", words
    ):
        return None
    if cant or re.search(r"\b" + _CANT_LOOK.pattern + r"\b", words):
        core = cant["core"] if cant else ""
        if core not in ("next", "later", "skip", "leave it") and _OF_LOOKING.search(words):
            return Refusal("cant_look", sure=False)
    return None


def _rest_of(text: str, rest: str) -> str:
    """The rest with its punctuation, where cutting on the typed text itself is possible."""
    for part in re.split(r"[,;]|\bbut\b|\. ", text):
        pieces = " ".join(words_of(part))
        if pieces and pieces in rest and not re.search(_DONT_KNOW.pattern, pieces):
            return part.strip()
    return rest
