"""The order of the house: one-way imports, no country in code, each module says what it is for."""

from __future__ import annotations

import ast
import re
import statistics
from pathlib import Path

import pytest

from assistant.ruleset.ruleset import Ruleset
from tests.support.house_figures import circles, code_lines, modules_by_answer

ROOT = Path(__file__).resolve().parent.parent
PACKAGE = ROOT / "assistant"
MODULES = sorted(PACKAGE.rglob("*.py"))

BELOW = {
    "errors": set(),
    "calculations": set(),
    "journal": {"errors"},
    "ruleset": {"errors", "calculations", "journal"},
    "reading": {"errors", "calculations", "journal", "ruleset"},
    "reasoning": {"errors", "calculations", "journal", "ruleset"},
    "choosing": {"errors", "journal", "ruleset", "reasoning"},
    "report": {"errors", "calculations", "journal", "ruleset", "reasoning", "choosing"},
}
ROOMS = {"reading", "journal", "reasoning", "choosing", "report"}
"""What is typed is read, the journal keeps it, answers are judged, the next thing is chosen, what
is found is said: a room for each, entered in this order."""
MAY_IMPORT = BELOW | {
    "talk": set(BELOW),
    "batch": {*BELOW, "talk"},
    "teaching": {*BELOW, "talk"},
    "authoring": set(BELOW),
    "cli": {*BELOW, "talk", "batch", "teaching", "authoring"},
    "__main__": {"cli"},
    "__init__": set(),
}

CODE_LINES, FILES = 23_200, 166
MODULES_BY_ANSWER, MOST_BY_ANSWER = 40, 44
"""What the house is today, by `python -m tests.support.house_figures`; it may only shrink."""


def room(path: Path) -> str:
    part = path.relative_to(PACKAGE).parts[0]
    return part.removesuffix(".py")


def imports(path: Path) -> set[str]:
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text())):
        names: list[str] = []
        if isinstance(node, ast.ImportFrom) and node.module:
            names = [node.module]
            if node.module == "assistant":
                names = [f"assistant.{alias.name}" for alias in node.names]
        elif isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        found |= {name for name in names if name.split(".")[0] == "assistant"}
    return found


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(PACKAGE)))
def test_imports_run_one_way(path: Path) -> None:
    own = room(path)
    for name in imports(path):
        parts = name.split(".")
        other = parts[1] if len(parts) > 1 else "__init__"
        if other in ("__version__", "__init__"):
            continue
        assert other == own or other in MAY_IMPORT[own], f"{own} may not import {name}"


def test_only_the_adapter_imports_the_engine() -> None:
    found = [p for p in MODULES if re.search(r"^\s*(import|from) durable", p.read_text(), re.M)]
    assert found == [PACKAGE / "reasoning" / "engine.py"]


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(PACKAGE)))
def test_no_room_knows_a_country(path: Path) -> None:
    """What differs between countries is data; only the name of the default ruleset is code."""
    text = (
        path.read_text().replace('DEFAULT_RULESET = "gb-cars"', "").replace("rulesets/gb-cars", "")
    )
    for word in (r"\bMOT\b", r"\bGB\b", r"\bDVSA\b", r"\bV5C\b", r"gb-cars", r"\b1\.6\b"):
        assert not re.search(word, text), f"{word} in {path.name}"


def test_nothing_below_the_talk_prints() -> None:
    for path in MODULES:
        if (
            room(path) in ("talk", "teaching", "batch", "cli", "__main__")
            or path.name == "command.py"
        ):
            continue
        for node in ast.walk(ast.parse(path.read_text())):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
                assert node.func.id not in ("print", "input"), path


def test_no_room_can_reach_a_network() -> None:
    for path in MODULES:
        for node in ast.walk(ast.parse(path.read_text())):
            if isinstance(node, ast.Import):
                names = [alias.name for alias in node.names]
            elif isinstance(node, ast.ImportFrom):
                names = [node.module or ""]
            else:
                continue
            for name in names:
                top = name.split(".")[0]
                assert top not in ("socket", "http", "urllib", "ssl", "requests", "asyncio"), path


def test_what_two_threads_import_begins_with_the_package() -> None:
    """The rules load in a thread of their own. Where one thread waits for a package whose inner
    module it has begun, and the other for that module, Python lets go and one gets half of it."""
    for path in MODULES:
        assert "from rapidfuzz." not in path.read_text(), path


@pytest.mark.parametrize(
    "path",
    [p for p in MODULES if p.name not in ("__init__.py", "__main__.py")],
    ids=lambda p: str(p.relative_to(PACKAGE)),
)
def test_every_module_says_what_it_is_for(path: Path) -> None:
    assert ast.get_docstring(ast.parse(path.read_text()))


def test_modules_can_be_read_in_one_sitting() -> None:
    too_long = {
        str(p.relative_to(ROOT)): len(p.read_text().splitlines())
        for p in MODULES
        if len(p.read_text().splitlines()) > 600
    }
    assert not too_long


def test_the_house_only_shrinks() -> None:
    assert sum(map(code_lines, MODULES)) <= CODE_LINES
    assert len(MODULES) <= FILES


def test_no_module_imports_itself_round_another() -> None:
    """Imports inside functions count."""
    assert not circles()


def test_an_answer_runs_through_no_more_modules_than_today(gb_cars: Ruleset) -> None:
    counts = modules_by_answer(gb_cars)
    assert statistics.median(counts) <= MODULES_BY_ANSWER
    assert max(counts) <= MOST_BY_ANSWER
