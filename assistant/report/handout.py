"""A case as a handout for a class: step by step with blanks to fill, or with the answers.

Steps that bring nothing new are put together in one line, so that a case fits into a lesson.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from assistant.knowledge.ruleset import Ruleset
from assistant.knowledge.wording import URGENCY_WORDS
from assistant.reasoning.consultation import SymptomFound
from assistant.reasoning.engine import Firing
from assistant.reasoning.findings import Finding
from assistant.reasoning.nearly import nearly_words
from assistant.reasoning.outcome import outcome_of
from assistant.reasoning.replay import Given, Replay, Step
from assistant.report.pages import environment

FORMATS = ("html", "md")
_SPECIAL = ("worry", "pick", "correction", "mended", "taken back")
_TELLING = ("triage", "worry", "deciding", "at once")
_MOST_NEARLY, _MOST_LABELS = 3, 8


def handout(replay: Replay, form: str, title: str, teaches: str, answers: bool) -> str:
    """The handout as text. form: "html" or "md". Pure: the same input, the same bytes.

    teaches: what the case teaches, shown only with the answers. Raises ValueError for another form.
    """
    if form not in FORMATS:
        raise ValueError(f"unknown form {form!r}")
    data = handout_data(replay, title, teaches, answers)
    made = environment(html=form == "html").get_template(f"handout.{form}.j2")
    return made.render(h=data)


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
            car += [_said(g) for g in step.given]
        elif _matters(step):
            parts += _rest(replay, rest)
            rest = []
            parts.append(_step(replay, step, answers))
        else:
            rest.append(number)
    parts += _rest(replay, rest)
    outcome = outcome_of(replay.consultation(replay.last))
    scale = {name: {"say": c.say, "means": c.means} for name, c in rs.about.scale.items()}
    return {
        "title": title,
        "teaches": teaches,
        "answers": answers,
        "name": replay.context.car,
        "today": replay.context.today.isoformat(),
        "ruleset_title": rs.about.title,
        "car": car,
        "parts": parts,
        "scale": scale,
        "symptom": outcome.symptom.symptom.say if outcome.symptom else None,
        "causes": [c.say for c in outcome.symptom.symptom.causes] if outcome.symptom else [],
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
    labels = dict.fromkeys(g.label for n in numbers for g in replay.given(n))
    return [
        {
            "kind": "rest",
            "first": numbers[0],
            "last": numbers[-1],
            "count": len(numbers),
            "labels": list(labels)[:_MOST_LABELS],
            "more": max(0, len(labels) - _MOST_LABELS),
        }
    ]


def _said(given: Given) -> str:
    typed = f' ("{given.words}")' if given.words and given.words != given.understood else ""
    return f"{given.label}: {given.understood}{typed}"


def _answers(given: Iterable[Given]) -> list[str]:
    """The answers of a step, those of a group that are alike together."""
    rows: dict[tuple[str, str], list[Given]] = {}
    for one in given:
        rows.setdefault((one.understood, one.words), []).append(one)
    return [
        _said(alike[0]) if len(alike) == 1 else _said(
            Given("; ".join(g.label for g in alike), alike[0].understood, alike[0].words)
        )
        for alike in rows.values()
    ]  # fmt: skip


def _step(replay: Replay, step: Step, answers: bool) -> dict[str, Any]:
    rs = replay.ruleset
    worked = [f"{f.label}: {f.words}" for f in step.new_facts if f.worked]
    fired = [row for f in step.fired if (row := _fired(rs, f)) is not None]
    before = set(nearly_words(rs, replay.nearly(step.number - 1)))
    nearly = nearly_words(rs, [n for n in replay.nearly(step.number) if n.open])
    urgency = None
    if step.urgency is not step.urgency_before:
        urgency = {
            "now": URGENCY_WORDS[step.urgency],
            "before": URGENCY_WORDS[step.urgency_before],
        }
    return {
        "kind": "step",
        "number": step.number,
        "asked": step.asked,
        "said": _answers(step.given),
        "concludes": step.concludes,
        "symptoms": [s.symptom.say for s in step.consultation.symptoms],
        "next": bool(step.plan.prompts),
        "reasoning": {
            "worked": worked,
            "fired": fired,
            "found": [_finding(rs, f) for f in step.new_findings],
            "gone": [f.rule.say for f in step.gone_findings],
            "nearly": [row for row in nearly if row not in before][:_MOST_NEARLY],
            "causes": [_causes(s) for s in step.consultation.symptoms if step.moved(s)],
            "urgency": urgency,
        }
        if answers
        else None,
    }


def _fired(ruleset: Ruleset, firing: Firing) -> dict[str, Any] | None:
    inference = ruleset.inferences[firing.inference]
    axis = inference.axis
    at = ruleset.member(axis, firing.at).say if axis and firing.at else ""
    lead = f"{at[:1].upper()}{at[1:]}: " if at else ""
    rule = inference.rule
    if rule is None:
        if inference.evidence is None or inference.cause is None:
            return None
        factor = f"times {inference.evidence.factor:g} for {inference.cause.say}"
        text = f"{lead}{inference.evidence.because}: {factor}"
        return {"round": firing.round, "text": text, "why": "", "source": "", "basis": ""}
    return {
        "round": firing.round,
        "text": lead + rule.say,
        "why": rule.why,
        "source": ruleset.sources[rule.source].title,
        "basis": rule.basis.value,
    }


def _finding(ruleset: Ruleset, finding: Finding) -> dict[str, str]:
    scale = ruleset.about.scale
    at = f"{finding.at_words[:1].upper()}{finding.at_words[1:]}: " if finding.at_words else ""
    return {
        "text": at + finding.rule.say,
        "category": scale[finding.category].say if finding.category else "not an item",
        "urgency": URGENCY_WORDS[finding.urgency],
    }


def _causes(found: SymptomFound) -> dict[str, Any]:
    return {
        "symptom": found.symptom.say,
        "rows": [
            {
                "share": f"{c.share:.0%}",
                "say": c.cause.say,
                "word": c.word,
                "basis": c.cause.basis.value,
                "for": list(c.speaks_for),
                "against": list(c.speaks_against),
            }
            for c in found.causes
        ],
    }


def _outcome(replay: Replay) -> dict[str, Any]:
    """What the case comes to, and what each part of it rests on."""
    now = replay.consultation(replay.last)
    rs = replay.ruleset
    outcome = outcome_of(now)
    category = rs.about.scale.get(outcome.category)
    cause = outcome.cause_by.cause.say if outcome.cause_by else "it stays open"
    return {
        "category": category.say if category else "nothing",
        "category_by": outcome.category_by.rule.say if outcome.category_by else "",
        "drive": "it may be driven"
        if outcome.drive == "yes"
        else "not before it has been looked at",
        "urgency": URGENCY_WORDS[outcome.urgency],
        "drive_by": [f.rule.say for f in outcome.drive_by] + list(outcome.drive_because),
        "cause": cause,
        "findings": [_finding(rs, f) for f in now.findings],
        "causes": [_causes(s) for s in now.symptoms],
        "withdrawn": [w.rule.say for w in now.withdrawn],
    }
