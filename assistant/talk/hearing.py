"""What was typed at a question: a command is done, an answer becomes entries of the journal.

Imported late: it brings all the phrase tables, which the first question does not need.
"""

from __future__ import annotations

from enum import Enum
from typing import TYPE_CHECKING

from assistant.choosing.agenda import Prompt
from assistant.choosing.why import why_asked
from assistant.journal.entries import Answer, Planned, Went
from assistant.reading.command_words import Command
from assistant.reading.commands import CommandHeard, command_of
from assistant.reading.danger_words import sounds_alarming, sounds_like_chat, tells_of_the_car
from assistant.reading.plan_words import plan_of
from assistant.reading.steering import AS_SAID, UNSURE, wanted, wanted_in_part
from assistant.reading.text import clean
from assistant.reading.word_weights import IS_IT_A_WORRY
from assistant.report.lines import Line
from assistant.report.prompts import (
    ask_lines,
    help_lines,
    how_lines,
    means_lines,
    plan_lines,
    progress_line,
    went_lines,
    why_lines,
)
from assistant.talk import sidesteps
from assistant.talk.answering import (
    as_the_last,
    is_answer,
    may_answer,
    names_parts,
    says_same,
    still_so,
    take_answer,
)
from assistant.talk.dangers import cooled, go_on
from assistant.talk.explanations import explanation
from assistant.talk.worries import sounds_like_worry, take_worry

if TYPE_CHECKING:
    from assistant.talk.talk import Talk


class Heard(Enum):
    """What came of the words: answered or done, leave, ask again, or not understood."""

    DONE = "done"
    LEAVE = "leave"
    AGAIN = "again"
    MISSED = "missed"


def hear(talk: Talk, prompt: Prompt, typed: str) -> Heard:
    """Takes what was typed at a prompt: a change of plan, something to do, or an answer."""
    words = clean(typed)
    if not words:
        talk.say(Line("aside", "Nothing was typed. Type an answer, or help."))
        return Heard.AGAIN
    if change_of_plan(talk, words, prompt):
        return Heard.DONE
    if prompt.hazard is not None:
        return waited(talk, words, prompt)
    question = talk.ruleset.questions.get(prompt.question or "")
    if says_same(words) and prompt.why != "again" and not is_answer(talk, prompt, words):
        return Heard.DONE if as_the_last(talk, prompt) else Heard.AGAIN
    heard = command_of(words, question)
    asked_for = prompt.question is not None and prompt.question == talk.ruleset.about.worry
    if heard is None and not asked_for and (meant := steered(talk, prompt, words)) is not None:
        if meant == UNSURE:
            words = "don't know"
        else:
            heard = CommandHeard(Command(meant))
    if heard is not None and not (asked_for and heard.command is Command.WORRY and heard.rest):
        done = sidestep(talk, heard.command, heard.rest, prompt)
        return Heard.AGAIN if done is None else Heard.DONE if done else Heard.LEAVE
    if take_answer(talk, prompt, words):
        return Heard.DONE
    if sounds_alarming(talk.ruleset, words):  # asked about only where it sounds like chat
        if sounds_like_chat(talk.ruleset, words) and not talk.yes(IS_IT_A_WORRY, otherwise=True):
            return Heard.MISSED
        take_worry(talk, words, [])
        return Heard.DONE
    return Heard.DONE if meant_as_worry(talk, prompt, words) else Heard.MISSED


def steered(talk: Talk, prompt: Prompt, words: str) -> str | None:
    """The command of somebody who steers in words of their own, or "unsure"; else None."""
    question = talk.ruleset.questions.get(prompt.question or "")
    if prompt.worry is not None:
        return None
    if question is not None and question.kind == "note":  # what is told is kept as it was said
        found = wanted(words, AS_SAID)
        return None if found == UNSURE else found
    if prompt.why == "again" and still_so(words):
        return None
    said_at_length = question is not None and question.kind == "yes_no" and words.count(" ") > 3
    answers = is_answer(talk, prompt, words)
    if answers and not said_at_length:
        return None
    found = wanted(words)
    if (answers and not found) or (prompt.group and names_parts(talk, prompt, words)):
        return None
    if found is None and not may_answer(talk, prompt, words):
        found = wanted_in_part(words)
    return found


def sidestep(talk: Talk, command: Command, rest: str, prompt: Prompt) -> bool | None:
    """Does a command. True: go on with a new prompt; False: leave; None: same prompt."""
    if command is Command.STOP:
        sidesteps.leave(talk)
        return False
    if command is Command.BACK:
        return sidesteps.back(talk)
    if command is Command.REDO:
        return sidesteps.redo(talk)
    if command is Command.WRONG:
        return sidesteps.change(talk, rest)
    if command is Command.MENDED:
        return sidesteps.mended(talk, rest)
    if command is Command.GO_ON:
        return go_on(talk, rest)
    if command is Command.COOLED:
        return cooled(talk, rest)
    if command is Command.CARD:
        return sidesteps.card(talk)
    if command is Command.WORRY:
        return sidesteps.worry(talk, rest)
    if command in (Command.WHYNOT, Command.CHANGES, Command.CAME):
        return explanation(talk, command, rest, prompt)
    if command is Command.WHATIF:
        sidesteps.what_if(talk, rest, prompt)
    elif command is Command.AGAIN:
        talk.say(progress_line(talk.now, talk.plan), *ask_lines(talk.now, prompt))
    elif command is Command.FOUND:
        sidesteps.found(talk)
    else:
        talk.say(*explained(talk, command, rest, prompt))
    return None


def explained(talk: Talk, command: Command, rest: str, prompt: Prompt) -> list[Line]:
    if command is Command.HOW:
        return how_lines(talk.now, prompt)
    if command in (Command.LEFT, Command.DRIVE):
        return talk.told_at_once(command)
    if command is Command.MEANS:
        return means_lines(talk.now, prompt, rest)
    if command is Command.WHY:
        return why_lines(talk.now, why_asked(talk.now, talk.journal, prompt))
    return help_lines()


def waited(talk: Talk, words: str, prompt: Prompt) -> Heard:
    """Takes what was typed while a danger waits for somebody to deal with it."""
    heard = command_of(words)
    if heard is None or heard.command is Command.CARD:
        talk.say(*ask_lines(talk.now, prompt))
        return Heard.AGAIN
    done = sidestep(talk, heard.command, heard.rest or words, prompt)
    return Heard.AGAIN if done is None else Heard.DONE if done else Heard.LEAVE


def meant_as_worry(talk: Talk, prompt: Prompt, words: str) -> bool:
    """Asks about words that are no answer but sound like something that worries the person."""
    rs = talk.ruleset
    if prompt.worry is not None:
        return False
    if not sounds_like_worry(rs, words) and not tells_of_the_car(rs, words):
        return False
    if not talk.yes(IS_IT_A_WORRY):
        return False
    take_worry(talk, words, [])
    return True


def change_of_plan(talk: Talk, words: str, prompt: Prompt | None = None) -> bool:
    """Takes "I have 10 minutes", "no helper" or "do the rear now", and says what changes.

    prompt: the one it was typed at, of which an answer comes first; none within another matter.
    """
    today = talk.now.state.context.today
    heard = plan_of(words, talk.ruleset, prompt.question if prompt else None, today)
    if heard is None or (prompt and is_answer(talk, prompt, words)):
        return False
    turn = talk.next_turn()
    if heard.timed:
        planned = Planned(turn=turn, minutes=heard.minutes, words=words, when=talk.clock())
        talk.keep([planned])
        talk.say(*plan_lines(talk.now, talk.plan))
        return True
    if heard.places:
        places, when = list(heard.places), talk.clock()
        went = Went(turn=turn, places=places, leave=heard.leave, words=words, when=when)
        talk.keep([went])
        talk.say(*went_lines(talk.now, talk.plan, went))
        return True
    kit = str(talk.ruleset.about.kit)
    picks = set(talk.now.readings.reading(kit, "").picks or ())
    asked = prompt.asks(talk.ruleset) if prompt and prompt.items else None
    if heard.lost and heard.lost not in picks and asked and heard.lost in asked.needs:
        return False  # so the words are about this check
    if heard.lost and heard.lost not in picks:
        talk.say(Line("aside", "I know. If this cannot be done without it, type can't look."))
        return True
    picks = picks - {heard.lost} if heard.lost else picks | {str(heard.gained)}
    has = tuple(w for w in talk.ruleset.questions[kit].words() if w in picks)
    said = talk.said(turn, kit, "", Answer(words=has), words)
    talk.keep([said])
    talk.say(Line("aside", "Noted. Where a check needs it, I say the way round."))
    return True
