"""A danger in the person's own words, at any prompt: said at once, kept, and ended by word.

Every line a person types comes through Talk.ask. Words that tell of a danger, and are no answer to
a question about that very thing, end whatever was being asked.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from assistant.dialogue.answering import is_answer
from assistant.dialogue.asking import Line
from assistant.dialogue.danger_words import dangers_told
from assistant.dialogue.telling import left_out_line, told_danger_lines
from assistant.dialogue.worries import worry_entries
from assistant.knowledge.journal import Entry, Released
from assistant.knowledge.models import Act
from assistant.reasoning.agenda import Prompt
from assistant.reasoning.hazards import StandingHazard

if TYPE_CHECKING:
    from assistant.dialogue.talk import Talk

__all__ = ["DangerTold", "answers_it", "release", "say_left_out", "take_danger"]

class DangerTold(Exception):
    """Words that tell of a danger were typed where something else was asked."""

    def __init__(self, words: str, dangers: tuple[str, ...]) -> None:
        super().__init__(words)
        self.words = words
        self.dangers = dangers


def answers_it(talk: Talk, prompt: Prompt, words: str, dangers: Iterable[str]) -> bool:
    """Whether words are an answer to a question about those dangers, so that its rules act."""
    rs = talk.ruleset
    assert rs.words is not None
    threatened = {name for one in dangers for name in rs.words.dangers[one].hazards}
    about = {name for question, _ in prompt.items for name in rs.hazards_on(question)}
    return bool(threatened & about) and is_answer(talk, prompt, words)


def take_danger(talk: Talk, told: DangerTold, prompt: Prompt) -> None:
    """Keeps a danger that was told, and says what to do: now, and once the car stands."""
    turn = talk.next_turn()
    entries: list[Entry] = []
    if prompt.question is not None and prompt.question == talk.ruleset.about.worry:
        entries += talk.worry_answered(turn, told.words)
    entries += worry_entries(talk.ruleset, told.words, turn, talk.clock())
    talk.keep(entries, quiet=True)
    now = [one for one in talk.now.told if one.name in told.dangers]
    talk.say(*told_danger_lines(talk.now, now))
    say_left_out(talk)


def say_left_out(talk: Talk) -> None:
    """Says in one line what the dangers that stand forbid, where that has changed."""
    forbids = talk.now.hazards.forbids
    count = len(talk.plan.forbidden)
    if forbids != talk.forbidden and count and talk.now.hazards.waiting is None:
        talk.say(left_out_line(talk.now, count))
    talk.forbidden: frozenset[Act] = forbids


def release(talk: Talk, how: str, words: str) -> bool | None:
    """Takes the person's word that a time is over, that a garage has mended it, or "go on"."""
    if how == "go_on":
        waiting = [one for one in talk.now.hazards.standing if one.waits]
        if not waiting:
            return None
        talk.keep(_released(talk, [one.name for one in waiting], "go_on", words), quiet=True)
        talk.say(Line("aside", "Then we go on. What I said about it still stands."))
        say_left_out(talk)
        return True
    standing = talk.now.hazards.standing
    fitting = [one for one in standing if how == "garage" or one.hazard.cooled is not None]
    if not fitting:
        talk.say(Line("aside", "Nothing that stands now waits for that."))
        return None
    ended = [one for one in fitting if talk.yes(f"{_says(one, how)} Is that so?")]
    if not ended:
        talk.say(Line("aside", "Then it stands as it was."))
        return True
    talk.keep(_released(talk, [one.name for one in ended], how, words), quiet=True)
    still = {one.name for one in talk.now.hazards.standing}
    if how == "garage" and any(one.name in still for one in ended):
        talk.say(Line("text", "Good. What was seen has to be looked at again: type mended."))
    else:
        talk.say(Line("text", "Good. It is kept, with your word for it."))
    say_left_out(talk)
    return True


def _says(one: StandingHazard, how: str) -> str:
    cooled = one.hazard.cooled
    return cooled.say if how == "cooled" and cooled is not None else one.hazard.garage


def _released(talk: Talk, hazards: list[str], how: str, words: str) -> list[Entry]:
    turn, when = talk.next_turn(), talk.clock()
    data = {"turn": turn, "how": how, "words": words[:2000], "when": when}
    return [Released.model_validate({**data, "hazard": name}) for name in hazards]
