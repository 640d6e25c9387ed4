"""What words may mean that no reader understood, to be read back: "I read that as: ...".

The words are matched with the choices of the question as a worry is with the symptoms, by the
shared threes of letters (matching.py), where one choice comes out clearly before the others. Of a
group each clause is matched with what may be fine and what may be wrong of each part. Nothing that
is guessed here is kept before somebody has said yes to it.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping, Sequence

from assistant.journal.entries import Answer
from assistant.reading.choices import one, several
from assistant.reading.forms import forms
from assistant.reading.group_words import BAD, GOOD, REST
from assistant.reading.matching import Matcher
from assistant.reading.result import DONT_KNOW, Unclear, Understood
from assistant.reading.text import (
    FILLERS,
    NEGATIONS,
    PERIODS,
    hedged,
    spoken,
    word_set,
    words_of,
)
from assistant.reading.understand import ASKS_NOT
from assistant.ruleset.models import Question
from assistant.ruleset.ruleset import Ruleset, made_once
from assistant.ruleset.sayings import NONE, sayings_of

_PARTS = re.compile(
    r"\s*(?:[,;/]|[.!?](?=\s|$)|"
    r"\b(?:but|though|oh|so|because|then|only(?= cos| because))\b)\s*"
)
_JOINED = re.compile(r"\s*(?:&|\+|\b(?:and|n|an(?= (?:a|the|my)\b)|also|plus|or|nor)\b)\s*")
CLEARLY = 1.35
"""So many times the score of the next has the one that is meant. Ours, assumed."""
ENOUGH = 7.2
"""A lower score than this is an accident: a short word that many have. Ours, assumed."""
_AS_PEOPLE_SAY = 24.0
"""Such a score has what is nearly one of the things that people say. Ours, assumed."""
LONGEST_GUESSED = 300
"""Longer words are a story, and not guessed at. Ours, assumed."""
_MOST_OF_IT = 3
"""So many words has a harmless choice of words that may tell a danger. Ours: of 1,540 phrases that
tell a danger, each at 22 prompts with choices, three pairs came so near to one."""
_DIGITS = re.compile(
    rf"(?<![0-9.])[0-9]{{1,2}}\b(?! (?:new|tyres?|times?|clicks?|mths?|{PERIODS}))"
)
_FORMS = forms("guessing")
_ONE_OF_THEM = re.compile(_FORMS["one_of_them"], re.IGNORECASE)
"""Which one was not said."""
COMFORT = GOOD | word_set(
    "lovely grand tidy plenty smashing spot brilliant great smooth smoothly normal ordinary nicely "
    "nice perfectly properly proper sweet usual shining lush clean champion mint dandy solid"
)
WELL = (COMFORT | {"loads"}) - word_set("light lights lit bright")
"""Said of what is well, where lamps have no part in it."""
_NOUN_NOES = word_set("no none nothing without nor neither")
_BARE_NOES = word_set("no nope nah none nothing neither")
_OF_THEM = word_set("of them these those that")
_AS_IT_SHOULD = re.compile(_FORMS["as_it_should"])
"""Said in short of what is well."""
_AFTER_ALL_FINE = re.compile(_FORMS["after_all_fine"])
_NOTHING_WRONG_WITH = re.compile(_FORMS["nothing_wrong_with"])
_NO_OR = re.compile(r"(\b(no|nothing|neither|without)\b[^,;.]*?)\b(?:or|nor)\b(?! no\b)")
"""A "no" goes for what stands behind an "or" too: "nothing loose or rusty"."""
_NOTICED = word_set("noticed notice seen heard had anything budge move moves moving")
_SAYS_NONE = COMFORT | NEGATIONS | word_set("all off out gone clear every everything apart dry")
_NONE_OF_THEM = re.compile(r"(?:no |nope |nah )?none of (?:them|those|these|that|it)(?: on mine)?")
_STAYED_DARK = NEGATIONS | word_set("dark out off dead missing stayed but except bar apart")
_CAME_ON = re.compile(
    r"\b(?:came|come|comes|coming|is|are|was|were|stayed|still|all) on\b|\b(?:fine|ok|did)$"
)
"""A lamp of which this is said is none of those that did not come on."""


_VAGUE = word_set(
    "noise noises funny odd strange weird sometimes bit thing things something one lamp light "
    "lights orange red yellow amber on make makes making made been has had it its theres little"
)
"""Words that name nothing, not even all together."""
_SAYS_LITTLE = word_set("red amber yellow green noise noises old new thing things bit lot")
"""Words that fit one choice by chance."""


def guess(ruleset: Ruleset, question: Question, words: str) -> Understood | None:
    """The choice, or the choices, that words may mean; None where none is clearly the nearest."""
    if question.kind not in ("one_of", "some_of") or len(words) > LONGEST_GUESSED:
        return None
    if _ONE_OF_THEM.search(words):
        return None
    found = (_one_guessed if question.kind == "one_of" else _some_guessed)(ruleset, question, words)
    well = found is not None and (found.answer.words == () or found.answer.word == question.fine)
    if found is not None and well and question.safety and hedged(words):
        return Understood(Answer(state="dont_know"), DONT_KNOW, sure=False)
    return found


def _one_guessed(ruleset: Ruleset, question: Question, words: str) -> Understood | None:
    near = _nearest(_of_choices(ruleset, question, said=True), spoken(words), enough=_AS_PEOPLE_SAY)
    if near is not None:
        return one(question, int(near), sure=False)
    for said in (False, True):
        matcher = _of_choices(ruleset, question, said)
        found = _nearest(matcher, spoken(words))
        if found is None:
            picks = {_nearest(matcher, clause) for clause in _clauses_of(words)} - {None}
            found = picks.pop() if len(picks) == 1 else None
        if found is not None:
            return one(question, int(found), sure=False)
        if not said and _stand_in_several(matcher, question, words):
            return None
    return None


def _stand_in_several(matcher: Matcher, question: Question, words: str) -> bool:
    """Whether all words that tell something stand in choices, in several alike: "a hybrid"."""
    names = [str(index) for index in range(len(question.choices))]
    telling = [w for w in words_of(spoken(words)) if w not in FILLERS and matcher.words(w)]
    return bool(telling) and all(any(matcher.shared(n, w) for n in names) for w in telling)


def _some_guessed(ruleset: Ruleset, question: Question, words: str) -> Understood | None:
    """What each clause names; not what one denies, nor what one says is well.

    Where nothing is named, and things are denied or well, none is meant.
    """
    asks_not = bool(ASKS_NOT.search(question.ask))
    if asks_not and not _STAYED_DARK & set(words_of(words)):
        return None
    clauses = _clauses_of(words)
    if any(_NONE_OF_THEM.fullmatch(clause.strip()) for clause in clauses):
        return several(question, (), sure=False)
    clauses = [clause for clause in clauses if not REST.search(clause)]
    if asks_not:
        denied: set[str] = set()
        named = [c for c in clauses if NEGATIONS & set(words_of(c)) or not _CAME_ON.search(c)]
        well = False
    else:
        named, denied, well = _sorted_out(ruleset, question, clauses)
    plain = _of_choices(ruleset, question, said=False)
    chosen: list[str] = []
    for clause in named:
        found = _nearest_choice(ruleset, question, clause, {*denied, NONE})
        own = plain.shared(found, clause) if found else frozenset()
        less = bool(own) and any(own <= plain.shared(before, clause) for before in chosen)
        if found and found not in chosen and not less:
            chosen.append(found)
    if chosen:
        return several(question, map(int, chosen), sure=False)
    silent = all(set(words_of(clause)) <= FILLERS for clause in named)
    return several(question, (), sure=False) if well and silent else None


def _sorted_out(
    ruleset: Ruleset, question: Question, clauses: Sequence[str]
) -> tuple[list[str], set[str], bool]:
    """The clauses that name something, the choices that the others deny, and whether the others
    say that all is well."""
    plain = _of_choices(ruleset, question, said=False)
    named: list[str] = []
    denied: set[str] = set()
    well = doubt = False
    for clause in clauses:
        said = set(words_of(clause))
        noes = said & NEGATIONS
        found = _nearest_choice(ruleset, question, clause)
        fails = said & {"not", "never"} and not said & _NOTICED
        if found == NONE and (fails or not said & _SAYS_NONE):
            found = None
        if noes and found != NONE and not (found and _says_no(question, int(found))):
            denied |= {found} if found else {m.name for m in plain.nearest(clause)[:1]}
            noun = bool(noes & _NOUN_NOES)
            well, doubt = well or noun, doubt or (not noun and found is None)
        elif found == NONE or (said & WELL and not said & BAD and not noes) or clause == "all":
            well = True
        else:
            named.append(clause)
    return named, denied, well and not doubt


def _says_no(question: Question, index: int) -> bool:
    choice = list(question.choices.values())[index]
    return any(NEGATIONS & set(words_of(way)) for way in (choice.say, *choice.hear))


def beside(ruleset: Ruleset, question: Question, found: Understood, words: str) -> str | None:
    """What of the words the guessed choices have not: "but it clears" of "a rubber is split".

    None where they have fewer than three of the words, or less than half of those that tell
    something.
    """
    matcher = _of_choices(ruleset, question, said=False)
    picked = {found.answer.word, *(found.answer.words or ())}
    names = [str(i) for i, word in enumerate(question.choices) if word in picked]
    has = [w for w in words.split() if any(matcher.shared(name, w) for name in names)]
    left = [w for w in words.split() if w not in has]
    told = [w for w in left if matcher.words(w) and w.lower() not in FILLERS]
    return " ".join(left) if len(has) >= max(_MOST_OF_IT, len(told)) else None


def better_guess(
    ruleset: Ruleset, question: Question, words: str, heard: Understood | Unclear
) -> Understood | None:
    """A guess in place of what a reader made of the words, where that was not sure.

    Several choices that were read stay, but those that a clause denies, or that come from clauses
    that say something else.
    """
    if isinstance(heard, Unclear):
        return guess(ruleset, question, words)
    if not (heard.answer.words or heard.answer.word):
        return None
    if len(heard.answer.words or ()) > 1:
        heard = _without_lesser(ruleset, question, words, heard)
    found = guess(ruleset, question, words)
    if found is None or found.answer.words is None:
        return heard if heard.answer.words else None
    if _DIGITS.search(words):
        return None
    names = list(question.choices)
    plain = _of_choices(ruleset, question, said=False)
    free = [clause for clause in _clauses_of(words)
            if not set(words_of(clause)) & (NEGATIONS | WELL)
            and not _nearest_choice(ruleset, question, clause)]  # fmt: skip
    kept = {
        index for index in map(names.index, heard.answer.words or ())
        if any(plain.shared(str(index), clause) for clause in free)
    }  # fmt: skip
    return several(question, kept | set(map(names.index, found.answer.words)), sure=False)


def _without_lesser(
    ruleset: Ruleset, question: Question, words: str, heard: Understood
) -> Understood:
    """What was read without a choice that has only some of the words that another has: the engine
    lamp that is steady, of "the engine one is blinking"."""
    matcher = _of_choices(ruleset, question, said=False)
    names = list(question.choices)
    has = {i: matcher.shared(str(i), words) for i in map(names.index, heard.answer.words or ())}
    best = [i for i in has if not any(has[i] < other for other in has.values())]
    return several(question, best, sure=False)


def says_little(words: str) -> bool:
    """Whether words are so general that they name none of the choices: "a funny noise"."""
    said = {w for w in words_of(spoken(words)) if w not in FILLERS}
    return bool(said & _VAGUE) and said <= _VAGUE


def only_denies(words: str) -> bool:
    """Whether words are a bare "no" or "none of them", which is none of the choices of one_of."""
    said = {w for w in words_of(spoken(words)) if w in _BARE_NOES or w not in FILLERS}
    return bool(said & _BARE_NOES) and said <= _BARE_NOES | _OF_THEM


def names_one_of(words: str) -> bool:
    """Whether words say that it is one of several, and not which."""
    return bool(_ONE_OF_THEM.search(words))


def joined_clauses(words: str) -> list[list[str]]:
    """The clauses of words, those together that only an "and" or "or" parts."""
    text = _AS_IT_SHOULD.sub(" fine ", spoken(words))
    text = _AFTER_ALL_FINE.sub(r"\1, ", text)
    text = _NOTHING_WRONG_WITH.sub(r"\1 fine", text)
    text = _NO_OR.sub(r"\1 or \2 ", text)
    parts = _PARTS.split(text)
    return [[piece for piece in _JOINED.split(part) if words_of(piece)] for part in parts]


def _clauses_of(words: str) -> list[str]:
    return [clause for clauses in joined_clauses(words) for clause in clauses]


def _nearest_choice(
    ruleset: Ruleset, question: Question, words: str, but: Collection[str] = ()
) -> str | None:
    """The choice that is clearly the nearest by its own words, or else by what people say."""
    ways = (_of_choices(ruleset, question, said) for said in (False, True))
    return next(filter(None, (_nearest(matcher, words, but) for matcher in ways)), None)


def _nearest(
    matcher: Matcher, words: str, but: Collection[str] = (), enough: float = ENOUGH
) -> str | None:
    """The one name that is clearly the nearest, of all but some."""
    found = [match for match in matcher.nearest(words, 3 + len(but)) if match.name not in but]
    if not found or found[0].score < enough:
        return None
    if len(found) > 1 and found[0].score < CLEARLY * found[1].score:
        return None
    return found[0].name


def _of_choices(ruleset: Ruleset, question: Question, said: bool) -> Matcher:
    """The matcher of the choices of a question. said: with what people say for each."""
    known = matchers(ruleset)
    key = f"{question.ask} {question.label} {said}"
    if key not in known:
        heard = sayings_of(ruleset, question) if said else {}
        ways = {
            str(index): [choice.say, *choice.hear, *heard.get(word, ())]
            for index, (word, choice) in enumerate(question.choices.items())
        }
        if question.kind == "some_of" and NONE in heard:
            ways[NONE] = heard[NONE]
        known[key] = new_matcher(ruleset, ways)
    return known[key]


def new_matcher(ruleset: Ruleset, ways: Mapping[str, Sequence[str]]) -> Matcher:
    words = ruleset.words
    return Matcher(ways, words.same, _SAYS_LITTLE.union(words.idle)) if words else Matcher(ways)


@made_once
def matchers(_: Ruleset) -> dict[str, Matcher]:
    """The matchers of one ruleset; made as they are needed."""
    return {}
