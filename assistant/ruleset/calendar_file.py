"""calendar.yaml: when the inspection is due, what it costs at most, and what a result means.

Every window, fee, date, nation and sentence is the author's, with its source and how far to trust
it. A sentence may hold words in braces, such as {expiry}; which ones is said beside each model.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, Annotated, Any, ClassVar, Literal

from pydantic import BaseModel, Field, StringConstraints, model_validator

from assistant.errors import near_name
from assistant.ruleset.models import Basis, Name, Strict, Text

if TYPE_CHECKING:
    from assistant.ruleset.ruleset import Ruleset


_BRACES = re.compile(r"\{([^{}]*)\}")
_SENTENCES = ("say", "never", "open", "today", "past", "rough", "rough_past", "maybe", "dated",
              "over", "priced", "listed", "others")  # fmt: skip

Path = tuple[str | int, ...]


class Told(Strict):
    """Something to say, with where it comes from. told: in the talk too, or on the sheet only."""

    words: ClassVar[tuple[str, ...]] = ()
    say: Text
    told: Literal["talk", "sheet"] = "talk"
    source: Name
    clause: Text | None = None
    basis: Basis
    note: Text | None = None


class Answers(Strict):
    """Which questions the dates come from. failed: a yes or no; the others as their names say."""

    expiry: Name
    first_used: Name
    kind: Name
    failed: Name
    failed_on: Name
    nation: Name


class Nation(Strict):
    """A part of the country with its own public holidays: the codes of the holidays library.

    not_covered: said in place of everything else where the scheme is another one.
    """

    say: Text
    country: Annotated[str, StringConstraints(pattern=r"^[A-Z]{2}$")] | None = None
    subdivision: Annotated[str, StringConstraints(pattern=r"^[A-Z0-9-]{1,6}$")] | None = None
    not_covered: Told | None = None

    @model_validator(mode="after")
    def _shape(self) -> Nation:
        if (self.country is None) == (self.not_covered is None):
            raise ValueError("a nation has either the country of its holidays or not_covered")
        return self


class First(Told):
    """The first inspection of some kinds of vehicle. rough: the day is known only roughly.

    past: it should have been, and it is known that it has not.
    """

    words: ClassVar[tuple[str, ...]] = ("due", "years", "left", "first", "last")
    kinds: list[Name] = Field(min_length=1)
    years: int = Field(ge=1, le=20)
    past: Text
    rough: Text
    rough_past: Text


class Due(Told):
    """When the certificate runs out: ahead, on this very day, past, or known only roughly."""

    words: ClassVar[tuple[str, ...]] = ("expiry", "left", "first", "last")
    today: Text
    past: Text
    rough: Text
    rough_past: Text


class Unknown(Told):
    """No due date can be given. never: it has not been inspected yet."""

    never: Text


class Interval(Told):
    """How long a certificate runs, with the next one of a pass that keeps the date."""

    words: ClassVar[tuple[str, ...]] = ("earliest", "expiry", "next")
    months: int = Field(ge=1, le=120)


class Window(Told):
    """How many months early the date is kept. open: from that day on, up to the last one."""

    words: ClassVar[tuple[str, ...]] = ("earliest", "expiry")
    months: int = Field(ge=1, le=24)
    open: Text


class Fee(Told):
    """The most that a full inspection of some kinds of vehicle may cost."""

    words: ClassVar[tuple[str, ...]] = ("most", "since")
    kinds: list[Name] = Field(min_length=1)
    most: float = Field(gt=0)
    since: dt.date


class Retest(Told):
    """One way to be tested again after a failed inspection.

    working_days: how many there are for it, counted from the day after; None without a limit.
    share: of the full fee, 0 for free. priced: added where the fee is known.
    listed_only: only where nothing failed but the parts of free_parts.
    """

    words: ClassVar[tuple[str, ...]] = ("until", "part_fee")
    working_days: int | None = Field(default=None, ge=1, le=100)
    share: float = Field(ge=0, le=1)
    listed_only: bool = False
    priced: Text | None = None
    dated: Text | None = None
    over: Text | None = None

    @model_validator(mode="after")
    def _shape(self) -> Retest:
        if (self.working_days is None) != (self.dated is None or self.over is None):
            raise ValueError("a retest in working days says dated: and over:, others say neither")
        return self


class FreePart(Strict):
    """A part on the list of what may be retested free, with the items of the standard it covers."""

    say: Text
    items: list[Text] = Field(default=[])
    basis: Basis


class FreeParts(Told):
    """What may be retested free. listed, others: said of what was found, where there is any."""

    words: ClassVar[tuple[str, ...]] = ("parts", "listed", "others")
    parts: list[FreePart] = Field(min_length=1)
    listed: Text
    others: Text


class DrivingHome(Strict):
    """What a failed inspection means for driving away.

    valid, ended, unknown: by whether the current certificate still runs. own_advice: where the
    walk itself has said more. never: the categories with which the car is not driven at all.
    """

    never: list[Name]
    valid: Told
    ended: Told
    unknown: Told
    own_advice: Told


class Appeal(Told):
    """What to do when one disagrees with a result. days: counted from the day after it."""

    words: ClassVar[tuple[str, ...]] = ("until",)
    days: int | None = Field(default=None, ge=1, le=100)
    dated: Text | None = None
    over: Text | None = None

    @model_validator(mode="after")
    def _shape(self) -> Appeal:
        if (self.days is None) != (self.dated is None or self.over is None):
            raise ValueError("an appeal in days says dated: and over:, others say neither")
        return self


class Exemption(Told):
    """Vehicles that need no inspection from an age on. maybe: it may be old enough or not."""

    words: ClassVar[tuple[str, ...]] = ("years",)
    years: int = Field(ge=1, le=200)
    kinds: list[Name] = Field(min_length=1)
    maybe: Text


class CalendarFile(Strict):
    """calendar.yaml. Without the file nothing is said about dates.

    by_result: what each step of the scale means for driving away. money: how an amount is
    written, with {amount}. month_end: said where a date falls on a day that a month has not got.
    """

    money: Text
    answers: Answers
    nations: dict[Name, Nation] = Field(min_length=1)
    exemptions: list[Exemption] = Field(default=[])
    first: list[First] = Field(default=[])
    first_window: Window | None = None
    due: Due
    unknown: Unknown
    interval: Interval
    window: Window
    early: Told
    month_end: Told
    expired: Told
    fees: list[Fee] = Field(default=[])
    by_result: dict[Name, Told]
    driving_home: DrivingHome
    retests: list[Retest] = Field(default=[])
    free_parts: FreeParts
    nation_unknown: Told
    failed_day_unknown: Told
    appeals: list[Appeal] = Field(default=[])
    more: list[Told] = Field(default=[])


def calendar_problems(ruleset: Ruleset) -> Iterator[tuple[str, Path]]:
    """Names that are not there and words in braces that mean nothing, each with its path."""
    calendar = ruleset.calendar
    if calendar is None:
        return
    questions = ruleset.questions
    for role, name in calendar.answers:
        yield from _known(name, questions, "question", ("answers", role))
    if any(name not in questions for _, name in calendar.answers):
        return
    for role, kind in (("expiry", "date"), ("first_used", "date"), ("failed_on", "date"),
                       ("failed", "yes_no"), ("kind", "one_of"), ("nation", "one_of")):  # fmt: skip
        if questions[getattr(calendar.answers, role)].kind != kind:
            yield f"the question for {role} must be of kind {kind}.", ("answers", role)
    kinds = questions[calendar.answers.kind].words()
    nations = questions[calendar.answers.nation].words()
    for name in calendar.nations:
        yield from _known(name, nations, "answer", ("nations", name))
    for missing in sorted(set(nations) - set(calendar.nations)):
        yield f"the answer {missing!r} has no nation here.", ("nations",)
    for name in calendar.by_result:
        yield from _known(name, ruleset.about.scale, "category", ("by_result", name))
    for name in calendar.driving_home.never:
        yield from _known(name, ruleset.about.scale, "category", ("driving_home", "never"))
    for missing in sorted(set(ruleset.about.scale) - set(calendar.by_result)):
        yield f"the category {missing!r} is not said here.", ("by_result",)
    if "{amount}" not in calendar.money:
        yield "money: must hold {amount}.", ("money",)
    for path, told in _told(calendar, ()):
        yield from _known(told.source, ruleset.sources, "source", (*path, "source"))
        for name in getattr(told, "kinds", ()):
            yield from _known(name, kinds, "answer", (*path, "kinds"))
        for field in _SENTENCES:
            for word in _BRACES.findall(getattr(told, field, None) or ""):
                known = (*told.words, *_EXTRA.get(path, ()))
                yield from _known(word, known, "word in braces", (*path, field))


_EXTRA: dict[Path, tuple[str, ...]] = {
    ("expired",): ("expiry",),
    ("driving_home", "valid"): ("expiry",),
    ("driving_home", "ended"): ("expiry",),
    ("driving_home", "own_advice"): ("advice",),
}
"""The words in braces of a plain Told, by its place."""


def _known(name: str, table: Iterable[str], what: str, path: Path) -> Iterator[tuple[str, Path]]:
    words = list(table)
    if name not in words:
        yield f"there is no {what} {name!r}.{near_name(name, words)}", path


def _told(part: Any, path: Path) -> Iterator[tuple[Path, Told]]:
    """Every Told of a model, with its path."""
    if isinstance(part, Told):
        yield path, part
    if isinstance(part, BaseModel):
        for name in type(part).model_fields:
            yield from _told(getattr(part, name), (*path, name))
    elif isinstance(part, dict):
        for name, inner in part.items():
            yield from _told(inner, (*path, name))
    elif isinstance(part, list):
        for index, inner in enumerate(part):
            yield from _told(inner, (*path, index))
