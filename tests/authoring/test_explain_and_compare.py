"""Explaining a rule, starting one, the schema, the comparison and the doubts."""

from __future__ import annotations

import copy
import datetime as dt
import json
import shutil
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from assistant.authoring.changes import compare_rulesets
from assistant.authoring.check.cases import case_journal
from assistant.authoring.check.run import CASES, QUICK, problems_of
from assistant.authoring.doubts import doubt_counts, doubt_data, doubts
from assistant.authoring.explain import explain
from assistant.authoring.starting import put_into, ruleset_schema, starting_rule
from assistant.errors import InputError
from assistant.reasoning.consultation import consult
from assistant.ruleset.load import load_ruleset
from assistant.ruleset.ruleset import Ruleset
from assistant.ruleset.yaml_file import load_yaml
from tests.support.broken import TINY, changed

ROOT = Path(__file__).resolve().parent.parent.parent
RULESETS = sorted(p.parent for p in (ROOT / "rulesets").glob("*/ruleset.yaml"))


# explain ----------------------------------------------------------------------------------


def test_a_rule_in_plain_words(tiny: Ruleset) -> None:
    text = explain(tiny, "bent_hoop")
    for words in (
        "The hoop is bent.",
        "at each of the wheels",
        "[made] is not before 1 January 2000 (newer cars)",
        '[hoop] is "bent"',
        'the rule leaking does not hold ("It leaks.")',
        "Item 3.1: slight.",
        "Keep an eye on it",
        "A book (first, nobody)",
        "How far to trust it: common practice",
        "and not with [made]: 31 December 1999",
    ):
        assert words in text, words


def test_what_a_rule_opens_and_is_read_by(tiny: Ruleset) -> None:
    text = explain(tiny, "falling")
    assert "What it opens, at once: Fluid goes somewhere.\n  Is it wet?" in text
    assert "It is read by\n  leaking: It leaks." in text


def test_a_limit_is_said_with_its_figure(tiny: Ruleset) -> None:
    assert "[depth] is less than 1.6 mm (least depth)" in explain(tiny, "shallow")


def test_a_symptom_in_plain_words(tiny: Ruleset) -> None:
    text = explain(tiny, "fluid_went")
    assert "it ran out: 40 of 100, the next (assumed)" in text
    assert (
        'times 20: a wheel is wet, when at one or more of the wheels: [wet wheel] is "yes"' in text
    )
    assert "it ends with: nothing is likely yet, and it stays open" in text


def test_every_shipped_rule_and_symptom_can_be_explained(gb_cars: Ruleset) -> None:
    for name in [i.name for i in gb_cars.rules] + list(gb_cars.symptoms):
        text = explain(gb_cars, name)
        assert "Worked cases" in text and "What it rests on" in text


def test_an_unknown_name_has_the_nearest(tiny: Ruleset) -> None:
    with pytest.raises(InputError, match="Did you mean 'bent_hoop'"):
        explain(tiny, "bent_hop")


# schema -----------------------------------------------------------------------------------


def files_of(folder: Path) -> dict[str, Any]:
    """The files of a ruleset as JSON would have them: a date is its text."""
    files = {path.name: load_yaml(path, path.read_bytes())[0] for path in folder.glob("*.yaml")}
    return dict(json.loads(json.dumps(files, default=dt.date.isoformat)))


def test_the_schema_is_one() -> None:
    """Outside source: the meta-schema of JSON Schema 2020-12, through the jsonschema package."""
    jsonschema.Draft202012Validator.check_schema(ruleset_schema())


@pytest.mark.parametrize("folder", [*RULESETS, TINY], ids=lambda folder: folder.name)
def test_every_file_that_is_shipped_conforms(folder: Path) -> None:
    errors = jsonschema.Draft202012Validator(ruleset_schema()).iter_errors(files_of(folder))
    assert [f"{list(e.absolute_path)}: {e.message}" for e in errors] == []


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (lambda f: f["rules"][0].update(rulle="x"), "rulle"),
        (lambda f: f["questions"]["level"].pop("label"), "label"),
        (lambda f: f["questions"]["level"].update(seconds=2000), "900"),
        (lambda f: f["rules"][1].update(urgency="soonish"), "soonish"),
        (lambda f: f["limits"]["least"].update(basis="guesswork"), "guesswork"),
    ],
)
def test_a_mistake_does_not_conform(change: Any, says: str) -> None:
    files = copy.deepcopy(files_of(TINY))
    change(files["parts.yaml"])
    errors = list(jsonschema.Draft202012Validator(ruleset_schema()).iter_errors(files))
    assert errors and any(says in str(e.message) + str(list(e.context or ())) for e in errors)


# new --------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", ["words", "figure"])
@pytest.mark.parametrize(
    ("folder", "system"), [(TINY, "parts"), (RULESETS[-1], "visibility"), (RULESETS[-1], "brakes")],
    ids=["tiny", "visibility", "brakes"],
)  # fmt: skip
def test_a_new_rule_passes_every_check(
    tmp_path: Path, gb_cars: Ruleset, tiny: Ruleset, folder: Path, system: str, kind: str
) -> None:
    mine = tmp_path / "mine"
    shutil.copytree(folder, mine)
    path = mine / f"{system}.yaml"
    before = tiny if folder == TINY else gb_cars
    assert before.folder == folder
    start = starting_rule(before, "bracket_broken", kind)
    path.write_text(put_into(path.read_text(), start))
    ruleset = load_ruleset(mine)
    assert ruleset.inferences["bracket_broken"].rule is not None
    for check in (*QUICK, *CASES) if folder == TINY else QUICK:
        assert problems_of(ruleset, check) == []


def test_a_new_rule_leaves_the_rest_as_it_stands() -> None:
    text = "system: parts\ntitle: Parts\nrules:\n  - rule: a\n\n# the end\nsymptoms:\n  - b\n"
    start = {"questions": "  q: {}\n", "rules": "  - rule: z\n"}
    assert put_into(text, start) == (
        "system: parts\ntitle: Parts\nrules:\n  - rule: a\n  - rule: z\n\n# the end\n"
        "symptoms:\n  - b\nquestions:\n  q: {}\n"
    )


@pytest.mark.parametrize("name", ["Big", "9th", "a-b", "", "shallow"])
def test_a_name_that_cannot_be(tiny: Ruleset, name: str) -> None:
    with pytest.raises(InputError, match=r"not a valid rule name|is taken"):
        starting_rule(tiny, name)


# diff -------------------------------------------------------------------------------------


def test_nothing_differs_from_itself(tiny: Ruleset) -> None:
    found = compare_rulesets(tiny, tiny)
    assert (found.parts, found.cases) == ((), ())


def test_a_moved_limit_shows_the_cases_it_turns(tiny: Ruleset, tmp_path: Path) -> None:
    found = compare_rulesets(tiny, load_ruleset(changed(tmp_path, ("value: 1.6", "value: 1.7"))))
    assert found.parts == ("limit least: changed in value (from 1.6 to 1.7)",)
    (case,) = found.cases
    assert (case.case, case.answers) == ("shallow", "depth: 1.6")
    assert case.changes == (
        "gained: shallow at left (2.1, grave, Put right before the inspection)",
    )


def test_what_was_added_removed_and_changed(tiny: Ruleset, tmp_path: Path) -> None:
    folder = changed(
        tmp_path,
        ('finds: {item: "2.1", category: grave}', 'finds: {item: "2.1", category: slight}'),
        ("rule: bell_dumb", "rule: bell_mute"),
        ("label: shaking", "label: trembling"),
    )
    found = compare_rulesets(tiny, load_ruleset(folder))
    assert set(found.parts) == {
        "rule shallow: changed in finds",
        "rule bell_dumb: removed",
        "rule bell_mute: added",
        "question shaky: changed in label (from shaking to trembling)",
    }
    changes = {change for case in found.cases for change in case.changes}
    assert any(c.startswith("changed: shallow at left (2.1, grave") for c in changes)
    assert any(c.startswith("lost: bell_dumb") for c in changes)
    assert any(c.startswith("gained: bell_mute") for c in changes)


def test_a_case_that_only_one_ruleset_understands(tiny: Ruleset, tmp_path: Path) -> None:
    folder = changed(tmp_path)
    path = folder / "parts.yaml"
    path.write_text(path.read_text().replace("shaky", "shaken"))
    changes = {
        c for case in compare_rulesets(tiny, load_ruleset(folder)).cases for c in case.changes
    }
    assert any(c.startswith("it does not fit the new ruleset: there is no q") for c in changes)
    assert any(c.startswith("it does not fit the old ruleset: there is no q") for c in changes)


# doubts -----------------------------------------------------------------------------------


def test_every_doubt_of_the_tiny_ruleset(tiny: Ruleset) -> None:
    found = doubts(tiny)
    assert {(d.kind, d.name, d.basis) for d in found} == {
        ("limit", "newer", "from memory"),
        ("prior", "marks", "assumed"),
        ("rule", "bent_hoop", "common practice"),
        ("rule", "bell_dumb", "assumed"),
        ("rule", "bell_gone", "assumed"),
        ("rule", "marked", "assumed"),
        ("rule", "level_unknown", "assumed"),
        ("symptom weight", "fluid_went/used_up", "assumed"),
        ("symptom weight", "fluid_went/ran_out", "assumed"),
        ("symptom weight", "fluid_went/shaken_out", "assumed"),
    }
    lines = (TINY / "parts.yaml").read_text().split("\n")
    newer = next(d for d in found if d.name == "newer")
    assert lines[newer.place.line - 1].strip().startswith("newer: {value: 2000-01-01")
    assert newer.settle == "Find and read the place in A book (first)."
    assert doubt_counts(found)["common practice"].total() == 1
    assert doubt_data(newer)["line"] == newer.place.line


def test_the_doubts_of_the_shipped_rules_are_those_the_files_say(gb_cars: Ruleset) -> None:
    """Counted in the text of the files, without the program's own reader."""
    found = doubts(gb_cars)
    for basis in ("from memory", "common practice"):
        said = sum(
            row.split("#")[0].count(f"basis: {basis}")
            for path in gb_cars.folder.glob("*.yaml")
            for row in path.read_text().split("\n")
        )
        assert sum(d.basis == basis for d in found) == said > 0
    kinds = {d.kind for d in found}
    assert {"limit", "rule", "prior", "symptom weight", "constant", "calendar"} <= kinds
    assert all(d.settle and d.place.line for d in found)


def test_the_doubts_that_decide_come_first(gb_cars: Ruleset) -> None:
    """Written anew with half or twice as much of one assumed weight, a worked case of its symptom
    ends with another first cause; with those that do not decide, none does."""
    found = doubts(gb_cars)
    assert [d.urgent for d in found] == sorted((d.urgent for d in found), reverse=True)
    rest = [bool(d.decides) for d in found if not d.urgent]
    assert rest == sorted(rest, reverse=True)
    assert 0 < sum(d.urgent for d in found) < sum(bool(d.decides) for d in found) < 80
    assumed = [d for d in found if d.kind == "symptom weight" and d.basis == "assumed"]
    for doubt in assumed:
        symptom, cause = doubt.name.split("/")
        assert bool(doubt.decides) is _a_case_changes(gb_cars, symptom, cause), doubt.name


def _a_case_changes(ruleset: Ruleset, symptom: str, cause: str) -> bool:
    for case in ruleset.symptoms[symptom].cases:
        now = consult(ruleset, case_journal(ruleset, case.given, case.today))
        (found,) = [s for s in now.symptoms if s.symptom.symptom == symptom]
        odds = {c.cause.cause: c.share for c in found.causes}
        for by in (0.5, 2):
            changed = odds | {cause: odds[cause] * by}
            if case.likely != "open" and max(changed, key=lambda n: changed[n]) != case.likely:
                return True
    return False
