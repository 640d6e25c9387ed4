"""The screens of a hundred typed scripts are those of yesterday, letter by letter."""

from __future__ import annotations

import pytest

from assistant.ruleset.ruleset import Ruleset
from tests.support.typed_scripts import Shown, digest, held, read, replay, written

HELD = held()
HOW = (
    "Made on purpose? python -m tests.support.typed_scripts accept. To see before and after: its "
    "make and replay."
)


def changed(seed: int, ruleset: Ruleset) -> list[Shown]:
    """The screens of a script whose digest is not the one that is held."""
    days, before = HELD[seed]
    now = replay(seed, days, ruleset)
    return [new for old, new in zip(before, now, strict=True) if digest(new.text) != old.text]


@pytest.mark.parametrize("chunk", range(10))
def test_the_same_words_bring_the_same_screens(gb_cars: Ruleset, chunk: int) -> None:
    found = {seed: changed(seed, gb_cars) for seed in sorted(HELD)[chunk::10]}
    firsts = [screens[0] for screens in found.values() if screens]
    count = sum(map(len, found.values()))
    assert not firsts, f"{count} screens have changed. {HOW} The first:\n" + "\n".join(
        f"{one}:\n{one.text}" for one in firsts[:3]
    )


def test_a_hundred_scripts_are_held() -> None:
    assert len(HELD) == 100


def test_a_script_is_read_as_it_was_written(gb_cars: Ruleset) -> None:
    days, _ = HELD[min(HELD)]
    screens = replay(min(HELD), days, gb_cars)
    assert read(min(HELD), written(days, screens)) == (days, screens)
