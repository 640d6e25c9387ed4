"""The longer views of a step: all that is known, all that fired, near misses, plan, causes."""

from __future__ import annotations

from assistant.dialogue.asking import Line
from assistant.dialogue.question_words import plural
from assistant.dialogue.teaching.parts import (
    cause_rows,
    fact_row,
    fired_rows,
    given_rows,
    plan_row,
    step_row,
)
from assistant.dialogue.teaching.words import HELP_ROWS
from assistant.exports.explaining import nearly_words
from assistant.knowledge.wording import URGENCY_WORDS
from assistant.reasoning.deciding import LEAST_SHARE
from assistant.reasoning.replay import Replay, facts_told, says_something

_MOST_PROMPTS = 12


def known_lines(replay: Replay, number: int) -> list[Line]:
    """All that is known at a step, with the words it was said in."""
    consultation = replay.consultation(number)
    facts = facts_told(consultation)
    if not facts:
        return [Line("text", "Nothing is known yet.")]
    lines = [Line("title", f"Known so far: {plural(len(facts), 'thing')}")]
    for fact in facts:
        said = consultation.state.answers.get((fact.name, fact.at))
        typed = f" - said: '{said.words}'" if said and said.words and not fact.worked else ""
        lines.append(Line("text", fact_row(fact) + typed, 2))
    return lines


def fired_lines(replay: Replay, number: int) -> list[Line]:
    """All that has fired, in order, each rule with its reason, source and basis."""
    consultation = replay.consultation(number)
    rs = consultation.ruleset
    new = {(f.inference, f.at) for f in replay.step(number).fired}
    lines = [Line("title", "Fired so far, in order: by round, then as the ruleset stands")]
    last = ""
    for firing in consultation.result.firings.values():
        inference = rs.inferences[firing.inference]
        if not says_something(consultation, firing):
            continue
        row = fired_rows(consultation, [firing])[0]
        mark = " (new)" if (firing.inference, firing.at) in new else ""
        lines.append(Line("text", row + mark, 2))
        rule = inference.rule
        if rule is not None and rule.rule != last:
            last = rule.rule
            lines.append(Line("aside", f"Reason: {rule.why}", 4))
            lines.append(
                Line("aside", f"Source: {rs.sources[rule.source].title}. "
                              f"Basis: {rule.basis.value}.", 4)
            )  # fmt: skip
    not_held = sum(
        not f.truth and rs.inferences[f.inference].role == "rule"
        for f in consultation.result.firings.values()
    )
    if len(lines) == 1:
        lines = [Line("text", "No rule has fired yet.")]
    lines.append(Line("aside", f"Known not to hold: {plural(not_held, 'rule')}."))
    return lines


def almost_lines(replay: Replay, number: int) -> list[Line]:
    """All rules that are one condition short."""
    rows = nearly_words(replay.ruleset, replay.nearly(number))
    if not rows:
        return [Line("text", "No rule is one condition short.")]
    lines = [Line("title", f"One condition short: {plural(len(rows), 'rule')}")]
    return lines + [Line("text", row, 2) for row in rows]


def plan_lines(replay: Replay, number: int) -> list[Line]:
    """What would be asked next, in order, and why that."""
    plan = replay.step(number).plan
    if not plan.prompts:
        return [Line("text", "Nothing is left to ask.")]
    left = plural(len(plan.prompts), "question")
    minutes = plural(max(1, round(plan.minutes_left())), "minute")
    lines = [Line("title", f"Plan: {left}, about {minutes}")]
    for place, prompt in enumerate(plan.prompts[:_MOST_PROMPTS], start=1):
        lines.append(Line("choice", plan_row(replay.ruleset, prompt, place), 2))
    if len(plan.prompts) > _MOST_PROMPTS:
        lines.append(Line("aside", f"and {len(plan.prompts) - _MOST_PROMPTS} more", 2))
    if plan.left_out:
        lines.append(Line("aside", f"Left out for want of time: {len(plan.left_out)}", 2))
    lines.append(
        Line("aside", "The value is the chance that it fails and is seen, for each minute, from "
                      "assumed starting guesses.")
    )  # fmt: skip
    return lines


def cause_lines(replay: Replay, number: int) -> list[Line]:
    """The causes of each symptom: shares, what moved them, and how far to trust it."""
    step = replay.step(number)
    if not step.consultation.symptoms:
        return [Line("text", "No symptom has been told or seen, so there are no causes to weigh.")]
    lines: list[Line] = []
    for found in step.consultation.symptoms:
        lines.append(Line("title", f"Causes of: {found.symptom.say}"))
        for row, cause in zip(cause_rows(found, step.shares_before), found.causes, strict=True):
            lines.append(Line("text", row, 2))
            lines.append(Line("aside", f"Starting weight: {cause.cause.weight:g}", 4))
            for words, reasons in (("for", cause.speaks_for), ("against", cause.speaks_against)):
                lines += [Line("aside", f"Speaks {words} it: {reason}", 4) for reason in reasons]
            if cause.cause.urgency is not None and cause.share >= LEAST_SHARE:
                so = URGENCY_WORDS[cause.cause.urgency].lower()
                lines.append(Line("aside", f"If it is this: {so}", 4))
    lines.append(
        Line("aside", "A share is the starting weight times the factors of what holds, over the "
                      "sum for all causes.")
    )  # fmt: skip
    return lines


def urgency_lines(replay: Replay, number: int) -> list[Line]:
    """How the urgency changed up to a step, and with which answer."""
    lines = [Line("title", "How the urgency changed")]
    before = None
    for index in range(number + 1):
        now = replay.consultation(index).urgency
        if now is not before:
            said = "; ".join(given_rows(replay.given(index)))
            with_ = f" with: {said}" if said else ""
            lines.append(Line("text", f"Step {index}: {URGENCY_WORDS[now]}{with_}", 2))
        before = now
    return lines


def steps_lines(replay: Replay, number: int) -> list[Line]:
    """All questions and answers, numbered; conclusions are not given away."""
    lines = [Line("title", "All steps. Type a number to go there.")]
    for index in range(1, replay.last + 1):
        asked = replay.asked(index)[1]
        said = "; ".join(given_rows(replay.given(index)))
        here = " (here)" if index == number else ""
        lines.append(Line("choice", step_row(index, asked, said) + here, 2))
    return lines


def help_lines() -> list[Line]:
    """What may be typed at a step."""
    lines = [Line("title", "What you can type, in these or like words")]
    return lines + [Line("choice", f"{words}: {meaning}.", 2) for words, meaning in HELP_ROWS]
