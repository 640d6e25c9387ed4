"""Answers and steering words as owners type them, each with what its writer meant.

owner_answers.tsv (id, prompt, typed, meant, half) and steering_words.tsv (id, typed, want, half).
Source: written on 30 November 2026 by writers who saw only the text of 29 prompts as an owner sees
them, and neither code nor ruleset. Who mended the readers saw the half marked "seen". The others
were typed once before anybody read them:

                              unseen 1   unseen 2 (after the first was mended)
    answers right             58 of 100  63 of 120
    silently wrong                    3          1
    steering words done       23 of 40   38 of 50
    kept as an answer                 2          1

"Right" is also to ask again where the writer holds that one should. What was silently wrong was
mended; what is not right is asked again, or read back and denied. A danger in an answer acts, and
the question is put again; that is not counted as right.
"""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

from tests.support.typed_answers import kept_as_value, outcome, steers

HERE = Path(__file__).parent
REACHED = {"seen": 79, "unseen 1": 74, "unseen 2": 75}
"""How many are right now, with a little room: a guard against a step back."""
STEERED = {"seen": 38, "unseen 1": 35, "unseen 2": 45}


def rows(name: str, half: str) -> list[dict[str, str]]:
    lines = [line.split("\t") for line in (HERE / name).read_text("utf-8").splitlines()]
    every = [dict(zip(lines[0], line, strict=True)) for line in lines[1:]]
    return [row for row in every if row["half"] == half]


@pytest.mark.parametrize("half", list(REACHED))
def test_nothing_is_silently_wrong_and_most_is_right(half: str) -> None:
    found = {
        row["id"]: outcome(row["prompt"], row["typed"], row["meant"])
        for row in rows("owner_answers.tsv", half)
    }
    assert [name for name, what in found.items() if what == "silently wrong"] == []
    assert Counter(found.values())["right"] >= REACHED[half]


@pytest.mark.parametrize("half", list(STEERED))
def test_steering_words_steer_and_are_never_kept(half: str) -> None:
    words = rows("steering_words.tsv", half)
    assert sum(steers(row["typed"], row["want"]) for row in words) >= STEERED[half]
    for key in ("pedal_hold", "failed_lately", "lamps_missing", "tread_side@nearside"):
        assert [row["typed"] for row in words if kept_as_value(key, row["typed"])] == []
