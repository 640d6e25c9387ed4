"""What has been found and what may be behind it, as lines of plain words."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from assistant.knowledge.models import Urgency, Who
from assistant.knowledge.wording import URGENCY_WORDS, answer_words
from assistant.reasoning.consultation import CauseFound, Consultation, StoodDown, SymptomFound
from assistant.reasoning.deadlines import deadlines_of
from assistant.reasoning.deciding import LEAST_SHARE
from assistant.reasoning.findings import Finding
from assistant.reasoning.hazards import ToldDanger
from assistant.reasoning.routes import Contradicted, contradicted
from assistant.reasoning.trail import Node
from assistant.reasoning.withdrawn import Withdrawn
from assistant.report.drawn import car_of
from assistant.report.drive import (
    IF_IT_CHANGES,
    LIMITS,
    condition_words,
    drive_of,
    graver_than,
    headline_words,
    more_words,
    one_advice,
)
from assistant.report.lines import Line
from assistant.report.pictures import car_rows
from assistant.report.prompts import and_words, item_label
from assistant.report.question_words import plural, upper

_MOST_LISTED = 12
_MOST_CAUSES = 4

WHO_WORDS = {
    Who.OWNER: "You can do this yourself, without tools.",
    Who.OWNER_TOOLS: "You may be able to do this yourself with basic tools.",
    Who.GARAGE: "For a garage.",
    Who.STATION: "Ask the inspection station.",
}


def car_lines(consultation: Consultation, groups: list[list[Finding]]) -> list[Line]:
    """The car from above with the findings, numbered as they are listed after it."""
    car = car_of(consultation, list(enumerate(groups, start=1)))
    if car is None:
        return []
    rows = car_rows(car.stops, car.marks)
    return [Line("text", car.words), Line("picture", "\n".join(rows)), Line("blank")]


def symptom_lines(consultation: Consultation, found: SymptomFound) -> list[Line]:
    """What may be behind a symptom, the evidence, who mends it, and what to say to a garage."""
    rs, symptom = consultation.ruleset, found.symptom
    lines = [Line("title", f"What may be behind it: {symptom.say}")]
    for index, cause in enumerate(found.causes):
        if index >= _MOST_CAUSES and not _is_grave(cause):
            continue
        because = f", because {and_words(list(cause.speaks_for))}" if cause.speaks_for else ""
        against = f"; against it: {and_words(list(cause.speaks_against))}"
        lines.append(
            Line(
                "text",
                f"{upper(cause.word)}: {cause.cause.say}{because}"
                f"{against if cause.speaks_against else ''}.{if_so(consultation, cause)}",
                2,
            )
        )
    likely = found.likely
    if likely is None:
        look = "" if one_advice(consultation) else " Have it looked at."
        lines.append(Line("text", f"Which of them it is stays open.{look}", 2))
    elif not one_advice(consultation):
        lines.append(Line("text", f"What to do: {likely.cause.do}", 2))
        lines.append(Line("text", WHO_WORDS[likely.cause.who], 2))
    if not one_advice(consultation):
        lines += [Line("caution", rs.cautions[c], 2) for c in symptom.cautions]
    if symptom.tell_garage:
        lines.append(Line("text", f"Tell the garage: {symptom.tell_garage}", 2))
    if symptom.not_sold:
        lines.append(Line("text", f"Before you pay: {symptom.not_sold}", 2))
    return lines


def category_words(consultation: Consultation, finding: Finding) -> str:
    if finding.category is None:
        return "not an item of the inspection"
    step = consultation.ruleset.about.scale[finding.category]
    return f"{step.say}, item {finding.item}" + (": would fail" if step.fails else "")


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
    lead = (f"{number}. " if number else "") + (f"{where}: " if where else "")
    category = category_words(consultation, finding)
    words = f"{lead}{finding.rule.say} ({category}) {condition_words(finding.rule.condition)}"
    return Line("found", words.rstrip(), indent)


def finding_lines(
    consultation: Consultation, finding: Finding, where: str, indent: int = 0, number: int = 0
) -> list[Line]:
    """A finding: its number if it has one, then what, where, its category, and why and what to do.

    It says nothing of how soon: that is the one advice for the car. Nor what to do about it, where
    that advice is graver.
    """
    rule = finding.rule
    lines = [found_line(consultation, finding, where, indent, number)]
    if graver_than(consultation, finding.urgency):
        return lines
    lines.append(Line("text", rule.why, indent + 2))
    if finding.close_to_limit:
        lines.append(
            Line("text", "This is close to the limit: a tester may read it otherwise.", indent + 2)
        )
    if rule.do:
        lines.append(Line("text", f"What to do: {rule.do}", indent + 2))
    if rule.who:
        lines.append(Line("text", WHO_WORDS[rule.who], indent + 2))
    rs = consultation.ruleset
    lines += [Line("caution", rs.cautions[c], indent + 2) for c in rule.cautions]
    return lines


def danger_lines(
    consultation: Consultation, findings: list[Finding], boxed: bool = True
) -> list[Line]:
    """The interruption: said at once, before anything else is asked. One heading, the gravest.

    boxed: with the heading; without it where the same danger has had one.
    """
    lines = [Line("blank")]
    if boxed:
        lines.append(Line("danger", f" {headline_words(consultation.headline).upper()} "))
    for finding, parts in together(findings):
        where = f"{parts}: " if parts else ""
        lines.append(Line("text", f"{where}{finding.rule.say} {finding.rule.why}"))
        must_stand = finding.urgency.rank <= Urgency.DO_NOT_DRIVE.rank
        if finding.rule.do and (must_stand or not graver_than(consultation, finding.urgency)):
            lines.append(Line("text", f"What to do now: {finding.rule.do}"))
    return [*lines, Line("blank")]


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
    if finding.urgency.rank <= Urgency.DO_NOT_DRIVE.rank:
        return not hazards or not said.issuperset(hazards)
    said.update(name for f in before.findings for name in rs.hazards_of(f.rule.rule))
    return not said.issuperset(hazards)


def told_danger_lines(consultation: Consultation, told: Iterable[ToldDanger]) -> list[Line]:
    """A danger in the person's own words: what a driver does now, then once it stands."""
    lines = [Line("blank"), Line("danger", f" {headline_words(consultation.headline).upper()} ")]
    for one in told:
        lines.append(Line("text", one.danger.first))
        lines.append(Line("text", one.danger.then))
        if consultation.hazards.waiting is None:  # else the next question says it
            lines.append(Line("text", f"Whom to call: {one.danger.call}."))
    return [*lines, Line("blank")]


def left_out_line(consultation: Consultation, count: int) -> Line:
    """What the standing dangers forbid, in one line, with the reason and what ends it."""
    says = [one.hazard.say for one in consultation.hazards.standing]
    reason = and_words(list(dict.fromkeys(says)))
    return Line("aside", f"{plural(count, 'check')} left out, because of: {reason}.")


def if_so(consultation: Consultation, cause: CauseFound) -> str:
    """What to do if it is this cause, where it is not ruled out and the car must not be driven.

    Nothing where the car must not be driven as it is, for as grave a reason or a graver one.
    """
    urgency = cause.cause.urgency
    if urgency is None or not _is_grave(cause):
        return ""
    if urgency.rank >= consultation.headline.urgency.rank:
        return ""
    return f" If it is this: {URGENCY_WORDS[urgency].lower()}."


def _is_grave(cause: CauseFound) -> bool:
    urgency = cause.cause.urgency
    grave = urgency is not None and urgency.rank <= Urgency.DO_NOT_DRIVE.rank
    return grave and cause.share >= LEAST_SHARE


def worry_lines(consultation: Consultation) -> list[Line]:
    """What the person said that is none of the symptoms known here."""
    state = consultation.state
    left = [w for w in state.worries if w.turn in state.picked and not state.picked[w.turn].symptom]
    if not left:
        return []
    lines = [Line("title", "In your own words, for the garage")]
    return lines + [Line("text", f"'{worry.words}'.", 2) for worry in left]


def answers_line(consultation: Consultation, one: Contradicted) -> Line:
    """What was told, and what was answered since that says otherwise."""
    rs = consultation.ruleset
    now = "; ".join(
        f"{item_label(rs, s.question, s.at)}: {answer_words(rs.questions[s.question], s.answer)}"
        for s in one.answers
    )
    return Line("text", f"You told me: '{one.told.words}'. Now I have: {now}.")


def contradicted_lines(consultation: Consultation) -> list[Line]:
    """What was told, and what an answer says otherwise. Both stand."""
    found = contradicted(consultation)
    lines = [Line("title", "Told, and answered otherwise: both stand")] if found else []
    return lines + [replace(answers_line(consultation, one), indent=2) for one in found]


def lifted_line(told: ToldDanger) -> Line:
    """A danger told in own words that an answer has ruled out, still shown."""
    return Line("text", f"Ruled out by what you answered: '{told.worry.words}'.", 2)


def stood_down_line(down: StoodDown) -> Line:
    """A danger that something seen has ruled out, still shown."""
    return Line("text", f"Ruled out by what you saw: {down.rule.say} {down.by.say}", 2)


def withdrawn_line(consultation: Consultation, gone: Withdrawn) -> Line:
    now = f", then '{gone.words_now}'" if gone.words_now else ""
    first = f"First you said '{gone.words_before}'{now} " if gone.words_before else ""
    how = f"({gone.how})" if first else f"({gone.how}: {gone.words_now})"
    return Line(
        "text",
        f"Have it confirmed: {gone.rule.say} {first}{how}. "
        "Let a garage confirm it before the car is driven.",
        2,
    )


def advice_lines(consultation: Consultation) -> list[Line]:
    """Whether the car may be driven: always the first thing said."""
    drive = drive_of(consultation)
    if consultation.headline.kind == "danger":
        lines = [Line("danger", f" {drive.words.rstrip('.').upper()} ")]
        lines += [Line("text", text, 2) for text in drive.because]
        lines += [Line("text", f"What to do: {text}", 4) for text in _what_to_do(consultation)]
    else:
        parts = [drive.words]
        if drive.look:
            parts.append(f"Look yourself: {'; '.join(drive.look)}.")
        if drive.have_looked:
            parts.append(f"Have looked at: {'; '.join(drive.have_looked)}.")
        if drive.more:
            parts.append(f"{upper(more_words(drive.more))}.")
        lines = [Line("text", " ".join(parts))]
        lines += [Line("text", f"You said {words}. {IF_IT_CHANGES}", 2) for words in drive.worries]
    lines += [withdrawn_line(consultation, gone) for gone in consultation.withdrawn]
    for rule, _ in consultation.faults:
        lines.append(
            Line("danger", f" A fault of this program: {rule or 'the rules'} could not be worked "
                           "out. Have this looked at. ")
        )  # fmt: skip
    return [*lines, Line("aside", LIMITS)]


def _what_to_do(consultation: Consultation) -> list[str]:
    """What to do about the gravest of what was told or seen, each once."""
    urgency = consultation.headline.urgency
    told = [t.do for t in consultation.told_alone if t.urgency is urgency]
    seen = [f.rule.do for f in consultation.findings if f.urgency is urgency and f.rule.do]
    return list(dict.fromkeys([*told, *seen]))


def summary_lines(consultation: Consultation, complete: bool, pictured: bool = False) -> list[Line]:
    """What has been found so far, the drive advice first.

    pictured: with the car from above, where its places are known, and the findings numbered.
    """
    rs = consultation.ruleset
    lines = [Line("title", "What we have found" if complete else "What we have found so far")]
    lines += advice_lines(consultation)
    failing = consultation.would_fail()
    others = [f for f in consultation.findings if f not in failing]
    lines.append(Line("blank"))
    listed = [*together(failing), *together(others)]
    car: list[Line] = []
    if pictured:
        alike = [[f for f in consultation.findings if f.rule is one.rule] for one, _ in listed]
        car = car_lines(consultation, alike)
        lines += car
    for number, (finding, parts) in enumerate(listed, start=1):
        if finding in failing and number == 1:
            lines.append(Line("title", f"Would fail {rs.about.inspection}"))
        if finding not in failing and number == len(together(failing)) + 1:
            lines.append(Line("title", "Other things to know"))
        lines += finding_lines(consultation, finding, parts, 2, number if car else 0)
    if not consultation.findings and not consultation.told:
        lines.append(Line("text", "No defect in what you have looked at so far."))
    for found in consultation.symptoms:
        lines += symptom_lines(consultation, found)
    lines += worry_lines(consultation)
    lines += contradicted_lines(consultation)
    lines += [stood_down_line(s) for s in consultation.stood_down]
    lines += [lifted_line(told) for told in consultation.lifted]
    if consultation.too_close:
        lines.append(Line("title", "Too close to tell - have these looked at"))
        lines += [Line("text", f"- {close.text}", 2) for close in consultation.too_close]
    known = [s for s in consultation.not_known if s.question in rs.questions]
    if known:
        lines.append(Line("title", "Not known - ask for a look at these"))
        lines += [Line("text", f"- {item_label(rs, s.question, s.at)}", 2) for s in known]
    if consultation.not_asked:
        labels = dict.fromkeys(rs.questions[q].label for q, _ in consultation.not_asked)
        lines.append(Line("title", "Not looked at yet"))
        if len(labels) > _MOST_LISTED and not complete:
            places = dict.fromkeys(rs.places[rs.place_of(*k)].say for k in consultation.not_asked)
            lines.append(
                Line("text", f"{plural(len(labels), 'check')}, at: {'; '.join(places)}.", 2)
            )
        else:
            lines.append(Line("text", "; ".join(labels) + ".", 2))
    if complete and consultation.tester_only:
        count = len(consultation.tester_only)
        lines.append(Line("title", f"Only {rs.about.station} can measure"))
        lines.append(Line("text", f"{plural(count, 'thing')}. The sheet lists them.", 2))
    return lines


def deadline_lines(consultation: Consultation) -> list[Line]:
    """When the inspection is due and what a result means, as far as it is told in the talk."""
    told = [d for d in deadlines_of(consultation) if d.told == "talk"]
    if not told:
        return []
    lines = [Line("title", "Dates, and what a result means")]
    lines += [Line("text", d.text, 2) for d in told]
    lines.append(Line("aside", "The sheet says where each of these comes from.", 2))
    return lines


def trail_lines(node: Node, depth: int = 0) -> list[Line]:
    """How a conclusion came about, down to the person's own words."""
    indent = 2 * depth
    where = f"{node.at_words}: " if node.at_words else ""
    if node.rule is not None and node.source is not None:
        clause = node.rule.clause or (node.rule.finds.item if node.rule.finds else "")
        lines = [
            Line(
                "text",
                f"{where}{node.text}" + ("" if node.holds else " (this does not hold)"),
                indent,
            ),
            Line("aside", f"Reason: {node.rule.why}", indent),
            Line(
                "aside",
                f"Source: {node.source.title}, {node.source.edition}"
                + (f", {clause}" if clause else "")
                + f". Basis: {node.rule.basis.value}.",
                indent,
            ),
        ]
    elif node.said is not None:
        words = f" - you said '{node.said.words}'" if node.said.words else ""
        group = " (answered for a whole group)" if node.said.group else ""
        lines = [Line("text", f"{where}{node.text}{words}{group}", indent)]
    else:
        lines = [Line("text", f"{where}{node.text}", indent)]
    if node.children:
        lines.append(Line("aside", "from:", indent))
    for child in node.children:
        lines += trail_lines(child, depth + 1)
    return lines
