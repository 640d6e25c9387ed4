"""One step of a case in words: facts, firings, findings, causes, and what it all comes to.

Every view of the trainer, and the handout, is put together from these.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from assistant.choosing.agenda import Prompt, asked_words
from assistant.choosing.outcome import Outcome
from assistant.reasoning.consultation import Consultation, SymptomFound
from assistant.reasoning.engine import Firing
from assistant.reasoning.findings import Finding
from assistant.report.findings import together
from assistant.ruleset.grammar import and_words, placed, plural, upper
from assistant.ruleset.models import Urgency
from assistant.ruleset.ruleset import Inference, Ruleset
from assistant.ruleset.words import URGENCY_WORDS
from assistant.teaching.replay import FactTold, Given, Step

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


DRIVE_WORDS = {"yes": "it may be driven", "no": "not before it has been looked at"}
OPEN_WORDS = "it stays open"


def percent(share: float) -> str:
    """A share as whole percent; "under 1%" is not "0%", and "over 99%" is not "100%"."""
    if 0 < share < 0.005:
        return "under 1%"
    return "over 99%" if 0.995 <= share < 1 else f"{share:.0%}"


def fact_row(fact: FactTold) -> str:
    """ "tread depth: 2 mm", with a word where it was worked out."""
    return f"{fact.label}: {fact.words}" + (" (worked out)" if fact.worked else "")


def alike(given: Iterable[Given]) -> list[tuple[list[str], Given]]:
    """What was said in a turn; the answers of a group that are alike together, by their labels."""
    rows: dict[tuple[str, str], list[Given]] = {}
    for one in given:
        rows.setdefault((one.understood, one.words), []).append(one)
    return [([one.label for one in some], some[0]) for some in rows.values()]


def given_rows(given: Sequence[Given]) -> list[str]:
    """What was said in a turn; like answers of a group in one row."""
    found = []
    for labels, one in alike(given):
        typed = one.words and one.words != one.understood
        words = f" (in their words: '{one.words}')" if typed else ""
        few = "; ".join(labels) if len(labels) <= 3 else f"{len(labels)} things ({labels[0]}, ...)"
        found.append(f"{few}: {one.understood}{words}")
    return found


def fired_words(inference: Inference) -> str:
    """What has fired: a rule, a piece of evidence with its factor, or a symptom."""
    if inference.rule is not None:
        return inference.rule.say
    evidence, cause = inference.evidence, inference.cause
    if evidence is not None and cause is not None:
        return f"{evidence.because}: times {evidence.factor:g} for {cause.say}"
    return inference.symptom.say if inference.symptom else inference.name


def fired_rows(consultation: Consultation, firings: Iterable[Firing]) -> list[str]:
    """Firings in their order: round, then ruleset order; one rule at several parts in one row."""
    rs = consultation.ruleset
    rows: dict[tuple[int, str], list[str]] = {}
    for firing in firings:
        places = rows.setdefault((firing.round, firing.inference), [])
        places.append(rs.part_words(rs.inferences[firing.inference].axis, firing.at))
    found = []
    for (round_, name), places in rows.items():
        inference = rs.inferences[name]
        text = placed(and_words([place for place in places if place]), fired_words(inference))
        kind = inference.system if inference.role == "rule" else inference.role
        found.append(f"Round {round_}, {kind}: {upper(text)}")
    return found


def outcome_words(ruleset: Ruleset, outcome: Outcome, what: str, said: str | None = None) -> str:
    """What a case comes to, or what was said of it, as it was offered to those who predict.

    what: "category", "cause" or "drive". said: what somebody predicted instead.
    """
    word = said or getattr(outcome, what)
    if what == "category":
        return ruleset.about.scale[word].say if word in ruleset.about.scale else "nothing"
    if what == "drive":
        return DRIVE_WORDS["yes" if word == "yes" else "no"]
    causes = outcome.symptom.symptom.causes if outcome.symptom else []
    return next((c.say for c in causes if c.cause == word), OPEN_WORDS)


def finding_rows(findings: Iterable[Finding]) -> list[str]:
    """Findings with their place, category and urgency."""
    rows = []
    for finding, parts in together(findings):
        category = f", {finding.category}" if finding.category else ""
        says = placed(parts, finding.rule.say)
        rows.append(f"{says} {URGENCY_WORDS[finding.urgency]}{category}.")
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


def plan_row(ruleset: Ruleset, prompt: Prompt) -> str:
    """A prompt of the plan with its reason."""
    return f"{asked_words(ruleset, prompt)} Why: {why_asked_words(prompt)}."


def cause_rows(
    found: SymptomFound, before: dict[tuple[str, str, str], float] | None = None, most: int = 99
) -> list[str]:
    """The causes of a symptom with their shares, what they were, and their basis."""
    rows = []
    for one in found.causes[:most]:
        cause, share = one.cause, percent(one.share)
        old = (before or {}).get((found.symptom.symptom, found.at, cause.cause))
        was = f", was {percent(old)}" if old is not None and percent(old) != share else ""
        rows.append(f"{share} {cause.say} ({one.word}{was}; basis: {cause.basis.value})")
    return rows


def urgency_row(now: Urgency, before: Urgency) -> str:
    """The urgency, and what it was where it has changed."""
    if now is before:
        return f"Urgency: {URGENCY_WORDS[now].lower()}, as before."
    return f"Urgency: {URGENCY_WORDS[now].upper()}. Before: {URGENCY_WORDS[before].lower()}."


def rules_missed(consultation: Consultation, firings: Iterable[Firing]) -> int:
    """How many rules are known not to hold."""
    roles = consultation.ruleset.inferences
    return sum(not f.truth and roles[f.inference].role == "rule" for f in firings)


def missed_words(step: Step) -> str:
    """How many rules are newly known not to hold."""
    count = rules_missed(step.consultation, step.new_firings)
    return f"{plural(count, 'rule')} now known not to hold" if count else ""
