"""The pieces of reasoning as short lines of plain words: facts, firings, near misses, causes.

Every view of the trainer is put together from these.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from assistant.dialogue.phrasing import and_words
from assistant.dialogue.question_words import plural, upper
from assistant.dialogue.telling import together
from assistant.knowledge.models import Urgency
from assistant.knowledge.ruleset import Ruleset
from assistant.knowledge.wording import URGENCY_WORDS
from assistant.reasoning.agenda import Prompt
from assistant.reasoning.consultation import Consultation, SymptomFound
from assistant.reasoning.engine import Firing
from assistant.reasoning.findings import Finding
from assistant.reasoning.replay import FactTold, Given, Step, asked_words

WHY_WORDS = {
    "triage": "the words could mean a danger",
    "worry": "which symptom is meant",
    "car": "what must be checked depends on the car",
    "at once": "a rule wants to know at once",
    "deciding": "it decides about what was told",
    "recent drives": "signs that cannot wait come before walking",
    "again": "a reading of an earlier day, which may have changed",
    "opened here": "a rule has opened it, or it was named",
    "safety": "one of the safety checks",
    "walk": "the walk, by value for time",
    "end": "only for dates",
}


def percent(share: float) -> str:
    """A share as whole percent; "under 1%" is not "0%", and "over 99%" is not "100%"."""
    if 0 < share < 0.005:
        return "under 1%"
    return "over 99%" if 0.995 <= share < 1 else f"{share:.0%}"


def fact_row(fact: FactTold) -> str:
    """ "tread depth: 2 mm", with a word where it was worked out."""
    return f"{fact.label}: {fact.words}" + (" (worked out)" if fact.worked else "")


def given_rows(given: Sequence[Given]) -> list[str]:
    """What was said in a turn; like answers of a group in one row."""
    rows: dict[tuple[str, str], list[str]] = {}
    for one in given:
        rows.setdefault((one.understood, one.words), []).append(one.label)
    found = []
    for (understood, words), labels in rows.items():
        typed = f" (in their words: '{words}')" if words and words != understood else ""
        few = "; ".join(labels) if len(labels) <= 3 else f"{len(labels)} things ({labels[0]}, ...)"
        found.append(f"{few}: {understood}{typed}")
    return found


def fired_rows(consultation: Consultation, firings: Iterable[Firing]) -> list[str]:
    """Firings in their order: round, then ruleset order; one rule at several parts in one row."""
    rs = consultation.ruleset
    rows: dict[tuple[int, str], list[str]] = {}
    for firing in firings:
        places = rows.setdefault((firing.round, firing.inference), [])
        axis = rs.inferences[firing.inference].axis
        if axis and firing.at:
            places.append(rs.member(axis, firing.at).say)
    found = []
    for (round_, name), places in rows.items():
        inference = rs.inferences[name]
        at = f"{and_words(places)}: " if places else ""
        if inference.rule is not None:
            text = f"{at}{inference.rule.say}"
        elif inference.evidence is not None and inference.cause is not None:
            factor = inference.evidence.factor
            text = f"{at}{inference.evidence.because}: times {factor:g} for {inference.cause.say}"
        else:
            text = f"{at}{inference.symptom.say if inference.symptom else name}"
        kind = inference.system if inference.role == "rule" else inference.role
        found.append(f"Round {round_}, {kind}: {upper(text)}")
    return found


def finding_rows(findings: Iterable[Finding]) -> list[str]:
    """Findings with their place, category and urgency."""
    rows = []
    for finding, parts in together(findings):
        category = f", {finding.category}" if finding.category else ""
        where = f"{parts}: " if parts else ""
        rows.append(f"{where}{finding.rule.say} {URGENCY_WORDS[finding.urgency]}{category}.")
    return rows


def why_asked_words(prompt: Prompt) -> str:
    """Why a prompt stands in the plan, with its figures."""
    why = WHY_WORDS[prompt.why]
    if prompt.follow_up is not None:
        why += f" ({prompt.follow_up.rule.say.rstrip('.')})"
    if prompt.deciding is not None:
        check = prompt.deciding
        if check.worst is not None:
            why += f"; aim: rule out {check.worst.say}; moves its share by {percent(check.gain)}"
        else:
            why += f"; aim: tell causes apart; gain {check.gain:.2f} bits"
    elif prompt.value > 0:
        why += f"; value {prompt.value:.3f} a minute"
    return why


def plan_row(ruleset: Ruleset, prompt: Prompt, number: int) -> str:
    """A prompt of the plan with its reason."""
    return f"{number}. {asked_words(ruleset, prompt)} Why: {why_asked_words(prompt)}."


def cause_rows(
    found: SymptomFound, before: dict[tuple[str, str, str], float] | None = None, most: int = 99
) -> list[str]:
    """The causes of a symptom with their shares, what they were, and their basis."""
    rows = []
    for cause in found.causes[:most]:
        was = ""
        old = (before or {}).get((found.symptom.symptom, found.at, cause.cause.cause))
        if old is not None and percent(old) != percent(cause.share):
            was = f", was {percent(old)}"
        rows.append(
            f"{percent(cause.share)} {cause.cause.say} ({cause.word}{was}; "
            f"basis: {cause.cause.basis.value})"
        )
    return rows


def urgency_row(now: Urgency, before: Urgency) -> str:
    """The urgency, and what it was where it has changed."""
    if now is before:
        return f"Urgency: {URGENCY_WORDS[now].lower()}, as before."
    return f"Urgency: {URGENCY_WORDS[now].upper()}. Before: {URGENCY_WORDS[before].lower()}."


def step_row(number: int, asked: str, said: str) -> str:
    """One line for a step in a list."""
    return f"{number}. {asked} - {said}" if said else f"{number}. {asked}"


def missed_words(step: Step) -> str:
    """How many rules are newly known not to hold."""
    roles = step.consultation.ruleset.inferences
    count = sum(not f.truth and roles[f.inference].role == "rule" for f in step.new_firings)
    return f"{plural(count, 'rule')} now known not to hold" if count else ""
