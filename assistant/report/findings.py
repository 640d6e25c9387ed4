"""One finding, one danger, one trail in words: what it is, where, its category and its source."""

from __future__ import annotations

from collections.abc import Iterable

from assistant.reasoning.consultation import Consultation, StoodDown
from assistant.reasoning.findings import Finding
from assistant.reasoning.hazards import ToldDanger
from assistant.reasoning.routes import Contradicted
from assistant.reasoning.trail import Node
from assistant.reasoning.withdrawn import Withdrawn
from assistant.report.drive import condition_words, graver_than, headline_words
from assistant.report.lines import Line, texts
from assistant.ruleset.grammar import and_words, placed, upper
from assistant.ruleset.models import Rule, Source, Who
from assistant.ruleset.ruleset import Ruleset
from assistant.ruleset.words import answer_words

WHO_WORDS = {
    Who.OWNER: "You can do this yourself, without tools.",
    Who.OWNER_TOOLS: "You may be able to do this yourself with basic tools.",
    Who.GARAGE: "For a garage.",
    Who.STATION: "Ask the inspection station.",
}


def category_words(ruleset: Ruleset, finding: Finding, none: str) -> str:
    """The category as the ruleset says it. none: said of what is no item of the inspection."""
    return ruleset.about.scale[finding.category].say if finding.category else none


def source_words(rule: Rule, source: Source) -> str:
    """Where a rule stands, and how far to trust it."""
    clause = rule.clause or (rule.finds.item if rule.finds else "")
    where = ", ".join(part for part in (source.title, source.edition, clause) if part)
    return f"Source: {where}. Basis: {rule.basis.value}."


def caution_lines(ruleset: Ruleset, names: Iterable[str], indent: int = 0) -> list[Line]:
    return [Line("caution", ruleset.cautions[name], indent) for name in names]


def together(findings: Iterable[Finding]) -> list[tuple[Finding, str]]:
    """Findings of one rule as one: the first of them, and all its parts in words."""
    parts: dict[str, list[str]] = {}
    first: dict[str, Finding] = {}
    for finding in findings:
        name = finding.rule.rule
        first.setdefault(name, finding)
        parts.setdefault(name, []).append(finding.at_words)
    return [(f, upper(and_words([w for w in parts[name] if w]))) for name, f in first.items()]


def found_line(
    consultation: Consultation, finding: Finding, where: str, indent: int = 0, number: int = 0
) -> Line:
    """What was found, where, its category, and when the car must not be driven with it."""
    rs = consultation.ruleset
    category = category_words(rs, finding, "not an item of the inspection")
    if finding.category:
        category += f", item {finding.item}"
        category += ": would fail" if rs.about.scale[finding.category].fails else ""
    lead = f"{number}. " if number else ""
    words = f"{lead}{placed(where, finding.rule.say)} ({category})"
    return Line("found", f"{words} {condition_words(finding.rule.condition)}".rstrip(), indent)


def finding_lines(
    consultation: Consultation, finding: Finding, where: str, indent: int = 0, number: int = 0
) -> list[Line]:
    """A finding: its number if it has one, then what, where, its category, and why and what to do.

    It says nothing of how soon: that is the one advice for the car. Nor what to do about it, where
    that advice is graver.
    """
    rule = finding.rule
    first = found_line(consultation, finding, where, indent, number)
    if graver_than(consultation, finding.urgency):
        return [first]
    rows = [rule.why]
    if finding.close_to_limit:
        rows.append("This is close to the limit: a tester may read it otherwise.")
    if rule.do:
        rows.append(f"What to do: {rule.do}")
    if rule.who:
        rows.append(WHO_WORDS[rule.who])
    cautions = caution_lines(consultation.ruleset, rule.cautions, indent + 2)
    return [first, *texts(rows, indent + 2), *cautions]


# dangers --------------------------------------------------------------------------------


def box(words: str) -> Line:
    """What must not be overlooked, in capitals."""
    return Line("danger", f" {words.rstrip('.').upper()} ")


def danger_lines(
    consultation: Consultation, findings: list[Finding], boxed: bool = True
) -> list[Line]:
    """The interruption: said at once, before anything else is asked. One heading, the gravest.

    boxed: with the heading; without it where the same danger has had one.
    """
    rows: list[str] = []
    for finding, parts in together(findings):
        rows.append(f"{placed(parts, finding.rule.say)} {finding.rule.why}")
        must_stand = finding.urgency.is_danger
        if finding.rule.do and (must_stand or not graver_than(consultation, finding.urgency)):
            rows.append(f"What to do now: {finding.rule.do}")
    head = [box(headline_words(consultation.headline))] if boxed else []
    return [Line("blank"), *head, *texts(rows), Line("blank")]


def told_danger_lines(consultation: Consultation, told: Iterable[ToldDanger]) -> list[Line]:
    """A danger in the person's own words: what a driver does now, then once it stands."""
    rows: list[str] = []
    for one in told:
        rows += [one.danger.first, one.danger.then]
        if consultation.hazards.waiting is None:  # else the next question says it
            rows.append(f"Whom to call: {one.danger.call}.")
    head = box(headline_words(consultation.headline))
    return [Line("blank"), head, *texts(rows), Line("blank")]


def is_another(consultation: Consultation, finding: Finding, before: Consultation) -> bool:
    """Whether a danger is another one than those that stood before: it makes the advice graver, or
    threatens what nothing had threatened yet.

    What must not be driven is the same danger only where it was told before in own words.
    """
    if consultation.headline.urgency.rank < before.headline.urgency.rank:
        return True
    rs = consultation.ruleset
    said = {name for one in before.told for name in one.hazards}
    hazards = rs.hazards_of(finding.rule.rule)
    if finding.urgency.is_danger:
        return not hazards or not said.issuperset(hazards)
    said.update(name for f in before.findings for name in rs.hazards_of(f.rule.rule))
    return not said.issuperset(hazards)


def lifted_line(told: ToldDanger) -> Line:
    """A danger told in own words that an answer has ruled out, still shown."""
    return Line("text", f"Ruled out by what you answered: '{told.worry.words}'.", 2)


def stood_down_line(down: StoodDown) -> Line:
    """A danger that something seen has ruled out, still shown."""
    return Line("text", f"Ruled out by what you saw: {down.rule.say} {down.by.say}", 2)


def withdrawn_line(gone: Withdrawn) -> Line:
    """A danger that went away by a change, to be confirmed by a garage."""
    now = f", then '{gone.words_now}'" if gone.words_now else ""
    first = f"First you said '{gone.words_before}'{now} ({gone.how})"
    how = first if gone.words_before else f"({gone.how}: {gone.words_now})"
    last = "Let a garage confirm it before the car is driven."
    return Line("text", f"Have it confirmed: {gone.rule.say} {how}. {last}", 2)


def answers_line(consultation: Consultation, one: Contradicted, indent: int = 0) -> Line:
    """What was told, and what was answered since that says otherwise."""
    rs = consultation.ruleset
    now = "; ".join(
        f"{rs.item_label(s.question, s.at)}: {answer_words(rs.questions[s.question], s.answer)}"
        for s in one.answers
    )
    return Line("text", f"You told me: '{one.told.words}'. Now I have: {now}.", indent)


# how it came about ----------------------------------------------------------------------


def trail_lines(node: Node, indent: int = 0) -> list[Line]:
    """How a conclusion came about, down to the person's own words."""
    words = placed(node.at_words, node.text)
    more: list[Line] = []
    if node.rule is not None and node.source is not None:
        words += "" if node.holds else " (this does not hold)"
        more = [
            Line("aside", f"Reason: {node.rule.why}", indent),
            Line("aside", source_words(node.rule, node.source), indent),
        ]
    elif node.said is not None:
        words += f" - you said '{node.said.words}'" if node.said.words else ""
        words += " (answered for a whole group)" if node.said.group else ""
    if node.children:
        more.append(Line("aside", "from:", indent))
    for child in node.children:
        more += trail_lines(child, indent + 2)
    return [Line("text", words, indent), *more]
