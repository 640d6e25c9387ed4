"""The list of questions, so that an answers file can be written without reading code."""

from __future__ import annotations

from typing import Any

from assistant.ruleset.ruleset import Ruleset


def question_list(ruleset: Ruleset) -> list[dict[str, Any]]:
    """Every question as data: its kind, its parts, its choices, its unit and range."""
    rows: list[dict[str, Any]] = []
    for name, q in ruleset.questions.items():
        stage = ruleset.places[q.place].stage
        row: dict[str, Any] = {
            "question": name,
            "under": "car" if stage == "start" else "answers",
            "ask": q.ask,
            "label": q.label,
            "kind": q.kind,
            "system": ruleset.system_of[name],
            "place": q.place,
            "asked": q.asked,
            "safety": q.safety,
            "applies": q.applies,
            "parts": [at for at in ruleset.members(q.each) if at],
            "also": ["don't know", "can't look", *(["not fitted"] if q.not_fitted else [])],
        }
        if q.kind == "yes_no":
            row["answers"] = {"yes": "yes", "no": "no"}
        elif q.choices:
            row["answers"] = {word: choice.say for word, choice in q.choices.items()}
        if q.kind == "some_of":
            row["none"] = "none"
        if q.unit:
            row["unit"] = q.unit
        if q.range:
            row["range"] = list(q.range)
            row["step"] = q.step
        rows.append(row)
    return rows


def question_text(ruleset: Ruleset) -> str:
    """The same list for people."""
    rows: list[str] = []
    for row in question_list(ruleset):
        rows.append(f"{row['question']}  ({row['kind']}, {row['place']})")
        rows.append(f"    {row['ask']}")
        if row["parts"]:
            rows.append(f"    one answer for each of: {', '.join(row['parts'])}")
        for word, say in row.get("answers", {}).items():
            rows.append(f"      {word}: {say}" if word != say else f"      {word}")
        if "range" in row:
            low, high = row["range"]
            rows.append(f"    a number from {low:g} to {high:g} {row.get('unit', '')}".rstrip())
        rows.append(f"    also: {', '.join(row['also'])}")
    return "\n".join(rows) + "\n"
