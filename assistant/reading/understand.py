"""What a person's words mean, as an answer to the question that was asked.

Nothing is guessed silently: an answer is sure, or has to be confirmed, or is refused with what
can be typed. The echo of an answer, typed in its turn, is that same answer.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date

from assistant.journal.entries import Answer
from assistant.reading.choices import begun, one, read_choices, says_all, several
from assistant.reading.corrections import in_the_end
from assistant.reading.dates import read_date
from assistant.reading.forms import forms
from assistant.reading.groups import understand_group
from assistant.reading.numbers import read_number_answer
from assistant.reading.phrasebook import book_of, exact_choice
from assistant.reading.refusals import Refusal, refusal
from assistant.reading.result import (
    CANT_LOOK,
    DONT_KNOW,
    NOT_FITTED,
    GroupItem,
    Unclear,
    Understood,
    unclear,
)
from assistant.reading.text import (
    FILLERS,
    HEDGES,
    clean,
    hedged,
    spoken,
    unhedged,
    word_set,
    words_of,
)
from assistant.reading.yes_no import read_yes_no
from assistant.ruleset.models import Question

_GOT_IT = re.compile(r"\b(?:bought|got it|had it|owned|purchased|been mine|picked it up)\b")
_FROM_NEW = re.compile(r"\bnew\b|\bfirst\b")
_PARTLY = re.compile(
    r"(?:only |just )?(?:the )?(?:one|some|half|most|a few|two|three)\b(?! (?:is|that))"
)
"""Words of some only; a choice about all of them is then not plainly meant."""
_FINE = re.compile(
    r"(?:(?:it|they|is|are|all|looks?|seems?|felt|feels) )*(?:fine|ok|okay|good|alright|all right)"
)
_NOT_ON_IT = re.compile(forms("choices")["not_on_it"])
"""Of lamps that the car has not, none failed to come on."""
_OF_IT = word_set("it has is was been have had its this that my our car van vehicle yet so far got")
_DOUBT_IT = re.compile(r"(?:no |well )?i (?:do not|would not) (?:think|believe|reckon|say) so")
_BESIDE = re.compile(r"\(([^)]*)\)")
ASKS_NOT = re.compile(r"\bNOT\b")
_ISH = re.compile(r"\b([0-9][0-9.]*) ?-?ish\b", re.IGNORECASE)
_LEAD = re.compile(r"^(?:no, |(?:sorry|well|actually|um|er|oh),? )+(?=.*[0-9])", re.IGNORECASE)
_PER_CENT = re.compile(r"\bper cent\b", re.IGNORECASE)
# Longer answers are not read, except lists of choices and notes.
_LONGEST = 400
_STATES = {"dont_know": DONT_KNOW, "cant_look": CANT_LOOK, "not_fitted": NOT_FITTED}


def understand(words: str, question: Question, *, today: date) -> Understood | Unclear:
    """The answer that the words give to a question. Never raises."""
    heard = _put_right(clean(words), question, today)
    partly = question.kind == "one_of" and _PARTLY.match(spoken(words))
    if partly and isinstance(heard, Understood) and not _PARTLY.match(spoken(heard.echo)):
        return Understood(heard.answer, heard.echo, sure=False)
    return heard


def _put_right(words: str, question: Question, today: date) -> Understood | Unclear:
    """What was meant in the end: "petrol, no wait, it's diesel" is diesel."""
    if question.kind == "note" or (question.choices and _exact(words, question)):
        return _understood(words, question, today)
    return in_the_end(
        words,
        lambda meant: _understood(meant, question, today),
        lambda heard: heard.answer.state == "value",
    )


def _understood(words: str, question: Question, today: date) -> Understood | Unclear:
    if not words:
        return unclear(words, question, because="Nothing was typed")
    if question.kind == "note":
        return _note(words)
    if question.choices and (found := _exact(words, question)):
        return found
    none_yet = [_gist(said) for said in question.absent]
    if none_yet and all(_gist(part) in none_yet for part in re.split("[,;.]", words) if part):
        return Understood(Answer(state="not_fitted"), question.absent[0])
    if len(words) > _LONGEST and question.kind != "some_of":
        return unclear(words, question, because="That is more than I can take in at once")
    refused = refusal(spoken(words), _words_asked(question), question.label)
    if refused is not None:
        return _refused(words, question, refused, today)
    if question.safety and _DOUBT_IT.fullmatch(spoken(words).strip(" .!")):
        return _state("dont_know", True)
    heard = _value(words, question, today)
    if hedged(words):
        first = _value(unhedged(words.split(",")[0]), question, today)
        if question.kind == "some_of" and question.safety and _is_none(first):
            return _state("dont_know", True)
        if question.choices and _FINE.fullmatch(unhedged(words)):
            return _state("dont_know", question.fine is not None or question.kind == "some_of")
        if isinstance(heard, Unclear):
            plainly = _value(unhedged(words), question, today)
            heard = plainly if only_a_guess(plainly, question) else heard
        if isinstance(heard, Understood) and only_a_guess(heard, question):
            known = Understood(heard.answer, heard.echo, sure=False)
            return _state("dont_know", True) if question.safety else known
    return heard


def _is_none(heard: Understood | Unclear) -> bool:
    return isinstance(heard, Understood) and heard.answer.words == ()


def only_a_guess(heard: Understood | Unclear, question: Question) -> bool:
    """Whether what was heard says that something is well, so that a guess is not enough."""
    if isinstance(heard, Unclear):
        return False
    answer = heard.answer
    return answer.words == () or (answer.word is not None and answer.word == question.fine)


def _words_asked(question: Question) -> Iterator[str]:
    """The words of a question and of its choices; only gathered where somebody reads them."""
    yield from words_of(question.ask)
    yield from words_of(question.label)
    for known in book_of(question).vocabulary:
        yield from known


def _value(words: str, question: Question, today: date) -> Understood | Unclear:
    if question.kind == "some_of" and ASKS_NOT.search(question.ask):
        return _which_not(words, question)
    if question.kind in ("one_of", "some_of"):
        return read_choices(spoken(words) or words, question)
    if question.kind == "yes_no":
        return read_yes_no(words, question)
    words = _LEAD.sub("", _ISH.sub(r"about \1", words)) or words
    words = _PER_CENT.sub("percent", words)
    if question.kind == "date":
        got_it = _GOT_IT.search(spoken(words)) and not _FROM_NEW.search(spoken(words))
        if got_it and "registered" in question.ask:
            return unclear(words, question, because="That sounds like when you got it")
        return read_date(words, question, today)
    return read_number_answer(words, question)


def _which_not(words: str, question: Question) -> Understood | Unclear:
    """To "which did NOT come on": "the abs came on" is none of them, "the abs one" is one."""
    words = _NOT_ON_IT.sub("", spoken(words)).strip(" ,;.") or words
    items = [GroupItem("", n, c.say, tuple(c.hear)) for n, c in question.choices.items()]
    heard = understand_group(words, items)
    says = [choice.say for choice in question.choices.values()]
    if isinstance(heard, Unclear) or (heard.unknown and not heard.all_unknown):
        offers = heard.offers if isinstance(heard, Unclear) else ()
        return unclear(words, question, *offers)
    if heard.all_unknown:
        return _state(heard.state, heard.sure)
    if not _plainly_named(words, question):
        return unclear(words, question, *(says[i] for i in heard.named))
    return several(question, heard.named, heard.sure)


def _plainly_named(words: str, question: Question) -> bool:
    """Whether more is said than stands in brackets beside a choice: "a red one"."""
    said = {w for w in words_of(words) if w not in FILLERS}
    beside = [words_of(part) for c in question.choices.values() for part in _BESIDE.findall(c.say)]
    return not said <= {word for part in beside for word in part}


def _exact(words: str, question: Question) -> Understood | Unclear | None:
    book = book_of(question)
    span = exact_choice(words, question, book)
    if span is not None:
        if len(span.picks) == 1:
            sure = span.plain or begun(words_of(words), question) == span.picks[0]
            return one(question, span.picks[0], sure)
        says = [c.say for c in question.choices.values()]
        because = "More than one of the choices may be meant"
        return unclear(words, question, *(says[i] for i in span.picks), because=because)
    return says_all(words, question, book) if question.kind == "some_of" else None


def _note(words: str) -> Understood:
    refused = refusal(spoken(words)) if len(words) <= 40 else None
    if refused and refused.sure and refused.state != "not_fitted":
        return _state(refused.state, True)
    return Understood(Answer(text=words), words)


def _state(state: str, sure: bool) -> Understood:
    return Understood(Answer(state=state), _STATES[state], sure)  # type: ignore[arg-type]


def _gist(words: str) -> list[str]:
    """The words that carry the sense, without "it has", "this car" and the like."""
    return [w for w in words_of(spoken(words)) if w not in (FILLERS | _OF_IT) - HEDGES]


def _refused(words: str, question: Question, found: Refusal, today: date) -> Understood | Unclear:
    if found.rest and (found.apart or question.kind in ("quantity", "count", "date")):
        value = _value(found.rest, question, today)
        doubted = question.safety and bool(question.choices)
        told = (isinstance(value, Understood) and value.sure) or HEDGES & set(words_of(found.rest))
        if isinstance(value, Understood) and not doubted and (told or not question.choices):
            return Understood(value.answer, value.echo, sure=False)
    if found.state != "not_fitted":
        return _state(found.state, found.sure)
    if question.absent:
        return unclear(words, question, question.absent[0])
    if question.not_fitted:
        return _state("not_fitted", found.sure)
    if found.any and question.kind == "some_of":
        return _value("none", question, today)
    if found.any and question.kind in ("yes_no", "count", "quantity"):
        value = _value("none", question, today)
        if isinstance(value, Understood):
            return Understood(value.answer, value.echo, sure=False)
    if not found.sure:
        return _value(words, question, today)
    offers = question.words() if question.kind == "yes_no" else []
    because = "Not fitted is no answer to this question"
    return unclear(words, question, *offers, because=because)
