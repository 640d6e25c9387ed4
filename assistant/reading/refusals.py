"""Answers that are no value: don't know, can't look, not fitted."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from assistant.reading.text import FILLERS, words_of

_LEAD = (
    r"(?:(?:sorry|um|er|erm|hmm|well|oh|no|ok|okay|actually|honestly|afraid|i|we|am|have|just|"
    r"it|that|is|to be honest|really|but|still|you) )*"
)
_DONT_KNOW = re.compile(
    r"(?P<core>(?:do|did|would) not (?:really |actually |honestly )?know|dont know|"
    r"no (?:idea|clue)|not (?:got )?(?:clue|idea|foggiest|faintest)(?: idea)?|"
    r"not (?:really |quite |too |very |entirely |totally |100 |at all )?(?:sure|certain)|"
    r"unsure|uncertain|(?:can|could) not (?:really |quite )?"
    r"(?:tell|say|remember|recall|decide|be sure|be certain)(?: you)?|"
    r"(?:do|did) not (?:really )?(?:remember|recall)|(?:hard|difficult|impossible) to (?:tell|say)|"
    r"who knows|beats me|search me|unknown|not known|no way of knowing|your guess is as good as "
    r"mine|"
    r"(?:he|she|they) never (?:said|told me|mentioned)|"
    r"(?:would|will) have to ask (?:him|her|them|my \w+)|"
    r"i forget|forgotten|forgot|have not noticed either way|did not (?:really )?notice)"
)
_DONT_KNOW_TAIL = re.compile(
    r"(?: (?:sorry|really|at all|about (?:that|this|it|them)|that|this|it|them|those|these|"
    r"to be honest|either(?: way)?|yet|mate|offhand|off hand|i am afraid|for sure|right now|now|"
    r"tbh|honestly|either way|which(?: ones?)?|when|how (?:deep|many|much|long|old|far)|exactly|"
    r"answer|one|what to say))*"
    r"(?: (?:if|whether|what|which|how|where|when|who) .*)?"
)
_CANT_LOOK = re.compile(
    r"(?P<core>(?:can|could) not (?:really |actually |quite |physically |possibly |easily )?"
    r"(?:look|see|check|reach|measure|inspect|access|test|try|manage|do|find out|make out|find|"
    r"press|bend(?: down)?|kneel(?: down)?|crouch(?: down)?|judge|"
    r"get(?: (?:to|at|near|close|under|in|there|underneath|round|down|access))?|shift|push|lift|"
    r"budge)|"
    r"unable to (?:look|see|check|reach|measure|test|tell)|"
    r"(?:did|have|has) not (?:been )?(?:look|looked|check|checked|tried|try|measured|tested|done)|"
    r"not (?:looked|checked|measured|tested|done|now|right now|at (?:the )?moment|possible|today)|"
    r"skip|pass|pass on|later|maybe later|not until later|ask me later|ask (?:me )?again later|"
    r"another time|some other time|come back to|next|next one|next question|move on|leave it|"
    r"would rather not|rather not|do it later|do that later|will (?:(?:have )?look|check|do it|do "
    r"that|try) "
    r"later)"
)
_CANT_LOOK_TAIL = (
    r"(?: (?:it|that|this|them|there|one|those|these|just|now|right|at|moment|today|yet|later|in|"
    r"under|inside|behind|underneath|round|properly|clearly|well|very|enough|from|here|for|please|"
    r"question|either|sorry|all|dark|time|being|on my own|by myself|alone|without .*))*"
)
_REASON = re.compile(
    r"(?:because |as |since |but |it is |that is |there is |i am |is )*"
    r"(?:(?:getting|very|really|so|pitch|way|bit|too(?= (?:dark|dirty|muddy|filthy|windy|icy))) )*"
    r"(?P<reason>dark|raining|pouring|snowing|icy|muddy|dirty|filthy|windy|frozen|"
    r"too (?:hot|cold|late|far|low|tight|awkward|wet|bright|high)|"
    r"no (?:torch|light|gauge|coin|20p|20 p|ruler|tape|time|tools|helper|key|keys|one to help|"
    r"one else here|one here|one around|one with me|space|room)(?: here| to hand| with me| on me)?|"
    r"(?:nobody|no one|no 1) (?:here|around|about|in|with me|else|to)\b.{0,40}|on "
    r"my own|by myself|alone|"
    r"(?:(?:have|do|has) )?(?:not|no) (?:got |have )?(?:any )?(?:tread |tyre |depth )?"
    r"(?:torch|light|gauge|20p|20 p|coin|change|ruler|tape|tape measure|tools?|helper|time|keys?|"
    r"tester|meter|"
    r"someone to help|anyone(?: here)?(?: to .{2,30})?|one to measure with)"
    r"(?: here| to hand| with me| on me| handy| sorry| left)*|bad (?:back|knee|knees)|"
    r"batter(?:y|ys|ies) (?:is )?(?:flat|dead)(?: can not start(?: it| engine)?)?|"
    r"(?:wheel )?trims? (?:is |are )?on|"
    r"my (?:back|knee|knees|eyes) (?:is|are|will) .{1,30}|"
    r"bonnet (?:is|will not) (?:stuck|jammed|open|locked))"
    r"(?: (?:to (?:look|see|check|reach|do it|tell|measure|touch)(?: (?:that|this|other) side)?|"
    r"(?:up )?(?:against|to|by) (?:the |a )?(?:wall|fence|hedge|kerb)|now|here|outside|out|there|"
    r"at (?:the )?moment|today|for that|for this|in here|out here|down there))*"
)
_NO_TOOL = re.compile(
    r"(?:i |we |have |do |sorry |there is )*(?:no|(?:not|have not|do not have)(?: got)?(?: any)?) "
    r"(?:torch|gauge|coin|20p|20 p|20p coin|ruler|tape|tape measure|tester|meter|helper)"
    r"(?: (?:on me|here|to hand|handy|with me|sorry|left|mate|love|pal))*"
)
"""Whoever lacks what a check needs cannot look, whatever else is said."""
_TOO_TO_SEE = re.compile(r"\btoo \w+(?: \w+)? to (?:see|tell|read|make out|judge|check)\b")
_ONE = r"(?:one|it|them|that|those|these|any|either|this)"
_NOT_FITTED = re.compile(
    r"(?:no |well |sorry |i am afraid |afraid )*"
    r"(?:not (?:been )?fitted|none (?:is |are )?fitted|no such thing|not applicable|n a|"
    r"(?:it |car |mine |my car |this car |this one |this |we |i |they |ours |that |my one )*"
    r"(?:is not fitted|are not fitted|was never fitted|does not (?:apply|come with " + _ONE + r")|"
    r"never had " + _ONE + r"|has none|have none|has not " + _ONE + r"|have not " + _ONE + r"|"
    r"(?:has|have|had) not (?:got|had) (?:a single )?" + _ONE + r"|"
    r"(?:does|do|did) not (?:have|got) " + _ONE + r"|not got " + _ONE + r"|"
    r"(?:has|have) no such thing|without " + _ONE + r"|has not been fitted)|"
    r"there (?:is|are) (?:none|not (?:one|any|such thing|fitted)|no such thing))"
    r"(?: (?:fitted|at all|of|on|in|it|this|that|those|them|my|car|mine|one|here|to|sorry|model))*"
)
_ANY = re.compile(r"\b(?:any|none)\b")
_HAS_NO = re.compile(
    r"(?:no |well )*(?:it |car |mine |my car |this car |i |there )*(?:(?:has|have|does|do) not "
    r"(?:got|have)(?: any)?|is not(?: any)?|are no|has no|is no|have no) (?P<thing>[^.]{2,60})"
)


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


NOT_DOING_IT = re.compile(
    r"(?:i am |am |i )?not (?:pushing|leaning|touching|getting|crawling|lying|kneeling|climbing|"
    r"going|doing|starting|opening|looking|risking)\b(?: (?:it|that|this|them|any|anything|on|in|"
    r"under|down|up|out|near|now|today|tonight)\b|$)|"
    r"(?:i )?(?:did|do|have) not (?:push|pushed|press|pressed|lean|bounce|bounced|lift|try|tried) "
    r"(?:it|that|this|them|any|anything|on)\b"
)
_CAN_NOT = re.compile(
    r"(?:i |we |you |so |just |really )*(?:can|could|did|will) not (?:really |even |quite )?"
    r"(?:see|find|reach|get|tell|look|check|start|press|push|turn|do|measure|try)\b(?!.*[0-9]).*"
)


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
        if core not in ("next", "later", "skip", "leave it") and _speaks_of_looking(words):
            return Refusal("cant_look", sure=False)
    return None


def _rest_of(text: str, rest: str) -> str:
    """The rest with its punctuation, where cutting on the typed text itself is possible."""
    for part in re.split(r"[,;]|\bbut\b|\. ", text):
        pieces = " ".join(words_of(part))
        if pieces and pieces in rest and not re.search(_DONT_KNOW.pattern, pieces):
            return part.strip()
    return rest


def _speaks_of_looking(words: str) -> bool:
    return bool(
        re.search(
            r"\b(?:can|could) not (?:\w+ )?(?:look|see|check|reach|measure|inspect|access|test|"
            r"get)\b"
            r"|\bunable to\b|\b(?:have|did) not (?:look|check|measure|test)",
            words,
        )
    )
