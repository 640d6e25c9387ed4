"""Many walks by hand: `python -m tests.support.owner 10000 [--from SEED] [--show SEED]`."""

from __future__ import annotations

import argparse
import sys
import time
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

from assistant.journal.file import read_journal
from assistant.reasoning.consultation import consult
from assistant.ruleset.load import load_ruleset
from assistant.ruleset.ruleset import Ruleset
from tests.support.owner.walks import Walk, walk

ROOT = Path(__file__).resolve().parent.parent.parent.parent


def main(arguments: list[str]) -> int:
    """Prints how many walks, each kind of fault with an example, and how the walks ended."""
    parser = argparse.ArgumentParser(prog="python -m tests.support.owner")
    parser.add_argument("walks", type=int, nargs="?", default=100)
    parser.add_argument("--from", dest="first", type=int, default=0, help="the first seed")
    parser.add_argument("--show", type=int, help="the whole of one walk")
    options = parser.parse_args(arguments)
    ruleset = load_ruleset(ROOT / "rulesets" / "gb-cars")
    if options.show is not None:
        one = walk(options.show, ruleset)
        print(one.transcript())
        print(one.report(most=100))
        return 0
    began = time.process_time()
    faults: Counter[tuple[str, str]] = Counter()
    example: dict[tuple[str, str], tuple[int, str]] = {}
    ends: Counter[tuple[str, str]] = Counter()
    bad = turns = 0
    for seed in range(options.first, options.first + options.walks):
        one = walk(seed, ruleset)
        turns += one.owner.turns
        bad += bool(one.faults)
        ends[(sort_of(one), one.ended)] += 1
        for fault, _ in one.faults:
            key = (fault.invariant, fault.kind)
            faults[key] += 1
            example.setdefault(key, (seed, fault.detail))
    demos = Counter(demo_headlines(ruleset))
    spent = time.process_time() - began
    print(f"{options.walks} walks with {turns} questions in {spent:.0f} s of CPU; "
          f"{bad} with a fault, {len(faults)} kinds of faults.")  # fmt: skip
    for (invariant, kind), count in faults.most_common():
        seed, detail = example[(invariant, kind)]
        print(f"{count:6}  {invariant}: {kind}\n        seed {seed}: {detail[:160]}")
    print("How the walks ended:")
    for (sort, ended), count in sorted(ends.items()):
        print(f"{count:6}  {sort}: {ended}")
    print("How the demos end: " + ", ".join(f"{kind} {n}" for kind, n in sorted(demos.items())))
    return 1 if faults else 0


def demo_headlines(ruleset: Ruleset) -> Iterator[str]:
    """The headline at the end of each demo."""
    for path in sorted((ROOT / "transcripts_demo").glob("*.jsonl")):
        yield consult(ruleset, read_journal(path)).headline.kind


def sort_of(one: Walk) -> str:
    """The sort of car, and whether everything on it was asked."""
    sort = one.car.sort
    oracle = one.owner.oracle
    if oracle.clouded or oracle.vague:
        return "other"
    seen = one.done and not oracle.timed and "hidden" not in oracle.answered.values()
    if sort == "sound, all seen" and not seen:
        return "sound, partly seen"
    return sort


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
