"""Typed scripts: what a simulated owner typed on which day, and the screens that come of it.

    python -m tests.support.typed_scripts make --seeds 0-1999 --out FOLDER
    python -m tests.support.typed_scripts replay FOLDER [--against FOLDER2]
    python -m tests.support.typed_scripts hold FOLDER
    python -m tests.support.typed_scripts accept

`make` runs the simulated owner on today's code: a file for each seed, with days (`= 2026-03-02`),
screens (`| row`) and typed lines (`> words`). `replay` types the same lines, without the owner, and
prints how the screens differ. To see what a change did to the screens, make the folder on the
commit before it: `git worktree add /tmp/before COMMIT`, and run `make` there with `PYTHONPATH=.`
(`cp -r tests/support /tmp/before/tests/` where that commit has no typed scripts yet).

The tests hold the scripts of `typed_scripts.txt`, with a short digest for each screen: those
hundred of the seeds 0 to 199 that showed most rows that differ, within 3,500 screens. `accept`
writes the digests anew, for a screen that was changed on purpose; the typed lines stay. `hold`
puts the scripts of a folder there instead.
"""

from __future__ import annotations

import argparse
import contextlib
import datetime as dt
import hashlib
import os
import re
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import zip_longest
from pathlib import Path
from random import Random
from unittest import mock

from assistant.report.lines import Line
from assistant.ruleset.load import load_ruleset
from assistant.ruleset.ruleset import Ruleset
from assistant.talk.asking import PlainAsker
from tests.support.owner import product
from tests.support.owner.owner import Owner
from tests.support.owner.screens import Asked, Screen
from tests.support.owner.walks import DAY, SESSIONS, SLOW, planned

ROOT = Path(__file__).resolve().parent.parent.parent
HELD = Path(__file__).with_name("typed_scripts.txt")
BETWEEN = (0, 0, 1, 3, 20, 60)
"""Days between one talk and the next."""


@dataclass
class Day:
    """What was typed in one talk; after the last line the window is closed."""

    day: dt.date
    typed: list[str]


@dataclass(frozen=True)
class Shown:
    """One screen, as text or as its digest, and where it stands."""

    seed: int
    turn: int
    day: dt.date
    after: str
    text: str

    def __str__(self) -> str:
        return f"script {self.seed}, turn {self.turn}, {self.day}, after {self.after!r} was typed"


class Paper:
    """A terminal for the plain line reader: types a script, and keeps each screen as text."""

    def __init__(self, typed: list[str]) -> None:
        self.typed, self.text = iter(typed), ""
        self.screens: list[str] = []

    def isatty(self) -> bool:
        """As at a terminal: what is typed is not printed once more."""
        return True

    def write(self, text: str) -> None:
        self.text += text

    def flush(self) -> None:
        """Nothing waits."""

    def readline(self, _most: int = -1) -> str:
        words = next(self.typed, None)
        if words is None:
            return ""
        self.cut()
        return f"{words}\n"

    def cut(self) -> None:
        """The screen ends here."""
        self.screens.append(self.text)
        self.text = ""


def replay(seed: int, days: list[Day], ruleset: Ruleset) -> list[Shown]:
    """Types the script, and takes the screens: one before each typed line, one at the end."""
    shown: list[Shown] = []
    with _own_folder() as home:
        for day in days:
            paper = Paper(day.typed)
            try:
                product.open_car(ruleset, PlainAsker(paper, paper), home, day.day, lambda _: None)  # type: ignore[arg-type]
            except Exception as error:
                paper.write(f"It broke: {type(error).__name__}: {error}\n")
            paper.cut()
            paper.screens += ["(nobody asked for this)" for _ in paper.typed]
            for after, text in zip(["", *day.typed], paper.screens, strict=True):
                text = text.replace(f"{Path.cwd()}/", "")
                shown.append(Shown(seed, len(shown) + 1, day.day, after, text))
    return shown


@contextlib.contextmanager
def _own_folder() -> Iterator[Path]:
    """A folder to stand in, so that the records have the same short path each time."""
    with (
        tempfile.TemporaryDirectory(prefix="typed-") as folder,
        contextlib.chdir(folder),
        mock.patch.dict(os.environ, {"COLUMNS": "80"}),
    ):
        yield Path("records")


class Typist:
    """The simulated owner, with a note of all that is typed."""

    def __init__(self, owner: Owner) -> None:
        self.owner, self.typed = owner, list[str]()

    def show(self, lines: list[Line]) -> None:
        self.owner.show(lines)

    def get_ready(self) -> None:
        """Nothing is to be loaded."""

    def ask(self, prompt: str) -> str:
        self.typed.append(self.owner.ask(prompt))
        return self.typed[-1]


def make(seed: int, ruleset: Ruleset) -> list[Day]:
    """What the simulated owner of this seed types."""
    random = Random(seed)
    car, mood = planned(random, ruleset, random.random() < 0.2)
    days: list[Day] = []

    def watch(screen: Screen, _asked: Asked) -> None:
        if product.at_the_end(screen.prompt) or len(owner.screens) > 3 * SLOW:
            owner.gone = True

    owner, day = Owner(car, mood, random, watch), DAY
    with _own_folder() as home:
        while not owner.gone and len(days) < SESSIONS:
            typist, owner.talk = Typist(owner), None
            product.open_car(ruleset, typist, home, day, owner.begin)
            days.append(Day(day, typist.typed))
            day += dt.timedelta(days=random.choice(BETWEEN))
    return days


# files ----------------------------------------------------------------------------------


def written(days: list[Day], screens: list[Shown]) -> str:
    """A script with its screens: days, screens and typed lines, each with its mark."""
    rest, rows = iter(screens), []
    for day in days:
        rows.append(f"= {day.day}")
        for words in [*day.typed, None]:
            rows += [f"| {row}" for row in next(rest).text.split("\n")]
            rows += [] if words is None else [f"> {words}"]
    return "\n".join(rows) + "\n"


def read(seed: int, text: str) -> tuple[list[Day], list[Shown]]:
    """A script with its screens, as `written` wrote them."""
    days: list[Day] = []
    shown: list[Shown] = []
    rows: list[str] = []

    def cut() -> None:
        if rows:
            after = days[-1].typed[-1] if days[-1].typed else ""
            shown.append(Shown(seed, len(shown) + 1, days[-1].day, after, "\n".join(rows)))
            rows.clear()

    for row in text.removesuffix("\n").split("\n"):
        if row.startswith("|"):
            rows.append(row[2:])
            continue
        cut()
        if row.startswith("="):
            days.append(Day(dt.date.fromisoformat(row[2:]), []))
        else:
            days[-1].typed.append(row[2:])
    cut()
    return days, shown


def digest(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()[:5]


def held() -> dict[int, tuple[list[Day], list[Shown]]]:
    """The scripts that the tests hold, by seed, with the digest of each screen."""
    _, *parts = HELD.read_text("utf-8").split("# seed ")
    scripts = (part.partition("\n") for part in parts)
    return {int(seed): read(int(seed), text) for seed, _, text in scripts}


def hold(scripts: dict[int, list[Day]], ruleset: Ruleset) -> None:
    """Writes the scripts for the tests, with the digest of each screen of today."""
    text = "Typed scripts: = a day, | the digest of a screen, > what was typed.\n"
    for seed, days in scripts.items():
        screens = [replace(one, text=digest(one.text)) for one in replay(seed, days, ruleset)]
        text += f"# seed {seed}\n{written(days, screens)}"
    HELD.write_text(text, "utf-8")


def differences(before: list[Shown], now: list[Shown]) -> Iterator[tuple[Shown, str, str]]:
    """Each screen that differs, with the first row that does, before and now."""
    for old, new in zip(before, now, strict=True):
        if old.text != new.text:
            rows = zip_longest(old.text.split("\n"), new.text.split("\n"), fillvalue="(no row)")
            yield new, *next((a, b) for a, b in rows if a != b)


# by hand --------------------------------------------------------------------------------


def main(arguments: list[str]) -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.support.typed_scripts")
    commands = parser.add_subparsers(dest="command", required=True)
    making = commands.add_parser("make", help="let the simulated owner type")
    making.add_argument("--seeds", required=True, help="0-1999, or 3,17,40-45")
    making.add_argument("--out", type=Path, required=True, help="folder for the scripts")
    replaying = commands.add_parser("replay", help="type the scripts of a folder once more")
    replaying.add_argument("folder", type=Path)
    replaying.add_argument("--against", type=Path, help="folder with the screens to compare with")
    holding = commands.add_parser("hold", help="let the tests hold the scripts of a folder")
    holding.add_argument("folder", type=Path)
    commands.add_parser("accept", help="let the tests expect the screens of today")
    options = parser.parse_args(arguments)
    ruleset, began = load_ruleset(ROOT / "rulesets" / "gb-cars"), time.monotonic()
    code = 0
    if options.command == "make":
        make_folder(seeds_of(options.seeds), options.out, ruleset)
    elif options.command == "replay":
        code = replay_folder(options.folder, options.against or options.folder, ruleset)
    elif options.command == "hold":
        hold({seed: days for seed, days, _ in in_folder(options.folder)}, ruleset)
    else:
        hold({seed: days for seed, (days, _) in held().items()}, ruleset)
    print(f"It took {time.monotonic() - began:.0f} s.")
    return code


def seeds_of(text: str) -> list[int]:
    """Numbers and spans of numbers, with commas between."""
    spans = [part.partition("-") for part in text.split(",")]
    return [seed for low, _, high in spans for seed in range(int(low), int(high or low) + 1)]


def make_folder(seeds: list[int], folder: Path, ruleset: Ruleset) -> None:
    """Makes the scripts of the seeds, each with its screens."""
    folder.mkdir(parents=True, exist_ok=True)
    for seed in seeds:
        days = make(seed, ruleset)
        text = written(days, replay(seed, days, ruleset))
        (folder / f"{seed:05}.txt").write_text(text, "utf-8")


def in_folder(folder: Path) -> Iterator[tuple[int, list[Day], list[Shown]]]:
    """The scripts of a folder, with their seeds and screens."""
    for path in sorted(folder.glob("*.txt")):
        seed = int(path.stem)
        yield seed, *read(seed, path.read_text("utf-8"))


def replay_folder(folder: Path, against: Path, ruleset: Ruleset) -> int:
    """Types all scripts of a folder, and prints how the screens differ; like differences once."""
    found: dict[tuple[str, ...], list[tuple[Shown, str, str]]] = {}
    screens = 0
    for (seed, days, _), (_, _, before) in zip(in_folder(folder), in_folder(against), strict=True):
        now = replay(seed, days, ruleset)
        screens += len(now)
        for one, old, new in differences(before, now):
            key = tuple(re.sub(r"\d+", "0", row) for row in (old, new))
            found.setdefault(key, []).append((one, old, new))
    for alike in sorted(found.values(), key=len, reverse=True):
        one, old, new = alike[0]
        print(f"{len(alike)} x, first {one}\n- {old}\n+ {new}")
    print(f"{sum(map(len, found.values()))} of {screens} screens differ.")
    return int(bool(found))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
