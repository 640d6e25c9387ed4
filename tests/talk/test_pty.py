"""The real program in a real terminal: the main path, a sudden end, two copies at once."""

from __future__ import annotations

import json
import os
import re
import signal
import sys
import termios
from pathlib import Path

import pytest

if sys.platform == "win32":
    pytest.skip("there are no pseudo-terminals here", allow_module_level=True)

from tests.support.screen import ROOT, Screen

CAR = [
    ("When does the current certificate run out? Skip is fine.", "skip"),
    ("When was the car first registered?", "March 2013"),
    ("What does it run on?", "petrol"),
    ("What kind of vehicle is it?", "saloon"),
    ("Which of these does it have?", "none"),
    ("Which of these have you got to hand?", "a torch"),
]


def entries(records: Path) -> list[dict[str, object]]:
    (path,) = records.glob("*/*.jsonl")
    return [json.loads(line) for line in path.read_text().splitlines()]


def begin(screen: Screen) -> None:
    screen.answer("What shall I call this car?", "Juniper")
    for question, words in CAR:
        screen.answer(question, words)


@pytest.mark.parametrize("columns", [80, 40])
def test_from_the_start_to_do_not_drive(tmp_path: Path, columns: int) -> None:
    with Screen([], tmp_path, columns) as screen:
        begin(screen)
        screen.answer("Is anything about the car worrying you?", "no")
        screen.answer("did you notice any of these?", "0")
        screen.answer("in the last few weeks?", "3")
        screen.answer("Brake fluid: where is its level?", "below the lower mark")
        screen.answer("How long did the brake fluid take to fall", "weeks")
        assert "HAVE IT LOOKED AT BEFORE DRIVING" in screen.asked()
        while "oily wetness at this wheel" not in screen.asked():
            screen.type("don't know")
        screen.type("yes")
        said = screen.asked()
        assert said.index("DO NOT DRIVE") < said.rindex("?")
        screen.type("stop")
        screen.asked("More: Enter.")
        screen.child.send("\r" * 8)  # the summary is longer than the screen
        assert screen.ended() == 0
        assert all(len(row) <= columns for row in screen.rows)
        assert screen.text.rindex("DO NOT DRIVE") > screen.text.rindex("What we have found so far")
    said = [e for e in entries(tmp_path) if e["kind"] == "said"]
    assert [e["words"] for e in said[:7]] == [*(words for _, words in CAR), "no"]
    assert said[-1]["question"] == "wheel_wet"


def test_killed_midway_nothing_is_lost(tmp_path: Path) -> None:
    with Screen([], tmp_path) as screen:
        screen.answer("What shall I call this car?", "Juniper")
        for question, words in CAR[:3]:
            screen.answer(question, words)
        screen.asked(CAR[3][0])
        screen.child.send("half an ans")
        screen.wait(lambda: "half an ans" in screen.text, "the echo")
        os.kill(screen.child.pid, signal.SIGKILL)
        assert screen.ended() == -signal.SIGKILL
    kept = entries(tmp_path)
    assert [e.get("words") for e in kept[1:]] == [words for _, words in CAR[:3]]
    with Screen([], tmp_path) as screen:
        screen.asked("There is an unfinished walk round Juniper")
        screen.type("yes")
        for question, words in CAR[3:]:
            screen.answer(question, words)
        screen.asked("Recent drives")
        screen.child.sendeof()
        assert screen.ended() == 0
        assert "All answers are kept." in screen.text
    assert entries(tmp_path)[: len(kept)] == kept
    assert [e.get("words") for e in entries(tmp_path)[1:]] == [words for _, words in CAR]


def test_two_copies_on_one_record(tmp_path: Path) -> None:
    with Screen([], tmp_path) as first:
        first.answer("What shall I call this car?", "Juniper")
        first.asked(CAR[0][0])
        with Screen([], tmp_path) as second:
            second.asked("There is an unfinished walk")
            second.type("yes")
            assert second.ended() == 2
            said = second.text.replace(" ", "")  # a long path breaks the line anywhere
            assert "isopeninanotherwindow.Closeittherefirst." in said
            assert "Traceback" not in second.raw
        first.type("March 2013")
        first.asked(CAR[1][0])
    assert entries(tmp_path)[-1]["words"] == "March 2013"


def test_control_keys(tmp_path: Path) -> None:
    """Ctrl-C drops the line, Ctrl-D leaves, a paste of several lines is one answer."""
    with Screen([], tmp_path) as screen:
        screen.asked("What shall I call this car?")
        screen.child.send("Junpier\x03")
        screen.wait(lambda: "Type a few letters" in screen.text, "the prompt again")
        screen.asked("Type a few letters")
        assert "To leave, type stop." in screen.text
        screen.type("Juniper")
        screen.asked(CAR[0][0])
        screen.child.send("\x1b[200~March\r\n2013\n\x1b[201~")
        screen.wait(lambda: "2013" in screen.text, "what was pasted")
        screen.child.send("\r")
        screen.asked(CAR[1][0])
        screen.child.sendeof()
        assert screen.ended() == 0
    assert [e["words"] for e in entries(tmp_path)[1:]] == ["March 2013"]


@pytest.mark.parametrize("around", ["{}", "\x1b[200~{}\x1b[201~"], ids=["typed", "pasted"])
def test_colour_codes_are_no_part_of_an_answer(tmp_path: Path, around: str) -> None:
    with Screen([], tmp_path) as screen:
        screen.asked("What shall I call this car?")
        screen.type(around.format("\x1b[31mred\x1b[0m"))
        screen.asked(CAR[0][0])
        screen.type(around.format("\x1b[1;32mMarch\x1b[m 2013"))
        screen.asked(CAR[1][0])
        screen.child.sendeof()
        assert screen.ended() == 0
    assert entries(tmp_path)[0]["car"] == "red"
    assert [str(e["words"]).split() for e in entries(tmp_path)[1:]] == [["March", "2013"]]


@pytest.mark.parametrize("arguments", [[], ["--plain"]], ids=["rich", "plain"])
@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGHUP])
def test_told_to_end_it_leaves_the_terminal_as_it_was(
    tmp_path: Path, number: signal.Signals, arguments: list[str]
) -> None:
    with Screen(arguments, tmp_path) as screen:
        before = termios.tcgetattr(screen.child.child_fd)
        screen.answer("What shall I call this car?", "Juniper")
        screen.answer(CAR[0][0], "2013")
        screen.asked(CAR[1][0])
        os.kill(screen.child.pid, number)
        assert screen.ended() == 128 + number
        assert screen.left == before
        assert "Traceback" not in screen.raw
    assert entries(tmp_path)[-1]["words"] == "2013"


def test_the_window_is_closed(tmp_path: Path) -> None:
    with Screen([], tmp_path) as screen:
        screen.answer("What shall I call this car?", "Juniper")
        screen.answer(CAR[0][0], "2013")
        screen.asked(CAR[1][0])
        os.kill(screen.child.pid, signal.SIGHUP)
        screen.ended()
        assert "Traceback" not in screen.raw
    assert entries(tmp_path)[-1]["words"] == "2013"


COLOUR = re.compile(r"\x1b\[[0-9;]*\b(?:3[0-8]|4[0-8]|9[0-7]|10[0-7])(?:;[0-9;]*)?m")


def test_no_color_means_no_colour(tmp_path: Path) -> None:
    with Screen([], tmp_path, NO_COLOR="1") as screen:
        begin(screen)
        screen.asked("Recent drives")
        assert not COLOUR.search(screen.raw)


def test_a_colour_terminal_has_colour(tmp_path: Path) -> None:
    """The counterpart, so that the test above cannot pass by looking for the wrong thing."""
    with Screen([], tmp_path) as screen:
        begin(screen)
        screen.asked("Recent drives")
        assert COLOUR.search(screen.raw)


def test_a_dumb_terminal_gets_no_escape_codes(tmp_path: Path) -> None:
    with Screen([], tmp_path, TERM="dumb") as screen:
        begin(screen)
        screen.asked("Recent drives")
        assert "\x1b" not in screen.raw


@pytest.mark.parametrize("columns", [80, 40])
def test_plain_is_plain(tmp_path: Path, columns: int) -> None:
    with Screen(["--plain"], tmp_path, columns) as screen:
        begin(screen)
        screen.asked("Recent drives")
        assert "\x1b" not in screen.raw
        assert all(len(row) < columns for row in screen.raw.replace("\r", "").split("\n"))


@pytest.mark.parametrize("said", ["yes", "no", ""])
def test_it_asks_once_before_it_replaces_a_file_of_another_sort(tmp_path: Path, said: str) -> None:
    notes = tmp_path / "notes"
    notes.write_text("mine")
    demo = ROOT / "transcripts_demo" / "grinding-brakes.jsonl"
    with Screen(["card", str(demo), "-o", "notes"], tmp_path) as screen:
        screen.wait(lambda: "Replace it? (yes or no) >" in screen.text, "the question")
        screen.child.send(f"{said}\r")
        assert screen.ended() == (0 if said == "yes" else 2)
        left = "notes is left as it was. Nothing was written."
        assert ("Written: notes" if said == "yes" else left) in screen.text
    assert (notes.read_text() == "mine") is (said != "yes")
