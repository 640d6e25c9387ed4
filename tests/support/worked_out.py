"""A consultation after some answers, and what was said, opened and worked out in it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

from assistant.authoring.check.cases import CASE_DAY, case_journal
from assistant.reasoning.consultation import Consultation, consult
from assistant.ruleset.models import CaseAnswer
from assistant.ruleset.ruleset import Ruleset


def told(
    ruleset: Ruleset, answers: Mapping[str, CaseAnswer], today: dt.date = CASE_DAY
) -> Consultation:
    return consult(ruleset, case_journal(ruleset, answers, today))


def said(consultation: Consultation) -> dict[str, str]:
    """The rules that say something, with how pressing each is."""
    return {f.rule.rule: f.urgency.value for f in consultation.findings}


def opened(consultation: Consultation) -> set[str]:
    """The follow-up questions that have been opened."""
    return {f.question for f in consultation.follow_ups}


def ends(consultation: Consultation, name: str, at: str = "") -> tuple[float, float]:
    reading = consultation.readings.reading(name, at)
    assert reading.lo is not None and reading.hi is not None, name
    return reading.lo, reading.hi


def word(consultation: Consultation, name: str, at: str = "") -> str | None:
    return consultation.readings.reading(name, at).word
