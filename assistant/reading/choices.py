"""Reading an answer that picks from choices: yes or no, one of, some of.

A choice is known by its number, its own words, its synonyms and its short name. Choices that
are said in full are found anywhere in a sentence; what is only near to one has to be confirmed.
A choice with a "not" beside it is never picked.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from assistant.journal.entries import Answer
from assistant.reading.forms import form_lists, forms
from assistant.reading.phrasebook import Phrasebook, Span, book_of
from assistant.reading.result import NONE_OF_THESE, Unclear, Understood, unclear
from assistant.reading.text import (
    FILLERS,
    HEDGES,
    NEGATIONS,
    PERIODS,
    Line,
    and_for_n,
    fold,
    joined,
    line,
    listed,
    spoken,
    tidied,
    words_of,
)
from assistant.ruleset.models import Question

_FORMS = forms("choices")
_FINE = re.compile(_FORMS["fine"])
_WELL = frozenset(("fine", "ok", "okay", "good", "well", "perfect", "properly"))
_NONE = re.compile(_FORMS["none"])
_ALL = re.compile(_FORMS["all"])
_NOTHING_MORE = re.compile(_FORMS["nothing_more"])
_BUT = re.compile(_FORMS["but"])


_COUNTED = re.compile(rf"\b[0-9]{{1,2}} (?=(?:new|times|clicks|mths?|{PERIODS})\b)")
"""A number that counts something is not the number of a choice."""


def read_choices(words: str, question: Question) -> Understood | Unclear:
    """An answer to a one_of or some_of question that is neither exact nor a refusal."""
    book = book_of(question)
    words = _COUNTED.sub("", words)
    sentence = line(spoken(words))
    if question.kind == "some_of":
        sentence = line(and_for_n(spoken(words)))
        return some_of(words, sentence, question, book)
    first = begun(sentence.words, question)
    if first is not None:
        return one(question, first, sure=True)
    spans = book.spans(sentence.words)
    named, denied = _with_negations(sentence, spans, book)
    picks = sorted({i for span in named for i in span.picks})
    says = _says(question)
    if len(picks) == 1 and (longer := _said_in_full(picks[0], sentence.words, question)) >= 0:
        return one(question, longer, sure=False)
    if len(picks) == 1:
        plain = _plain_around(sentence, spans) and all(s.plain for s in named) and not denied
        return one(question, picks[0], sure=plain)
    if picks:
        return _which(words, question, [says[i] for i in picks])
    if _denies(sentence, spans) or denied:
        out = {i for span in denied for i in span.picks}
        left = [say for i, say in enumerate(says) if i not in out] if out else []
        return _not_which(words, question, left)  # a bare "none" comes near to no choice
    if len(sentence.words) == 1 and sentence.words[0].isdigit():
        because = f"There is no number {sentence.words[0][:9]}, only 1 to {len(says)}"
        return unclear(words, question, because=because)
    place = ordinal(sentence.words, len(says))
    if place is None:
        place = _number_first(sentence.words, len(says))
    if place is not None:
        return one(question, place, sure=False)
    if question.fine and _FINE.fullmatch(" ".join(sentence.words)):
        return one(question, list(question.choices).index(question.fine), sure=False)
    best = _best(sentence.words, book)
    if len(best) == 1:
        return one(question, best[0], sure=False)
    return _which(words, question, [says[i] for i in best]) if best else unclear(words, question)


def _said_in_full(picked: int, words: Sequence[str], question: Question) -> int:
    """A choice that has the words of the picked one and more, where all are said: petrol hybrid,
    of "it's a hybrid, takes petrol"; else -1."""
    said, ways = set(words), [
        [set(words_of(way)) - FILLERS for way in (choice.say, *choice.hear)]
        for choice in question.choices.values()
    ]  # fmt: skip
    short = ways[picked][0]
    longer = [i for i, own in enumerate(ways) if any(short < way <= said for way in own)]
    return longer[0] if len(longer) == 1 else -1


def begun(words: Sequence[str], question: Question) -> int | None:
    """The choice that these words begin, where it is exactly one: "dark" for "dark, or missing"."""
    if set(words) <= FILLERS or NEGATIONS & set(words):
        return None
    found = [
        index
        for index, choice in enumerate(question.choices.values())
        if words_of(choice.say)[: len(words)] == tuple(words)
    ]
    return found[0] if len(found) == 1 else None


def one(question: Question, index: int, sure: bool) -> Understood:
    """One choice as the answer, for either kind of question."""
    name = list(question.choices)[index]
    echo = question.choices[name].say
    if question.kind == "some_of":
        return Understood(Answer(words=(name,)), echo, sure)
    return Understood(Answer(word=name), echo, sure)


def several(question: Question, picks: Iterable[int], sure: bool) -> Understood:
    """Some of the choices, in the order of the question; none of them is an answer too."""
    names = list(question.choices)
    chosen = [names[i] for i in sorted(set(picks))]
    echo = listed([question.choices[n].say for n in chosen]) if chosen else NONE_OF_THESE
    return Understood(Answer(words=tuple(chosen)), echo, sure)


def some_of(
    words: str, sentence: Line, question: Question, book: Phrasebook
) -> Understood | Unclear:
    """Some, none or all of the choices."""
    says = _says(question)
    meant = tidied(fold(words))
    numbers = _numbers(meant)
    from_to = re.fullmatch(r"([0-9]{1,3}) ?(?:-|to) ?([0-9]{1,3})", fold(words))
    if from_to:
        numbers = list(range(int(from_to[1]), int(from_to[2]) + 1))
    if numbers == [0]:
        return several(question, [], sure=True)
    if numbers:
        if all(1 <= n <= len(says) for n in numbers):
            as_typed = not from_to and numbers == _numbers(fold(words))
            return several(question, [n - 1 for n in numbers], sure=as_typed)
        wrong = next(n for n in numbers if not 1 <= n <= len(says))
        because = f"There is no number {wrong}, only 1 to {len(says)}"
        return unclear(words, question, because=because)
    plain = " ".join(sentence.words)
    shorter = _NOTHING_MORE.sub("", spoken(words))
    if shorter.strip() and shorter != spoken(words):
        return some_of(shorter, line(shorter), question, book)
    if _NONE.fullmatch(plain):
        return several(question, [], sure=True)
    if _FINE.fullmatch(plain):
        return several(question, [], sure=not plain.startswith("yes"))
    first, _, comment = spoken(words).partition(",")
    if comment and _NONE.fullmatch(" ".join(words_of(first))) and not re.search(r"[0-9]", comment):
        return several(question, [], sure=False)
    if _ALL.fullmatch(plain) or (plain in ("both", "both of them") and len(says) == 2):
        return several(question, range(len(says)), sure=False)
    if re.fullmatch(
        r"(?:can|could|did|have|do) not (?:see|notice|noticed|find|hear|smell|spot|feel) "
        r"any(?:thing)?.{0,40}",
        plain.removeprefix("i "),
    ):
        return several(question, [], sure=False)
    but = _BUT.search(plain)
    if but and but.start() <= 12:
        return _all_but(words, but["what"], plain[but.end() :], question, book)
    return _named(words, sentence, question, book)


def _named(
    words: str, sentence: Line, question: Question, book: Phrasebook
) -> Understood | Unclear:
    says = _says(question)
    spans = book.spans(sentence.words)
    named, denied = _with_negations(sentence, spans, book)
    sure = _plain_around(sentence, spans) and all(s.plain for s in named) and not denied
    picks: set[int] = set()
    outside = set(_words_outside(sentence, spans))
    if "or" in outside and len(named) > 1:
        return _which(words, question, [says[i] for span in named for i in span.picks])
    for span in named:
        if len(span.picks) > 1:
            return _which(words, question, [says[i] for i in span.picks])
        picks.update(span.picks)
    if denied and not picks:
        return _not_which(words, question, [NONE_OF_THESE, *says])
    for part in _parts_outside(sentence, spans):
        digits = [int(w) for w in part if w.isdigit() and len(w) < 4 and not NEGATIONS & set(part)]
        if any(not 1 <= n <= len(says) for n in digits):
            return unclear(words, question)
        if digits and "or" in outside:
            return unclear(words, question, *(says[n - 1] for n in digits))
        picks.update(n - 1 for n in digits)
        part = [w for w in part if not w.isdigit()]
        if not part:
            continue
        if (place := ordinal(part, len(says))) is not None:
            picks.add(place)
            sure = False
        elif not NEGATIONS & set(part):
            best = _best(part, book)
            if len(best) == 2 and "both" in sentence.words:
                picks.update(best)
            elif len(best) > 1 and not picks:
                return _which(words, question, [says[i] for i in best])
            picks.update(best if len(best) == 1 else ())
    if not picks:
        if _denies(sentence, spans):
            return _not_which(words, question, [NONE_OF_THESE])
        return unclear(words, question)
    if not sure and _WELL & set(sentence.words) and not _denies(sentence, spans):
        return unclear(words, question, NONE_OF_THESE, *(says[i] for i in sorted(picks)))
    return several(question, picks, sure)


def _all_but(
    words: str, what: str, rest: str, question: Question, book: Phrasebook
) -> Understood | Unclear:
    """ "all but the airbag"; "none but the airbag" is the airbag alone."""
    left_out = _named(words, line(rest), question, book)
    numbers = _numbers(rest)
    if numbers and all(1 <= n <= len(question.choices) for n in numbers):
        left_out = several(question, [n - 1 for n in numbers], sure=True)
    if isinstance(left_out, Unclear) or not left_out.answer.words:
        return unclear(words, question)
    if what in NEGATIONS:
        return left_out
    names = enumerate(question.choices)
    return several(question, [i for i, n in names if n not in left_out.answer.words], sure=False)


_NUMBERS = re.compile(
    r"(?:numbers?|no\.|nos\.?|#|options?|choices?|just|only|it is)? ?"
    r"#?[0-9]{1,3}\.?(?:(?: ?(?:,|;|&|\+|/|\band\b|\bor\b|\bplus\b) ?)+(?:number |no\. ?|#)?"
    r"[0-9]{1,3}| [0-9]{1,3})*[.]?"
)


def _numbers(text: str) -> list[int]:
    """The numbers of a plain list of numbers: "2", "1,3", "1 and 3"; else nothing."""
    if len(text) > 200 or not _NUMBERS.fullmatch(text) or " or " in text:
        return []
    return [int(n) for n in re.findall(r"[0-9]+", text)]


_ORDINALS = {
    word: index
    for index, same in enumerate(form_lists("choices")["ordinals"])
    for word in same.split()
}


def ordinal(words: Sequence[str], count: int) -> int | None:
    """ "the second one", "number two", "the last one"."""
    left = [w for w in words if w not in FILLERS or (w == "one" and len(words) == 1)]
    if left == ["last"]:
        return count - 1
    if len(left) == 2 and left[0] in ("1", "2", "3", "4") and left[1] in ("st", "nd", "rd", "th"):
        left = ["".join(left)]
    found = _ORDINALS.get(left[0]) if len(left) == 1 else None
    return found if found is not None and found < count else None


def _number_first(words: Sequence[str], count: int) -> int | None:
    """ "2, it is bang on the line": a number, and words about it without another number."""
    if len(words) < 2 or "or" in words or any(word.isdigit() for word in words[1:]):
        return None
    first = words[0]
    return int(first) - 1 if first.isdigit() and 1 <= int(first[:4]) <= count else None


def _with_negations(
    sentence: Line, spans: list[Span], book: Phrasebook
) -> tuple[list[Span], list[Span]]:
    """Spans that are named, and spans with a "not" to them in the same clause."""
    inside = {i for span in spans for i in range(span.start, span.end)}
    nots = [i for i, w in enumerate(sentence.words) if w in NEGATIONS and i not in inside]
    denied: set[Span] = set()
    for place in nots:
        start, end = sentence.clause_start(place), sentence.clause_end(place)
        here = [s for s in spans if start <= s.start < end]
        after = [s for s in here if s.start > place]
        if not here and start > 0 and set(sentence.words[start:end]) <= NEGATIONS | FILLERS:
            before = sentence.clause_start(start - 1)
            here = [s for s in spans if before <= s.start < start]
        beside = (
            set(sentence.words[place + 1 : end]) & frozenset().union(*book.vocabulary) - FILLERS
        )
        denied.update(after or ([] if beside else here))
    return [s for s in spans if s not in denied], [s for s in spans if s in denied]


def _denies(sentence: Line, spans: list[Span]) -> bool:
    return bool(NEGATIONS & set(_words_outside(sentence, spans)))


def _plain_around(sentence: Line, spans: list[Span]) -> bool:
    """Whether nothing of weight is said beside the named choices."""
    rest = set(_words_outside(sentence, spans))
    return rest <= FILLERS and not rest & (HEDGES | {"or"})


def _words_outside(sentence: Line, spans: list[Span]) -> list[str]:
    inside = {i for span in spans for i in range(span.start, span.end)}
    return [w for i, w in enumerate(sentence.words) if i not in inside]


def _parts_outside(sentence: Line, spans: list[Span]) -> list[list[str]]:
    """What is said beside the spans, cut at commas and "and", without small words."""
    inside = {i for span in spans for i in range(span.start, span.end)}
    parts: list[list[str]] = [[]]
    for index, word in enumerate(sentence.words):
        if index in inside or index in sentence.breaks or word in ("and", "plus", "or"):
            parts.append([])
        if index not in inside and word not in FILLERS and word not in ("or", "but"):
            parts[-1].append(word)
    return [part for part in parts if part]


def _best(words: Sequence[str], book: Phrasebook) -> list[int]:
    """The choice that words without a plain name come nearest to; several if it is close."""
    content = [w for w in words if w not in FILLERS][:40]
    if not content or NEGATIONS & set(content):
        return []
    spelling = book.spelling(joined(content))
    top = max(spelling)
    if top >= 82 and len(joined(content)) > 3:
        return [i for i, ratio in enumerate(spelling) if ratio >= top - 6]
    scores = book.scores(content)
    best = max(scores)
    if best < 0.2:
        return []
    close = [i for i, score in enumerate(scores) if score * 1.5 >= best]
    if len(close) == 1 and best < 0.45:
        return close + [i for i, s in enumerate(scores) if s > 0 and i not in close][:2] or close
    return sorted(close, key=lambda i: -scores[i])


def _says(question: Question) -> list[str]:
    return [choice.say for choice in question.choices.values()]


def _which(words: str, question: Question, offers: Sequence[str]) -> Unclear:
    return unclear(words, question, *offers, because="More than one of the choices may be meant")


def _not_which(words: str, question: Question, offers: Sequence[str]) -> Unclear:
    because = "I heard what it is not, but not which of the choices it is"
    return unclear(words, question, *offers, because=because)


def says_all(words: str, question: Question, book: Phrasebook) -> Understood | None:
    """Several choices said in full and nothing else, before anything more is read into it."""
    sentence = line(spoken(words))
    spans = book.spans(sentence.words)
    covered = {i for span in spans for i in range(span.start, span.end)}
    left = {w for i, w in enumerate(sentence.words) if i not in covered}
    if len(spans) < 2 or left - {"and", "plus", "also"}:
        return None
    if any(len(span.picks) > 1 or not span.plain for span in spans):
        return None
    return several(question, [span.picks[0] for span in spans], sure=True)
