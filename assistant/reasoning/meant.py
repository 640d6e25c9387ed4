"""Which rule is meant by a name, an item of the standard, or words. Never picked silently."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass

from rapidfuzz import fuzz, utils

from assistant.reasoning.consultation import Consultation
from assistant.reasoning.trail import MET
from assistant.reasoning.why_not import Nearest, distance
from assistant.ruleset.models import Rule
from assistant.ruleset.ruleset import Inference, Ruleset

SAME_WORD = 80.0
"""From this likeness on (0 to 100) two words are one, such as "brake" and "brakes"; assumed."""
LEAST = 40.0
"""Words less alike than this (0 to 100) are not offered; ours, assumed."""
_IDLE = re.compile(
    r"\b(?:the|an?|my|is|are|was|were|be|it|that|this|there|not|found|find|did|does|do|you|i|say|"
    r"said|too|so|very|about|for|with|item|rule|of|on|in|at|to|any|have|has|car|been)\b"
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
    parts, rest = _parts_named(rs, text)
    name, _, part = text.replace(" ", "_").partition("@")
    item = re.sub(r"\s", "", text).removeprefix("item")
    rules = {i.name: i.rule for i in rs.rules if i.rule and (i.rule.finds or i.rule.urgency)}
    sure = [r for r in rules if r == name or _is_item(rules[r], item)]
    alike = dict.fromkeys(sure, 100.0) or _alike(rs, rules, _plain(rest))
    found: list[Meant] = []
    for one, likeness in alike.items():
        inference = rs.inferences[one]
        members = rs.members(inference.axis)
        at = next((p for p in (part, *parts) if p in members), None)
        if at is None:
            far = [_distance(nearest, inference, member) for member in members]
            at = members[far.index(min(far))]
        found.append(Meant(rules[one], at, rs.at_words(one, at), bool(sure), likeness))
    found.sort(
        key=lambda m: (
            -round(m.likeness),
            bool(parts) and m.at not in parts,
            m.rule.finds is None,
            _distance(nearest, rs.inferences[m.rule.rule], m.at),
        )
    )
    return found[:most]


def _is_item(rule: Rule, text: str) -> bool:
    """Whether a text is the item of a rule, or the item without its last bracket."""
    if rule.finds is None or not text[:1].isdigit():
        return False
    item = rule.finds.item.casefold()
    return item == text or item.startswith(text + "(")


def _alike(ruleset: Ruleset, rules: Iterable[str], words: str) -> dict[str, float]:
    """How like words are to what each rule says and looks at: 0 to 100, from LEAST up.

    A word that few rules have counts for more; a word of the labels, or of the rule's name, for
    less than one that is said.
    """
    says, looks = {}, {}
    for name in rules:
        inference = ruleset.inferences[name]
        items = ruleset.graph.items_behind(name, ruleset.members(inference.axis)[0])
        labels = dict.fromkeys(ruleset.questions[question].label for question, _ in items)
        says[name] = set(_plain(inference.rule.say if inference.rule else "").split())
        looks[name] = set(_plain(" ".join([*labels, name.replace("_", " ")])).split())
    worth: dict[str, float] = {}
    matched: dict[str, dict[str, float]] = {}
    for word in words.split():
        near = {name: max(_best(word, says[name]), 0.7 * _best(word, looks[name])) for name in says}
        having = sum(value > 0 for value in near.values())
        worth[word] = math.log((len(says) + 1) / (having + 1)) + 0.2
        matched[word] = near
    total = sum(worth.values())
    found: dict[str, float] = {}
    for name in says:
        share = sum(worth[word] * matched[word][name] for word in worth)
        likeness = 100 * share / total if total else 0.0
        if likeness >= LEAST:
            found[name] = likeness
    return found


def _best(word: str, others: set[str]) -> float:
    """How like a word is to the likest of others, 0 to 1; 0 where it is another word."""
    best = max((fuzz.ratio(word, other) for other in others), default=0.0)
    return float(best) / 100 if best >= SAME_WORD else 0.0


def _plain(words: str) -> str:
    return " ".join(_IDLE.sub(" ", str(utils.default_process(words))).split())


def _parts_named(ruleset: Ruleset, text: str) -> tuple[tuple[str, ...], str]:
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
