"""How much of the standard the rules account for, row by row."""

from __future__ import annotations

from dataclasses import dataclass

from assistant.ruleset.ruleset import Ruleset


@dataclass(frozen=True)
class Row:
    """One row of the standard and what becomes of it.

    state: "decided" (rules judge it), "not a defect" (cases show that nothing fires),
    "tester only" (listed for the station), or "missing". by: the rules, or the texts.
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
            found.append(Row(row, standard.result, standard.owner, "missing", ()))
    return found


def cover_problems(ruleset: Ruleset) -> list[str]:
    """What is missing, or does not agree with the standard: one sentence each."""
    problems: list[str] = []
    for row in cover(ruleset):
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
