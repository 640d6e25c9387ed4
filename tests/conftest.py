"""Shared by all tests: the shipped ruleset, loaded once."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from hypothesis import settings

from assistant.ruleset.load import load_ruleset
from assistant.ruleset.ruleset import Ruleset
from tests.support.tellings import Telling, Tellings, many_answers

settings.register_profile("the same each time", derandomize=True, deadline=None)
if os.environ.get("CI"):
    settings.load_profile("the same each time")

ROOT = Path(__file__).resolve().parent.parent


@pytest.fixture(scope="session")
def kept(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A cache that, after gb_cars is loaded, knows its files: of a copy only a changed one is
    read anew."""
    return tmp_path_factory.mktemp("kept")


@pytest.fixture(scope="session")
def gb_cars(kept: Path) -> Ruleset:
    return load_ruleset(ROOT / "rulesets" / "gb-cars", kept)


@pytest.fixture(scope="session")
def tiny() -> Ruleset:
    """A small ruleset of our own that has one of everything."""
    return load_ruleset(ROOT / "tests" / "support" / "tiny")


@pytest.fixture(scope="module")
def tellings(gb_cars: Ruleset) -> Tellings:
    """Each symptom told alone, and with one answer more."""
    return Tellings(gb_cars)


@pytest.fixture(scope="module")
def answered(gb_cars: Ruleset) -> list[Telling]:
    """Each symptom with random answers."""
    return many_answers(gb_cars)
