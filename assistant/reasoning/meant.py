"""Which rule is meant by a name, an item of the standard, or words. Never picked silently."""

from __future__ import annotations

import re
from dataclasses import dataclass

from rapidfuzz import fuzz, utils

from assistant.knowledge.models import Rule
from assistant.knowledge.ruleset import Inference, Ruleset
from assistant.reasoning.consultation import Consultation
from assistant.reasoning.supposed import items_behind
from assistant.reasoning.trail import MET
from assistant.reasoning.why_not import Nearest, distance

__all__ = ["Meant", "nearest_rules"]

LEAST = 60.0
"""Words less alike than this (0 to 100) are not offered; ours, assumed."""
_IDLE = re.compile(
    r"\b(?:the|an?|my|is|are|was|were|be|it|that|this|there|not|found|find|did|does|do|you|i|say|"
    r"said|about|for|with|item|rule|of|on|in|at|to|any|have|has|car|been)\b"
)


@dataclass(frozen=True)
class Meant:
    """A rule, at one part, that words may mean. sure: they are its name or its item.

    likeness: 0 to 100.
    """

    rule: Rule
    at: str
    at_words: str
    sure: bool
    likeness: float


def nearest_rules(consultation: Consultation, words: str, most: int = 3) -> list[Meant]:
    """The rules that find something and that words mean, likeliest first; at most `most`.

    The words are a rule's name, an item of the standard, or words of what the rule says or looks
    at. Where the words name no part, it is the part at which the rule is nearest to certain.
    """
    rs = consultation.ruleset
    nearest = Nearest(consultation)
    text = words.strip().casefold()
    part, rest = _part_named(rs, text)
    named = text.replace(" ", "_").partition("@")
    item = re.sub(r"\s", "", text).removeprefix("item")
    rules = [i for i in rs.rules() if i.rule and (i.rule.finds or i.rule.urgency)]
    found: list[Meant] = []
    for inference in rules:
        rule = inference.rule
        assert rule is not None
        sure = inference.name == named[0] or _is_item(rule, item)
        likeness = 100.0 if sure else _likeness(rs, inference, rest)
        if likeness < LEAST:
            continue
        members = rs.members(inference.axis)
        at = next((p for p in (named[2], *part) if p in members), None)
        if at is None:
            at = min(members, key=lambda m: _distance(nearest, inference, m))
        found.append(Meant(rule, at, rs.at_words(rule.rule, at), sure, likeness))
    if any(meant.sure for meant in found):
        found = [meant for meant in found if meant.sure]
    found.sort(key=lambda m: (-m.likeness, _distance(nearest, rs.inferences[m.rule.rule], m.at)))
    return found[:most]


def _is_item(rule: Rule, text: str) -> bool:
    """Whether a text is the item of a rule, or the item without its last bracket."""
    if rule.finds is None or not text[:1].isdigit():
        return False
    item = rule.finds.item.casefold()
    return item == text or item.startswith(text + "(")


def _likeness(ruleset: Ruleset, inference: Inference, words: str) -> float:
    """How like the words are to what a rule says, or to the labels of what it reads."""
    assert inference.rule is not None
    plain = _plain(words)
    if not plain:
        return 0.0
    items = items_behind(ruleset, inference.name, ruleset.members(inference.axis)[0])
    labels = dict.fromkeys(ruleset.questions[name].label for name, _ in items)
    says = _plain(inference.rule.say)
    both = f"{says} {_plain(' '.join(labels))}"
    by_words = fuzz.partial_token_set_ratio if len(plain.split()) > 3 else fuzz.token_set_ratio
    alone = float(fuzz.WRatio(plain, says))
    shared = sum(max(fuzz.ratio(w, o) for o in both.split()) for w in plain.split())
    share = shared / len(plain.split())
    return max(min(alone, share), 0.4 * float(by_words(plain, both)) + 0.6 * share) - (share < 75) * 40


def _plain(words: str) -> str:
    return " ".join(_IDLE.sub(" ", str(utils.default_process(words))).split())


def _part_named(ruleset: Ruleset, text: str) -> tuple[tuple[str, ...], str]:
    """The parts named in a text, and the text without them."""
    found: dict[str, None] = {}
    rest = text
    ways = [
        (way.casefold(), member.at)
        for axis in ruleset.axes.values()
        for member in axis.members
        for way in (member.say, *member.hear, member.at.replace("_", " "))
    ]
    for way, at in sorted(ways, key=lambda w: -len(w[0])):
        if re.search(rf"\b{re.escape(way)}\b", text):
            found[at] = None
            rest = re.sub(rf"\b{re.escape(way)}\b", " ", rest)
    return tuple(found), rest if _plain(rest) else text


def _distance(nearest: Nearest, inference: Inference, at: str) -> tuple[int, int, int]:
    """How far a rule is from certain at a part; of two alike, the one with more that is met."""
    tests = nearest.of_rule(inference.name, at)
    met = sum(t.state == MET for t in tests)
    return (*distance(tests), -met)
