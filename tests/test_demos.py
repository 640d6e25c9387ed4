"""The demos are replayed and must come to what is written beside them."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from assistant.journal.file import read_journal
from assistant.reasoning.consultation import consult
from assistant.ruleset.ruleset import Ruleset
from tests.support.make_demos import DEMO_LIST, DEMOS, expected

JOURNALS = sorted(DEMOS.glob("*.jsonl"))


def test_every_demo_has_its_journal_and_its_expected_result() -> None:
    names = {demo.name for demo in DEMO_LIST}
    assert {p.stem for p in JOURNALS} == names
    assert {p.name.removesuffix(".expected.json") for p in DEMOS.glob("*.expected.json")} == names
    assert len(names) >= 12


@pytest.mark.parametrize("path", JOURNALS, ids=lambda p: p.stem)
def test_a_demo_comes_to_its_expected_result(gb_cars: Ruleset, path: Path) -> None:
    wanted = json.loads(path.with_suffix(".expected.json").read_text())
    got = json.loads(json.dumps(expected(gb_cars, read_journal(path))))
    assert wanted.pop("title") and wanted.pop("teaches")
    assert got == wanted


def drive(name: str) -> dict[str, object]:
    return json.loads((DEMOS / f"{name}.expected.json").read_text())["drive"]


def test_the_clean_car_is_clean_and_is_promised_nothing(gb_cars: Ruleset) -> None:
    wanted = json.loads((DEMOS / "clean-car.expected.json").read_text())
    assert wanted["findings"] == []
    assert wanted["not_asked"] == [] and wanted["still_open"] == []
    assert "does not say that the car is safe" in wanted["drive"]["limits"]


def test_the_wet_wheel_says_do_not_drive_to_the_end(gb_cars: Ruleset) -> None:
    """From the turn that says "wet" on, every later state of the talk says do not drive."""
    journal = read_journal(DEMOS / "falling-brake-fluid.jsonl")
    wet = next(
        i for i, e in enumerate(journal)
        if getattr(e, "question", "") == "wheel_wet" and e.answer.word == "yes"
    )  # fmt: skip
    for end in range(wet + 1, len(journal) + 1):
        assert consult(gb_cars, journal[:end]).urgency.value in ("do_not_drive", "stop_now")


def test_what_the_newcomer_did_not_know_is_never_called_fine(gb_cars: Ruleset) -> None:
    wanted = json.loads((DEMOS / "old-car-little-known.expected.json").read_text())
    assert len(wanted["not_known"]) >= 15
    assert drive("old-car-little-known")["headline"] == "cannot_say"
