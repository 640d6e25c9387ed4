"""A case as a handout for a class: step by step with blanks to fill, or with the answers.

Steps that bring nothing new are put together in one line, so that a case fits into a lesson.
"""

from __future__ import annotations

from typing import Any

from assistant.choosing.outcome import outcome_of
from assistant.reasoning.consultation import SymptomFound
from assistant.reasoning.engine import Firing
from assistant.reasoning.findings import Finding
from assistant.report.explaining import nearly_words
from assistant.report.findings import category_words
from assistant.report.pages import page
from assistant.ruleset.grammar import placed, upper
from assistant.ruleset.ruleset import Ruleset
from assistant.ruleset.words import URGENCY_WORDS
from assistant.teaching.replay import Given, Replay, Step
from assistant.teaching.steps import alike, fired_words, outcome_words

FORMATS = ("html", "md")
_SPECIAL = ("worry", "pick", "correction", "mended", "taken back")
_TELLING = ("triage", "worry", "deciding", "at once")
_SHOWN = ("rule", "evidence")
_MOST_NEARLY, _MOST_LABELS = 3, 8


def handout(replay: Replay, form: str, title: str, teaches: str, answers: bool) -> str:
    """The handout as text. form: "html" or "md". Pure: the same input, the same bytes.

    teaches: what the case teaches, shown only with the answers. Raises ValueError for another form.
    """
    return page("handout", form, h=handout_data(replay, title, teaches, answers))


def handout_data(replay: Replay, title: str, teaches: str, answers: bool) -> dict[str, Any]:
    """What a handout shows: the car, the parts of the case in order, and the questions at the end.

    parts: each a "step" or, for steps that bring nothing, a "rest" with its first and last number.
    """
    rs = replay.ruleset
    parts: list[dict[str, Any]] = []
    rest: list[int] = []
    car: list[str] = []
    for number in range(1, replay.last + 1):
        step = replay.step(number)
        if step.prompt is not None and step.prompt.why == "car" and not step.concludes:
            car += [_said([g.label], g) for g in step.given]
        elif _matters(step):
            parts += _rest(replay, rest)
            rest = []
            parts.append(_step(replay, step, answers))
        else:
            rest.append(number)
    parts += _rest(replay, rest)
    told = outcome_of(replay.consultation(replay.last)).symptom
    symptom = told.symptom if told else None
    return {
        "title": title,
        "teaches": teaches,
        "answers": answers,
        "name": replay.context.car,
        "today": replay.context.today.isoformat(),
        "ruleset_title": rs.about.title,
        "car": car,
        "parts": parts,
        "scale": rs.about.scale,
        "symptom": symptom.say if symptom else None,
        "causes": [c.say for c in symptom.causes] if symptom else [],
        "outcome": _outcome(replay) if answers else None,
        "notices": list(rs.about.notices),
        "attributions": list(rs.about.attributions),
    }


def _matters(step: Step) -> bool:
    """Whether a step is worth a place of its own in a lesson."""
    inferences = step.consultation.ruleset.inferences
    rules = any(inferences[f.inference].role != "evidence" for f in step.fired)
    why = step.prompt.why if step.prompt else ""
    moved = any(step.moved(found) for found in step.consultation.symptoms)
    return step.kind in _SPECIAL or why in _TELLING or step.concludes or rules or moved


def _rest(replay: Replay, numbers: list[int]) -> list[dict[str, Any]]:
    if not numbers:
        return []
    labels = list(dict.fromkeys(g.label for n in numbers for g in replay.given(n)))
    steps = {"first": numbers[0], "last": numbers[-1], "count": len(numbers)}
    shown, more = labels[:_MOST_LABELS], max(0, len(labels) - _MOST_LABELS)
    return [{"kind": "rest", **steps, "labels": shown, "more": more}]


def _said(labels: list[str], given: Given) -> str:
    typed = f' ("{given.words}")' if given.words and given.words != given.understood else ""
    return f"{'; '.join(labels)}: {given.understood}{typed}"


def _step(replay: Replay, step: Step, answers: bool) -> dict[str, Any]:
    return {
        "kind": "step",
        "number": step.number,
        "asked": step.asked,
        "said": [_said(labels, given) for labels, given in alike(step.given)],
        "concludes": step.concludes,
        "symptoms": bool(step.consultation.symptoms),
        "next": bool(step.plan.prompts),
        "reasoning": _reasoning(replay, step) if answers else None,
    }


def _reasoning(replay: Replay, step: Step) -> dict[str, Any]:
    rs = replay.ruleset
    before = set(nearly_words(rs, replay.nearly(step.number - 1)))
    nearly = nearly_words(rs, replay.nearly(step.number))
    now, then = URGENCY_WORDS[step.urgency], URGENCY_WORDS[step.urgency_before]
    return {
        "worked": [f"{f.label}: {f.words}" for f in step.new_facts if f.worked],
        "fired": [_fired(rs, f) for f in step.fired if rs.inferences[f.inference].role in _SHOWN],
        "found": [_finding(rs, f) for f in step.new_findings],
        "gone": [f.rule.say for f in step.gone_findings],
        "nearly": [row for row in nearly if row not in before][:_MOST_NEARLY],
        "causes": [_causes(s) for s in step.consultation.symptoms if step.moved(s)],
        "urgency": {"now": now, "before": then} if now != then else None,
    }


def _fired(ruleset: Ruleset, firing: Firing) -> dict[str, str]:
    inference = ruleset.inferences[firing.inference]
    where = upper(ruleset.part_words(inference.axis, firing.at))
    row = {"text": placed(where, fired_words(inference)), "why": "", "source": "", "basis": ""}
    if (rule := inference.rule) is None:
        return row
    source = ruleset.sources[rule.source].title
    return row | {"why": rule.why, "source": source, "basis": rule.basis.value}


def _finding(ruleset: Ruleset, finding: Finding) -> dict[str, str]:
    return {
        "text": placed(upper(finding.at_words), finding.rule.say),
        "category": category_words(ruleset, finding, "not an item"),
        "urgency": URGENCY_WORDS[finding.urgency],
    }


def _causes(found: SymptomFound) -> dict[str, Any]:
    rows = [
        {
            "share": f"{c.share:.0%}",
            "say": c.cause.say,
            "word": c.word,
            "basis": c.cause.basis.value,
            "for": c.speaks_for,
            "against": c.speaks_against,
        }
        for c in found.causes
    ]
    return {"symptom": found.symptom.say, "rows": rows}


def _outcome(replay: Replay) -> dict[str, Any]:
    """What the case comes to, and what each part of it rests on."""
    now, rs = replay.consultation(replay.last), replay.ruleset
    outcome = outcome_of(now)
    return {
        **{what: outcome_words(rs, outcome, what) for what in ("category", "drive", "cause")},
        "category_by": outcome.category_by.rule.say if outcome.category_by else "",
        "urgency": URGENCY_WORDS[outcome.urgency],
        "drive_by": [*(f.rule.say for f in outcome.drive_by), *outcome.drive_because],
        "findings": [_finding(rs, f) for f in now.findings],
        "causes": [_causes(s) for s in now.symptoms],
        "withdrawn": [w.rule.say for w in now.withdrawn],
    }
