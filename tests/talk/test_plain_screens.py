"""No screen shows a name that only the files know, or a day as a number."""

from __future__ import annotations

import datetime as dt
import re
from pathlib import Path

import pytest

from assistant.journal.entries import Answer, Said
from assistant.journal.file import read_journal
from assistant.reasoning.consultation import consult
from assistant.reasoning.trail import trail_of
from assistant.reasoning.why_not import why_not
from assistant.report.explaining import AUDIENCES, explain_judged
from assistant.report.findings import trail_lines
from assistant.report.lines import Line
from assistant.report.summary import summary_lines
from assistant.ruleset.ruleset import Ruleset
from assistant.teaching.lesson import _VIEWS
from assistant.teaching.live import brief_lines
from assistant.teaching.replay import Replay
from assistant.teaching.screen import Screen, held_lines, step_lines
from tests.support.saying import say, start

DEMOS = sorted((Path(__file__).resolve().parents[2] / "transcripts_demo").glob("*.jsonl"))
INTERNAL = re.compile(r"\w*[A-Za-z0-9]_[A-Za-z0-9]\w*|\w@\w|\b7[0-4]\d{4}(?:\.0)?\b")


def looked_at(lines: list[Line]) -> None:
    for line in lines:
        found = INTERNAL.findall(line.text)
        assert not found, f"{found} in: {line.text}"


@pytest.mark.parametrize("path", DEMOS, ids=lambda p: p.stem)
def test_no_screen_of_a_demo_shows_an_internal_name(gb_cars: Ruleset, path: Path) -> None:
    replay = Replay(gb_cars, read_journal(path))
    for number in range(1, replay.last + 1):
        looked_at(step_lines(replay, number, "A car", Screen()))
        looked_at(held_lines(replay, number, "A car", Screen()))
        looked_at(brief_lines(replay, replay.step(number)))
    for number in (replay.last // 2, replay.last):
        for view in _VIEWS.values():
            looked_at(view(replay, number))
    last = replay.consultation(replay.last)
    looked_at(summary_lines(last, True))
    for finding in last.findings:
        looked_at(trail_lines(trail_of(last, finding.rule.rule, finding.at)))
    for audience in AUDIENCES:
        looked_at(explain_judged(last, audience, None).lines)


@pytest.mark.parametrize("audience", list(AUDIENCES))
def test_no_look_into_what_was_not_found_shows_an_internal_name(
    gb_cars: Ruleset, audience: str
) -> None:
    last = consult(gb_cars, read_journal(DEMOS[-1]))
    for inference in gb_cars.rules:
        for at in gb_cars.members(inference.axis)[:1]:
            looked_at(AUDIENCES[audience](last, why_not(last, inference.name, at)))


def test_a_day_is_shown_as_a_date(gb_cars: Ruleset) -> None:
    """Where it was asked, and where it was worked out from the code on a tyre."""
    journal = start("gb-cars")
    say(journal, "body", "minibus")
    say(journal, "first_used", dt.date(2016, 2, 10), "10 February 2016")
    code = Answer(text="2213")
    journal.append(Said(turn=9, question="tyre_code", at="front_nearside", answer=code))
    last = consult(gb_cars, journal)
    shown = []
    for name, at in last.result.firings:
        if gb_cars.inferences[name].rule is not None:
            lines = trail_lines(trail_of(last, name, at))
            for audience in AUDIENCES.values():
                lines += audience(last, trail_of(last, name, at))
            looked_at(lines)
            shown += [line.text for line in lines]
    text = " ".join(shown)
    assert "10 February 2016" in text
    assert "made: between 20 May 2013 and 3 June 2013" in text
