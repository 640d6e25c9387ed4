"""Walks killed at any moment: what was called understood is in the record.

A few here; many more by hand, see tests/support/kill_walks.py.
"""

from __future__ import annotations

import sys
import time

import pytest

if sys.platform == "win32":
    pytest.skip("there is no kill -9 here", allow_module_level=True)

from assistant.journal.entries import Entry
from assistant.ruleset.ruleset import Ruleset
from assistant.talk.talk import Talk
from tests.support.kill_walks import kill_walks


def test_nothing_called_understood_is_lost(gb_cars: Ruleset) -> None:
    walks = kill_walks(10, gb_cars)
    assert [walk.lost for walk in walks if walk.lost] == []
    assert sum(walk.midway for walk in walks) >= 3
    assert sum(walk.understood for walk in walks) >= 30


def test_a_talk_that_says_so_too_early_is_found_out(
    gb_cars: Ruleset, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = Talk.keep

    def early(talk: Talk, entries: list[Entry]) -> bool:
        talk.say(*talk.once_kept)
        talk.once_kept.clear()
        time.sleep(0.03)
        return whole(talk, entries)

    monkeypatch.setattr(Talk, "keep", early)
    assert any(walk.lost for walk in kill_walks(12, gb_cars, whole_every=100))
