"""The car from above as SVG, for the sheet: where things stand. Its shapes are in the templates.

All text in it is escaped, and it holds no script and points nowhere outside itself.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence

from markupsafe import Markup

from assistant.report.pages import environment
from assistant.report.pictures import Mark, Spot

_CAR_WIDTH, _CAR_HEIGHT, _EDGE = 240.0, 460.0, 10.0


def car_svg(marks: Sequence[Mark], title: str, desc: str) -> str:
    """The car from above. A mark that fails is square and bold; the others are round and thin."""
    grid = [
        (x / 2, y / 2)
        for x in range(28, int(_CAR_WIDTH) * 2 - 27, 8)
        for y in range(28, int(_CAR_HEIGHT) * 2 - 27, 8)
    ]
    wanted = [_point(mark.spot) for mark in marks]
    places = spread(wanted, (), [*wanted, *grid], apart=31, tall=0.98)
    badges = [
        (
            min(max(place[0], 16), _CAR_WIDTH - 16),
            min(max(place[1], 16), _CAR_HEIGHT - 16),
            str(mark.number),
            mark.fails,
        )
        for mark, place in zip(marks, places, strict=True)
        if place is not None
    ]
    template = environment(html=True).get_template("car.svg.j2")
    return Markup(template.render(name="car", title=title, desc=desc, badges=badges))


def _point(spot: Spot) -> Spot:
    """A spot in percent as a point of the SVG."""
    return (
        _EDGE + spot[0] / 100 * (_CAR_WIDTH - 2 * _EDGE),
        _EDGE + spot[1] / 100 * (_CAR_HEIGHT - 2 * _EDGE),
    )


def spread(
    wanted: Sequence[Spot],
    taken: Collection[Spot],
    free: Sequence[Spot],
    apart: float,
    tall: float = 1,
) -> list[Spot | None]:
    """A place for each wanted one: the nearest free one that is `apart` from all others.

    tall: how much a step down counts as compared with a step sideways. None where all is full.
    """

    def far(a: Spot, b: Spot) -> float:
        return math.hypot(a[0] - b[0], (a[1] - b[1]) * tall)

    left = [place for place in free if all(far(place, other) >= apart for other in taken)]
    found: list[Spot | None] = []
    for spot in wanted:
        nearest = min(((far(place, spot), place) for place in left), default=None)
        found.append(nearest[1] if nearest else None)
        if nearest:
            left = [place for place in left if far(place, nearest[1]) >= apart]
    return found
