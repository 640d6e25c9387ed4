"""The shapes of a sentence about a number: about #, between # and #, at least #.

"#" stands for a figure with its unit; see figures.py.
"""

from __future__ import annotations

import re

from assistant.reading.forms import forms

_NAMES = (
    "between",
    "either side",
    "inside",
    "about or plain",
    "just under",
    "just over",
    "under",
    "over",
    "at most",
    "at least",
)
SHAPES = [(re.compile(forms("numbers")[name.replace(" ", "_")]), name) for name in _NAMES]
OPERATORS = frozenset(re.findall(r"[a-z]+|[~<>=+/±-]+", " ".join(p.pattern for p, _ in SHAPES)))
OPERATORS = (OPERATORS | {"much", "far"}) - {"the", "any"}
