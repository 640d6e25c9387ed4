"""The journal: the append-only list that a whole consultation is derived from.

Entries made in one turn of talk share a turn number, so that one "go back" takes back all
that one answer said. Nothing is ever removed from a journal; it is only added to.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Annotated, Literal, get_args

from pydantic import BaseModel, ConfigDict, Field, TypeAdapter, model_validator

_WORDS = 2000


class Part(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)


class Answer(Part):
    """A typed answer. Only the fields of its kind are set, and only when state is "value".

    word: yes_no and one_of. words: some_of, may be empty for "none". lo, hi: a number in the
    question's unit, or a date as its day number; equal for a plainly said number. text: a note.
    """

    state: Literal["value", "dont_know", "cant_look", "not_fitted"] = "value"
    word: str | None = Field(default=None, max_length=60)
    words: tuple[Annotated[str, Field(max_length=60)], ...] | None = Field(
        default=None, max_length=60
    )
    lo: float | None = Field(default=None, allow_inf_nan=False, ge=-1e7, le=1e7)
    hi: float | None = Field(default=None, allow_inf_nan=False, ge=-1e7, le=1e7)
    text: str | None = Field(default=None, max_length=_WORDS)

    @model_validator(mode="after")
    def _shape(self) -> Answer:
        number = self.lo is not None and self.hi is not None
        given = (self.word is not None) + (self.words is not None) + (self.text is not None)
        given += number
        if (self.lo is None) != (self.hi is None) or given > 1:
            raise ValueError("an answer is one word, or words, or a range, or a text")
        if (self.state == "value") != (given == 1):
            raise ValueError("only a value carries a word, a number or a text")
        if number and self.lo > self.hi:  # type: ignore[operator]
            raise ValueError("the lower end of a range is above its upper end")
        return self


class Earlier(Part):
    """A reading of an earlier consultation of the same car."""

    question: str = Field(max_length=60)
    at: str = Field(default="", max_length=60)
    answer: Answer
    date: dt.date


class Context(Part):
    """What is read of the world outside: always the first entry."""

    kind: Literal["context"] = "context"
    format: Literal[1] = 1
    turn: int = 0
    today: dt.date
    ruleset: str = Field(max_length=60)
    digest: str = Field(default="", max_length=64)
    car: str = Field(default="", max_length=60)
    earlier: tuple[Earlier, ...] = Field(default=(), max_length=2000)


class Said(Part):
    """An answer to a question, in the person's own words and as it was understood."""

    kind: Literal["said"] = "said"
    turn: int
    question: str = Field(max_length=60)
    at: str = Field(default="", max_length=60)
    answer: Answer
    words: str = Field(default="", max_length=_WORDS)
    group: str | None = Field(default=None, max_length=60)
    when: str | None = Field(default=None, max_length=40)
    line: int | None = None


class Corrected(Said):
    """The person said the earlier answer was wrong; `confirmed` if a danger was taken away."""

    kind: Literal["corrected"] = "corrected"  # type: ignore[assignment]
    confirmed: bool = False


class Mended(Part):
    """The person says this is repaired; the question is open again, to be looked at anew."""

    kind: Literal["mended"] = "mended"
    turn: int
    question: str = Field(max_length=60)
    at: str = Field(default="", max_length=60)
    words: str = Field(default="", max_length=_WORDS)
    when: str | None = Field(default=None, max_length=40)
    confirmed: bool = False


class TookBack(Part):
    """Everything of turn `of` is taken back."""

    kind: Literal["took_back"] = "took_back"
    turn: int
    of: int
    when: str | None = Field(default=None, max_length=40)


class Worry(Part):
    """What worries the person, in their own words.

    dangers: the dangers the words could mean. offered: the symptoms that were nearest, in the
    order they were offered. comfort: the words are plainly about comfort, so they change nothing.
    """

    kind: Literal["worry"] = "worry"
    turn: int
    words: str = Field(max_length=_WORDS)
    dangers: tuple[Annotated[str, Field(max_length=60)], ...] = Field(default=(), max_length=20)
    offered: tuple[Annotated[str, Field(max_length=60)], ...] = Field(default=(), max_length=20)
    comfort: bool | None = None
    when: str | None = Field(default=None, max_length=40)


class Picked(Part):
    """Which of the offered symptoms the worry of turn `of` is; None for none of them."""

    kind: Literal["picked"] = "picked"
    turn: int
    of: int
    symptom: str | None = Field(default=None, max_length=60)
    words: str = Field(default="", max_length=_WORDS)
    when: str | None = Field(default=None, max_length=40)


class Went(Part):
    """The person wants some places of the walk next, or leaves them out."""

    kind: Literal["went"] = "went"
    turn: int
    places: list[str]
    leave: bool = False
    words: str = ""
    when: str = ""


class Opened(Part):
    """Every item of a group was named, so each is asked on its own."""

    kind: Literal["opened"] = "opened"
    turn: int
    group: str = Field(max_length=121)
    words: str = Field(default="", max_length=_WORDS)
    when: str | None = Field(default=None, max_length=40)


class Planned(Part):
    """The person named the time there is, in minutes; None lifts an earlier limit."""

    kind: Literal["planned"] = "planned"
    turn: int
    minutes: float | None = Field(default=None, ge=0, le=1000)
    words: str = Field(default="", max_length=_WORDS)
    when: str | None = Field(default=None, max_length=40)


class Released(Part):
    """The person says that some of what a hazard forbids may be done again.

    how: "go_on" opens the walk again, with all that is forbidden; "cooled" says that its time is
    over; "garage" gives the word of whoever has mended it.
    """

    kind: Literal["released"] = "released"
    turn: int
    hazard: str = Field(max_length=60)
    how: Literal["go_on", "cooled", "garage"]
    words: str = Field(default="", max_length=_WORDS)
    when: str | None = Field(default=None, max_length=40)


class GoneOn(Part):
    """The walk is gone on with on a later day, or by a ruleset that has changed since.

    From here on `day` is today, for dates that are said and for those that are shown. It stands
    in a turn of its own, and nothing takes it back.
    """

    kind: Literal["gone_on"] = "gone_on"
    turn: int
    day: dt.date
    digest: str = Field(default="", max_length=64)
    when: str | None = Field(default=None, max_length=40)


Note = Literal["wanted", "model", "miles", "name", "phone"]
NOTES: tuple[Note, ...] = get_args(Note)
LONGEST_NOTE = 200


class Noted(Part):
    """What the person adds for the garage, in their own words."""

    kind: Literal["noted"] = "noted"
    turn: int
    about: Note
    words: str = Field(default="", max_length=LONGEST_NOTE)
    when: str | None = Field(default=None, max_length=40)


AnyEntry = (
    Context
    | Said
    | Corrected
    | Mended
    | TookBack
    | Worry
    | Picked
    | Planned
    | Went
    | Opened
    | GoneOn
    | Released
    | Noted
)
Entry = Annotated[AnyEntry, Field(discriminator="kind")]
entry_adapter: TypeAdapter[AnyEntry] = TypeAdapter(Entry, config=ConfigDict(defer_build=True))


@dataclass(frozen=True)
class State:
    """What stands after all entries: the context, the answer to each (question, at).

    The context is that of the last day on which the walk was gone on with. begun: its first day.
    picked: for each worry, by its turn, what it was said to be. wanted: the places that were asked
    for last; left_places: those that are left out. said_on: the day of each answer.
    noted: what was added for the garage.
    """

    context: Context
    answers: dict[tuple[str, str], Said]
    mended: dict[tuple[str, str], Mended]
    worries: tuple[Worry, ...]
    picked: dict[int, Picked]
    last_turn: int
    planned: Planned | None = None
    wanted: frozenset[str] = frozenset()
    left_places: frozenset[str] = frozenset()
    opened: frozenset[str] = frozenset()
    released: tuple[Released, ...] = ()
    begun: dt.date = dt.date.min
    said_on: Mapping[tuple[str, str], dt.date] = field(default_factory=dict)
    noted: Mapping[Note, str] = field(default_factory=dict)

    def of_an_earlier_day(self, key: tuple[str, str]) -> bool:
        """Whether an answer was given before the day on which the walk was last gone on with."""
        return self.said_on.get(key, self.context.today) < self.context.today

    def open_worries(self) -> tuple[Worry, ...]:
        """The worries that have not been placed yet, oldest first."""
        return tuple(worry for worry in self.worries if worry.turn not in self.picked)


def active_entries(journal: Iterable[Entry]) -> list[Entry]:
    """The entries that are not taken back, oldest first; took-back entries are left out."""
    dropped: set[int] = set()
    kept: list[Entry] = []
    for entry in reversed(list(journal)):
        if entry.turn in dropped and not isinstance(entry, GoneOn):
            continue
        if isinstance(entry, TookBack):
            dropped.add(entry.of)
        else:
            kept.append(entry)
    kept.reverse()
    return kept


def fold(journal: Iterable[Entry]) -> State:
    """Reads a journal from front to back. Raises ValueError if it has no context first."""
    entries = list(journal)
    if not entries or not isinstance(entries[0], Context):
        raise ValueError("a journal starts with its context")
    context: Context = entries[0]
    answers: dict[tuple[str, str], Said] = {}
    said_on: dict[tuple[str, str], dt.date] = {}
    mended: dict[tuple[str, str], Mended] = {}
    worries: list[Worry] = []
    picked: dict[int, Picked] = {}
    planned: Planned | None = None
    wanted: frozenset[str] = frozenset()
    left: set[str] = set()
    opened: set[str] = set()
    released: list[Released] = []
    noted: dict[Note, str] = {}
    for entry in active_entries(entries):
        if isinstance(entry, Said):
            answers.pop((entry.question, entry.at), None)
            answers[(entry.question, entry.at)] = entry
            said_on[(entry.question, entry.at)] = context.today
        elif isinstance(entry, Mended):
            answers.pop((entry.question, entry.at), None)
            mended[(entry.question, entry.at)] = entry
        elif isinstance(entry, Worry):
            worries.append(entry)
        elif isinstance(entry, Picked):
            picked[entry.of] = entry
        elif isinstance(entry, Planned):
            planned = entry
            left = left if entry.minutes is not None else set()
        elif isinstance(entry, Went) and entry.leave:
            left |= set(entry.places)
        elif isinstance(entry, Went):
            wanted = frozenset(entry.places)
            left -= wanted
        elif isinstance(entry, Opened):
            opened.add(entry.group)
        elif isinstance(entry, Released):
            released.append(entry)
        elif isinstance(entry, Noted):
            noted[entry.about] = entry.words
        elif isinstance(entry, GoneOn):
            context = context.model_copy(update={"today": entry.day, "digest": entry.digest})
    return State(
        context=context,
        answers=answers,
        mended=mended,
        worries=tuple(worries),
        picked=picked,
        last_turn=max(entry.turn for entry in entries),
        planned=planned,
        wanted=wanted,
        left_places=frozenset(left),
        opened=frozenset(opened),
        begun=entries[0].today,
        said_on=said_on,
        released=tuple(released),
        noted=noted,
    )
