"""A ruleset written several times over, with every name of a copy made different.

Copies work on the YAML data. What is shared stays shared: the axes, the places, the scale, the
sources and the cautions of `ruleset.yaml` and of the first copy, and files that are no system.
What a condition can name, and groups and symptoms, gets a new name, so that a copy reads only
its own answers. In `words.yaml` the ways to say a symptom, and what is asked first, are there for
each copy; the other words, and the dangers, are shared.
"""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import yaml

from assistant.journal.entries import Context, Entry, Said
from assistant.ruleset.ruleset import told
from assistant.ruleset.yaml_file import load_yaml

Rename = Callable[[str], str]
_TOKEN = re.compile(r"""('[^']*'|"[^"]*")|([A-Za-z_][A-Za-z0-9_]*)""")
_LEADS = ("earlier date of ", "earlier ")
_CONDITIONS = ("applies", "when")


def repeat_ruleset(source: Path, target: Path, times: int) -> None:
    """Writes `source` into `target`, each system `times` times."""
    target.mkdir(parents=True)
    about = _yaml(source / "ruleset.yaml")
    files = {name: _yaml(source / f"{name}.yaml") for name in about["systems"]}
    named = {name for file in files.values() for name in _names(file)}
    groups = {name for file in files.values() for name in file.get("groups", {})}
    copiers = [_Copier(number, named, groups) for number in range(2, times + 1)]
    copies = [copier.system(file) for copier in copiers for file in files.values()]
    systems = [*files.values(), *copies]
    for system in systems:
        _write(target / f"{system['system']}.yaml", system)
    _write(target / "ruleset.yaml", {**about, "systems": [s["system"] for s in systems]})
    for path in source.glob("*.yaml"):
        if path.stem not in (*files, "ruleset"):
            shutil.copy(path, target)
    if (source / "words.yaml").is_file():
        said = _yaml(source / "words.yaml")
        every = [said, *(copier.words(said) for copier in copiers)]
        for part in ("words", "ask_first"):
            said = {**said, part: {k: v for one in every for k, v in one.get(part, {}).items()}}
        _write(target / "words.yaml", said)


def _yaml(path: Path) -> Any:
    return load_yaml(path, path.read_bytes())[0]


def repeat_journal(journal: list[Entry], times: int) -> list[Entry]:
    """The same answers for every copy, one turn a copy."""
    start = journal[0]
    assert isinstance(start, Context)
    result: list[Entry] = [start]
    for entry in journal[1:]:
        if not isinstance(entry, Said):
            continue
        for number in range(1, times + 1):
            group, _, place = (entry.group or "").partition("@")
            new = {
                "turn": entry.turn * times + number,
                "question": _copied(entry.question, number),
                "group": f"{_copied(group, number)}@{place}" if entry.group else None,
            }
            result.append(entry.model_copy(update=new))
    result.sort(key=lambda e: e.turn)
    return result


def _copied(name: str, number: int) -> str:
    return name if number == 1 else f"{name}_x{number}"


def _names(file: dict[str, Any]) -> list[str]:
    """Everything of one file that a condition could name."""
    parts = [*file.get("limits", {}), *file.get("questions", {}), *file.get("derived", {})]
    parts += [told(symptom["symptom"]) for symptom in file.get("symptoms", [])]
    return parts + [rule["rule"] for rule in file.get("rules", [])]


def _write(path: Path, data: dict[str, Any]) -> None:
    text = yaml.dump(data, Dumper=_Quoting, sort_keys=False, allow_unicode=True, width=100)
    path.write_text(text, encoding="utf-8")


class _Quoting(getattr(yaml, "CSafeDumper", yaml.SafeDumper)):  # type: ignore[misc]
    """Writes every text in quotes, so that none can be taken for a number or a yes."""


_Quoting.add_representer(
    str, lambda dumper, text: dumper.represent_scalar("tag:yaml.org,2002:str", text, style='"')
)


class _Copier:
    def __init__(self, number: int, named: set[str], groups: set[str]) -> None:
        self.number = number
        self.named = named
        self.groups = groups

    def name(self, name: str) -> str:
        return _copied(name, self.number) if name in self.named else name

    def all_of(self, names: list[str]) -> list[str]:
        return [self.name(name) for name in names]

    def group(self, name: str) -> str:
        return _copied(name, self.number) if name in self.groups else name

    def condition(self, text: str) -> str:
        """A condition with its names changed; quoted words are answers and stay."""
        return _TOKEN.sub(lambda m: m[1] or self.name(m[2]), text)

    def value_of(self, value: Any) -> Any:
        """What a calculation is given: a name, perhaps of last time, a word or a number."""
        if not isinstance(value, str) or value.startswith("="):
            return value
        lead = next((lead for lead in _LEADS if value.startswith(lead)), "")
        return lead + self.name(value.removeprefix(lead))

    def answers(self, answers: dict[str, Any]) -> dict[str, Any]:
        """Case answers: "question", "question@part" or "earlier question"."""
        result: dict[str, Any] = {}
        for key, value in answers.items():
            lead = "earlier " if key.startswith("earlier ") else ""
            name, sign, at = key.removeprefix(lead).partition("@")
            result[f"{lead}{self.name(name)}{sign}{at}"] = value
        return result

    def system(self, file: dict[str, Any]) -> dict[str, Any]:
        copy = {key: value for key, value in file.items() if key not in ("sources", "cautions")}
        copy["system"] = _copied(file["system"], self.number)
        for part, change, rename in (
            ("limits", dict, self.name),
            ("groups", dict, self.group),
            ("questions", self.question, self.name),
            ("derived", self.derived, self.name),
        ):
            if part in file:
                copy[part] = {rename(name): change(model) for name, model in file[part].items()}
        for part, change in (
            ("rules", self.rule),
            ("symptoms", self.symptom),
            ("tester_only", self.conditions),
            ("not_defects", self.not_defect),
            ("both_may_stand", self.both_may_stand),
        ):
            if part in file:
                copy[part] = [change(model) for model in file[part]]
        return copy

    def conditions(self, model: dict[str, Any]) -> dict[str, Any]:
        """A copy with the conditions in it changed."""
        changed = {k: self.condition(model[k]) for k in _CONDITIONS if model.get(k)}
        return {**model, **changed}

    def question(self, model: dict[str, Any]) -> dict[str, Any]:
        copy = self.conditions(model)
        if copy.get("group"):
            copy["group"] = self.group(copy["group"])
        return copy

    def derived(self, model: dict[str, Any]) -> dict[str, Any]:
        return {**model, "of": {key: self.value_of(value) for key, value in model["of"].items()}}

    def rule(self, model: dict[str, Any]) -> dict[str, Any]:
        copy = self.conditions(model)
        copy["rule"] = self.name(model["rule"])
        for part in ("gives_way_to", "lowers"):
            if part in model:
                copy[part] = self.all_of(model[part])
        if model.get("asks"):
            copy["asks"] = {**model["asks"], "questions": self.all_of(model["asks"]["questions"])}
        copy["cases"] = [
            {
                **case,
                "fires": self.answers(case["fires"]),
                "near": [self.answers(near) for near in case["near"]],
            }
            for case in model["cases"]
        ]
        return copy

    def symptom(self, model: dict[str, Any]) -> dict[str, Any]:
        copy = self.conditions(model)
        copy["symptom"] = _copied(model["symptom"], self.number)
        copy["causes"] = [
            {**cause, "evidence": [self.conditions(e) for e in cause.get("evidence", [])]}
            for cause in model["causes"]
        ]
        copy["cases"] = [{**c, "given": self.answers(c["given"])} for c in model["cases"]]
        return copy

    def not_defect(self, model: dict[str, Any]) -> dict[str, Any]:
        quiet = self.all_of(model["quiet"])
        return {**model, "given": self.answers(model["given"]), "quiet": quiet}

    def both_may_stand(self, model: dict[str, Any]) -> dict[str, Any]:
        return {**model, **{part: self.all_of(model[part]) for part in ("rules", "beside")}}

    def words(self, file: dict[str, Any]) -> dict[str, Any]:
        """The ways to say the copied symptoms, and what asks the copied questions first."""
        ask_first = {
            _copied(name, self.number): {**may_be, "ask": self.all_of(may_be["ask"])}
            for name, may_be in file.get("ask_first", {}).items()
        }
        words = {_copied(name, self.number): said for name, said in file["words"].items()}
        return {"words": words, "ask_first": ask_first}
