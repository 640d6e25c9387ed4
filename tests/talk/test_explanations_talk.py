"""Asking about conclusions in the talk and in judge; nothing asked changes anything."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from assistant.cli import run
from assistant.journal.entries import Answer, Entry
from assistant.reading.command_words import Command
from assistant.reading.commands import command_of
from assistant.ruleset.ruleset import Ruleset
from tests.support.saying import say, start
from tests.support.talking import Walk

DEMO = Path(__file__).resolve().parents[2] / "transcripts_demo" / "falling-brake-fluid.jsonl"


@pytest.mark.parametrize(
    ("words", "command", "rest"),
    [
        ("why not rust", Command.WHYNOT, "rust"),
        ("Why not the front tyres?", Command.WHYNOT, "the front tyres"),
        ("and why did you not find rust?", Command.WHYNOT, "rust"),
        ("why didn't you find anything about the horn", Command.WHYNOT, "the horn"),
        ("why is the horn not found", Command.WHYNOT, "the horn"),
        ("why not", Command.WHYNOT, ""),
        ("what would change that?", Command.CHANGES, "that"),
        ("what would change it", Command.CHANGES, "it"),
        ("what would change the brake fluid", Command.CHANGES, "the brake fluid"),
        ("what would make it go away", Command.CHANGES, "it"),
        ("how did you get to the wet wheel?", Command.CAME, "the wet wheel"),
        ("how did you get to that", Command.CAME, "that"),
        ("why not skip it", Command.WHY, ""),
        ("why do you ask", Command.WHY, ""),
        ("why would you ask that", Command.WHY, ""),
        ("what does that mean", Command.MEANS, ""),
        ("how do i get to it", Command.HOW, ""),
        ("what if it was 2 mm", Command.WHATIF, "it was 2 mm"),
    ],
)
def test_what_is_asked_is_understood(words: str, command: Command, rest: str) -> None:
    heard = command_of(words)
    assert heard is not None and heard.command is command
    if command is Command.WHYNOT or rest:
        assert heard.rest in (rest, "") if rest in ("that", "it") else heard.rest == rest


def test_an_answer_is_never_taken_for_a_question_about_a_conclusion(gb_cars: Ruleset) -> None:
    for question in gb_cars.questions.values():
        for choice in question.choices.values():
            for words in (choice.say, *choice.hear):
                heard = command_of(words, question)
                new = (Command.WHYNOT, Command.CHANGES, Command.CAME)
                assert heard is None or heard.command not in new, words


def brakes() -> list[Entry]:
    journal = start("gb-cars")
    say(journal, "fuel", "petrol")
    say(journal, "body", "car")
    say(journal, "brake_fluid_level", "below", "a bit below min")
    say(journal, "wheel_wet@rear_nearside", "yes", "oily")
    return journal


def test_why_not_offers_to_ask_what_is_missing_and_asks_it(
    gb_cars: Ruleset, tmp_path: Path
) -> None:
    walk = Walk(gb_cars, tmp_path, brakes())
    asker = walk.type("why not pads_too_thin", "yes", "5 mm", "found", "none")
    offer = asker.moments[1]
    assert "Not known yet: The thinnest brake pad lining" in offer.text
    assert "Shall I ask you about 'thinnest brake pad lining' now?" in offer.prompt
    assert "lining" in asker.moments[2].text
    assert walk.answers["thinnest_pad"] == Answer(lo=5.0, hi=5.0)


def test_why_not_offers_the_question_that_opens_what_is_missing(
    gb_cars: Ruleset, tmp_path: Path
) -> None:
    """When the pedal felt soft is asked only of those who noticed that it did."""
    walk = Walk(gb_cars, tmp_path, start("gb-cars"))
    asker = walk.type("why not recent_pedal_sank", "yes")
    assert "It hangs on 'how the pedal felt soft" in asker.moments[1].text
    assert "Shall I ask you about 'noticed on recent drives' now?" in asker.moments[1].prompt
    assert "did you notice any of these?" in asker.moments[2].text


def test_why_not_keeps_nothing_without_a_yes(gb_cars: Ruleset, tmp_path: Path) -> None:
    walk = Walk(gb_cars, tmp_path, brakes())
    before = walk.journal
    asker = walk.type("why not worn pads", "2", "no", "why not bananas", "why not that", "none")
    assert "Which do you mean?" in asker.moments[1].text
    assert "Shall I ask you" in asker.moments[2].prompt
    assert "I know nothing that sounds like 'bananas'." in asker.moments[4].text
    assert "What did you think would be found?" in asker.moments[5].text
    assert walk.journal == before


def test_why_not_of_something_found_says_that_it_is_found(gb_cars: Ruleset, tmp_path: Path) -> None:
    asker = Walk(gb_cars, tmp_path, brakes()).type("why not brake_leak_wheel@rear_nearside", "stop")
    assert "There is oily wetness at this wheel. It rests on" in asker.moments[1].text


def test_what_would_change_a_finding_is_said_with_the_advice(
    gb_cars: Ruleset, tmp_path: Path
) -> None:
    walk = Walk(gb_cars, tmp_path, brakes())
    before = walk.journal
    asker = walk.type("what would change the oily wetness", "what would change that", "none")
    said = asker.moments[1].text
    assert "It would go if 'passenger's side rear wet at the wheel' was 'no' and not 'yes'." in said
    assert "The advice is now: Do not drive. It would be: Have it looked at" in said
    assert "Only tried, nothing is changed." in said
    assert "What would change which?" in asker.moments[2].text
    assert walk.journal == before


def test_how_did_you_get_to_a_finding_leads_to_the_words(gb_cars: Ruleset, tmp_path: Path) -> None:
    asker = Walk(gb_cars, tmp_path, brakes()).type(
        "how did you get to the oily wetness", "how did you get to the oily wetness for a trainer"
    )
    assert "you said 'oily'" in asker.moments[1].text
    assert (
        "Rule: passenger's side rear: There is oily wetness at this wheel." in asker.moments[2].text
    )
    assert "Rules that almost fired" in asker.moments[2].text


def test_what_if_shows_the_advice_before_and_after(gb_cars: Ruleset, tmp_path: Path) -> None:
    asker = Walk(gb_cars, tmp_path, brakes()).type("what if rear nearside wet at the wheel was no")
    said = asker.moments[1].text
    assert "Gone: passenger's side rear There is oily wetness at this wheel." in said
    assert "The advice is now: Do not drive. It would be: Have it looked at" in said


# judge ---------------------------------------------------------------------------------------


def judged(capsys: pytest.CaptureFixture[str], *options: str) -> tuple[int, str, str]:
    code = run(["judge", str(DEMO), *options])
    out, err = capsys.readouterr()
    return code, out, err


@pytest.mark.parametrize("audience", ["novice", "trainer", "garage"])
def test_judge_explains_every_finding(capsys: pytest.CaptureFixture[str], audience: str) -> None:
    code, out, _ = judged(capsys, "--json", "--explain", audience)
    data = json.loads(out)
    assert code == 1 and data["explained_for"] == audience
    found = [(f["rule"], f["at"]) for f in data["findings"]]
    assert [(e["rule"], e["at"]) for e in data["explanations"]] == found
    for one, finding in zip(data["explanations"], data["findings"], strict=True):
        assert finding["found"] in " ".join(one["rows"])
    code, out, _ = judged(capsys, "--explain", audience)
    assert code == 1 and f"How each came about, for a {audience}" in out


def test_judge_says_why_not(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = judged(capsys, "--json", "--why-not", "pads_too_thin")
    (told,) = json.loads(out)["why_not"]
    assert code == 1 and told["state"] == "not met"
    (test,) = told["from"]
    assert (test["kind"], test["state"]) == ("condition", "not met")
    assert test["from"][0]["words"] == "about 5 mm"
    code, out, _ = judged(capsys, "--why-not", "1.1.13")
    assert "Why not" in out and "Not found: " in out


def test_judge_does_not_guess_what_is_meant(capsys: pytest.CaptureFixture[str]) -> None:
    code, _, err = judged(capsys, "--why-not", "worn pads")
    assert code == 2 and "Did you mean: " in err
    code, _, err = judged(capsys, "--explain", "a child")
    assert code == 2 and "invalid choice" in err


def test_nothing_is_explained_unasked(capsys: pytest.CaptureFixture[str]) -> None:
    data = json.loads(judged(capsys, "--json")[1])
    assert not {"why_not", "explanations", "explained_for", "would_change"} & data.keys()


@pytest.mark.parametrize("form", ["html", "md", "json"])
def test_the_sheet_says_what_would_change_it(capsys: pytest.CaptureFixture[str], form: str) -> None:
    assert run(["sheet", str(DEMO), "--full", "--format", form, "-o", "-"]) == 0
    out = capsys.readouterr().out
    assert "wet at the wheel" in out
    assert ("would_change" if form == "json" else "What would change it") in out
