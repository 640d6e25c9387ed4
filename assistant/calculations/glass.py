"""In which zone of the windscreen a chip or crack lies, and whether it is too large there."""

from __future__ import annotations

from typing import Literal

from assistant.calculations.interval import Number, as_interval

Zone = Literal["driver", "elsewhere", "cannot tell"]


def damage_zone(offset_mm: Number, size_mm: Number, zone_half_width_mm: float) -> Zone:
    """Zone of damage whose middle lies `offset_mm` sideways from the wheel centre.

    Either sign of the offset will do. The damage counts as in the driver's zone as soon as it
    touches the edge. Whether the wipers sweep the place is for the caller to ask.
    Source: geometry. ValueError for a size below zero or a zone without width.
    """
    size = as_interval(size_mm)
    if size.lo < 0 or zone_half_width_mm <= 0:
        raise ValueError("damage has a size not below zero, and a zone some width")
    nearest = abs(as_interval(offset_mm)) - size / 2
    touches = nearest.at_most(zone_half_width_mm)
    if touches is None:
        return "cannot tell"
    return "driver" if touches else "elsewhere"
