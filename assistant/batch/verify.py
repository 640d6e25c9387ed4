"""Whether a JSON sheet says what its own record comes to: every part of it, worked out anew."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from assistant.batch.answers_file import AnswersGiven
from assistant.reasoning.consultation import consult
from assistant.report.pages import json_text
from assistant.report.sheet import sheet_data
from assistant.ruleset.grammar import plural
from assistant.ruleset.ruleset import Ruleset

SHOWS = (
    "This shows whether the conclusions follow from the answers. It does not show that the answers "
    "are true."
)
_MOST_SHOWN, _LONGEST = 20, 60
_CALLED = {
    "findings": "finding", "answers_by_place": "answer", "not_known": "answer", "journal": "record",
    "deadlines": "date", "today": "date", "begun": "date", "notices": "notice", "causes": "cause",
}  # fmt: skip
_NAMED_BY = ("rule", "question", "cause", "symptom", "item", "kind")


def differences(given: AnswersGiven, ruleset: Ruleset) -> list[str]:
    """What a sheet says otherwise than its record, each by name; none where it is the same."""
    claimed = dict(given.claimed or {})
    now = json.loads(json_text(sheet_data(consult(ruleset, given.journal), given.journal)))
    made_by, is_by = claimed.pop("ruleset_digest", ""), now.pop("ruleset_digest")
    found = []
    if made_by != is_by:
        found.append(f"rules: the sheet names version {str(made_by)[:12]}, here is {is_by[:12]}")
    for key in dict.fromkeys([*claimed, *now]):
        name = _CALLED.get(key, key.replace("_", " "))
        if key not in now:
            found.append(f"unknown part {key!r}: no sheet of ours has it")
        elif key not in claimed:
            found.append(f"{name}: the part {key!r} is left out")
        else:
            found += _differ(name, claimed[key], now[key])
    return found


def _differ(name: str, claimed: Any, now: Any) -> Iterator[str]:
    """The places below a name where two pieces of JSON differ."""
    if isinstance(claimed, dict) and isinstance(now, dict):
        for key in dict.fromkeys([*claimed, *now]):
            yield from _differ(f"{name}, {key}", claimed.get(key), now.get(key))
    elif isinstance(claimed, list) and isinstance(now, list):
        there, here = _by_name(claimed), _by_name(now)
        for key in dict.fromkeys([*there, *here]):
            if key not in here:
                yield f"{name} {key}: it does not follow from the answers"
            elif key not in there:
                yield f"{name} {key}: the sheet leaves it out"
            else:
                yield from _differ(f"{name} {key}", there[key], here[key])
    elif claimed != now or type(claimed) is not type(now):
        yield f"{name}: the sheet has {_shown(claimed)}, worked out anew it is {_shown(now)}"


def _by_name(rows: list[Any]) -> dict[str, Any]:
    """The rows of a list by what they are about, or by their own words; else by their number."""
    named: dict[str, Any] = {}
    for number, row in enumerate(rows, start=1):
        said = row if isinstance(row, str) else ""
        if isinstance(row, dict):
            said = str(next((row[key] for key in _NAMED_BY if row.get(key)), ""))
            said += f" at {row['at']}" if row.get("at") else ""
        key = _shown(said) if said else str(number)
        named[f"{key} ({number})" if key in named else key] = row
    return named


def _shown(value: Any) -> str:
    words = value if isinstance(value, str) else json_text(value)
    words = words if len(words) <= _LONGEST else f"{words[:_LONGEST]}..."
    return f"'{words}'"


def verdict(found: list[str], label: str) -> list[str]:
    """What came of it, in lines: the verdict, each difference, and what it shows."""
    if not found:
        return [f"{label}: the same.", SHOWS]
    more = len(found) - _MOST_SHOWN
    rows = [f"{label}: NOT the same, {plural(len(found), 'difference')}."]
    if found[0].startswith("rules:"):
        rows.append("It was made by another version of the rules. By the rules here it differs:")
    rows += [f"- {one}" for one in found[:_MOST_SHOWN]]
    return [*rows, *([f"- and {more} more"] if more > 0 else []), SHOWS]
