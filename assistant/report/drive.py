"""Whether the car may be driven, in words: the one headline of the talk, the sheet and the data."""

from __future__ import annotations

import re
from dataclasses import dataclass

from assistant.reasoning.consultation import Consultation
from assistant.reasoning.findings import Finding
from assistant.reasoning.headline import MOST_REASONS, Headline, Unseen
from assistant.ruleset.grammar import upper
from assistant.ruleset.models import Urgency
from assistant.ruleset.words import URGENCY_WORDS

LIMITS = "I go only by what was looked at. I cannot tell you that it is safe."
IF_IT_CHANGES = (
    "If it changes how the car stops, steers, runs or what you can see, have it looked at before "
    "you drive."
)
CANNOT_SAY = "I cannot say whether it may be driven"
NOTHING_TOLD = "Nothing you told me says that the car must not be driven"
_DRIVING = re.compile(r"\b(?:driv(?:e|es|en|ing)|gently|motorways?|straight to)\b", re.IGNORECASE)
_SENTENCES = re.compile(r"(?<=\.) ")


@dataclass(frozen=True)
class Drive:
    """The headline in words.

    because: what was seen or told that makes it a danger. reasons: at most five, by name, why
    nothing can be said, and how many `more` there are. look: those of them that the owner can look
    at in a minute; have_looked: those that are for others to look at. worries: in quotation.
    """

    words: str
    because: tuple[str, ...]
    worries: tuple[str, ...]
    look: tuple[str, ...]
    have_looked: tuple[str, ...]
    more: int

    @property
    def reasons(self) -> tuple[str, ...]:
        return (*self.worries, *self.look, *self.have_looked)


def drive_of(consultation: Consultation, unread: int = 0) -> Drive:
    """The headline of a consultation in words. unread: answers that were given and left out."""
    head = consultation.headline
    words = headline_words(head)
    if unread > len(consultation.state.answers):
        words += ". Most answers could not be read"
    if head.kind == "danger":
        return Drive(f"{words}.", _because(consultation), (), (), (), 0)
    worries = [f"'{worry.words}'" for worry in head.worries][:MOST_REASONS]
    unseen = sorted(head.unseen, key=lambda one: not one.yourself)
    named = unseen[: MOST_REASONS - len(worries)]
    return Drive(
        f"{words}.",
        (),
        tuple(worries),
        tuple(_label(consultation, one) for one in named if one.yourself),
        tuple(_label(consultation, one) for one in named if not one.yourself),
        len(head.worries) + len(unseen) - len(worries) - len(named),
    )


def one_advice(consultation: Consultation) -> bool:
    """Whether a danger stands, so that nothing milder is advised beside what it asks for."""
    return consultation.headline.urgency.rank <= Urgency.HAVE_LOOKED_AT.rank


def graver_than(consultation: Consultation, urgency: Urgency) -> bool:
    """Whether the one advice for the car is such a danger, and graver than this."""
    return one_advice(consultation) and urgency.rank > consultation.headline.urgency.rank


def mending(consultation: Consultation, finding: Finding) -> str:
    """What to do about a finding, without what it says of driving where a graver advice stands."""
    do = finding.rule.do or ""
    if not graver_than(consultation, finding.urgency):
        return do
    return " ".join(part for part in _SENTENCES.split(do) if not _DRIVING.search(part))


def condition_words(condition: str | None) -> str:
    """When the car must not be driven, as a sentence; nothing where there is no condition."""
    return f"{upper(condition)}." if condition else ""


def advice_change(now: Urgency, then: Urgency) -> str:
    """The advice of today beside the one that would stand."""
    if now == then:
        return f"The advice would stay: {URGENCY_WORDS[now]}."
    return f"The advice is now: {URGENCY_WORDS[now]}. It would be: {URGENCY_WORDS[then]}."


def more_words(more: int) -> str:
    """What comes after the reasons by name."""
    return f"and {more} more" if more else ""


def headline_words(head: Headline) -> str:
    """The headline without its reasons."""
    if head.kind != "danger":
        return CANNOT_SAY if head.kind == "cannot_say" else NOTHING_TOLD
    conditions = "; ".join(head.conditions)
    if head.urgency.rank > Urgency.GENTLY_TO_GARAGE.rank:
        return upper(conditions)
    words = URGENCY_WORDS[head.urgency]
    gently = head.urgency is Urgency.GENTLY_TO_GARAGE
    return f"{words}; {conditions}" if conditions and gently else words


def _because(consultation: Consultation) -> tuple[str, ...]:
    """What makes it a danger: what was seen or told, each once."""
    head = consultation.headline
    findings = [f for f in consultation.findings if not f.rule.unseen]
    told = list(consultation.told_alone)
    if head.urgency.rank <= Urgency.GENTLY_TO_GARAGE.rank:
        findings = [f for f in findings if f.urgency is head.urgency]
        told = [t for t in told if t.urgency is head.urgency]
    else:
        findings = [f for f in findings if f.rule.condition]
        told = [t for t in told if t.condition]
    lines = [f"You said: {one.worry.words}" for one in told]
    lines += [f.says for f in findings]
    if head.urgency is Urgency.HAVE_LOOKED_AT and not lines:
        lines += [one.text for one in consultation.too_close]
        lines += [f"To be confirmed: {one.rule.say}" for one in consultation.withdrawn]
    return tuple(dict.fromkeys(upper(line) for line in lines))


def _label(consultation: Consultation, one: Unseen) -> str:
    rs = consultation.ruleset
    label = rs.questions[one.question].label
    every = rs.members(rs.questions[one.question].each)
    if one.parts == every:
        return label
    return f"{' and '.join(rs.at_words(one.question, at) for at in one.parts)} {label}"
