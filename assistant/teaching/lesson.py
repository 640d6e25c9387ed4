"""The lesson: commands at a step, one screen at a time.

A replay, where in it we are, and what is waiting to be revealed. Nothing is worked out here.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from assistant.journal.class_file import Predicted, append_predictions, read_class, tallies
from assistant.reasoning.trail import trail_of
from assistant.report.findings import trail_lines
from assistant.report.lines import Line
from assistant.ruleset.grammar import plural
from assistant.talk.asking import Asker, Left
from assistant.teaching import steps
from assistant.teaching.choosing import Branch, choose_branch, choose_finding, find_steps
from assistant.teaching.demos import Case
from assistant.teaching.predicting import (
    ask_class,
    names_in,
    reveal_lines,
    score_lines,
    too_much,
)
from assistant.teaching.replay import Replay
from assistant.teaching.screen import Screen, compare_lines, held_lines, step_lines
from assistant.teaching.words import Wish, WishHeard, called_here, wish_of

_VIEWS: dict[Wish, Callable[[Replay, int], list[Line]]] = {
    Wish.KNOWN: steps.known_lines,
    Wish.FIRED: steps.fired_lines,
    Wish.ALMOST: steps.almost_lines,
    Wish.PLAN: steps.plan_lines,
    Wish.CAUSES: steps.cause_lines,
    Wish.URGENCY: steps.urgency_lines,
    Wish.STEPS: steps.steps_lines,
}


class Lesson:
    """A case in a lesson. at: the step shown; held: the next one is shown without its conclusion.

    waiting: predictions by the step they are about, not revealed yet. class_file: where they are
    kept, or None.
    """

    def __init__(
        self,
        replay: Replay,
        case: Case,
        asker: Asker,
        screen: Callable[[], Screen],
        class_file: Path | None = None,
    ) -> None:
        self.main = replay
        self.case = case
        self.asker = asker
        self.screen = screen
        self.class_file = class_file
        self.at = 0
        self.branch: Branch | None = None
        self.pausing = False
        self.held = False
        self.waiting: dict[int, list[Predicted]] = {}
        self.pages: list[list[Line]] = []

    @property
    def replay(self) -> Replay:
        return self.branch.replay if self.branch else self.main

    @property
    def heading(self) -> str:
        name = self.main.context.car or self.case.name
        return f"{name}, with {self.branch.head}" if self.branch else name

    def run(self) -> None:
        """Until quit, or the end of what is typed."""
        lines = [Line("title", self.case.title)]
        if self.case.teaches:
            lines.append(Line("text", f"Teaches: {self.case.teaches}"))
        count = plural(self.main.last, "step")
        lines.append(Line("hint", f"{count}. Type next, or help for all commands."))
        self.show([*lines, Line("blank"), *self.here()])
        try:
            while self.hear(self.asker.ask(f"step {self.at} > ")):
                pass
        except Left:
            pass
        self.asker.show([Line("text", "End of the lesson.")])

    # showing ----------------------------------------------------------------------------

    def show(self, lines: list[Line]) -> None:
        """One screen; what does not fit waits for more."""
        self.pages = self.screen().pages(lines)
        self.show_page()

    def show_page(self) -> None:
        screen = self.screen()
        if screen.clear:
            screen.clear()
        page = self.pages.pop(0)
        if self.pages:
            page = [*page, Line("hint", f"Type more for the rest ({len(self.pages)} to come).")]
        self.asker.show(page)

    def here(self) -> list[Line]:
        """The present screen: the step, or the next one without its conclusion."""
        if self.held:
            return held_lines(self.replay, self.at + 1, self.heading, self.screen())
        return step_lines(self.replay, self.at, self.heading, self.screen())

    def say(self, text: str) -> None:
        """A short word that leaves the screen as it is."""
        self.asker.show([Line("aside", text)])

    # hearing ----------------------------------------------------------------------------

    def hear(self, words: str) -> bool:
        """Does what was typed; False to leave."""
        heard = wish_of(words)
        if heard is None and (wish := called_here(words)):
            self.say(f"That is called {wish.value} here. Type {wish.value}.")
            return True
        if heard is None:
            self.say("I did not understand that. Type next, back, jump and a number, or help.")
            return True
        if heard.wish is Wish.QUIT:
            return False
        if heard.wish in _VIEWS:
            self.show(_VIEWS[heard.wish](self.replay, self.at))
        else:
            self.do(heard)
        return True

    def do(self, heard: WishHeard) -> None:
        does: dict[Wish, Callable[[], None]] = {
            Wish.NEXT: self.next,
            Wish.BACK: self.back,
            Wish.ON: self.run_on,
            Wish.JUMP: lambda: self.jump(heard.rest),
            Wish.PAUSE: lambda: self.pause(heard.rest),
            Wish.TRY: lambda: self.try_out(heard.rest),
            Wish.COMPARE: self.compare,
            Wish.REJOIN: self.rejoin,
            Wish.TRAIL: lambda: self.trail(heard.rest),
            Wish.PREDICT: self.predict,
            Wish.REVEAL: self.reveal,
            Wish.SCORES: self.scores,
            Wish.MORE: self.more,
            Wish.HERE: lambda: self.show(self.here()),
            Wish.HELP: lambda: self.show(steps.help_lines()),
        }
        does[heard.wish]()

    def more(self) -> None:
        if self.pages:
            self.show_page()
        else:
            self.say("There is no more of this screen.")

    # moving -----------------------------------------------------------------------------

    def go(self, number: int) -> None:
        """Shows a step, and what was predicted of it."""
        self.at, self.held = number, False
        lines = self.here()
        revealed = [] if self.branch else self.waiting.pop(number, [])
        if revealed:
            lines += [Line("blank"), *reveal_lines(self.main.consultation(number), revealed)]
        if number == self.replay.last:
            lines.append(Line("aside", "This is the end of the case."))
        self.show(lines)

    def next(self) -> None:
        if self.at == self.replay.last:
            self.say("This is the last step. Type back, jump and a number, or quit.")
        elif self.pausing and not self.held and self.replay.step(self.at + 1).new_findings:
            self.held = True
            self.show(self.here())
        else:
            self.go(self.at + 1)

    def back(self) -> None:
        if self.held:
            self.go(self.at)
        elif self.at == 0:
            self.say("This is the start. Type next.")
        else:
            self.go(self.at - 1)

    def run_on(self) -> None:
        """On to the next conclusion; with pausing on it stops before it is shown."""
        if self.held:
            self.go(self.at + 1)
            return
        for number in range(self.at + 1, self.replay.last + 1):
            waits = number in self.waiting and not self.branch
            if self.replay.step(number).concludes or waits or number == self.replay.last:
                self.at = number - 1
                self.next()
                return
        self.say("This is the last step. Type back, jump and a number, or quit.")

    def pause(self, rest: str) -> None:
        self.pausing = rest != "off"
        if self.pausing:
            self.say("From now on I stop before each new finding. Type on to go to the next one.")
        elif self.held:
            self.say("Pausing is off.")
            self.go(self.at + 1)
        else:
            self.say("Pausing is off.")

    def jump(self, rest: str) -> None:
        if rest == "last":
            self.arrive(self.replay.last)
            return
        if rest.isdigit():
            if int(rest) > self.replay.last:
                self.say(f"There are the steps 0 to {self.replay.last}. Type one of them.")
            else:
                self.arrive(int(rest))
            return
        found = find_steps(self.replay, rest)
        if len(found) == 1:
            self.arrive(found[0])
        elif found:
            rows = steps.steps_lines(self.replay, self.at)
            self.show([Line("title", "Which of them? Type its number."), *(rows[n] for n in found)])
        else:
            self.say("No step has these words. Type steps to see all of them.")

    def arrive(self, number: int) -> None:
        """Goes to a step; with pausing on, a later one with a new finding is held first."""
        if self.pausing and number > self.at and self.replay.step(number).new_findings:
            self.at, self.held = number - 1, True
            self.show(self.here())
        else:
            self.go(number)

    # branches ---------------------------------------------------------------------------

    def try_out(self, rest: str) -> None:
        """Another answer at this step, or at the one that is held; then both beside each other."""
        number = self.at + 1 if self.held else self.at
        branch = choose_branch(self.asker, self.replay, number, rest)
        if branch is None:
            return
        if self.branch is not None:
            branch = branch.after(self.branch)
        self.branch, self.held = branch, False
        self.at = number
        self.compare()

    def compare(self) -> None:
        if self.branch is None:
            self.say("There is no branch yet. Type try, and another answer.")
            return
        screen, branch = self.screen(), self.branch
        heads = (branch.first, branch.head)
        number = self.at
        lines = compare_lines(
            self.main.consultation(number),
            branch.replay.consultation(number),
            heads,
            f"At step {number}",
            screen,
        )
        if number < self.main.last:
            at_end = compare_lines(
                self.main.consultation(self.main.last),
                branch.replay.consultation(branch.replay.last),
                heads,
                "At the end, with all other answers as they were",
                screen,
            )
            lines = [*lines, Line("blank"), *at_end]
        lines.append(Line("hint", "You are on the branch: next, back, compare, or rejoin."))
        self.show(lines)

    def rejoin(self) -> None:
        if self.branch is None:
            self.say("This is the case as it was; there is no branch to leave.")
            return
        self.branch = None
        self.say("Back to the case as it was.")
        self.go(self.at)

    # findings ---------------------------------------------------------------------------

    def trail(self, rest: str) -> None:
        """How a finding came about, down to the words."""
        now = self.replay.consultation(self.at)
        finding = choose_finding(self.asker, now, rest)
        if finding is not None:
            self.show(trail_lines(trail_of(now, finding.rule.rule, finding.at)))

    # predicting -------------------------------------------------------------------------

    def predict(self) -> None:
        """Takes predictions of the conclusion that is held, or of the end of the case."""
        if self.branch is not None:
            self.say("Predictions are of the case as it was. Type rejoin first.")
            return
        target = self.at + 1 if self.held else self.main.last
        if target == self.at:
            self.say("The conclusion is on the screen already. Go back, or jump to a step before.")
            return
        what = "this answer" if self.held else "the end of the case"
        self.asker.show([Line("question", f"Who predicts {what}? Names, with commas between.")])
        names = names_in(self.asker.ask("names > "))
        if not names or wish_of(names[0]) == WishHeard(Wish.QUIT):
            self.say("No names, so nothing is predicted.")
            return
        if (refused := too_much(names)) is not None:
            self.say(f"{refused} Nothing is predicted.")
            return
        now = self.main.consultation(target)
        rows = ask_class(self.asker, now, names, self.case.name, target)
        if rows and self.class_file is not None:
            append_predictions(self.class_file, rows)
        if rows:
            self.waiting.setdefault(target, []).extend(rows)
            kept = f"Kept in {self.class_file}." if self.class_file else (
                "Not kept: no class file was named."
            )  # fmt: skip
            self.say(f"{kept} Type next or reveal to see what the rules conclude.")

    def reveal(self) -> None:
        """Shows what was predicted beside what the rules conclude."""
        if not self.waiting:
            self.say("Nothing is waiting to be revealed. Type predict first.")
            return
        number = min(self.waiting)
        self.show(reveal_lines(self.main.consultation(number), self.waiting.pop(number)))

    def scores(self) -> None:
        if self.class_file is None:
            self.say("No class file was named. Start with: sidelight teach, the case, --class FILE")
            return
        self.show(score_lines(tallies(read_class(self.class_file)), self.screen()))
