"""What lowers a told danger is asked in a way that is allowed, or the reason stands beside it."""

from __future__ import annotations

import argparse
import shutil
from pathlib import Path

import pytest

from assistant.authoring.check.lowering import lowering_problems, unlowered_lines
from assistant.authoring.command import run_rules
from assistant.errors import InputError
from assistant.ruleset.load import load_ruleset
from assistant.ruleset.ruleset import Ruleset
from tests.conftest import ROOT

SOURCE = ROOT / "rulesets" / "gb-cars"
REASON = "    unlowered: Nuts that are all there can still be loose. Only a torque wrench tells.\n"
TUGS = '    asks: {questions: [belt_tug], because: "Sharp tugs show whether it locks."}\n'


def test_all_reasons_of_the_shipped_rules_are_printed(
    gb_cars: Ruleset, capsys: pytest.CaptureFixture[str]
) -> None:
    assert list(lowering_problems(gb_cars)) == []
    lines = unlowered_lines(gb_cars)
    assert any(line.startswith("  recent_red_brake: The parking brake was said") for line in lines)
    assert any("told in words, fuel_leak: " in line for line in lines)
    options = argparse.Namespace(
        rules_command="check", folder=None, ruleset=None, hazards=False, cases=False
    )
    assert run_rules(options, lambda _: gb_cars, lambda *_: None, lambda *_: 0) == 0
    printed = capsys.readouterr().out
    assert "can lower, and why:" in printed and all(line in printed for line in lines)


@pytest.mark.parametrize(
    ("file", "old", "new", "says"),
    [
        ("tyres.yaml", REASON, "", "told_nuts: nothing lowers this danger that was told"),
        ("words.yaml", REASON, "", "wheel_loose: nothing lowers this danger that was told"),
        (
            "tyres.yaml",
            "  - rule: told_bulge\n",
            "  - rule: told_bulge\n    unlowered: It is a lump.\n",
            "told_bulge: something lowers this danger; take out",
        ),
        (
            "belts.yaml",
            TUGS,
            "",
            "told_belt_no_lock_danger: told_belt_stops_at_tugs reads belt_tug, which this danger "
            "does not ask.",
        ),
        (
            "tyres.yaml",
            "  - rule: tyre_bulge\n",
            "  - rule: tyre_bulge\n    unlowered: It is a lump.\n",
            "tyre_bulge: unlowered is for a danger that was only told.",
        ),
        (
            "hazards.yaml",
            "    forbids: [car moved, driven at all]\n    why: It can burst",
            "    forbids: [car moved, driven at all, near the car]\n    why: It can burst",
            "told_tread_measured reads tread_depth, which its own hazard forbids to look at.",
        ),
    ],
    ids=["rule", "words", "both", "not asked", "seen", "forbidden"],
)
def test_what_is_amiss_is_said(
    tmp_path: Path, kept: Path, file: str, old: str, new: str, says: str
) -> None:
    folder = tmp_path / "rules"
    shutil.copytree(SOURCE, folder)
    path = folder / file
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    rows = [text for _, text in lowering_problems(load_ruleset(folder, kept))]
    assert any(says in row for row in rows), rows


def test_looked_at_needs_something_to_look_at(tmp_path: Path, kept: Path) -> None:
    folder = tmp_path / "rules"
    shutil.copytree(SOURCE, folder)
    path = folder / "tyres.yaml"
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace("    gives_way_to: [tyre_bulge]\n", "", 1), encoding="utf-8")
    with pytest.raises(InputError, match="there are none"):
        load_ruleset(folder, kept)
