"""How much of the standard the rules account for, row by row."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from assistant.ruleset.ruleset import Ruleset

STATES = ("decided", "not a defect", "tester only", "left out", "missing")


@dataclass(frozen=True)
class Row:
    """One row of the standard and what becomes of it.

    state: "decided" (rules judge it), "not a defect" (cases show that nothing fires),
    "tester only" (for the station), "left out" (an owner could see it, and the row says why it is
    not asked), or "missing". by: the rules, or the texts.
    """

    row: str
    result: str
    owner: str
    state: str
    by: tuple[str, ...]


def cover(ruleset: Ruleset) -> list[Row]:
    """Every row of standard.yaml, in its order."""
    decided: dict[str, list[str]] = {}
    quiet: dict[str, list[str]] = {}
    tester: dict[str, list[str]] = {}
    for file in ruleset.systems.values():
        for rule in file.rules:
            row = rule.row or (rule.finds and (rule.finds.row or rule.finds.item))
            if row:
                decided.setdefault(row, []).append(rule.rule)
        for case in file.not_defects:
            quiet.setdefault(case.row or case.item, []).append(case.what)
        for only in file.tester_only:
            tester.setdefault(only.row or only.item, []).append(only.what)
    found: list[Row] = []
    for row, standard in ruleset.standard.items():
        for state, table in (
            ("decided", decided), ("not a defect", quiet), ("tester only", tester)
        ):  # fmt: skip
            if row in table:
                found.append(Row(row, standard.result, standard.owner, state, tuple(table[row])))
                break
        else:
            state = "tester only" if standard.owner == "no" else "left out"
            by = (standard.left,) if standard.left else ()
            state = state if by else "missing"
            found.append(Row(row, standard.result, standard.owner, state, by))
    return found


def cover_counts(rows: list[Row]) -> list[str]:
    """How many rows of our table have each state: of each section of the standard, and of all."""
    sections: dict[str, Counter[str]] = {}
    for row in rows:
        sections.setdefault(row.row.partition(".")[0], Counter())[row.state] += 1
    named = [*((f"Section {name}", counts) for name, counts in sections.items())]
    named.append(("All sections", sum(sections.values(), Counter())))
    return [
        f"{name}: {counts.total()} rows. "
        + ", ".join(f"{counts[state]} {state}" for state in STATES if counts[state])
        + "."
        for name, counts in named
    ]


def cover_problems(ruleset: Ruleset) -> list[str]:
    """What is missing, or does not agree with the standard: one sentence each."""
    problems: list[str] = []
    for row in cover(ruleset):
        if row.state != "missing" and ruleset.standard[row.row].left not in (None, *row.by):
            problems.append(f"{row.row}: it says why it is left out, but it is {row.state}.")
        if row.state == "missing":
            problems.append(f"{row.row}: no rule decides it.")
        if row.state == "tester only" and row.owner != "no":
            problems.append(f"{row.row}: an owner can see it, but it is left to the tester.")
        if row.state == "not a defect" and row.result != "pass":
            problems.append(f"{row.row}: it is shown as no defect, but its result is {row.result}.")
    for file in ruleset.systems.values():
        for rule in file.rules:
            if rule.finds is None:
                continue
            key = rule.finds.row or rule.finds.item
            standard = ruleset.standard.get(key)
            if standard is not None and standard.result != rule.finds.category:
                problems.append(
                    f"{key}: {rule.rule} says {rule.finds.category}, "
                    f"the standard says {standard.result}."
                )
    return problems
