"""Judging answers from files: no talk, one result a consultation."""

from __future__ import annotations

import csv
import datetime as dt
import json
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, TextIO

from assistant.batch.answers_file import AnswersGiven, AnswersReader
from assistant.batch.verify import differences, verdict
from assistant.errors import DONE, FAULT, FOUND, MISUSE, InputError
from assistant.journal.entries import Context, Entry, Said
from assistant.reasoning.consultation import Consultation, consult
from assistant.report.drive import drive_of
from assistant.report.explaining import explain_judged
from assistant.report.lines import Line, texts
from assistant.report.pages import json_text
from assistant.report.result import result_data
from assistant.report.summary import deadline_lines, summary_lines
from assistant.ruleset.fitting import misfit
from assistant.ruleset.ruleset import Ruleset
from assistant.talk.asking import wrapped

MOST_FOUND = 10
"""So many of the commonest findings stand in a summary."""


@dataclass(frozen=True)
class Judged:
    """What came of one consultation: words or a line of JSON, complaints, and the exit code."""

    text: str
    complaints: str
    code: int


class Summary:
    """What came of many consultations: how many, their headlines, what was found most."""

    def __init__(self) -> None:
        self.count = 0
        self.problems = 0
        self.headlines: Counter[str] = Counter()
        self.found: Counter[str] = Counter()

    def add(self, result: Consultation | None, faults: list[dict[str, Any]]) -> None:
        """Counts one consultation; None for one of which nothing could be judged."""
        self.count += 1
        self.problems += bool(faults)
        words = drive_of(result).words.rstrip(".") if result else "Could not be judged"
        self.headlines[words] += 1
        self.found.update({f.rule.say.rstrip("."): 1 for f in result.findings} if result else {})

    def rows(self) -> list[tuple[str, str, int]]:
        """Each figure with its kind and its name."""
        return [
            ("all", "consultations", self.count),
            ("all", "with problems in the file", self.problems),
            *(("headline", words, count) for words, count in self.headlines.most_common()),
            *(("found", words, count) for words, count in self.found.most_common(MOST_FOUND)),
        ]

    def write(self, out: TextIO, form: str) -> None:
        """Writes it as a table for people, or as CSV."""
        rows = self.rows()
        if form == "csv":
            csv.writer(out, lineterminator="\n").writerows([("kind", "name", "count"), *rows])
            return
        for kind, name, count in rows:
            out.write(f"{kind:<9}{count:>8}  {name}\n")


class Judge:
    """Judges files one by one; a bad file does not stop the others.

    explain: for whom each finding is explained, of explaining.AUDIENCES. why_not: the name
    of a rule or its item, to say why it was not found. tell: hears how many are judged.
    """

    def __init__(
        self,
        ruleset_named: Callable[[str | None], Ruleset],
        today: dt.date,
        as_json: bool,
        explain: str | None = None,
        why_not: str | None = None,
    ) -> None:
        self.ruleset_named = ruleset_named
        self.reader = AnswersReader(ruleset_named, today)
        self.as_json = as_json
        self.explain = explain
        self.why_not = why_not
        self.summary = Summary()
        self.tell: Callable[[int], None] = lambda count: None

    def file(self, path: str, out: TextIO | None, complain: Callable[[str], None]) -> int:
        """Judges all consultations of one file; returns the gravest exit code.

        out: where each result goes; None where only the summary is wanted.
        """
        worst = DONE
        try:
            for given in self.reader.file(path):
                judged = self.one(given)
                if judged.text and out is not None:
                    self.write(out, judged.text)
                if judged.complaints:
                    complain(judged.complaints)
                self.tell(self.summary.count)
                worst = max(worst, judged.code)
        except InputError as error:
            complain(str(error))
            if self.as_json and out is not None:
                self.write(out, json_text({"file": path, "error": str(error)}))
            worst = max(worst, MISUSE)
        return worst

    def one(self, given: AnswersGiven) -> Judged:
        """Judges one consultation."""
        faults = [{"line": f.line, "text": f.text} for f in given.faults]
        ruleset = None
        if given.journal:
            context = given.journal[0]
            assert isinstance(context, Context)
            try:
                ruleset = self.ruleset_named(context.ruleset)
            except InputError as error:
                faults.append({"line": None, "text": str(error)})
        if ruleset is None:
            nothing = {"file": given.label, "input_faults": faults}
            self.summary.add(None, faults)
            return Judged(
                json_text(nothing) if self.as_json else "", _complaints(given, faults), MISUSE
            )
        journal, unfit = _fitting(ruleset, given.journal)
        result = consult(ruleset, journal)
        faults += unfit + _ignored(result)
        data = {"file": given.label, **result_data(result, faults)}
        if given.claimed is not None:
            data["differs_from_sheet"] = differences(given, ruleset)
            data["same_as_sheet"] = not data["differs_from_sheet"]
        explained = None
        if self.explain is not None or self.why_not is not None:
            explained = explain_judged(result, self.explain, self.why_not)
            data |= explained.data
            faults += explained.faults
        text = (
            json_text(data)
            if self.as_json
            else self.in_words(given, result, data, explained.lines if explained else [])
        )
        self.summary.add(result, faults)
        code = _code(result, faults)
        return Judged(
            text, _complaints(given, faults), max(code, bool(data.get("differs_from_sheet")))
        )

    def in_words(
        self, given: AnswersGiven, result: Consultation, data: dict[str, Any], explained: list[Line]
    ) -> str:
        lines = [Line("title", given.label)]
        if "differs_from_sheet" in data:
            lines += texts([*verdict(data["differs_from_sheet"], "The sheet"), ""])
        lines += [*summary_lines(result, complete=True), *deadline_lines(result)]
        lines += [*explained, Line("blank")]
        return "\n".join(row for line in lines for row in wrapped(line, 79))

    def write(self, out: TextIO, text: str) -> None:
        """Writes words, or one line of JSON, in letters that the stream can take."""
        encoding = getattr(out, "encoding", None) or "utf-8"
        try:
            text.encode(encoding)
        except UnicodeEncodeError:
            text = (
                json.dumps(json.loads(text))
                if self.as_json
                else text.encode(encoding, "replace").decode(encoding)
            )
        out.write(text + "\n")


def _complaints(given: AnswersGiven, faults: list[dict[str, Any]]) -> str:
    """The problems of one consultation, together."""
    where = [f", line {fault['line']}" if fault["line"] else "" for fault in faults]
    rows = [f"{at}: {fault['text']}" for at, fault in zip(where, faults, strict=True)]
    if len(rows) < 2:
        return given.label + rows[0] if rows else ""
    return f"{given.label}: {len(rows)} problems" + "".join(
        f"\n  {row.lstrip(', :')}" for row in rows
    )


def _code(result: Consultation, faults: list[dict[str, Any]]) -> int:
    if result.faults:
        return FAULT
    if faults:
        return MISUSE
    serious = result.urgency.is_danger
    return FOUND if result.would_fail() or serious else DONE


def _fitting(ruleset: Ruleset, journal: list[Entry]) -> tuple[list[Entry], list[dict[str, Any]]]:
    """The journal without answers that cannot be answers to their question; those as faults. So
    what was answered before such a one still counts."""
    kept: list[Entry] = []
    faults: list[dict[str, Any]] = []
    for entry in journal:
        if isinstance(entry, Said) and entry.question in ruleset.questions:
            reason = misfit(ruleset, entry.question, entry.at, entry.answer)
            if reason is not None:
                faults.append({"line": entry.line, "text": f"{reason}; it is left out."})
                continue
        elif isinstance(entry, Context):
            known = [e for e in entry.earlier if e.question in ruleset.questions]
            bad = [e for e in known if misfit(ruleset, e.question, e.at, e.answer) is not None]
            for e in bad:
                text = f"{e.question}: the earlier answer cannot be one; it is left out."
                faults.append({"line": None, "text": text})
            if bad:
                entry = entry.model_copy(
                    update={"earlier": tuple(e for e in known if e not in bad)}
                )
        kept.append(entry)
    return kept, faults


def _ignored(result: Consultation) -> list[dict[str, Any]]:
    """Answers that were given but do not count, each as a fault with its line.

    In a talk what the car has is asked for after a danger, so an answer may turn out not to concern
    it; that is no mistake of whoever gave it.
    """
    faults = [
        {"line": said.line, "text": f"{reason}; it is left out."} for said, reason in result.misfits
    ]
    for said in result.state.answers.values():
        if result.applies(said.question) is False and said.when is None:
            text = f"{said.question} does not concern this car; the answer is left out."
            faults.append({"line": said.line, "text": text})
    return faults
