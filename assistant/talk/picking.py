"""Which of the nearest symptoms was meant: one of them, several at once, or none."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from assistant.choosing.agenda import Prompt
from assistant.journal.entries import Answer, Entry, Picked, Worry
from assistant.reading.result import Unclear
from assistant.reading.text import spoken
from assistant.reading.understand import understand
from assistant.report.lines import Line
from assistant.report.prompts import pick_question
from assistant.ruleset.ruleset import told

if TYPE_CHECKING:
    from assistant.talk.talk import Talk


_BOTH = re.compile(r"(?:it is )?(?:both|the both|both of (?:them|these|those))")
_NUMBERS = re.compile(r"(?:numbers? )?[0-9]+(?:\s*(?:and|,|&|[+]|/|then)\s*[0-9]+)+")


def take_pick(talk: Talk, prompt: Prompt, words: str) -> list[Entry] | None:
    """The entries for a pick, or None after saying what was not clear."""
    from assistant.talk.answering import confirmed, unclear

    assert prompt.worry is not None
    several = _several(prompt.worry, words)
    if several is not None:
        if not several:
            talk.say(Line("text", "Which of them? Type their numbers, like this: 1 and 2."))
            return None
        return _picked(talk, prompt.worry, several, words)
    today = talk.now.state.context.today
    heard = understand(words, pick_question(talk.ruleset, prompt.worry), today=today)
    if isinstance(heard, Unclear):
        unclear(talk, heard)
        return None
    if not confirmed(talk, heard):
        return None
    word = heard.answer.word
    if word in talk.ruleset.symptoms:
        return _picked(talk, prompt.worry, [str(word)], words)
    talk.say(Line("aside", "Then it goes on the sheet in your words. To try other words, "
                           "type: worry, and the words."))  # fmt: skip
    turn = talk.next_turn()
    return [Picked(turn=turn, of=prompt.worry.turn, words=words[:2000], when=talk.clock())]


def _several(worry: Worry, words: str) -> list[str] | None:
    """The symptoms that "1 and 2" or "both" pick; none where "both" is not clear; else None."""
    plain = spoken(words).strip(" .!")
    if _BOTH.fullmatch(plain):
        return list(worry.offered) if len(worry.offered) == 2 else []
    if not _NUMBERS.fullmatch(plain):
        return None
    numbers = [int(number) for number in re.findall(r"[0-9]+", plain)]
    if not all(1 <= number <= len(worry.offered) for number in numbers):
        return []
    return [worry.offered[number - 1] for number in dict.fromkeys(numbers)]


def _picked(talk: Talk, worry: Worry, symptoms: list[str], words: str) -> list[Entry]:
    """The entries for what was picked: the second and third are worries of that same turn."""
    turn, when = talk.next_turn(), talk.clock()
    entries: list[Entry] = []
    for index, symptom in enumerate(symptoms):
        of = worry.turn if not index else turn + index - 1
        if index:
            entries.append(Worry(turn=of, words=worry.words, offered=(symptom,), when=when))
        own = turn if not index else of
        entries.append(talk.said(own, told(symptom), "", Answer(word="yes"), worry.words))
        entries.append(Picked(turn=own, of=of, symptom=symptom, words=words[:2000], when=when))
    return entries
