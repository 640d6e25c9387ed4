"""What is typed is kept whole, or refused with a word; nothing is cut in silence."""

from __future__ import annotations

import datetime as dt
import io
from pathlib import Path

import pytest

from assistant.batch.answers_file import AnswersReader
from assistant.journal.entries import Worry
from assistant.journal.file import Stored, list_journals
from assistant.reading.refusals import refusal
from assistant.reading.text import LONGEST, LONGEST_NAME, NAME_TOO_LONG, TOO_LONG, in_pieces
from assistant.report.lines import Line
from assistant.ruleset.ruleset import Ruleset
from assistant.ruleset.words import in_short
from assistant.talk.asking import PlainAsker
from assistant.talk.first_screen import open_talk
from assistant.teaching.predicting import names_in, too_much
from tests.support.scripted import ScriptedAsker
from tests.support.talking import Walk

DAY = dt.date(2026, 3, 2)
CHAT = "the weather was nice and the road was long "
LONG = (CHAT * 60).strip()
FAILED = "my brakes have just failed"


def test_pieces_are_whole_words_that_can_be_kept_and_lose_nothing() -> None:
    assert in_pieces("  a  slight\tsquint ") == ["a slight squint"]
    assert in_pieces("a" * LONGEST) == ["a" * LONGEST]
    pieces = in_pieces(LONG)
    assert len(pieces) > 1 and all(len(piece) <= LONGEST for piece in pieces)
    at = LONGEST - 10
    across = LONG[:at] + " one whole phrase of ours " + LONG[at:]
    assert any("one whole phrase of ours" in piece for piece in in_pieces(across))
    assert len(in_pieces("\ufdfa" * 200)) > 1, "one letter may stand for eighteen"


def test_a_worry_is_kept_whole_or_refused_with_a_word(gb_cars: Ruleset, tmp_path: Path) -> None:
    walk = Walk(gb_cars, tmp_path)
    whole = f"worry {CHAT * 30}and it squeaks".strip()
    asker = walk.type(whole, "stop")
    (kept,) = [e for e in walk.journal if isinstance(e, Worry)]
    assert kept.words.endswith("and it squeaks") and len(kept.words) > 1200
    before = len(walk.journal)
    asker = walk.type(f"worry {LONG}", "stop")
    said = " ".join(line.text for line in asker.lines)
    assert f"{TOO_LONG} Nothing of it was taken. Please say it in shorter parts." in said
    assert len(walk.journal) == before


def test_a_danger_in_words_that_are_too_long_acts_all_the_same(
    gb_cars: Ruleset, tmp_path: Path
) -> None:
    walk = Walk(gb_cars, tmp_path)
    asker = walk.type(f"{LONG}. {FAILED}. {CHAT}", "stop")
    said = " ".join(line.text for line in asker.lines)
    assert f"{TOO_LONG} I act on what sounds like a danger in it." in said
    worries = [e for e in walk.journal if isinstance(e, Worry)]
    assert worries and FAILED in worries[0].words and worries[0].dangers


def opened(ruleset: Ruleset, home: Path, *words: str, car: str | None = None) -> tuple[str, str]:
    """What was shown, and what the car was called."""
    person = ScriptedAsker(words)
    open_talk(lambda: ruleset, person, home, today=DAY, car=car, new=False)
    names = [s.context.car for s in list_journals(home) if isinstance(s, Stored)]
    return "\n".join(line.text for line in person.lines), "; ".join(names)


def test_a_name_is_kept_whole_or_refused(tiny: Ruleset, tmp_path: Path) -> None:
    longest = "B" * LONGEST_NAME
    text, name = opened(tiny, tmp_path / "a", longest)
    assert NAME_TOO_LONG not in text and name == longest
    text, name = opened(tiny, tmp_path / "b", longest + "B", "Bus")
    assert NAME_TOO_LONG in text and name == "Bus"
    text, name = opened(tiny, tmp_path / "c", "Bus", car=longest + "B")
    assert NAME_TOO_LONG in text and name == "Bus"
    text, name = opened(tiny, tmp_path / "d", longest + "B", longest + "C", "Bus")
    assert text.count(NAME_TOO_LONG) == 2 and name == "Bus"


def test_a_danger_in_place_of_a_name_is_heard_whole(gb_cars: Ruleset, tmp_path: Path) -> None:
    words = f"I stand at the side of a busy road with two children and a dog, {FAILED}"
    assert len(words) > LONGEST_NAME
    text, name = opened(gb_cars, tmp_path, words, "Bus")
    assert "DO NOT DRIVE" in text or "STOP NOW" in text
    assert name == "Bus"


def test_an_answers_file_says_what_it_cuts(gb_cars: Ruleset) -> None:
    text = f"name: {'B' * 61}\nanswers:\n  worry: {LONG} tail\n"
    (given,) = AnswersReader(lambda name: gb_cars, DAY).read("a", text)
    faults = " ".join(f.text for f in given.faults)
    assert "name: it has 61 letters, and can have 60." in faults
    assert f"worry: {TOO_LONG} What comes after " in faults and "was left out." in faults
    short = f"name: {'B' * 60}\nanswers:\n  worry: {LONG[:1900]}\n"
    (given,) = AnswersReader(lambda name: gb_cars, DAY).read("a", short)
    assert not given.faults and given.journal[0].car == "B" * 60  # type: ignore[union-attr]


def test_learners_names_are_refused_and_not_cut() -> None:
    assert too_much(names_in("Ann, Bob and Cy")) is None
    assert too_much(names_in(f"Ann, {'B' * 61}")) == NAME_TOO_LONG
    assert too_much(names_in(", ".join(f"L{n}" for n in range(41)))) == "40 names is the most."


def test_what_is_cut_on_a_screen_shows_dots(monkeypatch: pytest.MonkeyPatch) -> None:
    assert in_short("x" * 160) == "x" * 160 and in_short("x" * 161) == "x" * 160 + " ..."
    out = io.StringIO()
    asker = PlainAsker(io.StringIO("y" * 201 + "\n"), out)
    asker.show([Line("text", "?")])
    assert asker.ask("> ") == "y" * 201
    assert out.getvalue().endswith("y" * 200 + " ...\n")


def test_a_long_answer_is_no_refusal() -> None:
    assert refusal("i do not know") is not None
    long = "i do not know " + "really " * 60 + "but the tyre has a cut"
    assert refusal(long) is None
