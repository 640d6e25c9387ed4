"""The commands `sidelight rules ...`: what they take, and what they print."""

from __future__ import annotations

import argparse
import json
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from assistant.errors import DONE, MISUSE

Load = Callable[[str | None], Any]
"""Gives a ruleset by its name or folder."""


def add_rules(kinds: Any, common: Callable[[argparse.ArgumentParser], None]) -> None:
    """Adds every command of `rules` to the command line. common: adds the options of all."""

    def command(name: str, help_: str, text: str, example: str) -> argparse.ArgumentParser:
        parser: argparse.ArgumentParser = kinds.add_parser(
            name, help=help_, description=text, epilog=f"Example: sidelight rules {example}"
        )
        common(parser)
        return parser

    def folder(parser: argparse.ArgumentParser) -> None:
        parser.add_argument("folder", nargs="?", help="name or folder of a ruleset")

    check = command(
        "check", "check a ruleset", "Checks a ruleset and says each mistake with its file, line "
        "and column. The quick checks compare rules with one another; --cases also runs every "
        "worked case, and changes every comparison to see that a case notices. --hazards only "
        "prints what each hazard forbids, and which checks are left out for it.",
        "check --cases rulesets/gb-cars",
    )  # fmt: skip
    folder(check)
    check.add_argument("--cases", action="store_true", help="run the worked cases too (slower)")
    check.add_argument(
        "--hazards", action="store_true", help="only print which checks each hazard leaves out"
    )
    cover = command(
        "cover", "print the standard item by item: decided, tester only, or missing",
        "Compares the rows of the standard with what the rules decide.", "cover",
    )  # fmt: skip
    folder(cover)
    order = command(
        "order", "how soon the walk would see what it can see, beside other orders",
        "Prints what is seen in 10, 15 and 25 minutes, by the ruleset's assumed starting guesses: "
        "the walk cut off, the plan for a named time, and the best that could be.",
        "order transcripts_demo/clean-car.jsonl",
    )  # fmt: skip
    order.add_argument("record", type=Path, help="a record, for the car in it")
    questions = command(
        "questions", "list every question with its places and answers",
        "Lists every question, where it is asked and what may be answered.", "questions --json",
    )  # fmt: skip
    folder(questions)
    questions.add_argument("--json", action="store_true", help="as JSON")
    explain = command(
        "explain", "say in plain words what a rule or a symptom does",
        "Says what fires a rule, what it concludes and opens, what it rests on, and its cases.",
        "explain pedal_sinks",
    )  # fmt: skip
    explain.add_argument("name", metavar="RULE", help="name of a rule or a symptom")
    command(
        "schema", "print the shape of the files as JSON Schema",
        "Prints one JSON Schema for all files of a ruleset, for an editor.",
        "schema > ruleset.schema.json",
    )  # fmt: skip
    new = command(
        "new", "print a correct rule to start from",
        "Prints a rule with its question and cases, ready to be changed. With -o it writes the "
        "whole file of the system with them in their places.",
        "new chip_too_wide --system visibility --figure",
    )  # fmt: skip
    new.add_argument("name", metavar="NAME", help="name of the rule: small letters, digits and _")
    new.add_argument("--system", metavar="FILE", required=True, help="the file it goes into")
    new.add_argument("--figure", action="store_true", help="a measured figure against a limit")
    new.add_argument("-o", "--output", help="file to write; it may be the file of the system")
    new.add_argument("--force", action="store_true", help="replace any other file too")
    diff = command(
        "diff", "compare two rulesets",
        "Says which rules, questions and limits differ, and which worked cases of either come "
        "out otherwise. Exit code: 0 whatever is found.",
        "diff my-old-rules my-new-rules",
    )  # fmt: skip
    diff.add_argument("old", metavar="OLD", help="name or folder of a ruleset")
    diff.add_argument("new", metavar="NEW", help="name or folder of a ruleset")
    doubts = command(
        "doubts", "list what is from memory or assumed, and what would settle it",
        "Lists every limit, rule, starting guess, weight, constant and date that was not read in "
        "a source, with its place. What is common practice is counted, and listed with --json.",
        "doubts",
    )  # fmt: skip
    folder(doubts)
    doubts.add_argument("--json", action="store_true", help="as JSON")


def run_rules(
    options: argparse.Namespace,
    load: Load,
    record: Callable[..., Any],
    write: Callable[[str, str, bool], int],
) -> int:
    """Runs one command. record: gives the path and the journal of the record that is meant."""
    name = getattr(options, "folder", None) or getattr(options, "ruleset", None)
    what = options.rules_command
    if what == "schema":
        return _schema()
    if what == "diff":
        return _diff(load(options.old), load(options.new))
    if what == "order":
        journal = record(options)[1]
        return _order(load(name or journal[0].ruleset), journal)
    started = time.perf_counter()
    ruleset = load(name)
    if what == "check" and options.hazards:
        return _hazards(ruleset)
    if what == "check":
        return _check(ruleset, options.cases, started)
    if what == "cover":
        return _cover(ruleset)
    if what == "questions":
        return _questions(ruleset, options.json)
    if what == "explain":
        from assistant.authoring.explain import explain

        print(explain(ruleset, options.name), end="")
        return DONE
    if what == "new":
        return _new(ruleset, options, write)
    return _doubts(ruleset, options.json)


def _check(ruleset: Any, cases: bool, started: float) -> int:
    from assistant.authoring.check.lowering import unlowered_lines
    from assistant.authoring.check.run import CASES, QUICK, problems_of
    from assistant.ruleset.kept import bytes_digest, files_of

    count = 0
    for check in (*QUICK, *CASES) if cases else QUICK:
        for place, text in problems_of(ruleset, check):
            count += 1
            print(f"{place}: {text}")
    if lines := unlowered_lines(ruleset):
        print("Dangers told that nothing an owner sees or remembers can lower, and why:")
        print("\n".join(lines))
    rules = [i.rule for i in ruleset.rules]
    number = sum(len(rule.cases) for rule in rules)
    if bytes_digest(files_of(ruleset.folder)) != ruleset.read:
        print("A file of these rules was saved while they were checked. Check them again.")
        return MISUSE
    run = "" if cases else " (not run; --cases runs them)"
    print(
        f"{ruleset.about.name}: {len(ruleset.questions)} questions, {len(rules)} rules, "
        f"{number} worked cases{run}, checked in {time.perf_counter() - started:.1f} seconds, "
        f"{count} problems."
    )
    return MISUSE if count else DONE


def _hazards(ruleset: Any) -> int:
    from assistant.authoring.check.act_checks import hazard_table

    print("\n".join(hazard_table(ruleset)) or "This ruleset lists no hazards.")
    return DONE


def _order(ruleset: Any, journal: Any) -> int:
    from assistant.choosing.order import TIMES, compare_orders

    rows = compare_orders(ruleset, journal)
    print("What is seen by then, from assumed starting guesses:")
    print(f"{'':22}" + "".join(f"{time:>8g} min" for time in TIMES))
    for of, shares in (("all failures", 0), ("what an owner can see", 1)):
        print(f"of {of}")
        for row in rows:
            seen = (row.of_all, row.of_seen)[shares]
            print(f"  {row.name:20}" + "".join(f"{share:>11.0%} " for share in seen))
    return DONE


def _cover(ruleset: Any) -> int:
    from assistant.authoring.check.cover import cover, cover_counts, cover_problems

    rows = cover(ruleset)
    for row in rows:
        print(f"{row.row:24} {row.result:11} {row.state:13} {'; '.join(row.by)}"[:200])
    print("\nThese are the rows of our own table, which may lack lines of the standard.")
    print("\n".join(cover_counts(rows)))
    if ruleset.not_read:
        print("Not read:\n- " + "\n- ".join(ruleset.not_read))
    problems = cover_problems(ruleset)
    for problem in problems:
        print(problem)
    return MISUSE if problems or not rows else DONE


def _questions(ruleset: Any, as_json: bool) -> int:
    from assistant.report.result import question_list, question_text

    if as_json:
        print(json.dumps(question_list(ruleset), indent=2, ensure_ascii=False))
    else:
        print(question_text(ruleset), end="")
    return DONE


def _schema() -> int:
    from assistant.authoring.starting import ruleset_schema

    print(json.dumps(ruleset_schema(), indent=2, ensure_ascii=False))
    return DONE


def _new(ruleset: Any, options: argparse.Namespace, write: Callable[[str, str, bool], int]) -> int:
    from assistant.authoring.starting import put_into, starting_rule, system_file

    path = system_file(ruleset, options.system)
    start = starting_rule(ruleset, options.name, "figure" if options.figure else "words")
    if options.output in (None, "-"):
        print(
            f"# For {path.name}. Put each piece at the end of its section, then change the words."
        )
        for section, piece in start.items():
            print(f"{section}:\n{piece}", end="")
        return DONE
    text = put_into(path.read_text(encoding="utf-8"), start)
    itself = Path(options.output).resolve() == path.resolve()
    return write(options.output, text, options.force or itself)


def _diff(old: Any, new: Any) -> int:
    from assistant.authoring.changes import compare_rulesets

    sys.stdout.flush()
    found = compare_rulesets(old, new)
    for part in found.parts:
        print(part)
    for case in found.cases:
        print(f"case of {case.case} ({case.answers})")
        for change in case.changes:
            print(f"    {change}")
    print(
        f"{len(found.parts)} parts differ; {found.cases_run} worked cases run in both, "
        f"{len(found.cases)} come out otherwise."
    )
    return DONE


def _doubts(ruleset: Any, as_json: bool) -> int:
    from assistant.authoring.doubts import doubt_counts, doubt_data, doubts
    from assistant.ruleset.models import Basis

    found = doubts(ruleset)
    if as_json:
        print(json.dumps([doubt_data(d) for d in found], indent=2, ensure_ascii=False))
        return DONE
    for doubt in found:
        if doubt.basis != Basis.PRACTICE.value:
            print(f"{doubt.place}: {doubt.kind} {doubt.name}, {doubt.basis}: {doubt.says}")
            for row in (doubt.decides, doubt.note, doubt.settle):
                if row:
                    print(f"    {row}")
    for basis, counts in doubt_counts(found).items():
        kinds = ", ".join(f"{count} {kind}" for kind, count in counts.items())
        print(f"{basis}: {counts.total()}{f' ({kinds})' if kinds else ''}")
    return DONE
