"""What may be typed after `sidelight teach`. Light: it is loaded at every start."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from pathlib import Path
from typing import Any


def add_output(parser: argparse.ArgumentParser) -> None:
    """Adds the options that say where a file goes."""
    parser.add_argument("-o", "--output", help="file to write, or - for standard output")
    parser.add_argument("--force", action="store_true", help="replace a file of another sort too")


def add_teach(commands: Any, common: Callable[[argparse.ArgumentParser], None]) -> None:
    """Adds the command to the parser of the command line."""
    teach = commands.add_parser(
        "teach",
        help="replay a case with the reasoning beside it, for a lesson",
        description="Replays a demo or a record turn by turn: what is known, the rules in the "
        "order they fired, rules one condition short, the plan, causes with their shares, and "
        "urgency. Learners predict before the conclusion is shown. Without a case the demos are "
        "listed.",
        epilog="Example: sidelight teach grinding-brakes --class monday.jsonl",
    )
    teach.add_argument("case", nargs="?", help="a demo by name or number, or a record")
    teach.add_argument("--live", action="store_true", help="an ordinary talk, with its reasoning")
    teach.add_argument(
        "--class", dest="class_file", type=Path, metavar="FILE", help="file for the predictions"
    )
    teach.add_argument("--scores", action="store_true", help="show how the class has done")
    teach.add_argument("--sheet", action="store_true", help="write the case as a handout")
    teach.add_argument("--answers", action="store_true", help="the handout with its answers")
    teach.add_argument("--format", choices=["html", "md"], default="html")
    add_output(teach)
    teach.add_argument("--car", help="for --live: the car's name", default=argparse.SUPPRESS)
    teach.add_argument(
        "--plain", action="store_true", default=argparse.SUPPRESS, help="no colour, no clearing"
    )
    common(teach)
