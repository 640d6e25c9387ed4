"""The result of a consultation as plain data, for `judge --json` and the JSON sheet.

The shape is versioned by `schema`; fields are only ever added within a version.
"""

from __future__ import annotations

from typing import Any

from assistant.knowledge.journal import Said
from assistant.knowledge.ruleset import told
from assistant.knowledge.wording import URGENCY_WORDS, answer_words
from assistant.reasoning.agenda import agenda
from assistant.reasoning.cleared import cleared_items
from assistant.reasoning.consultation import Consultation, SymptomFound
from assistant.reasoning.deadlines import deadlines_of
from assistant.reasoning.findings import Finding
from assistant.reasoning.hazards import ToldDanger
from assistant.reasoning.routes import contradicted, supports_of
from assistant.reasoning.trail import Node, trail_of
from assistant.report.drive import condition_words, drive_of, mending

SCHEMA = 1


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


def told_data(told: ToldDanger) -> dict[str, Any]:
    """A danger in the owner's own words."""
    danger = told.danger
    return {
        "danger": told.name,
        "words": told.worry.words,
        "urgency": told.urgency.value,
        "condition": told.condition,
        "first": danger.first,
        "then": told.do,
        "call": danger.call,
        "never": danger.never,
        "hazards": list(told.hazards),
        "source": danger.source,
        "basis": danger.basis.value,
    }


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


def trail_data(node: Node) -> dict[str, Any]:
    """A trail node and what is under it."""
    data: dict[str, Any] = {
        "kind": node.kind,
        "name": node.name,
        "at": node.at,
        "text": node.text,
        "holds": node.holds,
    }
    if node.rule is not None and node.source is not None:
        data |= {
            "why": node.rule.why,
            "when": node.rule.when,
            "source": node.source.title,
            "edition": node.source.edition,
            "basis": node.rule.basis.value,
        }
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
    rs = consultation.ruleset
    rule = finding.rule
    source = rs.sources[rule.source]
    trail = trail_of(consultation, rule.rule, finding.at)
    answers = supports_of(consultation, finding)
    category = finding.category
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
        "tell_garage": symptom.tell_garage,
        "not_sold": symptom.not_sold,
        "cautions": [consultation.ruleset.cautions[c] for c in symptom.cautions],
        "causes": [
            {
                "cause": c.cause.cause,
                "what": c.cause.say,
                "likely": c.word,
                "share": round(c.share, 4),
                "basis": c.cause.basis.value,
                "for": list(c.speaks_for),
                "against": list(c.speaks_against),
                "do": c.cause.do,
                "who": c.cause.who.value,
                "if_so": c.cause.urgency.value if c.cause.urgency else None,
                "items": list(c.cause.items),
            }
            for c in found.causes
        ],
    }


def worries_data(consultation: Consultation) -> list[dict[str, Any]]:
    """What worries the owner, in their words, and which symptom they said it is."""
    rs, state = consultation.ruleset, consultation.state
    data = []
    for worry in state.worries:
        picked = state.picked.get(worry.turn)
        symptom = rs.symptoms.get(picked.symptom or "") if picked else None
        data.append(
            {
                "words": worry.words,
                "is": symptom.say if symptom else None,
                "symptom": symptom.symptom if symptom else None,
                "placed": picked is not None,
                "could_be_dangers": list(worry.dangers),
            }
        )
    return data


def often_behind(consultation: Consultation, item: str | None) -> list[str]:
    """What is often behind an item of the standard, where no symptom has said so already."""
    known = consultation.ruleset.causes_of(item) if item is not None else ()
    if not known:
        return []
    here = consultation.causes_here
    causes = [c for _, c in known if c.cause not in here]
    return list(dict.fromkeys(c.say for c in sorted(causes, key=lambda c: -c.weight)))[:3]


def result_data(
    consultation: Consultation, faults: list[dict[str, Any]] | None = None
) -> dict[str, Any]:
    """Everything that follows from one consultation, as JSON-ready data.

    faults: mistakes of the input, each {"line": int or None, "text": str}.
    """
    rs = consultation.ruleset
    context = consultation.state.context
    return {
        "schema": SCHEMA,
        "ruleset": rs.about.name,
        "ruleset_digest": rs.digest,
        "today": context.today.isoformat(),
        "begun": consultation.state.begun.isoformat(),
        "car": context.car,
        "about_the_car": [
            said_data(consultation, s)
            for s in consultation.state.answers.values()
            if s.question in rs.of_the_car
        ],
        "about_the_car_not_known": [rs.questions[q].label for q in not_known_of_car(consultation)],
        "drive": drive_advice(consultation, len(faults or [])),
        "told_dangers": [told_data(told) for told in consultation.told],
        "would_fail": bool(consultation.would_fail()),
        "findings": [finding_data(consultation, f) for f in consultation.findings],
        "causes": [symptom_data(consultation, found) for found in consultation.symptoms],
        "in_own_words": worries_data(consultation),
        "ruled_out": [
            {"rule": d.rule.rule, "at": d.at, "what": d.rule.say, "because": d.by.say}
            for d in consultation.stood_down
        ],
        "told_and_ruled_out": [told_data(told) for told in consultation.lifted],
        "hazards": [
            {
                "hazard": one.name,
                "what": one.hazard.say,
                "because": list(one.because),
                "forbids": sorted(act.value for act in one.forbids),
                "ends_when": one.hazard.garage,
            }
            for one in consultation.hazards.standing
        ],
        "ended_by_a_garage": [
            {"rule": rule.rule, "what": rule.say} for rule in consultation.hazards.ended
        ],
        "have_confirmed": [
            {
                "rule": w.rule.rule,
                "at": w.at,
                "what": w.rule.say,
                "how": w.how,
                "words_before": w.words_before,
                "words_now": w.words_now,
            }
            for w in consultation.withdrawn
        ],
        "told_and_answered_otherwise": [
            {
                "rule": one.finding.rule.rule,
                "what": one.finding.rule.say,
                "words": one.told.words,
                "answers": [said_data(consultation, said) for said in one.answers],
            }
            for one in contradicted(consultation)
        ],
        "asked_at_once_not_answered": [
            {
                "question": f.question,
                "at": f.at,
                "label": rs.questions[f.question].label,
                "at_words": rs.at_words(f.question, f.at),
                "because": f.rule.say,
            }
            for f in consultation.pending
        ],
        "too_close_to_tell": [
            {
                "rule": t.rule.rule,
                "item": t.rule.finds.item if t.rule.finds else None,
                "at": t.at,
                "at_words": t.at_words,
                "could_be": t.rule.say,
                "do": t.rule.do,
                "reading": rs.questions[t.reading].label
                if t.reading in rs.questions
                else t.reading,
                "lo": t.lo,
                "hi": t.hi,
                "text": t.text,
            }
            for t in consultation.too_close
        ],
        "not_known": [
            said_data(consultation, s) for s in consultation.not_known if s.question in rs.questions
        ],
        "looked_at_nothing_found": list(cleared_items(consultation)),
        "only_the_station": [
            {
                "item": t.item,
                "what": t.what,
                "tester": t.tester,
                "early_sign": t.early_sign,
                "source": rs.sources[t.source].title,
                "basis": t.basis.value,
            }
            for t in consultation.tester_only
        ],
        "not_asked": [
            {
                "question": q,
                "at": at,
                "label": rs.questions[q].label,
                "at_words": rs.at_words(q, at),
            }
            for q, at in consultation.not_asked
        ],
        "deadlines": [
            {
                "kind": d.kind,
                "text": d.text,
                "dates": [day.isoformat() for day in d.dates],
                "source": rs.sources[d.source].title,
                "edition": rs.sources[d.source].edition,
                "clause": d.clause,
                "basis": d.basis.value,
                "note": d.note,
                "told": d.told,
            }
            for d in deadlines_of(consultation)
        ],
        "still_open": [p.key for p in agenda(consultation).prompts],
        "input_faults": faults or [],
        "engine_faults": [{"rule": rule, "text": text} for rule, text in consultation.faults],
        "notices": list(rs.about.notices),
        "attributions": list(rs.about.attributions),
    }
