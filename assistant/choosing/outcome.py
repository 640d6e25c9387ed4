"""What a case comes to, in a form that can be predicted, compared and scored.

outcome_of gives the gravest category, whether the car may be driven and the likely cause, each
with what it rests on. compare puts two consultations beside each other. branched makes the journal
in which one turn was answered otherwise.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from assistant.choosing.next_check import told_symptoms
from assistant.journal.entries import Answer, Entry, Picked, Said
from assistant.reasoning.consultation import CauseFound, Consultation, SymptomFound
from assistant.reasoning.findings import Finding
from assistant.ruleset.models import Urgency
from assistant.ruleset.ruleset import told

NOTHING, OPEN = "nothing", "open"
"""The prediction that no item of the standard is found; and that which cause it is stays open."""


@dataclass(frozen=True)
class Outcome:
    """What a consultation comes to.

    category: the gravest of the ruleset's scale, or "nothing"; category_by: the finding it comes
    from. drive: "yes" unless the car must not be driven, must be looked at first, or nothing
    can be said of it. drive_by: the findings that say so; drive_because: what else says so, in
    words. cause: of the symptom told first, the likely one, or "open", or None without a symptom.
    """

    category: str
    category_by: Finding | None
    drive: str
    urgency: Urgency
    drive_by: tuple[Finding, ...]
    drive_because: tuple[str, ...]
    symptom: SymptomFound | None
    cause: str | None
    cause_by: CauseFound | None


def outcome_of(consultation: Consultation) -> Outcome:
    """What a consultation comes to; a pure function of it."""
    scale = list(consultation.ruleset.about.scale)
    judged = [f for f in consultation.findings if f.category]
    gravest = min(judged, key=lambda f: scale.index(str(f.category)), default=None)
    urgency = consultation.urgency
    symptoms = told_symptoms(consultation) or list(consultation.symptoms)
    symptom = symptoms[0] if symptoms else None
    likely = symptom.likely if symptom else None
    return Outcome(
        category=str(gravest.category) if gravest else NOTHING,
        category_by=gravest,
        drive="yes" if may_be_driven(consultation) else "no",
        urgency=urgency,
        drive_by=tuple(f for f in consultation.findings if f.urgency is urgency),
        drive_because=_because(consultation),
        symptom=symptom,
        cause=None if symptom is None else likely.cause.cause if likely else OPEN,
        cause_by=likely,
    )


def may_be_driven(consultation: Consultation) -> bool:
    """Whether nothing says that it must not be, or be looked at first, and it can be said."""
    grave = consultation.urgency.rank <= Urgency.HAVE_LOOKED_AT.rank
    return not grave and consultation.headline.kind != "cannot_say"


def _because(consultation: Consultation) -> tuple[str, ...]:
    """What says "have it looked at", or that it cannot be said, beside the findings."""
    rs, head = consultation.ruleset, consultation.headline
    if head.kind == "cannot_say":
        rows = [f"Not known: {rs.questions[one.question].label}" for one in head.unseen]
        return (*rows, *(f"Not placed: {worry.words}" for worry in head.worries))
    if consultation.urgency is not Urgency.HAVE_LOOKED_AT:
        return ()
    rows = [f"Told: {one.worry.words}" for one in consultation.told_alone]
    rows += [f"Too close to tell: {t.rule.say}" for t in consultation.too_close]
    rows += [f"Taken away by a change, not disproved: {w.rule.say}" for w in consultation.withdrawn]
    rows += [f"Could not be worked out: {name}" for name, _ in consultation.faults]
    return tuple(rows)


@dataclass(frozen=True)
class Compared:
    """Two consultations beside each other.

    both: findings that stand in both; only_first, only_second: in one alone. urgencies: of the
    first and the second. causes: for each symptom and cause the shares in both, None where the
    symptom is not there.
    """

    both: tuple[Finding, ...]
    only_first: tuple[Finding, ...]
    only_second: tuple[Finding, ...]
    urgencies: tuple[Urgency, Urgency]
    causes: tuple[tuple[str, str, str, float | None, float | None], ...]

    @property
    def same(self) -> bool:
        """Whether nothing differs."""
        return (
            not self.only_first
            and not self.only_second
            and self.urgencies[0] is self.urgencies[1]
            and all(a == b for *_, a, b in self.causes)
        )


def compare(first: Consultation, second: Consultation) -> Compared:
    """Puts two consultations of one ruleset beside each other."""
    one = {(f.rule.rule, f.at): f for f in first.findings}
    two = {(f.rule.rule, f.at): f for f in second.findings}
    shares: dict[tuple[str, str, str], list[float | None]] = {}
    for index, consultation in enumerate((first, second)):
        for found in consultation.symptoms:
            for cause in found.causes:
                key = (found.symptom.say, cause.cause.say, cause.cause.basis.value)
                shares.setdefault(key, [None, None])[index] = cause.share
    return Compared(
        tuple(f for key, f in one.items() if key in two),
        tuple(f for key, f in one.items() if key not in two),
        tuple(f for key, f in two.items() if key not in one),
        (first.urgency, second.urgency),
        tuple((*key, pair[0], pair[1]) for key, pair in shares.items()),
    )


def branched(
    journal: Sequence[Entry], turn: int, item: tuple[str, str], answer: Answer, words: str
) -> list[Entry]:
    """The journal in which one question was answered otherwise at a turn; the rest as it was.

    A question that the turn said nothing of is answered in it too.
    """
    made: list[Entry] = []
    replaced = False
    for entry in journal:
        if entry.turn == turn and isinstance(entry, Said) and (entry.question, entry.at) == item:
            made.append(entry.model_copy(update={"answer": answer, "words": words}))
            replaced = True
        else:
            made.append(entry)
    if not replaced:
        last = max(i for i, entry in enumerate(made) if entry.turn == turn)
        said = Said(turn=turn, question=item[0], at=item[1], answer=answer, words=words)
        made.insert(last + 1, said)
    return made


def repicked(journal: Sequence[Entry], turn: int, symptom: str | None, words: str) -> list[Entry]:
    """The journal in which another symptom, or none, was picked for the worry of a turn."""
    made: list[Entry] = []
    for entry in journal:
        if entry.turn != turn:
            made.append(entry)
        elif isinstance(entry, Picked):
            if symptom is not None:
                worry = next(
                    (e.words for e in journal if e.kind == "worry" and e.turn == entry.of), ""
                )
                made.append(
                    Said(
                        turn=turn,
                        question=told(symptom),
                        answer=Answer(word="yes"),
                        words=worry,
                        when=entry.when,
                    )
                )
            made.append(entry.model_copy(update={"symptom": symptom, "words": words}))
        elif not (isinstance(entry, Said) and entry.question.startswith(told(""))):
            made.append(entry)
    return made
