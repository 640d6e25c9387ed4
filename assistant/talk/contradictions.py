"""An answer that contradicts what was told: it is asked about once, and then both stand."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.journal.entries import Entry, Said
from assistant.reasoning.consultation import consult
from assistant.reasoning.routes import Contradicted, contradicted, looked_at_by
from assistant.report.findings import answers_line
from assistant.report.lines import Line

if TYPE_CHECKING:
    from assistant.talk.talk import Talk


def not_taken_back(talk: Talk, entries: list[Entry]) -> list[Entry]:
    """The entries without those that the person takes back, as they contradict what was told."""
    looked = {name for f in talk.now.findings for name in looked_at_by(talk.ruleset, f.rule.rule)}
    if not any(isinstance(entry, Said) and entry.question in looked for entry in entries):
        return entries
    known = {one.told.question for one in contradicted(talk.now)}
    trial = consult(talk.ruleset, [*talk.journal, *entries])
    for one in contradicted(trial):
        if one.told.question not in known and not _so(talk, one, entries):
            named = {(said.question, said.at) for said in one.answers}
            entries = [
                e for e in entries if not isinstance(e, Said) or (e.question, e.at) not in named
            ]
    return entries


def _so(talk: Talk, one: Contradicted, entries: list[Entry]) -> bool:
    """Asks whether it is now as was answered. Both stay on the sheet if it is."""
    said = tuple(s for s in one.answers if s in entries) or one.answers
    talk.say(answers_line(talk.now, replace(one, answers=said)))
    if talk.yes("Is that how it is now?"):
        talk.once_kept.append(Line("aside", "Good. Both stay on the sheet."))
        return True
    talk.say(Line("aside", "Then that is not kept, and I ask again."))
    return False
