"""The line drawings as SVG, for the sheet: where things stand. Their shapes are in the templates.

All text in an SVG is escaped, and no SVG holds a script or points outside itself.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Sequence
from itertools import pairwise
from typing import Any

from markupsafe import Markup

from assistant.report.pages import environment
from assistant.report.pictures import (
    GROOVES,
    Depth,
    Mark,
    Screen,
    Spot,
    Stop,
    Tread,
    damage_sides,
)


def _drawn(form: str, ident: str, title: str, desc: str, **where: Any) -> Markup:
    name = "".join(c if c.isascii() and c.isalnum() else "-" for c in ident)
    template = environment(html=True).get_template(form)
    return Markup(template.render(name=name, title=title, desc=desc, **where))


def _n(value: float) -> str:
    return f"{value:.1f}".removesuffix(".0")


# the car --------------------------------------------------------------------------------

_CAR_WIDTH, _CAR_HEIGHT, _EDGE = 240.0, 460.0, 10.0


def car_svg(stops: Sequence[Stop], marks: Sequence[Mark], ident: str, title: str, desc: str) -> str:
    """The car from above. A mark that fails is filled; the others are only outlined."""
    fixed = [_point(stop.spot) for stop in stops]
    grid = [
        (x / 2, y / 2)
        for x in range(28, int(_CAR_WIDTH) * 2 - 27, 8)
        for y in range(28, int(_CAR_HEIGHT) * 2 - 27, 8)
    ]
    wanted = [_point(mark.spot) for mark in marks]
    places = spread(wanted, fixed, [*wanted, *grid], apart=24, tall=0.98)
    badges = [
        (
            min(max(place[0], 13), _CAR_WIDTH - 13),
            min(max(place[1], 13), _CAR_HEIGHT - 13),
            str(mark.number),
            mark.fails,
        )
        for mark, place in zip(marks, places, strict=True)
        if place is not None
    ]
    letters = [(x, y, stop.letter) for stop, (x, y) in zip(stops, fixed, strict=True)]
    return _drawn("car.svg.j2", ident, title, desc, letters=letters, badges=badges)


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


# the windscreen -------------------------------------------------------------------------

_LEFT, _RIGHT = 14.0, 386.0


def screen_svg(screen: Screen, ident: str, title: str, desc: str) -> str:
    """The windscreen from inside, and under it the size of the damage beside its limits.

    A star stands at the damage; a bar where its distance is only roughly known.
    """
    scale = (_RIGHT - _LEFT) / screen.across
    middle = _LEFT + screen.across * screen.centre / 100 * scale
    low, high = screen.offset or (0, 0)
    radius = max(6.0, min(40.0, (screen.size[1] if screen.size else 0) / 2 * scale))
    stars = [_LEFT + at * scale for at in damage_sides(screen)]
    return _drawn(
        "screen.svg.j2",
        ident,
        title,
        desc,
        middle=middle,
        a=max(38.0, middle - screen.half * scale),
        b=min(362.0, middle + screen.half * scale),
        half_words=screen.half_words,
        stars=stars,
        rays=[_rays(x, radius) for x in stars],
        reach=(high - low) / 2 * scale,
        radius=radius,
        size_words=screen.size_words,
        ruler=_ruler(screen) if screen.size is not None else None,
    )


def _rays(x: float, radius: float) -> str:
    return "".join(
        f"M{_n(x)} 100L{_n(x + radius * math.cos(a))} {_n(100 + radius * math.sin(a))}"
        for a in (0.2, 1.1, 2.3, 3.2, 4.0, 5.3)
    )


def _ruler(screen: Screen) -> dict[str, Any]:
    """The size as bars from nought, the most and the least it may be, with a line at each limit."""
    least, most = screen.size or (0, 0)
    top = max([most, *(limit.value for limit in screen.limits)]) * 1.15 or 1.0

    def at(value: float) -> float:
        return _LEFT + min(value, top) / top * (_RIGHT - _LEFT)

    limits, used = [], -100.0
    for limit in sorted(screen.limits, key=lambda one: one.value):
        used = max(at(limit.value), used + 56)
        anchor = "end" if used > _RIGHT - 20 else "middle"
        limits.append((at(limit.value), min(used, _RIGHT), anchor, limit.words))
    return {
        "most": max(2, at(most) - _LEFT),
        "least": max(2, at(least) - _LEFT),
        "limits": limits,
    }


# a tyre ---------------------------------------------------------------------------------

_SIDE, _WIDTH, _FLOOR = 8.0, 200.0, 116.0


def tread_svg(tread: Tread, ident: str, title: str, desc: str) -> str:
    """A tyre across its width with its depths, and a line at each limit, to one scale."""
    deepest = max([8, *(d.span[1] for d in tread.depths), *(line.value for line in tread.limits)])
    scale = 88 / deepest
    edge = _WIDTH * (1 - tread.central / 100) / 2
    limits = [*tread.limits, *([tread.lowest] if tread.lowest else [])]
    lines, used = [], _FLOOR + 14
    for line in sorted(limits, key=lambda one: one.value):
        y = _FLOOR - line.value * scale
        used = min(y + 4, used - 12)
        kind = "lowest" if line is tread.lowest else "advice" if line.advice else ""
        lines.append((y, used, line.words, kind))
    return _drawn(
        "tyre.svg.j2",
        ident,
        title,
        desc,
        a=_SIDE + edge,
        b=_SIDE + _WIDTH - edge,
        central=tread.central,
        ribs=_ribs(tread.depths, scale),
        grooves=[_FLOOR - line.value * scale for line in limits],
        lines=lines,
        depths=[(_SIDE + depth.at / 100 * _WIDTH, depth.words) for depth in tread.depths],
        ends=tread.ends,
    )


def _ribs(depths: Sequence[Depth], scale: float) -> list[list[str]]:
    """The outline of each rib, first as high as it may be, then as low."""
    cuts = [0.0, *GROOVES, 1.0] if depths else []
    ribs = []
    for index, (start, end) in enumerate(pairwise(cuts)):
        first = start + (0.035 if index else 0)
        last = end - (0.035 if index < len(GROOVES) else 0)
        foot = _FLOOR + 0.5
        ribs.append(
            [
                _outline(
                    (_SIDE + x * _WIDTH, y)
                    for x, y in (
                        (first, foot),
                        *((x, _FLOOR - d * scale) for x, d in _profile(depths, high, first, last)),
                        (last, foot),
                    )
                )
                for high in (1, 0)
            ]
        )
    return ribs


def _outline(points: Iterable[Spot]) -> str:
    return f"M{'L'.join(f'{_n(x)} {_n(y)}' for x, y in points)}Z"


def _profile(depths: Sequence[Depth], end: int, first: float, last: float) -> list[Spot]:
    """The top of a rib from first to last: straight lines between the readings.

    end: 0 for the lowest, 1 for the highest that a reading may be.
    """
    known = sorted((depth.at / 100, depth.span[end]) for depth in depths)

    def height(x: float) -> float:
        for (x1, y1), (x2, y2) in pairwise(known):
            if x1 <= x <= x2:
                return y1 + (y2 - y1) * (x - x1) / (x2 - x1)
        return known[0][1] if x < known[0][0] else known[-1][1]

    inner = [x for x, _ in known if first < x < last]
    return [(x, height(x)) for x in (first, *inner, last)]
