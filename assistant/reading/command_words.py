"""What is no answer, but a command: help, back, again, stop."""

from __future__ import annotations

from enum import StrEnum


class Command(StrEnum):
    """What is asked for instead of answering."""

    HELP = "help"
    AGAIN = "again"
    MEANS = "means"
    HOW = "how"
    WHY = "why"
    BACK = "back"
    REDO = "redo"
    WRONG = "wrong"
    MENDED = "mended"
    FOUND = "found"
    WHATIF = "what if"
    CARD = "card"
    WORRY = "worry"
    WHYNOT = "why not"
    CHANGES = "what would change it"
    CAME = "how did you get there"
    GO_ON = "go on"
    COOLED = "it has cooled"
    DRIVE = "can I drive it"
    LEFT = "what is left"
    STOP = "stop"
