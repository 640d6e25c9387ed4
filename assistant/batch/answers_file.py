"""Reads answers files: the words a person would type, one consultation or many.

Three shapes are understood: an answers file (YAML or JSON, or one JSON object a line), a
journal, and the JSON sheet that this program writes. What is wrong in a file is a fault with
its line; all that is right is still judged.
"""

from __future__ import annotations

import datetime as dt
import json
import re
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager, nullcontext
from dataclasses import dataclass, field
from itertools import chain
from pathlib import Path
from typing import Any, BinaryIO

import yaml

from assistant.errors import AnswersError, InputError, near_name
from assistant.journal.entries import Context, Earlier, Entry, Said, entry_adapter
from assistant.reading.result import Unclear, Understood
from assistant.reading.text import LONGEST_NAME, TOO_LONG, clean, in_pieces
from assistant.reading.understand import understand
from assistant.ruleset.ruleset import Ruleset
from assistant.ruleset.words import answer_words
from assistant.talk.confirming import counts_as
from assistant.talk.worries import no_worry, worry_entries

_MAX_BYTES = 50_000_000
_MAX_DEPTH = 20
_DEEPEST = 6
_KEYS = ("ruleset", "today", "name", "car", "answers", "earlier")
_CONTROL = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x84\x86-\x9f\ud800-\udfff\ufffe\uffff]")
_JSON_ESCAPE = re.compile(
    r"\\(?:u(d[89ab][0-9a-f]{2})\\u(d[c-f][0-9a-f]{2})|(ud[89a-f][0-9a-f]{2})|.)", re.I | re.S
)


@dataclass(frozen=True)
class Fault:
    """One mistake in a file; line counts from 1, None where it cannot be told."""

    line: int | None
    text: str


@dataclass
class AnswersGiven:
    """One consultation of a file: its journal, and what was wrong with it."""

    label: str
    journal: list[Entry]
    faults: list[Fault] = field(default_factory=list)
    claimed: dict[str, Any] | None = None

    @property
    def ruleset(self) -> str | None:
        """The name of the ruleset that it was answered for."""
        return self.journal[0].ruleset if isinstance(self.journal[0], Context) else None


class _Text(str):
    """A scalar as it was typed, with its line."""

    line: int

    def __new__(cls, text: str, line: int) -> _Text:
        made = super().__new__(cls, text)
        made.line = line
        return made


RulesetNamed = Callable[[str | None], Ruleset]
Heard = dict[tuple[str, str, str, dt.date | None], tuple[str, Unclear | Understood]]


class AnswersReader:
    """Reads files; what the same words to the same question mean is found out once."""

    def __init__(self, ruleset_named: RulesetNamed, today: dt.date) -> None:
        self.ruleset_named = ruleset_named
        self.today = today
        self.heard: Heard = {}
        self.parts_named: dict[tuple[str, str], dict[str, str]] = {}

    def file(self, path: str) -> Iterator[AnswersGiven]:
        """The consultations in a file: with one JSON object a line, line by line, so that it may
        be of any size; else as a whole."""
        with opened(path) as (label, file):
            lines = enumerate(file, start=1)
            head = [next(lines, (1, b""))]
            while not head[-1][1].strip() and head[-1][1]:
                head.append(next(lines, (1, b"")))
            data = _json_of(head[-1][1].decode("utf-8-sig", "replace"), [])
            many = data is not None and data.get("kind") != "context"
            second = next((row for row in lines if row[1].strip()), None) if many else None
            if second is None:
                raw = b"".join(row for _, row in head) + file.read()
                yield from self.read(label, _decoded(label, raw))
                return
            for number, row in chain(head[-1:], [second], lines):
                if row.strip():
                    yield self._raw_row(f"{label}:{number}", number, row)

    def _raw_row(self, label: str, number: int, raw: bytes) -> AnswersGiven:
        try:
            return self._row(label, number, raw.decode("utf-8-sig"))
        except UnicodeDecodeError:
            return AnswersGiven(label, [], [Fault(number, "this is not UTF-8 text.")])

    def read(self, label: str, text: str) -> Iterator[AnswersGiven]:
        """The consultations in one file. Raises AnswersError where nothing in it can be used."""
        if not text.strip():
            raise AnswersError(f"{label} is empty.")
        if len(text) > _MAX_BYTES:
            raise AnswersError(f"{label} is larger than 50 MB.")
        if text.lstrip().startswith("{"):
            first = _json_of(next(line for line in text.split("\n") if line.strip()), [])
            if first is not None and first.get("kind") == "context":
                yield from _from_journal(label, text.split("\n"))
                return
            if first is not None:
                numbered = [(n, s) for n, s in enumerate(text.split("\n"), start=1) if s.strip()]
                for number, line in numbered:
                    name = f"{label}:{number}" if len(numbered) > 1 else label
                    yield self._row(name, number, line)
                return
            whole = _json_of(text, [])
            if _is_sheet(whole):
                yield _from_sheet(label, whole)
                return
            if whole is not None:
                text = _JSON_ESCAPE.sub(_without_pairs, text)
        faults: list[Fault] = []
        data = _load(label, _printable(text, faults), faults)
        if not isinstance(data, dict):
            raise AnswersError(
                f"{label}, line 1: an answers file starts with names such as car: and answers:."
            )
        yield _Reading(self, label, faults).read(data)

    def _row(self, label: str, number: int, text: str) -> AnswersGiven:
        """One line of a file of many consultations. Never raises."""
        twice: list[str] = []
        data = _json_of(text, twice)
        faults = [Fault(number, f"{key!r} stands here twice; the first counts.") for key in twice]
        if data is None:
            return AnswersGiven(label, [], [Fault(number, "this line is not a JSON object.")])
        if _is_sheet(data):
            try:
                return _from_sheet(label, data)
            except AnswersError as error:
                why = str(error).removeprefix(f"{label}: ")
                return AnswersGiven(label, [], [Fault(number, why)])
        return _Reading(self, label, faults, number).read(_typed(data))


def _json_of(text: str, twice: list[str]) -> dict[str, Any] | None:
    """A JSON object, or None; names that stand twice in it go to `twice`."""

    def once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        made: dict[str, Any] = {}
        for key, value in pairs:
            if key in made:
                twice.append(key)
            made.setdefault(key, value)
        return made

    try:
        data = json.loads(text, object_pairs_hook=once)
    except (ValueError, RecursionError):
        return None
    return data if isinstance(data, dict) else None


def _is_sheet(data: Any) -> bool:
    return isinstance(data, dict) and "journal" in data and "schema" in data


def _without_pairs(found: re.Match[str]) -> str:
    """JSON writes an emoji as two halves, which YAML does not know."""
    if found[1]:
        high, low = int(found[1], 16), int(found[2], 16)
        return chr(0x10000 + ((high - 0xD800) << 10) + (low - 0xDC00))
    return "\ufffd" if found[3] else found[0]


def _printable(text: str, faults: list[Fault]) -> str:
    """The text with a mark in place of each character that no text has; said once a line."""
    if _CONTROL.search(text):
        for number, line in enumerate(text.split("\n"), start=1):
            if _CONTROL.search(line):
                faults.append(Fault(number, "a control character stands here; it is left out."))
                if len(faults) == 20:
                    break
        text = _CONTROL.sub("\ufffd", text)
    return text


def _typed(data: Any) -> Any:
    """JSON values as a person would have typed them."""
    if isinstance(data, dict):
        return {key: _typed(value) for key, value in data.items()}
    if isinstance(data, list):
        return [_typed(value) for value in data]
    if isinstance(data, bool):
        return "yes" if data else "no"
    return data if data is None else str(data)


def _from_journal(label: str, lines: list[str]) -> Iterator[AnswersGiven]:
    """A record, or several one after another; each begins with its context."""
    given: AnswersGiven | None = None
    faults: list[Fault] = []
    for number, line in enumerate(lines, start=1):
        if not line.strip():
            continue
        try:
            entry = entry_adapter.validate_python(json.loads(line))
        except (ValueError, RecursionError):
            faults.append(Fault(number, "this line is not an entry of a record."))
            continue
        if isinstance(entry, Context):
            if given is not None:
                yield given
                faults = []
            given = AnswersGiven(f"{label}:{number}" if given else label, [entry], faults)
        elif given is None:
            raise AnswersError(f"{label}, line 1: this is not the start of a record.")
        elif entry.turn < given.journal[-1].turn:
            faults.append(Fault(number, "this entry is out of order; it is left out."))
        else:
            if isinstance(entry, Said):
                entry = entry.model_copy(update={"line": number})
            given.journal.append(entry)
    if given is None:
        raise AnswersError(f"{label}, line 1: this is not the start of a record.")
    yield given


def _from_sheet(label: str, data: Any) -> AnswersGiven:
    try:
        journal = [entry_adapter.validate_python(entry) for entry in data["journal"]]
    except (ValueError, TypeError, RecursionError) as error:
        raise AnswersError(f"{label}: the record inside this sheet cannot be read.") from error
    if not journal or not isinstance(journal[0], Context):
        raise AnswersError(f"{label}: the record inside this sheet has no start.")
    return AnswersGiven(label, journal, claimed=data)


def _load(label: str, text: str, faults: list[Fault]) -> Any:
    """YAML or JSON with every scalar kept as the text that was typed."""
    loader_type: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    loader = loader_type(text)
    try:
        node = loader.get_single_node()
        return _plain(node, 0, set(), faults) if node is not None else None
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        line = f", line {mark.line + 1}" if mark else ""
        raise AnswersError(f"{label}{line}: this is not correct YAML: {error.problem}.") from error
    except (yaml.YAMLError, ValueError, RecursionError) as error:
        raise AnswersError(f"{label}: this is not correct YAML or JSON.") from error
    finally:
        loader.dispose()


def _plain(node: Any, depth: int, seen: set[int], faults: list[Fault]) -> Any:
    line = node.start_mark.line + 1
    if isinstance(node, yaml.ScalarNode):
        if not node.style and node.value.lower() in ("", "~", "null"):
            return None
        if not node.style and node.value.lower() in ("true", "false"):
            return _Text("yes" if node.value.lower() == "true" else "no", line)
        return _Text(node.value, line)
    if depth > _MAX_DEPTH or id(node) in seen:
        why = "is used again by an alias" if id(node) in seen else "is nested too deeply"
        fault = Fault(line, f"what stands here {why}; it is left out.")
        if fault not in faults:
            faults.append(fault)
        return None
    seen.add(id(node))
    if isinstance(node, yaml.SequenceNode):
        return [_plain(child, depth + 1, seen, faults) for child in node.value]
    result: dict[_Text, Any] = {}
    for key, value in node.value:
        at = key.start_mark.line + 1
        if not isinstance(key, yaml.ScalarNode):
            faults.append(Fault(at, "a name is one line of plain words, not a list."))
            continue
        text = _Text(key.value, at)
        if text in result:
            faults.append(Fault(at, f"{key.value!r} stands here twice; the first counts."))
            continue
        result[text] = _plain(value, depth + 1, seen, faults)
    return result


class _Reading:
    """Turns one mapping into a journal, noting every fault on the way.

    line: where all of it stands, for texts that do not know their own line.
    """

    def __init__(
        self, reader: AnswersReader, label: str, faults: list[Fault], line: int | None = None
    ) -> None:
        self.label = label
        self.line = line
        self.ruleset_named = reader.ruleset_named
        self.today = reader.today
        self.heard = reader.heard
        self.parts_named = reader.parts_named
        self.faults = faults
        self.keys: dict[str, Any] = {}

    def fault(self, where: Any, text: str) -> None:
        made = Fault(self.line_of(where), text)
        if made not in self.faults:
            self.faults.append(made)

    def line_of(self, text: Any) -> int | None:
        """Where a text stands."""
        return text.line if isinstance(text, _Text) else self.line

    def text_of(self, data: dict[str, Any], key: str) -> str | None:
        """The plain words under a name, or None; anything else is a fault."""
        value = data.get(key)
        if value is None or isinstance(value, str):
            return value or None
        self.fault(self.keys[key], f"{key}: needs one line of plain words.")
        return None

    def read(self, data: dict[str, Any]) -> AnswersGiven:
        self.keys = {str(key): key for key in data}
        named = self.text_of(data, "ruleset")
        try:
            self.rs = self.ruleset_named(named)
        except InputError as error:
            self.fault(self.keys.get("ruleset"), str(error))
            return AnswersGiven(self.label, [], self.faults)
        for key in data:
            if key not in _KEYS:
                self.fault(key, f"there is no part {str(key)!r} in an answers file."
                                f"{near_name(str(key), _KEYS)}")  # fmt: skip
        self.today = self.date_of(data, "today") or self.today
        said: list[Said] = []
        taken: set[tuple[str, str]] = set()
        for part in ("car", "answers"):
            given = data.get(part)
            if given is None:
                continue
            if not isinstance(given, dict):
                self.fault(self.keys[part], f"{part}: needs question names with answers under it.")
                continue
            for name, value in given.items():
                said += self.question(name, value, len(said), taken)
        context = Context(
            today=self.today,
            ruleset=self.rs.about.name,
            digest=self.rs.digest,
            car=self.name_of(data),
            earlier=tuple(self.earlier(data.get("earlier"))),
        )
        return AnswersGiven(self.label, [context, *said, *self.worries(said)], self.faults)

    def name_of(self, data: dict[str, Any]) -> str:
        """What the car is called; a name that is too long is no name."""
        name = clean(self.text_of(data, "name") or "")
        if len(name) <= LONGEST_NAME:
            return name
        self.fault("name", f"name: it has {len(name)} letters, and can have {LONGEST_NAME}.")
        return ""

    def worries(self, said: list[Said]) -> list[Entry]:
        """What was written under the question that asks what worries the owner, as a worry."""
        return [
            entry
            for one in said
            if one.question == self.rs.about.worry and one.answer.text
            if not no_worry(self.rs, one.answer.text)
            for entry in worry_entries(self.rs, one.answer.text, len(said) + 1)
        ]

    def date_of(self, data: dict[str, Any], key: str) -> dt.date | None:
        value = data.get(key)
        if value is None:
            return None
        try:
            if isinstance(value, str):
                return dt.date.fromisoformat(value)
        except ValueError:
            pass
        where = value if isinstance(value, str) else next(k for k in data if k == key)
        shown = f"{str(value)!r} is" if isinstance(value, str) else "this is"
        self.fault(where, f"{key}: {shown} not a date such as 2026-03-31.")
        return None

    def earlier(self, data: Any) -> Iterator[Earlier]:
        if data is None:
            return
        if not isinstance(data, dict) or not isinstance(data.get("answers"), dict):
            self.fault(self.keys["earlier"], "earlier: needs a date: and answers: under it.")
            return
        for key in data:
            if key not in ("date", "answers"):
                self.fault(key, f"earlier: there is no part {str(key)!r} here."
                                f"{near_name(str(key), ('date', 'answers'))}")  # fmt: skip
        day = self.date_of(data, "date")
        if day is None or day > self.today:
            self.fault(
                self.keys["earlier"],
                "earlier: needs a date such as 2025-03-31, not later than today's.",
            )
            return
        taken: set[tuple[str, str]] = set()
        for name, value in data["answers"].items():
            for said in self.question(name, value, 0, taken):
                yield Earlier(question=said.question, at=said.at, answer=said.answer, date=day)

    def question(
        self, name: str, value: Any, before: int, taken: set[tuple[str, str]]
    ) -> Iterator[Said]:
        """The answers under one name; `taken` holds what has been answered before."""
        key, _, part = str(name).partition("@")
        question = self.rs.questions.get(key)
        if question is None:
            self.fault(name, f"there is no question {key!r}.{near_name(key, self.rs.questions)}")
            return
        if value is None:
            return
        if part:
            value = {part: value}
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
        count = before
        for at_name, answer in parts.items():
            where = at_name if isinstance(at_name, _Text) else name
            for at in self.parts(question.each, at_name, where):
                if answer is None:
                    continue
                if (key, at) in taken:
                    twice = f"{key}: {at}" if at else key
                    self.fault(where, f"{twice} is answered twice; the first answer counts.")
                    continue
                taken.add((key, at))
                count += 1
                said = self.answer(key, at, answer, where, count)
                if said is not None:
                    yield said

    def parts(self, axis: str | None, name: str, where: Any) -> list[str]:
        if axis is None:
            return [""]
        plain = str(name).replace("_", " ").strip().lower()
        if plain == "all":
            return list(self.rs.members(axis))
        named = self.parts_named.setdefault((self.rs.digest, axis), {})
        if not named:
            for member in reversed(self.rs.axes[axis].members):
                words = (member.at.replace("_", " "), member.say, *member.hear)
                named.update(dict.fromkeys((word.lower() for word in words), member.at))
        if plain in named:
            return [named[plain]]
        members = self.rs.members(axis)
        near = near_name(str(name), members)
        self.fault(
            where, f"there is no part {str(name)!r} here; the parts are {', '.join(members)}.{near}"
        )
        return []

    def answer(self, key: str, at: str, value: Any, name: Any, turn: int) -> Said | None:
        question = self.rs.questions[key]
        where = value if isinstance(value, _Text) else name
        if isinstance(value, dict):
            self.fault(name, f"{key}: the answer has more parts than the question.")
            return None
        if isinstance(value, list):
            if question.kind != "some_of":
                self.fault(name, f"{key} takes one answer, not a list.")
                return None
            if not all(isinstance(item, str) for item in value):
                self.fault(name, f"{key}: each item of the list needs to be plain words.")
                return None
            value = "; ".join(value) or "none"
        typed = str(value)
        same = (self.rs.digest, key, typed, self.today if question.kind == "date" else None)
        if same not in self.heard:
            words = clean(typed)
            self.heard[same] = words, understand(words, question, today=self.today)
        words, heard = self.heard[same]
        if len(pieces := in_pieces(typed)) > 1:
            kept = pieces[0][-30:]
            self.fault(where, f"{key}: {TOO_LONG} What comes after {kept!r} was left out.")
        unsure = isinstance(heard, Unclear) or not heard.sure
        grave = counts_as(self.rs, key, heard) if unsure else None
        if grave is not None:
            echo = answer_words(question, grave)
            self.fault(
                where, f"{key}: I read {words!r} as {echo!r}, a danger; it counts until it is put "
                       "right. Write it like that to be sure.",
            )  # fmt: skip
            heard = Understood(grave, echo)
        if isinstance(heard, Unclear):
            offers = f" Near: {', '.join(heard.offers)}." if heard.offers else ""
            self.fault(where, f"{key}: {heard.message}{offers}")
            return None
        if not heard.sure:
            self.fault(
                where, f"{key}: {words!r} may mean {heard.echo!r}; write it like that to be sure."
            )
            return None
        return Said(
            turn=turn,
            question=key,
            at=at,
            answer=heard.answer,
            words=words[:2000],
            line=self.line_of(where),
        )


def read_text(path: str) -> tuple[str, str]:
    """A file's label and text; "-" is standard input. Raises AnswersError."""
    with opened(path) as (label, file):
        return label, _decoded(label, file.read())


@contextmanager
def opened(path: str) -> Iterator[tuple[str, BinaryIO]]:
    """A file's label, and the file; "-" is standard input. Raises AnswersError."""
    label = "standard input" if path == "-" else path
    try:
        if path == "-" and sys.stdin is None:
            raise AnswersError("Standard input is closed, so nothing could be read from it.")
        file = nullcontext(sys.stdin.buffer) if path == "-" else Path(path).open("rb")  # noqa: SIM115
    except OSError as error:
        raise AnswersError(f"{label} cannot be read: {error.strerror}.") from error
    except ValueError as error:
        raise AnswersError(f"{label!r} is not the name of a file.") from error
    with file as opened_file:
        yield label, opened_file


def _decoded(label: str, raw: bytes) -> str:
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        raise AnswersError(f"{label}, line {line}: this is not UTF-8 text.") from error
