"""One consultation as a talk: ask, understand, write down, reason, say, ask again.

An answer is on the disk before it is said to be understood, and before the engine hears it; only
one that has to be confirmed waits for that. Everything shown is worked out from
the journal, so stopping anywhere and picking it up again gives the same screen.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable

from assistant.choosing.agenda import Agenda, Prompt, agenda
from assistant.choosing.next_check import told_symptoms
from assistant.journal.entries import Answer, Corrected, Entry, Mended, Said
from assistant.journal.file import JournalFile
from assistant.reading.command_words import Command
from assistant.reading.commands import command_of, term_asked
from assistant.reading.danger_words import DangerTold, dangers_told, sounds_like_chat
from assistant.reading.text import TOO_LONG, in_pieces
from assistant.reasoning.consultation import Consultation, SymptomFound, consult
from assistant.reasoning.findings import Finding
from assistant.reasoning.inferring import engine_for
from assistant.report.drive import headline_words
from assistant.report.findings import (
    caution_lines,
    danger_lines,
    found_line,
    is_another,
    lifted_line,
    stood_down_line,
    together,
    told_danger_lines,
)
from assistant.report.lines import Line, texts
from assistant.report.prompts import HINT, ask_lines, left_lines, progress_line, rest_lines
from assistant.report.summary import (
    advice_lines,
    deadline_lines,
    due_lines,
    left_out_line,
    summary_lines,
    symptom_lines,
)
from assistant.ruleset.about_file import Stop
from assistant.ruleset.models import Act, Urgency
from assistant.ruleset.ruleset import Ruleset
from assistant.talk import confirming
from assistant.talk.asking import Asker, Left
from assistant.talk.choosing import yes_or_no
from assistant.talk.dangers import act_on, answers_it
from assistant.talk.hearing import Heard, change_of_plan, hear


class Talk:
    """A consultation in progress.

    clock gives the words for "when" beside each answer; it is never read by the reasoning.
    once_kept: what is said of an answer as soon as it is on the disk, and not before.
    announced: a danger that was told has had its box, so that the talk need not begin with it.
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
        self.visit: Stop | None = None
        self.rested = False
        self.hinted = False
        self.cautions: set[str] = set()
        self.summed: list[tuple[str, str]] | None = None
        self.forbidden: frozenset[Act] = frozenset()
        self.once_kept: list[Line] = []
        self.typed_ahead = ""
        self.announced = False
        self.due_said = False
        self.refresh()
        self.advised = self.now.headline
        self.told: set[str] = {f.symptom.symptom for f in self.looked_into()}

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
        if self.now.headline.kind == "danger" and not self.announced:
            self.say(*advice_lines(self.now))
        self.say_left_out()
        try:
            while self.plan.next is not None:
                self.explain_told()
                self.sum_up(self.plan.next)
                self.say_due()
                if not self.turn(self.plan.next):
                    return False
            self.explain_told()
            self.sum_up(None)
            self.say(*deadline_lines(self.now))
        except Left:
            self.say(Line("blank"))
            return False
        return True

    def say_due(self) -> None:
        """Once, as soon as it is known."""
        calendar = self.ruleset.calendar
        asked = calendar and (calendar.answers.expiry, "") in self.now.state.answers
        if asked and not self.due_said and (lines := due_lines(self.now)):
            self.due_said = True
            self.say(*lines)

    def looked_into(self) -> list[SymptomFound]:
        """The symptoms told of for which there is nothing more to ask at once."""
        open_ = {p.deciding.symptom.symptom.symptom for p in self.plan.prompts if p.deciding}
        waits = any(p.why in ("triage", "worry", "at once") for p in self.plan.prompts)
        found = [] if waits else told_symptoms(self.now)
        return [f for f in found if f.symptom.symptom not in open_]

    def explain_told(self) -> None:
        """Says once what may be behind each thing that was told, when no check is left for it."""
        for found in self.looked_into():
            if found.symptom.symptom not in self.told:
                self.told.add(found.symptom.symptom)
                self.say(Line("blank"), *symptom_lines(self.now, found))

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
        engine_for(self.ruleset).prepare()

        def reads(words: str, dangers: Iterable[str]) -> bool:
            return answers_it(self, prompt, words, dangers)

        while True:
            try:
                heard = hear(self, prompt, self.ask("> ", reads))
            except DangerTold as danger:
                if act_on(self, danger, prompt):
                    return True
                self.say(
                    Line("text", "Then on with the walk. I still ask:"),
                    *ask_lines(self.now, prompt),
                )
                continue
            if heard in (Heard.DONE, Heard.LEAVE):
                return heard is Heard.DONE
            misses += heard is Heard.MISSED
            if heard is Heard.MISSED and misses == 2:
                self.say(Line("aside", "Type help for what else you can say, or don't know."))

    def ask(self, shown: str, reads: Callable[[str, Iterable[str]], bool] | None = None) -> str:
        """Reads a line. Raises DangerTold where the words tell of a danger, whatever was asked.

        Whether the car may be driven, and what a word means, is answered there and then.
        A line that is too long to be kept whole is not taken, but for a danger in it. reads:
        whether such words are an answer to what is asked, which then comes first.
        """
        ahead, self.typed_ahead = self.typed_ahead, ""
        while len(pieces := in_pieces(typed := ahead or self.asker.ask(shown))) > 1:
            for piece in pieces:
                if dangers := dangers_told(self.ruleset, piece):
                    rest = "I act on what sounds like a danger in it. Tell me the rest in parts."
                    self.say(Line("aside", f"{TOO_LONG} {rest}"))
                    raise DangerTold(piece, dangers, sounds_like_chat(self.ruleset, piece))
            rest = "Nothing of it was taken. Please say it in shorter parts."
            self.say(Line("aside", f"{TOO_LONG} {rest}"))
        (words,) = pieces
        dangers = dangers_told(self.ruleset, words)
        if dangers and not (reads and reads(words, dangers)):
            heard = command_of(words)
            told = heard.rest if heard is not None and heard.command is Command.WORRY else ""
            chat = not told and sounds_like_chat(self.ruleset, words)
            raise DangerTold(told or words, dangers, chat)
        if not dangers and (lines := self.told_at_once(words)):
            self.say(*lines)
            return self.ask(shown, reads)
        within = reads is None and "(yes or no)" not in shown
        if within and not dangers and change_of_plan(self, words):
            return self.ask(shown, reads)
        return typed

    def told_at_once(self, words: str) -> list[Line]:
        """What is said at any prompt, and changes nothing."""
        heard = command_of(words)  # the name of such a command is one too
        if heard is not None and heard.command is Command.DRIVE:
            return advice_lines(self.now)
        if heard is not None and heard.command is Command.LEFT:
            return left_lines(self.now, self.plan)
        word = term_asked(words, self.ruleset)
        return texts([f"{word}: {self.ruleset.glossary[word].say}"]) if word else []

    def arrive(self, prompt: Prompt) -> None:
        """Says where to go when the place changes, with the cautions of that place.

        Nobody is sent to a place that a danger forbids: what is asked of it is asked from afar.
        """
        if self.rests_before(prompt):
            self.rested = True
            self.say(Line("blank"), *rest_lines(self.now, self.plan))
        self.say(Line("blank"), progress_line(self.now, self.plan))
        place = self.ruleset.places[prompt.place]
        forbidden = not self.now.hazards.forbids.isdisjoint(place.acts)
        if prompt.safely or prompt.hazard or forbidden:
            return
        here = (prompt.place, prompt.stop or self.visit)
        if here != (self.place, self.visit):
            self.place, self.visit = here
            if arrive := prompt.arrive(self.ruleset):
                self.say(Line("text", arrive))
            self.cautions.clear()
            self.say(*self.fresh_cautions(caution_lines(self.ruleset, place.cautions)))

    def rests_before(self, prompt: Prompt) -> bool:
        """Whether the first round has just been done, with no time named: a place to stop."""
        if self.rested or prompt.round != 2 or self.plan.budget is not None:
            return False
        return all(p.round != 1 for p in self.plan.prompts)

    def fresh_cautions(self, lines: list[Line]) -> list[Line]:
        """Leaves out cautions already shown at this place, so that new ones are seen."""
        fresh = [ln for ln in lines if ln.kind != "caution" or ln.text not in self.cautions]
        self.cautions |= {line.text for line in fresh if line.kind == "caution"}
        return fresh

    # answers ----------------------------------------------------------------------------

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

    def worry_answered(self, turn: int, words: str) -> list[Entry]:
        """The answer to the question what worries the person, where it was told instead."""
        worry = self.ruleset.about.worry
        return [self.said(turn, worry, "", Answer(text=words[:2000]), words)] if worry else []

    def yes(self, question: str, otherwise: bool = False) -> bool:
        """A plain yes or no. Anything else counts as otherwise, and is read by what asks next."""
        return yes_or_no(self, question, otherwise)

    def next_turn(self) -> int:
        return max(e.turn for e in self.journal) + 1

    # keeping ----------------------------------------------------------------------------

    def keep(self, entries: list[Entry]) -> bool:
        """Writes entries to disk, says that they are heard, reasons, and says what is new.

        Only entries that could take a danger away are tried first, and those that would are
        written only when that is confirmed; False where it is not.
        """
        asked = entries
        entries = confirming.not_taken_back(self, entries)
        if asked and not entries:
            self.once_kept.clear()
            return False
        trial = None
        if any(confirming.may_take_away(self, entry) for entry in entries):
            trial = consult(self.ruleset, [*self.journal, *entries])
        lost = confirming.lost_dangers(self, trial) if trial else []
        words_lost = confirming.lost_words(self, trial) if trial else []
        if words_lost or (trial and lost and not confirming.is_as_grave(self, lost, trial)):
            if not confirming.confirm_loss(self, lost, words_lost):
                self.once_kept.clear()
                seen = confirming.seen_besides(self, entries)
                if seen:
                    self.say(Line("text", "Then what you said before stays, and what you see now "
                                          "is added to it."))  # fmt: skip
                    return self.keep(seen)
                self.say(Line("aside", "Then nothing is changed."))
                return False
            entries = [
                e.model_copy(update={"confirmed": True}) if isinstance(e, Corrected | Mended) else e
                for e in entries
            ]
        before = self.now
        self.file.append(entries)
        self.say(*self.once_kept)
        self.once_kept.clear()
        self.refresh(None if lost else trial)
        self.say_new(before)
        if lost:
            self.say(Line("text", "Noted. Have it confirmed by a garage; it stays on the sheet."))
        return True

    def say_new(self, before: Consultation) -> None:
        """Says what stands now and did not before: dangers first, then the rest."""
        known = {(one.name, one.worry.turn) for one in before.told}
        told = [one for one in self.now.told if (one.name, one.worry.turn) not in known]
        if told:
            self.say(*told_danger_lines(self.now, told))
        stood = {(f.rule.rule, f.at) for f in before.findings}
        new = [f for f in self.now.findings if (f.rule.rule, f.at) not in stood]
        grave = [f for f in new if f.urgency.rank <= Urgency.HAVE_LOOKED_AT.rank]
        seen = [f for f in grave if not f.rule.unseen]
        self.interrupt(seen, before, boxed=not told)
        self.say_found([f for f in new if f not in grave])
        if not told and not seen:
            self.say_advice()
        if not self.now.pending:
            self.advised = self.now.headline
        down = {(s.rule.rule, s.at) for s in before.stood_down}
        self.say(
            *(stood_down_line(s) for s in self.now.stood_down if (s.rule.rule, s.at) not in down)
        )
        lifted = {(one.name, one.worry.turn) for one in before.lifted}
        since = (one for one in self.now.lifted if (one.name, one.worry.turn) not in lifted)
        self.say(*map(lifted_line, since))
        self.say_left_out()

    def say_found(self, findings: list[Finding]) -> None:
        """Says what was found that is no danger by itself."""
        self.say(*(found_line(self.now, found, parts) for found, parts in together(findings)))

    def say_advice(self) -> None:
        """Says the one advice for the car, where what is no danger by itself has made it graver.

        It waits for what a rule wants to know at once: that may be graver still.
        """
        if self.now.pending:
            return
        now, then = self.now.headline, self.advised
        words = headline_words(now)
        graver = then.kind != "danger" or now.urgency.rank < then.urgency.rank
        worse = graver or set(now.conditions) - set(then.conditions)
        if now.kind == "danger" and worse and words != headline_words(then):
            self.say(Line("text", f"So for the car as a whole: {words[:1].lower()}{words[1:]}."))

    def say_left_out(self) -> None:
        """Says in one line what the standing dangers forbid, where that has changed."""
        hazards = self.now.hazards
        count = len(self.plan.forbidden)
        if hazards.forbids != self.forbidden and count and hazards.waiting is None:
            self.say(left_out_line(self.now, count))
        if hazards.waiting is None:
            self.forbidden = hazards.forbids

    def interrupt(self, dangers: list[Finding], before: Consultation, boxed: bool) -> None:
        """Says a danger in the same turn, before anything else is asked. One danger, one box."""
        boxed = boxed and any(is_another(self.now, finding, before) for finding in dangers)
        if dangers:
            self.say(*danger_lines(self.now, dangers, boxed))
