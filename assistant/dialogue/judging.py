"""Judging answers from files: no talk, one result a consultation."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Callable
from typing import Any, TextIO

from assistant.dialogue.answers_file import Given, read_answers, read_text
from assistant.dialogue.asking import Line
from assistant.dialogue.judged import explain_judged
from assistant.dialogue.plain import wrapped
from assistant.dialogue.telling import (
    deadline_lines,
    summary_lines,
)
from assistant.errors import InputError
from assistant.exports.result import result_data
from assistant.exports.sheet import json_text, sheet_data
from assistant.knowledge.journal import Answer, Context, Entry, Said
from assistant.knowledge.models import Question, Urgency
from assistant.knowledge.ruleset import Ruleset
from assistant.reasoning.consultation import Consultation, consult

__all__ = ["Judge"]

DONE, FOUND, MISUSE, FAULT = 0, 1, 2, 3


class Judge:
    """Judges files one by one; a bad file does not stop the others.

    explain: for whom each finding is explained, of exports.explaining.MANNERS. why_not: the name
    of a rule or its item, to say why it was not found.
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
        self.today = today
        self.as_json = as_json
        self.explain = explain
        self.why_not = why_not

    def file(self, path: str, out: TextIO, complain: Callable[[str], None]) -> int:
        """Judges all consultations of one file; returns the gravest exit code."""
        worst = DONE
        try:
            label, text = read_text(path)
            for given in read_answers(label, text, self.ruleset_named, self.today):
                worst = max(worst, self.one(given, out, complain))
        except InputError as error:
            complain(str(error))
            if self.as_json:
                _write(out, {"file": path, "error": str(error)})
            worst = max(worst, MISUSE)
        return worst

    def one(self, given: Given, out: TextIO, complain: Callable[[str], None]) -> int:
        """Judges one consultation and writes its result."""
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
            self.complain(given, faults, complain)
            if self.as_json:
                _write(out, {"file": given.label, "input_faults": faults})
            return MISUSE
        journal, unfit = _fitting(ruleset, given.journal)
        result = consult(ruleset, journal)
        faults += unfit + _ignored(result)
        data = {"file": given.label, **result_data(result, faults)}
        if given.claimed is not None:
            data["same_as_sheet"] = same_result(given.claimed, sheet_data(result, journal))
        explained = None
        if self.explain is not None or self.why_not is not None:
            explained = explain_judged(result, self.explain, self.why_not)
            data |= explained.data
            faults += explained.faults
        if self.as_json:
            _write(out, data)
        else:
            self.print_text(given, result, data, out, explained.lines if explained else [])
        self.complain(given, faults, complain)
        if result.faults:
            return FAULT
        if faults:
            return MISUSE
        serious = result.urgency.rank <= Urgency.DO_NOT_DRIVE.rank
        return FOUND if result.would_fail() or serious else DONE

    def complain(
        self, given: Given, faults: list[dict[str, Any]], complain: Callable[[str], None]
    ) -> None:
        for fault in faults:
            where = f", line {fault['line']}" if fault["line"] else ""
            complain(f"{given.label}{where}: {fault['text']}")

    def print_text(
        self,
        given: Given,
        result: Consultation,
        data: dict[str, Any],
        out: TextIO,
        explained: list[Line],
    ) -> None:
        lines = [Line("title", given.label), *summary_lines(result, complete=True)]
        lines += deadline_lines(result)
        if "same_as_sheet" in data:
            said = "the same as" if data["same_as_sheet"] else "NOT the same as"
            lines.append(Line("text", f"This result is {said} the one on the sheet."))
        lines += [*explained, Line("blank")]
        _write(out, "\n".join(row for line in lines for row in wrapped(line, 79)))


def _write(out: TextIO, what: str | dict[str, Any]) -> None:
    """Writes text, or data as one line of JSON, in letters that the stream can take."""
    encoding = getattr(out, "encoding", None) or "utf-8"
    text = what if isinstance(what, str) else json_text(what)
    try:
        text.encode(encoding)
    except UnicodeEncodeError:
        text = (
            text.encode(encoding, "replace").decode(encoding)
            if isinstance(what, str)
            else json.dumps(what)
        )
    out.write(text + "\n")


def _fitting(ruleset: Ruleset, journal: list[Entry]) -> tuple[list[Entry], list[dict[str, Any]]]:
    """The journal without answers that cannot be answers to their question; those as faults."""
    kept: list[Entry] = []
    faults: list[dict[str, Any]] = []
    for entry in journal:
        if isinstance(entry, Said):
            question = ruleset.questions.get(entry.question)
            if question is not None and not _fits(question, entry.answer):
                text = f"{entry.question}: this cannot be an answer to it; it is left out."
                faults.append({"line": entry.line, "text": text})
                continue
        elif isinstance(entry, Context):
            known = [e for e in entry.earlier if e.question in ruleset.questions]
            fitting = [e for e in known if _fits(ruleset.questions[e.question], e.answer)]
            for bad in (e for e in known if e not in fitting):
                text = f"{bad.question}: the earlier answer cannot be one; it is left out."
                faults.append({"line": None, "text": text})
            if len(fitting) < len(known):
                entry = entry.model_copy(update={"earlier": tuple(fitting)})
        kept.append(entry)
    return kept, faults


def _fits(question: Question, answer: Answer) -> bool:
    """Whether a typed answer is one that the question can have."""
    if answer.state != "value":
        return answer.state != "not_fitted" or question.not_fitted
    if question.kind in ("yes_no", "one_of"):
        return answer.word in question.words()
    if question.kind == "some_of":
        return answer.words is not None and set(answer.words) <= set(question.words())
    if question.kind == "note":
        return answer.text is not None
    low, high = question.range or (1.0, float(dt.date.max.toordinal()))
    return answer.lo is not None and answer.hi is not None and low <= answer.lo <= answer.hi <= high


def _ignored(result: Consultation) -> list[dict[str, Any]]:
    """Answers that were given but do not count, each as a fault with its line."""
    faults = [
        {"line": said.line, "text": f"{reason}; it is left out."} for said, reason in result.misfits
    ]
    for said in result.state.answers.values():
        if result.applies(said.question) is False:
            text = f"{said.question} does not concern this car; the answer is left out."
            faults.append({"line": said.line, "text": text})
    return faults


_COMPARED = ("drive", "would_fail", "findings", "causes", "have_confirmed", "not_known", "journal")
_MAY_DIFFER = ("ruleset_digest", "input_faults")


def same_result(claimed: dict[str, Any], now: dict[str, Any]) -> bool:
    """Whether a sheet says what a replay says; a field it has not got is a newer one."""
    replayed = json.loads(json_text(now))
    return all(key in claimed for key in _COMPARED) and all(
        claimed[key] == value
        for key, value in replayed.items()
        if key in claimed and key not in _MAY_DIFFER
    )
