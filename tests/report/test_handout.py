"""The handout of a case: blanks without the answers, the reasoning with them, nothing escapes."""

from __future__ import annotations

import html
import json
import re
from html.parser import HTMLParser
from pathlib import Path

import pytest

from assistant.choosing.outcome import outcome_of
from assistant.journal.entries import Said
from assistant.journal.file import read_journal
from assistant.ruleset.ruleset import Ruleset
from assistant.ruleset.words import URGENCY_WORDS
from assistant.teaching.handout import FORMATS, handout, handout_data
from assistant.teaching.replay import Replay

DEMOS = Path(__file__).resolve().parents[2] / "transcripts_demo"
NAMES = ["grinding-brakes", "new-tyre-fitted"]
BAD = "<script>alert(1)</script> # *star* | [link](http://x.example) {{ 7 * 7 }} \x1b[31m"


@pytest.fixture(scope="module")
def replays(gb_cars: Ruleset) -> dict[str, Replay]:
    return {n: Replay(gb_cars, read_journal(DEMOS / f"{n}.jsonl")) for n in NAMES}


class Page(HTMLParser):
    """A page: its tags must close in order; its text."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.tags: list[str] = []
        self.text = ""
        self.feed(page)
        assert not self.open

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        assert not any(name in ("src", "href") or name.startswith("on") for name, _ in attrs)
        if tag not in ("meta", "br"):
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if "style" not in self.open:
            self.text += data


def plain(text: str, form: str) -> str:
    """What a reader sees, as running text."""
    seen = (
        Page(text).text
        if form == "html"
        else html.unescape(re.sub(r"\\(.)", r"\1", text.replace("**", "")))
    )
    return " ".join(seen.split())


@pytest.mark.parametrize("form", FORMATS)
@pytest.mark.parametrize("name", NAMES)
def test_without_answers_nothing_is_given_away(
    replays: dict[str, Replay], name: str, form: str
) -> None:
    """No rule's words, no category found, no share: only what was asked and said, and blanks."""
    replay = replays[name]
    text = plain(handout(replay, form, "The title", "What it teaches", False), form)
    fired = {
        rule.say
        for number in range(len(replay))
        for f in replay.step(number).fired
        if (rule := replay.ruleset.inferences[f.inference].rule) is not None
    }
    assert len(fired) >= 2
    assert not [say for say in fired if say in text]
    assert "What it teaches" not in text and "Fired" not in text and "%" not in text
    assert text.count("What follows from this answer?") >= 3
    assert "nothing" in text and "not before it has been looked at" in text


@pytest.mark.parametrize("form", FORMATS)
@pytest.mark.parametrize("name", NAMES)
def test_with_answers_it_holds_what_the_rules_conclude(
    replays: dict[str, Replay], name: str, form: str
) -> None:
    replay = replays[name]
    text = plain(handout(replay, form, "The title", "What it teaches", True), form)
    assert "What it teaches" in text and "What follows from this answer?" not in text
    wanted = json.loads((DEMOS / f"{name}.expected.json").read_text())
    for found in wanted["findings"]:
        rule = replay.ruleset.inferences[found["rule"]].rule
        assert rule is not None
        source = replay.ruleset.sources[rule.source].title
        assert rule.say in text and rule.why in text
        assert f"Source: {source}. Basis: {rule.basis.value}." in text
    outcome = outcome_of(replay.consultation(replay.last))
    assert f"{URGENCY_WORDS[outcome.urgency]}. Drive or not: " in text
    for symptom in replay.consultation(replay.last).symptoms:
        for cause in symptom.causes:
            assert f"{cause.share:.0%} {cause.cause.say}" in text
    for gone in wanted["have_confirmed"]:
        assert f"To have confirmed: {gone['what']}" in text


def test_every_step_stands_in_it_once(replays: dict[str, Replay]) -> None:
    """A step has its place, or is one of a row that bring nothing, or is about the car."""
    for replay in replays.values():
        data = handout_data(replay, "t", "", False)
        numbers: list[int] = []
        for part in data["parts"]:
            if part["kind"] == "step":
                numbers.append(part["number"])
            else:
                numbers += range(part["first"], part["last"] + 1)
                assert part["count"] == part["last"] - part["first"] + 1
        assert numbers == sorted(set(numbers))
        car = [n for n in range(1, len(replay)) if n not in numbers]
        for number in car:
            prompt = replay.step(number).prompt
            assert prompt is not None and prompt.why == "car"
        assert len(data["car"]) >= len(car)


def test_every_conclusion_has_a_place_of_its_own(replays: dict[str, Replay]) -> None:
    for replay in replays.values():
        data = handout_data(replay, "t", "", True)
        steps = {p["number"]: p for p in data["parts"] if p["kind"] == "step"}
        for number in range(1, len(replay)):
            for finding in replay.step(number).new_findings:
                found = [f["text"] for f in steps[number]["reasoning"]["found"]]
                assert any(finding.rule.say in text for text in found)


@pytest.mark.parametrize("answers", [False, True])
def test_what_was_said_cannot_turn_into_markup(gb_cars: Ruleset, answers: bool) -> None:
    journal = [
        e.model_copy(update={"words": BAD}) if isinstance(e, Said) else e
        for e in read_journal(DEMOS / "grinding-brakes.jsonl")
    ]
    replay = Replay(gb_cars, journal)
    page = handout(replay, "html", BAD, BAD, answers)
    assert "script" not in Page(page).tags and "{{ 7 * 7 }}" in Page(page).text
    text = handout(replay, "md", BAD, BAD, answers)
    assert "<script>" not in text and not re.search(r"(?<!\\)\]\(", text) and "\\*star\\*" in text
    assert "\x1b" not in page + text and "49" not in text.split("step by step")[0]


def test_the_same_case_gives_the_same_bytes(gb_cars: Ruleset) -> None:
    journal = read_journal(DEMOS / "new-tyre-fitted.jsonl")
    one, two = (handout(Replay(gb_cars, journal), "html", "t", "x", True) for _ in range(2))
    assert one == two


def test_another_format_is_refused(replays: dict[str, Replay]) -> None:
    with pytest.raises(ValueError, match="unknown form 'pdf'"):
        handout(replays["grinding-brakes"], "pdf", "t", "", True)


@pytest.mark.parametrize("form", FORMATS)
def test_no_value_is_left_open(replays: dict[str, Replay], form: str) -> None:
    for answers in (False, True):
        text = plain(handout(replays["new-tyre-fitted"], form, "t", "x", answers), form)
        assert not re.search(r"\bNone\b[.,:) ]|Undefined", text)
