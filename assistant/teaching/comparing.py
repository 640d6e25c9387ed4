"""Two outcomes beside each other, or under each other where the screen is narrow or read aloud."""

from __future__ import annotations

import itertools
import textwrap

from assistant.choosing.outcome import Compared, compare
from assistant.reasoning.consultation import Consultation
from assistant.report.lines import Line, texts
from assistant.ruleset.words import URGENCY_WORDS
from assistant.teaching.look import Look
from assistant.teaching.steps import finding_rows, percent

_GAP = 2


def compare_lines(
    first: Consultation, second: Consultation, heads: tuple[str, str], title: str, look: Look
) -> list[Line]:
    """Findings, urgency and causes of two consultations. heads: what each is called."""
    found = compare(first, second)
    lines = [Line("title", title)]
    if found.same:
        return [*lines, Line("text", "Both come to the same findings, urgency and causes.", 2)]
    columns = [_column(found, 0), _column(found, 1)]
    if look.side_by_side:
        lines += _side_by_side(columns, heads, look)
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
        words = "not weighed" if share is None else percent(share)
        parts.append([f"- {words} {cause} ({basis})"])
    return parts


def _side_by_side(columns: list[list[list[str]]], heads: tuple[str, str], look: Look) -> list[Line]:
    """Two columns of rows, each wrapped to its half, with the same thing at the same height."""
    half = (look.width - _GAP) // 2
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
