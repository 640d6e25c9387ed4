"""One measurement in a process of its own: `python -m tests.benchmarks.child WHAT ...`.

run.py starts it, so that no measurement carries the memory of another. Prints one JSON object
on standard output; `peak` runs the program itself and prints its JSON on standard error.
"""

from __future__ import annotations

import contextlib
import gc
import json
import resource
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from assistant.__main__ import OBJECTS_MADE
from assistant.choosing.agenda import agenda
from assistant.journal.entries import Context, Entry, Said, TookBack, fold
from assistant.journal.file import JournalFile, read_journal
from assistant.reading.danger_words import dangers_told
from assistant.reasoning import inferring
from assistant.reasoning.consultation import Consultation, consult
from assistant.reasoning.engine import Engine
from assistant.reasoning.facts import Fact, Readings
from assistant.reasoning.inferring import engine_for
from assistant.report.lines import Line
from assistant.ruleset.load import load_ruleset
from assistant.ruleset.ruleset import Ruleset
from assistant.talk.asking import Left, wrapped
from assistant.talk.talk import Talk
from tests.benchmarks.walks import CLEAN, RULESET, all_walks, clean_walk, steps

Milliseconds = list[float]


def main(arguments: list[str]) -> int:
    what, *rest = arguments
    gc.set_threshold(OBJECTS_MADE)
    if what == "peak":
        return _peak(rest)
    work: dict[str, Callable[..., dict[str, Any]]] = {
        "answers": answers,
        "talk": talk,
        "stored": stored,
        "growth": growth,
    }
    print(json.dumps(work[what](*rest)))
    return 0


def _peak(arguments: list[str]) -> int:
    """The program itself, with its peak of memory on standard error at the end."""
    from assistant.cli import run

    code = 0
    try:
        code = run(arguments)
    finally:
        sys.stderr.write(json.dumps({"peak_mb": peak_mb(), "code": code}) + "\n")
    return 0


def peak_mb() -> float:
    """The most memory this process ever held, in MB. /proc, since ru_maxrss is inherited."""
    with contextlib.suppress(OSError):
        for line in Path("/proc/self/status").read_text().splitlines():
            if line.startswith("VmHWM:"):
                return int(line.split()[1]) / 1000
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return peak / (1e6 if sys.platform == "darwin" else 1e3)


def timed(work: Callable[[], Any]) -> tuple[float, Any]:
    """Milliseconds, and what came of it."""
    start = time.perf_counter()
    result = work()
    return (time.perf_counter() - start) * 1000, result


def fresh_engine(ruleset: Ruleset) -> float:
    """A new engine with nothing cached, prepared; returns the milliseconds it took."""
    inferring._ENGINES.clear()
    gc.collect()
    return timed(lambda: engine_for(ruleset).prepare())[0]


def told(ruleset: Ruleset, journal: list[Entry]) -> list[Fact]:
    """The facts that a consultation starts from, for CLIPS; made after all that is timed."""
    state = fold(journal)
    without = inferring.not_this_car(engine_for(ruleset), state)
    return list(Readings(ruleset, state, without).facts())


class _EngineClock:
    """Adds up what is spent inside Engine.run, as part of a consultation."""

    def __init__(self) -> None:
        self.spent = 0.0
        whole = Engine.run

        def run(engine: Engine, readings: Readings, of_the_car: bool = False) -> Any:
            start = time.perf_counter()
            try:
                return whole(engine, readings, of_the_car)
            finally:
                self.spent += (time.perf_counter() - start) * 1000

        Engine.run = run  # type: ignore[method-assign]

    def take(self) -> float:
        spent, self.spent = self.spent, 0.0
        return spent


def _next_question(ruleset: Ruleset, journal: list[Entry]) -> Consultation:
    found = consult(ruleset, journal)
    agenda(found)
    return found


# answers and undo ---------------------------------------------------------------------------


def answers(runs: str) -> dict[str, Any]:
    """Consult and agenda after each answer, after each undo, and for whole journals at once."""
    ruleset = load_ruleset(RULESET)
    clock = _EngineClock()
    engine_for(ruleset).prepare()
    walks = all_walks(ruleset)
    journals = {
        "answer": {name: list(steps(journal)) for name, journal in walks.items()},
        "undo": {name: list(_undone(journal)) for name, journal in walks.items()},
        "whole": {name: [journal] for name, journal in walks.items()},
    }
    times: dict[str, list[dict[str, Milliseconds]]] = {
        part: [] for part in ("answer", "engine", "processor", "undo", "whole")
    }
    prepare: Milliseconds = []
    for _ in range(int(runs)):
        for part in times.values():
            part.append({name: [] for name in walks})
        for name in walks:
            for part in ("whole", "answer", "undo"):
                if part != "undo":
                    prepare.append(fresh_engine(ruleset))
                for journal in journals[part][name]:
                    clock.take()
                    before = time.process_time()
                    spent, _found = timed(lambda j=journal: _next_question(ruleset, j))
                    times[part][-1][name].append(spent)
                    if part == "answer":
                        worked = (time.process_time() - before) * 1000
                        times["processor"][-1][name].append(worked)
                        times["engine"][-1][name].append(clock.take())
    clips = {
        part: {name: _clips_times(ruleset, some) for name, some in of_walk.items()}
        for part, of_walk in journals.items()
    }
    clips["engine"] = clips["answer"]
    return {
        "times": times,
        "clips": clips,
        "prepare": prepare,
        "answers": {name: len(of_walk) for name, of_walk in journals["answer"].items()},
        "questions": len(ruleset.questions),
        "rules": sum(1 for _ in ruleset.rules),
        "inferences": len(ruleset.inferences),
    }


def _undone(journal: list[Entry]) -> Iterator[list[Entry]]:
    """The journal after every third answer and after the last, each with that answer undone."""
    every = list(steps(journal))
    for so_far in [*every[::3], every[-1]]:
        turn = so_far[-1].turn
        yield [*so_far, TookBack(turn=turn + 1, of=turn)]


_CLIPS: dict[str, Any] = {}


def _clips_times(ruleset: Ruleset, journals: list[list[Entry]]) -> Milliseconds:
    """CLIPS on the same facts, each time from a reset. Built last, when nothing else is timed."""
    from tests.support.clips_form import ClipsRuleset

    if ruleset.digest not in _CLIPS:
        _CLIPS.clear()
        _CLIPS[ruleset.digest] = ClipsRuleset(ruleset)
    other = _CLIPS[ruleset.digest]
    facts = (told(ruleset, journal) for journal in journals)
    return [timed(lambda f=some: other.run(f))[0] for some in facts]


# the talk -----------------------------------------------------------------------------------


class _Person:
    """Types what was typed in a demo, and notes how long each next question took to come."""

    def __init__(self, journal: list[Entry]) -> None:
        self.talk: Talk | None = None
        self.waits: Milliseconds = []
        self.asked = 0.0
        self.words: dict[str, str] = {}
        for entry in journal:
            if isinstance(entry, Said):
                at = f"{entry.question}@{entry.at}" if entry.at else entry.question
                self.words.setdefault(at, entry.words)
                if entry.group:
                    self.words.setdefault(entry.group, entry.words)

    def show(self, lines: list[Line]) -> None:
        for line in lines:
            wrapped(line, 79)

    def ask(self, prompt: str) -> str:
        if self.asked:
            self.waits.append((time.perf_counter() - self.asked) * 1000)
        assert self.talk is not None
        now = self.talk.plan.next
        if "(yes or no)" in prompt:
            words = "yes"
        elif now is None or now.key not in self.words:
            raise Left
        else:
            words = self.words.pop(now.key)
        self.asked = time.perf_counter()
        return words


def talk(demo: str) -> dict[str, Any]:
    """A demo as a talk, words to next question: understanding, disk, reasoning, phrasing."""
    journal = read_journal(Path(demo))
    start = journal[0]
    assert isinstance(start, Context)
    ruleset = load_ruleset(RULESET)
    dangers_told(ruleset, "be ready")  # as while the name of the car is typed
    engine_for(ruleset).prepare()
    person = _Person(journal)
    with (
        tempfile.TemporaryDirectory() as folder,
        JournalFile.create(Path(folder) / "talk.jsonl", start) as file,
    ):
        person.talk = Talk(ruleset, file, person)
        person.talk.run()
    return {"waits": person.waits, "peak_mb": peak_mb()}


# stored consultations -----------------------------------------------------------------------


def stored(path: str) -> dict[str, Any]:
    """The fact sets of an answers file, given to our engine alone and to CLIPS."""
    from assistant.batch.answers_file import AnswersReader

    ruleset = load_ruleset(RULESET)
    today = all_walks(ruleset)[CLEAN][0]
    assert isinstance(today, Context)
    text = Path(path).read_text(encoding="utf-8")
    journals = [g.journal for g in AnswersReader(lambda _: ruleset, today.today).read("", text)]
    fresh_engine(ruleset)
    spent = sum(timed(lambda j=journal: consult(ruleset, j))[0] for journal in journals)
    clips = sum(_clips_times(ruleset, journals))
    return {"count": len(journals), "consult_s": spent / 1000, "clips_s": clips / 1000}


# growth -------------------------------------------------------------------------------------


def growth(folder: str, cache: str, times: str, walk: str) -> dict[str, Any]:
    """Loading, compiling and answering with a ruleset written several times over."""
    from tests.benchmarks.repeated import repeat_journal

    first = load_ruleset(RULESET)
    original = read_journal(Path(walk)) if walk else clean_walk(first)
    plain = consult(first, original)
    inferring._ENGINES.clear()
    load, ruleset = timed(lambda: load_ruleset(Path(folder)))
    load_ruleset(Path(folder), Path(cache))
    load_again, ruleset = timed(lambda: load_ruleset(Path(folder), Path(cache)))
    ready = fresh_engine(ruleset)
    answer: Milliseconds = []
    found = plain
    journals = list(steps(repeat_journal(original, int(times))))
    for so_far in journals:
        spent, found = timed(lambda j=so_far: _next_question(ruleset, j))
        answer.append(spent)
    if len(found.findings) != int(times) * len(plain.findings) or found.faults:
        raise SystemExit("the copies of the ruleset do not find what the ruleset finds")
    fewer = journals[:: max(1, len(journals) // 60)]
    build, _ = timed(lambda: _clips_times(ruleset, []))
    return {
        "questions": len(ruleset.questions),
        "rules": sum(1 for _ in ruleset.rules),
        "load": load,
        "load_again": load_again,
        "ready": ready,
        "answer": answer,
        "clips_build": build,
        "clips": _clips_times(ruleset, fewer),
    }


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
