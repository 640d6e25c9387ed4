"""Dates and what a result means: when the inspection is due, and what follows after a fail.

Pure functions of a calendar and what is known. All windows, fees and sentences are the
calendar's; only the date arithmetic is code. What is not known is said to be not known.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterator
from dataclasses import dataclass, replace

from assistant.calculations.dates import (
    due_after_years,
    earliest_keeping_anniversary,
    is_clamped,
    next_expiry,
    whole_years,
    working_day_after,
)
from assistant.reasoning.consultation import Consultation
from assistant.ruleset.calendar_file import Appeal, CalendarFile, Nation, Retest, Told, Window
from assistant.ruleset.models import Basis, Urgency
from assistant.ruleset.words import URGENCY_WORDS, date_words

Days = tuple[dt.date, dt.date]
_FIRST, _LAST = dt.date(1800, 1, 1), dt.date(2900, 12, 31)


@dataclass(frozen=True)
class Deadline:
    """One thing said about dates. dates: the days it rests on or leads to, earliest first."""

    kind: str
    text: str
    dates: tuple[dt.date, ...]
    source: str
    clause: str | None
    basis: Basis
    note: str | None
    told: str


@dataclass(frozen=True)
class Found:
    """What a finding would mean at the inspection: its category, its item, and its words."""

    category: str
    item: str
    words: str


@dataclass(frozen=True)
class Known:
    """What is known: a day is a range of days, or None. asked: the person was asked for the end.

    found: findings that the standard has a category for, gravest first; fails: those that would
    fail. advice: what the walk itself says about driving, where it says anything. never: it has
    not been inspected yet.
    """

    today: dt.date
    asked: bool = False
    expiry: Days | None = None
    first_used: Days | None = None
    kind: str | None = None
    failed_on: Days | None = None
    has_failed: bool = False
    nation: str | None = None
    found: tuple[Found, ...] = ()
    fails: tuple[Found, ...] = ()
    advice: Urgency = Urgency.NOTHING
    never: bool = False


def deadlines_of(consultation: Consultation) -> tuple[Deadline, ...]:
    """The deadlines of a consultation; empty where its ruleset has no calendar."""
    calendar = consultation.ruleset.calendar
    return () if calendar is None else deadlines(calendar, known_of(consultation, calendar))


def known_of(consultation: Consultation, calendar: CalendarFile) -> Known:
    """What a consultation knows about dates, from the answers that the calendar names."""
    ask = calendar.answers

    def days(question: str) -> Days | None:
        reading = consultation.readings.reading(question, "")
        if reading.lo is None or reading.hi is None:
            return None
        first, last = (dt.date.fromordinal(int(v)) for v in (reading.lo, reading.hi))
        return (first, last) if first >= _FIRST and last <= _LAST else None

    def word(question: str) -> str | None:
        return consultation.readings.reading(question, "").word

    has_failed = word(ask.failed) == "yes"
    no_fail = word(ask.failed) == "no"
    some = (f for f in consultation.findings if f.category)
    found = tuple(dict.fromkeys(Found(f.category or "", str(f.item), f.rule.say) for f in some))
    scale = consultation.ruleset.about.scale
    failed_on = None if no_fail else days(ask.failed_on)
    order = list(scale)
    return Known(
        today=consultation.state.context.today,
        asked=(ask.expiry, "") in consultation.state.answers,
        expiry=days(ask.expiry),
        first_used=days(ask.first_used),
        kind=word(ask.kind),
        failed_on=failed_on,
        has_failed=has_failed or failed_on is not None,
        never=consultation.readings.reading(ask.expiry, "").state == "not_fitted",
        nation=word(ask.nation),
        found=tuple(sorted(found, key=lambda f: order.index(f.category))),
        fails=tuple(f for f in found if scale[f.category].fails),
        advice=consultation.urgency,
    )


def deadlines(calendar: CalendarFile, known: Known) -> tuple[Deadline, ...]:
    """All that can be said, in the order in which it is said; empty where nothing was asked."""
    nation = calendar.nations.get(known.nation or "")
    if nation is not None and nation.not_covered is not None:
        return (_said("not_covered", nation.not_covered),)
    exempt = list(_exempt(calendar, known))
    first = [] if exempt else list(_first(calendar, known))
    if not (known.asked or known.has_failed or first):
        return ()
    said = [*exempt, *(first or _due(calendar, known))]
    said += _driving_home(calendar, known)
    said += _retests(calendar, known)
    said += [_said("fee", fee, most=_money(calendar, fee.most), since=date_words(fee.since))
             for fee in calendar.fees if known.kind in fee.kinds]  # fmt: skip
    said += [_said("more", more) for more in calendar.more]
    return tuple(said)


# when it is due -------------------------------------------------------------------------


def _first(calendar: CalendarFile, known: Known) -> Iterator[Deadline]:
    """The first inspection, where no end of a certificate is known: ahead, or still to come."""
    if known.expiry is not None or known.first_used is None:
        return
    for entry in calendar.first:
        if known.kind not in entry.kinds:
            continue
        due = tuple(due_after_years(day, entry.years) for day in known.first_used)
        words = {"due": date_words(due[0]), "first": date_words(due[0]), "years": str(entry.years),
                 "last": date_words(due[1]), "left": _left(known.today, due[0])}  # fmt: skip
        if due[1] < known.today:
            if known.never:
                words |= {"due": date_words(due[1]), "left": _left(due[1], known.today)}
                yield _said("overdue", entry, *due, text=entry.past, **words)
                yield _said("expired", calendar.expired, due[1], expiry=words["due"])
            return
        text = entry.say
        if due[0] != due[1]:
            text = entry.rough if due[0] > known.today else entry.rough_past
        yield _said("first", entry, *due, text=text, **words)
        if calendar.first_window is not None:
            yield _earliest("first_earliest", calendar.first_window, known, due[1])
        if any(is_clamped(day, 12 * entry.years) for day in known.first_used):
            yield _said("unsure", calendar.month_end)


def _due(calendar: CalendarFile, known: Known) -> Iterator[Deadline]:
    """From the end of the certificate; nothing is guessed where it is not known."""
    if known.expiry is None:
        text = calendar.unknown.never if known.never else calendar.unknown.say
        yield _said("unknown", calendar.unknown, text=text)
        return
    first, last = known.expiry
    today, due = known.today, calendar.due
    words = {"first": date_words(first), "last": date_words(last), "expiry": date_words(first),
             "left": _left(today, first)}  # fmt: skip
    if last < today:
        words |= {"expiry": date_words(last), "left": _left(last, today)}
        yield _said("overdue", due, first, last, text=due.past, **words)
        yield _said("expired", calendar.expired, last, expiry=words["expiry"])
        return
    text = due.rough if first >= today else due.rough_past
    if first == last:
        text = due.today if first == today else due.say
    yield _said("due", due, first, last, text=text, **words)
    yield from _window(calendar, known, last)


def _window(calendar: CalendarFile, known: Known, last: dt.date) -> Iterator[Deadline]:
    """The earliest day that keeps the date; of a rough end, the one that keeps it for certain."""
    months = calendar.window.months
    said = _earliest("earliest", calendar.window, known, last)
    yield said
    earliest = said.dates[0]
    if is_clamped(last, -months):
        yield _said("unsure", calendar.month_end)
    if known.today < earliest:
        yield _said("early", calendar.early)
    if known.expiry == (last, last):
        valid = calendar.interval.months
        after = next_expiry(last, last, window_months=months, valid_months=valid)
        words = {"earliest": date_words(earliest), "expiry": date_words(last),
                 "next": date_words(after)}  # fmt: skip
        yield _said("next", calendar.interval, earliest, last, after, **words)
        if is_clamped(last, valid):
            yield _said("unsure", calendar.month_end)


def _earliest(kind: str, window: Window, known: Known, last: dt.date) -> Deadline:
    earliest = earliest_keeping_anniversary(last, window.months)
    text = window.say if known.today < earliest else window.open
    words = {"earliest": date_words(earliest), "expiry": date_words(last)}
    return _said(kind, window, earliest, text=text, **words)


def _exempt(calendar: CalendarFile, known: Known) -> Iterator[Deadline]:
    if known.first_used is None:
        return
    youngest, oldest = (
        whole_years(day, known.today) if day <= known.today else 0
        for day in reversed(known.first_used)
    )
    for entry in calendar.exemptions:
        if known.kind in (None, *entry.kinds) and oldest >= entry.years:
            text = entry.say if youngest >= entry.years else entry.maybe
            yield _said("exempt", entry, text=text, years=str(entry.years))


# after a fail ---------------------------------------------------------------------------


def _driving_home(calendar: CalendarFile, known: Known) -> Iterator[Deadline]:
    """What the gravest finding would mean, and whether the car may be driven away after a fail."""
    home = calendar.driving_home
    if known.advice.rank <= Urgency.GENTLY_TO_GARAGE.rank:
        yield _said("own_advice", home.own_advice, advice=URGENCY_WORDS[known.advice])
    if not known.found:
        return
    worst = known.found[0].category
    yield _said("result", calendar.by_result[worst])
    if not known.fails or worst in home.never or known.advice.rank < Urgency.GENTLY_TO_GARAGE.rank:
        return
    day = max(known.today, known.failed_on[1]) if known.failed_on else known.today
    if known.expiry is None or known.expiry[0] < day <= known.expiry[1]:
        yield _said("driving_home", home.unknown)
    elif known.expiry[1] < day:
        last = known.expiry[1]
        yield _said("driving_home", home.ended, last, expiry=date_words(last))
    else:
        last = known.expiry[0]
        yield _said("driving_home", home.valid, last, expiry=date_words(last))


def _retests(calendar: CalendarFile, known: Known) -> Iterator[Deadline]:
    """The ways to be tested again, with days where the car has failed on a known day."""
    if not (known.fails or known.has_failed):
        return
    day = known.failed_on[0] if known.failed_on and len(set(known.failed_on)) == 1 else None
    if known.has_failed and day is None:
        yield _said("failed_day_unknown", calendar.failed_day_unknown)
    carried = any(f.category in calendar.driving_home.never for f in known.fails)
    for retest in calendar.retests:
        if not (retest.listed_only and carried):
            yield _counted(calendar, known, "retest", retest, day)
        if retest.listed_only and not carried:
            yield from _listed(calendar, known)
    if day is not None and known.nation is None:
        yield _said("nation_unknown", calendar.nation_unknown)
    for appeal in calendar.appeals if known.has_failed else ():
        yield _counted(calendar, known, "appeal", appeal, day)


def _counted(
    calendar: CalendarFile, known: Known, kind: str, entry: Retest | Appeal, day: dt.date | None
) -> Deadline:
    """A retest or an appeal, with its last day; without one it is for the sheet only."""
    priced = ""
    words: dict[str, str] = {}
    fees = [fee.most for fee in calendar.fees if known.kind in fee.kinds]
    if isinstance(entry, Retest) and entry.priced and fees:
        words["part_fee"] = _money(calendar, int(round(fees[0] * 100) * entry.share) / 100)
        priced = " " + entry.priced
    if day is None or entry.dated is None:
        return replace(_said(kind, entry, text=entry.say + priced, **words), told="sheet")
    if isinstance(entry, Appeal):
        until = day + dt.timedelta(entry.days or 0)
    else:
        until = _last_day(calendar, known, day, entry.working_days or 0)
    words["until"] = date_words(until)
    text = entry.over if until < known.today else entry.dated + priced
    return _said(kind, entry, until, text=str(text), **words)


def _last_day(calendar: CalendarFile, known: Known, day: dt.date, count: int) -> dt.date:
    """The last working day, the earliest of them where the nation is not known."""
    nation = calendar.nations.get(known.nation or "")
    nations: list[Nation] = [nation] if nation else list(calendar.nations.values())
    return min(
        working_day_after(day, count, country=n.country, subdivision=n.subdivision)
        for n in nations
        if n.country
    )


def _listed(calendar: CalendarFile, known: Known) -> Iterator[Deadline]:
    """Which of the findings are on the list of what may be retested free."""
    free = calendar.free_parts
    listed: dict[str, None] = {}
    others: dict[str, None] = {}
    for found in known.fails:
        part = _part(calendar, found.item)
        if part is None:
            others[found.words.rstrip(".")] = None
        else:
            listed[part] = None
    if listed:
        yield replace(_said("free", free, text=free.listed, listed="; ".join(listed)), told="talk")
    if others:
        yield replace(_said("free", free, text=free.others, others="; ".join(others)), told="talk")
    parts = [_part_words(calendar, part.say) for part in free.parts]
    yield _said("free_list", free, parts="; ".join(parts))


def _part(calendar: CalendarFile, item: str) -> str | None:
    """The part of the list that an item belongs to: the one that names it most exactly."""
    hits = [
        (len(start), part.say)
        for part in calendar.free_parts.parts
        for start in part.items
        if item == start or (item.startswith(start) and item[len(start)] in ".(")
    ]
    return _part_words(calendar, max(hits)[1]) if hits else None


def _part_words(calendar: CalendarFile, say: str) -> str:
    """The part, with how far to trust that it is on the list where that is less than the list."""
    part = next(p for p in calendar.free_parts.parts if p.say == say)
    return say if part.basis == calendar.free_parts.basis else f"{say} ({part.basis.value})"


# words ----------------------------------------------------------------------------------


def _said(
    kind: str, told: Told, *dates: dt.date, text: str | None = None, **words: str
) -> Deadline:
    filled = re.sub(r"\{([^{}]*)\}", lambda m: words[m[1]], text or told.say)
    shown = tuple(sorted(set(dates)))
    return Deadline(kind, filled, shown, told.source, told.clause, told.basis, told.note, told.told)


def _left(start: dt.date, end: dt.date) -> str:
    days = (end - start).days
    return "1 day" if days == 1 else f"{days} days"


def _money(calendar: CalendarFile, amount: float) -> str:
    return calendar.money.replace("{amount}", f"{amount:.2f}")
