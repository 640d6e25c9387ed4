"""How much fits on the screen, and what is shown on it: a step, or two outcomes."""

from __future__ import annotations

import itertools
import shutil
import textwrap
from collections.abc import Callable
from dataclasses import dataclass

from assistant.choosing.agenda import Prompt, asked_words
from assistant.choosing.outcome import Compared, compare, outcome_of
from assistant.reasoning.consultation import Consultation
from assistant.report.explaining import nearly_words
from assistant.report.lines import Line, texts
from assistant.ruleset.grammar import plural
from assistant.ruleset.models import Urgency
from assistant.ruleset.words import URGENCY_WORDS, share_words
from assistant.talk.asking import Asker, PlainAsker, wrapped
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

NARROW = 60
"""Below this width things stand under each other, not side by side."""
_WIDEST = 80


@dataclass(frozen=True)
class Screen:
    """The screen. width: columns a row may have. height: rows for one screen, or None.

    plain: for a screen reader or a pipe: nothing side by side, nothing cut short to fit.
    clear: empties a real terminal, or None.
    """

    width: int = _WIDEST - 1
    height: int | None = None
    plain: bool = False
    clear: Callable[[], None] | None = None

    @property
    def narrow(self) -> bool:
        return self.width < NARROW

    @property
    def side_by_side(self) -> bool:
        return not self.narrow and not self.plain

    def rows(self, lines: list[Line]) -> int:
        """How many rows the lines take."""
        return sum(len(wrapped(line, self.width)) for line in lines)

    def fits(self, lines: list[Line]) -> bool:
        return self.height is None or self.rows(lines) <= self.height

    def pages(self, lines: list[Line]) -> list[list[Line]]:
        """The lines in screens; one page where nothing limits the height."""
        if self.height is None:
            return [lines]
        pages: list[list[Line]] = [[]]
        left = self.height
        for line in lines:
            rows = len(wrapped(line, self.width))
            if rows > left and pages[-1]:
                pages.append([])
                left = self.height
            pages[-1].append(line)
            left -= rows
        return pages


def clip(text: str, screen: Screen, indent: int = 2, rows: int = 1) -> str:
    """A text cut to so many rows, for a wide screen of limited height; else the whole of it."""
    most = screen.width - indent if rows == 1 else rows * (screen.width - indent - 8)
    if screen.height is None or screen.narrow or len(text) <= most:
        return text
    return text[: most - 3].rstrip() + "..."


def screen_of(asker: Asker) -> Callable[[], Screen]:
    """The screen of an asker: of a real terminal anew each time, since windows are resized."""
    if isinstance(asker, PlainAsker):
        return lambda: Screen(_columns(), plain=True)

    def terminal() -> Screen:
        size = shutil.get_terminal_size((80, 24))
        return Screen(_columns(), max(10, size.lines - 3), clear=_clear)

    return terminal


def _columns() -> int:
    return max(20, min(_WIDEST, shutil.get_terminal_size((80, 24)).columns) - 1)


def _clear() -> None:
    """Empties the terminal; the same whether there is colour or not."""
    from rich.console import Console

    Console().clear()


def step_lines(replay: Replay, number: int, heading: str, screen: Screen) -> list[Line]:
    """A step with its reasoning, as much of it as fits on one screen; the rest has commands."""
    step = replay.step(number)
    for most in (4, 3, 2, 1):
        lines = _lines(replay, step, heading, screen, most)
        if screen.fits(lines):
            break
    return lines


def held_lines(replay: Replay, number: int, heading: str, screen: Screen) -> list[Line]:
    """A step whose conclusion is not shown yet: only the question and the answer."""
    prompt, asked, _ = replay.asked(number)
    said = given_rows(replay.given(number))
    return [
        *_head(heading, replay, number),
        *_asked(prompt, asked),
        *texts(clip(f"Answer: {row}", screen, 0) for row in said[:6]),
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


def _lines(replay: Replay, step: Step, heading: str, screen: Screen, most: int) -> list[Line]:
    now = step.consultation
    rs = now.ruleset
    lines = _head(heading, replay, step.number)
    if step.number == 0:
        lines += _start(replay)
    else:
        lines += _asked(step.prompt, step.asked)
        lines += texts(clip(f"Answer: {row}", screen, 0) for row in given_rows(step.given)[:most])
        facts = [f"{f.label}: {f.words}" for f in step.new_facts if f.worked]
        facts += [f"no longer known: {f.label}" for f in step.gone_facts]
        lines += _section("Worked out from it", facts, screen, most, "known")
        missed = missed_words(step)
        fired = fired_rows(now, step.fired)
        head = "Fired, in order" + (f" ({missed})" if missed else "")
        lines += _section(head, fired, screen, most, "fired")
        if not fired:
            lines.append(Line("text", f"Nothing fired{f'; {missed}' if missed else ''}."))
        lines += [Line("found", row) for row in finding_rows(step.new_findings)[:most]]
        gone = [f"No longer found: {r}" for r in finding_rows(step.gone_findings)]
        lines += texts(clip(row, screen, 0) for row in gone[:most])
    nearly = nearly_words(rs, replay.nearly(step.number))
    lines += _section(
        "One condition short", nearly, screen, min(most, 2), "almost", 2 if most > 1 else 1
    )
    for found in now.symptoms[:2]:
        rows = cause_rows(found, step.shares_before)
        lines += _section(f"Causes of: {found.symptom.say}", rows, screen, min(most, 3), "causes")
    changed = step.urgency is not step.urgency_before
    grave = changed and step.urgency.rank <= Urgency.HAVE_LOOKED_AT.rank
    urgency = urgency_row(step.urgency, step.urgency_before)
    lines.append(Line("danger" if grave else "text", urgency))
    because = outcome_of(now).drive_because[:2]
    lines += texts((clip(f"Because: {row}", screen) for row in because), 2)
    return lines + _plan(replay, step, screen, most)


def _start(replay: Replay) -> list[Line]:
    context = replay.context
    return [
        Line("text", f"The car: {context.car or 'no name'}. The day: {context.today.isoformat()}. "
                     f"Ruleset: {replay.ruleset.about.title}."),
        Line("text", "Nothing is known yet. Type next."),
    ]  # fmt: skip


def _plan(replay: Replay, step: Step, screen: Screen, most: int) -> list[Line]:
    """What would be asked next and why; in one row where there is no room for more."""
    if step.plan.next is None:
        return [Line("text", "Plan: nothing left to ask.")]
    rows = [
        f"{asked_words(replay.ruleset, p)} ({why_asked_words(p)})" for p in step.plan.prompts[:2]
    ]
    if most == 1:
        return [Line("text", clip(f"Plan: {rows[0]}", screen, 0))]
    left = plural(len(step.plan.prompts), "question")
    return [
        Line("title", f"Plan: {left} left"),
        *texts((clip(row, screen) for row in rows), 2),
    ]


def _section(
    head: str, rows: list[str], screen: Screen, most: int, command: str, deep: int = 1
) -> list[Line]:
    """A heading and its rows; where there are more, the command that shows all of them."""
    if not rows:
        return []
    lines = [Line("title", f"{head}:")]
    lines += texts((clip(row, screen, rows=deep) for row in rows[:most]), 2)
    if len(rows) > most:
        lines.append(Line("aside", f"and {len(rows) - most} more: type {command}", 2))
    return lines


_GAP = 2


def compare_lines(
    first: Consultation, second: Consultation, heads: tuple[str, str], title: str, screen: Screen
) -> list[Line]:
    """Findings, urgency and causes of two consultations. heads: what each is called."""
    found = compare(first, second)
    lines = [Line("title", title)]
    if found.same:
        return [*lines, Line("text", "Both come to the same findings, urgency and causes.", 2)]
    columns = [_column(found, 0), _column(found, 1)]
    if screen.side_by_side:
        lines += _side_by_side(columns, heads, screen)
    else:
        for head, column in zip(heads, columns, strict=True):
            lines.append(Line("text", f"With {head}:"))
            lines += texts((row for part in column for row in part), 2)
    if found.both:
        lines += [Line("text", "Found either way:"), *texts(finding_rows(found.both), 2)]
    return lines


def _column(found: Compared, index: int) -> list[list[str]]:
    """What one side comes to, part by part; findings of both sides are left for below."""
    own = finding_rows((found.only_first, found.only_second)[index])
    parts = [
        [f"Urgency: {URGENCY_WORDS[found.urgencies[index]]}."],
        [f"Found only here: {row}" for row in own] or ["Found only here: nothing."],
    ]
    symptom = ""
    for say, cause, basis, *shares in found.causes:
        if say != symptom:
            symptom = say
            parts.append([f"Causes of: {say}"])
        share = shares[index]
        words = "not weighed" if share is None else share_words(share)
        parts.append([f"- {words} {cause} ({basis})"])
    return parts


def _side_by_side(
    columns: list[list[list[str]]], heads: tuple[str, str], screen: Screen
) -> list[Line]:
    """Two columns of rows, each wrapped to its half, with the same thing at the same height."""
    half = (screen.width - _GAP) // 2
    rows: list[str] = []
    parts = [([f"WITH {heads[0]}"], [f"WITH {heads[1]}"]), *zip(*columns, strict=True)]
    for left, right in parts:
        pair = [
            [row for cell in cells for row in textwrap.wrap(cell, half, subsequent_indent="  ")]
            for cells in (left, right)
        ]
        rows += [
            f"{a:<{half}}{' ' * _GAP}{b}".rstrip()
            for a, b in itertools.zip_longest(*pair, fillvalue="")
        ]
    return [Line("picture", row) for row in rows]
