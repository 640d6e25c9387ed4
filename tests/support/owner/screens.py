"""Reading a screen as its owner does: what is asked there, and what can be picked."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from assistant.report.lines import Line
from assistant.ruleset.models import Group, Question
from assistant.ruleset.ruleset import Ruleset

Item = tuple[str, str]


@dataclass(frozen=True)
class Screen:
    """All lines that were shown since something was typed last, and the words before the cursor."""

    lines: tuple[Line, ...]
    prompt: str
    typed: str = ""

    @property
    def text(self) -> str:
        return "\n".join(line.text for line in self.lines)

    def shown(self) -> str:
        """The screen with what was typed at it, for a report."""
        rows = [f"  [{line.kind}] {line.text}" for line in self.lines if line.kind != "blank"]
        return "\n".join([*rows, f"  {self.prompt}{self.typed!r}"])


@dataclass(frozen=True)
class Asked:
    """What a screen asks. kind: "question", "group", "pick" (which thing is meant), "worry",
    "certain", "yes or no", "go on", "name", or "words" for anything else.

    choices: what can be picked, by its number, in the words that are shown.
    """

    kind: str
    item: Item | None = None
    items: tuple[Item, ...] = ()
    choices: tuple[str, ...] = ()
    lines: tuple[Line, ...] = ()
    main: bool = False


_NUMBERED = re.compile(r"(\d+)\. (.*)")
_CERTAIN = re.compile(r"are you certain|takes away|take (?:it|this|that) back\?", re.I)
_LASTING = ("question", "group", "pick", "worry", "go on", "name")
_GO_ON = re.compile(r"type ['\"]?go on", re.I)


@dataclass
class Reader:
    """Finds the question of a screen by the words that are shown."""

    ruleset: Ruleset
    singles: dict[str, Item] = field(default_factory=dict)
    labels: dict[str, list[Item]] = field(default_factory=dict)
    groups: dict[str, str] = field(default_factory=dict)
    place: str = ""

    def __post_init__(self) -> None:
        rs = self.ruleset
        for name, question in rs.questions.items():
            if question.asked == "told":
                continue
            for at in rs.members(question.each):
                where = rs.at_words(name, at)
                lead = f"{where[:1].upper()}{where[1:]}: " if where else ""
                for ask in _asks(question):
                    self.singles[lead + ask] = (name, at)
                here = rs.member(question.each, at).here if at else None
                for part in {where, here or where}:
                    label = f"{part} {question.label}".strip()
                    self.labels.setdefault(label, []).append((name, at))
        self.groups = {ask: name for name, group in rs.groups.items() for ask in _asks(group)}

    def asked(self, screen: Screen, before: Asked | None, main: Asked | None = None) -> Asked:
        """What a screen asks. Where it shows no question, the one asked before stands; once that
        was a list or a yes or no, the question in its turn, main."""
        text = screen.text
        if "yes or no" in screen.prompt:
            return Asked("certain" if _CERTAIN.search(screen.prompt + text) else "yes or no")
        if "Please type yes or no" in text:
            return Asked("yes or no")
        places = [i for i, line in enumerate(screen.lines) if line.kind == "question"]
        if not places:
            if _GO_ON.search(text):
                return Asked("go on", lines=screen.lines, main=True)
            if screen.prompt.startswith("card"):
                return Asked("words")
            stands = "earlier answer stands" in text
            if before is not None and before.kind in _LASTING and not stands:
                return before
            return main or before or Asked("words")
        for line in screen.lines:
            if line.kind == "place":
                said = [p for p in self.ruleset.places.values() if _starts(line.text, p.say)]
                self.place = max(said, key=lambda p: len(p.say)).place if said else self.place
        return self._of(screen.lines[places[-1] :], screen)

    def _of(self, lines: tuple[Line, ...], screen: Screen) -> Asked:
        ask = lines[0].text
        found = [m for line in lines if line.kind == "choice" and (m := _match(line.text))]
        choices = tuple(m[2] for m in found)
        worry = self.ruleset.about.worry
        if ask in self.singles:
            item = self.singles[ask]
            kind = "worry" if item[0] == worry else "question"
            return Asked(kind, item, (item,), choices, lines, self._is_main(screen))
        if ask in self.groups:
            items = tuple(self._labelled(c, self.groups[ask]) for c in choices)
            return Asked("group", None, items, choices, lines, self._is_main(screen))
        if ask.startswith("You said:"):
            return Asked("pick", None, (), choices, lines, True)
        if ask.startswith(("There is an unfinished", "Is that still right")):
            return Asked("yes or no")
        if ask.startswith("What shall I call"):
            return Asked("name")
        if _GO_ON.search(screen.text):
            return Asked("go on", None, (), choices, lines, True)
        return Asked("words", None, (), choices)

    def _labelled(self, label: str, group: str) -> Item:
        """The part that a row names: one of the group, where one stands."""
        inside = [i for i in self.labels[label] if self.ruleset.questions[i[0]].group == group]
        here = [item for item in inside if self.ruleset.place_of(*item) == self.place]
        return (here or inside)[0]

    def _is_main(self, screen: Screen) -> bool:
        """Whether it was asked in its turn: above it stands where we are on the walk."""
        return any(line.kind == "place" for line in screen.lines)


def _asks(asked: Question | Group) -> list[str]:
    """How it is asked, on whichever car."""
    return [asked.ask, *(one.ask for one in asked.instead if one.ask)]


def _starts(text: str, say: str) -> bool:
    return text.lower().startswith(say.lower())


def _match(text: str) -> re.Match[str] | None:
    return _NUMBERED.fullmatch(text.strip())
