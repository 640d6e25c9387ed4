"""The longer views of a step: all that is known, all that fired, near misses, plan, causes."""

from __future__ import annotations

from assistant.choosing.next_check import LEAST_SHARE
from assistant.report.explaining import nearly_words
from assistant.report.lines import Line, numbered, texts, titled
from assistant.ruleset.grammar import plural
from assistant.ruleset.words import URGENCY_WORDS
from assistant.teaching.replay import Replay, facts_told, says_something
from assistant.teaching.steps import (
    cause_rows,
    fact_row,
    fired_rows,
    given_rows,
    plan_row,
    rules_missed,
)
from assistant.teaching.words import HELP_ROWS

_MOST_PROMPTS = 12


def known_lines(replay: Replay, number: int) -> list[Line]:
    """All that is known at a step, with the words it was said in."""
    consultation = replay.consultation(number)
    rows = []
    for fact in facts_told(consultation):
        said = consultation.state.answers.get((fact.name, fact.at))
        typed = f" - said: '{said.words}'" if said and said.words and not fact.worked else ""
        rows.append(fact_row(fact) + typed)
    return titled(f"Facts so far: {len(rows)}", rows) or texts(["Nothing is known yet."])


def fired_lines(replay: Replay, number: int) -> list[Line]:
    """All that has fired, in order, each rule with its reason, source and basis."""
    consultation = replay.consultation(number)
    rs = consultation.ruleset
    firings = consultation.result.firings.values()
    new = {(f.inference, f.at) for f in replay.step(number).fired}
    lines = [Line("title", "Fired so far, in order: by round, then as the ruleset stands")]
    last = ""
    for firing in firings:
        if not says_something(consultation, firing):
            continue
        mark = " (new)" if (firing.inference, firing.at) in new else ""
        lines += texts([fired_rows(consultation, [firing])[0] + mark], 2)
        rule = rs.inferences[firing.inference].rule
        if rule is not None and rule.rule != last:
            last = rule.rule
            source = f"Source: {rs.sources[rule.source].title}. Basis: {rule.basis.value}."
            lines += [Line("aside", row, 4) for row in (f"Reason: {rule.why}", source)]
    if len(lines) == 1:
        lines = texts(["No rule has fired yet."])
    not_held = plural(rules_missed(consultation, firings), "rule")
    return [*lines, Line("aside", f"Known not to hold: {not_held}.")]


def almost_lines(replay: Replay, number: int) -> list[Line]:
    """All rules that are one condition short."""
    rows = nearly_words(replay.ruleset, replay.nearly(number))
    head = f"One condition short: {plural(len(rows), 'rule')}"
    return titled(head, rows) or texts(["No rule is one condition short."])


def plan_lines(replay: Replay, number: int) -> list[Line]:
    """What would be asked next, in order, and why that."""
    plan = replay.step(number).plan
    if not plan.prompts:
        return texts(["Nothing is left to ask."])
    left = plural(len(plan.prompts), "question")
    minutes = plural(max(1, round(plan.minutes_left())), "minute")
    lines = [Line("title", f"Plan: {left}, about {minutes}")]
    lines += numbered(plan_row(replay.ruleset, p) for p in plan.prompts[:_MOST_PROMPTS])
    if len(plan.prompts) > _MOST_PROMPTS:
        lines.append(Line("aside", f"and {len(plan.prompts) - _MOST_PROMPTS} more", 2))
    if plan.left_out:
        lines.append(Line("aside", f"Left out for want of time: {len(plan.left_out)}", 2))
    value = "The value is the chance that it fails and is seen, for each minute, from assumed"
    return [*lines, Line("aside", f"{value} starting guesses.")]


def cause_lines(replay: Replay, number: int) -> list[Line]:
    """The causes of each symptom: shares, what moved them, and how far to trust it."""
    step = replay.step(number)
    if not step.consultation.symptoms:
        return texts(["No symptom has been told or seen, so there are no causes to weigh."])
    lines: list[Line] = []
    for found in step.consultation.symptoms:
        lines.append(Line("title", f"Causes of: {found.symptom.say}"))
        for row, cause in zip(cause_rows(found, step.shares_before), found.causes, strict=True):
            reasons = [f"Starting weight: {cause.cause.weight:g}"]
            reasons += [f"Speaks for it: {reason}" for reason in cause.speaks_for]
            reasons += [f"Speaks against it: {reason}" for reason in cause.speaks_against]
            if cause.cause.urgency is not None and cause.share >= LEAST_SHARE:
                reasons.append(f"If it is this: {URGENCY_WORDS[cause.cause.urgency].lower()}")
            lines += [*texts([row], 2), *(Line("aside", reason, 4) for reason in reasons)]
    share = "A share is the starting weight times the factors of what holds, over the sum for all"
    return [*lines, Line("aside", f"{share} causes.")]


def urgency_lines(replay: Replay, number: int) -> list[Line]:
    """How the urgency changed up to a step, and with which answer."""
    rows = []
    before = None
    for index in range(number + 1):
        now = replay.consultation(index).urgency
        if now is not before:
            said = "; ".join(given_rows(replay.given(index)))
            rows.append(f"Step {index}: {URGENCY_WORDS[now]}{said and f' with: {said}'}")
        before = now
    return titled("How the urgency changed", rows)


def steps_lines(replay: Replay, number: int) -> list[Line]:
    """All questions and answers, numbered; conclusions are not given away."""
    rows = []
    for index in range(1, replay.last + 1):
        said = "; ".join(given_rows(replay.given(index)))
        here = " (here)" if index == number else ""
        rows.append(f"{replay.asked(index)[1]}{said and f' - {said}'}{here}")
    return [Line("title", "All steps. Type a number to go there."), *numbered(rows)]


def help_lines() -> list[Line]:
    """What may be typed at a step."""
    lines = [Line("title", "What you can type, in these or like words")]
    return lines + [Line("choice", f"{words}: {meaning}.", 2) for words, meaning in HELP_ROWS]
