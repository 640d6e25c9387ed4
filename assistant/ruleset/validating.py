"""Checks what a file says against its model, so that each mistake is shown where it stands."""

from __future__ import annotations

from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from assistant.errors import Place, RulesetError, near_name
from assistant.ruleset.yaml_file import Key, Positions

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
