"""Which step, or which finding, the words mean."""

from __future__ import annotations

from assistant.reading.text import FILLERS, near, words_of
from assistant.reasoning.consultation import Consultation
from assistant.reasoning.findings import Finding
from assistant.report.lines import Line, numbered
from assistant.talk.asking import Asker
from assistant.talk.choosing import rows_meant
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
    if not rest:
        asker.show([Line("question", "The trail of which finding?"), *numbered(rows)])
        rest = asker.ask("finding > ").strip()
    fit = rows_meant(rest, rows) if rest else []
    if len(fit) == 1:
        return findings[fit[0]]
    many = "More than one finding has these words" if fit else "No finding has that number or words"
    asker.show([Line("aside", f"{many}. Type trail, and a number from 1 to {len(findings)}.")])
    return None
