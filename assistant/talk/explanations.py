"""What is asked about a conclusion in the talk: why not, what would change it, how it came about.

Nothing that is explained changes anything; only a question that is then asked is kept.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from assistant.choosing.agenda import Prompt
from assistant.choosing.what_if import what_would_change
from assistant.journal.entries import Corrected, Entry
from assistant.reading.command_words import Command
from assistant.reading.text import clean
from assistant.reasoning.findings import Finding
from assistant.reasoning.meant import nearest_rules
from assistant.reasoning.trail import Node, missing_under, trail_of
from assistant.reasoning.why_not import why_not
from assistant.report.explaining import AUDIENCES, change_lines, trainer_more
from assistant.report.findings import trail_lines
from assistant.report.lines import Line
from assistant.ruleset.grammar import placed
from assistant.talk.choosing import choose_one
from assistant.talk.sidesteps import asked_alone, pick_finding

if TYPE_CHECKING:
    from assistant.talk.talk import Talk


_AUDIENCE = re.compile(
    r"[ ,]*\b(?:for|to|like) (?:the |an? |my )?"
    r"(?P<audience>novice|beginner|trainer|garage|mechanic)\W*$",
    re.IGNORECASE,
)
_CALLED = {"beginner": "novice", "mechanic": "garage"}
_THAT = ("that", "this", "it", "them", "these", "those", "so", "that one", "this one")


def explanation(talk: Talk, command: Command, rest: str, prompt: Prompt) -> bool | None:
    """Explains a conclusion. True where a question was then answered, else None."""
    found = _AUDIENCE.search(rest)
    audience = ""
    if found is not None:
        called = found["audience"].lower()
        audience, rest = _CALLED.get(called, called), rest[: found.start()]
    rest = "" if rest.lower().strip() in _THAT else rest.strip()
    if command is Command.WHYNOT:
        return look_into(talk, rest, audience or "novice", prompt)
    picked = pick_conclusion(talk, command, rest)
    if picked is None:
        return None
    if command is Command.CHANGES:
        what_changes(talk, *picked)
        return None
    if any((f.rule.rule, f.at) == picked for f in talk.now.findings):
        came_about(talk, trail_of(talk.now, *picked), audience)
        return None
    talk.say(Line("text", "That has not been found."))
    return explain_not(talk, picked, audience or "novice", prompt)


def came_about(talk: Talk, trail: Node, audience: str) -> None:
    """How a finding came about, for whom it was asked."""
    if not audience:
        talk.say(*trail_lines(trail))
        return
    talk.say(*AUDIENCES[audience](talk.now, trail))
    if audience == "trainer":
        talk.say(*trainer_more(talk.now))


def what_changes(talk: Talk, rule: str, at: str) -> None:
    """Which answers would make a conclusion go, or come; tried, not kept."""
    found = what_would_change(talk.ruleset, talk.journal, rule, at, now=talk.now)
    talk.say(*change_lines(talk.now, found))
    talk.say(
        Line("aside", "Only tried, nothing is changed. If an answer was wrong, type wrong; if it "
                      "has been repaired, type mended.")
    )  # fmt: skip


def look_into(talk: Talk, rest: str, audience: str, prompt: Prompt) -> bool | None:
    """Why something was not found."""
    if not rest:
        talk.say(Line("question", "What did you think would be found?"))
        talk.say(Line("hint", "Type some words of it, its item number, or 'none'."))
        rest = clean(talk.ask("> "))
        if rest.lower() in ("", "none", "no", "back", "stop"):
            return None
    picked = pick_rule(talk, rest)
    return None if picked is None else explain_not(talk, picked, audience, prompt)


def explain_not(talk: Talk, picked: tuple[str, str], audience: str, prompt: Prompt) -> bool | None:
    """Says why a rule is not certain, and offers to ask what would tell."""
    node = why_not(talk.now, *picked)
    talk.say(*AUDIENCES[audience](talk.now, node))
    missing = missing_under(node)
    if not missing:
        return None
    now = next((item for item in missing if item in prompt.items), None)
    if now is not None:
        talk.say(Line("text", f"That is what I am asking now: {talk.ruleset.item_label(*now)}."))
        return None
    label = talk.ruleset.item_label(*missing[0])
    if not talk.yes(f"Shall I ask you about '{label}' now?"):
        return None
    return ask_now(talk, *missing[0])


def ask_now(talk: Talk, name: str, at: str) -> bool | None:
    """Asks one question out of its turn and keeps the answer."""
    given = asked_alone(talk, name, at)
    if given is None:
        talk.say(Line("aside", "Then it stays open."))
        return None
    before = talk.now.state.answers.get((name, at))
    entry: Entry = talk.said(talk.next_turn(), name, at, *given)
    if before is not None and before.answer.state == "value":
        entry = Corrected(**entry.model_dump(exclude={"kind"}))
    talk.keep([entry])
    return True


def pick_conclusion(talk: Talk, command: Command, rest: str) -> tuple[str, str] | None:
    """Which conclusion is meant: one of those found, or another rule by its words."""
    findings = talk.now.findings
    low = re.sub(r"^(?:the|my|an?) ", "", talk.ruleset.as_the_owner(rest).lower())
    hits = [f for f in findings if low in f"{f.at_words} {f.rule.say} {f.item}".lower()]
    if rest and len(hits) != 1:
        return pick_rule(talk, rest)
    if not findings:
        talk.say(Line("aside", "Nothing has been found so far."))
        return None
    if len(hits) == 1:
        return hits[0].rule.rule, hits[0].at
    ask = "How did I get to which?" if command is Command.CAME else "What would change which?"
    finding = pick_finding(talk, ask)
    return (finding.rule.rule, finding.at) if isinstance(finding, Finding) else None


def pick_rule(talk: Talk, words: str) -> tuple[str, str] | None:
    """The rule that words mean; taken at once only for its very name or its only item."""
    meant = nearest_rules(talk.now, words)
    if not meant:
        talk.say(Line("text", f"I know nothing that sounds like '{words}'."))
        return None
    if len(meant) == 1 and meant[0].sure:
        return meant[0].rule.rule, meant[0].at
    rows = [
        placed(one.at_words, one.rule.say)
        + (f" (item {one.rule.finds.item})" if one.rule.finds else "")
        for one in meant
    ]
    index = choose_one(talk, "Which do you mean?", rows)
    return (meant[index].rule.rule, meant[index].at) if index is not None else None
