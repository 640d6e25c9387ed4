"""What is meant at a step: which step, which finding, or which other answer, as a branch."""

from __future__ import annotations

from dataclasses import dataclass, replace

from assistant.choosing.outcome import branched, repicked
from assistant.journal.entries import Answer, Entry, Picked, Said, Worry
from assistant.reading.result import Unclear
from assistant.reading.text import FILLERS, clean, fold, near, words_of
from assistant.reading.understand import understand
from assistant.reasoning.consultation import Consultation
from assistant.reasoning.findings import Finding
from assistant.report.lines import Line, numbered
from assistant.report.prompts import pick_question
from assistant.ruleset.models import Question
from assistant.ruleset.ruleset import told
from assistant.ruleset.words import answer_words
from assistant.talk.asking import Asker
from assistant.talk.choosing import ask_which, number_of, rows_meant
from assistant.teaching.replay import Replay
from assistant.teaching.steps import given_rows


def score(wanted: tuple[str, ...], text: str) -> float:
    """How much of what is wanted a text has: 1 for all of it, a word in full counts most."""
    have = words_of(text)
    hits = [1.0 if w in have else 0.9 if any(near(w, h) for h in have) else 0.0 for w in wanted]
    return sum(hits) / max(1, len(wanted))


def best(wanted: str, texts: list[str]) -> list[int]:
    """The places of the texts that fit the words best, if at least half of the words are there."""
    words = words_of(wanted)
    telling = tuple(w for w in words if w not in FILLERS) or words
    scores = [score(telling, text) for text in texts]
    top = max(scores, default=0.0)
    return [i for i, s in enumerate(scores) if s == top] if top >= 0.5 else []


def find_steps(replay: Replay, words: str) -> list[int]:
    """The steps whose question fits the words best; else those whose answer does."""
    asked = [replay.asked(n)[1] for n in range(1, replay.last + 1)]
    labels = [" ".join(g.label for g in replay.given(n)) for n in range(1, replay.last + 1)]
    said = [" ".join(given_rows(replay.given(n))) for n in range(1, replay.last + 1)]
    both = [f"{a} {b}" for a, b in zip(asked, labels, strict=True)]
    return [place + 1 for place in best(words, both) or best(words, said)]


def choose_finding(asker: Asker, now: Consultation, rest: str) -> Finding | None:
    """The finding that is meant by a number or words; asks where that is not clear."""
    findings = now.findings
    if not findings:
        asker.show([Line("aside", "Nothing has been found at this step, so there is no trail.")])
        return None
    rows = [f"{f.at_words} {f.rule.say}".strip() for f in findings]
    if not rest and len(findings) == 1:
        return findings[0]
    which = "The trail of which finding?"
    rs = now.ruleset
    typed = rs.as_the_owner(rest)
    fit = rows_meant(typed, rows) if rest else ask_which(asker, rs, which, rows, "finding > ")
    if len(fit) == 1:
        return findings[fit[0]]
    many = "More than one finding has these words" if fit else "No finding has that number or words"
    asker.show([Line("aside", f"{many}. Type trail, and a number from 1 to {len(findings)}.")])
    return None


@dataclass(frozen=True)
class Branch:
    """The case with another answer. first, head: the answer as it was and as it is tried."""

    replay: Replay
    first: str
    head: str

    def after(self, earlier: Branch) -> Branch:
        """A branch of a branch: named by all that differs."""
        return replace(
            self, first=f"{earlier.first}; {self.first}", head=f"{earlier.head}; {self.head}"
        )


def choose_branch(asker: Asker, replay: Replay, number: int, rest: str) -> Branch | None:
    """Asks for what is not said yet; None, after saying why, where nothing is to be tried."""
    entries = replay.entries(number)
    picked = next((e for e in entries if isinstance(e, Picked)), None)
    if picked is not None:
        return _other_pick(asker, replay, number, picked, rest)
    items = _items(replay, number)
    if not items:
        asker.show([Line("aside", "No answer was given at this step that could be changed. Go to "
                                  "a step with an answer.")])  # fmt: skip
        return None
    item, rest = _item(asker, replay, items, rest)
    if item is None:
        return None
    question = replay.ruleset.questions[item[0]]
    heard = _answer(asker, replay, question, replay.ruleset.item_label(*item), rest)
    if heard is None:
        return None
    answer, words = heard
    before = replay.consultation(number).state.answers.get(item)
    was = answer_words(question, before.answer) if before else "not answered on its own"
    label = replay.ruleset.item_label(*item)
    journal = branched(replay.journal, entries[0].turn, item, answer, words)
    return _made(replay, journal, f"{label}: {was}", f"{label}: {answer_words(question, answer)}")


def _made(replay: Replay, journal: list[Entry], first: str, head: str) -> Branch:
    return Branch(Replay(replay.ruleset, journal), first, head)


def _items(replay: Replay, number: int) -> list[tuple[str, str]]:
    """The questions that were answered at a step, and those that its prompt showed."""
    rs = replay.ruleset
    prompt = replay.asked(number)[0]
    said = [(e.question, e.at) for e in replay.entries(number) if isinstance(e, Said)]
    shown = list(prompt.items) if prompt else []
    kept = {told(name) for name in rs.symptoms} | {rs.about.worry}
    return [
        item for item in dict.fromkeys([*said, *shown])
        if item[0] in rs.questions and item[0] not in kept
    ]  # fmt: skip


def _item(
    asker: Asker, replay: Replay, items: list[tuple[str, str]], rest: str
) -> tuple[tuple[str, str] | None, str]:
    """Which of the questions of a step is meant, and the words left for its answer."""
    if len(items) == 1:
        return items[0], rest
    labels = [replay.ruleset.item_label(*item) for item in items]
    lead, _, after = rest.partition(":")
    by_number = number_of(lead.strip())
    if after and 1 <= by_number <= len(items):
        return items[by_number - 1], after.strip()
    named = [i for i, label in enumerate(labels) if fold(rest).startswith(fold(label))]
    if named:
        longest = max(named, key=lambda i: len(labels[i]))
        return items[longest], rest[len(labels[longest]) :].strip(" :=,")
    which = "Which of them do you want to change?"
    fit = ask_which(asker, replay.ruleset, which, labels, "which > ")
    if len(fit) != 1:
        asker.show([Line("aside", "Then nothing is changed. Type try to choose again.")])
        return None, ""
    return items[fit[0]], ""


def _answer(
    asker: Asker, replay: Replay, question: Question, label: str, rest: str
) -> tuple[Answer, str] | None:
    """The other answer, understood as in a talk; two tries."""
    words = clean(rest)
    for _ in range(3):
        if not words:
            says = [choice.say for choice in question.choices.values()]
            asker.show([Line("question", f"What other answer for: {label}?"), *numbered(says)])
            words = clean(asker.ask("answer > "))
            if fold(words) in ("", "stop", "cancel", "quit", "back"):
                break
        heard = understand(words, question, today=replay.context.today)
        if isinstance(heard, Unclear):
            asker.show([Line("text", heard.message)])
            words = ""
            continue
        asker.show([Line("heard", heard.echo)])
        return heard.answer, words
    asker.show([Line("aside", "Then nothing is changed.")])
    return None


def _other_pick(
    asker: Asker, replay: Replay, number: int, picked: Picked, rest: str
) -> Branch | None:
    """Another of the symptoms that were offered for a worry."""
    rs = replay.ruleset
    worry = next(e for e in replay.journal if isinstance(e, Worry) and e.turn == picked.of)
    heard = _answer(asker, replay, pick_question(rs, worry), "what it is", rest)
    if heard is None:
        return None
    answer, words = heard
    symptom = rs.symptoms.get(answer.word or "")
    was = rs.symptoms.get(picked.symptom or "")
    journal = repicked(replay.journal, picked.turn, symptom.symptom if symptom else None, words)
    none = "none of those offered"
    return _made(replay, journal, was.say if was else none, symptom.say if symptom else none)
