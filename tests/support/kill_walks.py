"""Walks that are killed at any moment: is all that was said to be understood in the record?

By hand: python -m tests.support.kill_walks 500. Every tenth walk is the program itself from its
start; the others are a copy of this process with the ruleset loaded, so that there are more of
them in the time. Each is a process of its own, talks through pipes, and is killed with kill -9.
"""

from __future__ import annotations

import contextlib
import datetime as dt
import os
import re
import select
import signal
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path
from random import Random

from assistant.errors import JournalError
from assistant.journal.entries import Opened, Picked, Said
from assistant.journal.file import read_journal
from assistant.reasoning.inferring import engine_for
from assistant.ruleset.load import load_ruleset
from assistant.ruleset.ruleset import Ruleset
from assistant.talk.asking import PlainAsker
from assistant.talk.first_screen import open_talk
from tests.support.screen import environment

ROOT = Path(__file__).resolve().parent.parent.parent
SAID = ("don't know", "can't look", "no", "yes", "1", "2", "all fine", "none", "about 5", "2016")
LESS_OFTEN = ("back", "redo", "wrong", "mended", "why", "found", "I have 20 minutes", "no hurry")
LONGEST = 1.0
"""Seconds after which a walk is killed at the latest; a whole walk takes about that long."""


@dataclass(frozen=True)
class Killed:
    """A walk that was killed: how many answers it called understood, and those that are lost.

    midway: whether it was still running when it was killed.
    """

    understood: int
    lost: tuple[str, ...]
    midway: bool


def typed_words(random: Random) -> str:
    """What a person types on one walk, a line each."""
    words = ["skip", "2016", "petrol", "1", "none", "a torch", "no"]
    for _ in range(120):
        words.append(random.choice(LESS_OFTEN if random.random() < 0.1 else SAID))
    return "".join(f"{w}\n" for w in words)


def kill_one(ruleset: Ruleset | None, random: Random) -> Killed:
    """One walk; ruleset: None for the program itself from its start."""
    with tempfile.TemporaryDirectory() as name:
        home = Path(name)
        if ruleset is None:
            pid, source, target = program(home)
            kill_at = random.uniform(0.3, 2 + LONGEST)
        else:
            pid, source, target = copy_of_this(ruleset, home)
            kill_at = random.uniform(0, LONGEST)
        os.write(target, typed_words(random).encode())
        text = read_until(source, time.monotonic() + kill_at)
        with contextlib.suppress(ProcessLookupError):
            os.kill(pid, signal.SIGKILL)
        text += read_until(source, time.monotonic() + 10)
        midway = os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1]) == -signal.SIGKILL
        for end in (source, target):
            os.close(end)
        heard = understood(text.decode(errors="replace"))
        return Killed(len(heard), lost(heard, kept(home)), midway)


def program(home: Path) -> tuple[int, int, int]:
    """The program itself; its process, and both ends to talk to it."""
    child = subprocess.Popen(
        [sys.executable, "-m", "assistant", "--plain", "--car", "Kilo"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        env=environment(home),
        cwd=home,
    )
    assert child.stdin is not None and child.stdout is not None
    source, target = os.dup(child.stdout.fileno()), os.dup(child.stdin.fileno())
    child.stdin.close()
    child.stdout.close()
    child.returncode = 0  # it is waited for by its number
    return child.pid, source, target


def copy_of_this(ruleset: Ruleset, home: Path) -> tuple[int, int, int]:
    """A copy of this process that begins a talk at once."""
    ours, theirs = os.pipe(), os.pipe()
    pid = os.fork()
    if pid:
        os.close(theirs[0])
        os.close(ours[1])
        return pid, ours[0], theirs[1]
    try:
        with os.fdopen(theirs[0], encoding="utf-8") as reads, os.fdopen(ours[1], "w") as writes:
            os.close(theirs[1])
            day = dt.date(2026, 3, 2)
            asker = PlainAsker(reads, writes)
            open_talk(lambda: ruleset, asker, home, today=day, car="Kilo", new=True)
    finally:
        os._exit(0)


def read_until(source: int, deadline: float) -> bytes:
    """All that comes until then, or until the other end is closed."""
    text = b""
    while (left := deadline - time.monotonic()) > 0:
        if select.select([source], [], [], left)[0]:
            new = os.read(source, 65_536)
            if not new:
                break
            text += new
    return text


_TYPED = re.compile(r"(?:.*\(yes or no\) > (?!(?:yes|no)$)|> )(.*)")
"""What was typed; at a yes or no, anything else is read by the prompt behind it."""


def understood(text: str) -> list[str]:
    """The words typed at each answer that was called understood, in order."""
    heard: list[str] = []
    words = ""
    for row in text.split("\n"):
        typed = _TYPED.match(row)
        if typed:
            words = typed[1]
        elif row.startswith("Understood: "):
            heard.append(words)
    return heard


def kept(home: Path) -> list[set[str]]:
    """The words of each turn of the record in which something was answered or picked."""
    turns: dict[int, set[str]] = {}
    for path in home.glob("*/*.jsonl"):
        try:
            entries = read_journal(path)
        except JournalError:
            continue  # killed before its first line was whole: nothing had been asked
        for entry in entries:
            if isinstance(entry, Said | Picked | Opened):
                turns.setdefault(entry.turn, set()).add(entry.words)
    return [words for _, words in sorted(turns.items())]


def lost(heard: list[str], found: list[set[str]]) -> tuple[str, ...]:
    """The answers called understood that are not in the record, in the order they were given."""
    missing = []
    rest = iter(found)
    for words in heard:
        if not any(words in there for there in rest):
            missing.append(words)
            rest = iter(())
    return tuple(missing)


def kill_walks(count: int, ruleset: Ruleset, seed: int = 1, whole_every: int = 10) -> list[Killed]:
    """So many walks, each killed; every tenth is the program itself."""
    engine_for(ruleset).prepare()
    random = Random(seed)
    return [
        kill_one(None if number % whole_every == whole_every - 1 else ruleset, random)
        for number in range(count)
    ]


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 500
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    walks = kill_walks(count, load_ruleset(ROOT / "rulesets" / "gb-cars"), seed)
    print(
        f"{count} walks killed, {sum(w.midway for w in walks)} of them midway; "
        f"{sum(w.understood for w in walks)} answers called understood, "
        f"{sum(len(w.lost) for w in walks)} of them lost."
    )
    for walk in walks:
        if walk.lost:
            print("lost:", walk.lost)


if __name__ == "__main__":
    main()
