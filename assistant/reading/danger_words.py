"""The dangers that an owner tells in their own words, at whatever prompt.

What is listened for, and what makes the same words harmless, is all in words.yaml. The lines of
a ruleset are compiled once, when they are first needed.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from functools import lru_cache
from pathlib import Path
from typing import NamedTuple

from assistant.reading.clauses import Clauses, Span, clauses, plain_words
from assistant.reading.denials import Denials
from assistant.reading.word_patterns import (
    NOT,
    Match,
    Pattern,
    Phrases,
    Slips,
    denied,
    forms,
    matches,
    read_pattern,
)
from assistant.reading.word_weights import WORD_WEIGHTS, WordWeights
from assistant.ruleset.ruleset import Ruleset, made_once
from assistant.ruleset.words_file import WordsFile

MOST = 3
A_SENTENCE = 5
"""From so many words on, words that are no answer may tell a whole story. Ours, assumed."""
COMMON_WORDS = "common_words.txt"
"""Words that are no slip of the finger, one a line, beside the ruleset's files; # is a note."""
_BESIDE = 6
"""Two dangers of one hazard this near each other are one danger told in two ways."""
_NAMES = frozenset(("alarming", "feared", "failings"))
"""The lists of `telling:` that name groups; the others have the words themselves."""
_AFTERTHOUGHT = 3
"""A part of at most so many words that makes a fault slight is about the part before it."""
_COVERING = frozenset((":other_senses", ":comfort", ":denies_nothing", ":long_past"))


class DangerTold(Exception):
    """Words that tell of a danger were typed where something else was asked.

    chat: they sound so little like a danger that it is asked first whether they are one.
    """

    def __init__(self, words: str, dangers: tuple[str, ...], chat: bool = False) -> None:
        super().__init__(words)
        self.words = words
        self.dangers = dangers
        self.chat = chat


def dangers_told(ruleset: Ruleset, words: str) -> tuple[str, ...]:
    """The names of the dangers that are told, the gravest first, at most three."""
    return _heard(ruleset, words).dangers


def only_sounds(ruleset: Ruleset, words: str) -> bool:
    """Whether no line tells those dangers, and the words only sound like one."""
    return _heard(ruleset, words).sounded


def ask_first_in(ruleset: Ruleset, words: str) -> tuple[str, ...]:
    """The names of what the words might mean, and what a question settles first."""
    return _heard(ruleset, words).ask_first


def plainly_comfort(ruleset: Ruleset, words: str) -> bool:
    """Whether the words are about comfort alone: a thing of comfort is named, and nothing else."""
    heard = _heard(ruleset, words)
    return heard.comfort and not heard.dangers and not heard.ask_first


def sounds_like_chat(ruleset: Ruleset, words: str) -> bool:
    """Whether a sentence sounds so little like a danger that it is asked about first."""
    return ruleset.words is not None and _listener(ruleset).weights.chat(words)


def sounds_alarming(ruleset: Ruleset, words: str) -> bool:
    """Whether words that tell no danger we know sound as if they told one."""
    if ruleset.words is None or not words:
        return False
    return _listener(ruleset).alarmed_by(words)


def tells_of_the_car(ruleset: Ruleset, words: str) -> bool:
    """Whether a sentence that is no answer may tell something of the car, and denies it not.

    Such words may be a danger that nobody has thought of, so they are asked about.
    """
    if ruleset.words is None or words.count(" ") < A_SENTENCE - 1:
        return False
    return _listener(ruleset).may_tell_of_the_car(words)


class _Heard(NamedTuple):
    """sounded: no line told the dangers; the words only sound like them."""

    dangers: tuple[str, ...] = ()
    ask_first: tuple[str, ...] = ()
    comfort: bool = False
    sounded: bool = False


def _heard(ruleset: Ruleset, words: str) -> _Heard:
    if ruleset.words is None or not words:
        return _Heard()
    return _listener(ruleset).hear(words)


@made_once
def _listener(ruleset: Ruleset) -> _Listener:
    words = ruleset.words
    assert words is not None
    weights = WordWeights.read(ruleset.folder / WORD_WEIGHTS)
    return _Listener(words, _common_words(ruleset.folder), weights)


def _common_words(folder: Path) -> list[str]:
    try:
        lines = (folder / COMMON_WORDS).read_text("utf-8").splitlines()
    except (OSError, UnicodeDecodeError):
        return []
    return [line for line in lines if not line.startswith("#")]


class _Lines:
    """Some lines of the ruleset, by the first term of each."""

    def __init__(self, lines: list[Pattern]) -> None:
        self._by_first: dict[str, list[Pattern]] = {}
        for line in lines:
            self._by_first.setdefault(line.terms[0], []).append(line)

    def among(self, found: Mapping[str, list[Span]]) -> Iterator[Pattern]:
        """Those of which every term stands somewhere; a quick look before the long one."""
        for first in self._by_first.keys() & found.keys():
            for line in self._by_first[first]:
                if all(term in found for term in line.terms):
                    yield line


class _Listener:
    """The lines of one ruleset, ready to be listened for."""

    def __init__(self, words: WordsFile, common: list[str], weights: WordWeights) -> None:
        telling = words.telling
        self.weights = weights
        self._of_kind = words.kinds
        lists = frozenset(f":{name}" for name, _ in telling)
        self._things = frozenset(words.things)
        self._phrases = Phrases(
            covering=frozenset(words.things) | _COVERING,
            yielding=lists - _COVERING,
            never_hidden=frozenset((":negation", ":refusing", ":elsewhere", ":likening")),
        )
        self._spelt = [
            {tuple(said.split()): meant.split() for said, meant in words.spelt.items()
             if said.count(" ") == size} for size in (0, 1)
        ]  # fmt: skip
        self._spelt_first = frozenset(said.split()[0] for said in words.spelt)
        self._named: set[str] = set()
        self._plain: set[str] = set()
        self._denied: set[str] = set()
        for name, group in words.word_groups.items():
            self._add(group, name)
            if name in words.things:  # "the steering's gone" is typed without its apostrophe
                self._add((f"{phrase}s" for phrase in group), name)
        self._dangers = [(n, self._lines(d.hear), d.hazards) for n, d in words.dangers.items()]
        self._mild = {n: self._lines(d.mild) for n, d in words.dangers.items()}
        self._ask_first = [(n, self._lines(a.hear)) for n, a in words.ask_first.items()]
        meant = frozenset(self._plain)
        for name, group in telling:
            self._add(group if name not in _NAMES else (), f":{name}")
        self._add(words.comforts, ":comfort")
        self._phrases.all_added()
        known = [*common, *words.idle, *words.spelt, *self._phrases.vocabulary()]
        self._slips = Slips(meant, known if common else ())
        self._new_part = frozenset(tuple(phrase.split()) for phrase in telling.new_part)
        self._alarming = frozenset(telling.alarming)
        self._feared = self._alarming | frozenset(telling.feared)
        self._failings = frozenset(telling.failings)
        self._lists = lists - {":denies_nothing"}
        self._plain.clear()  # needed no more, and it is large
        self.hear = lru_cache(maxsize=256)(self._hear)

    def _add(self, group: Iterable[str], name: str) -> None:
        self._named.add(name)
        for written in group:
            words = self._as_meant(written.replace("'", "").lower().split())
            self._phrases.add(words, name)
            self._plain.update(words)

    def _lines(self, hear: list[str]) -> _Lines:
        """The patterns; a term that is no group is a phrase of its own."""
        lines = [read_pattern(line) for line in hear]
        for line in lines:
            for term in (*line.terms, *line.unless):
                if term.startswith(NOT):
                    self._denied.add(term.removeprefix(NOT))
                elif term not in self._named:
                    self._add((form.replace("-", " ") for form in forms(term)), term)
        return _Lines(lines)

    def _read(self, words: str) -> tuple[Clauses, dict[str, list[Span]], Denials]:
        typed = [self._slips.repaired(word) for word in self._as_meant(plain_words(words))]
        text = clauses(typed, self._new_part)
        found = self._phrases.found(text)
        noes = [*found.get(":negation", ()), *found.get(":refusing", ())]
        if noes:
            for name in self._denied & found.keys():
                if spans := denied(found[name], noes, text):
                    found[NOT + name] = spans
        named = [
            span for name, spans in found.items()
            if name not in self._lists and not name.startswith(NOT)
            for span in spans if span[1] - span[0] > 1
        ]  # fmt: skip
        return text, found, Denials(text, found, named, self.weights.grave(words))

    def _as_meant(self, words: list[str]) -> list[str]:
        """Words as they are mostly spelt, "will not" as "wont"."""
        if self._spelt_first.isdisjoint(words):
            return words
        result: list[str] = []
        one, two = self._spelt
        i = 0
        while i < len(words):
            pair = two.get((words[i], words[i + 1])) if i + 1 < len(words) else None
            result += pair or one.get((words[i],), words[i : i + 1])
            i += 2 if pair else 1
        return result

    def alarmed_by(self, words: str) -> bool:
        """Whether there is a cry in it, or something alarming that fails, and no danger is told."""
        heard = self.hear(words)
        if heard.dangers or heard.comfort:
            return False
        text, found, denials = self._read(words)
        cried = [Match((span,)) for span in found.get(":cries", ())]
        if any(denials.hold(match, excusable=True) for match in cried):
            return True
        things = [name for name in self._feared if name in found]
        failings = [name for name in self._failings if name in found]
        slight = frozenset().union(*(self._slight(n, found, text) for n in self._mild))
        return any(
            denials.hold(match, excusable=True) and not slight & text.parts_of(match.spans)
            for thing in things for failing in failings
            for match in matches(Pattern((thing, failing)), found, text)
        )  # fmt: skip

    def may_tell_of_the_car(self, words: str) -> bool:
        """Whether a part of the car is named, and what is said of it is not denied or long past;
        or nothing is asked, and nothing named that we know, of the car or of the house. What weighs
        as chat tells nothing of it."""
        if self.hear(words).comfort or (self.weights.weights and self.weights.of(words) < 0):
            return False
        _, found, denials = self._read(words)
        parts = (self._things | self._feared) & found.keys()
        if not parts:
            return found.keys().isdisjoint((":elsewhere", ":asking"))
        return any(
            denials.hold(Match((span,)), excusable=True) for name in parts for span in found[name]
        )

    def _hear(self, words: str) -> _Heard:
        text, found, denials = self._read(words)
        there = frozenset(found)
        comfort = ":comfort" in there and not there & self._alarming
        ask_first = tuple(
            name for name, lines in self._ask_first
            if any(self._told(line, found, text, denials) for line in lines.among(found))
        )  # fmt: skip
        if dangers := self._dangers_in(found, text, denials):
            return _Heard(dangers, ask_first, comfort)
        sounded = self._sounded(words, found, text)
        return _Heard(sounded, ask_first, comfort, sounded=bool(sounded))

    def _sounded(self, words: str, found: dict[str, list[Span]], text: Clauses) -> tuple[str, ...]:
        """What a sentence sounds like in which no line stands, told or denied."""
        kind = self.weights.kind(words)
        known = kind and any(
            matches(line, found, text)
            for _, lines, _ in self._dangers
            for line in lines.among(found)
        )
        return (self._of_kind[kind],) if kind in self._of_kind and not known else ()

    def _told(
        self, line: Pattern, found: dict[str, list[Span]], text: Clauses, denials: Denials
    ) -> list[Match]:
        excusable = self._alarming.isdisjoint(line.terms)
        return [m for m in matches(line, found, text) if denials.hold(m, excusable)]

    def _dangers_in(
        self, found: dict[str, list[Span]], text: Clauses, denials: Denials
    ) -> tuple[str, ...]:
        told: list[str] = []
        used: list[tuple[frozenset[int], frozenset[str]]] = []
        for name, lines, hazards in self._dangers:
            slight = self._slight(name, found, text) if not denials.grave else None
            new = [
                match.words
                for line in lines.among(found)
                for match in self._told(line, found, text, denials)
                if not (slight and slight & self._fault_parts(line, match, text))
                and not any(_same(match.words, set(hazards), *before) for before in used)
            ]  # fmt: skip
            if new:
                told.append(name)
                used.append((frozenset().union(*new), frozenset(hazards)))
            if len(told) == MOST:
                break
        return tuple(told)

    def _slight(self, danger: str, found: dict[str, list[Span]], text: Clauses) -> frozenset[int]:
        """The parts in which something makes this danger a slight fault, and the part before one
        that says no more than that: "it wobbles, very slightly"."""
        parts = text.parts_of(
            span for line in self._mild[danger].among(found)
            for match in matches(line, found, text) for span in match.spans
        )  # fmt: skip
        return parts | {part - 1 for part in parts if text.part.count(part) <= _AFTERTHOUGHT}

    def _fault_parts(self, line: Pattern, match: Match, text: Clauses) -> frozenset[int]:
        """The parts in which a match says what is wrong, rather than with which thing."""
        wrong = [s for t, s in zip(line.terms, match.spans, strict=True) if t not in self._things]
        return text.parts_of(wrong or match.spans)


def _same(
    words: frozenset[int], hazards: set[str], other: frozenset[int], others: frozenset[str]
) -> bool:
    """Whether a danger was told already: of a same hazard in the same words, or close by."""
    if words <= other and hazards & others:
        return True
    near = min(abs(i - j) for i in words for j in other) <= _BESIDE
    return near and hazards <= others
