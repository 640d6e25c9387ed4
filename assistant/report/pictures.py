"""Plain line drawings: the car from above, the windscreen from inside, a tyre across.

Pure functions from plain data to ASCII rows, for a terminal, or to SVG text, for the sheet. The
figures come from the ruleset and from the answers; what stands here is only the shape of things.
All text in an SVG is escaped, and no SVG holds a script or points outside itself.
"""

from __future__ import annotations

import html
import math
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

Spot = tuple[float, float]
Span = tuple[float, float]

INK, QUIET, ALERT, PAPER, GLASS, FILL, BAND = (
    "#1c1c1c", "#6a6760", "#8c1d18", "#fffdf8", "#dde7ea", "#f1ede2", "#f3d9a4",
)  # fmt: skip


@dataclass(frozen=True)
class Stop:
    """A place of the walk on the car, in percent from the left and from the front."""

    letter: str
    spot: Spot


@dataclass(frozen=True)
class Mark:
    """A finding on the car; its number is its number in the list of findings."""

    number: int
    spot: Spot
    fails: bool = False


@dataclass(frozen=True)
class LimitLine:
    """A limit as it is drawn: its value with its unit in words; advice is drawn weaker."""

    value: float
    words: str
    advice: bool = False


@dataclass(frozen=True)
class Screen:
    """The windscreen from inside. offset, size: lowest and highest, or None for not known.

    centre: the middle of the steering wheel in percent from the left; across: the width of the
    glass; half: half the width of the driver's band, in words too. All lengths in one unit.
    """

    centre: float
    across: float
    half: float
    half_words: str
    offset: Span | None = None
    size: Span | None = None
    size_words: str = ""
    limits: tuple[LimitLine, ...] = ()


@dataclass(frozen=True)
class Depth:
    """One reading of a tread. at: where across the width, in percent; words: for the drawing."""

    at: float
    span: Span
    words: str


@dataclass(frozen=True)
class Tread:
    """A tyre's tread across its width. central: the part that the limits are about, percent.

    ends: a word for the left edge and one for the right edge of the drawing. lowest: a reading
    at no told place that is lower than all of the others.
    """

    central: float
    depths: tuple[Depth, ...] = ()
    lowest: LimitLine | None = None
    ends: tuple[str, str] = ("", "")
    limits: tuple[LimitLine, ...] = ()


# shared ---------------------------------------------------------------------------------


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


def _svg(size: tuple[float, float], ident: str, title: str, desc: str, body: Iterable[str]) -> str:
    """A whole SVG with its name and its description for those who do not see it."""
    name = "".join(c if c.isascii() and c.isalnum() else "-" for c in ident)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_n(size[0])} {_n(size[1])}" '
        f'role="img" aria-labelledby="{name}-t {name}-d" font-family="sans-serif" '
        f'fill="none" stroke="{INK}" stroke-width="1.5" stroke-linejoin="round" '
        f'stroke-linecap="round"><title id="{name}-t">{_escape(title)}</title>'
        f'<desc id="{name}-d">{_escape(desc)}</desc>{"".join(body)}</svg>'
    )


def _escape(text: str) -> str:
    return html.escape("".join(c if c.isprintable() else " " for c in text), quote=True)


def _n(value: float) -> str:
    return f"{value:.1f}".removesuffix(".0")


def _text(
    x: float, y: float, words: str, size: float = 12, anchor: str = "middle",
    colour: str = INK, weight: str = "normal",
) -> str:  # fmt: skip
    return (
        f'<text x="{_n(x)}" y="{_n(y)}" font-size="{_n(size)}" text-anchor="{anchor}" '
        f'fill="{colour}" stroke="none" font-weight="{weight}">{_escape(words)}</text>'
    )


def _path(d: str, fill: str = "none", stroke: str = INK, more: str = "") -> str:
    return f'<path d="{d}" fill="{fill}" stroke="{stroke}"{more}/>'


def _line(x1: float, y1: float, x2: float, y2: float, stroke: str = INK, dash: str = "") -> str:
    more = f' stroke-dasharray="{dash}"' if dash else ""
    return _path(f"M{_n(x1)} {_n(y1)}L{_n(x2)} {_n(y2)}", stroke=stroke, more=more)


def _rect(
    x: float, y: float, w: float, h: float, fill: str, stroke: str = INK, round_: float = 0
) -> str:
    return (
        f'<rect x="{_n(x)}" y="{_n(y)}" width="{_n(w)}" height="{_n(h)}" rx="{_n(round_)}" '
        f'fill="{fill}" stroke="{stroke}"/>'
    )


class _Canvas:
    """Rows of letters that can be written over."""

    def __init__(self, rows: Sequence[str], width: int) -> None:
        self.cells = [list(row.ljust(width)) for row in rows]

    def put(self, row: int, column: int, text: str) -> None:
        for step, letter in enumerate(text):
            if 0 <= row < len(self.cells) and 0 <= column + step < len(self.cells[row]):
                self.cells[row][column + step] = letter

    def rows(self) -> list[str]:
        return ["".join(row).rstrip() for row in self.cells]


# the car --------------------------------------------------------------------------------

_CAR = (
    "        .---------------.        ",
    "     .-'                 '-.     ",
    "    /                       \\    ",
    " ###|                       |### ",
    " ###|                       |### ",
    " ###|                       |### ",
    " ###|   .---------------.   |### ",
    "    | .'                 '. |    ",
    "    |/                     \\|    ",
    "  <=|'---------------------'|=>  ",
    "    | |                   | |    ",
    "    | |                   | |    ",
    "    | |                   | |    ",
    "    | |                   | |    ",
    "    | |                   | |    ",
    "    |.---------------------.|    ",
    " ###| '.                 .' |### ",
    " ###|   '---------------'   |### ",
    " ###|                       |### ",
    " ###|                       |### ",
    "    \\                       /    ",
    "     '-.                 .-'     ",
    "        '---------------'        ",
)
CAR_COLUMNS, CAR_ROWS = len(_CAR[0]), len(_CAR)


def car_layout(stops: Sequence[Stop], marks: Sequence[Mark]) -> list[tuple[int, int, str]]:
    """Where each letter and number is written: row, first column, text."""
    taken = [_cell(stop.spot) for stop in stops]
    placed = [(row, column, stop.letter) for stop, (column, row) in zip(stops, taken, strict=True)]
    used = {(row, column) for column, row in taken}
    for mark in marks:
        text = f"[{mark.number}]"
        column, row = _cell(mark.spot)
        best = min(
            (
                (abs(x - column) + 2 * abs(y - row), y, x)
                for y in range(CAR_ROWS)
                for x in range(1, CAR_COLUMNS - 1)
                if len(text) // 2 <= x < CAR_COLUMNS - (len(text) - 1) // 2
                and not used & _cells(y, x, text)
            ),
            default=None,
        )
        if best is not None:
            _, y, x = best
            used |= _cells(y, x, text)
            placed.append((y, x - len(text) // 2, text))
    return placed


def _cell(spot: Spot) -> tuple[int, int]:
    """The column and the row of a spot given in percent."""
    return round(spot[0] / 100 * (CAR_COLUMNS - 1)), round(spot[1] / 100 * (CAR_ROWS - 1))


def _cells(row: int, middle: int, text: str) -> set[tuple[int, int]]:
    first = middle - len(text) // 2
    return {(row, first + step) for step in range(len(text))}


def car_rows(stops: Sequence[Stop], marks: Sequence[Mark]) -> list[str]:
    """The car from above, its front at the top, with letters for places, [numbers] for marks."""
    canvas = _Canvas(_CAR, CAR_COLUMNS)
    for row, column, text in car_layout(stops, marks):
        canvas.put(row, column, text)
    return canvas.rows()


_CAR_WIDTH, _CAR_HEIGHT, _EDGE = 240.0, 460.0, 10.0


def _point(spot: Spot) -> Spot:
    """A spot in percent as a point of the SVG."""
    return (
        _EDGE + spot[0] / 100 * (_CAR_WIDTH - 2 * _EDGE),
        _EDGE + spot[1] / 100 * (_CAR_HEIGHT - 2 * _EDGE),
    )


def car_svg(stops: Sequence[Stop], marks: Sequence[Mark], ident: str, title: str, desc: str) -> str:
    """The car from above. A mark that fails is filled; the others are only outlined."""
    body = [_rect(12, y, 24, 66, INK, round_=6) for y in (74, 329)]
    body += [_rect(204, y, 24, 66, INK, round_=6) for y in (74, 329)]
    body += [
        _path("M30 190Q12 184 10 196Q12 204 30 200ZM210 190Q228 184 230 196Q228 204 210 200Z",
              FILL),
        _path("M64 16Q120 4 176 16Q206 24 208 66L212 230L209 396Q206 438 178 446Q120 454 62 446"
              "Q34 438 31 396L28 230L32 66Q34 24 64 16Z", PAPER),
        _path("M46 58Q50 30 72 26L78 34Q62 40 58 60ZM194 58Q190 30 168 26L162 34Q178 40 182 60Z",
              FILL, QUIET),
        _path("M48 420Q54 438 74 440L76 433Q62 430 58 416ZM192 420Q186 438 166 440L164 433Q178 430"
              " 182 416Z", FILL, QUIET),
        _path("M62 48Q66 110 56 158M178 48Q174 110 184 158", stroke=QUIET),
        _path("M42 168Q120 136 198 168L180 212Q120 196 60 212Z", GLASS),
        _path("M62 346Q120 356 178 346L192 384Q120 400 48 384Z", GLASS),
        _path("M37 178L54 216L55 342L41 380ZM203 178L186 216L185 342L199 380Z", GLASS),
        _line(38, 278, 55, 278),
        _line(202, 278, 185, 278),
    ]  # fmt: skip
    fixed = [_point(stop.spot) for stop in stops]
    for stop, (x, y) in zip(stops, fixed, strict=True):
        body.append(_rect(x - 9, y - 9, 18, 18, PAPER, QUIET, 3))
        body.append(_text(x, y + 4.2, stop.letter, 12, colour=QUIET))
    grid = [
        (x / 2, y / 2)
        for x in range(28, int(_CAR_WIDTH) * 2 - 27, 8)
        for y in range(28, int(_CAR_HEIGHT) * 2 - 27, 8)
    ]
    wanted = [_point(mark.spot) for mark in marks]
    places = spread(wanted, fixed, [*wanted, *grid], apart=24, tall=0.98)
    for mark, place in zip(marks, places, strict=True):
        if place is not None:
            body += _badge(mark, place)
    return _svg((_CAR_WIDTH, _CAR_HEIGHT), ident, title, desc, body)


def _badge(mark: Mark, place: Spot) -> list[str]:
    x, y = min(max(place[0], 13), _CAR_WIDTH - 13), min(max(place[1], 13), _CAR_HEIGHT - 13)
    fill, ink = (ALERT, "#ffffff") if mark.fails else ("#ffffff", INK)
    return [
        f'<circle cx="{_n(x)}" cy="{_n(y)}" r="11" fill="{fill}" stroke="{PAPER}" '
        'stroke-width="4"/>',
        f'<circle cx="{_n(x)}" cy="{_n(y)}" r="11" fill="{fill}" '
        f'stroke="{ALERT if mark.fails else INK}"/>',
        _text(x, y + 4.4, str(mark.number), 12.5, colour=ink, weight="bold"),
    ]


# the windscreen -------------------------------------------------------------------------

_SCREEN_COLUMNS = 38


def damage_sides(screen: Screen) -> list[float]:
    """Where on the glass the damage can be, from its left edge; both sides where not told."""
    if screen.offset is None:
        return []
    middle = screen.across * screen.centre / 100
    away = abs(screen.offset[0] + screen.offset[1]) / 2
    return [x for x in sorted({middle - away, middle + away}) if 0 <= x <= screen.across]


def screen_rows(screen: Screen) -> list[str]:
    """The windscreen from inside: the driver's band dotted, the damage as X."""
    last = _SCREEN_COLUMNS - 1

    def column(at: float) -> int:
        return max(0, min(last, round(at / screen.across * last)))

    middle = screen.across * screen.centre / 100
    left, right = column(middle - screen.half), column(middle + screen.half)
    centre = column(middle)
    glass = ["  ." + "-" * (last - 5) + ".  "]
    for row in range(1, 7):
        inset = 1 if row < 4 else 0
        slope = ("/", "\\") if row in (1, 4) else ("|", "|")
        edge = " " * inset + slope[0]
        glass.append(edge + " " * (_SCREEN_COLUMNS - 2 * len(edge)) + slope[1] + " " * inset)
    glass.append("'" + "-" * (last - 1) + "'")
    canvas = _Canvas([*glass, "", "", ""], _SCREEN_COLUMNS)
    canvas.put(1, last // 2 - 3, "[______]")
    for row in range(2, 7):
        canvas.put(row, left, ":" * (right - left + 1))
    wide = 1
    if screen.size is not None:
        wide = max(1, min(last - 3, round(screen.size[1] / screen.across * last)))
    for at in damage_sides(screen):
        first = max(2, min(last - 1 - wide, column(at) - wide // 2))
        canvas.put(4, first, "X" * wide)
    wheel = (".-----.", "(   +   )")
    canvas.put(8, centre - 3, wheel[0])
    canvas.put(9, centre - 4, wheel[1])
    words = f"{screen.half_words} each side"
    canvas.put(10, max(0, min(_SCREEN_COLUMNS - len(words), centre - len(words) // 2)), words)
    return canvas.rows()


def screen_svg(screen: Screen, ident: str, title: str, desc: str) -> str:
    """The windscreen from inside, and under it the size of the damage beside its limits."""
    left, right = 14.0, 386.0
    scale = (right - left) / screen.across
    middle = left + screen.across * screen.centre / 100 * scale
    body = [
        _path("M14 176Q200 190 386 176L356 22Q200 8 44 22Z", GLASS),
        _path("M34 174Q30 96 62 40Q200 24 338 40Q370 96 366 174Q200 186 34 174Z", "#eef4f5", QUIET,
              ' stroke-dasharray="2 4"'),
        _rect(180, 12, 40, 13, FILL, round_=4),
    ]  # fmt: skip
    a, b = max(38.0, middle - screen.half * scale), min(362.0, middle + screen.half * scale)
    body.append(_rect(a, 42, b - a, 132, BAND, "none"))
    body += [_line(x, 42, x, 174, QUIET, "5 3") for x in (a, b)]
    body.append(_line(middle, 30, middle, 184, QUIET, "1 4"))
    sides = damage_sides(screen)
    if screen.offset is not None:
        for at in sides:
            body += _damage(screen, left + at * scale, scale, "?" if len(sides) > 1 else "")
    body += [
        _path(f"M{_n(middle - 42)} 226Q{_n(middle - 40)} 200 {_n(middle)} 200"
              f"Q{_n(middle + 40)} 200 {_n(middle + 42)} 226", more=' stroke-width="5"'),
        _line(a, 188, b, 188),
        _path(f"M{_n(a + 5)} 185L{_n(a)} 188L{_n(a + 5)} 191M{_n(b - 5)} 185L{_n(b)} 188"
              f"L{_n(b - 5)} 191"),
        _text(a - 8 if a > 150 else b + 8, 202, f"{screen.half_words} each side", 12,
              "end" if a > 150 else "start"),
    ]  # fmt: skip
    height = 228.0
    if screen.size is not None:
        height = 306.0
        body.append(_text(left, 250, screen.size_words, 12, "start", weight="bold"))
        body += _ruler(screen.size, screen.limits, 262, (left, right))
    return _svg((400, height), ident, title, desc, body)


def _damage(screen: Screen, x: float, scale: float, tail: str) -> list[str]:
    """A star at the damage; a bar where its distance is only roughly known."""
    assert screen.offset is not None
    reach = (screen.offset[1] - screen.offset[0]) / 2 * scale
    radius = max(6.0, min(40.0, (screen.size[1] if screen.size else 0) / 2 * scale))
    rays = "".join(
        f"M{_n(x)} 100L{_n(x + radius * math.cos(a))} {_n(100 + radius * math.sin(a))}"
        for a in (0.2, 1.1, 2.3, 3.2, 4.0, 5.3)
    )
    drawn = [_path(rays, stroke=ALERT, more=' stroke-width="2.2"')]
    if reach > 1:
        drawn.append(_line(x - reach, 100 + radius + 5, x + reach, 100 + radius + 5, ALERT))
    if tail:
        drawn.append(_text(x, 94 - radius, tail, 14, "middle", ALERT, "bold"))
    return drawn


def _ruler(
    size: Span, limits: Sequence[LimitLine], y: float, ends: tuple[float, float]
) -> list[str]:
    """The size as a bar from nought, with a line at each limit."""
    top = max([size[1], *(limit.value for limit in limits)]) * 1.15 or 1.0
    left, right = ends

    def at(value: float) -> float:
        return left + min(value, top) / top * (right - left)

    drawn = [_rect(left, y, right - left, 14, "none", QUIET)]
    drawn.append(_rect(left, y, max(2, at(size[1]) - left), 14, BAND, ALERT))
    if size[0] < size[1]:
        drawn.append(_rect(left, y, max(2, at(size[0]) - left), 14, ALERT, ALERT))
    else:
        drawn.append(_rect(left, y, max(2, at(size[1]) - left), 14, ALERT, ALERT))
    used = -100.0
    for limit in sorted(limits, key=lambda one: one.value):
        x = at(limit.value)
        drawn.append(_line(x, y - 6, x, y + 20, INK))
        place = max(x, used + 56)
        used = place
        anchor = "end" if place > right - 20 else "middle"
        drawn.append(_text(min(place, right), y + 34, limit.words, 12, anchor))
    return drawn


# a tyre ---------------------------------------------------------------------------------

_TREAD_COLUMNS = 36
_GROOVES = (0.24, 0.41, 0.59, 0.76)
_RUBBER, _PERHAPS = "#4a4843", "#bdb8ac"


def tread_rows(tread: Tread) -> list[str]:
    """A tyre across its width: which part is measured, and which is left out."""
    width = _TREAD_COLUMNS
    edge = round(width * (1 - tread.central / 100) / 2)
    canvas = _Canvas([""] * 9, width)
    for row in range(2, 6):
        canvas.put(row, 0, "#" * width)
    for groove in _GROOVES:
        middle = round(groove * (width - 1))
        canvas.put(1, middle, "v")
        for row in (2, 3, 4):
            canvas.put(row, middle - 1, "   ")
    label = "gauge in these grooves"
    canvas.put(0, (width - len(label)) // 2, label)
    if edge:
        canvas.put(6, 0, "-" * edge + "|<" + "-" * (width - 2 * edge - 4) + ">|" + "-" * edge)
        canvas.put(7, 0, "no")
        canvas.put(7, width - 2, "no")
    words = f"the middle {tread.central:g}%"
    canvas.put(7, (width - len(words)) // 2, words)
    left, right = tread.ends
    canvas.put(8, 0, left[:12])
    canvas.put(8, width - len(right[:12]), right[:12])
    return canvas.rows()


def tread_svg(tread: Tread, ident: str, title: str, desc: str) -> str:
    """A tyre across its width with its depths, and a line at each limit, to one scale."""
    left, right, floor = 8.0, 208.0, 116.0
    deepest = max([8, *(d.span[1] for d in tread.depths), *(line.value for line in tread.limits)])
    scale = 88 / deepest
    width = right - left
    edge = width * (1 - tread.central / 100) / 2
    body = [
        _path(f"M{left:g} {floor:g}H{right:g}V{floor + 12:g}Q{right:g} {floor + 24:g} "
              f"{right - 14:g} {floor + 24:g}H{left + 14:g}Q{left:g} {floor + 24:g} {left:g} "
              f"{floor + 12:g}Z", _RUBBER, "none"),
    ]  # fmt: skip
    if tread.depths:
        cuts = [0.0, *_GROOVES, 1.0]
        for index in range(len(cuts) - 1):
            first = cuts[index] + (0.035 if index else 0)
            last = cuts[index + 1] - (0.035 if index < len(_GROOVES) else 0)
            for end, colour in ((1, _PERHAPS), (0, _RUBBER)):
                tops = _profile(tread.depths, end, first, last)
                corners = "".join(
                    f"L{_n(left + x * width)} {_n(floor - depth * scale)}" for x, depth in tops
                )
                body.append(
                    _path(f"M{_n(left + first * width)} {floor + 0.5:g}{corners}"
                          f"L{_n(left + last * width)} {floor + 0.5:g}Z", colour, "none")
                )  # fmt: skip
    a, b = left + edge, right - edge
    for x in (a, b):
        body.append(_line(x, floor - 98, x, floor, QUIET, "2 3"))
    body += [
        _line(a, floor - 98, b, floor - 98, QUIET),
        _path(f"M{_n(a + 5)} {floor - 101:g}L{_n(a)} {floor - 98:g}L{_n(a + 5)} {floor - 95:g}"
              f"M{_n(b - 5)} {floor - 101:g}L{_n(b)} {floor - 98:g}L{_n(b - 5)} {floor - 95:g}",
              stroke=QUIET),
        _text((a + b) / 2, floor - 103, f"the middle {tread.central:g}%", 11, colour=QUIET),
    ]  # fmt: skip
    used = floor + 14
    lines = [*tread.limits, *([tread.lowest] if tread.lowest else [])]
    for line in lines:
        y = floor - line.value * scale
        body.append(_path(f"M{_n(a)} {_n(y)}H{_n(b)}", stroke=PAPER, more=' stroke-width="4"'))
    for line in sorted(lines, key=lambda one: one.value):
        y = floor - line.value * scale
        colour = INK if line is tread.lowest else QUIET if line.advice else ALERT
        dash = "1 3" if line is tread.lowest else "4 3" if line.advice else ""
        body.append(_line(a, y, right + 4, y, colour, dash))
        used = min(y + 4, used - 12)
        body.append(_text(right + 8, used, line.words, 12, "start", colour))
    for depth in tread.depths:
        x = left + depth.at / 100 * width
        body.append(_text(x, floor + 17, depth.words, 12, colour=PAPER, weight="bold"))
    if len(tread.depths) > 1:
        body.append(_text(left, floor + 37, tread.ends[0], 11, "start", QUIET))
        body.append(_text(right, floor + 37, tread.ends[1], 11, "end", QUIET))
    return _svg((262, 156), ident, title, desc, body)


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
