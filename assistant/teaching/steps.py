"""One step of a case in words: rows of facts, firings, findings and causes, and the longer views.

Every screen of the trainer, and the handout, is put together from these.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from assistant.choosing.agenda import Prompt, asked_words
from assistant.choosing.next_check import LEAST_SHARE
from assistant.choosing.outcome import Outcome
from assistant.reasoning.consultation import Consultation, SymptomFound
from assistant.reasoning.engine import Firing
from assistant.reasoning.findings import Finding
from assistant.report.explaining import nearly_words
from assistant.report.findings import together
from assistant.report.lines import Line, numbered, texts, titled
from assistant.ruleset.grammar import and_words, placed, plural, upper
from assistant.ruleset.models import Urgency
from assistant.ruleset.ruleset import Inference, Ruleset
from assistant.ruleset.words import URGENCY_WORDS, share_words
from assistant.teaching.replay import FactTold, Given, Replay, Step, facts_told, says_something
from assistant.teaching.words import HELP_ROWS

WHY_WORDS = {
    "triage": "the words could mean a danger",
    "worry": "which symptom is meant",
    "car": "what must be checked depends on the car",
    "at once": "a rule wants to know at once",
    "deciding": "it decides about what was told",
    "recent drives": "signs that cannot wait come before walking",
    "again": "a reading of an earlier day, which may have changed",
    "opened here": "a rule has opened it, or it was named",
    "safety": "one of the safety checks",
    "walk": "the walk, by value for time",
    "end": "only for dates",
}


DRIVE_WORDS = {"yes": "it may be driven", "no": "not before it has been looked at"}
OPEN_WORDS = "it stays open"


def fact_row(fact: FactTold) -> str:
    """ "tread depth: 2 mm", with a word where it was worked out."""
    return f"{fact.label}: {fact.words}" + (" (worked out)" if fact.worked else "")


def alike(given: Iterable[Given]) -> list[tuple[list[str], Given]]:
    """What was said in a turn; the answers of a group that are alike together, by their labels."""
    rows: dict[tuple[str, str], list[Given]] = {}
    for one in given:
        rows.setdefault((one.understood, one.words), []).append(one)
    return [([one.label for one in some], some[0]) for some in rows.values()]


def given_rows(given: Sequence[Given]) -> list[str]:
    """What was said in a turn; like answers of a group in one row."""
    found = []
    for labels, one in alike(given):
        typed = one.words and one.words != one.understood
        words = f" (in their words: '{one.words}')" if typed else ""
        few = "; ".join(labels) if len(labels) <= 3 else f"{len(labels)} things ({labels[0]}, ...)"
        found.append(f"{few}: {one.understood}{words}")
    return found


def fired_words(inference: Inference) -> str:
    """What has fired: a rule, a piece of evidence with its factor, or a symptom."""
    if inference.rule is not None:
        return inference.rule.say
    evidence, cause = inference.evidence, inference.cause
    if evidence is not None and cause is not None:
        return f"{evidence.because}: times {evidence.factor:g} for {cause.say}"
    return inference.symptom.say if inference.symptom else inference.name


def fired_rows(consultation: Consultation, firings: Iterable[Firing]) -> list[str]:
    """Firings in their order: round, then ruleset order; one rule at several parts in one row."""
    rs = consultation.ruleset
    rows: dict[tuple[int, str], list[str]] = {}
    for firing in firings:
        places = rows.setdefault((firing.round, firing.inference), [])
        places.append(rs.part_words(rs.inferences[firing.inference].axis, firing.at))
    found = []
    for (round_, name), places in rows.items():
        inference = rs.inferences[name]
        text = placed(and_words([place for place in places if place]), fired_words(inference))
        kind = inference.system if inference.role == "rule" else inference.role
        found.append(f"Round {round_}, {kind}: {upper(text)}")
    return found


def outcome_words(ruleset: Ruleset, outcome: Outcome, what: str, said: str | None = None) -> str:
    """What a case comes to, or what was said of it, as it was offered to those who predict.

    what: "category", "cause" or "drive". said: what somebody predicted instead.
    """
    word = said or getattr(outcome, what)
    if what == "category":
        return ruleset.about.scale[word].say if word in ruleset.about.scale else "nothing"
    if what == "drive":
        return DRIVE_WORDS["yes" if word == "yes" else "no"]
    causes = outcome.symptom.symptom.causes if outcome.symptom else []
    return next((c.say for c in causes if c.cause == word), OPEN_WORDS)


def finding_rows(findings: Iterable[Finding]) -> list[str]:
    """Findings with their place, category and urgency."""
    rows = []
    for finding, parts in together(findings):
        category = f", {finding.category}" if finding.category else ""
        says = placed(parts, finding.rule.say)
        rows.append(f"{says} {URGENCY_WORDS[finding.urgency]}{category}.")
    return rows


def why_asked_words(prompt: Prompt) -> str:
    """Why a prompt stands in the plan, with its figures."""
    why = WHY_WORDS[prompt.why]
    if prompt.follow_up is not None:
        why += f" ({prompt.follow_up.rule.say.rstrip('.')})"
    if prompt.deciding is not None:
        check = prompt.deciding
        aim = f"rule out {check.worst.say}" if check.worst else "tell causes apart"
        why += f"; aim: {aim}; gain {check.gain:.2f} bits"
    elif prompt.worth > 0:
        why += f"; {prompt.worth:.3f} expected failures seen"
    return why


def plan_row(ruleset: Ruleset, prompt: Prompt) -> str:
    """A prompt of the plan with its reason."""
    return f"{asked_words(ruleset, prompt)} Why: {why_asked_words(prompt)}."


def cause_rows(
    found: SymptomFound, before: dict[tuple[str, str, str], float] | None = None, most: int = 99
) -> list[str]:
    """The causes of a symptom with their shares, what they were, and their basis."""
    rows = []
    for one in found.causes[:most]:
        cause, share = one.cause, share_words(one.share)
        old = (before or {}).get((found.symptom.symptom, found.at, cause.cause))
        was = f", was {share_words(old)}" if old is not None and share_words(old) != share else ""
        rows.append(f"{share} {cause.say} ({one.word}{was}; basis: {cause.basis.value})")
    return rows


def urgency_row(now: Urgency, before: Urgency) -> str:
    """The urgency, and what it was where it has changed."""
    if now is before:
        return f"Urgency: {URGENCY_WORDS[now].lower()}, as before."
    return f"Urgency: {URGENCY_WORDS[now].upper()}. Before: {URGENCY_WORDS[before].lower()}."


def rules_missed(consultation: Consultation, firings: Iterable[Firing]) -> int:
    """How many rules are known not to hold."""
    roles = consultation.ruleset.inferences
    return sum(not f.truth and roles[f.inference].role == "rule" for f in firings)


def missed_words(step: Step) -> str:
    """How many rules are newly known not to hold."""
    count = rules_missed(step.consultation, step.new_firings)
    return f"{plural(count, 'rule')} now known not to hold" if count else ""


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
    minutes = plural(max(1, round(plan.minutes)), "minute")
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
            reasons = [f"Of 100 such cars: {cause.cause.of_100:g}"]
            reasons += [f"Speaks for it: {reason}" for reason in cause.speaks_for]
            reasons += [f"Speaks against it: {reason}" for reason in cause.speaks_against]
            if cause.cause.urgency is not None and cause.share >= LEAST_SHARE:
                reasons.append(f"If it is this: {URGENCY_WORDS[cause.cause.urgency].lower()}")
            lines += [*texts([row], 2), *(Line("aside", reason, 4) for reason in reasons)]
    share = "A share is the number of 100 times the factors of what holds, over the sum for all"
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
