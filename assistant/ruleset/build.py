"""Builds a ruleset from its files: read, checked, names resolved, conditions parsed.

Every mistake is collected with its place, so that an author sees all of them at once.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import json
from pathlib import Path
from typing import Any

from assistant.calculations.named import CALCULATIONS
from assistant.calculations.registry import NamedCalculation
from assistant.errors import Place, RulesetError, near_name
from assistant.ruleset.about_file import RulesetFile
from assistant.ruleset.calendar_file import CalendarFile, calendar_problems
from assistant.ruleset.condition import (
    And,
    Concluded,
    Condition,
    ConditionError,
    NameKind,
    day_number,
    leaves,
    outer_axes,
    parse,
    somewheres,
)
from assistant.ruleset.hazards_file import HazardsFile
from assistant.ruleset.kept import Files, bytes_digest
from assistant.ruleset.models import Derived, Group, Origin, Question, Rule, Symptom, SystemFile
from assistant.ruleset.pictures_file import PicturesFile
from assistant.ruleset.ruleset import TODAY, Inference, Key, Ruleset, told
from assistant.ruleset.standard_file import StandardFile
from assistant.ruleset.words_file import GlossaryFile, WordsFile
from assistant.ruleset.yaml_file import (
    CALENDAR,
    GLOSSARY,
    HAZARDS,
    PICTURES,
    STANDARD,
    WORDS,
    Positions,
    read_files,
    read_model,
)


def build_ruleset(folder: Path, read: Files) -> Ruleset:
    """Builds a ruleset folder. Raises RulesetError listing every mistake found.

    read: what stood in its files.
    """
    ruleset = _build(folder, *read_files(folder, read))
    ruleset.read = bytes_digest(read)
    return ruleset


def digest_of(files: dict[str, Any]) -> str:
    """A hash of what the files say; comments and layout do not count."""
    text = json.dumps(files, default=_date, separators=(",", ":"), ensure_ascii=False)
    return hashlib.sha256(text.encode()).hexdigest()


def _date(value: Any) -> Any:
    if isinstance(value, dt.date):
        return {"~date": value.isoformat()}
    raise TypeError(f"{type(value).__name__} is not expected in a ruleset")


def _build(folder: Path, files: dict[str, Any], positions: dict[str, Positions]) -> Ruleset:
    """Checks the files against the models, then resolves names and parses conditions."""
    about = read_model(
        RulesetFile, files["ruleset.yaml"], positions.get("ruleset.yaml", {}), "ruleset.yaml"
    )
    digest = digest_of(files)
    systems: dict[str, SystemFile] = {}
    problems: list[tuple[Place, str]] = []
    for name in about.systems:
        file = f"{name}.yaml"
        try:
            systems[name] = read_model(SystemFile, files.pop(file), positions.get(file, {}), file)
        except RulesetError as error:
            problems.extend(error.problems)
            continue
        if systems[name].system != name:
            place = positions.get(file, {}).get(("system",), Place(file))
            problems.append((place, f"the file {file} must say system: {name}."))
    if problems:
        raise RulesetError(problems)
    ruleset = Ruleset(folder, digest, about, systems)
    ruleset.positions = positions
    if STANDARD in files:
        rows = read_model(StandardFile, files.pop(STANDARD), positions.get(STANDARD, {}), STANDARD)
        ruleset.standard, ruleset.not_read = rows.rows, rows.not_read
    if PICTURES in files:
        drawn = read_model(PicturesFile, files.pop(PICTURES), positions.get(PICTURES, {}), PICTURES)
        ruleset.pictures = drawn.pictures
    if CALENDAR in files:
        where = positions.get(CALENDAR, {})
        ruleset.calendar = read_model(CalendarFile, files.pop(CALENDAR), where, CALENDAR)
    if WORDS in files:
        ruleset.words = read_model(WordsFile, files.pop(WORDS), positions.get(WORDS, {}), WORDS)
    if GLOSSARY in files:
        where = positions.get(GLOSSARY, {})
        ruleset.glossary = read_model(GlossaryFile, files.pop(GLOSSARY), where, GLOSSARY).words
    if HAZARDS in files:
        where = positions.get(HAZARDS, {})
        ruleset.hazards_file = read_model(HazardsFile, files.pop(HAZARDS), where, HAZARDS)
    builder = _Builder(ruleset)
    builder.build()
    if builder.problems:
        raise RulesetError(sorted(builder.problems, key=lambda p: p[0]))
    return ruleset


class _Builder:
    """Resolves names and parses conditions, collecting every mistake."""

    def __init__(self, ruleset: Ruleset) -> None:
        self.ruleset = ruleset
        self.problems: list[tuple[Place, str]] = []
        self.order = 0

    def problem(self, text: str, system: str, *path: str | int) -> None:
        self.problems.append((self.ruleset.place(system, *path), text))

    def build(self) -> None:
        self.ruleset.names[TODAY] = NameKind("number", unit="date")
        for system, file in self.ruleset.systems.items():
            self.collect(system, file)
        for system, file in self.ruleset.systems.items():
            self.collect_rules(system, file)
        if self.problems:
            return
        for system, file in self.ruleset.systems.items():
            self.check_references(system, file)
        self.check_pictures()
        self.check_words()
        self.check_hazards()
        for text, path in calendar_problems(self.ruleset):
            self.problem(text, CALENDAR.removesuffix(".yaml"), *path)
        for system, file in self.ruleset.systems.items():
            self.infer(system, file)
        self.infer_lifted()

    def add_name(self, name: str, kind: NameKind, system: str, *path: str | int) -> bool:
        if name in self.ruleset.names:
            self.problem(f"the name {name!r} is used twice in this ruleset.", system, *path)
            return False
        self.ruleset.names[name] = kind
        return True

    def collect(self, system: str, file: SystemFile) -> None:
        rs = self.ruleset
        for name, limit in file.limits.items():
            kind = NameKind("limit", unit=limit.unit, value=day_number(limit.value))
            if self.add_name(name, kind, system, "limits", name):
                rs.limits[name] = limit
        for name, question in file.questions.items():
            axis = question.each
            if axis is not None and axis not in rs.axes:
                hint = near_name(axis, rs.axes)
                self.problem(
                    f"there is no set of parts {axis!r}.{hint}", system, "questions", name, "each"
                )
                axis = None
            if self.add_name(name, question_kind(question, axis), system, "questions", name):
                rs.questions[name] = question
                rs.system_of[name] = system
        self.collect_told(system, file)
        for name, group in file.groups.items():
            if name in rs.groups:
                self.problem(f"the group {name!r} is there twice.", system, "groups", name)
            rs.groups[name] = group
        for name, derived in file.derived.items():
            calculation = CALCULATIONS.get(derived.compute)
            if calculation is None:
                hint = near_name(derived.compute, CALCULATIONS)
                self.problem(
                    f"there is no calculation {derived.compute!r}.{hint}",
                    system, "derived", name, "compute",
                )  # fmt: skip
                continue
            kind = derived_kind(derived, calculation)
            if self.add_name(name, kind, system, "derived", name):
                rs.derived[name] = derived

    def collect_told(self, system: str, file: SystemFile) -> None:
        """For each symptom the question that the person's own words answer."""
        worry = self.ruleset.about.worry
        files = self.ruleset.systems.values()
        place = next((f.questions[worry].place for f in files if worry in f.questions), None)
        if worry and place is None:
            self.problem(f"there is no question {worry!r} to ask what worries.", "ruleset", "worry")
        for index, symptom in enumerate(file.symptoms if place else ()):
            name = told(symptom.symptom)
            question = told_question(symptom, str(place))
            if self.add_name(name, question_kind(question, None), system, "symptoms", index):
                self.ruleset.questions[name] = question
                self.ruleset.system_of[name] = system

    def collect_rules(self, system: str, file: SystemFile) -> None:
        """Rules are names too; their axis follows from what they read."""
        for index, rule in enumerate(file.rules):
            self.add_name(rule.rule, NameKind("conclusion"), system, "rules", index, "rule")
        self.ruleset.system_of.update({rule.rule: system for rule in file.rules})

    def check_references(self, system: str, file: SystemFile) -> None:
        about = self.ruleset.about
        self.check_shared(system, file)
        for name, question in file.questions.items():
            path = ("questions", name)
            self.known(question.place, self.ruleset.places, "place", system, *path, "place")
            for caution in question.cautions:
                self.known(caution, self.ruleset.cautions, "caution", system, *path, "cautions")
            for need in question.needs:
                self.known(need, self.kit_words(), "piece of kit", system, *path, "needs")
            for other in question.also_by:
                self.known(other, self.ruleset.questions, "question", system, *path, "also_by")
            if question.group:
                self.known(question.group, self.ruleset.groups, "group", system, *path, "group")
            self.check_wordings(system, question, *path)
            if question.picture:
                self.known(
                    question.picture, self.ruleset.pictures, "picture", system, *path, "picture"
                )
        for name, group in file.groups.items():
            for caution in group.cautions:
                self.known(caution, self.ruleset.cautions, "caution", system, "groups", name)
            for need in group.needs:
                self.known(need, self.kit_words(), "piece of kit", system, "groups", name)
            self.check_wordings(system, group, "groups", name)
            if group.picture:
                self.known(group.picture, self.ruleset.pictures, "picture", system, "groups", name)
        for name, limit in file.limits.items():
            self.known(
                limit.source, self.ruleset.sources, "source", system, "limits", name, "source"
            )
        for name, derived in file.derived.items():
            self.check_derived(system, name, derived)
        for index, rule in enumerate(file.rules):
            path_ = ("rules", index)
            self.known(rule.source, self.ruleset.sources, "source", system, *path_, "source")
            for caution in rule.cautions:
                self.known(caution, self.ruleset.cautions, "caution", system, *path_, "cautions")
            if rule.finds:
                self.known(rule.finds.category, about.scale, "category", system, *path_, "finds")
            for field_ in ("gives_way_to", "lowers"):
                for other in getattr(rule, field_):
                    named = [r.rule for f in self.ruleset.systems.values() for r in f.rules]
                    self.known(other, named, "rule", system, *path_, field_)
            if rule.asks:
                for asked in rule.asks.questions:
                    self.known(asked, self.ruleset.questions, "question", system, *path_, "asks")
        for index, symptom in enumerate(file.symptoms):
            self.known(symptom.source, self.ruleset.sources, "source", system, "symptoms", index)
            for caution in symptom.cautions:
                self.known(caution, self.ruleset.cautions, "caution", system, "symptoms", index)
        for index, only in enumerate(file.tester_only):
            self.known(only.source, self.ruleset.sources, "source", system, "tester_only", index)
            self.known(only.category, about.scale, "category", system, "tester_only", index)
        for index, quiet in enumerate(file.not_defects):
            self.known(quiet.source, self.ruleset.sources, "source", system, "not_defects", index)
            rules = {n for n, k in self.ruleset.names.items() if k.kind == "conclusion"}
            for name in quiet.quiet:
                self.known(name, rules, "rule", system, "not_defects", index, "quiet")
        for index, both in enumerate(file.both_may_stand):
            rules = {n for n, k in self.ruleset.names.items() if k.kind == "conclusion"}
            for name in (*both.rules, *both.beside):
                self.known(name, rules, "rule", system, "both_may_stand", index)

    def check_pictures(self) -> None:
        """What a drawing is taken from must be there, and be a thing of its kind."""
        rs = self.ruleset
        tables: dict[str, tuple[str, object]] = {
            "half": ("limit", rs.limits),
            "limits": ("limit", rs.limits),
            "zone": ("worked-out fact", rs.derived),
        }
        quantities = [n for n, q in rs.questions.items() if q.kind == "quantity"]
        for name, picture in rs.pictures.items():
            for part, given in picture.of.items():
                if part == "ends":
                    continue
                what, table = tables.get(part, ("quantity", quantities))
                for word in given if isinstance(given, list) else [given]:
                    if isinstance(word, str):
                        path = ("pictures", name, "of", part)
                        self.known(word, table, what, PICTURES.removesuffix(".yaml"), *path)

    def check_words(self) -> None:
        """Every symptom can be told, and what could be a danger asks questions there are."""
        words = self.ruleset.words
        symptoms = [s.symptom for f in self.ruleset.systems.values() for s in f.symptoms]
        if not self.ruleset.about.worry or words is None:
            return
        for name in words.words:
            self.known(name, symptoms, "symptom", "words", "words", name)
        for name in sorted(set(symptoms) - set(words.words)):
            self.problem(f"there are no words for the symptom {name!r}.", "words", "words")
        for name, may_be in words.ask_first.items():
            for asked in may_be.ask:
                self.known(asked, self.ruleset.questions, "question", "words", "ask_first", name)
        for name, danger in words.dangers.items():
            where = ("dangers", name)
            for hazard in danger.hazards if self.ruleset.hazards else ():
                self.known(hazard, self.ruleset.hazards, "hazard", "words", *where, "hazards")
            for asked in danger.ask:
                self.known(asked, self.ruleset.questions, "question", "words", *where, "ask")
            self.known(danger.source, self.ruleset.sources, "source", "words", *where, "source")
            if name in words.ask_first:
                self.problem(f"{name!r} is a danger and asked first.", "words", *where)
        self.check_hearing(words)

    def check_hearing(self, words: WordsFile) -> None:
        """A name with an underscore in a line is a group of words; so are those that alarm."""
        groups = words.word_groups
        for key in ("alarming", "feared", "failings"):
            for name in getattr(words.telling, key):
                self.known(name, groups, "group of words", "words", "telling", key)
        lines = [("dangers", name, "hear", danger.hear) for name, danger in words.dangers.items()]
        lines += [("dangers", name, "mild", danger.mild) for name, danger in words.dangers.items()]
        lines += [("ask_first", name, "hear", one.hear) for name, one in words.ask_first.items()]
        for part, name, key, hear in lines:
            for index, line in enumerate(hear):
                for term in (term.removeprefix("not:") for term in line.split()):
                    if "_" in term:
                        path = (part, name, key, index)
                        self.known(term, groups, "group of words", "words", *path)

    def check_hazards(self) -> None:
        """Every hazard that is named is there, and every danger names one."""
        rs = self.ruleset
        for name, hazard in rs.hazards.items():
            self.known(hazard.source, rs.sources, "source", "hazards", "hazards", name, "source")
            for check in hazard.settles:
                self.known(check, rs.questions, "question", "hazards", "hazards", name, "settles")
        for system, file in rs.systems.items():
            for hazard_name in file.hazards:
                self.known(hazard_name, rs.hazards, "hazard", system, "hazards")
            for index, rule in enumerate(file.rules):
                for hazard_name in rule.hazards:
                    self.known(hazard_name, rs.hazards, "hazard", system, "rules", index, "hazards")
                danger = rule.urgency and rule.urgency.is_danger
                if rs.hazards and danger and not (rule.hazards or file.hazards):
                    text = f"{rule.rule} is a danger, so it must name its hazards."
                    self.problem(text, system, "rules", index, "urgency")

    def infer_lifted(self) -> None:
        """What an owner sees, or remembers, that shows a danger is not there: answers only."""
        words = self.ruleset.words
        conditions: list[tuple[Key, str, tuple[str | int, ...]]] = []
        for name, danger in words.dangers.items() if words else ():
            path: tuple[str | int, ...] = ("dangers", name)
            if danger.lifted_by is not None:
                conditions.append((Key("lifted", name), danger.lifted_by, (*path, "lifted_by")))
            if danger.lowered is not None:
                by = (*path, "lowered", "by")
                conditions.append((Key("lowered", name), danger.lowered.by, by))
        for key, text, path in conditions:
            tree = self.parse(text, "words", *path)
            if tree is None:
                continue
            for leaf in leaves(tree):
                if leaf.name not in self.ruleset.questions:
                    self.problem(
                        f"{leaf.name!r} is no question; a danger is lifted by answers only.",
                        "words", *path,
                    )  # fmt: skip
            self.add(key, "words", tree, path=path)

    def check_shared(self, system: str, file: SystemFile) -> None:
        """A shared word may stand in one file only, else one would hide the other."""
        for what in ("sources", "cautions"):
            for name in getattr(file, what):
                others = [self.ruleset.about, *self.ruleset.systems.values()]
                if sum(name in getattr(other, what) for other in others) > 1:
                    self.problem(f"{name!r} stands in two files.", system, what, name)

    def check_wordings(self, system: str, asked: Question | Group, *path: str | int) -> None:
        """Other words hang on answers about the car only, and leave out choices that are there."""
        rs, choices = self.ruleset, asked.choices if isinstance(asked, Question) else {}
        for index, one in enumerate(asked.instead):
            here = (*path, "instead", index)
            for name, words in one.on.items():
                self.known(name, rs.of_the_car, "question about the car", system, *here, "on")
                for word in words if name in rs.questions else ():
                    self.known(word, rs.questions[name].words(), "choice", system, *here, "on")
            for caution in one.cautions or ():
                self.known(caution, rs.cautions, "caution", system, *here, "cautions")
            for word in one.leaves:
                self.known(word, choices, "choice", system, *here, "leaves")

    def kit_words(self) -> list[str]:
        kit = self.ruleset.questions.get(self.ruleset.about.kit or "")
        return kit.words() if kit else []

    def check_derived(self, system: str, name: str, derived: Derived) -> None:
        path = ("derived", name)
        wanted = set(CALCULATIONS[derived.compute].parameters)
        for extra in sorted(set(derived.of) - wanted):
            hint = near_name(extra, wanted)
            self.problem(f"{derived.compute} takes no {extra!r}.{hint}", system, *path, "of", extra)
        for missing in sorted(wanted - set(derived.of)):
            self.problem(f"{derived.compute} also needs {missing!r}.", system, *path, "of")
        for key, origin in derived.origins.items():
            if isinstance(origin, Origin) and origin.when != "word":
                self.known(origin.name, self.ruleset.names, "name", system, *path, "of", key)

    def known(self, name: str, table: object, what: str, system: str, *path: str | int) -> None:
        words = list(table)  # type: ignore[call-overload]
        if name not in words:
            self.problem(f"there is no {what} {name!r}.{near_name(name, words)}", system, *path)

    def infer(self, system: str, file: SystemFile) -> None:
        for name, question in file.questions.items():
            path: tuple[str | int, ...] = ("questions", name, "applies")
            self.infer_one(Key("applies", name), question.applies, system, *path)
        for index, rule in enumerate(file.rules):
            self.infer_rule(system, index, rule)
        for index, symptom in enumerate(file.symptoms):
            key, path = Key("symptom", symptom.symptom), ("symptoms", index)
            if not self.infer_one(key, symptom.when, system, *path, "when", symptom=symptom):
                continue
            for c, cause in enumerate(symptom.causes):
                for e, evidence in enumerate(cause.evidence):
                    self.infer_one(
                        Key("evidence", symptom.symptom, cause.cause, e), evidence.when,
                        system, *path, "causes", c, "evidence", e, "when",
                        symptom=symptom, cause=cause, evidence=evidence,
                    )  # fmt: skip
        for index, only in enumerate(file.tester_only):
            path = ("tester_only", index, "applies")
            self.infer_one(Key("tester", system, number=index), only.applies, system, *path)

    def infer_one(
        self, key: Key, text: str | None, system: str, *path: str | int, **extra: object
    ) -> bool:
        """Adds what one condition infers; False where there is none, or it cannot be parsed."""
        tree = self.parse(text, system, *path) if text else None
        if tree is not None:
            self.add(key, system, tree, path=path, **extra)
        return tree is not None

    def infer_rule(self, system: str, index: int, rule: Rule) -> None:
        when = self.parse(rule.when, system, "rules", index, "when")
        applies = None
        if rule.applies:
            applies = self.parse(rule.applies, system, "rules", index, "applies")
        if when is None or (rule.applies and applies is None):
            return
        tree = And((applies, when)) if applies else when
        for leaf in leaves(tree) if rule.lowers else ():
            if leaf.name not in self.ruleset.questions:
                self.problem(
                    f"{rule.rule} lowers a danger, so it may read answers only; {leaf.name!r} is "
                    "worked out or concluded.", system, "rules", index, "when",
                )  # fmt: skip
        axis = self.add(
            Key("rule", rule.rule), system, tree, rule=rule, applies=applies, when=when,
            path=("rules", index, "when"),
        )  # fmt: skip
        self.ruleset.names[rule.rule] = NameKind("conclusion", axis=axis)

    def parse(self, text: str, system: str, *path: str | int) -> Condition | None:
        """Parses in file order: a conclusion is read only after the rule that makes it."""
        try:
            tree, sums = parse(text, self.ruleset.names)
        except ConditionError as error:
            place = self.ruleset.place(system, *path)
            self.problems.append(
                (place, f"in the condition, at letter {error.offset + 1}: {error}.")
            )
            return None
        for leaf in leaves(tree):
            if isinstance(leaf, Concluded) and leaf.name not in self.ruleset.inferences:
                self.problem(
                    f"the rule {leaf.name!r} is read here before it is made; put it further up, "
                    "or its file earlier in ruleset.yaml.",
                    system,
                    *path,
                )
                return None
        for name, total in sums.items():
            self.ruleset.sums[name] = total
            unit = (
                "days"
                if any(self.ruleset.names[t].unit == "date" for _, t in total.terms)
                else self.ruleset.names[total.terms[0][1]].unit
            )
            self.ruleset.names[name] = NameKind("number", axis=total.axis, unit=unit)
        for part in somewheres(tree):
            if part.name not in self.ruleset.inferences:
                self.add(Key("somewhere", part.name), system, part.part, path=path)
        return tree

    def add(self, key: Key, system: str, tree: Condition, **extra: object) -> str | None:
        name = key.text
        axes = outer_axes(tree, self.ruleset.names)
        if len(axes) > 1:
            self.problem(
                f"{name!r} mixes parts of {' and '.join(sorted(axes))}; use somewhere(...) for one "
                "of them.", system,
            )  # fmt: skip
        axis = next(iter(sorted(axes)), None)
        self.ruleset.inferences[name] = Inference(
            key,
            system,
            axis,
            tree,
            self.order,
            **extra,  # type: ignore[arg-type]
        )
        self.order += 1
        return axis


def told_question(symptom: Symptom, place: str) -> Question:
    """The question behind a symptom that is told; nobody is asked it on the walk."""
    return Question(
        ask=f"Have you noticed this: {symptom.say}?",
        label=f"noticed: {symptom.say}",
        kind="yes_no",
        place=place,
        asked="told",
        how="From memory only. Do not drive the car to find out.",
        seconds=10,
        cautions=symptom.cautions,
    )


def question_kind(question: Question, axis: str | None) -> NameKind:
    """How a question may stand in a condition."""
    kind = {
        "yes_no": "word", "one_of": "word", "some_of": "picks",
        "quantity": "number", "count": "number", "date": "number", "note": "text",
    }[question.kind]  # fmt: skip
    unit = {"quantity": question.unit or "", "count": question.unit or "count", "date": "date"}
    return NameKind(
        kind,
        axis=axis,
        words=tuple(question.words()),
        unit=unit.get(question.kind, ""),
        can_be_absent=question.not_fitted,
    )


def derived_kind(derived: Derived, calculation: NamedCalculation) -> NameKind:
    """How a worked-out fact may stand in a condition."""
    if calculation.words:
        return NameKind("word", axis=derived.each, words=calculation.words)
    return NameKind("number", axis=derived.each, unit=derived.unit or calculation.unit)
