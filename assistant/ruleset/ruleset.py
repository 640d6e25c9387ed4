"""A whole ruleset: its files read, its names resolved, its conditions parsed.

Besides the rules people write there are helpers made from the same language, so that the
engine decides them too: `applies to car` for a question, `symptom`, `evidence`, and one for
each somewhere(...). All of them are `Inference`s.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from copy import copy
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple, TypeVar

from assistant.errors import Place
from assistant.ruleset.about_file import Axis, Member, RulesetFile, Stop, WalkPlace
from assistant.ruleset.calendar_file import CalendarFile
from assistant.ruleset.condition import Condition, NameKind, Sum
from assistant.ruleset.graph import Graph
from assistant.ruleset.hazards_file import Hazard, HazardsFile
from assistant.ruleset.kept import bytes_digest, files_of
from assistant.ruleset.models import (
    Act,
    Cause,
    Derived,
    Evidence,
    Group,
    Limit,
    Question,
    Rule,
    Source,
    Symptom,
    SystemFile,
    Urgency,
)
from assistant.ruleset.pictures_file import Picture
from assistant.ruleset.standard_file import StandardRow
from assistant.ruleset.truth import Reader, reader_of
from assistant.ruleset.words_file import Term, WordsFile

if TYPE_CHECKING:
    from assistant.ruleset.yaml_file import Positions


TODAY = "today"
_MOST_MADE = 4
"""For how many rulesets what is made of them is kept."""

Made = TypeVar("Made")


class Key(NamedTuple):
    """What an inference is for.

    role: "rule", "applies", "symptom", "evidence", "lifted" (what shows that a danger told is not
    there), "lowered" (or less grave), "somewhere" or "tester" (whom it concerns that something is
    left to the tester).
    of: the rule, question, symptom, danger, somewhere(...) or system. number: which of several.
    """

    role: str
    of: str
    cause: str | None = None
    number: int | None = None

    @property
    def text(self) -> str:
        """The name of the inference; made here only, and never read back."""
        if self.role in ("rule", "somewhere"):
            return self.of
        return f"{self.role}: {'/'.join(str(part) for part in self[1:] if part is not None)}"


@dataclass(frozen=True)
class Inference:
    """One condition with a name, ready for the engine.

    axis: the set of parts it is repeated over, or None for the car as a whole.
    order: its place in the ruleset, from 0. path: where its condition stands in its file.
    """

    key: Key
    system: str
    axis: str | None
    condition: Condition
    order: int
    rule: Rule | None = None
    applies: Condition | None = None
    when: Condition | None = None
    symptom: Symptom | None = None
    cause: Cause | None = None
    evidence: Evidence | None = None
    path: tuple[str | int, ...] = ()

    @cached_property
    def name(self) -> str:
        return self.key.text

    @property
    def role(self) -> str:
        return self.key.role

    @property
    def says_whom(self) -> bool:
        """Whether it says whom a question concerns, or what is left to the tester."""
        return self.role in ("applies", "tester")

    @cached_property
    def both_sides(self) -> bool:
        """Whether the engine must also prove it false. What weighs a cause, tells of a symptom or
        lifts a danger only counts where it is true."""
        return self.role not in ("symptom", "evidence", "lifted", "lowered")

    @property
    def concludes(self) -> tuple[str, str]:
        """The kind and the name of the fact that the engine is told when it is decided."""
        return "somewhere" if self.role == "somewhere" else "concluded", self.name


@dataclass
class Ruleset:
    """Everything that is known of a trade; read-only after loading.

    compiled: what an engine has made of it, to be kept with it; this room does not look inside.
    read: a hash of the bytes it was made from. garage: whether parts are called as a garage does.
    """

    folder: Path
    digest: str
    about: RulesetFile
    systems: dict[str, SystemFile]
    limits: dict[str, Limit] = field(default_factory=dict)
    questions: dict[str, Question] = field(default_factory=dict)
    system_of: dict[str, str] = field(default_factory=dict)
    groups: dict[str, Group] = field(default_factory=dict)
    derived: dict[str, Derived] = field(default_factory=dict)
    sums: dict[str, Sum] = field(default_factory=dict)
    names: dict[str, NameKind] = field(default_factory=dict)
    standard: dict[str, StandardRow] = field(default_factory=dict)
    not_read: list[str] = field(default_factory=list)
    pictures: dict[str, Picture] = field(default_factory=dict)
    calendar: CalendarFile | None = None
    words: WordsFile | None = None
    glossary: dict[str, Term] = field(default_factory=dict)
    hazards_file: HazardsFile | None = None
    inferences: dict[str, Inference] = field(default_factory=dict)
    compiled: Any = field(default=None, repr=False, compare=False)
    read: str = field(default="", repr=False, compare=False)
    garage: bool = field(default=False, repr=False, compare=False)

    @cached_property
    def axes(self) -> dict[str, Axis]:
        return {axis.axis: axis for axis in self.about.axes}

    @cached_property
    def places(self) -> dict[str, WalkPlace]:
        return {place.place: place for place in self.about.walk}

    @property
    def for_the_garage(self) -> Ruleset:
        """The same, with the garage's names of the parts."""
        other = copy(self)
        other.garage = True
        return other

    @cached_property
    def sources(self) -> dict[str, Source]:
        """All sources, of ruleset.yaml and of every system."""
        found = dict(self.about.sources)
        if self.hazards_file is not None:
            found.update(self.hazards_file.sources)
        for file in self.systems.values():
            found.update(file.sources)
        return found

    @property
    def hazards(self) -> dict[str, Hazard]:
        """The hazards by name, the gravest first; none where the ruleset lists none."""
        return self.hazards_file.hazards if self.hazards_file is not None else {}

    def hazards_of(self, rule: str) -> tuple[str, ...]:
        """The hazards that a rule names, or those of its file where it is a danger."""
        model = self.inferences[rule].rule
        if model is None or model.hazards:
            return tuple(model.hazards) if model is not None else ()
        danger = model.urgency is not None and model.urgency.is_danger
        return tuple(self.systems[self.inferences[rule].system].hazards) if danger else ()

    def hazards_on(self, question: str) -> frozenset[str]:
        """The hazards that rules which read a question, or what follows from it, can name."""
        rules = [i.name for i in self.graph.hanging_on(question) if i.role == "rule"]
        return frozenset(hazard for rule in rules for hazard in self.hazards_of(rule))

    def acts_of(self, question: str, at: str) -> frozenset[Act]:
        """What a question makes a person do at a part: of its place, its group and its own."""
        key = (question, self.place_of(question, at))
        if key not in self._acts:
            model = self.questions[question]
            group = self.groups.get(model.group or "")
            acts = {*self.places[key[1]].acts, *(group.acts if group else ()), *model.acts}
            self._acts[key] = frozenset(acts - set(model.spares))
        return self._acts[key]

    @cached_property
    def _acts(self) -> dict[tuple[str, str], frozenset[Act]]:
        return {}

    @cached_property
    def cautions(self) -> dict[str, str]:
        """All cautions, of ruleset.yaml and of every system."""
        found = dict(self.about.cautions)
        for file in self.systems.values():
            found.update(file.cautions)
        return found

    @cached_property
    def positions(self) -> dict[str, Positions]:
        """The places of what stands in its files, read anew: only mistakes need them. None where
        a file has changed meanwhile."""
        from assistant.ruleset.yaml_file import read_files  # a copy needs none of that

        files = files_of(self.folder)
        return read_files(self.folder, files)[1] if bytes_digest(files) == self.read else {}

    def place(self, system: str, *path: str | int) -> Place:
        """Where something stands in the file of a system, or the nearest thing around it."""
        positions = self.positions.get(f"{system}.yaml", {})
        for cut in range(len(path), 0, -1):
            if path[:cut] in positions:
                return positions[path[:cut]]
        return Place(f"{system}.yaml")

    def reader(self, name: str) -> Reader:
        """The plain reading of an inference's condition; made once."""
        if name not in self._plain:
            self._plain[name] = reader_of(self.inferences[name].condition)
        return self._plain[name]

    @cached_property
    def _plain(self) -> dict[str, Reader]:
        return {}

    def where(self, inference: Inference) -> Place:
        """Where the condition of an inference stands."""
        return self.place(inference.system, *inference.path)

    def members(self, axis: str | None) -> tuple[str, ...]:
        """The parts of an axis in order; ("",) for the car as a whole."""
        return self._members[axis]

    @cached_property
    def _members(self) -> dict[str | None, tuple[str, ...]]:
        found: dict[str | None, tuple[str, ...]] = {None: ("",)}
        for name, axis in self.axes.items():
            found[name] = tuple(m.at for m in axis.members)
        return found

    def related(self, axis: str | None, at: str, other: str | None) -> tuple[str, ...]:
        """The parts of another axis that a part has to do with: those in it, or what it is in.

        All parts of the other axis where the two have nothing to do with each other.
        """
        parts = self.members(other)
        if not axis or not at or not other:
            return parts
        if axis == other:
            return (at,)
        inside = tuple(part for part in self.member(axis, at).of if part in parts)
        around = tuple(part for part in parts if at in self.member(other, part).of)
        return inside or around or parts

    def member(self, axis: str, at: str) -> Member:
        return self._member[axis, at]

    @cached_property
    def _member(self) -> dict[tuple[str, str], Member]:
        return {(name, m.at): m for name, axis in self.axes.items() for m in axis.members}

    def place_of(self, question: str, at: str) -> str:
        """Where on the walk a question is asked for one part."""
        model = self.questions[question]
        if model.each and at:
            return self.member(model.each, at).place or model.place
        return model.place

    def at_words(self, name: str, at: str) -> str:
        """ "driver's side front" for a part, "" for the car."""
        kind = self.names.get(name)
        return self.part_words(kind.axis if kind else None, at)

    def part_words(self, axis: str | None, at: str) -> str:
        """One part of an axis, in words: the only place where a part's name is said."""
        if not axis or not at:
            return ""
        member = self.member(axis, at)
        return member.garage if self.garage and member.garage else member.say

    def place_words(self, place: str) -> str:
        """A place of the walk, as its reader calls it."""
        model = self.places[place]
        return model.garage if self.garage and model.garage else model.say

    def as_the_owner(self, words: str) -> str:
        """Typed words with the owner's name of a part where the garage's was typed."""
        for garage, say in self._trade_names:
            words = garage.sub(say, words)
        return words

    @cached_property
    def _trade_names(self) -> tuple[tuple[re.Pattern[str], str], ...]:
        """The longest first: "rear offside" before "offside"."""
        names = {m.garage: m.say for axis in self.about.axes for m in axis.members if m.garage}
        longest = sorted(names.items(), key=lambda one: -len(one[0]))
        return tuple((re.compile(rf"\b{re.escape(g)}\b", re.I), say) for g, say in longest)

    def item_label(self, question: str, at: str) -> str:
        """The part and the label together, such as "left tread depth"."""
        return f"{self.at_words(question, at)} {self.questions[question].label}".strip()

    def label_here(self, question: str, at: str) -> str:
        """The same where one stands at its place: at the front of a car no lamp is a rear one."""
        model = self.questions[question]
        here = self.member(model.each, at).here if model.each and at else None
        return f"{here} {model.label}" if here else self.item_label(question, at)

    @cached_property
    def asked_items(self) -> tuple[tuple[str, str], ...]:
        """Every (question, at) there is, in ruleset order."""
        questions = self.questions.items()
        return tuple((name, at) for name, q in questions for at in self.members(q.each))

    @cached_property
    def always_asked(self) -> tuple[tuple[str, str], ...]:
        """Those that no rule has to open first."""
        return tuple(item for item in self.asked_items if self.questions[item[0]].asked == "walk")

    @cached_property
    def safety_items(self) -> tuple[tuple[str, str], ...]:
        """Those that ask about safety."""
        return tuple(item for item in self.asked_items if self.questions[item[0]].safety)

    def in_order(self, items: Iterable[tuple[str, str]]) -> list[tuple[str, str]]:
        """Each (question, at) once, in ruleset order; what is not asked here is left out."""
        return sorted(self._ranks.keys() & items, key=self._ranks.__getitem__)

    @cached_property
    def _ranks(self) -> dict[tuple[str, str], int]:
        return {item: rank for rank, item in enumerate(self.asked_items)}

    @cached_property
    def walk_items(self) -> tuple[tuple[str, str], ...]:
        """Those that are looked at on the walk, or asked before it."""
        return tuple(item for item in self.always_asked if item[0] not in self.for_dates)

    @cached_property
    def rules(self) -> tuple[Inference, ...]:
        """The rules people wrote, in ruleset order."""
        return tuple(i for i in self.inferences.values() if i.role == "rule")

    def lowered_by(self, rule: str) -> tuple[str, ...]:
        """The rules that rule out the danger of a rule."""
        return self._lowered.get(rule, ())

    @cached_property
    def _lowered(self) -> dict[str, tuple[str, ...]]:
        found: dict[str, tuple[str, ...]] = {}
        for inference in self.rules:
            for name in inference.rule.lowers if inference.rule else ():
                found[name] = (*found.get(name, ()), inference.name)
        return found

    @cached_property
    def graph(self) -> Graph:
        """What reads what."""
        return Graph(self)

    @cached_property
    def picks(self) -> dict[str, frozenset[str]]:
        """For each "which of these" question its choices."""
        return {
            name: frozenset(kind.words) for name, kind in self.names.items() if kind.kind == "picks"
        }

    @cached_property
    def question_order(self) -> dict[str, int]:
        """The place of each question in the ruleset, from 0."""
        return {name: index for index, name in enumerate(self.questions)}

    @cached_property
    def symptoms(self) -> dict[str, Symptom]:
        """All symptoms by name, in ruleset order."""
        return {s.symptom: s for file in self.systems.values() for s in file.symptoms}

    def deciding_questions(self, symptom: str) -> tuple[str, ...]:
        """The questions that the evidence on a symptom's causes hangs on."""
        return tuple(self._deciding.get(symptom, ()))

    def evidence_on(self, symptom: str, question: str) -> tuple[str, ...]:
        """The evidence on a symptom's causes that hangs on a question, by name."""
        return tuple(self._deciding.get(symptom, {}).get(question, ()))

    @cached_property
    def _deciding(self) -> dict[str, dict[str, list[str]]]:
        found: dict[str, dict[str, list[str]]] = {}
        for inference in self.inferences.values():
            if inference.role == "evidence" and inference.symptom is not None:
                questions = found.setdefault(inference.symptom.symptom, {})
                for name in self.graph.questions_behind(inference.condition):
                    questions.setdefault(name, []).append(inference.name)
        return found

    @cached_property
    def of_the_car(self) -> frozenset[str]:
        """The questions about the car itself, asked once at the start."""
        return self._asked_at("start")

    @cached_property
    def for_dates(self) -> frozenset[str]:
        """What no finding rests on: the questions of the end, and the end of the certificate."""
        dates = {self.calendar.answers.expiry} if self.calendar else set()
        return self._asked_at("end") | dates

    def _asked_at(self, stage: str) -> frozenset[str]:
        places = self.places
        return frozenset(n for n, q in self.questions.items() if places[q.place].stage == stage)

    @cached_property
    def not_of_the_car(self) -> frozenset[str]:
        return frozenset(self.questions) - self.of_the_car

    @cached_property
    def saying_whom(self) -> frozenset[str]:
        """The inferences that say whom a question concerns."""
        return frozenset(n for n, inf in self.inferences.items() if inf.says_whom)

    @cached_property
    def whom(self) -> dict[str, Inference]:
        """For each question that does not concern every car, what says whom it concerns."""
        return {inf.key.of: inf for inf in self.inferences.values() if inf.role == "applies"}

    @cached_property
    def whom_by(self) -> dict[str, tuple[str, ...]]:
        """For each question that does not concern every car, the questions that decide it."""
        behind = self.graph.questions_behind
        return {name: behind(inference.condition) for name, inference in self.whom.items()}

    @cached_property
    def worked_for_applies(self) -> frozenset[str]:
        """What is worked out to know whom a question concerns."""
        return self.graph.worked_behind(self.saying_whom)

    def dangers_on(self, question: str) -> tuple[str, ...]:
        """The rules that say "do not drive" and read a question, or what follows from it."""
        rules = [i.rule for i in self.graph.hanging_on(question) if i.rule is not None]
        return tuple(r.rule for r in rules if r.urgency is not None and r.urgency.is_danger)

    def causes_of(self, item: str) -> tuple[tuple[Symptom, Cause], ...]:
        """The causes that an item of the standard would fail for."""
        return tuple(self._causes_of.get(item, ()))

    def evidence_of(self, symptom: str, cause: str) -> tuple[Inference, ...]:
        """The evidence for and against a cause of a symptom, in ruleset order."""
        return self._evidence_of.get((symptom, cause), ())

    @cached_property
    def _evidence_of(self) -> dict[tuple[str, str], tuple[Inference, ...]]:
        found: dict[tuple[str, str], list[Inference]] = {}
        for inference in self.inferences.values():
            if inference.symptom is not None and inference.cause is not None:
                key = inference.symptom.symptom, inference.cause.cause
                found.setdefault(key, []).append(inference)
        return {key: tuple(some) for key, some in found.items()}

    @cached_property
    def stops(self) -> tuple[Stop, ...]:
        """The stops of the walk in order; where none are written each place once, safety first."""
        if self.about.stops:
            return tuple(self.about.stops)
        asked: dict[str, dict[str, bool]] = {}
        for name, at in self.always_asked:
            question = self.questions[name]
            safety = question.safety or bool(question.group and self.groups[question.group].safety)
            there = asked.setdefault(self.place_of(name, at), {})
            there[question.group or name] = there.get(question.group or name, False) or safety
        walked = [p.place for p in self.about.walk if p.stage == "walk" and p.place in asked]
        return tuple(
            Stop(place=place, round=1, ask=sorted(there, key=lambda name: not there[name]))
            for place, there in ((place, asked[place]) for place in walked)
        )

    @cached_property
    def stop_of(self) -> dict[tuple[str, str], tuple[int, int]]:
        """For each group or question at a place its stop, and where in that stop it is asked."""
        return {
            (name, stop.place): (number, rank)
            for number, stop in enumerate(self.stops)
            for rank, name in enumerate(stop.ask)
        }

    def asked_at(self, name: str, at: str) -> tuple[int, int] | None:
        """The stop at which a question is asked and its rank there; None if it is in no stop."""
        group = self.questions[name].group
        return self.stop_of.get((group or name, self.place_of(name, at)))

    def stop_at(self, name: str, at: str) -> Stop | None:
        """The stop at which a question is asked, if it is in one."""
        found = self.asked_at(name, at)
        return self.stops[found[0]] if found else None

    @cached_property
    def _causes_of(self) -> dict[str, list[tuple[Symptom, Cause]]]:
        found: dict[str, list[tuple[Symptom, Cause]]] = {}
        for symptom in self.symptoms.values():
            for cause in symptom.causes:
                for item in dict.fromkeys(cause.items):
                    found.setdefault(item, []).append((symptom, cause))
        return found


def made_once(make: Callable[[Ruleset], Made]) -> Callable[[Ruleset], Made]:
    """A function that makes something of a ruleset, made to do so once for each digest."""
    kept: dict[str, Made] = {}

    def made(ruleset: Ruleset) -> Made:
        if ruleset.digest not in kept:
            if len(kept) >= _MOST_MADE:
                kept.clear()
            kept[ruleset.digest] = make(ruleset)
        return kept[ruleset.digest]

    return made


def mark_of(kind: str, name: str) -> str:
    """The field by which the engine knows that a fact is of this kind and name.

    It looks a field up by its name at once, but goes through all words of one field in turn.
    """
    return f"{kind} {name}"


def pick_field(pick: str) -> str:
    """The field by which the engine knows whether this choice was picked, "yes" or "no"."""
    return f"has {pick}"


def told(symptom: str) -> str:
    """The name of the question that is answered where a person tells of a symptom."""
    return f"told_{symptom}"


def most_pressing(urgencies: list[Urgency]) -> Urgency:
    """The first in the order of Urgency; NOTHING for an empty list."""
    return min(urgencies, key=lambda u: u.rank, default=Urgency.NOTHING)
