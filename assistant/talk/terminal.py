"""The rich terminal: colour and line editing for a person at a keyboard.

What can be typed completes with the tab key: the choices on the screen, and the commands. A quiet
line at the bottom says where we are and what else can be said. prompt_toolkit reads the line
(paste, arrows, Ctrl-C drops the line, Ctrl-D leaves); rich prints between prompts. Nothing else is
redrawn, so scrolling back always shows the whole talk.
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


COMMANDS = ("help", "how", "why", "back", "found", "stop")
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
        self._place = ""
        self._choices: list[str] = []

    def show(self, lines: list[Line]) -> None:
        width = min(80, self._console.width) - 1
        for line in lines:
            if line.kind == "place":
                self._place = line.text
            if line.kind == "question":
                self._choices = []
            if line.kind == "choice":
                self._choices.append(line.text.partition(". ")[2])
            for row in wrapped(line, width):
                self._console.print(Text(row, style=STYLE.get(line.kind, "")), crop=False)

    def get_ready(self) -> None:
        self._reader()

    def _reader(self) -> PromptSession[str]:
        if self._session is None:
            from prompt_toolkit import PromptSession  # loaded while the first question is read
            from prompt_toolkit.history import InMemoryHistory
            from prompt_toolkit.shortcuts import CompleteStyle
            from prompt_toolkit.styles import Style

            self._session = PromptSession(
                history=InMemoryHistory(),
                complete_while_typing=False,
                complete_style=CompleteStyle.READLINE_LIKE,
                reserve_space_for_menu=0,
                style=Style.from_dict({"bottom-toolbar": "noreverse"}),
            )
        return self._session

    def ask(self, prompt: str) -> str:
        session = self._reader()
        from prompt_toolkit.completion import WordCompleter
        from prompt_toolkit.formatted_text import FormattedText

        words = [*self._choices, *COMMANDS]
        try:
            return session.prompt(
                FormattedText([("bold", prompt)]),
                key_bindings=_no_mouse(),
                completer=WordCompleter(words, ignore_case=True, sentence=True),
                bottom_toolbar=self._bottom(),
            )
        except KeyboardInterrupt:
            self.show([TO_LEAVE])
            return ""
        except EOFError as error:
            raise Left from error

    def _bottom(self) -> str:
        """Where we are and what can be said, as far as one line holds it."""
        said = ", ".join(COMMANDS)
        for text in (f"{self._place} - {said}" if self._place else said, said):
            if len(text) < self._console.width:
                return text
        return ""
