"""After the first screen: go on with an unfinished walk or start one; and the end of it."""

from __future__ import annotations

import contextlib
import datetime as dt
import shlex
from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

from assistant.choosing.agenda import agenda
from assistant.errors import JournalError
from assistant.journal.entries import (
    LONGEST_NOTE,
    Context,
    Earlier,
    Entry,
    GoneOn,
    Note,
    Noted,
    Planned,
    Said,
    fold,
)
from assistant.journal.exported import is_another, write_private
from assistant.journal.file import JournalFile, Stored, list_journals
from assistant.journal.paths import new_journal_path
from assistant.reading.commands import command_of
from assistant.reading.danger_words import DangerTold, dangers_told
from assistant.reading.text import TOO_LONG, clean, in_pieces
from assistant.reasoning.consultation import consult
from assistant.reasoning.inferring import engine_for
from assistant.report.lines import Line, numbered
from assistant.ruleset.fitting import misfit
from assistant.ruleset.grammar import plural
from assistant.ruleset.ruleset import Ruleset
from assistant.ruleset.words import URGENCY_WORDS, answer_words, date_words
from assistant.talk.asking import Asker, Left, ask_name, typed
from assistant.talk.choosing import read_yes, rows_meant
from assistant.talk.dangers import take_danger
from assistant.talk.talk import Talk

_MOST_OFFERED = 5


def walk(
    ruleset: Ruleset,
    journal: JournalFile,
    asker: Asker,
    heard: Sequence[DangerTold] = (),
    talk_class: type[Talk] | None = None,
    records: Path | None = None,
) -> None:
    """Talks until all is asked or the person leaves.

    heard: the dangers that were told before there was a record. talk_class: Talk
    or a subclass. records: the folder for the records, where one was named.
    """
    with journal:
        asker.show([Line("aside", f"Your record is kept in {journal.path}")])
        begun = (talk_class or Talk)(ruleset, journal, asker)
        for danger in heard:
            take_danger(begun, danger, said=True)
        while begun.run():
            try:
                _offer_sheet(begun, asker, records)
                return
            except DangerTold as danger:
                take_danger(begun, danger)
        count = len(begun.plan.prompts)
        if count:
            left = plural(count, "question")
            asker.show([Line("text", f"Left with {left} still to ask. All answers are kept.")])


def choose(
    ruleset: Ruleset, asker: Asker, home: Path, today: dt.date, car: str, new: bool
) -> JournalFile:
    """The record to go on with, or a new one. Raises Left where the person wants to stop.

    car: its name, or "" to ask for one.
    """
    notice = ruleset.about.notices[:2][-1]  # the second, or the only one there is
    about = f"For {ruleset.about.inspection}. {notice}"
    asker.show([Line("text", about), Line("blank")])
    if not new:
        unfinished = _unfinished(ruleset, asker, home, car, today)
        if unfinished is not None:
            return unfinished
    name = car or ask_name(asker, engine_for(ruleset).prepare)
    context, answers = _from_last_time(ruleset, asker, home, name, today)
    return JournalFile.create(new_journal_path(home, name, today), context, answers)


def _unfinished(
    ruleset: Ruleset, asker: Asker, home: Path, car: str, today: dt.date
) -> JournalFile | None:
    """Offers the walks that are not finished, the newest first."""
    found = _all_unfinished(ruleset, asker, home, car)
    if not found:
        return None
    taken = found[0]
    if len(found) > 1:
        number = _which(
            asker,
            [
                f"{_walk_words(w.stored)}, {plural(len(fold(w.stored.entries).answers), 'answer')}"
                for w in found
            ],
        )
        if number is None:
            return None
        taken = found[number]
    else:
        about = _walk_words(taken.stored)
        asker.show(
            [
                Line("question", f"There is an unfinished walk round {about}. Go on with it?"),
                Line("hint", "Type yes, or no to start a new one."),
            ]
        )
        if not _yes(asker, "> ", _GO_ON):
            return None
    return _reopened(ruleset, asker, taken, today)


class _Unfinished(NamedTuple):
    """A walk with something left to ask. asks: whether it is not all left out for want of time."""

    stored: Stored
    asks: bool


def _all_unfinished(ruleset: Ruleset, asker: Asker, home: Path, car: str) -> list[_Unfinished]:
    """The newest walks that are not finished, at most five, and none of a car older than one of
    the same car that is."""
    found: list[_Unfinished] = []
    finished: set[Path] = set()
    for stored in list_journals(home, car):
        if isinstance(stored, JournalError):
            asker.show([Line("text", f"A record could not be read, and is left alone: {stored}")])
            continue
        folder = stored.path.parent
        other = stored.context.ruleset != ruleset.about.name
        if other or folder in finished or len(found) == _MOST_OFFERED:
            continue
        plan = agenda(consult(ruleset, stored.entries))
        if plan.prompts or plan.left_out:
            found.append(_Unfinished(stored, bool(plan.prompts)))
        else:
            finished.add(folder)
    return found


def _walk_words(stored: Stored) -> str:
    context = stored.context
    return f"{context.car or 'a car'}, begun on {date_words(context.today)}"


def _which(asker: Asker, walks: list[str]) -> int | None:
    """Which of several walks to go on with; None for a new one."""
    lines = [Line("question", f"There are {len(walks)} unfinished walks. Go on with which one?")]
    lines += numbered(walks)
    asker.show([*lines, Line("hint", "Type its number, or new to start a new one.")])
    while True:
        words = typed(asker, "> ").lower()
        if words in (*_NEW, "n", "no", "nope", "none", "none of these", "another"):
            return None
        named = rows_meant(words, walks)
        if len(named) == 1:
            return named[0]
        asker.show([Line("text", f"Please type a number from 1 to {len(walks)}, or new.")])


_NEW = ("new", "start a new one", "wrong")
_GO_ON = ("go on", "go on with it", "carry on", "continue", "resume")


def _yes(asker: Asker, prompt: str, also: tuple[str, ...] = ()) -> bool:
    """A yes or a no. also: what means yes here besides."""
    while True:
        words = typed(asker, prompt)
        plain = words.lower()
        said = False if plain in _NEW else True if plain in also else read_yes(words)
        if said is not None:
            return said
        asker.show([Line("text", "Please type yes or no.")])


def _reopened(ruleset: Ruleset, asker: Asker, walk: _Unfinished, today: dt.date) -> JournalFile:
    """Opens a walk again; what was left out for want of time is back in the plan.

    A later day, or rules that have changed, are noted in the record.
    """
    journal = JournalFile.open(walk.stored.path)
    turn = max(e.turn for e in journal.entries) + 1
    if not walk.asks:
        journal.append([Planned(turn=turn, words="gone on with later")])
        turn += 1
    before = fold(journal.entries).context
    changed = before.digest not in ("", ruleset.digest)
    if changed:
        asker.show(
            [Line("text", f"The rules have changed since {date_words(before.today)}; what you "
                          "said is judged by today's rules.")]
        )  # fmt: skip
    if changed or today > before.today:
        day = max(today, before.today)
        journal.append([GoneOn(turn=turn, day=day, digest=ruleset.digest)])
    return journal


def _from_last_time(
    ruleset: Ruleset, asker: Asker, home: Path, name: str, today: dt.date
) -> tuple[Context, list[Entry]]:
    """The context of a new walk, with the readings of the last one of the same car."""
    plain = Context(today=today, ruleset=ruleset.about.name, digest=ruleset.digest, car=name)
    for stored in list_journals(home, name):
        if not isinstance(stored, Stored) or stored.context.ruleset != ruleset.about.name:
            continue
        state = fold(stored.entries)
        known = {k: s for k, s in state.answers.items() if misfit(ruleset, *k, s.answer) is None}
        earlier = tuple(
            Earlier(question=q, at=at, answer=s.answer, date=state.said_on[q, at])
            for (q, at), s in known.items()
            if s.answer.state == "value" and ruleset.questions[q].kind != "note"
        )
        context = plain.model_copy(update={"earlier": earlier})
        notes: list[Entry] = [
            Noted(turn=0, about=note, words=words)
            for note, words in state.noted.items()
            if note not in ("wanted", "miles")
        ]
        anew = {*ruleset.for_dates, ruleset.about.kit}
        about = [s for (q, _), s in known.items() if q in ruleset.of_the_car - anew]
        if about and _same_car(ruleset, asker, about, stored.context.today):
            copies: list[Entry] = [
                Said(
                    turn=index,
                    question=s.question,
                    at=s.at,
                    answer=s.answer,
                    words=s.words,
                    when=s.when,
                )
                for index, s in enumerate(about, start=1)
            ]
            return context, [*notes, *copies]
        return context, notes
    return plain, []


def _same_car(ruleset: Ruleset, asker: Asker, about: list[Said], day: dt.date) -> bool:
    lines = [Line("text", f"From {date_words(day)} I remember about this car:")]
    for s in about:
        question = ruleset.questions[s.question]
        lines.append(Line("choice", f"{question.label}: {answer_words(question, s.answer)}", 2))
    lines.append(Line("question", "Is that still right?"))
    asker.show(lines)
    return _yes(asker, "(yes or no) > ")


def _offer_sheet(talk: Talk, asker: Asker, records: Path | None) -> None:
    """At the end: the sheet, where the person is standing."""
    path = Path(f"sheet-{talk.file.path.parent.name}-{talk.file.path.stem}.html")
    asker.show(
        [Line("blank"), Line("question", f"Shall I write the sheet for the garage as {path}?")]
    )
    later = f"Later: sidelight sheet{f' --records {shlex.quote(str(records))}' if records else ''}"
    try:
        wanted = talk.yes("Write it?")
    except Left:
        wanted = False
    if not wanted:
        asker.show([Line("text", later)])
        return
    with contextlib.suppress(Left):
        _ask_for_garage(talk)
    from assistant.report.sheet import sheet  # its templates are needed only now

    try:
        if is_another(path):
            raise OSError(0, "a file of that name is there already, and is no sheet of ours")
        write_private(path, sheet(talk.now, talk.journal, "html"))
    except OSError as error:
        reason = f"It could not be written here: {error.strerror}."
        asker.show([Line("text", f"{reason} {later} -o FILE")])
        return
    asker.show([Line("text", f"Written: {path.resolve()}. Open it in a browser, or print it.")])


_FOR_GARAGE: dict[Note, str] = {
    "wanted": "What is wanted? Type mend, or price to have it looked at and the price told first.",
    "miles": "How many miles are on the clock?",
    "model": "What make and model is it?",
    "name": "Your name, for the garage?",
    "phone": "A telephone number for them?",
}


def _ask_for_garage(talk: Talk) -> None:
    """What only the owner can add to the sheet; what was given for this car is not asked again."""
    known = talk.now.state.noted
    left = [about for about in _FOR_GARAGE if about not in known]
    if not left:
        return
    if not talk.yes("Add what you want done, and how to reach you? (yes, or Enter for no)"):
        return
    talk.say(Line("aside", "Enter, or skip, leaves one out."))
    for about in left:
        talk.say(Line("question", _FOR_GARAGE[about]))
        words = clean(talk.ask("> "))[:LONGEST_NOTE]
        if words and command_of(words) is None and words.lower() not in ("no", "none", "skip"):
            note = Noted(turn=talk.next_turn(), about=about, words=words, when=talk.clock())
            talk.file.append([note])
    talk.refresh()


class Listening:
    """Hears a danger at what is asked before the talk: a name, which walk, the same car.

    heard: the dangers that were told, in order.
    """

    def __init__(self, asker: Asker, ruleset: Ruleset) -> None:
        self._asker = asker
        self._ruleset = ruleset
        self.heard: list[DangerTold] = []

    def show(self, lines: list[Line]) -> None:
        self._asker.show(lines)

    def get_ready(self) -> None:
        self._asker.get_ready()

    def ask(self, prompt: str) -> str:
        """What was typed. A danger is answered at once, kept for the talk, and the question put
        again."""
        while True:
            pieces = in_pieces(words := self._asker.ask(prompt))
            told = next(filter(self.tells, pieces), None)
            if told is None:
                return words
            if len(pieces) > 1:
                self.show([Line("aside", f"{TOO_LONG} I keep the part about the danger.")])
            self.show([Line("text", "When you can, answer this too, so that it can be kept.")])

    def tells(self, words: str) -> bool:
        """Whether words tell of a danger; if so, says what to do."""
        words = clean(words)
        dangers = dangers_told(self._ruleset, words)
        if not dangers or self._ruleset.words is None:
            return False
        self.heard.append(DangerTold(words, dangers))
        every = [self._ruleset.words.dangers[name] for name in dangers]
        gravest = min((one.urgency for one in every), key=lambda urgency: urgency.rank)
        lines = [Line("blank"), Line("danger", f" {URGENCY_WORDS[gravest].upper()} ")]
        for one in every:
            lines += [Line("text", one.first), Line("text", one.then)]
            lines.append(Line("text", f"Whom to call: {one.call}."))
        self.show([*lines, Line("blank")])
        return True
