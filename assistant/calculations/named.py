"""The calculations that a ruleset may ask for by name.

Each takes readings by parameter name and returns an Interval, a word, or None where it
cannot be worked out. A reading is an Interval, a word (str), a set of picks (frozenset) or
None for not known. A parameter marked "across" gets a dict from part to reading, one marked
"text" what was typed to a note. The list itself is in registry.py.
"""

from __future__ import annotations

from collections.abc import Mapping

from assistant.calculations import brakes, tyres, under_bonnet
from assistant.calculations.interval import Interval
from assistant.calculations.registry import CANNOT_TELL, REGISTERED, NamedCalculation, Value, named
from assistant.calculations.seeing import damage_zone, dip_percent, judge_rate, rate_from_count
from assistant.calculations.tyres import cut_limit_mm

MODULES = (brakes, tyres, under_bonnet)
"""The modules whose calculations are in the list besides those below."""
CALCULATIONS: Mapping[str, NamedCalculation] = REGISTERED
"""All of them by name, those of MODULES too: import it from here."""


@named(words=("yes", "no"))
def lower_than_before(*, now: str | None, before: str | None, order: str) -> Value:
    """Whether a level is lower than last time. `order`: the words from high to low."""
    ranks = order.split()
    if now not in ranks or before not in ranks:
        return None
    return "yes" if ranks.index(now) > ranks.index(before) else "no"


@named()
def larger_of_figure_and_share(
    *, figure: Interval, share: Interval, whole: Interval | None
) -> Value:
    """The larger of a fixed figure and a share (in per cent) of a whole, in the whole's unit."""
    if whole is None:
        return None
    return Interval(
        cut_limit_mm(figure.lo, share.lo, whole.lo), cut_limit_mm(figure.hi, share.hi, whole.hi)
    )


@named(unit="years")
def age_in_years(*, since: Interval | None, today: Interval | None) -> Value:
    """Years between two dates (day numbers), a year taken as 365.25 days."""
    if since is None or today is None:
        return None
    return Interval((today.lo - since.hi) / 365.25, (today.hi - since.lo) / 365.25)


@named()
def first_known(*, first: Value, second: Value) -> Value:
    """The first of two readings of the same thing, or the second where the first is not known."""
    return second if first is None else first


@named(words=("under", "not_under", CANNOT_TELL))
def side_of_limit(*, value: Interval | None, limit: Interval) -> Value:
    """Whether a value is certainly under a limit; exactly the limit is not under it."""
    if value is None:
        return None
    under = value.below(limit)
    return CANNOT_TELL if under is None else "under" if under else "not_under"


@named(words=("under", "inside", "over", CANNOT_TELL))
def side_of_band(*, value: Interval | None, lowest: Interval, highest: Interval) -> Value:
    """Where a value lies to a band; an edge of the band is in it."""
    if value is None:
        return None
    if value.below(lowest):
        return "under"
    if value.above(highest):
        return "over"
    return "inside" if value.within(lowest.lo, highest.hi) else CANNOT_TELL


@named(unit="per minute")
def flash_rate(*, flashes: Interval | None, seconds: Interval | None) -> Value:
    """Flashes a minute from a count over a time, uncertain by one flash either way."""
    if flashes is None or seconds is None or seconds.lo <= 0 or flashes.lo < 1:
        return None
    slowest = rate_from_count(round(flashes.lo), seconds.hi)
    quickest = rate_from_count(round(flashes.hi), seconds.lo)
    return Interval(slowest.lo, quickest.hi)


@named(words=("inside", "outside", "count_30", "count_60", "count_120", CANNOT_TELL))
def flash_verdict(
    *, rate: Interval | None, seconds: Interval | None, slowest: Interval, fastest: Interval
) -> Value:
    """Whether a rate of flashing is inside its band, or for how many seconds to count next."""
    if rate is None or seconds is None:
        return None
    verdict = judge_rate(rate, seconds.middle, slowest.lo, fastest.hi)
    if verdict.word != "count longer":
        return verdict.word
    return f"count_{verdict.seconds}" if verdict.seconds in (30, 60, 120) else CANNOT_TELL


@named(unit="per cent")
def beam_dip(
    *, drop_cm: Interval | None, metres: Interval | None, tape_error_cm: Interval
) -> Value:
    """How far a beam falls on its way to a wall, with the error of the tape in the drop."""
    if drop_cm is None or metres is None or metres.lo <= 0:
        return None
    drop = drop_cm + Interval(-tape_error_cm.hi, tape_error_cm.hi)
    return dip_percent(drop, metres * 100)


@named(words=("too_high", "inside", "too_low", CANNOT_TELL))
def beam_verdict(
    *,
    dip: Interval | None,
    height: Interval | None,
    high_lamp: Interval,
    least_low: Interval,
    least_high: Interval,
    most: Interval,
) -> Value:
    """Whether a beam falls too little, enough or too much for the height of its lamp.

    A lamp above high_lamp needs least_high, any other least_low; the height is asked for that
    alone, so an unknown one matters only where the two differ.
    """
    if dip is None:
        return None
    above = None if height is None else height.above(high_lamp)
    leasts = [least_low] * (above is not True) + [least_high] * (above is not False)
    found = {side_of_band(value=dip, lowest=least, highest=most) for least in leasts}
    words = {"under": "too_high", "inside": "inside", "over": "too_low"}
    return words.get(str(found.pop()), CANNOT_TELL) if len(found) == 1 else CANNOT_TELL


@named(words=("driver", "elsewhere"))
def screen_zone(*, offset: Interval | None, size: Interval | None, half: Interval) -> Value:
    """Which part of the windscreen damage is in; touching the driver's band counts as in it.

    offset: sideways distance of the damage's middle from the middle of the steering wheel;
    size: across the damage; half: half the width of the band. All in the same unit.
    """
    if offset is None or size is None:
        return None
    zone = damage_zone(offset, size, half.lo)
    return None if zone == "cannot tell" else zone
