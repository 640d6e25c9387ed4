"""One consultation as a talk: ask, understand, write down, reason, say, ask again.

The journal is on disk before the engine hears an answer. Everything shown is worked out from
the journal, so stopping anywhere and picking it up again gives the same screen.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable

from assistant.dialogue.asking import Asker, Left, Line
from assistant.dialogue.commands import Command, command_of
from assistant.dialogue.number_groups import NumbersHeard, understand_numbers
from assistant.dialogue.phrasing import (
    HINT,
    advice_lines,
    ask_lines,
    danger_lines,
    deadline_lines,
    item_label,
    plan_lines,
    progress_line,
    summary_lines,
    together,
)
from assistant.dialogue.plan_words import plan_of
from assistant.dialogue.sidesteps import sidestep
from assistant.dialogue.understanding import (
    GroupHeard,
    GroupItem,
    Unclear,
    Understood,
    clean,
    understand,
    understand_group,
)
from assistant.knowledge.journal import (
    Answer,
    Corrected,
    Entry,
    Mended,
    Opened,
    Planned,
    Said,
)
from assistant.knowledge.models import Question, Urgency
from assistant.knowledge.ruleset import Ruleset
from assistant.knowledge.wording import URGENCY_WORDS
from assistant.reasoning.agenda import Agenda, Prompt, agenda
from assistant.reasoning.consultation import Consultation, Finding, consult
from assistant.records.store import JournalFile

__all__ = ["Talk"]

_YES_OR_NO = Question(
    ask="Yes or no?",
    label="yes or no",
    kind="yes_no",
    place="here",
    how="Type yes or no.",
    minutes=0.1,
)


class Talk:
    """A consultation in progress.

    clock gives the words for "when" beside each answer; it is never read by the reasoning.
    """

    def __init__(
        self,
        ruleset: Ruleset,
        journal: JournalFile,
        asker: Asker,
        clock: Callable[[], str] | None = None,
    ) -> None:
        self.ruleset = ruleset
        self.file = journal
        self.asker = asker
        self.clock = clock or (lambda: dt.datetime.now().strftime("%Y-%m-%d %H:%M"))
        self.place: str | None = None
        self.hinted = False
        self.cautions: set[str] = set()
        self.summed: list[tuple[str, str]] | None = None
        self.refresh()

    @property
    def journal(self) -> list[Entry]:
        return self.file.entries

    def refresh(self, known: Consultation | None = None) -> None:
        """Works everything out anew from the journal, unless that has just been done."""
        self.now: Consultation = known or consult(self.ruleset, self.journal)
        self.plan: Agenda = agenda(self.now)

    def say(self, *lines: Line) -> None:
        self.asker.show(list(lines))

    # the loop ---------------------------------------------------------------------------

    def run(self) -> bool:
        """Talks until everything is asked (True) or the person leaves (False)."""
        if self.now.urgency.rank <= Urgency.HAVE_LOOKED_AT.rank:
            self.say(*advice_lines(self.now))
        try:
            while self.plan.next is not None:
                self.sum_up(self.plan.next)
                if not self.turn(self.plan.next):
                    return False
            self.sum_up(None)
            self.say(*deadline_lines(self.now))
        except Left:
            self.say(Line("blank"))
            return False
        return True

    def sum_up(self, prompt: Prompt | None) -> None:
        """Says what was found once the walk is done, before what is asked at the end."""
        if prompt is not None and prompt.why != "end":
            self.summed = None
            return
        findings = [(f.rule.rule, f.at) for f in self.now.findings]
        if self.summed != findings:
            self.say(Line("blank"), *summary_lines(self.now, complete=True, pictured=True))
            self.summed = findings

    def turn(self, prompt: Prompt) -> bool:
        """Asks one prompt until it is answered or something else is done; False to leave."""
        self.arrive(prompt)
        self.say(*self.fresh_cautions(ask_lines(self.now, prompt)))
        misses = 0
        if not self.hinted:
            self.say(Line("hint", HINT))
            self.hinted = True
        while True:
            typed = self.asker.ask("> ")
            words = clean(typed)
            if not words:
                self.say(Line("aside", "Nothing was typed. Type an answer, or help."))
                continue
            if self.change_of_plan(prompt, words):
                return True
            question = self.ruleset.questions.get(prompt.question or "")
            heard = command_of(words, question)
            if heard is not None:
                done = sidestep(self, heard.command, heard.rest, prompt)
                if done is not None:
                    return done
                continue
            if self.answer(prompt, words):
                return True
            misses += 1
            if misses == 2:
                self.say(Line("aside", "Type help for what else you can say, or don't know."))

    def arrive(self, prompt: Prompt) -> None:
        """Says where to go when the place changes, with the cautions of that place."""
        self.say(Line("blank"), progress_line(self.now, self.plan))
        if prompt.place != self.place:
            self.place = prompt.place
            stop = self.ruleset.places[prompt.place]
            if stop.arrive:
                self.say(Line("text", stop.arrive))
            self.cautions.clear()
            lines = [Line("caution", self.ruleset.cautions[c]) for c in stop.cautions]
            self.say(*self.fresh_cautions(lines))

    def fresh_cautions(self, lines: list[Line]) -> list[Line]:
        """Leaves out cautions already shown at this place, so that new ones are seen."""
        fresh = [ln for ln in lines if ln.kind != "caution" or ln.text not in self.cautions]
        self.cautions |= {line.text for line in fresh if line.kind == "caution"}
        return fresh

    def change_of_plan(self, prompt: Prompt, words: str) -> bool:
        """Takes "I have 10 minutes", "no helper" or "it's dark", and says what changes."""
        today = self.now.state.context.today
        heard = plan_of(words, self.ruleset, prompt.question, today)
        if heard is None or self.is_answer(prompt, words):
            return False
        turn = self.next_turn()
        if heard.timed:
            planned = Planned(turn=turn, minutes=heard.minutes, words=words, when=self.clock())
            self.keep([planned])
            self.say(*plan_lines(self.now, self.plan))
            return True
        kit = str(self.ruleset.about.kit)
        picks = set(self.now.readings.reading(kit, "").picks or ())
        if heard.lost and heard.lost not in picks:
            return False  # it is known already, so the words are about this check
        picks = picks - {heard.lost} if heard.lost else picks | {str(heard.gained)}
        has = tuple(w for w in self.ruleset.questions[kit].words() if w in picks)
        said = self.said(turn, kit, "", Answer(words=has), words)
        self.keep([said])
        self.say(Line("aside", "Noted. Where a check needs it, I say the way round."))
        return True

    def is_answer(self, prompt: Prompt, words: str) -> bool:
        """Whether words are a sure answer to the question in hand, which then comes first."""
        question = self.ruleset.questions.get(prompt.question or "")
        if question is None:
            return False
        heard = understand(words, question, today=self.now.state.context.today)
        return isinstance(heard, Understood) and heard.sure and heard.answer.state == "value"

    # answers ----------------------------------------------------------------------------

    def answer(self, prompt: Prompt, words: str) -> bool:
        """Takes the words as an answer; False if they were not understood."""
        entries = self.understood(prompt, words)
        if entries is None:
            return False
        self.keep(entries)
        return True

    def understood(self, prompt: Prompt, words: str) -> list[Entry] | None:
        """The entries that the words mean, or None after saying what was not clear."""
        turn = self.next_turn()
        if prompt.group:
            return self.understood_group(prompt, words, turn)
        question = self.ruleset.questions[str(prompt.question)]
        heard = understand(words, question, today=self.now.state.context.today)
        if isinstance(heard, Unclear):
            self.unclear(heard)
            return None
        if not self.confirmed(heard):
            return None
        return [self.said(turn, str(prompt.question), prompt.at, heard.answer, words)]

    def understood_group(self, prompt: Prompt, words: str, turn: int) -> list[Entry] | None:
        rs = self.ruleset
        items = []
        for question, at in prompt.items:
            axis = rs.questions[question].each
            hear = tuple(rs.member(axis, at).hear) if axis and at else ()
            items.append(GroupItem(question, at, item_label(rs, question, at), hear))
        if rs.questions[prompt.items[0][0]].kind in ("quantity", "count"):
            return self.understood_numbers(prompt, words, turn, items)
        heard = understand_group(words, items)
        if isinstance(heard, Unclear):
            self.unclear(heard)
            return None
        if not self.confirmed(heard):
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
            entries.append(self.said(turn, question, at, answer, words, prompt.group))
        if not entries:
            self.say(Line("aside", "Then I ask about each of them."))
            group = str(prompt.group)
            entries.append(Opened(turn=turn, group=group, words=words[:2000], when=self.clock()))
        return entries

    def understood_numbers(
        self, prompt: Prompt, words: str, turn: int, items: list[GroupItem]
    ) -> list[Entry] | None:
        question = self.ruleset.questions[prompt.items[0][0]]
        heard = understand_numbers(words, items, question, today=self.now.state.context.today)
        if isinstance(heard, Unclear):
            self.unclear(heard)
            return None
        if not self.confirmed(heard):
            return None
        return [
            self.said(turn, name, at, answer, words)
            for (name, at), answer in zip(prompt.items, heard.answers, strict=True)
            if answer is not None
        ]

    def said(
        self,
        turn: int,
        question: str,
        at: str,
        answer: Answer,
        words: str,
        group: str | None = None,
    ) -> Said:
        return Said(
            turn=turn,
            question=question,
            at=at,
            answer=answer,
            words=words[:2000],
            group=group,
            when=self.clock(),
        )

    def unclear(self, heard: Unclear) -> None:
        self.say(Line("text", heard.message))
        if heard.offers:
            self.say(Line("text", "Did you mean: " + "; ".join(heard.offers) + "?", 2))

    def confirmed(self, heard: Understood | GroupHeard | NumbersHeard) -> bool:
        """Says what was understood; asks where it is not sure."""
        self.say(Line("heard", heard.echo))
        if heard.sure or self.yes("Is that right?"):
            return True
        self.say(Line("aside", "Then it is not kept. Please type your answer in other words."))
        return False

    def yes(self, question: str) -> bool:
        """A plain yes or no. Anything else is asked again, and counts as no in the end."""
        for _ in range(3):
            words = clean(self.asker.ask(f"{question} (yes or no) > ".lstrip()))
            heard = understand(words, _YES_OR_NO, today=self.now.state.context.today)
            if isinstance(heard, Understood) and heard.answer.word:
                return heard.answer.word == "yes"
            spoken = command_of(words)
            if spoken is not None and spoken.command is Command.STOP:
                raise Left
            if spoken is not None and spoken.command is Command.BACK:
                return False
            self.say(Line("text", "Please type yes or no."))
        return False

    def next_turn(self) -> int:
        return max(e.turn for e in self.journal) + 1

    # keeping ----------------------------------------------------------------------------

    def keep(self, entries: list[Entry]) -> bool:
        """Writes entries to disk, reasons, and says what is new; False if it was not kept.

        Entries that would take a danger away are kept only when that is confirmed.
        """
        trial = consult(self.ruleset, [*self.journal, *entries])
        lost = self.lost_dangers(trial)
        if lost:
            if not self.confirm_loss(lost):
                self.say(Line("aside", "Then nothing is changed."))
                return False
            entries = [
                e.model_copy(update={"confirmed": True}) if isinstance(e, Corrected | Mended) else e
                for e in entries
            ]
        before = {(f.rule.rule, f.at) for f in self.now.findings}
        self.file.append(entries)
        self.refresh(None if lost else trial)
        new = [f for f in self.now.findings if (f.rule.rule, f.at) not in before]
        self.interrupt([f for f in new if f.urgency.rank <= Urgency.HAVE_LOOKED_AT.rank])
        for finding, parts in together(
            f for f in new if f.urgency.rank > Urgency.HAVE_LOOKED_AT.rank
        ):
            where = f"{parts}: " if parts else ""
            self.say(Line("found", f"{where}{finding.rule.say} {URGENCY_WORDS[finding.urgency]}."))
        if lost:
            self.say(Line("text", "Noted. Have it confirmed by a garage; it stays on the sheet."))
        return True

    def interrupt(self, dangers: list[Finding]) -> None:
        """Says a danger in the same turn, before anything else is asked."""
        if dangers:
            self.say(*danger_lines(self.now, dangers))

    def lost_dangers(self, trial: Consultation) -> list[Finding]:
        """The findings of today that say do not drive, and would be gone after a change."""
        stays = {(f.rule.rule, f.at) for f in trial.findings}
        return [
            f
            for f in self.now.findings
            if f.urgency.rank <= Urgency.DO_NOT_DRIVE.rank and (f.rule.rule, f.at) not in stays
        ]

    def confirm_loss(self, lost: list[Finding]) -> bool:
        for finding in lost:
            where = f"{finding.at_words}: " if finding.at_words else ""
            self.say(
                Line("text", f"This takes away '{URGENCY_WORDS[finding.urgency]}' for: "
                             f"{where}{finding.rule.say}")
            )  # fmt: skip
        self.say(Line("text", "It will stay on the sheet, as something to have confirmed."))
        return self.yes("Are you certain?")
