"""The words of a person as the answer to a prompt: understood, confirmed, made into entries."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from assistant.choosing.agenda import Prompt
from assistant.journal.entries import Answer, Entry, Opened, Said
from assistant.reading.choices import one
from assistant.reading.corrections import in_the_end, put_right
from assistant.reading.danger_words import (
    DangerTold,
    dangers_told,
    only_sounds,
    sounds_like_chat,
)
from assistant.reading.forms import forms
from assistant.reading.group_words import CORRECTS, EXCEPTS
from assistant.reading.groups import tells_two_sizes, understand_group
from assistant.reading.guessing import better_guess, guess, names_one_of, only_denies, says_little
from assistant.reading.guessing_parts import guess_group, has_shape
from assistant.reading.number_groups import understand_numbers
from assistant.reading.refusals import refusal
from assistant.reading.result import DONT_KNOW, GroupHeard, GroupItem, Unclear, Understood
from assistant.reading.text import hedged, spoken, words_of
from assistant.reading.understand import understand
from assistant.reasoning.consultation import consult
from assistant.report.lines import Line
from assistant.ruleset.models import Question
from assistant.ruleset.ruleset import Ruleset, made_once
from assistant.ruleset.sayings import sayings_of
from assistant.ruleset.words import answer_words
from assistant.talk.asking import Left, Stopped
from assistant.talk.confirming import confirmed, counts_as, says_well, takes_away, unclear
from assistant.talk.worries import no_worry, take_pick, take_worry, worry_entries

if TYPE_CHECKING:
    from assistant.talk.talk import Talk


_CANNOT_SEE = re.compile(r"\b(?:can|could) not (?:see|find|make)\b.* \w+|\b(?:hidden|covered)\b")
_NOT_CERTAIN = (
    "I am not certain what you mean: type the numbers or names of those that are not right, or all "
    "fine, or don't know."
)
_STILL_SO = re.compile(
    r"(?:y|yes|yep|yeah|ok|(?:yes,? )?(?:it is |it's |it has |is )?(?:(?:still )?(?:the )?same"
    r"(?: as (?:before|then|last time))?|still (?:is|so|right|true)|unchanged|not changed"
    r"|no change|as before))"
)
_AS_THE_LAST = re.compile(forms("choices")["as_the_last"])
_SAME = " (still the same)"
_SAME_AGAIN = " (the same again)"


def take_answer(talk: Talk, prompt: Prompt, words: str) -> bool:
    """Takes the words as an answer; False if they were not understood.

    Raises DangerTold where they tell of a danger, and are denied to be what they were read as.
    """
    worry = prompt.question is not None and prompt.question == talk.ruleset.about.worry
    dangers = dangers_told(talk.ruleset, words)
    try:
        entries = (
            take_pick(talk, prompt, words) if prompt.worry else understood(talk, prompt, words)
        )
    except Left:  # gone without a word: what sounds like a danger is one until it is put right
        if dangers and not worry:
            talk.keep([*worry_entries(talk.ruleset, words, talk.next_turn(), talk.clock())])
        raise
    if entries is None:
        if dangers and not only_refuses(talk.ruleset, words):
            raise DangerTold(words, dangers, sounds_like_chat(talk.ruleset, words))
        return False
    if worry and not no_worry(talk.ruleset, words):
        take_worry(talk, words, entries)
    else:
        talk.keep(entries)
    return True


def understood(talk: Talk, prompt: Prompt, words: str, quietly: bool = False) -> list[Entry] | None:
    """The entries that the words mean, or None after saying what was not clear.

    quietly: nothing is said where they mean nothing here; they were about something else too.
    """
    turn = talk.next_turn()
    if prompt.group:
        return understood_group(talk, prompt, words, turn, quietly)
    question_name = str(prompt.question)
    question = prompt.one(talk.ruleset)
    if prompt.why == "again" and still_so(words):
        old = talk.now.state.answers[question_name, prompt.at]
        return [same_again(talk, prompt, old, turn, _SAME)]
    other = other_part(talk.ruleset, question, prompt.at, words)
    if other is not None and quietly:
        return None
    if other is not None:
        here = talk.ruleset.at_words(question_name, prompt.at)
        talk.say(Line("text", f"You named the {other}. This is about the {here}: please answer for "
                              "that one, or type don't know."))  # fmt: skip
        return None
    heard = understand(words, question, today=talk.now.state.context.today)
    unsure = isinstance(heard, Unclear) or not heard.sure
    grave = counts_as(talk.ruleset, str(prompt.question), heard) if unsure else None
    bare = question.kind == "one_of" and only_denies(words)
    if unsure and question.choices and (bare or says_little(words)):
        heard = Unclear("Please say more of it: the number or the words of one choice.")
        grave = None
    meant = next(put_right(words), words)
    guessed = None
    if unsure and not bare:
        guessed = better_guess(talk.ruleset, question, meant, heard)
    if guessed is not None:
        heard = guessed
    elif grave is not None:
        heard = Understood(grave, answer_words(question, grave), sure=False)
    heard = _not_for_certain(talk.ruleset, question_name, words, heard)
    if isinstance(heard, Unclear):
        unclear(talk, heard, quietly)
        return None
    said = [talk.said(turn, str(prompt.question), prompt.at, heard.answer, words)]
    try:
        return [*said] if confirmed(talk, heard) else None
    except Stopped:
        talk.say(Line("aside", "Then that answer is not kept. I ask again when you come back."))
        raise
    except Left:  # gone without a word: a danger counts until it is put right
        if grave is not None:
            talk.keep([talk.said(turn, question_name, prompt.at, grave, words)])
        raise


def _not_for_certain(
    ruleset: Ruleset, name: str, words: str, heard: Understood | Unclear
) -> Understood | Unclear:
    """What is said with a doubt, or of a thing that cannot be seen.

    "Firm, I think" of a brake pedal is not known. "Can't see it, it's under a cover" is the choice
    that says so, where there is one.
    """
    question = ruleset.questions[name]
    if isinstance(heard, Unclear) or not question.choices:
        return heard
    if heard.answer.state != "value":
        named = _cannot_be_seen(ruleset, question, words)
        return heard if named is None else one(question, named, sure=False)
    good = heard.answer.word in (question.fine, next(iter(question.choices)))
    doubted = question.safety and good and hedged(words)
    if doubted and says_well(ruleset, name, heard.answer):
        return Understood(Answer(state="dont_know"), DONT_KNOW, sure=False)
    return heard


def _cannot_be_seen(ruleset: Ruleset, question: Question, words: str) -> int | None:
    """The choice of which people say that something cannot be seen, as these words do; or the only
    one that says so itself."""
    said = " ".join(words_of(spoken(words)))
    for name, ways in sayings_of(ruleset, question).items():
        cannot = [" ".join(words_of(spoken(way))) for way in ways if way.startswith("cant see the")]
        if name in question.choices and any(way in said for way in cannot):
            return list(question.choices).index(name)
    hidden = [i for i, choice in enumerate(question.choices.values()) if choice.hides]
    return hidden[0] if len(hidden) == 1 and _CANNOT_SEE.search(spoken(words)) else None


def other_part(ruleset: Ruleset, question: Question, at: str, words: str) -> str | None:
    """Another part that the words name where they are to be about this one: "yes the back left"."""
    if not question.each or not at:
        return None
    said = f" {' '.join(words_of(words))} "
    named = {
        member.at: member.say
        for member in ruleset.axes[question.each].members
        for way in (member.say, *member.hear)
        if f" {' '.join(words_of(way))} " in said
    }
    known = {word for choice in question.choices.values() for word in words_of(choice.say)}
    others = [say for other, say in named.items() if not set(words_of(say)) <= known]
    return others[0] if others and at not in named else None


def still_so(words: str) -> bool:
    """Whether words say that a reading of an earlier day is still the same."""
    return bool(_STILL_SO.fullmatch(words.strip(" .!").lower()))


def says_same(words: str) -> bool:
    """Whether words say that a part is as the one before: "same again"."""
    return bool(_AS_THE_LAST.fullmatch(spoken(words).strip(" .!,")))


def as_the_last(talk: Talk, prompt: Prompt) -> bool:
    """Takes the answer just given to this question at another part; never one that rules a danger
    out."""
    given = talk.now.state.answers.values()
    last = [s for s in given if s.turn == max((one.turn for one in given), default=0)]
    old = next((s for s in last if s.question == prompt.question and s.at != prompt.at), None)
    if prompt.group or old is None:
        plain = "The same as what? Nothing of this kind was answered just before. Please say it."
        talk.say(Line("text", plain))
        return False
    entry = same_again(talk, prompt, old, talk.next_turn(), _SAME_AGAIN)
    trial = consult(talk.ruleset, [*talk.journal, entry])
    if takes_away(talk, trial):
        talk.once_kept.clear()
        plain = "That would take a danger away, so please say of this one what you see."
        talk.say(Line("text", plain))
        return False
    return talk.keep([entry])


def same_again(talk: Talk, prompt: Prompt, old: Said, turn: int, mark: str) -> Entry:
    """An answer of an earlier day, or of the part before, said again."""
    rs, at = talk.ruleset, prompt.at
    words = answer_words(rs.questions[old.question], old.answer)
    again = f"still {words}" if mark == _SAME else f"{rs.item_label(old.question, at)}: {words}"
    talk.once_kept[:] = [Line("heard", again)]
    return talk.said(turn, old.question, at, old.answer, old.words.removesuffix(mark) + mark)


def understood_group(
    talk: Talk, prompt: Prompt, words: str, turn: int, quietly: bool
) -> list[Entry] | None:
    rs = talk.ruleset
    items = group_items(rs, prompt)
    if rs.questions[prompt.items[0][0]].kind in ("quantity", "count"):
        return understood_numbers(talk, prompt, words, turn, items, quietly)
    heard = _said_of_parts(rs, items, words)
    if isinstance(heard, Unclear):
        unclear(talk, heard, quietly)
        return None
    if not confirmed(talk, heard):
        return None
    entries: list[Entry] = []
    for index, (question, at) in enumerate(prompt.items):
        model = rs.questions[question]
        if heard.all_unknown or index in heard.unknown:
            answer = Answer(state=heard.state)
        elif index in heard.named:
            if model.when_named is None:
                continue
            answer = Answer(word=model.when_named)
        elif model.kind == "some_of":
            answer = Answer(words=())
        else:
            answer = Answer(word=model.fine)
        entries.append(talk.said(turn, question, at, answer, words, prompt.key))
    if not entries:
        talk.once_kept.append(Line("aside", "Then I ask about each of them."))
        kept = words[:2000]
        entries.append(Opened(turn=turn, group=prompt.key, words=kept, when=talk.clock()))
    return entries


def _said_of_parts(ruleset: Ruleset, items: list[GroupItem], words: str) -> GroupHeard | Unclear:
    """What is said of the parts of a group: as it is read, or else what it comes nearest to.

    "All fine" is not taken where something is excepted or put right that was not understood.
    """
    return in_the_end(words, lambda meant: _as_said(ruleset, items, meant))


def _as_said(ruleset: Ruleset, items: list[GroupItem], words: str) -> GroupHeard | Unclear:
    heard = understand_group(words, items)
    if isinstance(heard, GroupHeard):
        text = spoken(words)
        all_fine = not (heard.named or heard.unknown)
        two_sizes = all_fine and tells_two_sizes(words, items)
        but = two_sizes or EXCEPTS.search(text) or CORRECTS.search(text)
        known = heard.sure or heard.all_unknown or has_shape(words)
        if not known or (all_fine and but):
            guessed = None if two_sizes else guess_group(ruleset, items, words)
            if guessed is None and all_fine and but:
                return Unclear(_NOT_CERTAIN)
            heard = guessed or heard
    else:
        heard = guess_group(ruleset, items, words) or heard
    if isinstance(heard, GroupHeard) and heard.named and names_one_of(words):
        labels = tuple(items[i].label for i in heard.named)
        return Unclear("I do not know which one: type its number or its name.", labels)
    return heard


@made_once
def _tells(_: Ruleset) -> dict[str, frozenset[str]]:
    """The words of what may be wrong, by question; filled as they are needed."""
    return {}


def group_items(rs: Ruleset, prompt: Prompt) -> list[GroupItem]:
    """The parts of a group prompt, each with what it is called."""
    items = []
    for question, at in prompt.items:
        model = rs.questions[question]
        hear = tuple(rs.member(model.each, at).hear) if model.each and at else ()
        tells = _tells(rs)
        if question not in tells:
            said = (w for choice in model.choices.values() for w in (choice.say, *choice.hear))
            tells[question] = frozenset(w for words in said for w in words_of(words) if len(w) > 3)
        label, hear = (
            rs.item_label(question, at),
            (rs.label_here(question, at), *hear, *model.called),
        )
        items.append(GroupItem(question, at, label, hear, tells[question]))
    return items


def understood_numbers(
    talk: Talk, prompt: Prompt, words: str, turn: int, items: list[GroupItem], quietly: bool
) -> list[Entry] | None:
    question = talk.ruleset.questions[prompt.items[0][0]]
    heard = understand_numbers(words, items, question, today=talk.now.state.context.today)
    if isinstance(heard, Unclear):
        unclear(talk, heard, quietly)
        return None
    if not confirmed(talk, heard):
        return None
    return [
        talk.said(turn, name, at, answer, words)
        for (name, at), answer in zip(prompt.items, heard.answers, strict=True)
        if answer is not None
    ]


def only_refuses(ruleset: Ruleset, words: str) -> bool:
    """Whether words that only sound like a danger say that something cannot be looked at."""
    return only_sounds(ruleset, words) and refusal(spoken(words)) is not None


def names_parts(talk: Talk, prompt: Prompt, words: str) -> bool:
    """Whether words say of the parts of a group which are not right, surely or not."""
    return isinstance(understand_group(words, group_items(talk.ruleset, prompt)), GroupHeard)


def may_answer(talk: Talk, prompt: Prompt, words: str) -> bool:
    """Whether words may be an answer to the question in hand, also one that is read back first."""
    rs = talk.ruleset
    if prompt.group:
        items = group_items(talk.ruleset, prompt)
        if rs.questions[prompt.items[0][0]].kind in ("quantity", "count"):
            return False
        named = understand_group(words, items)
        return isinstance(named, GroupHeard) or guess_group(rs, items, words) is not None
    question = prompt.one(rs) if prompt.question else None
    if question is None or not question.choices:
        return False
    heard = understand(words, question, today=talk.now.state.context.today)
    return isinstance(heard, Understood) or guess(rs, question, words) is not None


def is_answer(talk: Talk, prompt: Prompt, words: str) -> bool:
    """Whether words are a sure answer to the question in hand, which then comes first."""
    today = talk.now.state.context.today
    if prompt.group:
        items = group_items(talk.ruleset, prompt)
        numbers = talk.ruleset.questions[prompt.items[0][0]].kind in ("quantity", "count")
        named = None if numbers else understand_group(words, items)
        return isinstance(named, GroupHeard) and named.sure
    question = prompt.one(talk.ruleset) if prompt.question else None
    if question is None or question.kind == "note":
        return False
    heard = understand(words, question, today=today)
    return isinstance(heard, Understood) and heard.sure and heard.answer.state == "value"
