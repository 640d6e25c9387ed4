"""Reading yes and no in their many forms."""

from __future__ import annotations

import re

from assistant.journal.entries import Answer
from assistant.reading.forms import forms
from assistant.reading.result import Unclear, Understood, unclear
from assistant.reading.text import FILLERS, HEDGES, NEGATIONS, near, spoken, word_set, words_of
from assistant.ruleset.models import Question

_FORMS = forms("yes_no")
_YES_WORD, _NO_WORD = (f"(?:{_FORMS[name]})" for name in ("yes_word", "no_word"))
_YES = re.compile(_FORMS["yes"])
_NO = re.compile(_FORMS["no"])
_HALF_YES = re.compile(_FORMS["half_yes"])
_HALF_NO = re.compile(_FORMS["half_no"])
_MAYBE = re.compile(_FORMS["maybe"])
_FINE = re.compile(_FORMS["fine"])
_LEAD = re.compile(_FORMS["lead"])
_NOT_YET = re.compile(_FORMS["not_yet"])
_CONTRAST = (NEGATIONS | HEDGES | {"but", "except", "only", "though", "unless", "or", "if"}) - {
    "suppose",
    "guess",
}
_AFTER_NO = word_set(
    """it they there i that this we everything all both not never nothing none its looks
    seems"""
)


def read_yes_no(words: str, question: Question) -> Understood | Unclear:
    """An answer to a yes or no question that is not a refusal."""
    heard = words_of(words)
    text = _LEAD.sub("", " ".join(heard)) or " ".join(heard)
    if _MAYBE.fullmatch(text):
        return unclear(words, question, "yes", "no", "don't know")
    if _YES.fullmatch(text):
        return _answer("yes")
    if _NO.fullmatch(text):
        return _answer("no")
    if _FINE.fullmatch(text):
        if question.fine in ("yes", "no"):
            plain = question.fine == "yes" or text.startswith("no ")
            return _answer(question.fine, sure=plain and question.fine == "yes")
        return unclear(words, question, "yes", "no")
    if _HALF_YES.fullmatch(text):
        return _answer("yes", sure=False)
    if _HALF_NO.fullmatch(text) or _NOT_YET.fullmatch(text):
        return _answer("no", sure=False)
    return _sentence(words, text, question)


def _answer(word: str, sure: bool = True) -> Understood:
    return Understood(Answer(word=word), word, sure)


def _sentence(words: str, text: str, question: Question) -> Understood | Unclear:
    first = " ".join(words_of(words.partition(",")[0]))
    if first != text and _HALF_NO.fullmatch(first):
        return _answer("no", sure=False)
    yes = None if text.startswith("that is it ") else re.match(rf"{_YES_WORD}\b", text)
    no = re.match(rf"{_NO_WORD}\b", text)
    if yes or no:
        found = yes or no
        assert found is not None
        rest = text[found.end() :].split()
        comma = re.match(r"\W*\w+(?: \w+)*?\s*[,.;!-]", spoken(words)[:80]) is not None
        other = re.search(rf"\b(?:{_NO_WORD if yes else _YES_WORD})\b", " ".join(rest))
        if other:
            return unclear(words, question, "yes", "no")
        if found[0] in ("y", "n") and rest:
            return _answer("yes" if yes else "no", sure=False)
        if yes:
            return _answer("yes", sure=not _CONTRAST & set(rest) and len(rest) <= 12)
        unbroken = not comma and bool(rest) and rest[0] not in _AFTER_NO
        doubtful = (_CONTRAST - NEGATIONS) & set(rest) or unbroken or len(rest) > 12
        return _answer("no", sure=not doubtful)
    clauses = [" ".join(words_of(part)) for part in re.split(r"[,;.]|\bbut\b", spoken(words))]
    if any(_NOT_YET.fullmatch(clause) or clause == "nothing since" for clause in clauses):
        return _answer("no", sure=False)
    denied = bool(NEGATIONS & set(text.split()))
    if re.search(r"\bfail", question.ask) and re.match(r"\bpassed\b(?!.*\bfail)", text):
        return _answer("no", sure=False)
    asked = set(words_of(question.ask)) | set(words_of(question.label))
    for clause in (text, *re.split(r"[,;.]", words)):
        heard = words_of(clause)
        content = [w for w in heard if w not in FILLERS and w not in NEGATIONS][:30]
        about = content and all(_asked(word, asked) for word in content)
        if about and not NEGATIONS & set(words_of(question.ask)):
            return _answer("no" if NEGATIONS & set(heard) else "yes", sure=False)
    if len(text) <= 12 and " " not in text and not denied:
        for word, others in (("yes", ("definitely", "certainly", "absolutely", "correct")),):
            if any(near(text, other) for other in others):
                return _answer(word, sure=False)
    return unclear(words, question, "yes", "no")


def _asked(word: str, asked: set[str]) -> bool:
    """Whether the question itself speaks of this, in this or a near form (wobbles, wobble)."""
    if any(near(word, other) for other in asked):
        return True
    return len(word) > 3 and any(
        len(other) > 3 and (word.startswith(other[:-1]) or other.startswith(word[:-1]))
        for other in asked
    )
