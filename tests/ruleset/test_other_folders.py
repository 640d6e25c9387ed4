"""The other rulesets: they load and check, and a whole talk can be held with the directive's."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from assistant.authoring.check.cases import check_cases, check_mutations
from assistant.authoring.check.checks import check_statics
from assistant.authoring.check.cover import cover, cover_problems
from assistant.reasoning.consultation import consult
from assistant.report.sheet import sheet
from assistant.ruleset.load import load_ruleset
from assistant.ruleset.models import Urgency
from assistant.ruleset.ruleset import Ruleset
from tests.outside_checks.test_other_rulesets import FOLDERS, found
from tests.support.talking import Walk


@pytest.fixture(scope="module")
def eu() -> Ruleset:
    return load_ruleset(FOLDERS["eu-directive"])


@pytest.mark.parametrize("name", FOLDERS)
def test_a_ruleset_loads_checks_and_covers(name: str) -> None:
    ruleset = load_ruleset(FOLDERS[name])
    assert ruleset.about.name == name
    problems = [*check_statics(ruleset), *check_cases(ruleset), *check_mutations(ruleset)]
    assert problems == []
    assert cover_problems(ruleset) == []
    assert {row.state for row in cover(ruleset)} <= {"decided", "tester only"}


def test_the_names_of_parts_and_places_are_its_own(eu: Ruleset, gb_cars: Ruleset) -> None:
    assert "nearside" not in {m.at for axis in eu.about.axes for m in axis.members}
    assert not set(eu.sources) & {n for n in gb_cars.sources if n.startswith("dvsa")}
    assert eu.calendar is None and eu.words is None and eu.symptoms == {}


FINE = {
    "first_used": "March 2018",
    "fuel": "petrol",
    "kit": "torch, tread gauge, tape, helper",
    "rim_play": "5",
    "servo": "sinks",
    "brake_fluid": "between",
    "tread_side": "6 and 6",
    "inspected_before": "yes",
    "last_inspected": "1 June 2024",
}


def whole_talk(eu: Ruleset, folder: Path, other: dict[str, str]) -> tuple[Walk, int]:
    """Answers every prompt in turn, as FINE or `other` says, else that nothing is seen."""
    walk, prompts = Walk(eu, folder), 0
    answers = {**FINE, **other}
    while walk.prompts:
        key = walk.next
        name = key.partition("@")[0]
        walk.type(answers.get(name, "all fine" if name in eu.groups else "none"))
        prompts += 1
        assert prompts < 80 and walk.next != key, key
    return walk, prompts


def test_a_whole_talk_about_a_clean_car(eu: Ruleset, tmp_path: Path) -> None:
    walk, prompts = whole_talk(eu, tmp_path, {})
    assert prompts <= 40
    result = consult(eu, walk.journal)
    assert result.findings == () and not result.not_asked and not result.not_known
    page = sheet(result, walk.journal, "md")
    assert "Cars under Directive 2014/45/EU" in page and "two months" not in page


def test_a_whole_talk_with_faults_and_its_sheets(eu: Ruleset, tmp_path: Path) -> None:
    other = {
        "brake_pedal": "it reaches the floor",
        "carried": "there is no warning triangle",
        "wipers_washers": "a blade that streaks",
    }
    walk, _ = whole_talk(eu, tmp_path, other)
    result = consult(eu, walk.journal)
    assert result.urgency is Urgency.DO_NOT_DRIVE
    assert found(result) == {"1.1.2(a)": "dangerous", "7.4": "minor", "3.4(b)": "minor"}
    data = json.loads(sheet(result, walk.journal, "json"))
    by_item = {f["item"]: f for f in data["findings"] if f["item"]}
    assert by_item["1.1.2(a)"]["basis"] == "from memory"
    assert by_item["1.1.2(a)"]["category"] == "dangerous" and by_item["1.1.2(a)"]["fails"] is True
    assert by_item["7.4"]["fails"] is False and by_item["7.4"]["basis"] == "read"
    page = sheet(result, walk.journal, "md", full=True)
    for words in ("reaches the floor", "The brake cannot be put on fully", "warning triangle"):
        assert words in page
    assert "MOT" not in page and "nearside" not in page
