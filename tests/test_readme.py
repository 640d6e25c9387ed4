"""What the README promises is true: its commands, its example, its table."""

from __future__ import annotations

import datetime as dt
import re
from pathlib import Path

from assistant.batch.answers_file import AnswersReader
from assistant.cli import build_parser
from assistant.reasoning.consultation import consult
from assistant.ruleset.ruleset import Ruleset

ROOT = Path(__file__).resolve().parent.parent
README = (ROOT / "README.md").read_text()
INSTALL = (
    "python3 -m venv .venv && CPPFLAGS=-DPyEval_CallObject=PyObject_CallObject "
    ".venv/bin/pip install --quiet "
)


def indented(start: str) -> str:
    """The indented block that begins with a line."""
    rows = README.split("\n")
    first = next(i for i, row in enumerate(rows) if row.strip().startswith(start))
    block: list[str] = []
    for row in rows[first:]:
        if not row.startswith("    "):
            break
        block.append(row[4:])
    return "\n".join(block) + "\n"


def test_the_first_paragraph_says_what_the_job_is() -> None:
    paragraph = README.split("\n\n")[1]
    for word in (
        "before its yearly roadworthiness inspection",
        "one plain question",
        "may be driven",
    ):
        assert word in paragraph.replace("\n", " ")


def test_the_two_commands_stand_there_whole() -> None:
    assert f"    {INSTALL}. && .venv/bin/sidelight\n" in README
    assert f"    {INSTALL}--editable '.[test]' && .venv/bin/python -m pytest\n" in README


def test_ci_runs_the_readmes_own_test_command() -> None:
    pattern = r"^    (python3 -m venv .*-m pytest)$"
    assert len(re.findall(pattern, README, re.M)) == 1
    assert "README.md" in (ROOT / ".ci" / "run").read_text()


def test_the_example_of_an_answers_file_has_no_faults(gb_cars: Ruleset) -> None:
    text = indented("today: 2026-11-25")
    (given,) = AnswersReader(lambda name: gb_cars, dt.date(2026, 1, 1)).read("README", text)
    assert given.faults == []
    result = consult(gb_cars, given.journal)
    assert result.state.context.today == dt.date(2026, 11, 25)
    assert result.urgency.value == "do_not_drive"
    assert len(result.state.context.earlier) == 1


def test_every_command_is_in_the_table_and_has_an_example() -> None:
    parser = build_parser()
    actions = [a for a in parser._actions if getattr(a, "choices", None)]
    commands = dict(actions[0].choices)
    rules = next(a for a in commands["rules"]._actions if getattr(a, "choices", None))
    names = [n for n in commands if n != "rules"] + [f"rules {n}" for n in rules.choices]
    for name in names:
        assert f"`sidelight {name}" in README, name
    for command in [*commands.values(), *rules.choices.values()]:
        assert "Example: sidelight" in (command.epilog or ""), command.prog


def test_every_option_of_the_talk_is_in_the_table() -> None:
    for action in build_parser()._actions:
        for option in action.option_strings:
            if option.startswith("--") and option not in ("--help", "--version", "--ruleset"):
                assert option in README, option
