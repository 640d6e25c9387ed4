"""What a person can say at every prompt that is no answer: help, why, back, what if, stop.

Only clear forms count, and a choice of the question in hand always comes first, so that no
command can eat an answer. "Don't know" and "can't look" are answers.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from rapidfuzz import distance, fuzz

from assistant.reading.command_words import Command
from assistant.reading.forms import form_lists, forms
from assistant.reading.phrasebook import book_of, exact_choice
from assistant.reading.refusals import refusal
from assistant.reading.text import clean, near, spoken
from assistant.ruleset.models import Question
from assistant.ruleset.ruleset import Ruleset


@dataclass(frozen=True)
class CommandHeard:
    """A command, and the words after it as they were typed."""

    command: Command
    rest: str = ""


_LEAD = r"(?:(?:and|but|so|then|ok(?:ay)?|please)[ ,]+)*"
_END = r"(?:[^\w)]|(?<!\w)\))*"  # but not the bracket that closes the number of an item


def _with_thing(
    kind: str, commands: Iterable[Command], lead: str = "", end: str = ""
) -> list[tuple[Command, re.Pattern[str]]]:
    return [
        (command, re.compile(lead + form + end, re.IGNORECASE))
        for command in commands
        for form in form_lists("commands")[f"{command.name.lower()}_{kind}"]
    ]


def _words(kind: str) -> dict[str, Command]:
    lists = form_lists("commands")
    return {
        word: command
        for command in Command
        for word in lists.get(f"{command.name.lower()}_{kind}", ())
    }


_CLEAR = {
    Command[name.upper()]: re.compile(pattern)
    for name, pattern in forms("commands").items()
    if name.upper() in Command.__members__
}
_ABOUT = _with_thing("about", (Command.WHYNOT, Command.CHANGES, Command.CAME), _LEAD, _END)
"""What is asked about something named; looked at before the shorter forms."""
_WITH_REST = _with_thing(
    "rest", (Command.WORRY, Command.WHATIF, Command.WRONG, Command.MENDED, Command.MEANS)
)
_TERM = [re.compile(form, re.IGNORECASE) for form in form_lists("commands")["term"]]
_LONG_WORDS = _words("long")
_SHORT_WORDS = _words("short")
_PHRASES = _words("phrases")
_FORMS = forms("commands")
_POLITE_BEFORE = re.compile(_FORMS["polite_before"])
_POLITE_AFTER = re.compile(_FORMS["polite_after"])


def command_of(words: str, question: Question | None = None) -> CommandHeard | None:
    """The command that the words are, if they are one; never for a choice of the question."""
    words = clean(words)
    if not words or (question and _is_answer(words, question)):
        return None
    note = question is not None and question.kind == "note"
    text = spoken(words)
    bare = text.strip(" .!,;") if set(text) <= set("?! ") else text.strip(" .!,;?")
    bare = "?" if set(text) <= set("? ") else bare
    bare = _POLITE_AFTER.sub("", bare).strip(" .!,;?") or bare
    shorter = _POLITE_BEFORE.sub("", bare).strip(" .!,;") or bare
    if len(bare) <= 120:
        for command, pattern in _CLEAR.items():
            if command is Command.WHY and any(about.fullmatch(words) for _, about in _ABOUT):
                continue
            if (
                note
                and command is Command.WHY
                and not {"ask", "matter", "point"} & set(bare.split())
                and bare.count(" ") > 2
            ):
                continue
            if pattern.fullmatch(bare) or pattern.fullmatch(shorter):
                return CommandHeard(command)
    if (spoken_of := _in_clauses(text, every=note)) is not None:
        return CommandHeard(spoken_of)
    typed = words.translate(str.maketrans("’‘", "''"))
    for command, about in _ABOUT:
        if found := about.fullmatch(typed):
            return CommandHeard(command, found["rest"].replace('"', "").strip(" .?!"))
    for command, rest_pattern in _WITH_REST:
        if note and command not in (Command.WHATIF, Command.WORRY):
            continue
        found = rest_pattern.fullmatch(typed)
        if found and not (command is Command.MENDED and _is_question(typed)):
            return CommandHeard(command, found["rest"].replace('"', "").strip(" .?!"))
    return None if note else _near_command(shorter, question)


def term_asked(words: str, ruleset: Ruleset) -> str | None:
    """The word of the glossary that is asked about, if one is: "what's a wishbone"."""
    heard = command_of(words)
    asked = heard.rest if heard is not None and heard.command is Command.MEANS else ""
    said = spoken(asked or words).strip(" .!?")
    forms_of = [found["rest"] for form in _TERM if (found := form.fullmatch(said))]
    looked_for = [_plain(way) for way in (*forms_of, asked) if way]
    if not looked_for:
        return None
    names = {
        _plain(way): word for word, term in ruleset.glossary.items() for way in (word, *term.also)
    }
    same = [names[way] for way in looked_for if way in names]
    close = {names[name] for way in looked_for for name in names if near(way, name)}
    return same[0] if same else close.pop() if len(close) == 1 else None


def _plain(word: str) -> str:
    """A word as it is looked up: small, without hyphens, one of them."""
    return " ".join(re.findall(r"[a-z0-9]+", word.casefold())).removesuffix("s")


_CLAUSES = re.compile(r"\s*(?:[,;.!?]+|\band\b)\s*")


def _in_clauses(text: str, every: bool) -> Command | None:
    """The first command of several clauses of which the others say nothing: "I'm stuck, what can
    I type". every: they have to be commands too, as where any words are an answer."""
    clauses = [part for part in _CLAUSES.split(text.strip(" .!?")) if part]
    if not 1 < len(clauses) < 4 or re.search(r"[0-9]", text):
        return None
    heard = {part: _clear(part) for part in clauses}
    known = [command for part, command in heard.items() if command and " " in part]
    others = [part for part, command in heard.items() if command is None]
    if not known or (every and others):
        return None
    if any(part.count(" ") > 4 or refusal(part) for part in others):
        return None
    return known[0]


def _clear(text: str) -> Command | None:
    return next((command for command, form in _CLEAR.items() if form.fullmatch(text)), None)


def _is_question(words: str) -> bool:
    return words.rstrip().endswith("?") or words.casefold().startswith(("is ", "has ", "was "))


def _is_answer(words: str, question: Question) -> bool:
    if question.choices:
        return exact_choice(words, question) is not None
    plain = words.casefold().strip(" .!")
    return question.kind == "yes_no" and plain in ("correct", "no more", "how so", "so")


def _near_command(text: str, question: Question | None) -> CommandHeard | None:
    """A command with a slip of the finger: two letters changed round, or a long word misspelt."""
    if not 4 <= len(text) <= 40 or re.search(r"[0-9]", text) or refusal(text):
        return None
    if question and max(book_of(question).spelling(text.replace(" ", "")), default=0) >= 80:
        return None
    if " " not in text:
        for word, command in _SHORT_WORDS.items():
            if sorted(word) == sorted(text) and distance.OSA.distance(word, text) == 1:
                return CommandHeard(command)
        for word, command in _LONG_WORDS.items():
            if distance.OSA.distance(word, text, score_cutoff=1) <= 1:
                return CommandHeard(command)
        return None
    for phrase, command in _PHRASES.items():
        same_length = phrase.count(" ") == text.count(" ")
        if same_length and fuzz.ratio(phrase, text) >= 80 and _one_slip_each(phrase, text):
            return CommandHeard(command)
    return None


def _one_slip_each(phrase: str, text: str) -> bool:
    """Every word is the same but for one slip, and short words have at most letters swapped."""
    for word, other in zip(phrase.split(), text.split(), strict=True):
        swapped = sorted(word) == sorted(other) and distance.OSA.distance(word, other) == 1
        slip = len(word) > 3 and distance.OSA.distance(word, other, score_cutoff=1) <= 1
        if word != other and not swapped and not slip:
            return False
    return True
