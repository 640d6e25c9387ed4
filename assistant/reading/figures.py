"""Finding the figures in a sentence: decimals, fractions, number words, each with its unit.

The sentence comes back as a shape, with "#" in place of each figure and its unit.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

from assistant.calculations.units import UNITS
from assistant.reading.forms import forms, rewrites
from assistant.reading.text import spoken, word_set

_FORMS = forms("figures")
ONES = _FORMS["ones"].split("|")
_TENS = dict(zip(_FORMS["tens"].split("|"), range(20, 99, 10), strict=True))
_WORD_VALUES = {**{word: i for i, word in enumerate(ONES)}, **_TENS, "nought": 0, "fourty": 40}
_NUMBER_WORD = re.compile(
    rf"\b(?:({'|'.join(_TENS)})[ -]({'|'.join(ONES[1:10])})|({'|'.join(_WORD_VALUES)}))\b"
)
_NOT_COUNTED = re.compile(_FORMS["not_counted"])
_A_UNIT = "|".join(
    sorted({w for u in UNITS for w in u.words if w.isalpha() and len(w) > 1 and w != "in"})
)
# A bank card is 85.60 by 53.98 mm: ISO/IEC 7810, ID-1, from memory. A finger is some 15 mm wide:
# common practice, no source. Both are only read where a rough figure will do, and said in mm.
_REWRITES: list[tuple[re.Pattern[str], str | Callable[[re.Match[str]], str]]] = [
    *rewrites("figures", "units"),
    (re.compile(_FORMS["fingers"]), lambda m: f"{15 * int(m[1] or 2)} mm"),
    (
        re.compile(_FORMS["card"]),
        lambda m: "86 mm" if "long" in m[0] or "length" in m[0] else "54 mm",
    ),
    *rewrites("figures", "fractions"),
    (
        re.compile(rf"\b(an?|[0-9]+) ({_A_UNIT}) and +([0-9]/[0-9])\b"),
        lambda m: f"{1 if m[1][0] == 'a' else m[1]} {m[3]} {m[2]}",
    ),
    *rewrites("figures", "mixed"),
    (re.compile(r"\b([0-9]+)? ?point ([0-9](?: [0-9])*)\b"), lambda m: _pointed(m)),
    (
        re.compile(r"([0-9]+(?:\.[0-9]+)?) ?hundred\b(?: and\b)?(?: ([0-9]{1,2})\b)?"),
        lambda m: _times(m, 100),
    ),
    (re.compile(r"([0-9]+(?:\.[0-9]+)?) ?k\b(?! ?(?:m|pa)\b)"), lambda m: _times(m, 1000)),
    (
        re.compile(r"([0-9]+(?:\.[0-9]+)?) ?thousand\b(?: and\b)?(?: ([0-9]{1,3})\b)?"),
        lambda m: _times(m, 1000),
    ),
]
_TOKEN = re.compile(
    r"(?P<faulty>[0-9][0-9.,]*e[+-]?[0-9]+|0x[0-9a-f]*|[0-9.,]*\^[0-9]+|\b(?:nan|inf|infinity)\b)"
    r"|(?P<mixed>[0-9]{1,9} +[0-9]{1,9} ?/ ?[0-9]{1,9})"
    r"|(?P<fraction>[0-9]{1,9} ?/ ?[0-9]{1,9}(?!/))"
    r"|(?P<spaced>[0-9]{1,3}(?: [0-9]{3})+(?![0-9.,]))"
    r"|(?P<number>[0-9]+(?:[.,][0-9]+)*|[.,][0-9]+)"
    r"|(?P<word>[^\W\d_]+(?:/[^\W\d_]+)?|%)"
    r"|(?P<sign><=|>=|[~<>=+/±-]|[,;?!:.])"
)
_FOLLOWED_BY_NOUN = word_set("""the a an my total all one places front rear back middle""")


@dataclass(frozen=True)
class Figure:
    """One number as typed. unit: the word after it, "" if none; it may be no unit at all.

    other: the second way to read it (2,500 as 2.5). inches: a fraction that only makes sense as
    inches. thousands: read with a thousands mark that is not usual. faulty: no plain number.
    """

    value: Fraction
    raw: str
    unit: str = ""
    other: Fraction | None = None
    inches: bool = False
    thousands: bool = False
    faulty: bool = False


def figures_in(words: str, own: frozenset[str] = frozenset()) -> tuple[list[Figure], str]:
    """The figures of a sentence, and its shape. own: further words that are units here."""
    text = digits(spoken(words)[:1000])
    tokens = [(m.lastgroup or "", m[0]) for m in _TOKEN.finditer(text)]
    figures: list[Figure] = []
    shape: list[str] = []
    index = 0
    while index < len(tokens):
        kind, raw = tokens[index]
        index += 1
        if kind in ("word", "sign"):
            shape.append(raw)
            continue
        negative = (
            bool(shape)
            and shape[-1] in ("-", "minus")
            and shape[-2:-1]
            not in (
                ["#"],
                ["or"],
                ["plus"],
                ["/"],
                ["+"],
            )
        )
        if negative:
            shape.pop()
        unit = ""
        if index < len(tokens) and tokens[index][0] == "word":
            following = tokens[index + 1][1] if index + 1 < len(tokens) else ""
            unit = tokens[index][1]
            if unit == "in" and following in _FOLLOWED_BY_NOUN:
                unit = ""
            elif unit in _UNIT_WORDS or unit in own:
                index += 1
        figures.append(_figure(kind, raw, unit, negative))
        shape.append("#")
    return figures[:20], " ".join(shape)


_UNIT_WORDS = frozenset(
    {word for unit in UNITS for word in (*unit.words, unit.name.casefold())}
    | {"%", "thirtyseconds"}
) - {"min"}


def digits(text: str) -> str:
    """Number words as digits, fractions and halves as fractions, long units as short ones."""
    text = re.sub(r"\bthirty-seconds?\b|\bthirty seconds?(?= of an inch)", "32nds", text)
    text = _NOT_COUNTED.sub(r"\1", text)
    text = _NUMBER_WORD.sub(_word_value, text)
    for pattern, replacement in _REWRITES:
        text = pattern.sub(replacement, text)
    if not re.search(r"[0-9]", text):
        text = re.sub(rf"\ban? (?=(?:{_A_UNIT})\b)", "1 ", text)
    return text


def _word_value(match: re.Match[str]) -> str:
    if match[1]:
        return str(_WORD_VALUES[match[1]] + _WORD_VALUES[match[2]])
    return str(_WORD_VALUES[match[3]])


def _pointed(match: re.Match[str]) -> str:
    return f"{match[1] or 0}.{match[2].replace(' ', '')}"


def _times(match: re.Match[str], factor: int) -> str:
    rest = match[2] if match.re.groups > 1 and match[2] else "0"
    value = Fraction(match[1]) * factor + int(rest)
    return str(int(value)) if value.denominator == 1 else str(float(value))


def _figure(kind: str, raw: str, unit: str, negative: bool) -> Figure:
    sign = -1 if negative else 1
    unit = "32nds" if unit == "thirtyseconds" else unit
    shown = f"-{raw}" if negative else raw
    faulty = Figure(Fraction(0), shown, unit, faulty=True)
    if kind in ("mixed", "fraction"):
        whole, top, bottom = ([0] + [int(n) for n in re.findall(r"[0-9]+", raw)])[-3:]
        if not bottom:
            return faulty
        value = sign * (whole + Fraction(top, bottom))
        shown = shown.replace(" / ", "/")
        return Figure(value, shown, unit, inches=bottom in (8, 16, 32, 64))
    if kind == "spaced":
        return Figure(Fraction(sign * int(raw.replace(" ", ""))), shown, unit, thousands=True)
    if kind == "faulty" or len(raw) > 30:
        return faulty
    if re.fullmatch(r"[1-9][0-9]{0,2}(?:,[0-9]{3})+(?:\.[0-9]+)?", raw):
        other = Fraction(raw.replace(",", ".")) if re.fullmatch(r"[0-9]+,[0-9]+", raw) else None
        return Figure(
            sign * Fraction(raw.replace(",", "")), shown, unit, sign * other if other else None
        )
    if re.fullmatch(r"[0-9]*[.,]?[0-9]+", raw):
        return Figure(sign * Fraction(raw.replace(",", ".")), shown, unit)
    return faulty
