"""A danger in the person's own words, at any prompt: said at once, kept, and ended by word.

Every line a person types comes through Talk.ask. Words that tell of a danger, and are no answer to
a question about that very thing, end whatever was being asked.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Literal

from assistant.choosing.agenda import Prompt
from assistant.journal.entries import Entry, Released
from assistant.reading.command_words import Command
from assistant.reading.commands import command_of
from assistant.reading.corrections import put_right
from assistant.reading.danger_words import DangerTold, dangers_told, only_sounds, sounds_like_chat
from assistant.reading.guessing import beside, guess
from assistant.reading.phrasebook import exact_choice
from assistant.reading.text import HEDGES, words_of
from assistant.reading.word_weights import IS_IT_A_WORRY
from assistant.report.lines import Line
from assistant.ruleset.models import Question, Urgency
from assistant.talk.answering import (
    is_answer,
    may_answer,
    names_parts,
    only_refuses,
    understood,
)
from assistant.talk.asking import Left
from assistant.talk.confirming import counts_as
from assistant.talk.worries import worry_entries

if TYPE_CHECKING:
    from assistant.talk.talk import Talk


SPEAKS_OF = frozenset(
    (Command.WHYNOT, Command.WHATIF, Command.CAME, Command.CHANGES, Command.MEANS, Command.MENDED)
)
"""Commands whose further words name something, and do not tell that it is so."""


def answers_it(talk: Talk, prompt: Prompt, words: str, dangers: Iterable[str]) -> bool:
    """Whether words are an answer to a question about those dangers, so that its rules act, or a
    command that only speaks of something. To a group they only name parts, and no rule acts yet.
    Words that only sound like a danger are one to any question, and are read back if not sure.
    """
    rs = talk.ruleset
    if only_refuses(rs, words) or (only_sounds(rs, words) and may_answer(talk, prompt, words)):
        return True
    question = rs.questions.get(prompt.question or "")
    command = command_of(words, question)
    if command is not None and command.command in SPEAKS_OF:
        return True
    plainly = " ".join(word for word in words_of(words) if word not in HEDGES)
    about = about_them(talk, prompt, dangers)
    assert rs.words is not None
    stop_now = any(rs.words.dangers[one].urgency is Urgency.STOP_NOW for one in dangers)
    may_wait = question is not None and not about and not stop_now
    if may_wait and harmless_choice(talk, prompt, words):
        return True
    choices = question is not None and bool(question.choices)
    ways = (words, plainly, *put_right(words))
    if choices and any(_names_a_choice(said, question) for said in ways):
        return True
    if prompt.group:
        return sounds_like_chat(rs, words) and names_parts(talk, prompt, words)
    several = question is not None and question.kind == "some_of"
    return (about or (several and not stop_now)) and is_answer(talk, prompt, words)


def harmless_choice(talk: Talk, prompt: Prompt, words: str) -> bool:
    """Whether words come near to a choice of the question that is no danger, and tell none beside
    it: "the rubber is split but it clears" of a wiper. It is read back, and a no makes it one."""
    rs = talk.ruleset
    question = rs.questions[str(prompt.question)]
    found = guess(rs, question, words)
    if found is None or not (found.answer.word or found.answer.words):
        return False
    if counts_as(rs, str(prompt.question), found) is not None:
        return False
    left = beside(rs, question, found, words)
    return left is not None and not dangers_told(rs, left)


def about_them(talk: Talk, prompt: Prompt, dangers: Iterable[str]) -> bool:
    """Whether a prompt asks about what one of these dangers threatens."""
    rs = talk.ruleset
    assert rs.words is not None
    threatened = {name for one in dangers for name in rs.words.dangers[one].hazards}
    return bool(threatened & {h for question, _ in prompt.items for h in rs.hazards_on(question)})


def _names_a_choice(words: str, question: Question | None) -> bool:
    return question is not None and exact_choice(words, question) is not None


def certain(talk: Talk, told: DangerTold, prompt: Prompt) -> DangerTold | None:
    """A danger as it was told; None for a sentence that sounds like chat and a plain no.

    A worry that was asked for is read back by what it would threaten. Whoever leaves without a word
    to that has told a danger.
    """
    while told.chat:
        asked = _read_back(talk, told) if _is_worry(talk, prompt) else IS_IT_A_WORRY
        try:
            return told if talk.yes(asked, otherwise=True) else None
        except DangerTold as more:
            dangers = tuple(dict.fromkeys((*told.dangers, *more.dangers)))
            told = DangerTold(f"{told.words}. {more.words}", dangers, more.chat)
        except Left:
            take_danger(talk, told, prompt)
            raise
    return told


def _is_worry(talk: Talk, prompt: Prompt) -> bool:
    return prompt.question == talk.ruleset.about.worry


def _read_back(talk: Talk, told: DangerTold) -> str:
    """What the gravest of some dangers threatens, to be said yes to."""
    rs = talk.ruleset
    assert rs.words is not None
    hazard = rs.hazards[rs.words.dangers[told.dangers[0]].hazards[0]]
    return f"I read that as {hazard.say}. Is that right?"


def act_on(talk: Talk, danger: DangerTold, prompt: Prompt) -> bool:
    """Takes a danger, and another one that is told meanwhile; False where it was only chat.

    A worry that is no danger is a worry still.
    """
    told = certain(talk, danger, prompt)
    if told is None:
        if is_worry := _is_worry(talk, prompt):
            take_danger(talk, DangerTold(danger.words, ()), prompt)
        return is_worry
    take_danger(talk, told, prompt)
    try:
        also_answers(talk, told, prompt)
    except DangerTold as another:
        act_on(talk, another, prompt)
    return True


def also_answers(talk: Talk, told: DangerTold, prompt: Prompt) -> None:
    """Reads the words of a danger as the answer to what was asked too, where that is asked still.

    "One nut is missing at the back, the rest fine" is a danger, and says what was seen at the nuts.
    """
    kinds = {talk.ruleset.questions[name].kind for name, _ in prompt.items}
    if kinds & {"quantity", "count", "date", "note"}:
        return
    plainly = names_parts if prompt.group and talk.now.hazards.waiting is None else is_answer
    if not (about_them(talk, prompt, told.dangers) or plainly(talk, prompt, told.words)):
        return
    if entries := understood(talk, prompt, told.words, quietly=True):
        talk.keep(entries)


def take_danger(
    talk: Talk, told: DangerTold, prompt: Prompt | None = None, said: bool = False
) -> None:
    """Keeps a danger that was told, and says what to do: now, and once the car stands.

    prompt: what was asked when it was told. said: what to do has been said already. Without any
    danger it is a worry only.
    """
    turn = talk.next_turn()
    talk.announced = True
    entries: list[Entry] = []
    if prompt is not None and _is_worry(talk, prompt):
        entries += talk.worry_answered(turn, told.words)
    entries += worry_entries(talk.ruleset, told.words, turn, talk.clock(), not told.dangers)
    if said:
        talk.file.append(entries)
        talk.refresh()
    else:
        talk.keep(entries)


def go_on(talk: Talk, words: str) -> bool | None:
    """Opens the walk again once somebody has dealt with a danger; what it forbids stays so."""
    waiting = [one.name for one in talk.now.hazards.standing if one.waits]
    if not waiting:
        talk.say(Line("aside", "Then on we go."))
        return None
    talk.once_kept.append(Line("aside", "Then we go on. What I said about it still stands."))
    talk.keep(_released(talk, waiting, "go_on", words))
    return True


def cooled(talk: Talk, words: str) -> bool | None:
    """Takes the person's word that it has stood long enough and is cold."""
    waits = [(one.name, one.hazard.cooled) for one in talk.now.hazards.standing]
    ended = [n for n, state in waits if state and talk.yes(f"{state.say} Is that so?")]
    return _by_their_word(talk, ended, "cooled", words)


def garage_has_mended(talk: Talk, hazards: Iterable[str], words: str) -> bool | None:
    """Takes the person's word for a garage's word, which ends what was told and never seen."""
    says: dict[str, list[str]] = {}
    for name in hazards:
        says.setdefault(talk.ruleset.hazards[name].garage, []).append(name)
    ended = [one for say, names in says.items() if talk.yes(f"{say} Is that so?") for one in names]
    return _by_their_word(talk, ended, "garage", words)


def _by_their_word(
    talk: Talk, ended: list[str], how: Literal["cooled", "garage"], words: str
) -> bool | None:
    """Keeps which hazards have ended, by the person's word; None where none has."""
    if not ended:
        talk.say(Line("aside", "Then everything stands as it was."))
        return None
    talk.once_kept.append(Line("text", "Good. It is kept, with your word for it."))
    talk.keep(_released(talk, ended, how, words))
    return True


def _released(
    talk: Talk, hazards: Iterable[str], how: Literal["go_on", "cooled", "garage"], words: str
) -> list[Entry]:
    turn, when = talk.next_turn(), talk.clock()
    return [
        Released(turn=turn, hazard=name, how=how, words=words[:2000], when=when) for name in hazards
    ]
