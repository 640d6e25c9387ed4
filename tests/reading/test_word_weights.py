"""What a sentence sounds like: chat is asked about, and a danger in unknown words acts.

The weights come from tests/support/weigh_words.py, which names the method and its source; here they
are counted anew by hand, and the file is compared with what is made now.
"""

from __future__ import annotations

from contextlib import suppress
from math import log
from pathlib import Path

import pytest

from assistant.reading.danger_words import dangers_told, sounds_like_chat
from assistant.reading.word_weights import IS_IT_A_WORRY, Weight, WordWeights, terms_of
from assistant.reasoning.consultation import consult
from assistant.ruleset.ruleset import Ruleset
from assistant.talk.asking import Left
from tests.support.talking import Walk
from tests.support.weigh_words import (
    DANGERS,
    FEW_SENTENCES,
    HARMLESS,
    SHARE,
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
    dangers = [("brake", "the brakes failed"), ("brake", "brakes gone"), ("fire", "gone on fire")]
    harmless = [("", text) for text in ("new brakes", "tea", "next", "fine")]
    found = weigh(dangers, harmless)
    assert (SMALL, SHARE, FEW_SENTENCES) == (0.4, 0.4, 5)
    assert found["brakes"].weight == round(100 * log((2.4 / 3.8) / (1.4 / 4.8))) == 77
    assert (found["brakes"].kind, found["brakes"].pull) == ("brake", round(100 * log(1 * 2)))
    share = (1 / 6) / (1 / 6 + 1 / 7)  # "gone": one of one fire, one of two about brakes
    assert (found["gone"].kind, found["gone"].pull) == ("fire", round(100 * log(share * 2)))


def test_words_and_pairs_are_the_terms() -> None:
    assert terms_of("It's red hot") == {"its", "red", "hot", "its red", "red hot"}


def test_no_file_no_weights(tmp_path: Path) -> None:
    weights = WordWeights.read(tmp_path / "none.tsv")
    assert weights.of("anything at all that was said") == 0
    assert not weights.chat("anything at all that was said")
    assert weights.kind("anything at all that was said") == ""


def test_the_kind_is_that_of_the_strongest_pull() -> None:
    weights = WordWeights(
        {
            "gash": Weight(1100, "tyre", 200),
            "wall": Weight(400, "roll_away", 150),
            "tea": Weight(-700),
        }
    )
    assert weights.kind("a gash in the wall") == "tyre"
    assert weights.kind("a gash in the wall tea") == ""
    assert weights.kind("gash wall") == ""  # too few words to say


def test_few_words_are_never_chat(gb_cars: Ruleset) -> None:
    for words in ("FIRE", "no brakes", "its on fire", "petrol everywhere mate"):
        assert dangers_told(gb_cars, words)
        assert not sounds_like_chat(gb_cars, words)


def test_every_kind_stands_for_a_danger(gb_cars: Ruleset) -> None:
    assert gb_cars.words is not None
    kinds = {kind for kind, _ in sentences(DANGERS)} - {"kind"}
    assert set(gb_cars.words.kinds) == kinds
    assert set(gb_cars.words.kinds.values()) <= set(gb_cars.words.dangers)


def chat_that_tells(ruleset: Ruleset) -> str:
    """A sentence of the harmless ones that has the words of a danger and sounds like chat."""
    return next(
        text
        for _, text in sentences(HARMLESS)
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


@pytest.mark.parametrize("answers", [["no"], ["yes"], []])
def test_a_worry_that_sounds_like_chat_is_read_back(
    gb_cars: Ruleset, tmp_path: Path, answers: list[str]
) -> None:
    """Where a worry was asked for, it stays one; its danger is put away by a plain no alone."""
    walk, words = Walk(gb_cars, tmp_path), chat_that_tells(gb_cars)
    with suppress(Left):
        walk.type(words, *answers, prompt=gb_cars.about.worry)
    moments = walk.talk.asker.moments  # type: ignore[attr-defined]
    assert moments[1].prompt.startswith("I read that as ")
    told = {one.name for one in consult(gb_cars, walk.journal).told}
    assert told == (set() if answers == ["no"] else set(dangers_told(gb_cars, words)))
    assert [entry.words for entry in walk.journal if entry.kind == "worry"] == [words]
