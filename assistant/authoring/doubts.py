"""What a ruleset says from memory, from practice, or as a guess, and what would settle each."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import asdict, dataclass, replace
from typing import Any

from pydantic import BaseModel

from assistant.authoring.check.cases import case_journal
from assistant.errors import Place
from assistant.reasoning.consultation import consult
from assistant.ruleset.models import Basis, Cause, Limit, Prior, Rule
from assistant.ruleset.ruleset import Ruleset

_DOUBTED = (Basis.MEMORY, Basis.ASSUMED, Basis.PRACTICE)
FACTOR = 2
"""So far an assumed figure may be off; ours, assumed."""
_CALENDAR, _HAZARDS, _WORDS = "calendar", "hazards", "words"


@dataclass(frozen=True)
class Doubt:
    """One thing that is not read in a source.

    kind: "limit", "rule", "prior", "symptom weight", "constant", "calendar", "hazard", "danger",
    "tester only" or "not a defect". settle: what would make it certain, as one sentence. decides:
    what half or twice as much would change. urgent: whether that is an urgency.
    """

    place: Place
    kind: str
    name: str
    basis: str
    says: str
    note: str
    source: str
    settle: str
    decides: str = ""
    urgent: bool = False


def doubts(ruleset: Ruleset) -> list[Doubt]:
    """Everything not read in a source: first what decides, then what is from memory."""
    found: list[Doubt] = []
    for system, file in ruleset.systems.items():
        for path, model in _with_basis(file, ()):
            found += _doubt(ruleset, system, path, model)
        for name, derived in file.derived.items():
            for parameter, value in derived.of.items():
                if not isinstance(value, str):
                    found.append(_constant(ruleset, system, name, parameter, value))
    if ruleset.calendar is not None:
        for path, model in _with_basis(ruleset.calendar, ()):
            found += _doubt(ruleset, _CALENDAR, path, model)
    for other, words in ((_HAZARDS, ruleset.hazards_file), (_WORDS, ruleset.words)):
        for path, model in _with_basis(words, ()) if words is not None else ():
            found += _doubt(ruleset, other, path, model)
    deciding = _deciding(ruleset)
    found = [replace(d, **deciding.get(d.name, {})) for d in found]
    return sorted(found, key=_rank)


def _rank(doubt: Doubt) -> tuple[object, ...]:
    memory = doubt.basis == Basis.MEMORY.value
    return not doubt.urgent, not doubt.decides, not memory, doubt.place


def _deciding(ruleset: Ruleset) -> dict[str, dict[str, Any]]:
    """The assumed weights of which half or twice as much changes what a worked case ends with.

    A factor that holds counts alike. Where the two ask for another urgency, it is urgent.
    """
    found: dict[str, dict[str, Any]] = {}
    for symptom in ruleset.symptoms.values():
        for case in symptom.cases:
            now = consult(ruleset, case_journal(ruleset, case.given, case.today))
            causes = next((s.causes for s in now.symptoms if s.symptom is symptom), ())
            for one in causes if case.likely != "open" else ():
                rival = causes[one is causes[0]]
                close = max(one.share, rival.share) < FACTOR * min(one.share, rival.share)
                if not close or one.cause.basis != Basis.ASSUMED:
                    continue
                urgent = one.cause.urgency != rival.cause.urgency
                name = f"{symptom.symptom}/{one.cause.cause}"
                if urgent or name not in found:
                    also = ", and the urgency" if urgent else ""
                    first, other = sorted((one, rival), key=lambda c: -c.share)
                    words = f"from '{first.cause.say}' to '{other.cause.say}'{also}"
                    text = f"Within a factor of two it changes the first cause {words}."
                    found[name] = {"decides": text, "urgent": urgent}
    return found


def doubt_counts(found: list[Doubt]) -> dict[str, Counter[str]]:
    """How many there are of each kind, by basis."""
    counts: dict[str, Counter[str]] = {basis.value: Counter() for basis in _DOUBTED}
    for doubt in found:
        counts[doubt.basis][doubt.kind] += 1
    return counts


def doubt_data(doubt: Doubt) -> dict[str, Any]:
    """A doubt for JSON: file, line and column in place of the place."""
    data = asdict(doubt)
    return {**data.pop("place"), **data}


def _with_basis(
    model: BaseModel, path: tuple[str | int, ...]
) -> Iterator[tuple[tuple[str | int, ...], BaseModel]]:
    """Every model inside a file that says how far to trust it, with its path."""
    if hasattr(model, "basis"):
        yield path, model
    for field in type(model).model_fields:
        yield from _inside(getattr(model, field), (*path, field))


def _inside(
    value: object, path: tuple[str | int, ...]
) -> Iterator[tuple[tuple[str | int, ...], BaseModel]]:
    if isinstance(value, BaseModel):
        yield from _with_basis(value, path)
    elif isinstance(value, dict):
        for key, part in value.items():
            yield from _inside(part, (*path, key))
    elif isinstance(value, list):
        for index, part in enumerate(value):
            yield from _inside(part, (*path, index))


def _doubt(
    ruleset: Ruleset, system: str, path: tuple[str | int, ...], model: BaseModel
) -> Iterator[Doubt]:
    basis: Basis = model.basis  # type: ignore[attr-defined]
    if basis not in _DOUBTED:
        return
    kind, name, says = _named(ruleset, system, path, model)
    source = str(getattr(model, "source", None) or "")
    clause = str(getattr(model, "clause", None) or "")
    yield Doubt(
        ruleset.place(system, *path),
        kind,
        name,
        basis.value,
        says,
        str(getattr(model, "note", None) or ""),
        source,
        _settle(ruleset, kind, basis, source, clause),
    )


def _named(
    ruleset: Ruleset, system: str, path: tuple[str | int, ...], model: BaseModel
) -> tuple[str, str, str]:
    """What kind of thing it is, what it is called, and what it says in short."""
    if isinstance(model, Limit):
        return "limit", str(path[-1]), f"{model.say}: {model.value} {model.unit}"
    if isinstance(model, Rule):
        return "rule", model.rule, model.say
    if isinstance(model, Prior):
        return "prior", str(path[1]), f"fails {model.fails:g}, seen {model.sees:g}"
    if isinstance(model, Cause):
        symptom = ruleset.systems[system].symptoms[int(path[1])].symptom
        says = f"{model.say}: {model.of_100:g} of 100, and {len(model.evidence)} factors"
        return "symptom weight", f"{symptom}/{model.cause}", says
    if system == _CALENDAR:
        return "calendar", ".".join(map(str, path)), str(getattr(model, "say", ""))
    if system == _HAZARDS:
        return "hazard", str(path[-1]), str(getattr(model, "say", ""))
    if system == _WORDS:
        return "danger", str(path[-1]), str(getattr(model, "then", ""))
    kind = "tester only" if path[0] == "tester_only" else "not a defect"
    return kind, str(getattr(model, "item", path[-1])), str(getattr(model, "what", ""))


def _constant(ruleset: Ruleset, system: str, name: str, parameter: str, value: float) -> Doubt:
    return Doubt(
        ruleset.place(system, "derived", name, "of", parameter),
        "constant",
        name,
        Basis.ASSUMED.value,
        f"{parameter}: {value:g}",
        "A plain figure in a calculation; it has no source.",
        "",
        "Make it a limit with its source, or measure it.",
    )


def _settle(ruleset: Ruleset, kind: str, basis: Basis, source: str, clause: str) -> str:
    text = ruleset.sources.get(source)
    if kind == "prior":
        return "Count in real inspections how often this fails, and how often an owner sees it."
    if kind == "symptom weight":
        return "Count in the books of a garage which cause it turned out to be."
    if basis == Basis.PRACTICE:
        return "Ask two mechanics who do this work, or find it in print."
    if text is None:
        return "Find a source that says it."
    book = f"{text.title} ({text.edition})"
    if basis == Basis.MEMORY:
        return f"Read {clause} of {book}." if clause else f"Find and read the place in {book}."
    where = f"{clause} of {book}" if clause else book
    return f"See whether {where} says it; if not, find a source or measure it."
