"""Judging answers from files: no talk, one result a consultation."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Callable
from typing import Any, TextIO

from assistant.dialogue.answers_file import Given, read_answers, read_text
from assistant.dialogue.asking import Line
from assistant.dialogue.phrasing import summary_lines
from assistant.dialogue.plain import wrapped
from assistant.errors import InputError
from assistant.exports.result import result_data
from assistant.knowledge.journal import Context, Said
from assistant.knowledge.models import Urgency
from assistant.knowledge.ruleset import Ruleset
from assistant.reasoning.consultation import Consultation, consult

__all__ = ["Judge"]

DONE, FOUND, MISUSE, FAULT = 0, 1, 2, 3


class Judge:
    """Judges files one by one; a bad file does not stop the others."""

    def __init__(
        self, ruleset_named: Callable[[str | None], Ruleset], today: dt.date, as_json: bool
    ) -> None:
        self.ruleset_named = ruleset_named
        self.today = today
        self.as_json = as_json

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
                out.write(
                    json.dumps({"file": path, "error": str(error)}, ensure_ascii=False) + "\n"
                )
            worst = max(worst, MISUSE)
        return worst

    def one(self, given: Given, out: TextIO, complain: Callable[[str], None]) -> int:
        """Judges one consultation and writes its result."""
        faults = [{"line": f.line, "text": f.text} for f in given.faults]
        if not given.journal:
            for bad in given.faults:
                complain(f"{given.label}, line {bad.line}: {bad.text}")
            if self.as_json:
                row = {"file": given.label, "input_faults": faults}
                out.write(json.dumps(row, ensure_ascii=False) + "\n")
            return MISUSE
        context = given.journal[0]
        assert isinstance(context, Context)
        ruleset = self.ruleset_named(context.ruleset)
        result = consult(ruleset, given.journal)
        faults += _ignored(result)
        data = result_data(result, faults)
        data = {"file": given.label, **data}
        if given.claimed is not None:
            data["same_as_sheet"] = same_result(given.claimed, data)
        if self.as_json:
            out.write(json.dumps(data, ensure_ascii=False) + "\n")
        else:
            self.print_text(given, result, data, out)
        for fault in faults:
            where = f", line {fault['line']}" if fault["line"] else ""
            complain(f"{given.label}{where}: {fault['text']}")
        if result.faults:
            return FAULT
        if faults:
            return MISUSE
        serious = result.urgency.rank <= Urgency.DO_NOT_DRIVE.rank
        return FOUND if result.would_fail() or serious else DONE

    def print_text(
        self, given: Given, result: Consultation, data: dict[str, Any], out: TextIO
    ) -> None:
        lines = [Line("title", given.label), *summary_lines(result, complete=True)]
        if "same_as_sheet" in data:
            said = "the same as" if data["same_as_sheet"] else "NOT the same as"
            lines.append(Line("text", f"This result is {said} the one on the sheet."))
        lines.append(Line("blank"))
        out.write("\n".join(row for line in lines for row in wrapped(line, 79)) + "\n")


def _ignored(result: Consultation) -> list[dict[str, Any]]:
    """Answers that were given but do not count, each as a fault with its line."""
    rs = result.ruleset
    faults: list[dict[str, Any]] = []
    for said in result.state.answers.values():
        if said.question not in rs.questions:
            text = f"there is no question {said.question!r} in this ruleset; it is left out."
        elif said.at not in rs.members(rs.questions[said.question].each):
            text = f"{said.question} has no part {said.at!r}; it is left out."
        elif result.applies(said.question) is False:
            text = f"{said.question} does not concern this car; the answer is left out."
        else:
            continue
        faults.append({"line": said.line if isinstance(said, Said) else None, "text": text})
    return faults


_COMPARED = ("drive", "would_fail", "findings", "causes", "have_confirmed", "not_known")


def same_result(claimed: dict[str, Any], now: dict[str, Any]) -> bool:
    """Whether a sheet says what a replay says."""
    return all(claimed.get(key) == now.get(key) for key in _COMPARED)
