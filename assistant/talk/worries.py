"""What worries the person, in their own words: dangers first, then the nearest symptoms to pick.

The words are kept as they were said. Nothing is picked for anybody: without a pick they go on the
sheet as they are.
"""

from __future__ import annotations

import datetime as dt
import re
from typing import TYPE_CHECKING

from assistant.choosing.agenda import Prompt
from assistant.journal.entries import Answer, Entry, Picked, Said, Worry
from assistant.reading.command_words import Command
from assistant.reading.commands import command_of
from assistant.reading.danger_words import ask_first_in, dangers_told, plainly_comfort
from assistant.reading.matching import Match, Matcher
from assistant.reading.result import Unclear
from assistant.reading.text import clean, spoken
from assistant.reading.understand import understand
from assistant.report.drive import IF_IT_CHANGES
from assistant.report.lines import Line
from assistant.report.prompts import pick_question
from assistant.ruleset.ruleset import Ruleset, made_once, told
from assistant.talk.asking import Left
from assistant.talk.choosing import YES_OR_NO
from assistant.talk.confirming import confirmed, unclear

if TYPE_CHECKING:
    from assistant.talk.talk import Talk


OFFERED = 3
MOST_APART = 3
_APART = re.compile(r"(?:,|;|\band\b|\balso\b|\bplus\b|\.(?=\s))+", re.IGNORECASE)
_BOTH = re.compile(r"(?:it is )?(?:both|the both|both of (?:them|these|those))")
_NUMBERS = re.compile(r"(?:numbers? )?[0-9]+(?:\s*(?:and|,|&|[+]|/|then)\s*[0-9]+)+")
CLEAR_SCORE = 24.0
"""From this score on, words that are no answer are taken for a worry, and asked about.

Ours, assumed."""


def nearest(ruleset: Ruleset, words: str) -> list[Match]:
    """The symptoms the words come nearest to, at most three, best first."""
    return _matcher(ruleset).nearest(words, OFFERED)


@made_once
def _matcher(ruleset: Ruleset) -> Matcher:
    words = ruleset.words
    if words is None:
        return Matcher({})
    says = {name: symptom.say for name, symptom in ruleset.symptoms.items()}
    phrases = {name: [says[name], *ways] for name, ways in words.words.items()}
    return Matcher(phrases, words.same, words.idle)


def dangers_in(ruleset: Ruleset, words: str) -> tuple[str, ...]:
    """The dangers that the words tell, and then what they only might mean."""
    return (*dangers_told(ruleset, words), *ask_first_in(ruleset, words))


def no_worry(ruleset: Ruleset, words: str) -> bool:
    """Whether the words say that nothing worries the person, or that they cannot say."""
    plain = spoken(words).strip(" .!,;")
    phrases = ruleset.words.nothing if ruleset.words else []
    said = {" ".join(_letters(spoken(phrase))) for phrase in phrases}
    empty = {"no", "n", *(word for phrase in said for word in phrase.split())}
    typed = _letters(plain)
    if set(typed) <= empty and _says_nothing(typed, said):
        return True
    if plain.count(" ") > 3 or dangers_in(ruleset, words):
        return False
    heard = understand(words, YES_OR_NO, today=dt.date.min)
    return not isinstance(heard, Unclear) and heard.answer.state != "value"


def _letters(plain: str) -> list[str]:
    return re.findall(r"[a-z']+", plain)


def _says_nothing(typed: list[str], said: set[str]) -> bool:
    """Whether it begins with no, or one of the phrases for it is in there."""
    text = f" {' '.join(typed)} "
    return typed[:1] in ([], ["no"], ["n"]) or any(f" {phrase} " in text for phrase in said)


def only_yes(words: str) -> bool:
    """Whether somebody has a worry, and has not said which."""
    heard = understand(words, YES_OR_NO, today=dt.date.min)
    return not isinstance(heard, Unclear) and heard.answer.word == "yes" and words.count(" ") < 3


def sounds_like_worry(ruleset: Ruleset, words: str) -> bool:
    """Whether words that are no answer come near enough to a symptom to ask about it."""
    if ruleset.words is None or words.count(" ") < 1:
        return False
    found = nearest(ruleset, words)
    return bool(found) and (found[0].score >= CLEAR_SCORE or bool(dangers_in(ruleset, words)))


def take_worry(talk: Talk, words: str, also: list[Entry]) -> None:
    """Keeps a worry, and says at once what to do if it is a danger."""
    rs = talk.ruleset
    if only_yes(words):
        words = _asked_which(talk)
        also = [_in_words(entry, words) for entry in also]
        if not words or no_worry(rs, words):
            talk.keep(also)
            return
    entries = worry_entries(rs, words, talk.next_turn(), talk.clock())
    may_be = rs.words.ask_first if rs.words is not None else {}
    talk.say(*(Line("caution", may_be[name].say) for name in ask_first_in(rs, words)))
    talk.keep([*also, *entries])
    if any(isinstance(entry, Picked) for entry in entries):
        comfort = all(entry.comfort for entry in entries if isinstance(entry, Worry))
        talk.say(Line("aside", "I know nothing that sounds like that. It goes on the sheet in "
                               "your words, for a garage to look at."))  # fmt: skip
        if not comfort:
            talk.say(Line("text", IF_IT_CHANGES))


def _asked_which(talk: Talk) -> str:
    """What worries somebody who said only that something does."""
    talk.say(Line("question", "What worries you? Say it in your own words."))
    words = clean(talk.ask("> "))
    heard = command_of(words)
    if heard is not None and heard.command is Command.STOP:
        raise Left
    return "" if heard is not None and heard.command is Command.BACK else words


def _in_words(entry: Entry, words: str) -> Entry:
    """An answer in the words that came of asking once more."""
    if not isinstance(entry, Said):
        return entry
    text = entry.answer.model_copy(update={"text": words or "no"})
    return entry.model_copy(update={"answer": text, "words": words or "no"})


def worry_entries(
    ruleset: Ruleset, words: str, turn: int, when: str | None = None, harmless: bool = False
) -> list[Worry | Picked]:
    """A worry with what it could be; placed as nothing known where nothing comes near.

    harmless: it was said to be no danger; what it only might be is asked first all the same.
    Two things told at once are two worries, each of its own turn.
    """
    entries: list[Worry | Picked] = []
    for index, told_of in enumerate(told_apart(ruleset, words)):
        dangers = (ask_first_in if harmless else dangers_in)(ruleset, told_of)
        offered = tuple(match.name for match in nearest(ruleset, told_of))
        of = turn + index
        comfort = plainly_comfort(ruleset, told_of) or None
        entries.append(
            Worry(
                turn=of,
                words=told_of[:2000],
                dangers=dangers,
                offered=offered,
                comfort=comfort,
                when=when,
            )
        )
        if not offered:
            entries.append(Picked(turn=of, of=of, when=when))
    return entries


def told_apart(ruleset: Ruleset, words: str) -> list[str]:
    """The things that are told in one go, each in its own words; most often one.

    They are apart where each part names a symptom clearly, and another one than the part before,
    and no danger is told only by all of them together.
    """
    if plainly_comfort(ruleset, words):
        return [words]
    parts = [part.strip(" ,.;") for part in _APART.split(words)]
    best = [nearest(ruleset, part)[:1] for part in parts]
    clear = [bool(found) and found[0].score >= CLEAR_SCORE for found in best]
    names = {found[0].name for found in best if found}
    told = {name for part in parts for name in dangers_told(ruleset, part)}
    whole = told.issuperset(dangers_told(ruleset, words))
    if len(parts) > 1 and all(clear) and len(names) == len(parts) <= MOST_APART and whole:
        return parts
    return [words]


def take_pick(talk: Talk, prompt: Prompt, words: str) -> list[Entry] | None:
    """The entries for a pick, or None after saying what was not clear."""
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
    talk.say(Line("aside", "Then it goes on the sheet in your words, for a garage to look at. "
                           "To try other words, type: worry, and the words."))  # fmt: skip
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
