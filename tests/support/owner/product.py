"""The one place that knows how the product is started, and where its advice stands.

The advice is read in the same shape off a printed screen, a consultation, the JSON and the words
of `judge`, so that they can be laid side by side.
"""

from __future__ import annotations

import datetime as dt
import io
import json
import re
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Any

from assistant.batch.judge import Judge
from assistant.journal.entries import Answer
from assistant.reading.result import Understood
from assistant.reading.understand import understand
from assistant.reasoning.cleared import cleared_items
from assistant.reasoning.consultation import Consultation
from assistant.report.lines import Line
from assistant.report.result import result_data
from assistant.ruleset.models import Question, Urgency
from assistant.ruleset.ruleset import Ruleset
from assistant.ruleset.words import URGENCY_WORDS
from assistant.talk.asking import Asker
from assistant.talk.first_screen import open_talk
from assistant.talk.talk import Talk

KINDS = ("danger", "cannot_say", "nothing")
"""The three headlines."""

CANNOT_SAY = "i cannot say whether it may be driven"
NOTHING = "nothing you told me says that the car must not be driven"
NOTHING_IN_JSON = ("nothing you told me says that", "nothing you reported says that")
DANGERS = {words.lower(): urgency.value for urgency, words in URGENCY_WORDS.items()}
SUMMARY = re.compile(r"what we have found", re.I)
GRAVE = {u.value for u in Urgency if u.rank <= Urgency.GENTLY_TO_GARAGE.rank}


@dataclass(frozen=True)
class Advice:
    """The headline: which of the three, and how pressing it is where that is said."""

    kind: str
    urgency: str = ""

    def agrees(self, other: Advice) -> bool:
        """The same headline, and as pressing where both say how pressing it is."""
        both = self.urgency and other.urgency and self.kind == "danger"
        return self.kind == other.kind and (not both or self.urgency == other.urgency)


def of_consultation(now: Consultation) -> Advice:
    """The advice of a consultation."""
    headline: Any = getattr(now, "headline", None)
    if headline is not None:
        return Advice(str(headline.kind), str(headline.urgency))
    return Advice("danger" if now.urgency.value in GRAVE else "nothing", now.urgency.value)


def reasons_of(now: Consultation) -> str:
    """What the advice rests on, in a few words, for a report."""
    if getattr(now, "headline", None) is not None:
        drive = result_data(now)["drive"]
        return "; ".join([*drive["because"], *drive["reasons"]])[:400]
    grave = [f.rule.rule for f in now.findings if f.urgency.value in GRAVE]
    pending = [f"not answered: {f.question}" for f in now.pending]
    worries = [f"told: {w.words}" for w in now.unplaced]
    close = [f"too close: {t.rule.rule}" for t in now.too_close]
    gone = [f"to be confirmed: {w.rule.rule}" for w in now.withdrawn]
    return "; ".join([*grave, *pending, *worries, *close, *gone])


def of_screen(lines: tuple[Line, ...]) -> list[Advice]:
    """Each headline that is printed at the top of a summary, in order."""
    found: list[Advice] = []
    waiting = False
    for line in lines:
        waiting = waiting or (line.kind == "title" and bool(SUMMARY.search(line.text)))
        advice = _of_words(line.text, line.kind) if waiting else None
        if advice is not None:
            found.append(advice)
            waiting = False
    return found


def summaries(lines: tuple[Line, ...]) -> int:
    """How many summaries a screen shows."""
    return sum(line.kind == "title" and bool(SUMMARY.search(line.text)) for line in lines)


def _of_words(text: str, kind: str) -> Advice | None:
    plain = text.lower().strip(" .!")
    if CANNOT_SAY in plain:
        return Advice("cannot_say")
    if any(words in plain for words in (NOTHING, *NOTHING_IN_JSON)):
        return Advice("nothing")
    for words, urgency in DANGERS.items():
        if plain.startswith(words) and urgency in GRAVE and kind == "danger":
            return Advice("danger", urgency)
    return Advice("danger") if kind == "danger" else None


def of_json(data: dict[str, Any]) -> Advice:
    """The advice of `judge --json` and of the JSON sheet."""
    drive = data["drive"]
    if "headline" in drive:
        return Advice(str(drive["headline"]), str(drive.get("urgency") or ""))
    return Advice("danger" if drive["urgency"] in GRAVE else "nothing", str(drive["urgency"]))


def of_sheet(now: Consultation) -> Advice:
    """The advice of the JSON that is made of a consultation."""
    return of_json(json.loads(json.dumps(result_data(now), default=str)))


def judged(ruleset: Ruleset, record: Path, today: dt.date) -> tuple[Advice, Advice | None, int]:
    """What `judge` says of a record: as JSON, in words, and its exit code."""
    out, words = io.StringIO(), io.StringIO()
    code = Judge(lambda _: ruleset, today, True).file(str(record), out, lambda _: None)
    Judge(lambda _: ruleset, today, False).file(str(record), words, lambda _: None)
    rows = [row.strip() for row in words.getvalue().splitlines()]
    below = [row for title, row in pairwise(rows) if SUMMARY.match(title)]
    shown = [_of_words(row, "danger" if row.isupper() else "text") for row in below[:1]]
    return of_json(json.loads(out.getvalue().splitlines()[0])), (shown or [None])[0], code


def open_car(
    ruleset: Ruleset,
    asker: Asker,
    home: Path,
    today: dt.date,
    watch: Callable[[Talk], None],
) -> None:
    """Starts the program as at the shell, or goes on with the record that is there.

    watch: gets the talk before its first question.
    """

    class Watched(Talk):
        def __init__(self, *args: Any, **named: Any) -> None:
            super().__init__(*args, **named)
            self.clock = lambda: "10:00"
            watch(self)

    open_talk(lambda: ruleset, asker, home, today=today, car=None, new=False, talk_class=Watched)


def at_the_end(prompt: str) -> bool:
    """Whether this is asked once the walk is done: shall the sheet be written."""
    return "Write it" in prompt


def today_of(talk: Talk) -> dt.date:
    """The day that the talk reckons with."""
    return talk.now.state.context.today


def answer_of(talk: Talk, name: str, at: str) -> Answer | None:
    """The answer that stands in the record for one question, or None."""
    said = talk.now.state.answers.get((name, at))
    return said.answer if said is not None else None


def says(answer: Answer, state: str, value: Any) -> bool:
    """Whether an answer in the record says this. Only choices and numbers are compared."""
    if state in ("hidden", "not fitted"):
        return answer.state != "value"
    if not isinstance(value, tuple) or answer.text is not None or answer.state != "value":
        return answer.state == "value"
    if answer.words is not None:
        return set(answer.words) == set(value)
    if answer.word is not None:
        return (answer.word,) == value
    return (answer.lo, answer.hi) == value


def cleared(talk: Talk) -> tuple[str, ...]:
    """The items of the standard that it says were looked at, with nothing found."""
    return cleared_items(talk.now)


def entries_of(talk: Talk) -> int:
    """How many entries the record has."""
    return len(talk.journal)


def read_again(words: str, question: Question, today: dt.date) -> Answer | None:
    """What words mean as an answer to a question; None where they are not plain."""
    heard = understand(words, question, today=today)
    return heard.answer if isinstance(heard, Understood) and heard.sure else None


def boxes(lines: tuple[Line, ...]) -> list[str]:
    """The boxes of a screen, each with the first line in it, but for those of a summary."""
    found: list[str] = []
    in_summary = False
    for before, line in pairwise((Line("blank"), *lines)):
        in_summary = in_summary or (line.kind == "title" and bool(SUMMARY.search(line.text)))
        if line.kind == "danger" and not in_summary:
            found.append(line.text)
        elif before.kind == "danger" and not in_summary:
            found[-1] += f" {line.text}"
    return found


def acts_at_once(lines: tuple[Line, ...]) -> bool:
    """Whether a screen says what to do before anything else is asked."""
    before = []
    for line in lines:
        if line.kind in ("place", "question"):
            break
        before.append(line)
    return any(line.kind in ("danger", "caution") for line in before)
