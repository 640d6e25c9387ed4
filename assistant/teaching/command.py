"""`sidelight teach`: its options, and what is done for them.

Light, as it is loaded at every start: what a lesson needs is imported when it begins.
"""

from __future__ import annotations

import argparse
import datetime as dt
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from assistant.errors import DONE, InputError
from assistant.report.lines import Line
from assistant.ruleset.grammar import plural
from assistant.talk.asking import Asker
from assistant.teaching.demos import Case, demo_lines, demos, find_case

if TYPE_CHECKING:
    from assistant.journal.entries import Context, Entry
    from assistant.ruleset.ruleset import Ruleset


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


def teach(
    options: argparse.Namespace,
    ruleset: Callable[[str | None], Ruleset],
    asker: Callable[[bool], Asker],
    home: Path,
    write: Callable[[str, str, bool], int],
) -> int:
    """Does what the options say. Returns the exit code; raises InputError for misuse."""
    from assistant.journal.file import read_journal

    _misuse(options)
    if options.scores:
        return _scores(options, asker(options.plain))
    if options.live:
        return _live(options, ruleset, asker(options.plain), home)
    if options.case is None:
        asker(True).show(demo_lines(demos()))
        return DONE
    case = find_case(options.case)
    journal = read_journal(case.path)
    rules = ruleset(options.ruleset or _context_of(journal).ruleset)
    if options.sheet:
        return _sheet(options, rules, case, journal, write)
    return _lesson(options, rules, case, journal, asker(options.plain))


def _misuse(options: argparse.Namespace) -> None:
    """Raises InputError where the options do not go together."""
    if options.scores and options.class_file is None:
        raise InputError("Say which class file. Try: sidelight teach --class FILE --scores")
    if options.live and options.case is not None:
        raise InputError("A live talk starts a new record. Leave out the case, or --live.")
    if options.live and options.class_file is not None:
        raise InputError("Predictions are of a case that is known. Leave out --class, or --live.")
    if options.sheet and options.case is None:
        raise InputError("Say which case. Try: sidelight teach grinding-brakes --sheet")
    if (options.answers or options.output or options.force) and not options.sheet:
        raise InputError("--answers, -o and --force belong to a handout. Add --sheet.")


def _context_of(journal: list[Entry]) -> Context:
    from assistant.journal.entries import Context

    first = journal[0]
    assert isinstance(first, Context)
    return first


def _scores(options: argparse.Namespace, asker: Asker) -> int:
    from assistant.journal.class_file import read_class, tallies
    from assistant.teaching.predicting import score_lines
    from assistant.teaching.screen import screen_of

    if not options.class_file.exists():
        raise InputError(f"There is no class file {options.class_file} yet.")
    asker.show(score_lines(tallies(read_class(options.class_file)), screen_of(asker)()))
    return DONE


def _live(
    options: argparse.Namespace, ruleset: Callable[[str | None], Ruleset], asker: Asker, home: Path
) -> int:
    from assistant.talk.first_screen import open_talk
    from assistant.teaching.live import LiveTalk

    rules = ruleset(options.ruleset)
    return open_talk(
        lambda: rules,
        asker,
        home,
        today=dt.date.today(),
        car=options.car,
        new=True,
        talk_class=LiveTalk,
        records=options.records,
    )


def _lesson(
    options: argparse.Namespace, rules: Ruleset, case: Case, journal: list[Entry], asker: Asker
) -> int:
    from assistant.journal.class_file import read_class
    from assistant.reasoning.inferring import engine_for
    from assistant.teaching.lesson import Lesson
    from assistant.teaching.replay import Replay
    from assistant.teaching.screen import screen_of

    if options.class_file is not None:
        read_class(options.class_file)  # a file of another sort is refused before the lesson
    engine_for(rules).prepare()
    if case.teaches == "":
        own = Line("aside", f"A record of your own: {case.path}")
        asker.show([own, *_other_rules(rules, journal)])
    Lesson(Replay(rules, journal), case, asker, screen_of(asker), options.class_file).run()
    return DONE


def _other_rules(rules: Ruleset, journal: list[Entry]) -> list[Line]:
    """Says so where a record was made with other rules than those it is shown by."""
    from assistant.reasoning.consultation import consult

    made = _context_of(journal)
    left = len(consult(rules, journal).misfits)
    lines = []
    if made.ruleset != rules.about.name:
        lines.append(f"It was made with the ruleset {made.ruleset}, and is shown by another.")
    elif made.digest and made.digest != rules.digest:
        lines.append("The rules have changed since it was made. It is shown by today's rules.")
    if left:
        lines.append(f"Left out, as it does not fit these rules: {plural(left, 'answer')}.")
    return [Line("text", text) for text in lines]


def _sheet(
    options: argparse.Namespace,
    rules: Ruleset,
    case: Case,
    journal: list[Entry],
    write: Callable[[str, str, bool], int],
) -> int:
    from assistant.teaching.handout import handout
    from assistant.teaching.replay import Replay

    replay = Replay(rules, journal)
    text: Any = handout(replay, options.format, case.title, case.teaches, options.answers)
    name = f"handout-{case.name}.{options.format}"
    return write(options.output or name, text, options.force)
