"""How much fits on the screen, and whether it is cleared between screens."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from dataclasses import dataclass

from assistant.report.lines import Line
from assistant.talk.asking import Asker, wrapped

NARROW = 60
"""Below this width things stand under each other, not side by side."""
_WIDEST = 80


@dataclass(frozen=True)
class Look:
    """The screen. width: columns a row may have. height: rows for one screen, or None.

    plain: for a screen reader or a pipe: nothing side by side, nothing cut short to fit.
    clear: empties a real terminal, or None.
    """

    width: int = _WIDEST - 1
    height: int | None = None
    plain: bool = False
    clear: Callable[[], None] | None = None

    @property
    def narrow(self) -> bool:
        return self.width < NARROW

    @property
    def side_by_side(self) -> bool:
        return not self.narrow and not self.plain

    def rows(self, lines: list[Line]) -> int:
        """How many rows the lines take."""
        return sum(len(wrapped(line, self.width)) for line in lines)

    def fits(self, lines: list[Line]) -> bool:
        return self.height is None or self.rows(lines) <= self.height

    def pages(self, lines: list[Line]) -> list[list[Line]]:
        """The lines in screens; one page where nothing limits the height."""
        if self.height is None:
            return [lines]
        pages: list[list[Line]] = [[]]
        left = self.height
        for line in lines:
            rows = len(wrapped(line, self.width))
            if rows > left and pages[-1]:
                pages.append([])
                left = self.height
            pages[-1].append(line)
            left -= rows
        return pages


def clip(text: str, look: Look, indent: int = 2, rows: int = 1) -> str:
    """A text cut to so many rows, for a wide screen of limited height; else the whole of it."""
    most = look.width - indent if rows == 1 else rows * (look.width - indent - 8)
    if look.height is None or look.narrow or len(text) <= most:
        return text
    return text[: most - 3].rstrip() + "..."


def look_for(asker: Asker) -> Callable[[], Look]:
    """The look of an asker: of a real terminal anew each time, since windows are resized."""
    from assistant.talk.asking import PlainAsker

    if isinstance(asker, PlainAsker):
        return lambda: Look(_columns(), plain=True)

    def terminal() -> Look:
        size = shutil.get_terminal_size((80, 24))
        return Look(_columns(), max(10, size.lines - 3), clear=_clear)

    return terminal


def _columns() -> int:
    return max(20, min(_WIDEST, shutil.get_terminal_size((80, 24)).columns) - 1)


def _clear() -> None:
    """Empties the terminal; the same whether there is colour or not."""
    from rich.console import Console

    Console().clear()
