"""Measured numbers as ranges, compared in three values.

An `Interval` holds the lowest and the highest value a measurement may have. A number typed
plainly has both ends equal and is judged exactly. A comparison answers True or False only when
every value in the range agrees, and None (cannot tell) otherwise.

Arithmetic is the usual interval arithmetic, rounded as floats round. It knows nothing of two
ranges being the same measurement, so a formula should use each measurement only once.
Every function raises ValueError when an end is not finite or the ends are the wrong way round.
"""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Interval:
    """A range from `lo` to `hi`, both included, in whatever unit its user states."""

    lo: float
    hi: float

    def __post_init__(self) -> None:
        if not (math.isfinite(self.lo) and math.isfinite(self.hi)):
            raise ValueError(f"a range needs two finite numbers, not {self.lo} and {self.hi}")
        if self.lo > self.hi:
            raise ValueError(f"a range runs from low to high, not from {self.lo} to {self.hi}")

    @property
    def middle(self) -> float:
        """The value half way between the ends."""
        return self.lo / 2 + self.hi / 2

    @property
    def half_width(self) -> float:
        """The distance from the middle to either end."""
        return self.hi / 2 - self.lo / 2

    def __add__(self, other: Number) -> Interval:
        other = as_interval(other)
        return Interval(self.lo + other.lo, self.hi + other.hi)

    def __sub__(self, other: Number) -> Interval:
        other = as_interval(other)
        return Interval(self.lo - other.hi, self.hi - other.lo)

    def __mul__(self, other: Number) -> Interval:
        other = as_interval(other)
        corners = [a * b for a in (self.lo, self.hi) for b in (other.lo, other.hi)]
        return Interval(min(corners), max(corners))

    def __truediv__(self, other: Number) -> Interval:
        """Quotient; ValueError when the divisor may be zero."""
        other = as_interval(other)
        if other.lo <= 0 <= other.hi:
            raise ValueError(f"cannot divide by {other.lo} to {other.hi}: it may be zero")
        corners = [a / b for a in (self.lo, self.hi) for b in (other.lo, other.hi)]
        return Interval(min(corners), max(corners))

    def __radd__(self, other: float) -> Interval:
        return self + other

    def __rsub__(self, other: float) -> Interval:
        return exactly(other) - self

    def __rmul__(self, other: float) -> Interval:
        return self * other

    def __rtruediv__(self, other: float) -> Interval:
        return exactly(other) / self

    def __abs__(self) -> Interval:
        """Distance from zero; a range across zero starts at zero."""
        if self.lo <= 0 <= self.hi:
            return Interval(0.0, max(-self.lo, self.hi))
        ends = sorted((abs(self.lo), abs(self.hi)))
        return Interval(ends[0], ends[1])

    def below(self, limit: Number) -> bool | None:
        """Is the value less than the limit?"""
        limit = as_interval(limit)
        if self.hi < limit.lo:
            return True
        return False if self.lo >= limit.hi else None

    def above(self, limit: Number) -> bool | None:
        """Is the value more than the limit?"""
        limit = as_interval(limit)
        if self.lo > limit.hi:
            return True
        return False if self.hi <= limit.lo else None

    def at_least(self, limit: Number) -> bool | None:
        """Is the value the limit or more?"""
        return _opposite(self.below(limit))

    def at_most(self, limit: Number) -> bool | None:
        """Is the value the limit or less?"""
        return _opposite(self.above(limit))

    def within(self, lowest: float, highest: float) -> bool | None:
        """Is the value in the band? A value on an edge of the band is in it."""
        if lowest > highest:
            raise ValueError(f"a band runs from low to high, not from {lowest} to {highest}")
        answers = (self.at_least(lowest), self.at_most(highest))
        if False in answers:
            return False
        return None if None in answers else True


Number = Interval | float


def exactly(value: float) -> Interval:
    """A number taken as it stands."""
    return Interval(value, value)


def about(value: float, half_width: float) -> Interval:
    """A number known to within `half_width` either side."""
    return Interval(value - half_width, value + half_width)


def as_interval(value: Number) -> Interval:
    """The value itself if it is a range already, else a range of no width."""
    return value if isinstance(value, Interval) else exactly(value)


def _opposite(answer: bool | None) -> bool | None:
    return None if answer is None else not answer
