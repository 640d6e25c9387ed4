"""The rich terminal: colour and line editing for a person at a keyboard.

prompt_toolkit reads the line (paste, arrows, Ctrl-C drops the line, Ctrl-D leaves); rich
prints between prompts. Nothing is redrawn, so scrolling back always shows the whole talk.
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

from rich.console import Console
from rich.text import Text

from assistant.report.lines import Line
from assistant.talk.asking import TO_LEAVE, Left, wrapped

if TYPE_CHECKING:
    from prompt_toolkit import PromptSession
    from prompt_toolkit.key_binding import KeyBindings


STYLE = {
    "title": "bold",
    "place": "bold cyan",
    "question": "bold",
    "hint": "dim",
    "aside": "dim",
    "caution": "yellow",
    "heard": "green",
    "found": "bold yellow",
    "danger": "bold white on red",
}


@cache
def _no_mouse() -> KeyBindings:
    """Keys that do nothing: colour codes typed in look like a mouse, which is never asked for."""
    from prompt_toolkit.key_binding import KeyBindings
    from prompt_toolkit.keys import Keys

    keys = KeyBindings()
    for key in ((Keys.Vt100MouseEvent,), (Keys.Escape, "[", "m")):
        keys.add(*key)(lambda event: None)
    return keys


class TerminalAsker:
    """Talks through prompt_toolkit and rich."""

    def __init__(
        self, console: Console | None = None, session: PromptSession[str] | None = None
    ) -> None:
        self._console = console or Console(highlight=False, soft_wrap=False)
        self._session = session

    def show(self, lines: list[Line]) -> None:
        width = min(80, self._console.width) - 1
        for line in lines:
            for row in wrapped(line, width):
                self._console.print(Text(row, style=STYLE.get(line.kind, "")), crop=False)

    def get_ready(self) -> None:
        self._reader()

    def _reader(self) -> PromptSession[str]:
        if self._session is None:
            from prompt_toolkit import PromptSession  # loaded while the first question is read
            from prompt_toolkit.history import InMemoryHistory

            self._session = PromptSession(history=InMemoryHistory())
        return self._session

    def ask(self, prompt: str) -> str:
        session = self._reader()
        from prompt_toolkit.formatted_text import FormattedText

        try:
            return session.prompt(FormattedText([("bold", prompt)]), key_bindings=_no_mouse())
        except KeyboardInterrupt:
            self.show([TO_LEAVE])
            return ""
        except EOFError as error:
            raise Left from error
