"""Which parts of a group words may mean that no reader understood, to be read back.

Each clause names a part, a side or only what is wrong; what it leaves out is carried on from the
clause before: "left spring has snapped, could not see the right one". Whether it says that the part
is fine, or wrong, or not seen, is told by its words, and by what the part is like when it is fine.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence, Set

from assistant.reading.forms import word_list
from assistant.reading.group_words import (
    BAD,
    BUT,
    CORRECTS,
    EXCEPTS,
    FAULTS,
    REFUSED,
    REST,
    THAN,
    is_plural,
    same,
    vocabulary,
)
from assistant.reading.groups import group_of, plain_parts, understand_group
from assistant.reading.guessing import (
    CLEARLY,
    COMFORT,
    ENOUGH,
    LONGEST_GUESSED,
    WELL,
    joined_clauses,
    matchers,
    names_one_of,
    new_matcher,
)
from assistant.reading.matching import Match, Matcher
from assistant.reading.refusals import NOT_DOING_IT
from assistant.reading.result import CANT_LOOK, DONT_KNOW, GroupHeard, GroupItem
from assistant.reading.text import FILLERS, NEGATIONS, hedged, spoken, word_set, words_of
from assistant.ruleset.ruleset import Ruleset
from assistant.ruleset.sayings import NONE, sayings_of

_DIGITS = re.compile(r"(?<!\ball )(?<!\bother )[0-9](?! times)")
_BOTH = frozenset(("both", "all", "every", "each", "either", "they", "them", "sides"))
_ALL_WELL = re.compile(
    rf"(?:(?:yes|they|it|are|is|just) )*(?:all|both|everything|every one|each)\b.*"
    rf"\b(?:{'|'.join(sorted(COMFORT))}|come on|"
    r"came on|red|white|dry|(?:as|like) (?:you|it|they) \w+)\b"
)
_TOO = re.compile(r"\b(?:too|as well|included|also)$")
_NOUN_NOES = frozenset(("no", "none", "without"))
_DOES_NOTHING = re.compile(
    r"\b(?:does|doing|did) nothing|\bnothing (?:\w+ )?(?:happen|work|light|come|came|move|goes)"
)
_OF_THEM = re.compile(
    r".*\bnot (?:really )?(?:see|reach|check|read|tell|get at) "
    r"(?:them|it|those|that|these)(?: ones?)?$"
)
"""What goes on about the parts of the clause before."""
_NOTHING_ELSE = re.compile(r"(?:and )?nothing (?:else|more)(?: (?:wrong|bad|to see|there))?")
_FAR_NEARER = 2.0
"""So many times nearer to what is wrong is wrong, whatever lamp is "lit". Ours, assumed."""
_AT_LENGTH = 3
"""So many words of its name name a part before all that is said of it. Ours, assumed."""
_YES = word_set("yes yeah yep aye yup ok okay sure right")
_NO_MORE = re.compile(r"\b(?:just|only|few|that is (?:it|all)|minor|usual)\b")
"""Said of what is so slight that it does not count."""
_NO_SUCH = re.compile(r"\b(?:no|without)((?: +[a-z']+){1,3})")
_WRONG = word_list("guessing", "wrong")
"""Said of what is wrong with a part, unless its text says the same of one that is fine."""
_AS_IT_SHOULD_BE = word_set(
    "dry tight firm whole even straight shut closed snug secure solid upright"
)
"""Said of a part whose text says the same."""
_SEES_NOTHING = re.compile(
    r"\b(?:can|could) not see (?:anything|a thing|much|any of (?:it|them|that))\b"
)


def has_shape(words: str) -> bool:
    """Whether words count or correct the parts, or say "all but": what a reader knows better."""
    text = spoken(words)
    return any(p.search(text) for p in (_DIGITS, BUT, CORRECTS))


def guess_group(ruleset: Ruleset, items: Sequence[GroupItem], words: str) -> GroupHeard | None:
    """Which parts words may mean, clause by clause; None where that tells nothing.

    What somebody could not or would not look at, without a name, are the parts that are not said
    to be fine: "not pushing it with my back, the springs look fine".
    """
    if len(words) > LONGEST_GUESSED or names_one_of(words):
        return None
    if not set(words_of(spoken(words))) - FILLERS - _YES:
        return None
    told = _Told(ruleset, items)
    excepted = EXCEPTS.search(spoken(words))
    plain = plain_parts(spoken(words), items)
    for clauses in joined_clauses(re.sub(r"\b(?:and|n) all\b", "too", plain)):
        for clause in told.put_together(clauses):
            told.hear(clause)
            told.excepting = told.excepting or bool(excepted and (told.whole or told.rest))
    meant = told.meant()
    if excepted and meant is not None and not (meant.named or meant.unknown):
        return None
    if meant is not None and not (meant.named or meant.unknown) and hedged(words):
        return GroupHeard((), (), True, DONT_KNOW, False, "dont_know")
    return meant


class _Told:
    """What was said of the parts so far, clause by clause.

    whole: they are all said to be fine. rest: what is said of those that are not named. refused:
    something could not be looked at, without a name. doubt: something may be wrong, and with what
    is not clear. nearly: parts that are only nearer to fine; "rest ok" makes them those that are
    not. excepting: all were fine but for what follows. last: the parts of the clause before;
    apart: that clause said why it was not seen.
    """

    def __init__(self, ruleset: Ruleset, items: Sequence[GroupItem]) -> None:
        self.ruleset = ruleset
        self.items = items
        self.sides = _sides(items)
        self.names = [_stems(vocabulary(item)) for item in items]
        self.bad: set[int] = set()
        self.fine: set[int] = set()
        self.unknown: set[int] = set()
        self.last: set[int] = set()
        self.nearly: set[int] = set()
        self.whole = self.refused = self.doubt = self.apart = self.excepting = False
        self.rest = ""

    def put_together(self, clauses: Sequence[str]) -> list[str]:
        """Clauses with those that only name put to the next: "discs and pads fine" is one."""
        found: list[str] = []
        names = ""
        known = frozenset().union(*self.names, FILLERS, _BOTH)
        for clause in clauses:
            names = f"{names} and {clause}" if names else clause
            if not _stems(map(same, words_of(clause))) <= known:
                found.append(names)
                names = ""
        if names and found:
            found[-1] = f"{found[-1]} and {names}"
        return found or ([names] if names else [])

    def hear(self, clause: str) -> None:
        """Takes in one clause."""
        said = set(words_of(clause))
        wrong = self._says_wrong(clause)
        denies = bool(said & (_NOUN_NOES | {"nothing"})) and not _DOES_NOTHING.search(clause)
        refused, after_refusal = bool(REFUSED.search(clause)), self.apart
        self.apart = refused
        if NOT_DOING_IT.search(clause) or (
            _SEES_NOTHING.search(clause) and not _forms(clause) & self.sides
        ):
            self.refused = self.apart = True
        elif self.last and _OF_THEM.match(clause) and not self._named(clause):
            self._of_the_last(refused, wrong)
        elif _NOTHING_ELSE.fullmatch(clause.strip()):
            self.rest = "fine"
        elif REST.search(clause):
            self.rest = "unknown" if refused else "" if wrong else "fine"
            self.doubt = self.doubt or not self.rest
        elif (self.whole and _TOO.search(clause) and not wrong) or (
            _ALL_WELL.match(clause) and not wrong and not self._named(clause)
        ):
            self.whole = True
        else:
            self._guessed(clause, refused, after_refusal, wrong, denies)

    def _says_wrong(self, clause: str) -> bool:
        said = set(words_of(clause))
        return bool(said & (BAD | NEGATIONS | _WRONG) or THAN.search(clause))

    def _of_the_last(self, refused: bool, wrong: bool) -> None:
        """Takes in what is said of "them", the parts before."""
        if refused:
            self.unknown |= self.last
            self.bad -= self.last
        elif wrong:
            self.bad |= self.last
        self.fine -= self.last if refused or wrong else set()

    def _read(self, heard: GroupHeard) -> None:
        """Takes in what the reader of groups made of a clause."""
        self.bad |= set(heard.named)
        self.unknown |= set(heard.unknown)
        self.last = set(heard.named) | set(heard.unknown) or self.last
        self.whole = self.whole or not (heard.named or heard.unknown)

    def _guessed(
        self, clause: str, refused: bool, after_refusal: bool, wrong: bool, denies: bool
    ) -> None:
        heard = understand_group(clause, self.items)
        read = heard if isinstance(heard, GroupHeard) and not heard.all_unknown else None
        named = self._named(clause)
        alone = bool(named) and not self._each_named(clause, named)
        but = bool(BUT.search(clause)) and read is not None and bool(read.named)
        if read is not None and (read.sure or but or (read.unknown and alone)):
            self._read(read)
        elif (parts := self._parts(clause, wrong and not refused)) is not None:
            self._take(clause, parts, refused, after_refusal)
        elif not wrong and self._several(clause) and set(words_of(clause)) & COMFORT:
            self.fine |= named
        elif self.last and wrong and re.match(r"(?:they|both|neither|those) ", clause):
            self._of_the_last(refused, wrong)
        elif read is not None and not after_refusal:
            self._read(read)
        else:
            slight = _NO_MORE.search(clause) and not (wrong or refused)
            self.whole = self.whole or bool(slight and self._only_fine_is_near(clause))
            self.refused = self.refused or refused
            self.doubt = self.doubt or (wrong and not refused and not denies)

    def _take(self, clause: str, parts: set[int], refused: bool, after_refusal: bool) -> None:
        well = self._well(clause, min(parts))
        kinds = {self.items[index].question for index in parts}
        if len(kinds) > 1 and not (refused or well or self._named(clause)):
            self.doubt = True  # "the back one is bad", of what?
            self.last = parts
            return
        if refused:
            self.unknown |= parts
        elif well and not (self.excepting and not set(words_of(clause)) & COMFORT):
            self.fine |= parts
            self.bad -= parts  # "there is a wet patch, but it's only water"
            described = _described(self.ruleset, self.items[min(parts)])
            told = set(words_of(clause)) & (COMFORT | NEGATIONS | described)
            self.nearly |= set() if told else parts
        elif self.whole and not self.excepting and not self._says_wrong(clause):
            pass  # what was done to see that all are fine
        elif not (after_refusal and not self._named(clause)):  # else it says why
            self.bad |= parts
            self.fine -= parts
        self.last = parts

    def _named(self, clause: str) -> set[int]:
        """The parts of whose names a clause has most words, sides left out."""
        said = self._telling(clause)
        has = {index: len(said & known) for index, known in enumerate(self.names)}
        most = max(has.values())
        return {index for index, count in has.items() if count == most} if most else set()

    def _telling(self, clause: str) -> frozenset[str]:
        """The words that may name a part, sides left out."""
        return _stems(_forms(clause) - FILLERS - self.sides)

    def _parts(self, clause: str, wrong: bool) -> set[int] | None:
        """The parts that a clause is about; None where that is not clear."""
        clause = REFUSED.sub("", clause)
        sides = _forms(THAN.sub("", clause)) & self.sides
        found = self._nearest(clause)
        if not found and sides and (self.last or not wrong):
            asked = {self.items[i].question for i in self.last or range(len(self.items))}
            found = {i for i, item in enumerate(self.items) if item.question in asked}
            return self._on(sides, found) or None
        if sides:
            found = self._on(sides, found)
        ats = {self.items[index].at for index in found}
        calm = set(words_of(clause)) & (COMFORT | _AS_IT_SHOULD_BE)
        absent = bool(_NO_SUCH.search(clause)) and not sides and bool(self.last)
        if len(ats) > 1 and (absent or ((wrong or not calm) and not self._several(clause))):
            before = {self.items[index].at for index in self.last}
            found = {i for i in found if self.items[i].at in before} if len(before) == 1 else set()
        one_kind = len({self.items[index].question for index in found}) == 1
        return found if found and (one_kind or self._each_named(clause, found)) else None

    def _on(self, sides: Set[str], found: set[int]) -> set[int]:
        """Those on all of some sides; where none is, those on any of them: "front and back"."""
        on_all = {i for i in found if sides <= vocabulary(self.items[i])}
        return on_all or {i for i in found if sides & vocabulary(self.items[i])}

    def _several(self, clause: str) -> bool:
        opposite = len(_forms(THAN.sub("", clause)) & self.sides) > 1
        return opposite or is_plural(words_of(clause), self.items) or bool(_forms(clause) & _BOTH)

    def _nearest(self, clause: str) -> set[int]:
        """The parts of one kind that a clause is nearest to, by their name and what is said of
        them."""
        every = set(range(len(self.items)))
        named = self._named(clause)
        one_kind = len({self.items[index].question for index in named}) == 1
        if self._each_named(clause, named) or self._named_at_length(clause, named):
            return named
        if found := self._nearest_among(clause, every, described=False, enough=ENOUGH):
            return found
        if named and one_kind:
            return named
        ways = ((named, False, 0.0), (named, True, 0.0), (every, True, ENOUGH))
        return next(filter(None, (self._nearest_among(clause, *way) for way in ways)), set())

    def _named_at_length(self, clause: str, named: set[int]) -> bool:
        """Whether parts of one kind are named by three words: "child seat in the back"."""
        if len({self.items[index].question for index in named}) != 1:
            return False
        return len(_stems(_forms(clause) - FILLERS) & self.names[min(named)]) >= _AT_LENGTH

    def _each_named(self, clause: str, named: set[int]) -> bool:
        """Whether parts of several kinds are named, by a word for each: "oil and coolant"."""
        said = self._telling(clause)
        by: dict[str, Set[str]] = {}
        for index in named:
            question = self.items[index].question
            by[question] = by.get(question, set()) | (said & self.names[index])
        words = [w for own in by.values() for w in own]
        return " and " in clause and len(by) > 1 and len(words) == len(set(words))

    def _nearest_among(
        self, clause: str, among: set[int], described: bool, enough: float
    ) -> set[int]:
        scores: dict[str, float] = {}
        for index, score in self._scores(clause, described):
            if index in among:
                question = self.items[index].question
                scores[question] = max(score, scores.get(question, 0.0))
        best = sorted(scores.values(), reverse=True)
        if not best or best[0] < enough or (len(best) > 1 and best[0] < CLEARLY * best[1]):
            return set()
        top = max(scores, key=lambda question: scores[question])
        return {i for i in among if self.items[i].question == top}

    def _scores(self, clause: str, described: bool) -> list[tuple[int, float]]:
        words = [w for w in words_of(THAN.sub("", clause)) if same(w) not in self.sides]
        found = self._matches(" ".join(words), described)
        return [(int(match.name.split()[0]), match.score) for match in found]

    def _matches(self, words: str, described: bool) -> list[Match]:
        """What words come near to, best first: "2 fine", "0 bad"."""
        matcher = _of_parts(self.ruleset, self.items, described)
        return matcher.nearest(THAN.sub("", words), 2 * len(self.items))

    def _well(self, clause: str, index: int) -> bool:
        """Whether a clause says that a part is fine.

        "No drips" is fine, "no lock" is not there, "will not click" is not fine. A word of what the
        part is like when it is fine is not held against it: a lamp may go out.
        """
        item, said = self.items[index], _forms(clause)
        known = _words_of_fine(self.ruleset, item)
        known |= {"off"} if "out" in known else set()
        known |= _stems(known)
        denied, good = said & NEGATIONS, bool(set(words_of(clause)) & COMFORT)
        good = good or bool(said & _AS_IT_SHOULD_BE & known)
        bad = bool(said & (BAD | _WRONG) - known or THAN.search(clause))
        nearer = self._nearer_to_fine(clause, index)
        plainly = set(words_of(clause)) & WELL  # "lit" alone says nothing: it may stay lit
        if self._clearly_wrong(clause, index) and not (denied or plainly):
            return False
        if denied and denied <= _NOUN_NOES and not good:
            no_such = _NO_SUCH.search(clause)
            behind = _forms(no_such[1]) if no_such else set()
            if behind & FAULTS & vocabulary(item):
                return True
            return not (behind & vocabulary(item) - FAULTS) and not nearer
        if denied == {"nothing"} and not good:
            there = re.search(r"\bnothing (?:on|under|in|at|round|behind)\b", clause)
            return bool(there) or (not nearer and not _DOES_NOTHING.search(clause))
        if denied and bad and denied <= _NOUN_NOES:
            return True
        if denied or bad:
            return bad and bool(denied) and not good
        return nearer or good

    def _nearer_to_fine(self, clause: str, index: int) -> bool:
        for described in (False, True):
            for match in self._matches(clause, described):
                if match.name.split()[0] == str(index):
                    return match.name.endswith("fine")
        return False

    def _only_fine_is_near(self, clause: str) -> bool:
        """Whether all that a clause comes near to is fine, of whichever part: "few scratches"."""
        found = self._matches(clause, described=True)
        near = [m for m in found if m.score >= ENOUGH and m.score * CLEARLY >= found[0].score]
        return bool(near) and all(match.name.endswith("fine") for match in near)

    def _clearly_wrong(self, clause: str, index: int) -> bool:
        """Whether a clause is far nearer to what is wrong with a part than to what is fine."""
        scores = {
            match.name.split()[1]: match.score
            for match in self._matches(clause, described=False)
            if match.name.split()[0] == str(index)
        }
        wrong = scores.get("bad", 0.0)
        return wrong >= ENOUGH and wrong >= _FAR_NEARER * scores.get("fine", 0.0)

    def meant(self) -> GroupHeard | None:
        """What all of the clauses mean together."""
        contrasted = self.nearly if self.rest == "fine" else set()
        bad = self.bad | contrasted
        fine = self.fine - self.bad - contrasted
        unknown = self.unknown - bad
        others = set(range(len(self.items))) - bad - fine - unknown
        if self.rest == "unknown" or (self.refused and not unknown and fine and not self.whole):
            unknown, others = unknown | others, set()
        if self.refused and not (bad or fine or unknown or self.whole):
            return GroupHeard((), (), True, CANT_LOOK, False, "cant_look")
        if bad or unknown:
            return group_of(bad, self.items, unknown, sure=False)
        well = self.whole or self.rest == "fine" or (fine and not others)
        if well and not self.doubt and not self.refused:
            return group_of((), self.items, sure=False)
        return None


def _described(ruleset: Ruleset, item: GroupItem) -> set[str]:
    """The words that the text of a group has for a part that is fine, besides its name."""
    return _words_of_fine(ruleset, item) - vocabulary(item) - FILLERS


def _words_of_fine(ruleset: Ruleset, item: GroupItem) -> set[str]:
    return {w for text in _said_of_fine(ruleset, item) for w in words_of(text)}


def _stems(words: Iterable[str]) -> frozenset[str]:
    """The words without an s at their end."""
    return frozenset(word.removesuffix("s") for word in words)


def _forms(words: str) -> Set[str]:
    """The words, each also without an s at its end: "the driver's side"."""
    return {form for w in words_of(words) for form in (same(w), same(w.removesuffix("s")))}


def _sides(items: Sequence[GroupItem]) -> set[str]:
    """The words that tell the parts of one question apart: left, front, inner."""
    found: set[str] = set()
    for item in items:
        like = [vocabulary(other) for other in items if other.question == item.question]
        found |= set().union(*like) - frozenset(like[0]).intersection(*like)
    return found


def _of_parts(ruleset: Ruleset, items: Sequence[GroupItem], described: bool) -> Matcher:
    """The matcher of what may be fine and what may be wrong of each part of a group.

    described: with the text of the group, which says at length what is fine.
    """
    known = matchers(ruleset)
    key = " ".join(f"{item.question}@{item.at}" for item in items) + " described" * described
    if key not in known:
        ways: dict[str, list[str]] = {}
        for index, item in enumerate(items):
            question = ruleset.questions[item.question]
            name = [item.label, *item.hear]
            if described:
                ways[f"{index} fine"] = [*name, *_said_of_fine(ruleset, item)]
            heard = sayings_of(ruleset, question)
            for word in heard.keys() - question.choices.keys():  # yes or no, and none of them
                how = "fine" if word in (NONE, question.fine) else "bad"
                ways.setdefault(f"{index} {how}", [*name]).extend(heard[word])
            for word, choice in question.choices.items():
                fine = word == question.fine or choice.say.startswith("only ")
                how = "fine" if fine else "bad"
                said = [choice.say, *choice.hear, *heard.get(word, ())]
                ways.setdefault(f"{index} {how}", [*name]).extend(said)
            ways.setdefault(f"{index} bad", [*name])
        known[key] = new_matcher(ruleset, ways)
    return known[key]


def _said_of_fine(ruleset: Ruleset, item: GroupItem) -> list[str]:
    """What the text of a group says of a part that is as it should be; not what it must not have.

    "Nothing hangs" is left out, for whoever says that something hangs would seem to say it too.
    """
    group = ruleset.groups.get(ruleset.questions[item.question].group or "")
    found: list[str] = []
    for line in group.how.splitlines() if group is not None else ():
        for sentence in re.split(r"(?<=[.])\s+(?=[A-Z])", line):
            name, colon, text = sentence.rpartition(": ")
            label = set(map(same, words_of(item.label)))
            if colon and not (_forms(name) - FILLERS) & label:
                continue
            found += [
                piece
                for piece in re.split(r"[;,]", text if colon else sentence)
                if not NEGATIONS & set(words_of(piece)) or piece.endswith("not meant.")
            ]
    return found
