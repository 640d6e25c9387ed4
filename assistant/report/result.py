"""The result of a consultation as plain data, for `judge --json` and the JSON sheet.

The shape is versioned by `schema`; fields are only ever added within a version.
"""

from __future__ import annotations

from typing import Any

from assistant.choosing.agenda import agenda
from assistant.journal.entries import Said
from assistant.reasoning.cleared import cleared_items
from assistant.reasoning.consultation import CauseFound, Consultation, SymptomFound
from assistant.reasoning.deadlines import Deadline, deadlines_of
from assistant.reasoning.findings import Finding
from assistant.reasoning.hazards import StandingHazard, ToldDanger
from assistant.reasoning.routes import contradicted, supports_of
from assistant.reasoning.too_close import TooCloseToTell
from assistant.reasoning.trail import Node, trail_of
from assistant.report.drive import condition_words, drive_of, mending
from assistant.ruleset.models import TesterOnly
from assistant.ruleset.ruleset import Ruleset, told
from assistant.ruleset.words import URGENCY_WORDS, answer_words

SCHEMA = 1


def result_data(
    consultation: Consultation, faults: list[dict[str, Any]] | None = None
) -> dict[str, Any]:
    """Everything that follows from one consultation, as JSON-ready data.

    faults: mistakes of the input, each {"line": int or None, "text": str}.
    """
    now, rs, state = consultation, consultation.ruleset, consultation.state
    of_the_car = [s for s in state.answers.values() if s.question in rs.of_the_car]
    not_known = [s for s in now.not_known if s.question in rs.questions]
    return {
        "schema": SCHEMA,
        "ruleset": rs.about.name,
        "ruleset_digest": rs.digest,
        "today": state.context.today.isoformat(),
        "begun": state.begun.isoformat(),
        "car": state.context.car,
        "about_the_car": [said_data(now, said) for said in of_the_car],
        "about_the_car_not_known": [rs.questions[q].label for q in not_known_of_car(now)],
        "drive": drive_advice(now, len(faults or [])),
        "told_dangers": [told_data(one) for one in now.told],
        "would_fail": bool(now.would_fail()),
        "findings": [finding_data(now, finding) for finding in now.findings],
        "causes": [symptom_data(now, found) for found in now.symptoms],
        "in_own_words": worries_data(now),
        "ruled_out": [
            {"rule": d.rule.rule, "at": d.at, "what": d.rule.say, "because": d.by.say}
            for d in now.stood_down
        ],
        "told_and_ruled_out": [told_data(one) for one in now.lifted],
        "hazards": [hazard_data(one) for one in now.hazards.standing],
        "ended_by_a_garage": [{"rule": r.rule, "what": r.say} for r in now.hazards.ended],
        "have_confirmed": [
            {"rule": w.rule.rule, "at": w.at, "what": w.rule.say}
            | _fields(w, "how", "words_before", "words_now")
            for w in now.withdrawn
        ],
        "told_and_answered_otherwise": [
            {"rule": one.finding.rule.rule, "what": one.finding.rule.say, "words": one.told.words}
            | {"answers": [said_data(now, said) for said in one.answers]}
            for one in contradicted(now)
        ],
        "asked_at_once_not_answered": [
            item_data(rs, one.question, one.at) | {"because": one.rule.say} for one in now.pending
        ],
        "too_close_to_tell": [too_close_data(rs, one) for one in now.too_close],
        "not_known": [said_data(now, said) for said in not_known],
        "looked_at_nothing_found": list(cleared_items(now)),
        "only_the_station": [station_data(rs, one) for one in now.tester_only],
        "not_asked": [item_data(rs, *item) for item in now.not_asked],
        "deadlines": [deadline_data(rs, one) for one in deadlines_of(now)],
        "still_open": [prompt.key for prompt in agenda(now).prompts],
        "input_faults": faults or [],
        "engine_faults": [{"rule": rule, "text": text} for rule, text in now.faults],
        "notices": list(rs.about.notices),
        "attributions": list(rs.about.attributions),
    }


def _fields(thing: object, *names: str) -> dict[str, Any]:
    """The fields of a thing that the data has under the same names."""
    return {name: getattr(thing, name) for name in names}


# the car and the advice -----------------------------------------------------------------


def not_known_of_car(consultation: Consultation) -> list[str]:
    """The questions about the car itself that are not answered; rules that need them stay open."""
    rs = consultation.ruleset
    return [
        name
        for name in rs.questions
        if name in rs.of_the_car
        and name != rs.about.kit
        and consultation.readings.reading(name, "").state in ("unasked", "dont_know", "cant_look")
    ]


def drive_advice(consultation: Consultation, unread: int = 0) -> dict[str, Any]:
    """Whether the car may be driven, as far as the rules can say; never "it is safe".

    headline: "danger", "cannot_say" or "nothing". urgency: the most pressing of all findings, which
    may be one that does not keep the car from being driven. unread: answers that were left out.
    """
    drive = drive_of(consultation, unread)
    return {
        "headline": consultation.headline.kind,
        "urgency": consultation.urgency.value,
        "words": drive.words,
        "conditions": list(consultation.headline.conditions),
        "because": list(drive.because),
        "reasons": list(drive.reasons),
        "more_reasons": drive.more,
        "look_yourself": list(drive.look),
        "have_looked_at": list(drive.have_looked),
        "complete": not consultation.not_asked and not consultation.not_known,
        "limits": "This rests only on what was looked at. It does not say that the car is safe.",
    }


# questions and answers ------------------------------------------------------------------


def item_data(ruleset: Ruleset, question: str, at: str) -> dict[str, Any]:
    """A question, at one part, and both in words."""
    label, at_words = ruleset.questions[question].label, ruleset.at_words(question, at)
    return {"question": question, "at": at, "label": label, "at_words": at_words}


def said_data(consultation: Consultation, said: Said) -> dict[str, Any]:
    """One answer: as typed, as understood, and how it was given."""
    rs = consultation.ruleset
    question = rs.questions[said.question]
    data: dict[str, Any] = {
        "question": said.question,
        "at": said.at,
        "at_words": rs.at_words(said.question, said.at),
        "label": question.label,
        "words": said.words,
        "understood": answer_words(question, said.answer),
        "state": said.answer.state,
    }
    if said.group:
        data["as_part_of_group"] = said.group
    if said.when:
        data["when"] = said.when
    if said.line is not None:
        data["line"] = said.line
    if (said.question, said.at) in consultation.state.mended:
        data["after_repair"] = True
    return data


def worries_data(consultation: Consultation) -> list[dict[str, Any]]:
    """What worries the owner, in their words, and which symptom they said it is."""
    rs, state = consultation.ruleset, consultation.state
    data = []
    for worry in state.worries:
        picked = state.picked.get(worry.turn)
        symptom = rs.symptoms.get(picked.symptom or "") if picked else None
        says, name = (symptom.say, symptom.symptom) if symptom else (None, None)
        data.append(
            {"words": worry.words, "is": says, "symptom": name, "placed": picked is not None}
            | {"could_be_dangers": list(worry.dangers)}
        )
    return data


# findings and dangers -------------------------------------------------------------------


def trail_data(node: Node) -> dict[str, Any]:
    """A trail node and what is under it."""
    data = _fields(node, "kind", "name", "at", "text", "holds")
    if node.rule is not None and node.source is not None:
        data |= _fields(node.rule, "why", "when")
        data |= {"source": node.source.title, "edition": node.source.edition}
        data["basis"] = node.rule.basis.value
    if node.state:
        data["state"] = node.state
    if node.ask is not None:
        data["ask"] = {"question": node.ask[0], "at": node.ask[1]}
    if node.said is not None:
        data["words"] = node.said.words
    if node.children:
        data["from"] = [trail_data(child) for child in node.children]
    return data


def finding_data(consultation: Consultation, finding: Finding) -> dict[str, Any]:
    """One finding with its reason, source and the answers it rests on."""
    rs, rule, category = consultation.ruleset, finding.rule, finding.category
    source = rs.sources[rule.source]
    trail = trail_of(consultation, rule.rule, finding.at)
    answers = supports_of(consultation, finding)
    return {
        "rule": rule.rule,
        "item": finding.item,
        "category": category,
        "fails": rs.about.scale[category].fails if category else None,
        "at": finding.at,
        "place": rs.place_of(answers[0].question, answers[0].at) if answers else None,
        "place_words": finding.at_words,
        "urgency": finding.urgency.value,
        "urgency_words": URGENCY_WORDS[finding.urgency],
        "found": rule.say,
        "reason": rule.why,
        "condition": rule.condition,
        "condition_words": condition_words(rule.condition),
        "do": rule.do,
        "mending": mending(consultation, finding),
        "who": rule.who.value if rule.who else None,
        "cautions": [rs.cautions[c] for c in rule.cautions],
        "source": source.title,
        "edition": source.edition,
        "clause": rule.clause or finding.item,
        "basis": rule.basis.value,
        "note": rule.note,
        "often_behind": often_behind(consultation, finding.item),
        "close_to_limit": finding.close_to_limit,
        "rests_on": [said_data(consultation, s) for s in answers],
        "trail": trail_data(trail),
    }


def too_close_data(ruleset: Ruleset, one: TooCloseToTell) -> dict[str, Any]:
    """A finding that a reading can neither show nor rule out."""
    rule, question = one.rule, ruleset.questions.get(one.reading)
    return {
        "rule": rule.rule,
        "item": rule.finds.item if rule.finds else None,
        **_fields(one, "at", "at_words"),
        "could_be": rule.say,
        "do": rule.do,
        "reading": question.label if question else one.reading,
        **_fields(one, "lo", "hi", "text"),
    }


def told_data(told: ToldDanger) -> dict[str, Any]:
    """A danger in the owner's own words."""
    return {
        "danger": told.name,
        "words": told.worry.words,
        "urgency": told.urgency.value,
        "condition": told.condition,
        "first": told.danger.first,
        "then": told.do,
        **_fields(told.danger, "call", "never"),
        "hazards": list(told.hazards),
        "source": told.danger.source,
        "basis": told.danger.basis.value,
    }


def hazard_data(one: StandingHazard) -> dict[str, Any]:
    """What a danger threatens, what it forbids, and what ends it."""
    return {
        "hazard": one.name,
        "what": one.hazard.say,
        "because": list(one.because),
        "forbids": sorted(act.value for act in one.forbids),
        "ends_when": one.hazard.garage,
    }


# causes ---------------------------------------------------------------------------------


def symptom_data(consultation: Consultation, found: SymptomFound) -> dict[str, Any]:
    """A symptom with its causes, likeliest first, and what to say and not to pay for."""
    symptom = found.symptom
    told_it = consultation.state.answers.get((told(symptom.symptom), ""))
    return {
        "symptom": symptom.symptom,
        "what": symptom.say,
        "at": found.at,
        "in_own_words": told_it.words if told_it else None,
        "settled": found.likely is not None,
        **_fields(symptom, "tell_garage", "not_sold"),
        "cautions": [consultation.ruleset.cautions[c] for c in symptom.cautions],
        "causes": [cause_data(one) for one in found.causes],
    }


def cause_data(one: CauseFound) -> dict[str, Any]:
    """A cause with its share, and what speaks for it and against it."""
    cause = one.cause
    return {
        "cause": cause.cause,
        "what": cause.say,
        "likely": one.word,
        "share": round(one.share, 4),
        "basis": cause.basis.value,
        "for": list(one.speaks_for),
        "against": list(one.speaks_against),
        "do": cause.do,
        "who": cause.who.value,
        "if_so": cause.urgency.value if cause.urgency else None,
        "items": list(cause.items),
    }


def often_behind(consultation: Consultation, item: str | None) -> list[str]:
    """What is often behind an item of the standard, where no symptom has said so already."""
    known = consultation.ruleset.causes_of(item) if item is not None else ()
    if not known:
        return []
    here = consultation.causes_here
    causes = [c for _, c in known if c.cause not in here]
    return list(dict.fromkeys(c.say for c in sorted(causes, key=lambda c: -c.of_100)))[:3]


# dates, and what is for the station -----------------------------------------------------


def deadline_data(ruleset: Ruleset, one: Deadline) -> dict[str, Any]:
    """What is said about dates, and where it stands."""
    source = ruleset.sources[one.source]
    return {
        **_fields(one, "kind", "text"),
        "dates": [day.isoformat() for day in one.dates],
        "source": source.title,
        "edition": source.edition,
        "clause": one.clause,
        "basis": one.basis.value,
        **_fields(one, "note", "told"),
    }


def station_data(ruleset: Ruleset, one: TesterOnly) -> dict[str, Any]:
    """An item that only the station can measure."""
    source = {"source": ruleset.sources[one.source].title, "basis": one.basis.value}
    return _fields(one, "item", "what", "tester", "early_sign") | source


# questions ---------------------------------------------------------------------------------------


def question_list(ruleset: Ruleset) -> list[dict[str, Any]]:
    """Every question as data: its kind, its parts, its choices, its unit and range."""
    rows: list[dict[str, Any]] = []
    for name, q in ruleset.questions.items():
        stage = ruleset.places[q.place].stage
        row: dict[str, Any] = {
            "question": name,
            "under": "car" if stage == "start" else "answers",
            "ask": q.ask,
            "label": q.label,
            "kind": q.kind,
            "system": ruleset.system_of[name],
            "place": q.place,
            "asked": q.asked,
            "safety": q.safety,
            "applies": q.applies,
            "parts": [at for at in ruleset.members(q.each) if at],
            "also": ["don't know", "can't look", *(["not fitted"] if q.not_fitted else [])],
        }
        if q.kind == "yes_no":
            row["answers"] = {"yes": "yes", "no": "no"}
        elif q.choices:
            row["answers"] = {word: choice.say for word, choice in q.choices.items()}
        if q.kind == "some_of":
            row["none"] = "none"
        if q.unit:
            row["unit"] = q.unit
        if q.range:
            row["range"] = list(q.range)
            row["step"] = q.step
        rows.append(row)
    return rows


def question_text(ruleset: Ruleset) -> str:
    """The same list for people."""
    rows: list[str] = []
    for row in question_list(ruleset):
        rows.append(f"{row['question']}  ({row['kind']}, {row['place']})")
        rows.append(f"    {row['ask']}")
        if row["parts"]:
            rows.append(f"    one answer for each of: {', '.join(row['parts'])}")
        for word, say in row.get("answers", {}).items():
            rows.append(f"      {word}: {say}" if word != say else f"      {word}")
        if "range" in row:
            low, high = row["range"]
            rows.append(f"    a number from {low:g} to {high:g} {row.get('unit', '')}".rstrip())
        rows.append(f"    also: {', '.join(row['also'])}")
    return "\n".join(rows) + "\n"
