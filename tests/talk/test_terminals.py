"""The three ways to show lines and read words: the rich terminal, the plain reader, no colour."""

from __future__ import annotations

import io
import re
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from prompt_toolkit import PromptSession
from prompt_toolkit.input import PipeInput, create_pipe_input
from prompt_toolkit.output import DummyOutput
from rich.cells import cell_len
from rich.console import Console

from assistant.journal.file import read_journal
from assistant.reading.text import clean
from assistant.reasoning.consultation import consult
from assistant.report.lines import PREFIX, Line
from assistant.report.prompts import help_lines
from assistant.report.summary import (
    summary_lines,
)
from assistant.ruleset.ruleset import Ruleset
from assistant.talk.asking import Left, PlainAsker, wrapped
from assistant.talk.terminal import STYLE, TerminalAsker
from tests.support.screen import environment
from tests.support.scripted import ScriptedAsker

DEMO = Path(__file__).resolve().parents[2] / "transcripts_demo" / "falling-brake-fluid.jsonl"
KINDS = [
    "title", "text", "place", "question", "choice", "hint", "caution", "heard", "found", "danger",
    "aside", "blank",
]  # fmt: skip
LONG = (
    "a rather long sentence that goes on, and on, so that it has to be wrapped more than once " * 2
)


@contextmanager
def terminal(keys: str = "") -> Iterator[tuple[TerminalAsker, PipeInput]]:
    with create_pipe_input() as pipe:
        session: PromptSession[str] = PromptSession(input=pipe, output=DummyOutput())
        pipe.send_text(keys)
        yield TerminalAsker(Console(file=io.StringIO()), session), pipe


def typed(keys: str) -> str:
    with terminal(keys) as (asker, _):
        return asker.ask("> ")


@contextmanager
def long_answer(keys: str, lines: list[Line], height: int = 10) -> Iterator[tuple[str, str]]:
    """A long answer shown in a small terminal: what stands there, and what is read next."""
    with create_pipe_input() as pipe:
        session: PromptSession[str] = PromptSession(input=pipe, output=DummyOutput())
        console = Console(file=io.StringIO(), force_terminal=True, width=80, height=height,
                          color_system=None)  # fmt: skip
        asker = TerminalAsker(console, session)
        pipe.send_text(keys + "the end\r")
        asker.show(lines)
        assert isinstance(console.file, io.StringIO)
        yield console.file.getvalue(), asker.ask("> ")


ROWS = [Line("text", f"row {number}.") for number in range(1, 31)]


@pytest.mark.parametrize(
    ("keys", "last", "read"),
    [("\r\r\r", 30, "the end"), ("q\r", 8, "the end"), ("\rq\r", 16, "the end"),
     ("\rstop\r", 30, "stop"), ("\x03q\r", 16, "the end")],
)  # fmt: skip
def test_a_long_answer_stops_at_each_screen(keys: str, last: int, read: str) -> None:
    with long_answer(keys, ROWS) as (shown, then):
        assert [int(n) for n in re.findall(r"row (\d+)", shown)] == list(range(1, last + 1))
        assert then == read


def test_what_is_longer_is_never_a_question_or_a_danger_left_out() -> None:
    with long_answer("", [*ROWS, Line("question", "How long?")]) as (shown, then):
        assert "row 30." in shown and "How long?" in shown and then == "the end"
    with long_answer("q\rq\rq\r", [*ROWS, Line("danger", " STOP NOW ")]) as (shown, then):
        assert "STOP NOW" in shown and then == "the end"


def test_a_short_answer_and_no_terminal_stop_nowhere() -> None:
    with long_answer("", ROWS[:9]) as (shown, _):
        assert "row 9." in shown
    with terminal() as (asker, _):
        asker.show(ROWS * 9)


# the rich terminal ----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("keys", "line"),
    [
        ("about 2 mm\r", "about 2 mm"),
        ("about 3\x1b[D\x1b[D2 \x7f.\x1b[C\x1b[C mm\r", "about2. 3 mm"),
        ("mm\x1b[H2 \r", "2 mm"),
        ("xyz\x15weeks\r", "weeks"),
        ("weekss\x7f\r", "weeks"),
        ("\r", ""),
        ("half\x03", ""),
        ("\x03", ""),
        ("\U0001f697 caf\u00e9\r", "\U0001f697 caf\u00e9"),
        ("\x1b[31mred\x1b[0m\r", "red"),
        ("\x1b[1;31mred\x1b[m\r", "red"),
        ("\x1b[38;2;1;2;3mred\x1b[39m\r", "red"),
    ],
)
def test_keys_edit_the_line(keys: str, line: str) -> None:
    assert typed(keys) == line


def test_after_ctrl_c_the_next_line_is_read() -> None:
    with terminal("half\x03whole\r") as (asker, _):
        assert asker.ask("> ") == ""
        assert asker.ask("> ") == "whole"


def test_plain_says_to_ctrl_c_how_to_leave() -> None:
    class Broken(io.StringIO):
        def readline(self, size: int | None = -1, /) -> str:
            raise KeyboardInterrupt

    shown = io.StringIO()
    assert PlainAsker(Broken(), shown).ask("> ") == ""
    assert shown.getvalue() == "> \nTo leave, type stop.\n"


def test_ctrl_d_leaves() -> None:
    with terminal("\x04") as (asker, _), pytest.raises(Left):
        asker.ask("> ")


def test_ctrl_d_within_a_line_does_not_leave() -> None:
    assert typed("abc\x1b[D\x04\r") == "ab"


def test_a_paste_with_line_ends_is_one_answer() -> None:
    with terminal("\x1b[200~first\r\nsecond\nthird\x1b[201~\rnext\r") as (asker, _):
        assert clean(asker.ask("> ")) == "first second third"
        assert asker.ask("> ") == "next"


def summary(gb_cars: Ruleset) -> list[Line]:
    result = consult(gb_cars, read_journal(DEMO))
    every = [Line(kind, LONG, indent) for kind in KINDS for indent in (0, 2, 8)]
    wide = [
        Line("text", "\u8eca" * 60),
        Line("question", "x" * 200),
        Line("danger", "e\u0301" * 90),
    ]
    return [*summary_lines(result, complete=True), *help_lines(), *every, *wide]


@pytest.mark.parametrize("width", [80, 40])
def test_rich_rows_fit_the_screen(gb_cars: Ruleset, width: int) -> None:
    file = io.StringIO()
    console = Console(file=file, width=width, force_terminal=True, color_system="truecolor")
    TerminalAsker(console, PromptSession(input=None, output=DummyOutput())).show(summary(gb_cars))
    plain = Console(file=io.StringIO(), width=width, no_color=True)
    rows = strip(file.getvalue()).split("\n")
    assert len(rows) > 40
    assert max(cell_len(row.rstrip()) for row in rows) <= width
    assert plain.width == width


def strip(text: str) -> str:
    import re

    return re.sub(r"\x1b\[[0-9;?]*[a-zA-Z]", "", text)


def test_every_kind_says_its_meaning_in_words_too() -> None:
    """A colour only repeats what the words say."""
    assert set(STYLE) <= set(KINDS)
    assert PREFIX == {"caution": "Caution: ", "heard": "Understood: ", "found": "Found: "}
    for kind in ("caution", "heard", "found"):
        assert wrapped(Line(kind, "x"), 80) == [PREFIX[kind] + "x"]


def test_text_from_elsewhere_cannot_move_the_cursor() -> None:
    """A record made by hand may hold anything; it must not reach the terminal raw."""
    bad = "\x1b[2J\x1b]0;title\x07\x9b31m\u202edrive\r\b"
    file = io.StringIO()
    console = Console(file=file, width=80, force_terminal=True, color_system=None)
    for asker in (TerminalAsker(console, PromptSession(output=DummyOutput())),):
        asker.show([Line("text", bad), Line("found", bad)])
    target = io.StringIO()
    PlainAsker(io.StringIO(), target).show([Line("text", bad), Line("choice", bad)])
    for shown in (file.getvalue(), target.getvalue()):
        assert "drive" in shown
        for character in "\x1b\x07\x9b\u202e\r\b":
            assert character not in shown


# the plain reader -----------------------------------------------------------------------


def read(raw: bytes, lines: int, **how: str) -> tuple[list[str], str]:
    source = io.TextIOWrapper(io.BytesIO(raw), encoding="utf-8", **how)  # type: ignore[arg-type]
    target = io.StringIO()
    asker = PlainAsker(source, target)
    return [asker.ask("> ") for _ in range(lines)], target.getvalue()


def test_end_of_input_leaves() -> None:
    asker = PlainAsker(io.StringIO("one\n"), io.StringIO())
    assert asker.ask("> ") == "one"
    for _ in range(2):
        with pytest.raises(Left):
            asker.ask("> ")


def test_a_last_line_without_an_end_is_an_answer() -> None:
    assert read(b"one\ntwo", 2)[0] == ["one", "two"]


@pytest.mark.parametrize("end", [b"\r\n", b"\n"])
def test_line_ends_are_no_part_of_the_answer(end: bytes) -> None:
    assert read(b"one" + end + b"two" + end, 2)[0] == ["one", "two"]
    assert read(b"one" + end + b"two" + end, 2, newline="")[0] == ["one", "two"]


def test_a_very_long_line_is_one_answer_and_the_next_is_whole() -> None:
    for size in (99_999, 100_000, 100_001, 100_002, 250_000):
        (first, second), shown = read(b"x" * size + b"\nweeks\n", 2)
        assert set(first) == {"x"} and len(first) >= min(size, 100_000)
        assert second == "weeks"
        assert len(shown) < 1000


def test_undecodable_bytes_lose_nothing_else() -> None:
    words, shown = read(b"Juniper\nabout \xff\xfe 2\nweeks\n\xc3\n", 4)
    assert words[0] == "Juniper" and words[2] == "weeks"
    assert "about" in words[1] and words[1].isprintable()
    assert "\ufffd" in words[3]
    assert "weeks" in shown


def test_control_characters_are_not_echoed() -> None:
    _, shown = read(b"a\x1b[31mb\x07\n", 1)
    assert "\x1b" not in shown and "\x07" not in shown and "a" in shown


def test_output_that_knows_only_ascii() -> None:
    raw = io.BytesIO()
    target = io.TextIOWrapper(raw, encoding="ascii", write_through=True)
    asker = PlainAsker(io.StringIO("caf\u00e9 \U0001f697\n"), target)
    asker.show([Line("text", "caf\u00e9 \U0001f697 2 mm \u2265 1")])
    assert asker.ask("\u00bb ") == "caf\u00e9 \U0001f697"
    target.flush()
    assert b"2 mm" in raw.getvalue()


def test_closed_streams_are_an_end_of_input(monkeypatch: pytest.MonkeyPatch) -> None:
    """Started without standard input or output, Python has None in their place."""
    monkeypatch.setattr(sys, "stdin", None)
    monkeypatch.setattr(sys, "stdout", None)
    asker = PlainAsker()
    asker.show([Line("text", "hello")])
    with pytest.raises(Left):
        asker.ask("> ")


@pytest.mark.parametrize("columns", [80, 40, 25])
def test_plain_rows_fit_the_screen(
    gb_cars: Ruleset, monkeypatch: pytest.MonkeyPatch, columns: int
) -> None:
    monkeypatch.setenv("COLUMNS", str(columns))
    target = io.StringIO()
    PlainAsker(io.StringIO(), target).show(
        [line for line in summary(gb_cars) if "\u8eca" not in line.text]
    )
    rows = target.getvalue().split("\n")
    assert max(map(len, rows)) < columns
    assert not any("\x1b" in row for row in rows)


def test_a_wide_screen_is_not_filled_to_the_edge(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "300")
    target = io.StringIO()
    PlainAsker(io.StringIO(), target).show([Line("text", LONG)])
    assert max(map(len, target.getvalue().split("\n"))) < 80


def test_wrapped_rows_keep_their_indent_and_hang() -> None:
    rows = wrapped(Line("choice", "1. " + LONG, 2), 40)
    assert rows[0].startswith("  1. ") and all(row.startswith("     ") for row in rows[1:])
    assert wrapped(Line("blank"), 40) == [""]
    assert wrapped(Line("text", ""), 40) == [""]
    assert all(len(row) <= 20 for row in wrapped(Line("text", LONG), 3))


def test_the_script_leaves_at_its_end() -> None:
    asker = ScriptedAsker(["one"])
    assert asker.ask("> ") == "one"
    with pytest.raises(Left):
        asker.ask("> ")
    assert asker.text == "> one"


# no colour ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "env", [{"NO_COLOR": "1"}, {"TERM": "dumb"}, {"TERM": ""}, {"NO_COLOR": "1", "TERM": "dumb"}]
)
def test_no_escape_codes_through_a_pipe(tmp_path: Path, env: dict[str, str]) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "assistant"],
        input=b"Juniper\nskip\n2013\npetrol\n",
        capture_output=True,
        env=environment(tmp_path, **env),
        timeout=60,
        check=False,
    )
    assert done.returncode == 0
    assert b"What kind of vehicle" in done.stdout
    assert b"\x1b" not in done.stdout + done.stderr
