"""The ruleset that the growth benchmark measures: each copy is whole and reads only itself."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml

from assistant.authoring.check.cases import case_journal
from assistant.journal.file import read_journal
from assistant.reasoning import inferring
from assistant.reasoning.consultation import consult
from assistant.reasoning.engine import Engine
from assistant.ruleset.condition import leaves
from assistant.ruleset.load import load_ruleset
from assistant.ruleset.ruleset import Ruleset
from tests.benchmarks import child
from tests.benchmarks.repeated import repeat_journal, repeat_ruleset
from tests.benchmarks.walks import DEMOS, steps
from tests.support.broken import changed, rule

COPY = "_x2"
TOLD = rule(
    "told_danger",
    "told_fluid_went == 'yes'",
    "told_fluid_went: 'yes'",
    "told_fluid_went: 'no'",
    "urgency: do_not_drive",
    "do: Look whether it is wet.",
    "who: garage",
)
DRY = rule(
    "seen_dry",
    "wet == 'no' and told_fluid_went == 'yes'",
    "wet: 'no', told_fluid_went: 'yes'",
    "wet: 'yes'",
    "gives_way_to: [leaking]",
    "lowers: [told_danger]",
)
WORRY = (
    "  worry: {ask: Any worry?, label: worry, kind: note, place: memory, how: Say., seconds: 5}\n"
)
BOTH = "both_may_stand: [{rules: [bell_dumb], beside: [bell_gone], because: A test.}]\n"
WORDS = {
    "words": {"fluid_went": ["the fluid has gone"]},
    "same": [["fluid", "oil"]],
    "ask_first": {"dry": {"hear": ["gone"], "say": "Stop.", "ask": ["level"]}},
}


def told_tiny(path: Path) -> Path:
    """The tiny ruleset with what it has none of: a worry that is told, and rules about it."""
    folder = changed(
        path,
        ("questions:\n", f"questions:\n{WORRY}"),
        ("symptoms:\n", f"{TOLD}{DRY}symptoms:\n"),
        ("    when: falling\n", "    when: falling or told_fluid_went == 'yes'\n"),
        ("tester_only:\n", f"{BOTH}tester_only:\n"),
    )
    with (folder / "ruleset.yaml").open("a") as about:
        about.write("worry: worry\n")
    (folder / "words.yaml").write_text(yaml.safe_dump(WORDS))
    return folder


def named_by(ruleset: Ruleset, system: str) -> set[str]:
    """All that the rules and conditions of one system read, ask and refer to."""
    file, names = ruleset.systems[system], set()
    for inference in ruleset.inferences.values():
        if inference.system == system:
            names |= {leaf.name for leaf in leaves(inference.condition)}
    for one in file.rules:
        names |= {*one.gives_way_to, *one.lowers, *(one.asks.questions if one.asks else ())}
    for both in file.both_may_stand:
        names |= {*both.rules, *both.beside}
    return names


def test_a_copy_of_a_system_is_whole_and_reads_only_itself(tmp_path: Path) -> None:
    once = load_ruleset(told_tiny(tmp_path))
    repeat_ruleset(once.folder, tmp_path / "twice", 2)
    twice = load_ruleset(tmp_path / "twice")
    assert len(twice.inferences) == 2 * len(once.inferences)
    assert {n for n in named_by(twice, f"parts{COPY}") if not n.endswith(COPY)} == set()
    assert {n for n in named_by(twice, "parts") if n.endswith(COPY)} == set()
    assert twice.words is not None and once.words is not None
    assert twice.words.same == once.words.same
    assert twice.words.words.keys() == {"fluid_went", f"fluid_went{COPY}"}
    assert [one.ask for one in twice.words.ask_first.values()] == [["level"], [f"level{COPY}"]]


def test_the_copies_together_find_what_the_ruleset_finds_once_each(tmp_path: Path) -> None:
    once = load_ruleset(told_tiny(tmp_path))
    repeat_ruleset(once.folder, tmp_path / "twice", 2)
    twice = load_ruleset(tmp_path / "twice")
    journal = case_journal(once, {"level": "low", "wet@right": "yes", "told_fluid_went": "yes"})
    found = {f.rule.rule for f in consult(once, journal).findings}
    both = {f.rule.rule for f in consult(twice, repeat_journal(journal, 2)).findings}
    assert {"leaking", "told_danger"} <= found
    assert both == found | {f"{name}{COPY}" for name in found}


def test_every_measurement_of_answers_runs(monkeypatch: pytest.MonkeyPatch) -> None:
    """On a few answers of one demo; the figures are times, so only that they are there counts."""
    few = read_journal(DEMOS / "falling-brake-fluid.jsonl")[:9]
    monkeypatch.setattr(Engine, "run", Engine.run)  # the measurement puts a clock round it
    monkeypatch.setattr(inferring, "_ENGINES", {})
    monkeypatch.setattr(child, "all_walks", lambda _: {"a few answers": few})
    found = child.answers("1")
    assert found["answers"] == {"a few answers": len(list(steps(few)))}
    for part in ("answer", "engine", "undo", "whole"):
        ours, theirs = found["times"][part][0]["a few answers"], found["clips"][part]
        if part != "engine":
            assert len(ours) == len(theirs["a few answers"])
        assert ours and min(ours) > 0 and min(theirs["a few answers"]) > 0
    for whole, engine in zip(*(found["times"][p][0]["a few answers"] for p in ("answer", "engine")),
                             strict=True):  # fmt: skip
        assert engine < whole
