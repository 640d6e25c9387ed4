"""Plain line drawings: the car from above, the windscreen from inside, a tyre across.

Pure functions from plain data to ASCII rows, for a terminal; svg.py draws the same for the sheet.
The figures come from the ruleset and from the answers; only the shape of things stands here.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

Spot = tuple[float, float]
Span = tuple[float, float]


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


# a tyre ---------------------------------------------------------------------------------

_TREAD_COLUMNS = 36
GROOVES = (0.24, 0.41, 0.59, 0.76)


def tread_rows(tread: Tread) -> list[str]:
    """A tyre across its width: which part is measured, and which is left out."""
    width = _TREAD_COLUMNS
    edge = round(width * (1 - tread.central / 100) / 2)
    canvas = _Canvas([""] * 9, width)
    for row in range(2, 6):
        canvas.put(row, 0, "#" * width)
    for groove in GROOVES:
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
