"""One step as one screen: the question, the answer, and what it brought."""

from __future__ import annotations

from assistant.choosing.agenda import Prompt, asked_words
from assistant.choosing.outcome import outcome_of
from assistant.report.explaining import nearly_words
from assistant.report.lines import Line, texts
from assistant.ruleset.grammar import plural
from assistant.ruleset.models import Urgency
from assistant.teaching.look import Look, clip
from assistant.teaching.replay import Replay, Step
from assistant.teaching.steps import (
    cause_rows,
    finding_rows,
    fired_rows,
    given_rows,
    missed_words,
    urgency_row,
    why_asked_words,
)


def step_lines(replay: Replay, number: int, heading: str, look: Look) -> list[Line]:
    """A step with its reasoning, as much of it as fits on one screen; the rest has commands."""
    step = replay.step(number)
    for most in (4, 3, 2, 1):
        lines = _lines(replay, step, heading, look, most)
        if look.fits(lines):
            break
    return lines


def held_lines(replay: Replay, number: int, heading: str, look: Look) -> list[Line]:
    """A step whose conclusion is not shown yet: only the question and the answer."""
    prompt, asked, _ = replay.asked(number)
    said = given_rows(replay.given(number))
    return [
        *_head(heading, replay, number),
        *_asked(prompt, asked),
        *texts(clip(f"Answer: {row}", look, 0) for row in said[:6]),
        Line("blank"),
        Line("title", "Pause: this answer brings a conclusion."),
        Line("text", "What do you expect, and why? Type predict to take answers from the class, "
                     "or next to see it."),
    ]  # fmt: skip


def _head(heading: str, replay: Replay, number: int) -> list[Line]:
    return [Line("title", f"{heading} - step {number} of {replay.last}")]


def _asked(prompt: Prompt | None, asked: str) -> list[Line]:
    lines = [Line("question", f"Asked: {asked}" if prompt else asked)]
    if prompt is not None:
        lines.append(Line("aside", f"Why asked: {why_asked_words(prompt)}.", 2))
    return lines


def _lines(replay: Replay, step: Step, heading: str, look: Look, most: int) -> list[Line]:
    now = step.consultation
    rs = now.ruleset
    lines = _head(heading, replay, step.number)
    if step.number == 0:
        lines += _start(replay)
    else:
        lines += _asked(step.prompt, step.asked)
        lines += texts(clip(f"Answer: {row}", look, 0) for row in given_rows(step.given)[:most])
        facts = [f"{f.label}: {f.words}" for f in step.new_facts if f.worked]
        facts += [f"no longer known: {f.label}" for f in step.gone_facts]
        lines += _section("Worked out from it", facts, look, most, "known")
        missed = missed_words(step)
        fired = fired_rows(now, step.fired)
        head = "Fired, in order" + (f" ({missed})" if missed else "")
        lines += _section(head, fired, look, most, "fired")
        if not fired:
            lines.append(Line("text", f"Nothing fired{f'; {missed}' if missed else ''}."))
        lines += [Line("found", row) for row in finding_rows(step.new_findings)[:most]]
        gone = [f"No longer found: {r}" for r in finding_rows(step.gone_findings)]
        lines += texts(clip(row, look, 0) for row in gone[:most])
    nearly = nearly_words(rs, replay.nearly(step.number))
    lines += _section(
        "One condition short", nearly, look, min(most, 2), "almost", 2 if most > 1 else 1
    )
    for found in now.symptoms[:2]:
        rows = cause_rows(found, step.shares_before)
        lines += _section(f"Causes of: {found.symptom.say}", rows, look, min(most, 3), "causes")
    changed = step.urgency is not step.urgency_before
    grave = changed and step.urgency.rank <= Urgency.HAVE_LOOKED_AT.rank
    urgency = urgency_row(step.urgency, step.urgency_before)
    lines.append(Line("danger" if grave else "text", urgency))
    because = outcome_of(now).drive_because[:2]
    lines += texts((clip(f"Because: {row}", look) for row in because), 2)
    return lines + _plan(replay, step, look, most)


def _start(replay: Replay) -> list[Line]:
    context = replay.context
    return [
        Line("text", f"The car: {context.car or 'no name'}. The day: {context.today.isoformat()}. "
                     f"Ruleset: {replay.ruleset.about.title}."),
        Line("text", "Nothing is known yet. Type next."),
    ]  # fmt: skip


def _plan(replay: Replay, step: Step, look: Look, most: int) -> list[Line]:
    """What would be asked next and why; in one row where there is no room for more."""
    if step.plan.next is None:
        return [Line("text", "Plan: nothing left to ask.")]
    rows = [
        f"{asked_words(replay.ruleset, p)} ({why_asked_words(p)})" for p in step.plan.prompts[:2]
    ]
    if most == 1:
        return [Line("text", clip(f"Plan: {rows[0]}", look, 0))]
    left = plural(len(step.plan.prompts), "question")
    return [
        Line("title", f"Plan: {left} left"),
        *texts((clip(row, look) for row in rows), 2),
    ]


def _section(
    head: str, rows: list[str], look: Look, most: int, command: str, deep: int = 1
) -> list[Line]:
    """A heading and its rows; where there are more, the command that shows all of them."""
    if not rows:
        return []
    lines = [Line("title", f"{head}:")]
    lines += texts((clip(row, look, rows=deep) for row in rows[:most]), 2)
    if len(rows) > most:
        lines.append(Line("aside", f"and {len(rows) - most} more: type {command}", 2))
    return lines
