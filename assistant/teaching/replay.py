"""A journal replayed turn by turn, with what each answer brought: facts, firings, findings.

Each step is a consultation of the journal up to its turn, so going back and forward cannot
differ, and a branch is the replay of another journal.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from assistant.choosing.agenda import Agenda, Prompt, agenda, asked_words
from assistant.journal.entries import (
    Context,
    Corrected,
    Entry,
    GoneOn,
    Mended,
    Opened,
    Picked,
    Planned,
    Released,
    Said,
    TookBack,
    Went,
    Worry,
)
from assistant.reasoning.consultation import Consultation, SymptomFound, consult
from assistant.reasoning.engine import Firing
from assistant.reasoning.findings import Finding
from assistant.reasoning.trail import Node
from assistant.reasoning.why_not import nearly_found
from assistant.ruleset.condition_words import label_of
from assistant.ruleset.fitting import misfit
from assistant.ruleset.grammar import and_words
from assistant.ruleset.models import Urgency
from assistant.ruleset.ruleset import TODAY, Ruleset, told
from assistant.ruleset.truth import Reading
from assistant.ruleset.words import answer_words, date_words, range_words


@dataclass(frozen=True)
class FactTold:
    """One thing that is known. worked: it was worked out, not said. words: the value in words."""

    name: str
    at: str
    label: str
    words: str
    worked: bool


@dataclass(frozen=True)
class Given:
    """What was said in one entry: of what, as it was understood, and the words as typed."""

    label: str
    understood: str
    words: str
    item: tuple[str, str] | None = None


@dataclass(frozen=True)
class Step:
    """One turn of a replay, and what it brought.

    number: from 0, the start. kind: "start", "answer", "worry", "pick", "correction", "mended",
    "taken back", "plan", "opened" or "gone on". prompt: what was asked, or None where the
    person spoke unasked. new_firings: what the engine found anew, true or false, in its order:
    round, then ruleset order. gone_findings: findings that stood before and do not stand now.
    """

    number: int
    turn: int
    kind: str
    prompt: Prompt | None
    asked: str
    given: tuple[Given, ...]
    entries: tuple[Entry, ...]
    consultation: Consultation
    plan: Agenda
    new_facts: tuple[FactTold, ...]
    gone_facts: tuple[FactTold, ...]
    new_firings: tuple[Firing, ...]
    new_findings: tuple[Finding, ...]
    gone_findings: tuple[Finding, ...]
    urgency_before: Urgency
    shares_before: dict[tuple[str, str, str], float]

    @property
    def urgency(self) -> Urgency:
        return self.consultation.urgency

    @property
    def fired(self) -> tuple[Firing, ...]:
        """The new firings that are true and say something, see says_something."""
        return tuple(f for f in self.new_firings if says_something(self.consultation, f))

    @property
    def concludes(self) -> bool:
        """Whether a finding comes, or goes, or the urgency changes."""
        return bool(
            self.new_findings or self.gone_findings or self.urgency is not self.urgency_before
        )

    def moved(self, found: SymptomFound) -> bool:
        """Whether the share of a cause of a symptom is another than before."""
        return any(
            self.shares_before.get((found.symptom.symptom, found.at, c.cause.cause)) != c.share
            for c in found.causes
        )


class Replay:
    """A journal as steps; each is worked out when it is first looked at."""

    def __init__(self, ruleset: Ruleset, journal: Sequence[Entry]) -> None:
        self.ruleset = ruleset
        self.journal = list(journal)
        self._turns: list[list[Entry]] = []
        for entry in self.journal:
            if not self._turns or self._turns[-1][-1].turn != entry.turn:
                self._turns.append([])
            self._turns[-1].append(entry)
        self._steps: dict[int, Step] = {}
        self._known: dict[int, tuple[Consultation, Agenda]] = {}

    def __len__(self) -> int:
        return len(self._turns)

    @property
    def last(self) -> int:
        """The number of the last step."""
        return len(self._turns) - 1

    @property
    def context(self) -> Context:
        first = self.journal[0]
        assert isinstance(first, Context)
        return first

    def until(self, number: int) -> list[Entry]:
        """The journal up to and with a step."""
        return [entry for turn in self._turns[: number + 1] for entry in turn]

    def entries(self, number: int) -> tuple[Entry, ...]:
        return tuple(self._turns[number])

    def consultation(self, number: int) -> Consultation:
        return self._at(number)[0]

    def nearly(self, number: int) -> list[list[Node]]:
        """The rules that almost fired at a step, each with its parts."""
        return nearly_found(self.consultation(number))

    def asked(self, number: int) -> tuple[Prompt | None, str, str]:
        """What was asked at a step: the prompt if there was one, its words, and the kind of step.

        Needs no reasoning about the step itself.
        """
        entries = self._turns[number]
        kind = _kind(entries)
        if number == 0:
            return None, "The start of the case.", "start"
        prompt = _prompt_of(self._at(number - 1)[1], entries)
        if prompt is not None and kind in ("answer", "worry", "pick", "opened"):
            return prompt, asked_words(self.ruleset, prompt), kind
        return None, _unasked(self.ruleset, entries, kind), kind

    def given(self, number: int) -> tuple[Given, ...]:
        """What was said at a step; the same words only once."""
        entries = self._turns[number]
        picked = any(isinstance(e, Picked) for e in entries)
        said = {e.words for e in entries if isinstance(e, Said)}
        told_of = {told(name) for name in self.ruleset.symptoms}
        return tuple(
            given
            for entry in entries
            if not (isinstance(entry, Worry) and entry.words in said)
            if not (picked and isinstance(entry, Said) and entry.question in told_of)
            for given in _given(self.ruleset, entry)
        )

    def step(self, number: int) -> Step:
        """Raises IndexError outside 0..last."""
        if not 0 <= number <= self.last:
            raise IndexError(number)
        if number not in self._steps:
            self._steps[number] = self._make(number)
        return self._steps[number]

    def _at(self, number: int) -> tuple[Consultation, Agenda]:
        if number not in self._known:
            consultation = consult(self.ruleset, self.until(number))
            self._known[number] = (consultation, agenda(consultation))
        return self._known[number]

    def _make(self, number: int) -> Step:
        now, plan = self._at(number)
        prompt, asked, kind = self.asked(number)
        before = self.consultation(number - 1) if number else None
        facts = {(f.name, f.at): f for f in facts_told(now)}
        old = {(f.name, f.at): f for f in facts_told(before)} if before else {}
        firings = before.result.firings if before else {}
        findings = {(f.rule.rule, f.at) for f in before.findings} if before else set()
        still = {(f.rule.rule, f.at) for f in now.findings}
        return Step(
            number=number,
            turn=self._turns[number][0].turn,
            kind=kind,
            prompt=prompt,
            asked=asked,
            given=self.given(number),
            entries=self.entries(number),
            consultation=now,
            plan=plan,
            new_facts=tuple(f for key, f in facts.items() if old.get(key) != f),
            gone_facts=tuple(f for key, f in old.items() if key not in facts),
            new_firings=tuple(
                f
                for key, f in now.result.firings.items()
                if key not in firings or firings[key].truth != f.truth
            ),
            new_findings=tuple(f for f in now.findings if (f.rule.rule, f.at) not in findings),
            gone_findings=tuple(
                f for f in (before.findings if before else ()) if (f.rule.rule, f.at) not in still
            ),
            urgency_before=before.urgency if before else Urgency.NOTHING,
            shares_before={
                (s.symptom.symptom, s.at, c.cause.cause): c.share
                for s in (before.symptoms if before else ())
                for c in s.causes
            },
        )


def says_something(consultation: Consultation, firing: Firing) -> bool:
    """Whether a firing is a rule or a symptom that holds, or evidence on a symptom that stands."""
    inference = consultation.ruleset.inferences[firing.inference]
    if not firing.truth or inference.role not in ("rule", "symptom", "evidence"):
        return False
    symptom = inference.symptom
    return inference.role != "evidence" or any(s.symptom is symptom for s in consultation.symptoms)


def facts_told(consultation: Consultation) -> list[FactTold]:
    """All that is known: what was said, in the order it was said, then what is worked out."""
    rs = consultation.ruleset
    facts = [
        FactTold(
            name, at, _label(rs, name, at), answer_words(rs.questions[name], said.answer), False
        )
        for (name, at), said in consultation.state.answers.items()
        if name in rs.questions
    ]
    for (name, at), reading in consultation.readings.table.items():
        if name != TODAY and name not in rs.questions:
            facts.append(
                FactTold(name, at, _label(rs, name, at), _reading_words(rs, name, reading), True)
            )
    return facts


def _label(ruleset: Ruleset, name: str, at: str) -> str:
    return f"{ruleset.at_words(name, at)} {label_of(ruleset, name)}".strip()


def _reading_words(ruleset: Ruleset, name: str, reading: Reading) -> str:
    if reading.lo is not None and reading.hi is not None:
        unit = ruleset.names[name].unit
        lo, hi = (round(v, 1 if abs(v) >= 10 else 2) for v in (reading.lo, reading.hi))
        return range_words(lo, hi, unit)
    word = reading.word or "not known"
    says = ruleset.derived[name].choices if name in ruleset.derived else {}
    return says.get(word, word.replace("_", " "))


def _kind(entries: Sequence[Entry]) -> str:
    kinds: list[tuple[type, str]] = [
        (Context, "start"),
        (TookBack, "taken back"),
        (Corrected, "correction"),
        (Mended, "mended"),
        (Picked, "pick"),
        (Worry, "worry"),
        (Opened, "opened"),
        (Planned, "plan"),
        (Went, "plan"),
        (GoneOn, "gone on"),
    ]
    return next((kind for t, kind in kinds if any(isinstance(e, t) for e in entries)), "answer")


def _prompt_of(plan: Agenda, entries: Sequence[Entry]) -> Prompt | None:
    """The prompt of an agenda that the entries of a turn answer."""
    for entry in entries:
        for prompt in (*plan.prompts, *plan.left_out):
            if isinstance(entry, Picked) and prompt.worry and prompt.worry.turn == entry.of:
                return prompt
            if isinstance(entry, Said | Opened) and prompt.group and prompt.key == entry.group:
                return prompt
    items = [(e.question, e.at) for e in entries if isinstance(e, Said)]
    for prompt in (*plan.prompts, *plan.left_out):
        if items and any(item in prompt.items for item in items):
            return prompt
    return None


def _unasked(ruleset: Ruleset, entries: Sequence[Entry], kind: str) -> str:
    """What a turn was about where nothing was asked."""
    first = entries[0]
    if kind == "taken back" and isinstance(first, TookBack):
        return f"An answer is taken back (turn {first.of})."
    if isinstance(first, GoneOn):
        return f"The walk is gone on with on {date_words(first.day)}."
    items = [
        (e.question, e.at) for e in entries if isinstance(e, Said | Mended) and _there(ruleset, e)
    ]
    labels = ", ".join(_label(ruleset, *item) for item in items)
    return {
        "correction": f"An earlier answer is put right: {labels}.",
        "mended": f"Something is said to be mended: {labels}.",
        "worry": "A worry, told unasked.",
        "pick": "Which symptom a worry is.",
        "plan": "The time there is.",
        "released": "What the person says of a danger: gone on, cooled, or mended by a garage.",
        "opened": "Each of a group is asked on its own.",
        "taken back": "An answer is taken back.",
    }.get(kind, f"Told unasked: {labels}.")


def _there(ruleset: Ruleset, entry: Said | Mended) -> bool:
    """Whether an entry is about a question, and a part, of this ruleset."""
    question = ruleset.questions.get(entry.question)
    return question is not None and entry.at in ruleset.members(question.each)


def _given(ruleset: Ruleset, entry: Entry) -> list[Given]:
    if isinstance(entry, Said):
        item = (entry.question, entry.at)
        if not _there(ruleset, entry):
            return [Given(entry.question, "not a question of this ruleset", entry.words, item)]
        if misfit(ruleset, *item, entry.answer) is not None:
            return [Given(_label(ruleset, *item), "no answer in this ruleset", entry.words, item)]
        words = answer_words(ruleset.questions[entry.question], entry.answer)
        return [Given(_label(ruleset, *item), words, entry.words, item)]
    if isinstance(entry, Mended) and _there(ruleset, entry):
        item = (entry.question, entry.at)
        return [Given(_label(ruleset, *item), "said to be mended", entry.words, item)]
    if isinstance(entry, Picked):
        symptom = ruleset.symptoms.get(entry.symptom or "")
        say = symptom.say if symptom else "none of those offered"
        return [
            Given("what it is", say, entry.words, (told(symptom.symptom), "") if symptom else None)
        ]
    if isinstance(entry, Worry):
        return [Given("what worries the owner", entry.words, entry.words)]
    if isinstance(entry, Planned):
        words = "no limit" if entry.minutes is None else f"{entry.minutes:g} minutes"
        return [Given("time there is", words, entry.words)]
    if isinstance(entry, Went):
        places = and_words([ruleset.places[p].say for p in entry.places if p in ruleset.places])
        return [Given("left out" if entry.leave else "wanted next", places, entry.words)]
    if isinstance(entry, Opened):
        return [Given("asked one by one", entry.words, entry.words)]
    if isinstance(entry, Released):
        says = {"go_on": "gone on", "cooled": "it has cooled", "garage": "mended by a garage"}
        return [Given("a danger", says[entry.how], entry.words)]
    return []
