"""Two outcomes beside each other, or under each other where the screen is narrow or read aloud."""

from __future__ import annotations

import itertools
import textwrap

from assistant.dialogue.asking import Line
from assistant.dialogue.teaching.look import Look
from assistant.dialogue.teaching.parts import finding_rows, percent
from assistant.knowledge.wording import URGENCY_WORDS
from assistant.reasoning.consultation import Consultation
from assistant.reasoning.outcome import Compared, compare

__all__ = ["compare_lines"]

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
            lines += [Line("text", row, 2) for row in column]
    if found.both:
        lines.append(Line("text", "Found either way:"))
        lines += [Line("text", row, 2) for row in finding_rows(found.both)]
    return lines


def _column(found: Compared, index: int) -> list[str]:
    """What one side comes to; findings of both sides are left for below."""
    rows = [f"Urgency: {URGENCY_WORDS[found.urgencies[index]]}."]
    own = (found.only_first, found.only_second)[index]
    rows += [f"Found only here: {row}" for row in finding_rows(own)]
    if not own:
        rows.append("Found only here: nothing.")
    symptom = ""
    for say, cause, basis, *shares in found.causes:
        if say != symptom:
            symptom = say
            rows.append(f"Causes of: {say}")
        share = shares[index]
        words = "not weighed" if share is None else percent(share)
        rows.append(f"- {words} {cause} ({basis})")
    return rows


def _side_by_side(columns: list[list[str]], heads: tuple[str, str], look: Look) -> list[Line]:
    """Two columns of rows, each wrapped to its half, with the same thing at the same height."""
    half = (look.width - _GAP) // 2
    rows: list[str] = []
    cells = itertools.zip_longest([f"WITH {heads[0]}", *columns[0]],
                                  [f"WITH {heads[1]}", *columns[1]], fillvalue="")  # fmt: skip
    for left, right in cells:
        pair = [textwrap.wrap(cell, half, subsequent_indent="  ") or [""] for cell in (left, right)]
        rows += [
            f"{a:<{half}}{' ' * _GAP}{b}".rstrip()
            for a, b in itertools.zip_longest(*pair, fillvalue="")
        ]
    return [Line("picture", row) for row in rows]
