"""The demos that come with the program, and finding the case that is meant."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path

from assistant.errors import InputError, near_name
from assistant.report.lines import Line


@dataclass(frozen=True)
class Case:
    """What is replayed: a demo, or a record of one's own, which teaches nothing ("").

    name: for the class file.
    """

    name: str
    title: str
    teaches: str
    path: Path


def demos_folder() -> Path:
    """Where the demos of this installation are."""
    here = Path(__file__).resolve().parents[1]
    inside = here / "transcripts_demo"
    return inside if inside.is_dir() else here.parent / "transcripts_demo"


def demos(folder: Path | None = None) -> list[Case]:
    """All demos by name. Raises InputError for one that cannot be read."""
    found = []
    for path in sorted((folder or demos_folder()).glob("*.jsonl")):
        beside = path.with_suffix(".expected.json")
        try:
            data = json.loads(beside.read_text(encoding="utf-8"))
            found.append(Case(path.stem, str(data["title"]), str(data["teaches"]), path))
        except (OSError, ValueError, KeyError, TypeError) as error:
            raise InputError(f"{beside} does not say what the demo teaches.") from error
    return found


def demo_lines(found: list[Case]) -> list[Line]:
    """The list of demos, for a teacher to choose from."""
    if not found:
        return [Line("text", "No demos came with this installation. Name a record instead.")]
    lines = [Line("title", "Demos to teach with")]
    for number, demo in enumerate(found, start=1):
        lines.append(Line("choice", f"{number}. {demo.name}: {demo.title}."))
        lines.append(Line("aside", f"Teaches: {demo.teaches}", 3))
    lines.append(Line("hint", f"Start one by name or number: sidelight teach {found[0].name}"))
    return lines


def find_case(words: str) -> Case:
    """The demo of that name or number, or the record of that path. Raises InputError."""
    known = demos()
    name = words.removesuffix(".jsonl")
    for number, demo in enumerate(known, start=1):
        if words == str(number) or name.casefold() == demo.name:
            return demo
    path = Path(words)
    if path.is_file():
        for demo in known:
            if path.resolve() == demo.path.resolve():
                return demo
        return Case(path.stem, path.stem, "", path)
    if path.is_dir():
        raise InputError(f"{words} is a folder. Name a record in it, or a demo.")
    hint = near_name(name, [d.name for d in known])
    raise InputError(
        f"There is no demo and no file {words!r}.{hint} For the list of demos: sidelight teach"
    )
