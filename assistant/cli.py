"""What a person types at the shell. Thin: every command is a few calls to the rooms below."""

from __future__ import annotations

import argparse
import contextlib
import datetime as dt
import os
import signal
import sys
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any, NoReturn

import platformdirs

from assistant import __version__
from assistant.authoring.command import add_rules, run_rules
from assistant.errors import (
    DONE,
    FAULT,
    FOUND,
    MISUSE,
    InputError,
    JournalError,
    OwnFault,
    RulesetError,
)
from assistant.journal.exported import is_another, write_private
from assistant.journal.paths import keep_private, make_private_folder
from assistant.talk.asking import PlainAsker
from assistant.teaching.command import add_output, add_teach, teach

DEFAULT_RULESET = "gb-cars"


class _Parser(argparse.ArgumentParser):
    """An argument parser that says what is wrong in one plain sentence."""

    def error(self, message: str) -> NoReturn:
        sys.stderr.write(f"sidelight: {message}. Try: {self.prog} --help\n")
        sys.exit(MISUSE)


def build_parser() -> argparse.ArgumentParser:
    """The whole command line."""
    parser = _Parser(
        prog="sidelight",
        description="A walk round your own car before its yearly inspection: one plain question "
        "at a time. It ends with what would fail, how urgent each thing is, whether the car may "
        "be driven, and a sheet for the garage.",
        epilog="Example: sidelight      (starts, or picks up where you left off)",
    )
    parser.add_argument("--version", action="version", version=f"sidelight {__version__}")
    parser.add_argument("--plain", action="store_true", help="no colour and no line editing")
    parser.add_argument("--car", help="the car's number plate or name")
    parser.add_argument("--new", action="store_true", help="start anew, even if one is unfinished")
    parser.add_argument(
        "--ruleset", default=None, help=f"name or folder of a ruleset (default {DEFAULT_RULESET})"
    )
    parser.add_argument("--records", type=Path, help="folder for the records")
    commands = parser.add_subparsers(dest="command", metavar="COMMAND", parser_class=_Parser)

    judge = commands.add_parser(
        "judge",
        help="judge answers from files, without a talk",
        description="Judges answers from YAML or JSON files, JSON lines, records or JSON sheets.",
        epilog="Example: sidelight judge --json answers.yaml      Exit code: 0 nothing would fail, "
        "1 something would fail or the car must not be driven, 2 a bad file, 3 our own fault.",
    )
    judge.add_argument("files", nargs="+", metavar="FILE", help="a file, or - for standard input")
    judge.add_argument("--json", action="store_true", help="one JSON result a line")
    judge.add_argument(
        "--explain",
        choices=["novice", "trainer", "garage"],
        metavar="FOR",
        help="explain each finding, for a novice, a trainer or a garage",
    )
    judge.add_argument(
        "--why-not", metavar="RULE_OR_ITEM", help="say why a rule, or an item, was not found"
    )
    judge.add_argument(
        "--summary",
        nargs="?",
        const="table",
        choices=["table", "csv"],
        help="only count: how many, the headlines, the commonest findings",
    )
    judge.add_argument("--exit-zero", action="store_true", help="exit 0 whatever is found")
    _common(judge)

    sheet = commands.add_parser(
        "sheet",
        help="write the sheet for the garage",
        description="Writes the sheet of a consultation as HTML, Markdown or JSON: two pages, "
        "the first for whoever has a minute. What you add for the garage is kept with the record.",
        epilog="Example: sidelight sheet --open --wanted price --phone '07700 900123'",
    )
    sheet.add_argument(
        "record", nargs="?", type=Path, help="a record or an answers file (default: the newest)"
    )
    sheet.add_argument("--format", choices=["html", "md", "json"], default="html")
    sheet.add_argument("--full", action="store_true", help="also how each thing came about")
    sheet.add_argument("--open", action="store_true", help="show it in a browser")
    sheet.add_argument(
        "--without",
        type=_parts,
        default=frozenset(),
        metavar="PARTS",
        help=f"leave out any of {', '.join(_LEFT_OUT)}; not what stands in your own words",
    )
    sheet.add_argument("--wanted", help="mend, price (look and tell me the price first), or words")
    for about in ("model", "miles", "name", "phone"):
        sheet.add_argument(f"--{about}", help=f"add for the garage: {about}")
    sheet.add_argument(
        "--verify", type=Path, metavar="FILE", help="judge a JSON sheet anew, and compare all of it"
    )
    add_output(sheet)
    sheet.add_argument("--car", help="the car's number plate or name", default=argparse.SUPPRESS)
    _common(sheet)

    card = commands.add_parser(
        "card",
        help="write the walk as a card to take outside",
        description="Writes the walk for this car with boxes to tick, to print on two sides or to "
        "tap on a phone. Back at the keyboard start sidelight, type card, then what was ticked.",
        epilog="Example: sidelight card --format html -o card.html",
    )
    card.add_argument("record", nargs="?", type=Path, help="a record (default: the newest)")
    card.add_argument("--format", choices=["text", "md", "html"], default="text")
    card.add_argument("--minutes", type=_minutes, help="the time there is; the rest is left out")
    card.add_argument("--short", action="store_true", help="the first round only, on one side")
    add_output(card)
    card.add_argument("--car", help="the car's number plate or name", default=argparse.SUPPRESS)
    _common(card)

    add_teach(commands, _common)

    rules = commands.add_parser(
        "rules",
        help="look at a ruleset, or check it",
        description="For those who write rules.",
        epilog="Example: sidelight rules check",
    )
    kinds = rules.add_subparsers(dest="rules_command", metavar="WHAT", required=True,
                                 parser_class=_Parser)  # fmt: skip
    add_rules(kinds, _common)
    return parser


_LEFT_OUT = ("plate", "model", "miles", "name", "phone", "wanted")


def _parts(text: str) -> frozenset[str]:
    parts = frozenset(part.strip() for part in text.split(","))
    if unknown := ", ".join(sorted(parts - set(_LEFT_OUT))):
        raise argparse.ArgumentTypeError(f"{unknown!r} is none of {', '.join(_LEFT_OUT)}")
    return parts


def _minutes(text: str) -> float:
    try:
        value = float(text)
    except ValueError:
        value = -1.0
    if not 1 <= value <= 1000:
        raise argparse.ArgumentTypeError(f"{text!r} is not a number of minutes from 1 to 1000")
    return value


def _common(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--ruleset", default=argparse.SUPPRESS, help="name or folder of a ruleset")
    parser.add_argument(
        "--records", type=Path, default=argparse.SUPPRESS, help="folder for the records"
    )


def run(arguments: Sequence[str]) -> int:
    """Runs one command. Returns 0 done, 1 found something, 2 misuse, 3 a fault of ours."""
    _open_streams()
    try:
        options = build_parser().parse_args(list(arguments))
    except SystemExit as leaving:
        _flush()
        return leaving.code if isinstance(leaving.code, int) else MISUSE
    command: dict[str | None, Callable[[argparse.Namespace], int]] = {
        None: _talk,
        "judge": _judge,
        "sheet": _sheet,
        "card": _card,
        "teach": _teach,
        "rules": _rules,
    }
    try:
        code = command[options.command](options)
        _flush()
        return code
    except BrokenPipeError:
        _flush()
        return DONE
    except KeyboardInterrupt:
        sys.stderr.write("\nStopped. Everything that was answered is kept.\n")
        return MISUSE
    except OSError as error:
        _drop_output()
        _complain(f"This could not be written: {error.strerror}.")
        return MISUSE
    except RulesetError as error:
        _complain(f"The ruleset has mistakes:\n{error}")
        return MISUSE
    except InputError as error:
        _complain(str(error))
        return MISUSE
    except OwnFault as error:
        _complain(f"A fault of this program, not of yours: {error}")
        return FAULT
    except Exception as error:
        return _own_fault(error, options)


def _open_streams() -> None:
    """Gives every closed stream a place to go, and never stops at a letter it cannot write."""
    for name, mode in (("stdin", "r"), ("stdout", "w"), ("stderr", "w")):
        stream = getattr(sys, name)
        if stream is None:
            setattr(sys, name, open(os.devnull, mode, encoding="utf-8"))  # noqa: PTH123, SIM115
        elif mode == "w" and hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")


def _flush() -> None:
    """Writes out what is left; a reader who has gone is no fault."""
    try:
        sys.stdout.flush()
    except BrokenPipeError:
        _drop_output()


def _drop_output() -> None:
    """Lets what could not be written go, so that nothing tries again at the very end."""
    with contextlib.suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _own_fault(error: Exception, options: argparse.Namespace) -> int:
    """Says a fault of ours plainly and keeps the details in a file for a report."""
    import traceback

    path = _home(options) / "last-fault.txt"
    try:
        make_private_folder(path.parent)
        write_private(path, traceback.format_exc())
        where = f" The details are in {path}."
    except OSError:
        where = ""
    _complain(
        f"A fault of this program, not of yours ({type(error).__name__}).{where} "
        "Answers that were given are kept."
    )
    return FAULT


def _complain(text: str) -> None:
    shown = "".join(c if c.isprintable() or c == "\n" else " " for c in text)
    encoding = getattr(sys.stderr, "encoding", None) or "utf-8"
    sys.stderr.write(f"sidelight: {shown}\n".encode(encoding, "replace").decode(encoding))


def _home(options: argparse.Namespace) -> Path:
    if getattr(options, "records", None):
        return Path(options.records)
    if os.environ.get("SIDELIGHT_RECORDS"):
        return Path(os.environ["SIDELIGHT_RECORDS"])
    own = platformdirs.user_data_path("sidelight", appauthor=False)
    keep_private(own)  # the first versions left it open to read
    return own


def _ruleset(name: str | None) -> Any:
    """A ruleset by name or folder. Raises InputError where there is none."""
    return _loaded(_ruleset_folder(name))


def _ruleset_folder(name: str | None) -> Path:
    """The folder of a ruleset. Raises InputError where there is none."""
    wanted = name or DEFAULT_RULESET
    folder = Path(wanted)
    if "/" not in wanted and os.sep not in wanted and not (folder / "ruleset.yaml").exists():
        folder = _rulesets_folder() / wanted
    if not (folder / "ruleset.yaml").is_file():
        known = ", ".join(sorted(p.parent.name for p in _rulesets_folder().glob("*/ruleset.yaml")))
        raise InputError(f"There is no ruleset {wanted!r}. Known here: {known}.")
    return folder


def _rulesets_folder() -> Path:
    """Where the rulesets of this installation are."""
    here = Path(__file__).resolve().parent
    inside = here / "rulesets"
    return inside if inside.is_dir() else here.parent / "rulesets"


def _loaded(folder: Path) -> Any:
    from assistant.reasoning.compiler import compiled_or_none
    from assistant.ruleset.load import load_ruleset

    cache = platformdirs.user_cache_path("sidelight", appauthor=False)
    return load_ruleset(folder, cache, compiled_or_none)


# the talk -------------------------------------------------------------------------------


def _talk(options: argparse.Namespace) -> int:
    from assistant.talk.first_screen import open_talk

    _end_cleanly()
    folder = _ruleset_folder(options.ruleset)
    return open_talk(
        lambda: _loaded(folder),
        _asker(options.plain),
        _home(options),
        today=dt.date.today(),
        car=options.car,
        new=options.new,
        records=options.records,
    )


def _end_cleanly() -> None:
    """Leaves the terminal as it was where the window is closed or the program is told to end.

    Every answer is on the disk already, so nothing else is to be done then.
    """
    put_back = _terminal_as_it_is()

    def gone(number: int, frame: object) -> NoReturn:
        with contextlib.suppress(Exception):
            put_back()
        os._exit(128 + number)

    for name in ("SIGHUP", "SIGTERM"):
        if hasattr(signal, name):
            signal.signal(getattr(signal, name), gone)


def _terminal_as_it_is() -> Callable[[], None]:
    """What puts the terminal back to how it is now; nothing where there is none."""
    try:
        import termios

        keys, screen = sys.stdin.fileno(), sys.stdout.fileno()
        now = termios.tcgetattr(keys)
    except (ImportError, OSError, ValueError, termios.error):
        return lambda: None

    def put_back() -> None:
        termios.tcsetattr(keys, termios.TCSANOW, now)
        if os.isatty(screen) and os.environ.get("TERM", "dumb") not in ("", "dumb", "unknown"):
            os.write(screen, b"\x1b[?2004l\x1b[?25h\x1b[0m\r\n")  # paste mode off, cursor on

    return put_back


def _asker(plain: bool) -> Any:
    term = os.environ.get("TERM", "")
    if plain or term in ("", "dumb", "unknown") or not (sys.stdin.isatty() and sys.stdout.isatty()):
        return PlainAsker()
    from assistant.talk.terminal import TerminalAsker

    return TerminalAsker()


def _teach(options: argparse.Namespace) -> int:
    _end_cleanly()
    return teach(options, _ruleset, _asker, _home(options), _write)


# judging --------------------------------------------------------------------------------


def _rulesets_named(options: argparse.Namespace) -> Callable[[str | None], Any]:
    """Rulesets by the name that a file has, or by the one that was given instead; each once."""
    loaded: dict[str, Any] = {}

    def named(name: str | None) -> Any:
        wanted = getattr(options, "ruleset", None) or name or DEFAULT_RULESET
        if wanted not in loaded:
            loaded[wanted] = _ruleset(wanted)
        return loaded[wanted]

    return named


def _judge(options: argparse.Namespace) -> int:
    from assistant.batch.judge import Judge

    judge = Judge(
        _rulesets_named(options), dt.date.today(), options.json, options.explain, options.why_not
    )
    worst = DONE
    try:
        with _progress(judge, sys.stdout.isatty() and not options.summary):
            for path in options.files:
                out = None if options.summary else sys.stdout
                worst = max(worst, judge.file(path, out, _complain))
    except KeyboardInterrupt:
        count = judge.summary.count
        _complain(f"Stopped after {count} of them. What was written before that is whole.")
        worst = MISUSE
    if options.summary:
        judge.summary.write(sys.stdout, options.summary)
    return DONE if options.exit_zero and worst == FOUND else worst


@contextlib.contextmanager
def _progress(judge: Any, shows_results: bool) -> Iterator[None]:
    """How many are judged, on a terminal that does not also show the results."""
    if not sys.stderr.isatty() or shows_results:
        yield
        return
    from rich.console import Console
    from rich.progress import Progress, TextColumn, TimeElapsedColumn

    columns = TextColumn("{task.completed:.0f} judged"), TimeElapsedColumn()
    with Progress(*columns, console=Console(stderr=True), transient=True) as shown:
        task = shown.add_task("", total=None)
        judge.tell = lambda count: shown.update(task, completed=count)
        yield


# exports --------------------------------------------------------------------------------


def _record(options: argparse.Namespace) -> tuple[Path, list[Any]]:
    """The journal that is meant: the one named, or the newest of the car."""
    from assistant.journal.file import Stored, list_journals, read_journal

    if options.record is not None:
        return options.record, read_journal(options.record)
    for stored in list_journals(_home(options), getattr(options, "car", None)):
        if isinstance(stored, Stored):
            return stored.path, list(stored.entries)
        _complain(str(stored))
    raise JournalError(f"There is no record in {_home(options)} yet. Start one with: sidelight")


def _sheet(options: argparse.Namespace) -> int:
    from assistant.reasoning.consultation import consult
    from assistant.report.sheet import sheet, without

    if options.verify is not None:
        return _verify(options)
    path, journal, ruleset = _to_write(options)
    journal = without(_noted(options, path, journal), options.without)
    text = sheet(consult(ruleset, journal), journal, options.format, options.full)
    car = "" if "plate" in options.without else f"{path.parent.name}-"
    output = options.output or f"sheet-{car}{path.stem}.{options.format}"
    code = _write(output, text, options.force)
    if options.open and output != "-":
        import webbrowser

        webbrowser.open(Path(output).resolve().as_uri())
    return code


def _to_write(options: argparse.Namespace) -> tuple[Path, list[Any], Any]:
    """The path, the journal and the ruleset of a record, an answers file or a JSON sheet."""
    if options.record is None or options.record.suffix == ".jsonl":
        path, journal = _record(options)
        return path, journal, _ruleset(options.ruleset or journal[0].ruleset)
    from assistant.batch.answers_file import AnswersReader, read_text
    from assistant.batch.judge import Judge

    named = _rulesets_named(options)
    given = next(AnswersReader(named, dt.date.today()).read(*read_text(str(options.record))))
    if complaints := Judge(named, dt.date.today(), False).one(given).complaints:
        _complain(complaints)
    if not given.journal:
        raise InputError(f"{options.record} has nothing that can be judged.")
    return options.record, given.journal, named(given.ruleset)


def _noted(options: argparse.Namespace, path: Path, journal: list[Any]) -> list[Any]:
    """The journal with what is to be added for the garage, kept where it is a record."""
    from assistant.journal.entries import LONGEST_NOTE, NOTES, Noted
    from assistant.journal.file import JournalFile
    from assistant.reading.text import clean

    turn = max(entry.turn for entry in journal) + 1
    given = {about: getattr(options, about) for about in NOTES if getattr(options, about)}
    for about, words in given.items():
        if len(words) > LONGEST_NOTE:
            raise InputError(f"--{about} has {len(words)} letters, and can have {LONGEST_NOTE}.")
    added = [Noted(turn=turn, about=about, words=clean(words)) for about, words in given.items()]
    if added and path.suffix == ".jsonl":
        with JournalFile.open(path) as kept:
            kept.append(list(added))
    return [*journal, *added]


def _verify(options: argparse.Namespace) -> int:
    from assistant.batch.answers_file import AnswersReader, read_text
    from assistant.batch.verify import differences, verdict

    named = _rulesets_named(options)
    given = next(AnswersReader(named, dt.date.today()).read(*read_text(str(options.verify))))
    if given.claimed is None:
        raise InputError(f"{options.verify} is no JSON sheet. Write one with --format json.")
    found = differences(given, named(given.ruleset))
    sys.stdout.write("\n".join(verdict(found, given.label)) + "\n")
    return FOUND if found else DONE


def _card(options: argparse.Namespace) -> int:
    from assistant.report.card import card

    path, journal = _record(options)
    ruleset = _ruleset(options.ruleset or journal[0].ruleset)
    text = card(ruleset, journal, options.format, options.minutes, options.short)
    ending = {"text": "txt", "md": "md", "html": "html"}[options.format]
    name = f"card-{path.parent.name}-{path.stem}.{ending}"
    return _write(options.output or name, text, options.force)


def _write(path: str, text: str, force: bool) -> int:
    """Writes what was exported. force: also over a file of another sort, without a question."""
    if path == "-":
        sys.stdout.write(text)
        return DONE
    if not force and is_another(Path(path)):
        _ask_to_replace(path)
    try:
        write_private(Path(path), text)
    except OSError as error:
        raise InputError(f"{path} cannot be written: {error.strerror}.") from error
    print(f"Written: {path}")
    return DONE


def _ask_to_replace(path: str) -> None:
    """Asks once on a terminal. Raises InputError where the file is to stay."""
    there = f"{path} is there already, and this program did not write it."
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        raise InputError(f"{there} --force replaces it.")
    sys.stdout.write(f"{there}\nReplace it? (yes or no) > ")
    sys.stdout.flush()
    if sys.stdin.readline().strip().casefold() not in ("y", "yes"):
        raise InputError(f"{path} is left as it was. Nothing was written.")


# rulesets -------------------------------------------------------------------------------


def _rules(options: argparse.Namespace) -> int:
    return run_rules(options, _ruleset, _record, _write)
