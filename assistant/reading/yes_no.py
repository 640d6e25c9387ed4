"""Reading yes and no in their many forms."""

from __future__ import annotations

import re

from assistant.journal.entries import Answer
from assistant.reading.result import Unclear, Understood, unclear
from assistant.reading.text import FILLERS, HEDGES, NEGATIONS, near, spoken, word_set, words_of
from assistant.ruleset.models import Question

_VERB = (
    r"(?:does|do|is|are|has|have|did|was|were|can|could|will|would|should|am|had)(?: (?:all|both))?"
)
_WHO = r"(?:it|they|there|i|that|this|we|he|she|you|mine|one|both|all of them|all)"
_YES_WORD = (
    r"(?:y|yes|yess+|yse|ye|yep+|yeah|yeh|yah|yup|yus|ya|yea|aye|sure|surely|certainly|definitely|"
    r"absolutely|correct|true|affirmative|indeed|exactly|agreed|confirmed|of course|for sure|"
    r"sure thing|you bet|spot on|totally|too right|afraid so|that is (?:right|correct|true|it|so)|"
    r"quite so|without doubt|no doubt)"
)
_NO_WORD = (
    r"(?:n|no|noo+|nope|nop|nah|naw|nay|never|negative|false|incorrect|untrue|not at all|"
    r"not in least|none at all|not one bit|no way|not so|no sir|not that i (?:can see|know|know of|"
    r"noticed|have noticed|am aware of)|not as far as i (?:can (?:see|tell)|know)|"
    r"(?:definitely|certainly|absolutely|of course|surely|clearly|thankfully) not|by no means|"
    r"i do not (?:think|believe|reckon) so|i do not (?:think|believe) (?:it|they|there) "
    + _VERB
    + r"|no chance|"
    r"that is (?:not (?:right|correct|true|so)|wrong|false))"
)
_SO = (
    r"(?: (?:so|indeed|all right|alright|fine|ok|okay|please|thanks|thank you|mate|sir|now|still|"
    r"yet|too|bit|little|slightly|somewhat|really|actually|definitely|certainly|at all|both|all|i "
    r"think|i believe|i reckon|"
    r"i am afraid|afraid so|always|just|quite|sadly|today))*"
)
_YES = re.compile(
    rf"(?:{_YES_WORD}|{_WHO} (?:really |certainly |definitely |still |all |both |sure )?{_VERB}|"
    rf"(?:i|we) (?:think|believe|reckon|expect|would say|am afraid|suspect) "
    rf"(?:so|{_WHO} {_VERB}|yes)|(?:i am )?(?:pretty |quite |fairly |very )?sure (?:that )?{_WHO} "
    rf"{_VERB})(?: {_YES_WORD}| {_WHO} {_VERB})?{_SO}"
)
_NO = re.compile(
    rf"(?:{_NO_WORD}|(?:{_WHO} )?(?:really |certainly |definitely |still )?{_VERB} not"
    rf"|(?:i|we) (?:think|believe|reckon|would say) (?:not|no|{_WHO} {_VERB} not))"
    rf"(?: {_NO_WORD}| {_WHO} {_VERB} not(?: at all)?)?{_SO}"
)
_HALF_YES = re.compile(
    rf"(?:looks|seems|appears|sounds|feels)(?: like it| to| that way| so)?(?: {_VERB})?|"
    rf"(?:it|they|that) (?:looks?|seems?|appears?|sounds?)(?: (?:like it|to|that way|so))?|"
    rf"(?:most |very |quite )?(?:probably|likely|possibly)(?: yes| so| {_WHO} {_VERB})?|"
    rf"(?:maybe|perhaps) yes|there (?:is|are) (?:one|some|two|several|few)|(?:i )?can see (?:one|"
    rf"some|it)|"
    rf"right|i guess(?: so)?|i suppose(?: so)?|(?:more or less|a bit|bit|slightly|"
    rf"little|mostly|sometimes|now and then|both|all|all of them|both of them|every one)"
)
_HALF_NO = re.compile(
    rf"not (?:really|much|quite|often|any more|yet|always|particularly|especially)|hardly(?: at "
    rf"all)?|"
    rf"barely|(?:most |very )?(?:probably|likely) not|none|none of them|neither|neither of them|"
    rf"nothing|nil|(?:it|they|that) (?:does|do) not (?:seem|look|appear)(?: so| to| like it)?|"
    rf"(?:maybe|perhaps) no|(?:it |they )?(?:does|do) not (?:seem|look|appear)(?: to| so| like "
    rf"it)?|"
    rf"none that i (?:can see|know of|noticed)|(?:i )?(?:can|could|did|do|have) not (?:see|find|"
    rf"hear|feel|notice|"
    rf"noticed|"
    rf"spot) (?:any|anything)(?: wrong| at all)?|not any|{_WHO} (?:are|is|do|does|can see|have|"
    rf"has) (?:not any|none)|no more|nothing at all"
)
_MAYBE = re.compile(
    r"(?:(?:well|it|i) )*(?:maybe|perhaps|might|could be|possibly|depends|it depends"
    r"|(?:yes )?(?:sort|kind) of|yes and no|hmm+|both yes and no|might be|might do|so so)(?: so)?"
)
_FINE = re.compile(
    r"(?:(?:yes|it|they|is|are|that|everything|all|both|looks?|seems?|of|them) )*(?:fine|good|ok|"
    r"okay|alright|in order|no problems?|no faults?|no issues|nothing wrong|perfect)"
    r"(?: (?:here|there|thanks|so far|both sides))?"
)
_LEAD = re.compile(
    r"^(?:(?:um|er|erm|well|oh|ah|so|ok|i would say|answer is|it is|say)\b ?)+"
    r"(?=yes|no\b|nope|y\b|n\b|yeah|yep|maybe|defin|absol|certain|correct|prob)"
)
_NOT_YET = re.compile(
    rf"(?:{_WHO} )?(?:has |have |is )?(?:not|never) (?:been|had|done|taken|booked|gone|tested)\b"
    r".{0,40}"
)
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
