"""The shapes of a sentence about a number: about #, between # and #, at least #.

"#" stands for a figure with its unit; see figures.py.
"""

from __future__ import annotations

import re

_SMALLER = r"(?:less|fewer|lower|smaller|shorter|narrower|thinner|shallower|younger) than"
_BIGGER = (
    r"(?:more|greater|bigger|larger|higher|longer|deeper|wider|thicker|better|older) than"
    r"|in excess of|upwards of|upward of"
)
_SLIGHTLY = r"(?:just|bit|little|slightly|tad|touch|shade|hair|fraction)(?: bit)?"
_ABOUT = (
    r"(?:about|around|roughly|approximately|approx|circa|ca|~|nearly|almost|close to|near|"
    r"something like|in region of|give or take|more or less|very nearly)"
)
_ABOUT_AFTER = r"(?:ish|or so|give or take|approximately|approx|roughly|about|or thereabouts|"
_ABOUT_AFTER += r"thereabouts|more or less|near enough)"
SHAPES = [
    (re.compile(pattern), name)
    for pattern, name in (
        (
            rf"{_ABOUT}? ?(?:between|from)? ?# (?:and|to|-|or|up to|or maybe|maybe) (?:{_ABOUT} )?#"
            rf"(?: {_ABOUT_AFTER})?",
            "between",
        ),
        (r"# (?:plus or minus|\+ / -|\+ -|± ?|give or take) #", "either side"),
        (rf"(?:{_BIGGER}|over|above|>) # (?:but|and) (?:{_SMALLER}|under|below|<) #", "inside"),
        (
            r"(?:at least|not less than|no less than|>=) # (?:but|and)? ?(?:at most|up to|"
            r"(?:no|not) more than|<=) #",
            "between",
        ),
        (rf"(?:{_ABOUT} )*#(?: {_ABOUT_AFTER})?", "about or plain"),
        (rf"{_SLIGHTLY} (?:{_SMALLER}|under|below|short of)(?: of)? #|not quite #", "just under"),
        (rf"{_SLIGHTLY} (?:{_BIGGER}|over|above) #", "just over"),
        (rf"(?:{_SMALLER}|under|below|<|not as much as|not even|short of) #", "under"),
        (rf"(?:{_BIGGER}|over|above|>) #", "over"),
        (
            r"(?:at (?:the )?most|up to|(?:no|not)(?: any)? (?:more|over|bigger|deeper|"
            r"higher|"
            r"greater|above|longer|wider)(?: than)?|max|maximum|maximum of|<=) #|"
            r"# (?:or|and) (?:less|under|below|lower|fewer|smaller|thinner|shorter)|"
            r"# (?:at most|max|maximum|tops)",
            "at most",
        ),
        (
            r"(?:at (?:the )?least|(?:no|not)(?: any)? (?:less|under|lower|fewer|below|thinner|"
            r"shorter|"
            r"smaller)(?: than)?|min|minimum|minimum of|>=) #|# (?:or|and) (?:more|over|above|"
            r"higher|up|"
            r"upwards|bigger|deeper|longer)|# (?:at least|plus|\+|min|minimum|upwards)",
            "at least",
        ),
    )
]
OPERATORS = frozenset(re.findall(r"[a-z]+|[~<>=+/±-]+", " ".join(p.pattern for p, _ in SHAPES)))
OPERATORS = (OPERATORS | {"much", "far"}) - {"the", "any"}
