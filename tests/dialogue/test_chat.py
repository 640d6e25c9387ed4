"""A sentence with the words of a danger that sounds like chat: it is asked about, and never lost.

The weights come from tests/support/weigh_words.py, which names the method and its source; here they
are counted anew by hand, and the file is compared with what is made now.
"""

from __future__ import annotations

from contextlib import suppress
from math import log
from pathlib import Path

import pytest

from assistant.dialogue.asking import Left
from assistant.dialogue.chat import IS_IT_A_WORRY, read_weights, sounds_like_chat, terms_of
from assistant.dialogue.danger_words import dangers_told
from assistant.knowledge.ruleset import Ruleset
from assistant.reasoning.consultation import consult
from tests.support.talking import Walk
from tests.support.weigh_words import (
    DANGERS,
    HARMLESS,
    SMALL,
    TARGET,
    sentences,
    weigh,
    written,
)

DANGER = "there is petrol all over the drive under the tank"


def test_the_weights_are_those_of_the_sentences() -> None:
    dangers, harmless = sentences(DANGERS), sentences(HARMLESS)
    assert TARGET.read_text("utf-8") == written(weigh(dangers, harmless))


def test_a_weight_is_what_counting_by_hand_gives() -> None:
    """Two of three dangers and one of four others have the word; naive Bayes with SMALL added."""
    dangers = ["the brakes failed", "brakes gone", "fire"]
    harmless = ["new brakes", "tea", "next", "fine"]
    assert SMALL == 0.4
    expected = round(100 * log((2.4 / 3.8) / (1.4 / 4.8)))
    assert weigh(dangers, harmless)["brakes"] == expected == 77


def test_words_and_pairs_are_the_terms() -> None:
    assert terms_of("It's red hot") == {"its", "red", "hot", "its red", "red hot"}


def test_no_file_no_weights(tmp_path: Path) -> None:
    assert read_weights(tmp_path / "none.txt") == {}


def test_few_words_are_never_chat(gb_cars: Ruleset) -> None:
    for words in ("FIRE", "no brakes", "its on fire", "petrol everywhere mate"):
        assert dangers_told(gb_cars, words)
        assert not sounds_like_chat(gb_cars, words)


def chat_that_tells(ruleset: Ruleset) -> str:
    """A sentence of the harmless ones that has the words of a danger and sounds like chat."""
    return next(
        text
        for text in sentences(HARMLESS)
        if dangers_told(ruleset, text) and sounds_like_chat(ruleset, text)
    )


def told_after(ruleset: Ruleset, folder: Path, *answers: str) -> set[str]:
    """The dangers that stand after chat at a question, and these answers."""
    walk = Walk(ruleset, folder)
    with suppress(Left):
        walk.type(chat_that_tells(ruleset), *answers, prompt="fuel")
    moments = walk.talk.asker.moments  # type: ignore[attr-defined]
    assert moments[1].prompt.startswith(IS_IT_A_WORRY)
    return {one.name for one in consult(ruleset, walk.journal).told}


def test_what_sounds_like_chat_is_asked_about(gb_cars: Ruleset, tmp_path: Path) -> None:
    assert told_after(gb_cars, tmp_path, "no") == set()


@pytest.mark.parametrize("answers", [["yes"], ["stop"], ["back"], ["eh", "what", "dunno"], []])
def test_nothing_but_a_plain_no_puts_it_away(
    gb_cars: Ruleset, tmp_path: Path, answers: list[str]
) -> None:
    told = dangers_told(gb_cars, chat_that_tells(gb_cars))
    assert told_after(gb_cars, tmp_path, *answers) == set(told)


def test_the_question_is_asked_again(gb_cars: Ruleset, tmp_path: Path) -> None:
    walk = Walk(gb_cars, tmp_path)
    walk.type(chat_that_tells(gb_cars), "no", "petrol", prompt="fuel")
    (said,) = [e for e in walk.journal if e.kind == "said"]
    assert said.answer.word == "petrol"


def test_a_plain_danger_said_there_counts_too(gb_cars: Ruleset, tmp_path: Path) -> None:
    assert "fuel_leak" in told_after(gb_cars, tmp_path, DANGER, "yes")
