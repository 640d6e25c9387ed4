"""Whether a typed answer fits its question: nothing else ever reaches the engine."""

from __future__ import annotations

from assistant.errors import near_name
from assistant.journal.entries import Answer
from assistant.ruleset.ruleset import Ruleset


def misfit(ruleset: Ruleset, name: str, at: str, answer: Answer) -> str | None:
    """Why an answer cannot be used, as a sentence without its full stop, or None if it can."""
    question = ruleset.questions.get(name)
    if question is None:
        return f"there is no question {name!r} in this ruleset{near_name(name, ruleset.questions)}"
    if at not in ruleset.members(question.each):
        return f"{name} has no part {at!r}"
    if answer.state != "value":
        if answer.state == "not_fitted" and not question.not_fitted:
            return f"{name}: this cannot be answered with 'not fitted'"
        return None
    if question.kind in ("yes_no", "one_of"):
        fits = answer.word in question.vocabulary
    elif question.kind == "some_of":
        fits = answer.words is not None and question.vocabulary.issuperset(answer.words)
    elif question.kind == "note":
        fits = answer.text is not None
    else:
        fits = answer.lo is not None and answer.hi is not None
        if fits and question.kind == "date":
            fits = all(1 <= v <= 3_000_000 and v == int(v) for v in (answer.lo, answer.hi) if v)
        elif fits and question.range is not None:
            lowest, highest = question.range
            fits = all(lowest <= v <= highest for v in (answer.lo, answer.hi) if v is not None)
    return None if fits else f"{name}: this cannot be an answer to it"
