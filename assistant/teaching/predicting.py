"""Predict, then reveal: what learners expect, asked before it is shown, and what came of it."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Sequence
from dataclasses import dataclass

from assistant.choosing.outcome import NOTHING, OPEN, Outcome, outcome_of
from assistant.journal.class_file import Predicted, Tally
from assistant.reading.result import Unclear
from assistant.reading.text import LONGEST_NAME, NAME_TOO_LONG, clean, spoken
from assistant.reading.understand import understand
from assistant.reasoning.consultation import Consultation
from assistant.reasoning.findings import Finding
from assistant.report.findings import source_words
from assistant.report.lines import Line, numbered
from assistant.ruleset.grammar import and_words, plural
from assistant.ruleset.models import Choice, Question
from assistant.ruleset.ruleset import Ruleset
from assistant.ruleset.words import URGENCY_WORDS
from assistant.talk.asking import Asker
from assistant.teaching.screen import Screen
from assistant.teaching.steps import DRIVE_WORDS, OPEN_WORDS, outcome_words

_MOST_NAMES = 40
_TRIES = 3
_SKIP = re.compile(r"skip|pass|no answer|nothing to say|next|")
_STOP = re.compile(r"q|quit|stop|exit|cancel|leave|enough")
_WORDS = {"category": "Category", "cause": "Likely cause", "drive": "Drive or not"}


class Stopped(Exception):
    """Predicting was broken off."""


@dataclass(frozen=True)
class _Asked:
    what: str
    question: Question


def names_in(words: str) -> list[str]:
    """The names of learners in a line: with commas, semicolons or "and" between."""
    parts = re.split(r"[,;]|\band\b|&", clean(words))
    return list(dict.fromkeys(p.strip() for p in parts if p.strip()))


def too_much(names: Sequence[str]) -> str | None:
    """Why these names cannot be kept, if so."""
    if any(len(name) > LONGEST_NAME for name in names):
        return NAME_TOO_LONG
    return f"{_MOST_NAMES} names is the most." if len(names) > _MOST_NAMES else None


def ask_class(
    asker: Asker, consultation: Consultation, names: list[str], case: str, step: int
) -> list[Predicted]:
    """Asks each learner and gives their predictions. Those asked in full are kept if it stops."""
    outcome = outcome_of(consultation)
    found: list[Predicted] = []
    try:
        for name in names:
            found.append(_ask_one(asker, consultation.ruleset, outcome, name, case, step))
    except Stopped:
        asker.show([Line("aside", f"Stopped. {plural(len(found), 'prediction')} taken.")])
    return found


def _ask_one(
    asker: Asker, ruleset: Ruleset, outcome: Outcome, name: str, case: str, step: int
) -> Predicted:
    said = {asked.what: _answer(asker, asked, name) for asked in _questions(ruleset, outcome)}
    return Predicted(
        when=dt.datetime.now().strftime("%Y-%m-%d %H:%M"),
        case=case[:200],
        step=step,
        name=name,
        category=(said["category"], outcome.category),
        cause=(said.get("cause"), outcome.cause),
        drive=(said["drive"], outcome.drive),
    )


def _questions(ruleset: Ruleset, outcome: Outcome) -> list[_Asked]:
    """What is asked: the category, the likely cause where there is a symptom, drive or not."""
    scale = {
        name: Choice(say=category.say, hear=[name])
        for name, category in ruleset.about.scale.items()
    }
    nothing = Choice(say="nothing", hear=["none", "no item", "nothing at all", "nothing found"])
    asked = [
        _Asked(
            "category",
            _question("What is the gravest category that is found?", {**scale, NOTHING: nothing}),
        )
    ]
    if outcome.symptom is not None:
        # in the order of the ruleset, so that the order gives nothing away
        causes = {c.cause: Choice(say=c.say) for c in outcome.symptom.symptom.causes}
        open_ = Choice(say=OPEN_WORDS, hear=["open", "stays open", "cannot be told"])
        say = outcome.symptom.symptom.say
        asked.append(
            _Asked(
                "cause", _question(f"What is most likely behind: {say}?", {**causes, OPEN: open_})
            )
        )
    drive = {
        "yes": Choice(say=DRIVE_WORDS["yes"], hear=["drive", "yes", "driven", "may drive"]),
        "no": Choice(
            say=DRIVE_WORDS["no"],
            hear=["no", "not", "do not drive", "don't drive", "stop", "must not be driven"],
        ),
    }
    return [*asked, _Asked("drive", _question("Drive or not?", drive))]


def _question(ask: str, choices: dict[str, Choice]) -> Question:
    return Question(
        ask=ask,
        label="what is expected",
        kind="one_of",
        place="here",
        how="Pick the one you expect.",
        seconds=5,
        choices=choices,
    )


def _answer(asker: Asker, asked: _Asked, name: str) -> str | None:
    """One learner's answer; None for a skip, or for words that are not understood three times."""
    question = asked.question
    says = [choice.say for choice in question.choices.values()]
    asker.show([Line("question", f"{name}: {question.ask}"), *numbered(says)])
    for _ in range(_TRIES):
        words = clean(asker.ask(f"{name} > "))
        text = spoken(words).strip(" .!")
        if _SKIP.fullmatch(text):
            return None
        if _STOP.fullmatch(text) and not (asked.what == "drive" and text == "stop"):
            raise Stopped
        heard = understand(words, question, today=dt.date.min)
        if isinstance(heard, Unclear):
            asker.show([Line("text", "Please type the number or the words of one, or skip.")])
            continue
        asker.show([Line("heard", heard.echo)])
        return heard.answer.word
    asker.show([Line("aside", "That counts as no answer.")])
    return None


def reveal_lines(consultation: Consultation, rows: list[Predicted]) -> list[Line]:
    """What the rules conclude, how each learner did, and where they differed and why."""
    outcome = outcome_of(consultation)
    rs = consultation.ruleset
    lines = [Line("title", "What the rules conclude")]
    differed = {what: [r.name for r in rows if r.right().get(what) is False] for what in _WORDS}
    for what in _WORDS:
        if what == "cause" and outcome.symptom is None:
            continue
        lines.append(Line("text", f"{_WORDS[what]}: {outcome_words(rs, outcome, what)}."))
        if differed[what]:
            lines += [Line("aside", row, 2) for row in _reasons(consultation, outcome, what)]
    lines.append(Line("title", "What was predicted"))
    for row in rows:
        marks = row.right()
        lines.append(Line("text", f"{row.name}: {sum(marks.values())} of {len(marks)} right."))
        for what, right in marks.items():
            if not right:
                said = getattr(row, what)[0]
                words = outcome_words(rs, outcome, what, said) if said else "no answer"
                lines.append(Line("text", f"Differed on {_WORDS[what].lower()}: {words}.", 2))
    return lines


def _reasons(consultation: Consultation, outcome: Outcome, what: str) -> list[str]:
    """The rule behind a conclusion, with its reason, its source and how far to trust it."""
    rs = consultation.ruleset
    if what == "category":
        if outcome.category_by is None:
            return ["No rule that names an item of the standard has fired."]
        return _rule(rs, outcome.category_by)
    if what == "drive":
        rows = [row for finding in outcome.drive_by[:2] for row in _rule(rs, finding)]
        rows += list(outcome.drive_because)
        return [f"Urgency: {URGENCY_WORDS[outcome.urgency].lower()}.",
                *(rows or ["No rule that fired says that it must not be driven."])]  # fmt: skip
    symptom = outcome.symptom
    assert symptom is not None
    first = outcome.cause_by or symptom.causes[0]
    reasons = [f"for it: {r}" for r in first.speaks_for]
    reasons += [f"against it: {r}" for r in first.speaks_against]
    rows = [f"{first.cause.say}: {first.share:.0%}; {r}." for r in reasons] or [
        "Nothing that was said speaks for one cause or against another."
    ]
    source = rs.sources[symptom.symptom.source].title
    return [*rows, f"Source: {source}. Basis of the weights: {first.cause.basis.value}."]


def _rule(ruleset: Ruleset, finding: Finding) -> list[str]:
    rule = finding.rule
    source = source_words(rule, ruleset.sources[rule.source])
    return [f"Rule: {finding.says}", f"Reason: {rule.why}", source]


def score_lines(found: list[Tally], screen: Screen) -> list[Line]:
    """How the class has done: a table, or one line a learner where that is easier to read."""
    if not found:
        return [Line("text", "Nobody has predicted anything yet.")]
    lines = [Line("title", "How the class has done")]
    if not screen.side_by_side:
        for one in found:
            things = [
                f"{what} {_of(getattr(one, what))}" for what in _WORDS if getattr(one, what)[1]
            ]
            cases = plural(one.cases, "case")
            lines.append(
                Line("text", f"{one.name}: {_of(one.all)} right in {cases} - {and_words(things)}.")
            )
        return lines
    form = "{:<20} {:>5} {:>11} {:>11} {:>11} {:>11}"
    rows = [form.format("Name", "Cases", "Category", "Cause", "Drive", "All")]
    for one in found:
        cells = (_of(one.category), _of(one.cause), _of(one.drive), _of(one.all))
        rows.append(form.format(one.name[:20], one.cases, *cells))
    return lines + [Line("picture", row) for row in rows]


def _of(pair: tuple[int, int]) -> str:
    return f"{pair[0]} of {pair[1]}" if pair[1] else "-"
