"""The person: reads each screen, has an answer in mind from the hidden car, and types it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from random import Random

from assistant.report.lines import Line
from assistant.talk.asking import Left
from tests.support.owner import product
from tests.support.owner.car import Car, Truth
from tests.support.owner.forms import Typed, bank, typed_group, typed_truth
from tests.support.owner.oracle import Oracle
from tests.support.owner.screens import Asked, Reader, Screen

MOST_DANGERS = 6
RELEASES = ("go on", "it has cooled", "a garage has mended it")


@dataclass(frozen=True)
class Mood:
    """How likely it is, at each question in its turn, that something else than an answer is typed.

    turns: after so many questions the owner has had enough, for good. window: how often an owner
    who leaves closes the window instead of saying so.
    """

    danger: float = 0.0
    comfort: float = 0.0
    vague: float = 0.0
    command: float = 0.0
    junk: float = 0.0
    refusal: float = 0.0
    change: float = 0.0
    plan: float = 0.0
    leave: float = 0.0
    window: float = 0.3
    turns: int = 10_000


@dataclass
class Meant:
    """What the last words were meant to be, until it is seen whether they were taken."""

    what: str
    items: list[tuple[str, str]] = field(default_factory=list)
    truths: list[Truth] = field(default_factory=list)
    typed: Typed = Typed("")  # noqa: RUF009 - it is frozen
    entries: int = 0
    choices: tuple[str, ...] = ()


class Owner:
    """Types at every prompt of one talk after another. An Asker of the product.

    watch: is called with each screen, before anything is typed at it.
    """

    def __init__(
        self, car: Car, mood: Mood, random: Random, watch: Callable[[Screen, Asked], None]
    ) -> None:
        self.car, self.mood, self.random, self.watch = car, mood, random, watch
        self.oracle = Oracle(car)
        self.reader = Reader(car.ruleset)
        self.talk: product.Talk | None = None
        self.lines: list[Line] = []
        self.screens: list[Screen] = []
        self.asked: Asked | None = None
        self.main: Asked | None = None
        self.meant: Meant | None = None
        self.danger_now = ""
        self.turns = 0
        self.tries = 0
        self.gone = False
        self.taken: Meant | None = None

    # an Asker ---------------------------------------------------------------------------

    def show(self, lines: list[Line]) -> None:
        self.lines += lines

    def get_ready(self) -> None:
        """Nothing is to be loaded."""

    def ask(self, prompt: str) -> str:
        screen = Screen(tuple(self.lines), prompt)
        self.lines = []
        asked = self.reader.asked(screen, self.asked, self.main)
        self.settle(asked)
        self.screens.append(screen)
        self.watch(screen, asked)
        self.asked = asked
        if asked.main:
            self.main = asked
        words = self.types(asked)
        self.screens[-1] = Screen(screen.lines, prompt, words)
        return words

    def begin(self, talk: product.Talk) -> None:
        """A talk has begun; what was meant before it is over."""
        self.talk = talk
        self.meant = self.main = None

    # what was taken of it ---------------------------------------------------------------

    def settle(self, asked: Asked) -> None:
        """Tells the oracle what was meant by the last words, once they were taken."""
        self.danger_now, self.taken = "", None
        meant = self.meant
        if meant is not None and meant.what == "danger":
            self.danger_now = self.oracle.dangers[-1].kind
            self.meant = None
            return
        if meant is None or self.talk is None or asked.kind in ("yes or no", "certain"):
            return
        self.meant = None
        lost = meant.what == "answer" and not meant.typed.plain and not self.kept(meant)
        if lost and product.entries_of(self.talk) > meant.entries:
            self.oracle.taken_otherwise()  # it was heard as something else than an answer
            return
        if product.entries_of(self.talk) <= meant.entries:
            self.tries += meant.what in ("answer", "group", "named")
            return
        self.tries = 0
        self.taken = meant
        if meant.what == "other":
            self.oracle.taken_otherwise()
        elif meant.what == "back":
            self.oracle.took_back()
        elif meant.what == "answer":
            self.oracle.answer(*meant.items[0], meant.truths[0], meant.typed.words)
        elif meant.what in ("group", "named"):
            known = [(i, t.state) for i, t in zip(meant.items, meant.truths, strict=True)
                     if t.state != "bad"]  # fmt: skip
            self.oracle.answer_group([item for item, _ in known], [state for _, state in known])

    def kept(self, meant: Meant) -> bool:
        assert self.talk is not None
        return product.answer_of(self.talk, *meant.items[0]) is not None

    def entries(self) -> int:
        return product.entries_of(self.talk) if self.talk is not None else 0

    # typing -----------------------------------------------------------------------------

    def types(self, asked: Asked) -> str:
        """The words for one prompt."""
        r = self.random
        if any(ln.text.startswith("Have you noticed this") for ln in self.screens[-1].lines):
            self.meant = None  # what was told is mended, and asked once more
            return "no"
        if not asked.main and asked.kind != "certain" and self.has_danger_to_tell():
            return self.tells_danger()
        if asked.kind == "name":
            return r.choice(["AB12 CDE", "the old one", "Fred"])
        if asked.kind == "certain":
            sure = r.random() < 0.5
            if sure:
                self.oracle.confirmed_loss()
            return "yes" if sure else "no"
        if asked.kind == "yes or no" and "Is that so?" in self.screens[-1].prompt:
            self.oracle.garage()  # the word of a garage, or that a time is over
            return "yes"
        if asked.kind == "yes or no":
            return "no" if self.denies(self.screens[-1].prompt) else "yes"
        if asked.kind == "words":
            return self.sub_words(asked)
        if not asked.main:
            return self.answers(asked)
        self.turns += 1
        if self.turns > self.mood.turns:
            self.gone = True
            return self.leaves()
        if asked.kind == "go on":
            self.oracle.went_on()
            return "go on"
        if self.tries:
            return self.answers(asked)
        return self.strays(asked) or self.answers(asked)

    def nearest(self, asked: Asked) -> int:
        """The number of the choice that shares most words with what was told."""
        told = set(asked.lines[0].text.lower().split())
        shared = [len(told & set(choice.lower().split())) for choice in asked.choices]
        return shared.index(max(shared)) + 1

    def denies(self, prompt: str) -> bool:
        """Whether no is the true answer to a plain question of the program."""
        taken_for_worry = "worries you" in prompt and self.meant is not None
        answered = self.meant is not None and self.meant.what in ("answer", "group", "named")
        no_answer = "Is that right" in prompt and not answered
        return product.at_the_end(prompt) or taken_for_worry or no_answer or self.misread()

    def misread(self) -> bool:
        """Whether the screen reads the last answer as other choices than were meant."""
        meant = self.meant
        if meant is not None and meant.what in ("group", "named"):
            return self.misread_group(meant)
        if meant is None or meant.what != "answer" or not meant.choices:
            return False
        truth = meant.truths[0]
        words = self.car.ruleset.questions[meant.items[0][0]].words()
        read = self.screens[-1].text.lower()
        known = dict(zip(words, meant.choices, strict=False))
        if isinstance(truth.value, tuple) and "i read that as: don't know" in read:
            return True  # it was said with a doubt, and is meant all the same
        shown = {word for word, say in known.items() if say.lower() in read}
        picked = set(truth.value) if isinstance(truth.value, tuple) else set()
        return bool(shown) and not picked & shown

    def misread_group(self, meant: Meant) -> bool:
        """Whether the screen names other parts of a group than were meant."""
        _, read_as, read = self.screens[-1].text.partition("I read that as:")
        if not read_as or not meant.choices:
            return False
        shown = {n for n, label in enumerate(meant.choices) if label.lower() in read.lower()}
        told = {n for n, truth in enumerate(meant.truths) if truth.state in ("bad", "hidden")}
        return shown != (set() if len(told) == len(meant.truths) and not shown else told)

    def sub_words(self, asked: Asked) -> str:
        """At a prompt for words within a command: a number from a list, or nothing more."""
        if asked.choices and self.random.random() < 0.6:
            return str(self.random.randint(1, len(asked.choices)))
        return self.random.choice(["none", "stop", ""])

    def strays(self, asked: Asked) -> str | None:
        """Something else than an answer, or None."""
        r, mood = self.random, self.mood
        if self.has_danger_to_tell():
            return self.tells_danger()
        if r.random() < mood.comfort:
            return "worry " + str(r.choice(bank()["comforts"]))
        if r.random() < mood.vague:
            self.oracle.told_vaguely()
            return "worry " + str(r.choice(bank()["vague"]))
        if r.random() < mood.junk:
            self.meant = Meant("other", entries=self.entries())
            return str(r.choice(bank()["junk"]))
        if r.random() < mood.plan:
            self.oracle.timed = True
            return str(r.choice(bank()["commands"]["plan"]))
        if r.random() < mood.command:
            return str(r.choice(bank()["commands"][r.choice(["why", "how", "meaning", "help"])]))
        if r.random() < mood.change:
            return self.changes()
        if r.random() < mood.leave:
            return self.leaves()
        if r.random() < mood.refusal and asked.kind in ("question", "group"):
            return self.refuses(asked)
        return None

    def has_danger_to_tell(self, times: int = 1) -> bool:
        """Whether a danger is told now. Nobody tells of more than a handful."""
        told = sum(danger.item is None for danger in self.oracle.dangers)
        return told < MOST_DANGERS and self.random.random() < times * self.mood.danger

    def tells_danger(self) -> str:
        """Types a danger of the bank. Mostly it is true, and then shows wherever it is asked."""
        kind = self.random.choice(sorted(bank()["dangers_told"]))
        words = str(self.random.choice(bank()["dangers_told"][kind]))
        if self.random.random() < 0.6:
            self.car.show_danger(kind)
        self.oracle.told(kind, words)
        self.meant = Meant("danger")
        return words

    def changes(self) -> str:
        """Looks back, takes something back, has something mended, or says that it has cooled."""
        what = self.random.choice(["back", "undo", "mended", "found", "card", *RELEASES])
        self.meant = Meant(what, entries=self.entries())
        if what == "a garage has mended it":
            self.oracle.garage()
        elif what == "it has cooled":
            self.oracle.has_cooled()
        elif what == "mended":
            self.oracle.clouded = True
        elif what == "go on":
            self.oracle.went_on()
        return what if what not in bank()["commands"] else self.random.choice(
            bank()["commands"][what]
        )  # fmt: skip

    def leaves(self) -> str:
        """Goes: by saying so, or by closing the window."""
        if self.random.random() < self.mood.window:
            raise Left
        return "stop"

    def refuses(self, asked: Asked) -> str:
        truths = [Truth("hidden") for _ in asked.items]
        words = typed_truth(truths[0], self.question(asked), (), self.random, plain=True)
        what = "group" if asked.kind == "group" else "answer"
        self.meant = Meant(what, list(asked.items), truths, words, self.entries(), asked.choices)
        return words.words

    def question(self, asked: Asked):  # type: ignore[no-untyped-def]
        return self.car.ruleset.questions[asked.items[0][0]]

    def answers(self, asked: Asked) -> str:
        """The answer in mind, in one of its forms; the plainest where one was not understood."""
        if asked.kind == "pick":
            if self.car.sound or self.random.random() < 0.6:
                return str(len(asked.choices))
            self.oracle.taken_otherwise()
            return str(self.nearest(asked))
        if asked.kind == "worry":
            return self.first_worry()
        for item in asked.items:
            again = self.oracle.answered.get(item) == "bad"
            if again and self.random.random() < 0.6:
                self.car.repaired(*item)
        truths = [self.car.truth(*item) for item in asked.items]
        plain = self.tries > 0
        if self.tries > 3:
            truths = [Truth("hidden") for _ in asked.items]
        if asked.kind == "group":
            typed, all_hidden = typed_group(truths, self.question(asked), self.random, plain)
            if all_hidden:
                truths = [Truth("hidden") for _ in truths]
            named = any(t.state == "bad" for t in truths)
            self.meant = Meant(
                "group", list(asked.items), truths, typed, self.entries(), asked.choices
            )
            if named:
                self.oracle.clouded = True
                self.meant.what = "named"
            return typed.words
        typed = typed_truth(truths[0], self.question(asked), asked.choices, self.random, plain)
        self.meant = Meant(
            "answer", list(asked.items), truths[:1], typed, self.entries(), asked.choices
        )
        return typed.words

    def first_worry(self) -> str:
        """At "is anything worrying you": what worries the owner."""
        r, mood = self.random, self.mood
        if not self.tries and self.has_danger_to_tell(4):
            return self.tells_danger()
        if r.random() < 4 * mood.comfort and not self.tries:
            return str(r.choice(bank()["comforts"]))
        if r.random() < 4 * mood.vague and not self.tries:
            self.oracle.told_vaguely()
            return str(r.choice(bank()["vague"]))
        return "no" if self.tries else str(r.choice(bank()["no_worries"]))
