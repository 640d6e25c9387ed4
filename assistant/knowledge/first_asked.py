"""The first question of a ruleset, from its first two files, while the others are not read yet.

Only a forecast of what the agenda of a new car will ask first: whoever shows it compares it with
the agenda once that is there. Nothing that takes long to load is imported here.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any, NamedTuple

from assistant.errors import RulesetError
from assistant.knowledge.reading import load_yaml

_PLAIN = {"ask", "label", "kind", "place", "minutes", "how", "means", "choices", "unit"} | {
    "range", "step", "about", "error", "ahead", "picture", "fine", "not_fitted", "prior",
}  # fmt: skip
"""The fields of a question that is asked of everybody, once, in one way."""


def first_notice(notices: Sequence[str]) -> str:
    """The notice for the first screen: the second, or the only one there is."""
    return notices[1] if len(notices) > 1 else notices[0]


class FirstAsked(NamedTuple):
    """What the first screen of a walk says. questions: how many there are about the car."""

    inspection: str
    notice: str
    place: str
    questions: int
    ask: str
    choices: tuple[str, ...]
    kind: str
    unit: str


def first_asked(folder: Path) -> FirstAsked | None:
    """The first question for a car without a record, or None where these files cannot tell.

    A file with mistakes tells nothing here; loading the whole ruleset says what is wrong.
    """
    try:
        about = load_yaml(folder / "ruleset.yaml")[0]
        system = load_yaml(folder / f"{about['systems'][0]}.yaml")[0]
        return _first(about, system)
    except (RulesetError, KeyError, IndexError, TypeError, AttributeError, ValueError):
        return None


def _first(about: Any, system: Any) -> FirstAsked | None:
    stop = about["walk"][0]
    questions = [q for q in system["questions"].values() if q["place"] == stop["place"]]
    simple = stop.get("stage") == "start" and not stop.keys() & {"arrive", "cautions"}
    if not simple or not questions or any(set(q) - _PLAIN for q in questions):
        return None
    first = questions[0]
    return FirstAsked(
        inspection=str(about["inspection"]),
        notice=str(first_notice(about["notices"])),
        place=str(stop["say"]),
        questions=len(questions),
        ask=str(first["ask"]),
        choices=tuple(str(choice["say"]) for choice in first.get("choices", {}).values()),
        kind=str(first["kind"]),
        unit=str(first.get("unit", "")),
    )
