"""What the benchmarks are run on: a clean walk, the demos, and answers files made at random."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Iterator
from pathlib import Path
from random import Random
from typing import Any

from assistant.choosing.agenda import Prompt, agenda
from assistant.journal.entries import Answer, Context, Entry, Said
from assistant.journal.file import read_journal
from assistant.reading.result import Understood
from assistant.reading.understand import understand
from assistant.reasoning.consultation import consult
from assistant.ruleset.ruleset import Ruleset
from assistant.ruleset.words import answer_words
from tests.support.journals import JournalMaker

ROOT = Path(__file__).resolve().parent.parent.parent
RULESET = ROOT / "rulesets" / "gb-cars"
DEMOS = ROOT / "transcripts_demo"
CLEAN = "a clean walk"
DAY = dt.date(2026, 3, 2)


def all_walks(ruleset: Ruleset) -> dict[str, list[Entry]]:
    """The clean walk and every demo there is now, by name."""
    walks = {CLEAN: clean_walk(ruleset)}
    for path in sorted(DEMOS.glob("*.jsonl")):
        walks[path.stem] = read_journal(path)
    return walks


def steps(journal: list[Entry]) -> Iterator[list[Entry]]:
    """The journal after each answer; a group answered in one go is one answer."""
    for end in range(2, len(journal) + 1):
        if end == len(journal) or journal[end].turn != journal[end - 1].turn:
            yield journal[:end]


def clean_walk(ruleset: Ruleset) -> list[Entry]:
    """Every question asked, and answered as fine wherever the ruleset says what fine is."""
    journal: list[Entry] = [Context(today=DAY, ruleset=ruleset.about.name, car="Clean")]
    while (prompt := agenda(consult(ruleset, journal)).next) is not None:
        turn = journal[-1].turn + 1
        for name, at in prompt.items:
            journal.append(fine_answer(ruleset, prompt, name, at, turn))
    return journal


def fine_answer(ruleset: Ruleset, prompt: Prompt, name: str, at: str, turn: int) -> Said:
    question = ruleset.questions[name]
    if question.kind == "some_of":
        answer = Answer(words=())
    elif question.kind in ("yes_no", "one_of"):
        words = question.words()
        fallback = "no" if question.kind == "yes_no" else words[0]
        answer = Answer(word=question.fine or fallback)
    elif question.kind == "note":
        answer = Answer(text="nothing to add")
    elif question.kind == "date":
        day = float(dt.date(2015, 6, 14).toordinal())
        answer = Answer(lo=day, hi=day)
    else:
        answer = Answer(state="dont_know")
    words_ = answer_words(question, answer)
    return Said(
        turn=turn,
        question=name,
        at=at,
        answer=answer,
        words=words_,
        group=prompt.key if prompt.group else None,
    )


def write_answers(ruleset: Ruleset, path: Path, count: int, seed: int) -> dict[str, int]:
    """Writes answers files, one JSON object a line: the words a person would type.

    Half are whole demos with a fifth of the answers replaced by random ones; half are journals
    of JournalMaker (worked cases mixed with random answers). Words that would not be understood
    as the answer meant are left out. Returns the number of answers, and of those left out.
    """
    maker = JournalMaker(ruleset, seed)
    random = Random(seed)
    demos = [read_journal(p) for p in sorted(DEMOS.glob("*.jsonl"))] or [clean_walk(ruleset)]
    understood: dict[tuple[str, str, dt.date], bool] = {}
    counts = {"answers": 0, "left_out": 0}
    with path.open("w", encoding="utf-8") as out:
        for number in range(count):
            if number % 2:
                journal = maker.journal()
            else:
                journal = _changed(demos[number // 2 % len(demos)], maker, random)
            start = journal[0]
            assert isinstance(start, Context)
            answers: dict[str, Any] = {}
            for said in journal[1:]:
                if not isinstance(said, Said):
                    continue
                words = _typed(ruleset, said)
                key = (said.question, words, start.today)
                if key not in understood:
                    heard = understand(words, ruleset.questions[said.question], today=start.today)
                    understood[key] = isinstance(heard, Understood) and heard.sure
                if not understood[key]:
                    counts["left_out"] += 1
                    continue
                counts["answers"] += 1
                answers[f"{said.question}@{said.at}" if said.at else said.question] = words
            row = {"name": f"made {number}", "today": start.today.isoformat(), "answers": answers}
            out.write(json.dumps(row, ensure_ascii=False) + "\n")
    return counts


def _changed(journal: list[Entry], maker: JournalMaker, random: Random) -> list[Entry]:
    return [
        entry.model_copy(update={"answer": maker.answer(entry.question)})
        if isinstance(entry, Said)
        and entry.question in maker.ruleset.questions
        and random.random() < 0.2
        else entry
        for entry in journal
        if not isinstance(entry, Said) or entry.question in maker.ruleset.questions
    ]


def _typed(ruleset: Ruleset, said: Said) -> str:
    question, answer = ruleset.questions[said.question], said.answer
    if answer.word is not None and question.kind == "yes_no":
        return answer.word
    return answer_words(question, answer)
