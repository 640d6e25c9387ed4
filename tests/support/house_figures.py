"""How large the house is, and how many of its modules one answer runs through.

By hand: python -m tests.support.house_figures. `tests/test_house.py` holds the figures.
"""

from __future__ import annotations

import ast
import datetime as dt
import statistics
import sys
import tempfile
from pathlib import Path
from types import FrameType

from assistant.ruleset.load import load_ruleset
from assistant.ruleset.ruleset import Ruleset
from assistant.talk.asking import PlainAsker
from tests.support.owner import product
from tests.support.typed_scripts import Paper

ROOT = Path(__file__).resolve().parent.parent.parent
PACKAGE = ROOT / "assistant"
MODULES = sorted(PACKAGE.rglob("*.py"))

ANSWERS = [
    "2012", "petrol", "1", "none", "a torch", "no", "all fine", "none", "don't know", "2",
    "it stays where it is", "about 10", "can't look", "all fine",
]  # fmt: skip
"""What is typed on the walk, after the car's name."""


def code_lines(path: Path) -> int:
    """The lines of a module without blanks, comments and docstrings."""
    text = path.read_text("utf-8")
    said: set[int] = set()
    for node in ast.walk(ast.parse(text)):
        value = node.value if isinstance(node, ast.Expr) else None
        if isinstance(value, ast.Constant) and isinstance(value.value, str):
            said |= set(range(value.lineno, (value.end_lineno or value.lineno) + 1))
    rows = enumerate(text.splitlines(), start=1)
    return sum(n not in said and bool(r.strip()) and r.strip()[0] != "#" for n, r in rows)


def circles() -> list[set[str]]:
    """Modules that import each other, directly or round others; imports in functions count."""
    imported = {name_of(path): _imported(path) for path in MODULES}
    reached = {name: _reached(name, imported) for name in imported}
    found: list[set[str]] = []
    for name, others in reached.items():
        circle = {other for other in others if name in reached[other]}
        if circle and circle not in found:
            found.append(circle)
    return found


def name_of(path: Path) -> str:
    """A module by the path within the package: "talk.talk"."""
    return ".".join(path.relative_to(PACKAGE).with_suffix("").parts).removesuffix(".__init__")


def _imported(path: Path) -> set[str]:
    """The modules of the house that a module imports, but for what is imported for types only."""
    known = {name_of(other) for other in MODULES}
    found: set[str] = set()
    tree = ast.parse(path.read_text("utf-8"))
    for_types = {
        id(inner)
        for node in ast.walk(tree)
        if isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING"
        for inner in ast.walk(node)
    }
    for node in ast.walk(tree):
        if id(node) in for_types:
            continue
        if isinstance(node, ast.ImportFrom) and node.module:
            found |= {f"{node.module}.{alias.name}" for alias in node.names} | {node.module}
        elif isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
    return {name.removeprefix("assistant.") for name in found} & known


def _reached(name: str, imported: dict[str, set[str]]) -> set[str]:
    """All that a module imports, and what that imports."""
    found: set[str] = set()
    left = set(imported[name])
    while left:
        one = left.pop()
        found.add(one)
        left |= imported[one] - found
    return found


class _Watched(Paper):
    """Types the walk, and notes which modules run between a typed line and the next question."""

    def __init__(self) -> None:
        super().__init__(["a car", *ANSWERS])
        self.ran: list[set[str]] = []

    def readline(self, _most: int = -1) -> str:
        sys.setprofile(None)
        words = super().readline()
        self.ran.append(set())
        sys.setprofile(self.note)
        return words

    def note(self, frame: FrameType, event: str, _: object) -> None:
        if event == "call":
            self.ran[-1].add(frame.f_code.co_filename)


def modules_by_answer(ruleset: Ruleset) -> list[int]:
    """How many modules of the house run for each answer of a walk; the second time it is walked."""
    for _ in range(2):
        paper = _Watched()
        before = sys.getprofile()
        try:
            with tempfile.TemporaryDirectory() as home:
                day = dt.date(2026, 3, 2)
                product.open_car(ruleset, PlainAsker(paper, paper), Path(home), day, lambda _: None)  # type: ignore[arg-type]
        finally:
            sys.setprofile(before)
    ours = {str(path) for path in MODULES}
    return [len(ran & ours) for ran in paper.ran[1:-1]]


def main() -> None:
    print(f"{sum(map(code_lines, MODULES)):,} lines of code in {len(MODULES)} files")
    counts = modules_by_answer(load_ruleset(ROOT / "rulesets" / "gb-cars"))
    print(f"one answer runs through {statistics.median(counts):g} modules, the most {max(counts)}")
    found = circles()
    print(f"{len(found)} circles of imports")
    for circle in found:
        print("  " + ", ".join(sorted(circle)))


if __name__ == "__main__":
    main()
