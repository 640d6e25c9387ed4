"""The first minute: a name while the rules are loaded, an unfinished walk, and leaving at once."""

from __future__ import annotations

import datetime as dt
import errno
import os
import stat
import subprocess
import sys
from pathlib import Path
from threading import Event, get_ident

import pytest

from assistant.errors import JournalError, RulesetError
from assistant.journal import file as store
from assistant.journal.file import Stored, list_journals, read_journal
from assistant.ruleset.ruleset import Ruleset
from assistant.talk.first_screen import open_talk
from tests.support.scripted import ScriptedAsker

DAY = dt.date(2026, 3, 2)


class Waiting(ScriptedAsker):
    """A person who types only once something has begun."""

    def __init__(self, answers: list[str], begun: Event) -> None:
        super().__init__(answers)
        self.begun = begun

    def ask(self, prompt: str) -> str:
        assert self.begun.wait(10), "nothing was loaded while the person was asked"
        return super().ask(prompt)


def opened(ruleset: Ruleset, home: Path, *words: str, new: bool = False) -> tuple[int, str]:
    asker = ScriptedAsker(words)
    code = open_talk(lambda: ruleset, asker, home, today=DAY, car=None, new=new)
    return code, "\n".join(line.text for line in asker.lines)


def cars(home: Path) -> list[str]:
    return [s.context.car for s in list_journals(home) if isinstance(s, Stored)]


def test_a_new_person_is_asked_for_a_name_while_the_rules_are_loaded(
    tiny: Ruleset, tmp_path: Path
) -> None:
    begun, threads = Event(), []

    def load() -> Ruleset:
        threads.append(get_ident())
        begun.set()
        return tiny

    asker = Waiting(["Bus"], begun)
    open_talk(load, asker, tmp_path, today=DAY, car=None, new=False)
    assert cars(tmp_path) == ["Bus"]
    assert threads and get_ident() not in threads
    assert tiny.about.inspection in "\n".join(line.text for line in asker.lines)


def test_mistakes_in_a_ruleset_are_said_after_the_name(tmp_path: Path) -> None:
    def load() -> Ruleset:
        raise RulesetError([])

    with pytest.raises(RulesetError):
        open_talk(load, ScriptedAsker(["Bus"]), tmp_path, today=DAY, car=None, new=False)
    assert cars(tmp_path) == []


@pytest.mark.parametrize("words", ["stop", "quit", "I want to stop"])
def test_stop_leaves_before_anything_is_kept(tiny: Ruleset, tmp_path: Path, words: str) -> None:
    code, text = opened(tiny, tmp_path, words)
    assert (code, cars(tmp_path)) == (0, [])
    assert text.endswith("Nothing was started, and nothing is kept.")


@pytest.mark.parametrize("words", [("stop",), ("maybe", "stop")])
def test_stop_leaves_at_an_unfinished_walk_too(
    tiny: Ruleset, tmp_path: Path, words: tuple[str, ...]
) -> None:
    opened(tiny, tmp_path, "Bus")
    code, text = opened(tiny, tmp_path, *words)
    assert (code, cars(tmp_path)) == (0, ["Bus"])
    assert "Go on with it?" in text and text.endswith("nothing is kept.")
    assert text.count("Please type yes or no.") == len(words) - 1


def test_an_unfinished_walk_goes_on_or_another_begins(tiny: Ruleset, tmp_path: Path) -> None:
    opened(tiny, tmp_path, "Bus")
    opened(tiny, tmp_path, "yes")
    assert cars(tmp_path) == ["Bus"]
    opened(tiny, tmp_path, "no", "Van")
    assert sorted(cars(tmp_path)) == ["Bus", "Van"]


def test_of_several_unfinished_walks_each_is_offered(tiny: Ruleset, tmp_path: Path) -> None:
    for number, car in enumerate(("Bus", "Van", "Cart", "Sledge", "Kayak", "Pram")):
        opened(tiny, tmp_path, car, new=True)
        (path,) = (tmp_path / car.lower()).glob("*")
        os.utime(path, (1000 + number, 1000 + number))
    text = opened(tiny, tmp_path, "stop")[1]
    assert "There are 5 unfinished walks. Go on with which one?" in text
    rows = [row for row in text.split("\n") if row[:1].isdigit()]
    assert [row.split(",")[0] for row in rows] == [
        "1. Pram", "2. Kayak", "3. Sledge", "4. Cart", "5. Van",
    ]  # fmt: skip
    for words, car in ((("0", "yes", "6", "4"), "cart"), (("the", "sled"), "sledge")):
        code, text = opened(tiny, tmp_path, *words)
        assert code == 0 and f"/{car}/" in text.split("Your record is kept in")[1].split("\n")[0]
        assert text.count("Please type a number from 1 to 5, or new.") == len(words) - 1
    opened(tiny, tmp_path, "new", "Raft")
    assert len(cars(tmp_path)) == 7 and "Raft" in cars(tmp_path)


def test_of_one_car_all_unfinished_walks_are_offered(tiny: Ruleset, tmp_path: Path) -> None:
    for _ in range(2):
        opened(tiny, tmp_path, "Bus", new=True)
    assert "There are 2 unfinished walks." in opened(tiny, tmp_path, "stop")[1]


def test_what_is_no_record_stops_no_start(tiny: Ruleset, tmp_path: Path) -> None:
    opened(tiny, tmp_path, "Bus")
    folder = tmp_path / "bus"
    (folder / "gone.jsonl").symlink_to(folder / "nowhere")
    (folder / "round.jsonl").symlink_to(folder / "round.jsonl")
    (folder / "inner.jsonl").mkdir()
    os.mkfifo(folder / "pipe.jsonl")
    os.mkfifo(tmp_path / "pipe")
    code, text = opened(tiny, tmp_path, "yes")
    assert code == 0 and "There is an unfinished walk round Bus" in text
    assert text.count("is left alone:") == 4
    assert "gone.jsonl is no ordinary file, or leads to none." in text
    with pytest.raises(JournalError, match="no ordinary file"):
        read_journal(folder / "pipe.jsonl")


def test_a_record_that_vanishes_while_they_are_listed_is_passed_over(
    tiny: Ruleset, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    opened(tiny, tmp_path, "Bus")
    opened(tiny, tmp_path, "Van", new=True)
    whole = store.journal_paths

    def listed(home: Path, car: str | None = None) -> list[Path]:
        paths = whole(home, car)
        (tmp_path / "bus" / paths[-1].name).unlink()
        return paths

    monkeypatch.setattr(store, "journal_paths", listed)
    code, text = opened(tiny, tmp_path, "stop")
    assert code == 0 and "unfinished walk round Van" in text and "cannot be read" in text


@pytest.mark.parametrize("known", [False, True])
def test_a_full_disk_at_the_start_leaves_nothing_behind(
    tiny: Ruleset, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, known: bool
) -> None:
    if known:
        opened(tiny, tmp_path, "Bus", "2001", "gauge")
    before = sorted(tmp_path.rglob("*"))

    def full(handle: int) -> None:
        if stat.S_ISREG(os.fstat(handle).st_mode):
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(store.os, "fsync", full)
    with pytest.raises(JournalError, match=r"No space left on device. Nothing was started."):
        opened(tiny, tmp_path, "Bus", "yes", new=True)
    assert sorted(tmp_path.rglob("*")) == before


LIGHT = """
import sys
from assistant import cli
from assistant.talk.asking import PlainAsker

def show(self, lines):
    text = "".join(line.text for line in lines)
    if text.startswith("What shall I call this car"):
        large = {"pydantic", "yaml", "durable", "assistant.ruleset.ruleset"}
        heavy = (large | {"assistant.ruleset.load"}) & set(sys.modules)
        print("heavy:", sorted(heavy), flush=True)
        raise SystemExit(0)

PlainAsker.show = show
cli.run(["--plain", "--records", sys.argv[1]])
"""


def test_nothing_large_is_loaded_before_a_new_person_can_read_the_first_question(
    tmp_path: Path,
) -> None:
    told = [sys.executable, "-c", LIGHT, str(tmp_path)]
    ran = subprocess.run(
        told, capture_output=True, text=True, check=False, stdin=subprocess.DEVNULL
    )
    assert "heavy: []" in ran.stdout, ran.stderr
