"""Explanations of a judged consultation, as lines and as data."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from assistant.reasoning.consultation import Consultation
from assistant.reasoning.meant import Meant, nearest_rules
from assistant.reasoning.trail import missing_under, trail_of
from assistant.reasoning.why_not import why_not
from assistant.report.explaining import MANNERS, Row, trainer_more
from assistant.report.lines import Line
from assistant.report.result import trail_data


@dataclass
class Explained:
    """What was explained: lines to print, data to add, and what could not be made out."""

    lines: list[Line] = field(default_factory=list)
    data: dict[str, Any] = field(default_factory=dict)
    faults: list[dict[str, Any]] = field(default_factory=list)


def row_lines(rows: list[Row], indent: int = 0) -> list[Line]:
    """Rows of an explanation as lines of the talk."""
    return [Line("aside" if r.aside else "text", r.text, indent + 2 * r.indent) for r in rows]


def explain_judged(consultation: Consultation, explain: str | None, asked: str | None) -> Explained:
    """Explains every finding for whom it is wanted, and why one thing was not found.

    explain: one of exports.explaining.MANNERS. asked: the name of a rule, or an item; words that
    are neither are not guessed at: what is like them is named in a fault.
    """
    explained = Explained()
    if explain is not None:
        _each_finding(consultation, explain, explained)
    if asked is not None:
        meant = nearest_rules(consultation, asked)
        sure = [one for one in meant if one.sure]
        if sure:
            _not_found(consultation, explain or "novice", sure, explained)
        else:
            explained.data["why_not"] = []
            explained.faults.append({"line": None, "text": _unknown(asked, meant)})
    return explained


def _each_finding(consultation: Consultation, manner: str, explained: Explained) -> None:
    explained.lines.append(Line("title", f"How each came about, for a {manner}"))
    data: list[dict[str, Any]] = []
    for finding in consultation.findings:
        rows = MANNERS[manner](consultation, trail_of(consultation, finding.rule.rule, finding.at))
        explained.lines += [*row_lines(rows, 2), Line("blank")]
        data.append({"rule": finding.rule.rule, "at": finding.at, "rows": _texts(rows)})
    if not data:
        explained.lines.append(Line("text", "Nothing was found.", 2))
    explained.data["explained_for"] = manner
    explained.data["explanations"] = data
    if manner == "trainer":
        rows = trainer_more(consultation)
        explained.lines += row_lines(rows, 2)
        explained.data["asked_next_and_nearly_fired"] = _texts(rows)


def _not_found(
    consultation: Consultation, manner: str, sure: list[Meant], explained: Explained
) -> None:
    explained.lines.append(Line("title", "Why not"))
    data: list[dict[str, Any]] = []
    for one in sure:
        node = why_not(consultation, one.rule.rule, one.at)
        rows = MANNERS[manner](consultation, node)
        explained.lines += [*row_lines(rows, 2), Line("blank")]
        asks = [{"question": q, "at": at} for q, at in missing_under(node)]
        data.append({**trail_data(node), "would_tell": asks, "rows": _texts(rows)})
    explained.data["why_not"] = data


def _texts(rows: list[Row]) -> list[str]:
    return ["  " * row.indent + row.text for row in rows]


def _unknown(asked: str, meant: list[Meant]) -> str:
    text = f"--why-not {asked!r} is neither the name of a rule nor an item."
    like = "; ".join(f"{one.rule.rule} ({one.rule.say.rstrip('.')})" for one in meant)
    return f"{text} Did you mean: {like}?" if like else text
