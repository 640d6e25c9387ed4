"""An ordinary talk in front of a class: after each answer its reasoning, in a few lines."""

from __future__ import annotations

from assistant.journal.entries import Entry
from assistant.report.explaining import nearly_words
from assistant.report.lines import Line
from assistant.talk.talk import Talk
from assistant.teaching.replay import Replay, Step
from assistant.teaching.steps import (
    cause_rows,
    fired_rows,
    missed_words,
    urgency_row,
    why_asked_words,
)

_MOST = 3


class LiveTalk(Talk):
    """A talk that shows its reasoning after each answer that is kept."""

    def keep(self, entries: list[Entry]) -> bool:
        kept = super().keep(entries)
        if kept:
            replay = Replay(self.ruleset, self.journal)
            self.say(*brief_lines(replay, replay.step(replay.last)))
        return kept


def brief_lines(replay: Replay, step: Step) -> list[Line]:
    """What an answer brought: at most a few lines of each sort."""
    now = step.consultation
    rows = [f"Worked out: {f.label}: {f.words}" for f in step.new_facts if f.worked][:_MOST]
    fired = fired_rows(now, step.fired)
    rows += [f"Fired: {row}" for row in fired[:_MOST]]
    if len(fired) > _MOST:
        rows.append(f"Fired: {len(fired) - _MOST} more")
    missed = missed_words(step)
    if not fired:
        rows.append(f"Nothing fired{f'; {missed}' if missed else ''}.")
    before = set(nearly_words(now.ruleset, replay.nearly(step.number - 1)))
    short = [r for r in nearly_words(now.ruleset, replay.nearly(step.number)) if r not in before]
    rows += [f"One condition short: {row}" for row in short[:2]]
    for found in now.symptoms:
        if step.moved(found):
            rows += [f"Cause: {row}" for row in cause_rows(found, step.shares_before, _MOST)]
    if step.urgency is not step.urgency_before:
        rows.append(urgency_row(step.urgency, step.urgency_before))
    if step.plan.next is not None:
        rows.append(f"Next because: {why_asked_words(step.plan.next)}.")
    return [Line("aside", "Reasoning:"), *(Line("aside", row, 2) for row in rows)]
