"""The rich terminal: colour and line editing for a person at a keyboard.

What can be typed completes with the tab key: the choices on the screen, and the commands. A quiet
line at the bottom says where we are and what else can be said. A long answer stops at the end of
each screen; a question never does. prompt_toolkit reads the line (paste, arrows, Ctrl-C drops the
line, Ctrl-D leaves); rich prints between prompts. Nothing else is redrawn, so scrolling back always
shows the whole talk.
"""

from __future__ import annotations

import re
from functools import cache
from typing import TYPE_CHECKING

from rich.console import Console
from rich.text import Text

from assistant.report.lines import Line
from assistant.talk.asking import TO_LEAVE, Left, wrapped

if TYPE_CHECKING:
    from prompt_toolkit import PromptSession
    from prompt_toolkit.key_binding import KeyBindings


MORE = "More: Enter. To leave it out: q > "
COMMANDS = ("help", "how", "why", "back", "found", "stop")
_IN_FULL = re.compile(r"first round: |questions? ?|about |short | first, .*|, \d+ left out")
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
        self._ahead = ""

    def show(self, lines: list[Line]) -> None:
        width = min(80, self._console.width) - 1
        rows: list[Text] = []
        for line in lines:
            if line.kind == "place":
                self._place = line.text
            if line.kind == "question":
                self._choices = []
            if line.kind == "choice":
                self._choices.append(line.text.partition(". ")[2])
            rows += [Text(row, STYLE.get(line.kind, "")) for row in wrapped(line, width)]
        if any(line.kind == "question" for line in lines):
            self._print(rows)
        else:
            self._print_by_screens(rows)

    def _print(self, rows: list[Text]) -> None:
        for row in rows:
            self._console.print(row, crop=False)

    def _print_by_screens(self, rows: list[Text]) -> None:
        """What is longer than the screen stops at the end of each. Words typed there are read by
        what asks next, and the rest is then shown; so is a danger, whatever is typed."""
        most = self._console.height - 2
        while self._console.is_terminal and len(rows) > most + 1:
            self._print(rows[:most])
            rows = rows[most:]
            typed = self._read(MORE)
            danger = any(row.style == STYLE["danger"] for row in rows)
            if typed.strip().lower() == "q" and not danger:
                return
            if typed.strip() and typed.strip().lower() != "q":
                self._ahead = typed
                break
        self._print(rows)

    def _read(self, prompt: str) -> str:
        """A line typed at a stop; nothing at the end of input, which the next question sees too."""
        try:
            return self._reader().prompt(prompt, completer=None, bottom_toolbar="")
        except (KeyboardInterrupt, EOFError):
            return ""

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
        ahead, self._ahead = self._ahead, ""
        if ahead:
            return ahead
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
        """Where we are, how far, and what can be said, as far as one line holds it."""
        said, few = ", ".join(COMMANDS), ", ".join(COMMANDS[:2] + COMMANDS[-1:])
        place, _, left = self._place.partition(" - ")
        left = _IN_FULL.sub("", left).replace("minute", "min").replace("mins", "min").strip()
        left = f"{left} left" if left.isdigit() else left
        whole, short = f"{place} - {left}", place
        texts = [f"{where} - {how}" for how in (said, few) for where in (whole, short) if place]
        return next((text for text in (*texts, said) if len(text) < self._console.width), "")
