"""Reads answers files: the words a person would type, one consultation or many.

Three shapes are understood: an answers file (YAML or JSON, or one JSON object a line), a
journal, and the JSON sheet that this program writes. What is wrong in a file is a fault with
its line; all that is right is still judged.
"""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import yaml
from pydantic import ValidationError

from assistant.dialogue.understanding import Unclear, clean, understand
from assistant.errors import AnswersError, JournalError
from assistant.knowledge.journal import Context, Earlier, Entry, Said, entry_adapter
from assistant.knowledge.reading import near_name
from assistant.knowledge.ruleset import Ruleset

__all__ = ["Fault", "Given", "read_answers"]

_MAX_BYTES = 50_000_000
_KEYS = ("ruleset", "today", "name", "car", "answers", "earlier")


@dataclass(frozen=True)
class Fault:
    """One mistake in a file; line counts from 1, None where it cannot be told."""

    line: int | None
    text: str


@dataclass
class Given:
    """One consultation of a file: its journal, and what was wrong with it."""

    label: str
    journal: list[Entry]
    faults: list[Fault] = field(default_factory=list)
    claimed: dict[str, Any] | None = None


class _Text(str):
    """A scalar as it was typed, with its line."""

    line: int

    def __new__(cls, text: str, line: int) -> _Text:
        made = super().__new__(cls, text)
        made.line = line
        return made


RulesetNamed = Callable[[str | None], Ruleset]


def read_answers(
    label: str, text: str, ruleset_named: RulesetNamed, today: dt.date
) -> Iterator[Given]:
    """The consultations in one file. Raises AnswersError where nothing in it can be used."""
    if not text.strip():
        raise AnswersError(f"{label} is empty.")
    if len(text) > _MAX_BYTES:
        raise AnswersError(f"{label} is larger than 50 MB.")
    first = text.lstrip()[:1]
    lines = [line for line in text.split("\n") if line.strip()]
    if first == "{" and _is_json(lines[0]):
        yield from _json_lines(label, text, ruleset_named, today)
        return
    data = _load(label, text)
    if isinstance(data, dict) and "journal" in data and "schema" in data:
        yield _from_sheet(label, text)
        return
    if not isinstance(data, dict):
        raise AnswersError(f"{label}: an answers file starts with names such as car: and answers:.")
    yield _Reader(label, ruleset_named, today).read(data)


def _is_json(line: str) -> bool:
    try:
        return isinstance(json.loads(line), dict)
    except (ValueError, RecursionError):
        return False


def _json_lines(
    label: str, text: str, ruleset_named: RulesetNamed, today: dt.date
) -> Iterator[Given]:
    lines = text.split("\n")
    whole = [json.loads(line) if _is_json(line) else None for line in lines]
    if isinstance(whole[0], dict) and whole[0].get("kind") == "context":
        yield _from_journal(label, lines)
        return
    count = sum(1 for line in lines if line.strip())
    for number, (line, data) in enumerate(zip(lines, whole, strict=True), start=1):
        if not line.strip():
            continue
        name = f"{label}:{number}" if count > 1 else label
        if data is None:
            given = Given(name, [])
            given.faults.append(Fault(number, "this line is not a JSON object."))
            yield given
        elif "journal" in data and "schema" in data:
            yield _from_sheet(name, line)
        else:
            yield _Reader(name, ruleset_named, today).read(_with_line(data, number))


def _with_line(data: Any, line: int) -> Any:
    """JSON values as typed text, all on one line."""
    if isinstance(data, dict):
        return {_Text(str(k), line): _with_line(v, line) for k, v in data.items()}
    if isinstance(data, list):
        return [_with_line(v, line) for v in data]
    if isinstance(data, bool):
        return _Text("yes" if data else "no", line)
    if data is None:
        return None
    return _Text(str(data), line)


def _from_journal(label: str, lines: list[str]) -> Given:
    entries: list[Entry] = []
    given = Given(label, entries)
    for number, line in enumerate(lines, start=1):
        if not line.strip():
            continue
        try:
            entries.append(entry_adapter.validate_python(json.loads(line)))
        except (ValueError, RecursionError):
            given.faults.append(Fault(number, "this line is not an entry of a record."))
    if not entries or not isinstance(entries[0], Context):
        raise JournalError(f"{label}: the first line is not the start of a record.")
    return given


def _from_sheet(label: str, text: str) -> Given:
    try:
        data = json.loads(text)
        journal = [entry_adapter.validate_python(entry) for entry in data["journal"]]
    except (ValueError, ValidationError, TypeError, RecursionError) as error:
        raise AnswersError(f"{label}: the record inside this sheet cannot be read.") from error
    if not journal or not isinstance(journal[0], Context):
        raise AnswersError(f"{label}: the record inside this sheet has no start.")
    return Given(label, journal, claimed=data)


def _load(label: str, text: str) -> Any:
    """YAML or JSON with every scalar kept as the text that was typed."""
    loader_type: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    loader = loader_type(text)
    try:
        node = loader.get_single_node()
        return _plain(node, 0, label) if node is not None else None
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        line = f", line {mark.line + 1}" if mark else ""
        raise AnswersError(f"{label}{line}: this is not correct YAML: {error.problem}.") from error
    except (yaml.YAMLError, ValueError, RecursionError) as error:
        raise AnswersError(f"{label}: this is not correct YAML or JSON.") from error
    finally:
        loader.dispose()


def _plain(node: Any, depth: int, label: str) -> Any:
    line = node.start_mark.line + 1
    if depth > 20:
        raise AnswersError(f"{label}, line {line}: this is nested too deeply.")
    if isinstance(node, yaml.MappingNode):
        result: dict[_Text, Any] = {}
        for key, value in node.value:
            text = _Text(str(key.value), key.start_mark.line + 1)
            if text in result:
                raise AnswersError(f"{label}, line {text.line}: {text!s} stands here twice.")
            result[text] = _plain(value, depth + 1, label)
        return result
    if isinstance(node, yaml.SequenceNode):
        return [_plain(child, depth + 1, label) for child in node.value]
    if not node.style and node.value in ("", "~", "null"):
        return None
    if not node.style and node.value in ("true", "false"):
        return _Text("yes" if node.value == "true" else "no", line)
    return _Text(node.value, line)


class _Reader:
    """Turns one mapping into a journal, noting every fault on the way."""

    def __init__(self, label: str, ruleset_named: RulesetNamed, today: dt.date) -> None:
        self.label = label
        self.ruleset_named = ruleset_named
        self.today = today
        self.faults: list[Fault] = []

    def fault(self, where: Any, text: str) -> None:
        self.faults.append(Fault(getattr(where, "line", None), text))

    def read(self, data: dict[str, Any]) -> Given:
        named = data.get("ruleset")
        self.rs = self.ruleset_named(str(named) if named else None)
        for key in data:
            if key not in _KEYS:
                self.fault(key, f"there is no part {str(key)!r} in an answers file."
                                f"{near_name(str(key), _KEYS)}")  # fmt: skip
        self.today = self.date_of(data.get("today")) or self.today
        said: list[Said] = []
        for part in ("car", "answers"):
            given = data.get(part)
            if given is None:
                continue
            if not isinstance(given, dict):
                self.fault(given, f"{part}: needs question names with answers under it.")
                continue
            for name, value in given.items():
                said += self.question(name, value, len(said))
        context = Context(
            today=self.today,
            ruleset=self.rs.about.name,
            digest=self.rs.digest,
            car=clean(str(data.get("name") or ""))[:60],
            earlier=tuple(self.earlier(data.get("earlier"))),
        )
        return Given(self.label, [context, *said], self.faults)

    def date_of(self, value: Any) -> dt.date | None:
        if value is None:
            return None
        try:
            return dt.date.fromisoformat(str(value))
        except ValueError:
            self.fault(value, f"{str(value)!r} is not a date such as 2026-03-31.")
            return None

    def earlier(self, data: Any) -> Iterator[Earlier]:
        if data is None:
            return
        if not isinstance(data, dict) or not isinstance(data.get("answers"), dict):
            self.fault(data, "earlier: needs a date: and answers: under it.")
            return
        day = self.date_of(data.get("date"))
        if day is None:
            self.fault(next(iter(data), None), "earlier: needs a date such as 2025-03-31.")
            return
        for name, value in data["answers"].items():
            for said in self.question(name, value, 0):
                yield Earlier(question=said.question, at=said.at, answer=said.answer, date=day)

    def question(self, name: str, value: Any, before: int) -> Iterator[Said]:
        key, _, part = str(name).partition("@")
        question = self.rs.questions.get(key)
        if question is None:
            self.fault(name, f"there is no question {key!r}.{near_name(key, self.rs.questions)}")
            return
        if value is None:
            return
        if part:
            value = {_Text(part, getattr(name, "line", 0)): value}
        if question.each is None:
            if isinstance(value, dict):
                self.fault(name, f"{key} has one answer for the whole car, not one a part.")
                return
            parts: dict[str, Any] = {"": value}
        elif not isinstance(value, dict):
            members = ", ".join(self.rs.members(question.each))
            self.fault(name, f"{key} needs one answer a part ({members}), or all: with one answer.")
            return
        else:
            parts = value
        seen: set[str] = set()
        for at_name, answer in parts.items():
            for at in self.parts(question.each, at_name):
                if at in seen:
                    self.fault(at_name, f"{key}: {at} is answered twice.")
                    continue
                seen.add(at)
                said = self.answer(key, at, answer, at_name or name, before + len(seen))
                if said is not None:
                    yield said

    def parts(self, axis: str | None, name: str) -> list[str]:
        if axis is None:
            return [""]
        plain = str(name).replace("_", " ").strip().lower()
        if plain == "all":
            return list(self.rs.members(axis))
        for member in self.rs.axes[axis].members:
            words = (member.at.replace("_", " "), member.say, *member.hear)
            if plain in {w.lower() for w in words}:
                return [member.at]
        members = self.rs.members(axis)
        self.fault(name, f"there is no part {str(name)!r} here; the parts are {', '.join(members)}."
                         f"{near_name(str(name), members)}")  # fmt: skip
        return []

    def answer(self, key: str, at: str, value: Any, name: Any, turn: int) -> Said | None:
        question = self.rs.questions[key]
        if value is None:
            return None
        if isinstance(value, dict):
            self.fault(name, f"{key}: the answer has more parts than the question.")
            return None
        if isinstance(value, list):
            if question.kind != "some_of":
                self.fault(name, f"{key} takes one answer, not a list.")
                return None
            value = _Text("; ".join(map(str, value)) or "none", getattr(name, "line", 0))
        words = clean(str(value))
        line = getattr(value, "line", getattr(name, "line", None))
        heard = understand(words, question, today=self.today)
        if isinstance(heard, Unclear):
            offers = f" Near: {', '.join(heard.offers)}." if heard.offers else ""
            self.fault(value, f"{key}: {heard.message}{offers}")
            return None
        if not heard.sure:
            self.fault(
                value, f"{key}: {words!r} may mean {heard.echo!r}; write it like that to be sure."
            )
            return None
        return Said(
            turn=turn, question=key, at=at, answer=heard.answer, words=words[:2000], line=line
        )


def read_text(path: str) -> tuple[str, str]:
    """A file's label and text; "-" is standard input. Raises AnswersError."""
    import sys

    try:
        raw = sys.stdin.buffer.read() if path == "-" else Path(path).read_bytes()
    except OSError as error:
        raise AnswersError(f"{path} cannot be read: {error.strerror}.") from error
    try:
        return ("standard input" if path == "-" else path), raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise AnswersError(f"{path} is not UTF-8 text.") from error
