"""The words people use of several like parts: fine, broken, all, both, all but."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import lru_cache

from assistant.reading.result import GroupItem
from assistant.reading.text import FILLERS, NEGATIONS, joined, word_set, words_of

GOOD = word_set(
    """fine good ok okay lit working work works alright clear perfect sound intact bright
    well light lights functioning healthy normal same matching match identical
    whole shuts"""
)
BAD = word_set(
    """out dead broken broke failed fails failing blown gone off dim cracked missing faulty
    bad dark unlit bust busted kaput knackered defective dud wrong damaged worn loose
    bald torn flickering flickers failed dodgy duff gubbed naff iffy seized jammed"""
)
_SMALL = (
    FILLERS
    | GOOD
    | BAD
    | word_set(
        """hand side sides ones lamp lamps bulb bulbs on up again still come comes came coming
    going went not only just number no and or also too them light lights corner end part
    parts yet who which both all every each two three four five six works does do doing
    that has have had"""
    )
)
PLURAL = word_set("""both either any neither all ones lamps lights bulbs sides every each""")
_ALL_WORDS = (
    r"(?:all(?: of)?(?: them| these| those| it)?|every ?one|everything|each|the lot|lot|both)"
)
FINE = re.compile(
    rf"(?:(?:yes|yep|yeah|aye|yup|no|they|it|is|are|that|them|of|looks?|seems?|very|just|so|far|"
    rf"still|{_ALL_WORDS}) "
    rf")*"
    r"(?:fine|good|ok|okay|lit(?: up)?|light(?: up)?|lights(?: up)?|workin|working|works?|on|"
    r"alright|all right|tidy|spot on|grand|lovely|smashing|great|brilliant|mint|normal|"
    r"in good (?:nick|shape|order|condition)|sound as (?:a )?(?:pound|bell)|"
    r"perfect|well|in order|clear|intact|sound|bright|come on|came on|coming on|"
    r"no (?:problems?|faults?|issues|bother|damage)(?: at all| whatsoever)?|"
    r"nothing (?:wrong|out|broken|missing|to report|amiss|odd|strange|unusual|untoward)|"
    r"(?:none|nothing|neither)(?: of them| of these)?(?: is| are)? (?:out|broken|dead|off|missing|"
    r"blown|gone|faulty|wrong|bad)|not (?:any|one) (?:of them )?(?:is |are )?(?:out|broken|off))"
    r"(?: (?:here|there|thanks|so far|now|as well|too|properly|today|by me|mate|cheers|all round|"
    r"on this side|on both wheels|all the same|(?:on )?either side|either one|all over|down there|"
    r"under there|both sides|on both))*"
    rf"|(?:(?:yes|yep|yeah|aye|yup|no|they|it|is|are|looks?|just|exactly|that|"
    rf"{_ALL_WORDS}) )*(?:as|like) "
    r"(?:described|(?:the )?(?:description|picture)|"
    r"(?:it|you|they) (?:says?|said|describes?|described|puts?|ha(?:s|ve) it)"
    r"(?: (?:it|them|here))?|"
    r"(?:it|they) should(?: be)?|new|stated|above|normal)"
    r"|(?:nothing|no|no faults?|no problems?|no issues?)(?: wrong| amiss)? with (?:any|any of "
    r"(?:them|it|"
    r"these|those)|them|it)"
)
NONE = re.compile(
    r"(?:none|no|nope|nah|nothing|neither|zero|nil|not any|nowt|0|not one|no none)"
    r"(?: (?:of (?:them|these|those)|at all|that i can see|here|thanks|there|all fine|"
    r"(?:they|it|everything) (?:are|is|all) .{0,12}(?:fine|good|ok|okay|working|work|lit)))*"
)
ALL_BAD = re.compile(
    rf"(?:{_ALL_WORDS}(?: (?:is|are))?|(?:none|neither|nothing)(?: of them| of these)?"
    r"(?: (?:is|are|do|does|will|comes?|came))? (?:work|works|working|lit|lights?(?: up)?|fine|ok|"
    r"okay|"
    r"good|on|lighting|right|well)|they (?:are )?all (?:out|dead|off|broken|gone|fail|failed)|"
    r"none (?:of them )?work(?:s|ing)?|they (?:do|are) not (?:work|lit|light|working)(?: at all)?)"
    r"(?: (?:out|dead|broken|off|gone|blown|failed|missing|dark|faulty|bad|not (?:working|lit)))?"
    r"(?: at all)?"
)
BUT = re.compile(
    r"\b(?:all|every ?one|everything|each|lot|they|none|nothing|no|fine|good|ok|okay|working|work|"
    r"lit|on|out|dead|off)\b[^,;]{0,40}?,? ?"
    r"\b(?P<but>but(?: for| not)?|ex?c?ept(?: for)?|exeption of|apart from|excluding|other than|"
    r"besides|bar)\b"
)
EXCEPTS = re.compile(
    r"\b(?:all|every ?one|everything|each|lot|fine|good|ok|okay|works?|working)\b[^,;.]{0,30}?"
    r"\b(?:but(?: for| not)?|ex?c?ept(?: for)?|apart from|excluding|other than|besides|bar)\b"
)
"""Words that say that all is well, but for something."""
ONLY_ONE = re.compile(
    r"(?:(?:just|only|it is|there is|yes) )*(?:one|1|another)(?: of (?:them|these|those))?"
    r"(?: (?:is|has))?(?: (?:out|not working|gone|dead|broken|bad|failed|off))?"
)
REFUSED = re.compile(
    r"(?:can|could) not (?:really |even |quite )?reach|"
    r"(?:do|did|can|could) not (?:really |even |quite )?(?:know|tell|see|check|look|read|judge|"
    r"remember|"
    r"get (?:to|at|a look(?: at)?)|find|make out|do)(?: (?:in|into|at|under|behind) there)?|"
    r"(?:was|am|were) not able to (?:see|reach|check|look)|unable to (?:see|reach|check)|"
    r"not (?:sure|certain|known|checked|seen|visible|looked(?: at)?|been looked at|tried)|no idea|"
    r"unsure|unknown|hidden|hard to (?:see|tell)|too \w+ to (?:see|tell|read|judge)|"
    r"can not (?:shift|push|lift|budge|move|open)|too "
    r"(?:dark|heavy|tight)"
)
REST = re.compile(
    r"(?:all )?(?:the )?(?<!every )\b(?:otherwise|rest|others?|other (?:ones?|three|two|four)|"
    r"remainder|everything else|other (?:stuff|bits|things|parts)|all else|everyone else|"
    r"elsewhere)\b(?: of (?:them|it))?"
)
CORRECTS = re.compile(
    r"\b(?:sorry|oops|wait|actually|i mean|i meant|make that)\b|"
    r"[,.;]\s*no(?:,| (?:the|it is|its|not)\b)"
)
"""Words that take back what was said before."""
ASIDE = re.compile(r"(?:it|its|that|thats|this|there|because|cos|like|as|they|wife|he|she|had) ")
ABSENT = re.compile(
    r"\b(?:not fitted|not (?:got|have|had)|has none|have none|does not have|without|never had)\b"
)
WILL_NOT = re.compile(
    r"\b(?:will|does|do|did|can|could|doing) (?:not \w|nothing)|\bnothing happen(?:s|ed)|"
    r"\b(?:neither|none) (?:of )?[a-z ]+ (?:locks?|works?|winds?|clicks?|holds?|lights?|comes?|"
    r"flash(?:es)?|shuts?|stays?)\b|"
    r"\bnot (?:flashing|blinking|lighting|lit|working|coming|winding|locking|holding|clicking|"
    r"clearing|spraying|squirting|wiping|shutting|closing|catching)\b"
)
THAN = re.compile(r"\bthan (?:the )?\w+(?: (?:one|side))?(?: (?:on )?the other side)?")
THEM = word_set("them those it that these they thats lol though anyway mine like said all")
SIDES = word_set("left right front rear passenger driver inner outer")
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
