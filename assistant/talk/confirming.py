"""What has to be confirmed before it is kept.

An answer whose reading is not sure is read back; where it may be a danger, it counts until it is
put right. One that contradicts what was told is asked about once, and then both stand. A change
that would take a danger away is tried on a copy, and then asked about.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.journal.entries import Answer, Context, Entry, Mended, Said, TookBack
from assistant.reading.result import GroupHeard, NumbersHeard, Unclear, Understood
from assistant.reasoning.consultation import Consultation, consult
from assistant.reasoning.findings import Finding, in_its_place
from assistant.reasoning.hazards import ToldDanger
from assistant.reasoning.routes import Contradicted, contradicted, looked_at_by
from assistant.report.findings import answers_line
from assistant.report.lines import Line
from assistant.ruleset.models import Urgency
from assistant.ruleset.ruleset import Ruleset
from assistant.ruleset.words import URGENCY_WORDS

if TYPE_CHECKING:
    from assistant.talk.talk import Talk


def unclear(talk: Talk, heard: Unclear, quietly: bool = False) -> None:
    """Says what was not clear, and what may have been meant."""
    if quietly:
        return
    talk.say(Line("text", heard.message))
    if heard.offers:
        talk.say(Line("text", "Did you mean: " + "; ".join(heard.offers) + "?", 2))


def confirmed(talk: Talk, heard: Understood | GroupHeard | NumbersHeard) -> bool:
    """Asks where it is not sure; else says what was understood, once it is kept."""
    talk.once_kept.clear()
    if heard.sure:
        talk.once_kept.append(Line("heard", heard.echo))
        return True
    talk.say(Line("text", f"I read that as: {heard.echo}"))
    if talk.yes("Is that right?"):
        return True
    talk.say(Line("aside", "Then it is not kept. Please type your answer in other words."))
    return False


def counts_as(ruleset: Ruleset, name: str, heard: Unclear | Understood) -> Answer | None:
    """The gravest answer that unsure words may be, where the car must not be driven with it.

    name: the question. None where none of what they may be is a danger.
    """
    question = ruleset.questions[name]
    if isinstance(heard, Understood):
        may_be = [heard.answer]
    else:
        by_say = {choice.say: word for word, choice in question.choices.items()}
        may_be = [_answer(question.kind, by_say[o]) for o in heard.offers if o in by_say]
    grave = [
        (rank, index, answer)
        for index, answer in enumerate(may_be)
        if (rank := _rank(ruleset, name, answer)) <= Urgency.GENTLY_TO_GARAGE.rank
    ]
    return min(grave, key=lambda one: one[:2])[2] if grave else None


def says_well(ruleset: Ruleset, name: str, answer: Answer) -> bool:
    """Whether no rule finds anything from an answer to this question alone."""
    return _rank(ruleset, name, answer) == Urgency.NOTHING.rank


def _answer(kind: str, word: str) -> Answer:
    return Answer(words=(word,)) if kind == "some_of" else Answer(word=word)


def _rank(ruleset: Ruleset, name: str, answer: Answer) -> int:
    """How pressing the advice is with this answer alone, at all of its parts."""
    journal: list[Entry] = [Context(today=dt.date(2000, 1, 1), ruleset=ruleset.about.name)]
    for at in ruleset.members(ruleset.questions[name].each):
        journal.append(Said(turn=1, question=name, at=at, answer=answer))
    return consult(ruleset, journal).headline.urgency.rank


def not_taken_back(talk: Talk, entries: list[Entry]) -> list[Entry]:
    """The entries without those that the person takes back, as they contradict what was told."""
    looked = {name for f in talk.now.findings for name in looked_at_by(talk.ruleset, f.rule.rule)}
    if not any(isinstance(entry, Said) and entry.question in looked for entry in entries):
        return entries
    known = {one.told.question for one in contradicted(talk.now)}
    trial = consult(talk.ruleset, [*talk.journal, *entries])
    for one in contradicted(trial):
        if one.told.question not in known and not _so(talk, one, entries):
            named = {(said.question, said.at) for said in one.answers}
            entries = [
                e for e in entries if not isinstance(e, Said) or (e.question, e.at) not in named
            ]
    return entries


def _so(talk: Talk, one: Contradicted, entries: list[Entry]) -> bool:
    """Asks whether it is now as was answered. Both stay on the sheet if it is."""
    said = tuple(s for s in one.answers if s in entries) or one.answers
    talk.say(answers_line(talk.now, replace(one, answers=said)))
    if talk.yes("Is that how it is now?"):
        talk.once_kept.append(Line("aside", "Good. Both stay on the sheet."))
        return True
    talk.say(Line("aside", "Then that is not kept, and I ask again."))
    return False


def may_take_away(talk: Talk, entry: Entry) -> bool:
    """Whether an entry could make a danger go that stands now.

    A first answer to a check could only rule one out by what was seen, and is never held up.
    """
    dangers = any(f.urgency.is_danger for f in talk.now.findings)
    if not dangers and not talk.now.told:
        return False
    if isinstance(entry, Said):
        again = (entry.question, entry.at) in talk.now.state.answers
        return again or entry.question in talk.ruleset.of_the_car
    return isinstance(entry, Mended | TookBack)


def lost_dangers(talk: Talk, trial: Consultation) -> list[Finding]:
    """The current do-not-drive findings that would be gone after a change.

    One that is ruled out by something seen is not lost: that is said, and stays visible. Nor is
    one in whose place another comes that is as grave.
    """
    stays = {(f.rule.rule, f.at) for f in trial.findings}
    stays |= {(s.rule.rule, s.at) for s in trial.stood_down}
    before = {(f.rule.rule, f.at): f for f in talk.now.findings}
    return [
        f
        for key, f in before.items()
        if f.urgency.is_danger
        and key not in stays
        and not in_its_place(talk.ruleset, f, before, trial.findings)
    ]


def is_as_grave(talk: Talk, lost: list[Finding], trial: Consultation) -> bool:
    """Whether a change brings a danger that is as grave as all that it takes away.

    It is then worse than was said, and nobody is asked about that. What is gone stays on the
    sheet, to be confirmed.
    """
    holds = talk.now.result.truth
    new = [f.urgency.rank for f in trial.findings if holds(f.rule.rule, f.at) is not True]
    return bool(new) and min(new) <= min(f.urgency.rank for f in lost)


def seen_besides(talk: Talk, entries: list[Entry]) -> list[Entry]:
    """What a change that was not wanted says beside what it takes away: what was picked before,
    with what is picked now. Nothing where that would take a danger away too."""
    added: list[Entry] = []
    for entry in entries:
        if not isinstance(entry, Said):
            continue
        old = talk.now.state.answers.get((entry.question, entry.at))
        was = old.answer.words if old is not None else None
        more = [word for word in entry.answer.words or () if word not in (was or ())]
        if was is not None and more:
            both = Answer(words=(*was, *more))
            added.append(entry.model_copy(update={"answer": both}))
    if not added:
        return []
    trial = consult(talk.ruleset, [*talk.journal, *added])
    return [] if takes_away(talk, trial) else added


def takes_away(talk: Talk, trial: Consultation) -> bool:
    """Whether a change takes a danger away, be it by ruling it out."""
    ruled_out = len(trial.stood_down) + len(trial.lifted)
    known = len(talk.now.stood_down) + len(talk.now.lifted)
    return bool(lost_dangers(talk, trial)) or ruled_out > known


def lost_words(talk: Talk, trial: Consultation) -> list[ToldDanger]:
    """The dangers told in own words that would be taken back, and not ruled out or ended."""
    turns = {worry.turn for worry in trial.state.worries}
    return [one for one in talk.now.told if one.worry.turn not in turns]


def confirm_loss(talk: Talk, lost: list[Finding], words: list[ToldDanger]) -> bool:
    """Says what a change takes away, and asks whether it is certain."""
    for told in words:
        talk.say(Line("text", f"This takes back what you told: '{told.worry.words}'."))
    for finding in lost:
        advice = URGENCY_WORDS[finding.urgency]
        talk.say(Line("text", f"This takes away '{advice}' for: {finding.says}"))
    if lost:
        talk.say(Line("text", "It will stay on the sheet, as something to have confirmed."))
    return talk.yes("Are you certain?")
