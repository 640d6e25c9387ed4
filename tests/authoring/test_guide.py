"""The guide for authors in DEVELOPERS.md: its example is pasted into a copy and checked."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from assistant.authoring.check.cases import case_journal, fires
from assistant.authoring.check.run import QUICK, problems_of
from assistant.authoring.explain import explain
from assistant.authoring.starting import put_into
from assistant.reasoning.consultation import consult
from assistant.ruleset.load import load_ruleset
from assistant.ruleset.ruleset import Ruleset

ROOT = Path(__file__).resolve().parent.parent.parent
SECTIONS = ("limits", "questions", "rules")


def pieces() -> dict[str, str]:
    """The indented block after each "Under `section:`" of the guide."""
    rows = (ROOT / "DEVELOPERS.md").read_text().split("\n")
    found: dict[str, str] = {}
    for section in SECTIONS:
        start = next(n for n, row in enumerate(rows) if row.startswith(f"Under `{section}:`"))
        block: list[str] = []
        for row in rows[start + 2 :]:
            if not row.startswith("    "):
                break
            block.append(row[2:])
        found[section] = "\n".join(block) + "\n"
    return found


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Ruleset:
    """The shipped ruleset with the example of the guide in it."""
    folder = tmp_path_factory.mktemp("guide") / "my-rules"
    shutil.copytree(ROOT / "rulesets" / "gb-cars", folder)
    path = folder / "body.yaml"
    path.write_text(put_into(path.read_text(), pieces()))
    return load_ruleset(folder)


@pytest.mark.parametrize("check", QUICK, ids=lambda check: check.name)
def test_the_example_passes_the_quick_checks(written: Ruleset, check: object) -> None:
    assert problems_of(written, check) == []  # type: ignore[arg-type]


def test_the_example_does_what_its_sentence_says(written: Ruleset) -> None:
    for length, wanted in ((0, False), (40, False), (41, True), (300, True)):
        result = consult(written, case_journal(written, {"flap_torn_size": length}))
        assert fires(result, "flap_torn") is wanted


def test_the_example_is_said_back_in_the_words_of_the_sentence(written: Ruleset) -> None:
    text = explain(written, "flap_torn")
    assert "[longest tear in a mud flap] is more than 40 mm" in text
    assert "Item 0.0: minor." in text


def test_the_example_can_be_wrong(tmp_path: Path) -> None:
    """The check notices where the case is not a step from the limit."""
    folder = tmp_path / "my-rules"
    shutil.copytree(ROOT / "rulesets" / "gb-cars", folder)
    path = folder / "body.yaml"
    wrong = {name: text.replace("flap_torn_size: 41", "flap_torn_size: 44")
             for name, text in pieces().items()}  # fmt: skip
    path.write_text(put_into(path.read_text(), wrong))
    ruleset = load_ruleset(folder)
    texts = [text for check in QUICK for _, text in problems_of(ruleset, check)]
    assert len(texts) == 1 and "no case one step (1) from flap_torn_most" in texts[0]
