"""How long things take: `python -m tests.benchmarks.run [--quick]`. Printed, never asserted.

Every measurement runs in a process of its own (child.py). Beside each figure of reasoning
stands CLIPS on the same facts in the same run, from a reset each time; our figure also holds
making the facts, comparing each firing with a plain reading, the findings and the agenda.
"""

from __future__ import annotations

import argparse
import datetime as dt
import json
import os
import platform
import select
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pexpect

from assistant.choosing.agenda import agenda
from assistant.journal.entries import Context
from assistant.reasoning.consultation import consult
from assistant.ruleset.load import load_ruleset
from tests.benchmarks.repeated import repeat_ruleset
from tests.benchmarks.walks import DAY, DEMOS, ROOT, RULESET, write_answers

START_AIM, ANSWER_AIM, ANSWER_WORST_AIM, UNDO_AIM = 350.0, 12.0, 45.0, 100.0
MEMORY_AIM, STORED_AIM = 120.0, 20.0
SEED = 20260302
PATIENCE = 30.0
HEADS = ("", "n", "median", "95 %", "worst", "best", "aim", "", "CLIPS", "worst", "ratio")


@dataclass
class Row:
    """One line of the table; empty cells stay empty. ratio: ours by CLIPS, median by median."""

    label: str
    cells: dict[str, str]

    def shown(self) -> list[str]:
        keys = (
            "n",
            "median",
            "p95",
            "worst",
            "best",
            "aim",
            "met",
            "clips",
            "clips_worst",
            "ratio",
        )
        return [self.label, *(self.cells.get(key, "") for key in keys)]


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.run", description=__doc__)
    parser.add_argument("--quick", action="store_true", help="fewer runs and smaller sizes")
    quick = parser.parse_args().quick
    began = time.perf_counter()
    rows: list[Row] = []
    with tempfile.TemporaryDirectory(prefix="sidelight-benchmark-") as name:
        folder = Path(name)
        head = machine()
        print("\n".join(head), flush=True)
        try:
            for part in (starts, reasoning, memory, stored, many, growth):
                print(f"... {part.__name__}", file=sys.stderr, flush=True)
                rows += part(folder, quick)
        finally:
            print_table(rows)
    print("\n".join(NOTES))
    print(f"Load of the machine now (1, 5, 15 minutes): {load_words()}.")
    print(f"All of this took {time.perf_counter() - began:.0f} s.")
    return 0


NOTES = (
    "",
    "Times are in milliseconds. 'best' is the smallest of all single times where a start is",
    "measured, else the worst of the steps when each step counts with its best run. 'met' and",
    "'missed' go by the median and the worst of all runs, never by the best.",
    "ratio is our median by the CLIPS median; below 1 we are quicker.",
    "CLIPS is told the same facts after a reset each time, and only decides the conditions.",
)


def machine() -> list[str]:
    return [
        f"Sidelight benchmarks, {dt.datetime.now():%Y-%m-%d %H:%M}",
        f"{platform.system()} {platform.machine()}, {processor()}, {cores()} cores, "
        f"Python {platform.python_version()}",
        f"Load of the machine before (1, 5, 15 minutes): {load_words()}",
    ]


def cores() -> int:
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def processor() -> str:
    try:
        for line in Path("/proc/cpuinfo").read_text().splitlines():
            if line.startswith("model name"):
                return line.partition(":")[2].strip()
    except OSError:
        pass
    return platform.processor() or "processor not known"


def load_words() -> str:
    return " ".join(f"{x:.1f}" for x in os.getloadavg()) if hasattr(os, "getloadavg") else "?"


def child(*arguments: str, cache: Path | None = None) -> dict[str, Any]:
    """Runs one measurement of child.py and returns what it printed."""
    done = subprocess.run(
        [sys.executable, "-m", "tests.benchmarks.child", *arguments],
        cwd=ROOT,
        env=environment(cache),
        stdout=subprocess.PIPE,
        check=True,
    )
    result: dict[str, Any] = json.loads(done.stdout.splitlines()[-1])
    return result


def environment(cache: Path | None, term: str = "dumb") -> dict[str, str]:
    """What a person's shell has; Python keeps what it has compiled, as it does for a person."""
    kept = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    more = {"XDG_CACHE_HOME": str(cache)} if cache else {}
    return {**kept, **more, "TERM": term, "PYTHONPATH": str(ROOT), "COLUMNS": "100"}


# the table ----------------------------------------------------------------------------------


def middle(values: Iterable[float]) -> float:
    return statistics.median(values)


def part_of(values: Iterable[float], share: float) -> float:
    """The value that `share` of all are not above."""
    ordered = sorted(values)
    return ordered[min(len(ordered) - 1, int(share * len(ordered)))]


def met(*pairs: tuple[float, float]) -> str:
    return "met" if all(value < aim for value, aim in pairs) else "missed"


def times_row(
    label: str,
    values: list[float],
    *,
    best: float | None = None,
    aim: str = "",
    verdict: str = "",
    clips: list[float] | None = None,
) -> Row:
    cells = {
        "n": str(len(values)),
        "median": f"{middle(values):.1f}",
        "p95": f"{part_of(values, 0.95):.1f}",
        "worst": f"{max(values):.1f}",
        "aim": aim,
        "met": verdict,
    }
    if best is not None:
        cells["best"] = f"{best:.1f}"
    if clips:
        cells |= {
            "clips": f"{middle(clips):.1f}",
            "clips_worst": f"{max(clips):.1f}",
            "ratio": f"{middle(values) / middle(clips):.2f}",
        }
    return Row(label, cells)


def title(text: str) -> Row:
    return Row(f"- {text}", {})


def print_table(rows: list[Row]) -> None:
    shown = [list(HEADS), *(row.shown() for row in rows)]
    widths = [max(len(r[i]) for r in shown if any(r[1:])) for i in range(len(HEADS))]
    print()
    for row in shown:
        if not any(row[1:]):
            print(f"\n{row[0].removeprefix('- ')}")
            continue
        cells = [row[0].ljust(widths[0])]
        cells += [c.rjust(w) for c, w in zip(row[1:6], widths[1:6], strict=True)]
        cells += [c.ljust(w) for c, w in zip(row[6:8], widths[6:8], strict=True)]
        cells += [c.rjust(w) for c, w in zip(row[8:], widths[8:], strict=True)]
        print("  ".join(cells).rstrip())


# start --------------------------------------------------------------------------------------


def starts(folder: Path, quick: bool) -> list[Row]:
    """Fresh processes until the first question can be read."""
    runs = 4 if quick else 10
    ruleset = load_ruleset(RULESET)
    plan = agenda(consult(ruleset, [Context(today=DAY, ruleset=ruleset.about.name)]))
    question, second = (
        ruleset.questions[str(p.question)].ask[:20].encode() for p in plan.prompts[:2]
    )
    name = b"What shall I call this car?"
    known = ["--car", "Bench"]
    cache = folder / "cache"
    to_name: list[float] = []
    plain: list[float] = []
    rich: list[float] = []
    again: list[float] = []
    bare: list[float] = []
    hasty: list[float] = []
    newcomer = plain_start(folder, folder / "empty0", [], name)
    cold = plain_start(folder, folder / "empty1", known, question)
    cold_rich = rich_start(folder, folder / "empty3", known, question)
    hasty_cold = plain_start(folder, folder / "empty2", known, second, typed=b"2016\n")
    begun = folder / "begun"
    plain_start(folder, cache, known, second, typed=b"2016\n", records=begun)
    for _ in range(runs):
        bare.append(bare_start())
        to_name.append(plain_start(folder, cache, [], name))
        plain.append(plain_start(folder, cache, known, question))
        rich.append(rich_start(folder, cache, known, question))
        again.append(
            plain_start(folder, cache, known, b"There is an unfinished walk", records=begun)
        )
        hasty.append(plain_start(folder, cache, known, second, typed=b"2016\n"))
    rows = [title("start to first question (aim 350, median and worst)")]
    rows.append(times_row("an empty Python, for comparison", bare, best=min(bare)))
    for label, values in (
        ("plain, pipe, cold cache, a new person", [newcomer]),
        ("plain, pipe, warm, a new person", to_name),
        ("plain, pipe, warm, car named", plain),
        ("rich, pseudo-terminal, warm, car named", rich),
    ):
        verdict = met((max(values), START_AIM))
        rows.append(times_row(label, values, best=min(values), aim="350", verdict=verdict))
    rows.append(title("other starts, without an aim"))
    for label, values in (
        ("plain, pipe, cold cache, car named", [cold]),
        ("rich, pseudo-terminal, cold cache, car named", [cold_rich]),
        ("an unfinished walk: to 'go on with it?', plain, warm", again),
        ("answered at once, to the second question, cold cache", [hasty_cold]),
        ("answered at once, to the second question, warm", hasty),
    ):
        rows.append(times_row(label, values, best=min(values)))
    return rows


def command(records: Path, more: list[str]) -> list[str]:
    return ["-m", "assistant", "--records", str(records), *more]


def bare_start() -> float:
    start = time.perf_counter()
    subprocess.run([sys.executable, "-c", "pass"], check=True)
    return (time.perf_counter() - start) * 1000


def plain_start(
    folder: Path,
    cache: Path,
    more: list[str],
    text: bytes,
    typed: bytes = b"",
    records: Path | None = None,
) -> float:
    """Standard input is a pipe held open. typed: what is in it; then no more answers come."""
    records = records or Path(tempfile.mkdtemp(dir=folder))
    start = time.perf_counter()
    process = subprocess.Popen(
        [sys.executable, *command(records, ["--plain", *more])],
        cwd=ROOT,
        env=environment(cache),
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
    )
    assert process.stdin is not None and process.stdout is not None
    process.stdin.write(typed)
    process.stdin.flush()
    seen = b""
    try:
        while text not in seen:
            ready, _, _ = select.select([process.stdout], [], [], PATIENCE)
            got = os.read(process.stdout.fileno(), 65536) if ready else b""
            if not got:
                raise SystemExit(f"the first question did not come; seen: {seen[-500:]!r}")
            seen += got
        return (time.perf_counter() - start) * 1000
    finally:
        process.kill()
        process.communicate()


def rich_start(folder: Path, cache: Path, more: list[str], text: bytes) -> float:
    """A real pseudo-terminal with colour."""
    records = Path(tempfile.mkdtemp(dir=folder))
    start = time.perf_counter()
    process = pexpect.spawn(
        sys.executable,
        command(records, more),
        cwd=str(ROOT),
        env=environment(cache, "xterm-256color"),
        dimensions=(40, 100),
        timeout=PATIENCE,
    )
    try:
        process.expect_exact(text)
        return (time.perf_counter() - start) * 1000
    finally:
        process.close(force=True)


# reasoning ----------------------------------------------------------------------------------


def reasoning(folder: Path, quick: bool) -> list[Row]:
    """Answer to next question, undo, whole consultations, and the talk around them."""
    runs = 2 if quick else 5
    data = child("answers", str(runs))
    walks = list(data["answers"])
    rows = [
        title(
            f"answer to next question: consult and agenda, {data['questions']} questions, "
            f"{data['rules']} rules, {data['inferences']} conditions, {runs} runs, "
            "engine prepared, nothing cached before each walk"
        )
    ]
    for walk in walks:
        rows.append(_part_row(f"{walk}, {data['answers'][walk]} answers", data, "answer", [walk]))
    both = f"{ANSWER_AIM:.0f} median, {ANSWER_WORST_AIM:.0f} worst"
    aims = (ANSWER_AIM, ANSWER_WORST_AIM)
    rows.append(_part_row("all of them", data, "answer", walks, both, aims))
    rows.append(_part_row("the same, in processor time", data, "processor", walks))
    rows.append(_part_row("of which Engine.run", data, "engine", walks))
    rows.append(_part_row("a whole journal at once, nothing cached", data, "whole", walks))
    rows.append(times_row("Engine and prepare", data["prepare"], best=min(data["prepare"])))
    demos = sorted(DEMOS.glob("*.jsonl"))
    spoken = [[child("talk", str(d))["waits"] for d in demos] for _ in range(1 if quick else 3)]
    every = [x for run in spoken for waits in run for x in waits]
    best = best_worst(spoken)
    rows.append(times_row("the whole turn of talk: words to next question", every, best=best))
    rows.append(title("undo: a step back, consult and agenda"))
    aims = (UNDO_AIM, UNDO_AIM)
    rows.append(_part_row("after every third answer", data, "undo", walks, "100", aims))
    return rows


def best_worst(runs: list[list[list[float]]]) -> float:
    """The worst step of all walks when each step counts with its best run."""
    steps = [[x for walk in run for x in walk] for run in runs]
    return max(min(same) for same in zip(*steps, strict=True))


def _part_row(
    label: str,
    data: dict[str, Any],
    part: str,
    walks: list[str],
    aim: str = "",
    aims: tuple[float, float] | None = None,
) -> Row:
    runs = data["times"][part]
    values = [x for run in runs for walk in walks for x in run[walk]]
    best = best_worst([[run[walk] for walk in walks] for run in runs])
    verdict = met((middle(values), aims[0]), (max(values), aims[1])) if aims else ""
    clips = [x for walk in walks for x in data["clips"].get(part, {}).get(walk, [])]
    return times_row(label, values, best=best, aim=aim, verdict=verdict, clips=clips)


# memory -------------------------------------------------------------------------------------


def memory(folder: Path, quick: bool) -> list[Row]:
    """The peak of a process that judges a demo, and of one that holds the talk."""
    rows = [title("memory at its peak, MB (aim 120)")]
    cache = folder / "cache"
    for path in sorted(DEMOS.glob("*.jsonl"))[: 1 if quick else None]:
        rows.append(_memory_row(f"judge {path.stem}", _peak(cache, "judge", str(path))))
        rows.append(_memory_row(f"talk {path.stem}", child("talk", str(path))["peak_mb"]))
    return rows


def _peak(cache: Path, *arguments: str) -> float:
    done = subprocess.run(
        [sys.executable, "-m", "tests.benchmarks.child", "peak", *arguments],
        cwd=ROOT,
        env=environment(cache),
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        check=True,
    )
    return float(json.loads(done.stderr.splitlines()[-1])["peak_mb"])


def _memory_row(label: str, peak: float) -> Row:
    verdict = met((peak, MEMORY_AIM))
    return Row(label, {"n": "1", "worst": f"{peak:.0f}", "aim": "120", "met": verdict})


# stored consultations -----------------------------------------------------------------------


def stored(folder: Path, quick: bool) -> list[Row]:
    """Many answers files through one `judge --json`."""
    count = 100 if quick else 1000
    path = folder / "answers.jsonl"
    counts = write_answers(load_ruleset(RULESET), path, count, SEED)
    walks = folder / "walks.jsonl"
    walks.write_text("\n".join(path.read_text().splitlines()[::2]))
    alike, _ = judged(walks, folder / "cache")
    seconds, results = judged(path, folder / "cache")
    if len(results) != count:
        raise SystemExit(f"{count} consultations were given, and {len(results)} judged")
    broken = sum(1 for line in results if json.loads(line).get("engine_faults"))
    alone = child("stored", str(path), cache=folder / "cache")
    rows = [
        title(
            f"{count} stored consultations, one command: half are demos with a fifth of the "
            f"answers changed at random, half worked cases with random answers; "
            f"{counts['answers']} answers, {counts['left_out']} left out as not understood"
        )
    ]
    clips = alone["clips_s"]

    def row(label: str, seconds: float, number: int = count, aim: bool = False) -> Row:
        rate = number / seconds
        cells = {"n": str(number), "median": f"{rate:.1f}"}
        if number == count:
            cells |= {"clips": f"{count / clips:.1f}", "ratio": f"{seconds / clips:.2f}"}
        if aim:
            cells |= {"aim": "20", "met": "met" if rate >= STORED_AIM else "missed"}
        return Row(label, cells)

    rows.append(row("the changed demos alone, a second", alike, count // 2, aim=True))
    rows.append(row("judge --json, a second", seconds, aim=True))
    rows.append(row("consult alone, a second", alone["consult_s"]))
    if broken:
        rows.append(Row("results with a fault of ours", {"n": str(broken)}))
    return rows


def many(folder: Path, quick: bool) -> list[Row]:
    """Ten thousand consultations through one `judge --json` on one core: how fast, how large."""
    count = 500 if quick else 10_000
    path = folder / "many.jsonl"
    write_answers(load_ruleset(RULESET), path, count, SEED)
    start = time.perf_counter()
    peak = _peak(folder / "cache", "judge", "--json", "--exit-zero", str(path))
    rate = count / (time.perf_counter() - start)
    return [
        title(f"{count} consultations through one command, on one core"),
        Row("judge --json, a second", {"n": str(count), "median": f"{rate:.1f}"}),
        Row("memory at its peak, MB", {"n": str(count), "worst": f"{peak:.0f}"}),
    ]


def judged(path: Path, cache: Path) -> tuple[float, list[bytes]]:
    """The seconds that `judge --json` takes for a file, and the lines that it prints."""
    start = time.perf_counter()
    done = subprocess.run(
        [sys.executable, "-m", "assistant", "judge", "--json", "--exit-zero", str(path)],
        cwd=ROOT,
        env=environment(cache),
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        check=False,
    )
    return time.perf_counter() - start, done.stdout.splitlines()


# growth -------------------------------------------------------------------------------------


def growth(folder: Path, quick: bool) -> list[Row]:
    """The ruleset once, twice, four and eight times over."""
    demo = DEMOS / "falling-brake-fluid.jsonl"
    walk = str(demo) if demo.exists() else ""
    what = "falling-brake-fluid" if walk else "the clean walk"
    rows = [title(f"growth: the ruleset repeated, {what} answered once for each copy")]
    for times in (1, 2) if quick else (1, 2, 4, 8):
        copy = folder / f"times{times}"
        repeat_ruleset(RULESET, copy, times)
        data = child("growth", str(copy), str(folder / f"cache{times}"), str(times), walk)
        size = f"{data['questions']} questions, {data['rules']} rules"
        rows.append(times_row(f"x{times}: {size}: answer", data["answer"], clips=data["clips"]))
        one = [("load, YAML", "load"), ("load, cached", "load_again")]
        rows += [Row(f"x{times}: {label}", {"worst": f"{data[key]:.0f}"}) for label, key in one]
        rows.append(
            Row(
                f"x{times}: compile (Engine and prepare; building in CLIPS)",
                {"worst": f"{data['ready']:.0f}", "clips_worst": f"{data['clips_build']:.0f}"},
            )
        )
    return rows


if __name__ == "__main__":
    sys.exit(main())
