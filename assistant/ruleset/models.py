"""The ruleset as it is written by its author: one frozen pydantic model a thing, no unknown keys.

Conditions are kept as text here and are parsed in condition.py.
"""

from __future__ import annotations

import datetime as dt
from enum import StrEnum
from functools import cached_property
from typing import Annotated, Any, Literal, NamedTuple

from pydantic import BaseModel, ConfigDict, Field, StringConstraints, model_validator

Name = Annotated[str, StringConstraints(pattern=r"^[a-z][a-z0-9_]{0,59}$")]
Text = Annotated[str, StringConstraints(min_length=1, max_length=1200, strip_whitespace=True)]
SHORT_MOST = 45
"""So many letters has what was seen, with its reading, on page one of the sheet."""
Short = Annotated[str, StringConstraints(min_length=1, max_length=SHORT_MOST, pattern=r"[^.]$")]
Condition = Annotated[str, StringConstraints(min_length=1, max_length=2000, strip_whitespace=True)]
Scalar = str | int | float | dt.date
CaseAnswer = Scalar | list[Scalar]
"""An answer in a worked case: a choice, a list of choices, a number in the question's unit,
[lo, hi] for a range, an ISO date, or dont_know, cant_look, not_fitted."""
Percent = Annotated[float, Field(ge=0, le=100)]
Spot = tuple[Percent, Percent]
"""Where something is on the car seen from above, in percent: from the left, and from the front."""


class Basis(StrEnum):
    """How far a figure or a rule may be trusted."""

    READ = "read"
    SECONDARY = "read in a secondary copy"
    MEMORY = "from memory"
    PRACTICE = "common practice"
    ASSUMED = "assumed"


class Urgency(StrEnum):
    """What to do and when; the later in this list, the less pressing."""

    STOP_NOW = "stop_now"
    DO_NOT_DRIVE = "do_not_drive"
    HAVE_LOOKED_AT = "have_looked_at"
    GENTLY_TO_GARAGE = "gently_to_garage"
    BEFORE_INSPECTION = "before_inspection"
    KEEP_AN_EYE = "keep_an_eye"
    NOTHING = "nothing"

    @property
    def rank(self) -> int:
        """0 for the most pressing."""
        return _RANKS[self]

    @property
    def is_danger(self) -> bool:
        """Whether the car must not be driven with it."""
        return self in (Urgency.STOP_NOW, Urgency.DO_NOT_DRIVE)


_RANKS = {urgency: rank for rank, urgency in enumerate(Urgency)}


class Act(StrEnum):
    """What a check makes a person do, and what a danger may forbid."""

    IGNITION = "ignition on"
    ENGINE = "engine running"
    MOVED = "car moved"
    DRIVEN = "driven at all"
    AFTER_DARK = "driven after dark"
    IN_RAIN = "driven in rain"
    PEDAL = "pedal pressed hard"
    BONNET = "bonnet open"
    NEAR = "near the car"
    HOT = "near hot or moving parts"
    WHEEL = "hand at a wheel"
    HELPER = "helper in the seat"
    UNDER = "under the car"


class Who(StrEnum):
    """Who can put it right."""

    OWNER = "owner, no tools"
    OWNER_TOOLS = "owner, basic tools"
    GARAGE = "garage"
    STATION = "inspection station"


class Strict(BaseModel):
    """Frozen and strict. Its checks are made when the first file is checked."""

    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)

    def __getstate__(self) -> dict[Any, Any]:
        """Only its values, for the kept copy: a quarter of the time to read one."""
        return self.__dict__

    def __setstate__(self, state: dict[Any, Any]) -> None:
        _put(self, "__dict__", state)
        _put(self, "__pydantic_fields_set__", _NOT_KEPT)
        _put(self, "__pydantic_extra__", None)
        _put(self, "__pydantic_private__", None)


_put = object.__setattr__
_NOT_KEPT: set[str] = set()
"""Which values were written out: nobody asks that of a kept copy."""


class Source(Strict):
    """A text that a rule or a figure rests on."""

    title: Text
    edition: Text
    publisher: Text
    licence: Text | None = None


class Limit(Strict):
    """A named figure of the standard: the only way a number or a date enters a condition."""

    value: float | dt.date
    unit: Text
    say: Text
    source: Name
    clause: Text | None = None
    basis: Basis
    note: Text | None = None


class Prior(Strict):
    """A starting guess used only to put questions in order, never to judge."""

    fails: float = Field(ge=0, le=1)
    sees: float = Field(ge=0, le=1)
    basis: Basis


class Choice(Strict):
    """An answer to pick. lost: how one says a tool is not there. hides: the thing was not seen."""

    say: Text
    hear: list[Text] = []
    lost: list[Text] = []
    hides: bool = False


class Wording(Strict):
    """What is said instead on some cars. leaves: choices that they have not got."""

    on: dict[Name, list[Name]] = Field(min_length=1)
    ask: Text | None = None
    brief: Text | None = None
    how: Text | None = None
    without: Text | None = None
    cautions: list[Name] | None = None
    leaves: list[Name] = []


class Safely(Strict):
    """How a check is made where its usual way is forbidden: from memory, from outside, engine off.

    acts: what it still asks for. ask: the question as it is then put, where the words change.
    """

    how: Text
    ask: Text | None = None
    acts: list[Act] = []


class Question(Strict):
    """One thing to look at, listen to or measure, as it is put to a person.

    called: what people also call the thing. brief: what to do or look for, in a line below the
    question.
    asked: on the walk; only where something has opened it; or never, because it is told by the
    person's own words (such questions are made for symptoms, see ruleset.py). ahead: how many
    months ahead of today a date may lie. acts: what it makes a person do beyond its place and its
    group; spares: what it asks less than its place; safely: how it is made where a danger forbids
    the usual way. ages: a reading that changes by itself, so that on a later day it is asked
    whether it is still so. absent: words for "none yet" beside not_fitted; the first is said back.
    seconds: how long one part takes to look at or try, without reading and typing.
    """

    ask: Text
    label: Text
    called: list[Text] = []
    kind: Literal["yes_no", "one_of", "some_of", "quantity", "count", "date", "note"]
    place: Name
    each: Name | None = None
    asked: Literal["walk", "follow_up", "told"] = "walk"
    safety: bool = False
    also_by: list[Name] = []
    applies: Condition | None = None
    acts: list[Act] = []
    spares: list[Act] = []
    safely: Safely | None = None
    brief: Text | None = None
    how: Text
    means: Text | None = None
    cautions: list[Name] = []
    seconds: float = Field(gt=0, le=900)
    prior: Prior | None = None
    choices: dict[Name, Choice] = {}
    fine: Name | None = None
    unit: Text | None = None
    range: tuple[float, float] | None = None
    step: float = Field(default=1.0, gt=0)
    about: float | None = Field(default=None, ge=0)
    error: float | None = Field(default=None, ge=0)
    ahead: int = Field(default=0, ge=0, le=240)
    not_fitted: bool = False
    absent: list[Text] = []
    ages: bool = False
    needs: list[Name] = []
    without: Text | None = None
    group: Name | None = None
    when_named: Name | None = None
    picture: Name | None = None
    instead: list[Wording] = []

    @model_validator(mode="after")
    def _shape(self) -> Question:
        picks = self.kind in ("one_of", "some_of")
        if picks and len(self.choices) < (1 if self.kind == "some_of" else 2):
            raise ValueError(f"a {self.kind} question needs its choices")
        if not picks and self.choices:
            raise ValueError(f"a {self.kind} question has no choices of its own")
        if self.kind in ("quantity", "count"):
            if self.range is None or self.range[0] >= self.range[1]:
                raise ValueError("a number needs its range: [lowest, highest] that is possible")
            if max(abs(self.range[0]), abs(self.range[1])) > 1e7:
                raise ValueError("a range may not go beyond ten million")
        if self.kind == "quantity" and not self.unit:
            raise ValueError("a quantity needs its unit")
        for name, word in (("fine", self.fine), ("when_named", self.when_named)):
            if word is not None and word not in self.words():
                raise ValueError(f"{name} is {word!r}, which is not one of the choices")
        if self.group and self.fine is None and self.kind in ("yes_no", "one_of"):
            raise ValueError("a question in a group needs to say which answer is fine")
        if self.needs and not self.without:
            raise ValueError("a question that needs something must say the way round without it")
        return self

    def words(self) -> list[str]:
        """The closed vocabulary of a question that is answered with a word."""
        if self.kind == "yes_no":
            return ["yes", "no"]
        return list(self.choices)

    @cached_property
    def vocabulary(self) -> frozenset[str]:
        """The same words, to look one up."""
        return frozenset(self.words())


class Group(Strict):
    """One question that covers many like ones at a place: "which of these are out?".

    brief: what right looks like, in a line or two. acts: what it asks for beyond its place; its
    questions inherit it.
    """

    ask: Text
    brief: Text
    how: Text
    acts: list[Act] = []
    safety: bool = False
    cautions: list[Name] = []
    needs: list[Name] = []
    without: Text | None = None
    picture: Name | None = None
    instead: list[Wording] = []


class Origin(NamedTuple):
    """What a parameter is taken from. when: "now", "earlier" (the answer of an earlier day),
    "earlier date" (that day), or "word", a plain one."""

    when: str
    name: str


_WRITTEN = {"=": "word", "earlier date of ": "earlier date", "earlier ": "earlier"}


def _origin(text: str) -> Origin:
    for start, when in _WRITTEN.items():
        if text.startswith(start):
            return Origin(when, text.removeprefix(start))
    return Origin("now", text)


class Derived(Strict):
    """A fact that is worked out from answers by a named calculation."""

    say: Text
    compute: Name
    of: dict[Name, Text | float]
    each: Name | None = None
    unit: Text | None = None
    choices: dict[Name, Text] = {}

    @cached_property
    def origins(self) -> dict[str, Origin | float]:
        """What each parameter of the calculation is taken from; a plain figure is itself."""
        return {key: _origin(v) if isinstance(v, str) else v for key, v in self.of.items()}

    @cached_property
    def reads(self) -> tuple[Origin, ...]:
        """What of it has a name."""
        origins = [origin for origin in self.origins.values() if isinstance(origin, Origin)]
        return tuple(origin for origin in origins if origin.when != "word")


class Finds(Strict):
    """A judgement on one item of the standard."""

    item: Text
    category: Name
    row: Text | None = None


class Asks(Strict):
    """Further questions that a rule opens."""

    questions: list[Name] = Field(min_length=1)
    now: bool = False
    because: Text


class WorkedCase(Strict):
    """Answers that fire the rule, and answers one step away that do not."""

    fires: dict[str, CaseAnswer]
    near: list[dict[str, CaseAnswer]] = Field(min_length=1)
    today: dt.date | None = None


class Rule(Strict):
    """When something holds, what it means.

    gives_way_to: graver rules on the same item; where one of them finds something at the same
    part, this finding is not shown beside it. lowers: rules whose danger is ruled out by what was
    seen here; only answers may be read for that, nothing that is worked out or concluded.
    hazards: what a danger threatens, where it is not what its file says. condition: when the car
    must not be driven with it, such as "not after dark". unseen: it says only that a check was not
    made: a reason why nothing can be said, no danger by itself. unsettled: its readings disagree.
    looked_at: those that a rule on what was told gives way to look at the very same; where none of
    them finds it, that contradicts what was told. unlowered: why nothing lowers a danger told.
    short: what was seen as a line of page one of the sheet, where its sentence is longer.
    """

    rule: Name
    applies: Condition | None = None
    when: Condition
    finds: Finds | None = None
    gives_way_to: list[Name] = []
    looked_at: bool = False
    lowers: list[Name] = []
    row: Text | None = None
    asks: Asks | None = None
    urgency: Urgency | None = None
    hazards: list[Name] = []
    condition: Text | None = None
    unseen: bool = False
    unlowered: Text | None = None
    unsettled: bool = False
    short: Short | None = None
    say: Text
    why: Text
    do: Text | None = None
    who: Who | None = None
    cautions: list[Name] = []
    source: Name
    clause: Text | None = None
    basis: Basis
    note: Text | None = None
    cases: list[WorkedCase] = Field(min_length=1)

    @model_validator(mode="after")
    def _shape(self) -> Rule:
        serious = self.urgency is not None and self.urgency.rank <= Urgency.BEFORE_INSPECTION.rank
        if (self.finds or serious) and not (self.do and self.who and self.urgency):
            raise ValueError("a rule that finds something needs urgency, do and who")
        if self.looked_at and not self.gives_way_to:
            raise ValueError("looked_at is about the rules under gives_way_to, and there are none")
        return self


class Evidence(Strict):
    """What speaks for a cause, or against it."""

    when: Condition
    factor: float = Field(gt=0, le=100)
    because: Text


class Cause(Strict):
    """A likely reason for a symptom.

    of_100: of 100 such cars, how many have this cause, before any evidence; those of one symptom
    need not come to 100. reason: why so many, in a phrase. urgency: what to do if this is what it
    turns out to be.
    """

    cause: Name
    say: Text
    of_100: float = Field(gt=0, le=100)
    reason: Text
    basis: Basis
    evidence: list[Evidence] = []
    do: Text
    who: Who
    urgency: Urgency | None = None
    items: list[Text] = []


class SymptomCase(Strict):
    """Answers, and the cause that is then most likely, or `open` where none is."""

    given: dict[str, CaseAnswer]
    likely: Name
    today: dt.date | None = None


class Symptom(Strict):
    """Something noticed, with its possible causes.

    say: how it is offered to a person who has said something like it. tell_garage: what to say to
    a mechanic. not_sold: what not to pay for before there is evidence.
    """

    symptom: Annotated[str, StringConstraints(pattern=r"^[a-z][a-z0-9_]{0,50}$")]
    say: Text
    when: Condition
    source: Name
    tell_garage: Text | None = None
    not_sold: Text | None = None
    cautions: list[Name] = []
    causes: list[Cause] = Field(min_length=1)
    cases: list[SymptomCase] = Field(min_length=2)


class TesterOnly(Strict):
    """An item that only the inspection station can measure or see."""

    item: Text
    row: Text | None = None
    what: Text
    tester: Text
    early_sign: Text | None = None
    category: Name
    applies: Condition | None = None
    source: Name
    basis: Basis


class NotADefect(Strict):
    """Something that must not be called a defect, with answers that show it is not."""

    item: Text
    row: Text | None = None
    what: Text
    given: dict[str, CaseAnswer]
    quiet: list[Name] = Field(min_length=1)
    today: dt.date | None = None
    source: Name
    basis: Basis


class BothMayStand(Strict):
    """Findings of one item in two categories that are both right: each of rules, each of beside."""

    rules: list[Name] = Field(min_length=1)
    beside: list[Name] = Field(min_length=1)
    because: Text


class SystemFile(Strict):
    """One file of the ruleset: brakes.yaml, lamps.yaml ...

    hazards: what its dangers threaten, where a rule does not say otherwise.
    """

    system: Name
    title: Text
    hazards: list[Name] = []
    sources: dict[Name, Source] = {}
    cautions: dict[Name, Text] = {}
    limits: dict[Name, Limit] = {}
    groups: dict[Name, Group] = {}
    questions: dict[Name, Question] = {}
    derived: dict[Name, Derived] = {}
    rules: list[Rule] = []
    symptoms: list[Symptom] = []
    tester_only: list[TesterOnly] = []
    not_defects: list[NotADefect] = []
    both_may_stand: list[BothMayStand] = []
