"""A short way to write down what a published standard says of a car.

    thinnest_pad=1.0 => 1.1.13(a)(ii) dangerous
    tyre_fit@rear_offside=soft+valve; body=minibus => 5.2.3(l) minor, 5.2.3(j) dangerous
    steering_play=14; steering_kind=rack => nothing !have_looked_at

On the left stand answers: a word, a number, a day, picks joined with +, none, dont_know,
not_fitted, or - for "this was not asked". On the right stand all items that must be found, no
more and no fewer, and after ! how pressing it must be. What is not said on the left is that of a
petrol car first used on 1 June 2015 with nothing special on it.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from functools import lru_cache

from assistant.authoring.check.cases import case_journal
from assistant.reasoning.consultation import Consultation, consult
from assistant.ruleset.models import CaseAnswer
from assistant.ruleset.ruleset import Ruleset

TODAY = dt.date(2026, 1, 15)
PLAIN_CAR = {"first_used": "2015-06-01", "fuel": "petrol", "body": "car", "equipment": "none"}


@dataclass(frozen=True)
class Text:
    """A text that figures come from, and how far it was read."""

    title: str
    basis: str


@dataclass(frozen=True)
class Check:
    """One line, with the text it comes from. figure: the limit it stands beside, if any.

    only_station: words that must stand in what is left to the station; never: words that must
    not.
    """

    line: str
    text: Text
    figure: str = ""
    only_station: str = ""
    never: tuple[str, ...] = ()

    @property
    def answers(self) -> dict[str, str]:
        given = dict(PLAIN_CAR)
        for part in self.line.partition("=>")[0].split(";"):
            name, _, value = part.strip().partition("=")
            given[name.strip()] = value.strip()
        return {name: value for name, value in given.items() if value != "-"}

    @property
    def expected(self) -> frozenset[tuple[str, str]]:
        items = self.line.partition("=>")[2].partition("!")[0].strip()
        if items == "nothing":
            return frozenset()
        pairs = [item.strip().rsplit(" ", 1) for item in items.split(",")]
        return frozenset((item, category) for item, category in pairs)

    @property
    def urgency(self) -> str:
        return self.line.partition("!")[2].strip()


def checks(text: Text, lines: str, figure: str = "", *, given: str = "") -> list[Check]:
    """The checks of a block of lines; "| basis" after a line is for that line alone.

    given: answers that all lines of the block begin with.
    """
    found = []
    start = f"{given}; " if given else ""
    for row in filter(None, map(str.strip, lines.splitlines())):
        line, _, basis = row.partition(" | ")
        own = Text(text.title, basis.strip()) if basis else text
        found.append(Check(start + line.strip(), own, figure))
    return found


def by_day(
    text: Text, figure: str, day: str, answers: str, *, before: str = "nothing", after: str
) -> list[Check]:
    """A car first used the day before, on the day, and the day after."""
    from_day = dt.date.fromisoformat(day)
    days = [from_day + dt.timedelta(days=n) for n in (-1, 0, 1)]
    return [
        Check(f"first_used={each}; {answers} => {after if each >= from_day else before}", text,
              figure)
        for each in days
    ]  # fmt: skip


def station_by_day(
    text: Text, figure: str, day: str, answers: str, *, before: str = "", after: str = ""
) -> list[Check]:
    """As by_day, for what is left to the station: words that stand there before and after."""
    from_day = dt.date.fromisoformat(day)
    found = []
    for n in (-1, 0, 1):
        each = from_day + dt.timedelta(days=n)
        here, not_here = (after, before) if n >= 0 else (before, after)
        line = f"first_used={each}; {answers} => nothing"
        never = (not_here,) if not_here not in ("", here) else ()
        found.append(Check(line, text, figure, here, never))
    return found


def typed(ruleset: Ruleset, name: str, value: str) -> CaseAnswer:
    """The typed answer that a short word means."""
    question = ruleset.questions[name.partition("@")[0]]
    if value in ("dont_know", "cant_look", "not_fitted"):
        return value
    if question.kind == "some_of":
        return [] if value == "none" else list(value.split("+"))
    if question.kind == "date":
        return dt.date.fromisoformat(value)
    return float(value) if question.kind in ("quantity", "count") else value


class Consulted:
    """Consults each line once."""

    def __init__(self, ruleset: Ruleset) -> None:
        self.ruleset = ruleset
        self.of = lru_cache(maxsize=None)(self._of)

    def _of(self, line: str) -> Consultation:
        answers = Check(line, Text("", "")).answers
        given = {name: typed(self.ruleset, name, value) for name, value in answers.items()}
        return consult(self.ruleset, case_journal(self.ruleset, given, TODAY))


def found_in(consultation: Consultation) -> frozenset[tuple[str, str]]:
    """Every item with its category."""
    return frozenset((f.item, f.category) for f in consultation.findings if f.item and f.category)


def left_to_station(consultation: Consultation) -> str:
    """What is left to the station, as one text."""
    return " / ".join(
        f"{t.item} {t.category}: {t.what} {t.tester}" for t in consultation.tester_only
    )
