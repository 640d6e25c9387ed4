"""Reads the YAML files of a ruleset and remembers where everything stood.

PyYAML builds the tree; this module walks it so that each mistake can be shown at
file:line:column. A few things YAML allows are refused, because people who write
rules get caught by them: duplicate keys, a bare yes or no (YAML makes them true and
false), numbers with leading zeros (octal), and 1:30 (YAML makes it 90).
"""

from __future__ import annotations

import errno
import os
import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any, TypeVar

import yaml
from pydantic import BaseModel, ValidationError

from assistant.errors import Place, RulesetError, near_name
from assistant.ruleset.kept import MAX_FILE, Files

_BARE = re.compile(r"^(yes|no|on|off|y|n|true|false)$", re.IGNORECASE)
_ZERO = re.compile(r"^[-+]?0[0-9_]+(\.[0-9]*)?$")
_SEXAGESIMAL = re.compile(r"^[-+]?[0-9]+(:[0-5]?[0-9])+$")
_LOADER: type[Any] = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_MAX_DEPTH = 40
Key = str | int
Positions = Mapping[tuple[Key, ...], Place]
"""For each path of keys and numbers into a file, the place of what stands there."""

STANDARD = "standard.yaml"
PICTURES = "pictures.yaml"
CALENDAR = "calendar.yaml"
WORDS = "words.yaml"
HAZARDS = "hazards.yaml"
GLOSSARY = "glossary.yaml"


def load_yaml(path: Path, raw: bytes | OSError) -> tuple[Any, Positions]:
    """What one file says. Raises RulesetError with a place for anything unreadable.

    raw: what stood in it, or why that could not be read.
    """
    name = path.name
    if isinstance(raw, OSError):
        reason = raw.strerror or "unknown reason"
        raise RulesetError([(Place(str(path)), f"cannot be read: {reason}.")]) from raw
    if len(raw) > MAX_FILE:
        raise RulesetError([(Place(name), "is larger than 4 MB; is it the right file?")])
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise RulesetError([(Place(name), "is not UTF-8 text.")]) from error
    loader = _LOADER(text)
    try:
        node = loader.get_single_node()
        if node is None:
            raise RulesetError([(Place(name), "is empty.")])
        walker = _Walker(name, loader)
        data = walker.value(node, (), 0)
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        place = Place(name, mark.line + 1, mark.column + 1) if mark else Place(name)
        raise RulesetError([(place, f"is not correct YAML: {error.problem}.")]) from error
    except (yaml.YAMLError, ValueError) as error:
        raise RulesetError([(Place(name), f"is not correct YAML: {error}")]) from error
    except RecursionError as error:
        raise RulesetError([(Place(name), "is nested too deeply.")]) from error
    finally:
        loader.dispose()
    if walker.problems:
        raise RulesetError(walker.problems)
    return data, walker.positions


class _Walker:
    """Turns YAML nodes into plain values and records their places."""

    def __init__(self, name: str, loader: Any) -> None:
        self.name = name
        self.loader = loader
        self.positions: dict[tuple[Key, ...], Place] = {}
        self.problems: list[tuple[Place, str]] = []

    def place(self, node: Any) -> Place:
        return Place(self.name, node.start_mark.line + 1, node.start_mark.column + 1)

    def value(self, node: Any, path: tuple[Key, ...], depth: int) -> Any:
        self.positions[path] = self.place(node)
        if depth > _MAX_DEPTH:
            raise ValueError("it is nested too deeply.")
        if isinstance(node, yaml.MappingNode):
            return self.mapping(node, path, depth)
        if isinstance(node, yaml.SequenceNode):
            return [self.value(n, (*path, i), depth + 1) for i, n in enumerate(node.value)]
        return self.scalar(node)

    def mapping(self, node: Any, path: tuple[Key, ...], depth: int) -> dict[str, Any]:
        result: dict[str, Any] = {}
        for key_node, value_node in node.value:
            key = str(key_node.value)
            if key in result:
                first = self.positions[(*path, key)]
                self.problems.append(
                    (
                        self.place(key_node),
                        f"{key!r} stands here twice; first at line {first.line}.",
                    )
                )
                continue
            result[key] = self.value(value_node, (*path, key), depth + 1)
            self.positions[(*path, key)] = self.place(key_node)
        return result

    def scalar(self, node: Any) -> Any:
        text = node.value
        if node.style:
            return self.loader.construct_object(node)
        if text in ("true", "false"):
            return text == "true"
        if _BARE.match(text):
            self.problems.append(
                (
                    self.place(node),
                    f"{text} without quotes means true or false in YAML; write '{text}' in quotes.",
                )
            )
            return text
        if _ZERO.match(text) or _SEXAGESIMAL.match(text):
            self.problems.append(
                (
                    self.place(node),
                    f"{text} is read by YAML as another number; write it plainly, "
                    "or in quotes if it is text.",
                )
            )
            return text
        return self.loader.construct_object(node)


# validating --------------------------------------------------------------------------------------

M = TypeVar("M", bound=BaseModel)


def read_model(kind: type[M], data: Any, positions: Positions, file: str) -> M:
    """Checks data against a model; every complaint gets its place and, if near, a name."""
    try:
        return kind.model_validate(data)
    except ValidationError as error:
        problems = [_problem(kind, e, positions, file) for e in error.errors()]
        raise RulesetError(sorted(problems, key=lambda p: p[0])) from error


def _problem(
    kind: type[BaseModel], error: Any, positions: Positions, file: str
) -> tuple[Place, str]:
    path = tuple(part for part in error["loc"])
    place = Place(file)
    for cut in range(len(path), -1, -1):
        if path[:cut] in positions:
            place = positions[path[:cut]]
            break
    where = ".".join(str(part) for part in path) or "the file"
    if error["type"] == "extra_forbidden":
        known = _fields_at(kind, path[:-1])
        hint = near_name(str(path[-1]), known)
        return place, f"{where}: there is no field {path[-1]!r} here.{hint}"
    if error["type"] == "missing":
        return place, f"{where}: this field is missing."
    message = str(error["msg"]).removeprefix("Value error, ")
    given = error.get("input")
    shown = f" (it says {given!r})" if isinstance(given, str | int | float | bool) else ""
    return place, f"{where}: {message}{shown}."


def _fields_at(kind: type[BaseModel], path: tuple[Key, ...]) -> list[str]:
    """The names of the fields a path could have meant; empty where it cannot be told."""
    model: Any = kind
    for part in path:
        if isinstance(part, int):
            continue
        fields = getattr(model, "model_fields", {})
        if part not in fields:
            continue
        inner = _inner_model(fields[part].annotation)
        if inner is not None:
            model = inner
    return list(getattr(model, "model_fields", {}))


def _inner_model(annotation: Any) -> Any:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    for argument in getattr(annotation, "__args__", ()):
        found = _inner_model(argument)
        if found is not None:
            return found
    return None


def read_files(folder: Path, found: Files) -> tuple[dict[str, Any], dict[str, Positions]]:
    """The YAML of ruleset.yaml and of every system it lists, with the places."""
    files: dict[str, Any] = {}
    positions: dict[str, Positions] = {}
    problems: list[tuple[Place, str]] = []

    def read(file: str) -> None:
        raw = found.get(file, FileNotFoundError(errno.ENOENT, os.strerror(errno.ENOENT)))
        files[file], positions[file] = load_yaml(folder / file, raw)

    read("ruleset.yaml")
    systems = (
        files["ruleset.yaml"].get("systems") if isinstance(files["ruleset.yaml"], dict) else []
    )
    for extra in (STANDARD, PICTURES, CALENDAR, WORDS, HAZARDS, GLOSSARY):
        if extra in found:
            read(extra)
    for name in systems if isinstance(systems, list) else []:
        try:
            read(f"{name}.yaml")
        except RulesetError as error:
            problems.extend(error.problems)
    if problems:
        raise RulesetError(problems)
    return files, positions
