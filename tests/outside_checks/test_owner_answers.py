"""Answers and steering words as owners type them, each with what its writer meant.

owner_answers.tsv (id, prompt, typed, meant, half) and steering_words.tsv (id, typed, want, half).
Source: written on 30 November 2026 by writers who saw only the text of 29 prompts as an owner sees
them, and neither code nor ruleset. Who mended the readers saw the halves marked "seen" first. The
others were typed once before anybody read them, then read and mended. What that first look showed,
in the order in which they were looked at (answers right of those where an answer is meant; answers
silently wrong; steering words done; steering words kept as an answer):

    unseen 1    -           3   23 of 40   2        writer 8    96 of 137   2   36 of 40   0
    unseen 2    -           1   38 of 50   1        writer 9   100 of 137   0   36 of 40   0
    unseen 3   65 of  85    0   36 of 40   1        writer 10  102 of 136   1   39 of 40   0
    writer 6   86 of 137    0   35 of 40   0        writer 11  101 of 136   0   36 of 40   0
    writer 7   79 of 137    1   35 of 40   2        unseen 4    67 of  87   1   39 of 40   0
    writer 5  101 of 137    0   33 of 40   1        writer 12  111 of 137   0   37 of 40   0
                                                    writer 13  118 of 137   1   38 of 40   0
                                                    writer 14  115 of 137   0   38 of 40   0
                                                    writer 15  100 of 137   0   29 of 40   1
                                                    writer 16  113 of 138   1   34 of 40   0

Of unseen 1 and 2 all rows were counted: 58 of 100 and 63 of 120. Writers 5 to 11 were asked for
slang and hard cases, writer 15 wrote as somebody who sends long messages, the others what is
typical. So five in six typical answers of somebody new are understood at the first typing, and
three in four of the hard and long ones; the rest is asked again, or read back and denied. 90 % was
aimed at and not reached.

"Right" is also to ask again where the writer holds that one should. A danger in an answer acts, and
the question is put again; that is not counted as right.
"""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

from tests.support.typed_answers import kept_as_value, outcome, steers

HERE = Path(__file__).parent
RIGHT = {
    "seen": (87, 38),
    "unseen 1": (89, 39),
    "unseen 2": (100, 48),
    "seen 3": (96, 38),
    "unseen 3": (90, 38),
    "seen 4": (91, 37),
    "unseen 4": (89, 39),
    "writer 5": (144, 37),
    "writer 6": (145, 36),
    "writer 7": (139, 39),
    "writer 8": (134, 38),
    "writer 9": (134, 36),
    "writer 10": (139, 38),
    "writer 11": (137, 35),
    "writer 12": (146, 37),
    "writer 13": (139, 37),
    "writer 14": (143, 37),
    "writer 15": (115, 36),
    "writer 16": (131, 37),
}
"""How many answers are right now, and how many words steer, with a little room: a guard against a
step back. Since 1 December 2026 the questions are worded in fewer words than when these were
written, and the groups that most were written to are parted; three lost one or two by it, and
one more where numbers of the one list of eighteen signs were typed, which is two lists now."""


def rows(name: str, half: str) -> list[dict[str, str]]:
    lines = [line.split("\t") for line in (HERE / name).read_text("utf-8").splitlines()]
    every = [dict(zip(lines[0], line, strict=True)) for line in lines[1:]]
    return [row for row in every if row["half"] == half]


@pytest.mark.parametrize("half", list(RIGHT))
def test_nothing_is_silently_wrong_and_most_is_right(half: str) -> None:
    found = {
        row["id"]: outcome(row["prompt"], row["typed"], row["meant"])
        for row in rows("owner_answers.tsv", half)
    }
    assert [name for name, what in found.items() if what == "silently wrong"] == []
    assert Counter(found.values())["right"] >= RIGHT[half][0]


@pytest.mark.parametrize("half", list(RIGHT))
def test_steering_words_steer_and_are_never_kept(half: str) -> None:
    words = rows("steering_words.tsv", half)
    assert sum(steers(row["typed"], row["want"]) for row in words) >= RIGHT[half][1]
    for key in ("pedal_hold", "failed_lately", "lamps_missing", "tread_side@nearside"):
        assert [row["typed"] for row in words if kept_as_value(key, row["typed"])] == []
