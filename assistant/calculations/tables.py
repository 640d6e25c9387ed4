"""Reading a value off a published table by straight lines between its rows."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise


def interpolate(rows: Sequence[tuple[float, float]], x: float) -> float:
    """The value at x of rows (x, y) sorted by x; beyond an end, the value of that end."""
    if x <= rows[0][0]:
        return rows[0][1]
    for (x1, y1), (x2, y2) in pairwise(rows):
        if x <= x2:
            return y1 + (x - x1) * (y2 - y1) / (x2 - x1)
    return rows[-1][1]
