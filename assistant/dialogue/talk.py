"""One consultation as a talk: ask, understand, write down, reason, say, ask again.

The journal is on disk before the engine hears an answer. Everything shown is worked out from
the journal, so stopping anywhere and picking it up again gives the same screen.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable

from assistant.dialogue.asking import Asker, Left, Line
from assistant.dialogue.commands import Command, command_of
from assistant.dialogue.phrasing import (
    HINT,
    ask_lines,
    danger_lines,
    help_lines,
    how_lines,
    item_label,
    means_lines,
    plural,
    progress_line,
    summary_lines,
    together,
    trail_lines,
    why_lines,
)
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
    Said,
    TookBack,
    active_entries,
)
from assistant.knowledge.models import Question, Urgency
from assistant.knowledge.ruleset import Ruleset
from assistant.knowledge.wording import URGENCY_WORDS, answer_words
from assistant.reasoning.agenda import Agenda, Prompt, agenda
from assistant.reasoning.card import numbered_prompts
from assistant.reasoning.consultation import Consultation, Finding, consult
from assistant.reasoning.trail import answers_under, trail_of
from assistant.reasoning.why import why_asked, with_answer
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
        self.refresh()

    @property
    def journal(self) -> list[Entry]:
        return self.file.entries

    def refresh(self) -> None:
        """Works everything out anew from the journal."""
        self.now: Consultation = consult(self.ruleset, self.journal)
        self.plan: Agenda = agenda(self.now)

    def say(self, *lines: Line) -> None:
        self.asker.show(list(lines))

    # the loop ---------------------------------------------------------------------------

    def run(self) -> bool:
        """Talks until everything is asked (True) or the person leaves (False)."""
        if self.now.urgency.rank <= Urgency.HAVE_LOOKED_AT.rank:
            self.interrupt([])
        try:
            while self.plan.next is not None:
                if not self.turn(self.plan.next):
                    return False
            self.say(Line("blank"), *summary_lines(self.now, complete=True))
        except Left:
            self.say(Line("blank"))
            return False
        return True

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
            question = self.ruleset.questions.get(prompt.question or "")
            heard = command_of(words, question)
            if heard is not None:
                done = self.command(heard.command, heard.rest, prompt)
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

    # answers ----------------------------------------------------------------------------

    def answer(self, prompt: Prompt, words: str) -> bool:
        """Takes the words as an answer; False if they were not understood."""
        entries = self.understood(prompt, words)
        if entries is None:
            return False
        return self.keep(entries)

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
                answer = Answer(state="dont_know")
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
            first = self.ask_one(prompt.items[0])
            return None if first is None else [first]
        return entries

    def ask_one(self, item: tuple[str, str]) -> Said | None:
        """Asks one item of a group on its own, because all of them were named."""
        question, at = item
        single = Prompt(question, at, None, (item,), str(self.place), "opened here", 1, 0)
        self.say(*ask_lines(self.now, single))
        while True:
            words = clean(self.asker.ask("> "))
            model = self.ruleset.questions[question]
            heard = understand(words, model, today=self.now.state.context.today)
            if isinstance(heard, Understood):
                if not self.confirmed(heard):
                    continue
                group = f"{model.group}@{self.ruleset.place_of(question, at)}"
                return self.said(self.next_turn(), question, at, heard.answer, words, group)
            if command_of(words, model) is not None:
                return None
            self.unclear(heard)

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

    def confirmed(self, heard: Understood | GroupHeard) -> bool:
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
        """Writes entries to disk, reasons, and says what is new. A lost danger is confirmed."""
        trial = consult(self.ruleset, [*self.journal, *entries])
        lost = self.lost_dangers(trial)
        if lost:
            if not self.confirm_loss(lost):
                self.say(Line("aside", "Then nothing is changed."))
                return True
            entries = [
                e.model_copy(update={"confirmed": True}) if isinstance(e, Corrected | Mended) else e
                for e in entries
            ]
        before = {(f.rule.rule, f.at) for f in self.now.findings}
        self.file.append(entries)
        self.refresh()
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
        if not dangers and self.journal_is_resumed():
            dangers = [f for f in self.now.findings if f.urgency == self.now.urgency]
        if dangers:
            self.say(*danger_lines(self.now, dangers))

    def journal_is_resumed(self) -> bool:
        return self.place is None

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

    # commands ---------------------------------------------------------------------------

    def command(self, command: Command, rest: str, prompt: Prompt) -> bool | None:
        """Does a command. True: go on with a new prompt; False: leave; None: same prompt."""
        if command is Command.STOP:
            self.leave()
            return False
        if command is Command.BACK:
            return self.back(TookBack)
        if command is Command.REDO:
            return self.redo()
        if command is Command.WRONG:
            return self.change(rest)
        if command is Command.MENDED:
            return self.mended(rest)
        if command is Command.CARD:
            return self.card()
        if command is Command.WHATIF:
            self.what_if(rest, prompt)
        elif command is Command.FOUND:
            self.found()
        else:
            self.say(*self.explained(command, prompt))
        return None

    def explained(self, command: Command, prompt: Prompt) -> list[Line]:
        if command is Command.HOW:
            return how_lines(self.now, prompt)
        if command is Command.MEANS:
            return means_lines(self.now, prompt)
        if command is Command.WHY:
            return why_lines(self.now, why_asked(self.now, self.journal, prompt))
        return help_lines()

    def leave(self) -> None:
        self.say(
            *summary_lines(self.now, complete=False),
            Line("blank"),
            Line("text", "Everything you said is kept. Start sidelight again to go on."),
        )

    def back(self, kind: type[TookBack]) -> bool | None:
        """Takes back the last turn."""
        turns = [e.turn for e in active_entries(self.journal) if e.turn > 0]
        if not turns:
            self.say(Line("aside", "There is nothing to take back."))
            return None
        of = max(turns)
        self.keep([kind(turn=self.next_turn(), of=of, when=self.clock())])
        self.say(Line("aside", "Taken back. Type redo to have it again."))
        return True

    def redo(self) -> bool | None:
        """Brings back what the last "back" took, if nothing was said since."""
        last = self.journal[-1]
        if not isinstance(last, TookBack):
            self.say(Line("aside", "There is nothing to bring again."))
            return None
        steps = [e for e in self.journal if isinstance(e, TookBack)]
        undone = {e.of for e in steps}
        open_steps = [e for e in steps if e.turn not in undone and not self.is_redo(e)]
        if not open_steps:
            self.say(Line("aside", "There is nothing to bring again."))
            return None
        self.keep([TookBack(turn=self.next_turn(), of=open_steps[-1].turn, when=self.clock())])
        self.say(Line("aside", "It stands again."))
        return True

    def is_redo(self, step: TookBack) -> bool:
        return any(isinstance(e, TookBack) and e.turn == step.of for e in self.journal)

    def change(self, rest: str) -> bool | None:
        """Lets the person pick an earlier answer and give another."""
        said = self.pick_answer(rest, "Which answer was wrong?")
        if said is None:
            return None
        entry = self.new_answer(said, Corrected)
        return None if entry is None else self.keep([entry])

    def pick_answer(self, rest: str, question: str) -> Said | None:
        given = list(self.now.state.answers.values())[::-1]
        if not given:
            self.say(Line("aside", "Nothing has been answered yet."))
            return None
        rs = self.ruleset
        labels = [item_label(rs, s.question, s.at) for s in given]
        if rest:
            hits = [i for i, label in enumerate(labels) if rest.lower() in label.lower()]
            if len(hits) == 1:
                return given[hits[0]]
        shown = 12
        while True:
            self.say(Line("question", question))
            for number, (label, s) in enumerate(zip(labels, given, strict=True), start=1):
                if number > shown:
                    break
                words = answer_words(rs.questions[s.question], s.answer)
                self.say(Line("choice", f"{number}. {label}: {words}", 2))
            if len(given) > shown:
                self.say(Line("hint", "Type a number, part of the name, 'more', or 'none'."))
            else:
                self.say(Line("hint", "Type a number, part of the name, or 'none'."))
            words = clean(self.asker.ask("> ")).lower()
            if words in ("", "none", "no", "back", "stop"):
                return None
            if words == "more":
                shown += 20
                continue
            if words.isdigit() and 1 <= int(words) <= len(given):
                return given[int(words) - 1]
            hits = [i for i, label in enumerate(labels) if words in label.lower()]
            if len(hits) == 1:
                return given[hits[0]]
            self.say(Line("text", f"I found {plural(len(hits), 'answer')} like that."))

    def new_answer(self, said: Said, kind: type[Said]) -> Said | None:
        question = self.ruleset.questions[said.question]
        single = Prompt(
            said.question, said.at, None, ((said.question, said.at),),
            self.ruleset.place_of(said.question, said.at), "opened here", 1, 0,
        )  # fmt: skip
        self.say(*ask_lines(self.now, single))
        for _ in range(5):
            words = clean(self.asker.ask("> "))
            heard = understand(words, question, today=self.now.state.context.today)
            if isinstance(heard, Unclear):
                self.unclear(heard)
            elif self.confirmed(heard):
                return kind(
                    turn=self.next_turn(),
                    question=said.question,
                    at=said.at,
                    answer=heard.answer,
                    words=words[:2000],
                    when=self.clock(),
                )
        self.say(Line("aside", "Then the earlier answer stands."))
        return None

    def mended(self, rest: str) -> bool | None:
        """Marks what a finding rests on as repaired, so that it is looked at anew."""
        if not self.now.findings:
            self.say(Line("aside", "Nothing has been found that needs mending."))
            return None
        finding = self.pick_finding("What has been mended?", rest)
        if finding is None:
            return None
        trail = trail_of(self.now, finding.rule.rule, finding.at)
        start = {p.place for p in self.ruleset.about.walk if p.stage != "walk"}
        answers = [
            s for s in answers_under(trail) if self.ruleset.questions[s.question].place not in start
        ] or answers_under(trail)
        turn = self.next_turn()
        entries: list[Entry] = [
            Mended(turn=turn, question=s.question, at=s.at, words=rest[:2000], when=self.clock())
            for s in answers
        ]
        self.keep(entries)
        self.say(Line("text", "Good. Have another look at it now; I ask again."))
        return True

    def pick_finding(self, question: str, rest: str = "") -> Finding | None:
        findings = self.now.findings
        if rest:
            hits = [f for f in findings if rest.lower() in f"{f.at_words} {f.rule.say}".lower()]
            if len(hits) == 1:
                return hits[0]
        self.say(Line("question", question))
        for number, finding in enumerate(findings, start=1):
            where = f"{finding.at_words}: " if finding.at_words else ""
            self.say(Line("choice", f"{number}. {where}{finding.rule.say}", 2))
        self.say(Line("hint", "Type a number, or 'none'."))
        words = clean(self.asker.ask("> "))
        if words.isdigit() and 1 <= int(words) <= len(findings):
            return findings[int(words) - 1]
        return None

    def found(self) -> None:
        """The summary, and on demand how each finding came about."""
        self.say(*summary_lines(self.now, complete=False))
        while self.now.findings:
            finding = self.pick_finding("See how one of them came about?")
            if finding is None:
                return
            self.say(*trail_lines(trail_of(self.now, finding.rule.rule, finding.at)))

    def what_if(self, rest: str, prompt: Prompt) -> None:
        """Tries an answer on a copy of the journal and says what would be different."""
        item, words = self.what_if_item(rest, prompt)
        if item is None:
            return
        question, at = item
        model = self.ruleset.questions[question]
        if not words:
            self.say(
                Line("question", f"What if {item_label(self.ruleset, question, at)} was what?")
            )
            words = clean(self.asker.ask("> "))
        heard = understand(words, model, today=self.now.state.context.today)
        if isinstance(heard, Unclear):
            self.unclear(heard)
            return
        trial = consult(self.ruleset, with_answer(self.journal, question, at, heard.answer, words))
        label = item_label(self.ruleset, question, at)
        self.say(Line("title", f"If '{label}' was '{heard.echo}' (only tried, not kept):"))
        before = {(f.rule.rule, f.at): f for f in self.now.findings}
        after = {(f.rule.rule, f.at): f for f in trial.findings}
        for key, finding in after.items():
            if key not in before:
                words_ = URGENCY_WORDS[finding.urgency]
                self.say(Line("text", f"New: {finding.at_words} {finding.rule.say} {words_}.", 2))
        for key, finding in before.items():
            if key not in after:
                self.say(Line("text", f"Gone: {finding.at_words} {finding.rule.say}", 2))
        if before.keys() == after.keys():
            self.say(Line("text", "Nothing else would follow.", 2))

    def what_if_item(self, rest: str, prompt: Prompt) -> tuple[tuple[str, str] | None, str]:
        """Which question a "what if" is about, and the words of the answer."""
        low = rest.lower()
        known = [*prompt.items, *self.now.state.answers]
        named = [i for i in known if item_label(self.ruleset, *i).lower() in low]
        if named:
            item = max(named, key=lambda i: len(item_label(self.ruleset, *i)))
            label = item_label(self.ruleset, *item).lower()
            words = rest[low.index(label) + len(label) :]
            for lead in (" was ", " were ", " is ", " are ", " had been "):
                if words.lower().startswith(lead):
                    words = words[len(lead) :]
            return item, words.strip(" ,.:?")
        if prompt.group:
            self.say(
                Line("text", "Say which one, for example: what if "
                             f"{item_label(self.ruleset, *prompt.items[0])} was ...")
            )  # fmt: skip
            return None, ""
        words = rest.strip(" ,.:?")
        for lead in ("it was ", "it is ", "it were ", "the answer was ", "i said "):
            if words.lower().startswith(lead):
                words = words[len(lead) :]
        return prompt.items[0], words

    def card(self) -> bool:
        """Takes answers by their number on the card, until an empty line."""
        prompts = numbered_prompts(self.ruleset, self.journal)
        self.say(
            Line("text", "Type a number from the card and its answer, such as '7 about 3 mm'. "
                         "An empty line goes back to the questions.")
        )  # fmt: skip
        while True:
            words = clean(self.asker.ask("card > "))
            if not words or words.lower() in ("stop", "back", "done", "end"):
                return True
            number, _, answer = words.replace(":", " ", 1).replace(".", " ", 1).partition(" ")
            if not number.isdigit() or not 1 <= int(number) <= len(prompts):
                self.say(
                    Line("text", f"The card has the numbers 1 to {len(prompts)}. "
                                 "Type one of them, then the answer.")
                )  # fmt: skip
                continue
            prompt = prompts[int(number) - 1]
            if not answer.strip():
                self.say(*ask_lines(self.now, prompt))
                continue
            self.say(Line("aside", self.card_title(prompt)))
            self.answer(prompt, answer.strip())

    def card_title(self, prompt: Prompt) -> str:
        if prompt.group:
            return self.ruleset.groups[prompt.group.partition("@")[0]].ask
        return item_label(self.ruleset, str(prompt.question), prompt.at)
