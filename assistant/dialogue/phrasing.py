"""Prompts, findings and summaries as lines of plain words."""

from __future__ import annotations

from collections.abc import Iterable

from assistant.dialogue.asking import Line
from assistant.exports.drawn import car_of, sketch
from assistant.exports.pictures import car_rows
from assistant.knowledge.models import Urgency, Who
from assistant.knowledge.ruleset import Ruleset
from assistant.knowledge.wording import URGENCY_WORDS, range_words
from assistant.reasoning.agenda import Agenda, Prompt
from assistant.reasoning.consultation import (
    Consultation,
    Finding,
    TooCloseToTell,
    Withdrawn,
)
from assistant.reasoning.deadlines import deadlines_of
from assistant.reasoning.trail import Node
from assistant.reasoning.why import WhyAsked

__all__ = [
    "HINT",
    "advice_lines",
    "ask_lines",
    "danger_lines",
    "deadline_lines",
    "finding_lines",
    "help_lines",
    "how_lines",
    "item_label",
    "means_lines",
    "plan_lines",
    "progress_line",
    "summary_lines",
    "together",
    "trail_lines",
    "upper",
    "why_lines",
]

HINT = "You can also type: help, how, why, back, found, what if, stop, don't know, can't look."

_MOST_LISTED = 12

WHO_WORDS = {
    Who.OWNER: "You can do this yourself, without tools.",
    Who.OWNER_TOOLS: "You may be able to do this yourself with basic tools.",
    Who.GARAGE: "For a garage.",
    Who.STATION: "Ask the inspection station.",
}


def plural(count: int, word: str) -> str:
    """ "1 question", "2 questions"."""
    return f"{count} {word}" if count == 1 else f"{count} {word}s"


def text_lines(text: str) -> list[Line]:
    """A text as it was written: each of its lines on a line of its own."""
    return [Line("text", part.strip()) for part in text.split("\n") if part.strip()]


def item_label(ruleset: Ruleset, question: str, at: str) -> str:
    """The part and the label together, such as "left tread depth"."""
    where = ruleset.at_words(question, at)
    label = ruleset.questions[question].label
    return f"{where} {label}".strip()


def progress_line(consultation: Consultation, plan: Agenda) -> Line:
    """Where on the walk we are and how much is left."""
    prompt = plan.next
    assert prompt is not None
    where = upper(consultation.ruleset.places[prompt.place].say)
    if prompt.why == "car":
        left = plural(sum(p.why == "car" for p in plan.prompts), "short question")
        return Line("place", f"{where} - {left} first, to know what concerns it")
    if prompt.why == "end":
        return Line("place", f"{where} - {plural(len(plan.prompts), 'short question')}")
    minutes = max(1, round(plan.minutes_left()))
    count = sum(p.why != "end" for p in plan.prompts)
    left = f"{plural(count, 'question')} left, about {plural(minutes, 'minute')}"
    if plan.left_out:
        left += f", {len(plan.left_out)} left out"
    return Line("place", f"{where} - {left}")


def plan_lines(consultation: Consultation, plan: Agenda) -> list[Line]:
    """What fits into the time that was named, and what is left out."""
    if plan.budget is None:
        return [Line("text", "Good, no limit. Everything is in again.")]
    minutes = max(1, round(plan.minutes_left()))
    kept = plural(len(plan.prompts), "question")
    lines = [Line("text", f"{kept} for about {plural(minutes, 'minute')} from here.")]
    if plan.minutes_left() > plan.budget:
        lines.append(
            Line("text", "That is more than you have, but these are always asked, for safety.")
        )
    if plan.left_out:
        lines.append(Line("text", f"Left out for now: {left_out_words(consultation, plan)}."))
        lines.append(Line("aside", "Say 'no hurry' to have everything in again."))
    return lines


def left_out_words(consultation: Consultation, plan: Agenda) -> str:
    """The labels of what is left out, by place."""
    rs = consultation.ruleset
    places: dict[str, dict[str, None]] = {}
    for prompt in plan.left_out:
        labels = places.setdefault(rs.places[prompt.place].say, {})
        labels.update(dict.fromkeys(rs.questions[q].label for q, _ in prompt.items))
    return "; ".join(f"{place}: {', '.join(labels)}" for place, labels in places.items())


def lacks(consultation: Consultation, needs: list[str]) -> bool:
    """Whether something that a check needs is known not to be at hand."""
    kit = consultation.ruleset.about.kit
    if not needs or kit is None:
        return False
    reading = consultation.readings.reading(kit, "")
    return reading.state != "value" or not set(needs) <= (reading.picks or frozenset())


def ask_lines(consultation: Consultation, prompt: Prompt) -> list[Line]:
    """A prompt: cautions first, then the question, then its choices."""
    rs = consultation.ruleset
    if prompt.group:
        group = rs.groups[prompt.group.partition("@")[0]]
        lines = [Line("caution", rs.cautions[c]) for c in group.cautions]
        lines.append(Line("question", group.ask))
        lines += text_lines(group.how)
        if lacks(consultation, group.needs) and group.without:
            lines.append(Line("text", group.without))
        for number, (question, at) in enumerate(prompt.items, start=1):
            lines.append(Line("choice", f"{number}. {item_label(rs, question, at)}", 2))
        first = rs.questions[prompt.items[0][0]]
        if first.kind in ("quantity", "count"):
            count = len(prompt.items)
            lines.append(
                Line(
                    "hint",
                    f"Type {count} numbers in {first.unit or 'this order'}, in this order with "
                    "commas between, or one number with 'all'. 'About' is fine.",
                )
            )
            return lines
        lines.append(
            Line(
                "hint",
                "Type the numbers or names of those that are not right, or: all fine. "
                "If the car has not got one of them, name it too.",
            )
        )
        return lines
    assert prompt.question is not None
    question_ = rs.questions[prompt.question]
    lines = [Line("caution", rs.cautions[c]) for c in question_.cautions]
    where = rs.at_words(prompt.question, prompt.at)
    lead = f"{where[:1].upper()}{where[1:]}: " if where else ""
    lines.append(Line("question", lead + question_.ask))
    if lacks(consultation, question_.needs) and question_.without:
        lines.append(Line("text", question_.without))
    for number, choice in enumerate(question_.choices.values(), start=1):
        lines.append(Line("choice", f"{number}. {choice.say}", 2))
    lines.append(Line("hint", answer_hint(question_.kind, question_.unit or "")))
    return lines


def answer_hint(kind: str, unit: str) -> str:
    """What an answer to this kind of question looks like."""
    return {
        "yes_no": "Type yes or no.",
        "one_of": "Type a number or the words.",
        "some_of": "Type one or more numbers, or: none.",
        "quantity": f"Type a number in {unit}, or a range. 'About' is fine.",
        "count": "Type a number.",
        "date": "Type a date, a month and year, or just the year.",
        "note": "Type it as it stands there.",
    }[kind]


def how_lines(consultation: Consultation, prompt: Prompt) -> list[Line]:
    """How to do this check."""
    rs = consultation.ruleset
    if prompt.group:
        group = rs.groups[prompt.group.partition("@")[0]]
        lines = [Line("caution", rs.cautions[c]) for c in group.cautions]
        lines += text_lines(group.how)
        if group.without:
            lines.append(Line("text", f"Without: {group.without}"))
        return lines + picture_lines(consultation, group.picture)
    question = rs.questions[str(prompt.question)]
    lines = [Line("caution", rs.cautions[c]) for c in question.cautions]
    lines += text_lines(question.how)
    if question.without:
        lines.append(Line("text", f"The way round: {question.without}"))
    return lines + picture_lines(consultation, question.picture, prompt.at)


def picture_lines(consultation: Consultation, name: str | None, at: str = "") -> list[Line]:
    """A picture of what is looked at: first in words, then drawn."""
    if name is None:
        return []
    words, rows = sketch(consultation, name, at)
    return [Line("text", f"Picture: {words}"), Line("picture", "\n".join(rows))]


def car_lines(consultation: Consultation, groups: list[list[Finding]]) -> list[Line]:
    """The car from above with the findings, numbered as they are listed after it."""
    car = car_of(consultation, list(enumerate(groups, start=1)))
    if car is None:
        return []
    rows = car_rows(car.stops, car.marks)
    return [Line("text", car.words), Line("picture", "\n".join(rows)), Line("blank")]


def means_lines(consultation: Consultation, prompt: Prompt) -> list[Line]:
    """What the words of this question mean."""
    rs = consultation.ruleset
    names = dict.fromkeys(q for q, _ in prompt.items)
    texts = [rs.questions[name].means for name in names]
    lines = [Line("text", text) for text in texts if text]
    shown = " ".join(line.text for line in ask_lines(consultation, prompt)).lower()
    shown += " " + rs.places[prompt.place].say
    lines += [
        Line("text", f"{word}: {meaning}")
        for word, meaning in rs.glossary.items()
        if word.lower() in shown
    ]
    if not lines:
        lines = [Line("text", rs.questions[prompt.items[0][0]].how)]
    return lines


def why_lines(consultation: Consultation, why: WhyAsked) -> list[Line]:
    """Why a question is asked, for a novice."""
    scale = consultation.ruleset.about.scale
    lines: list[Line] = []
    if why.opened_by is not None and why.opened_by.asks is not None:
        lines.append(Line("text", f"{why.opened_by.say} {why.opened_by.asks.because}"))
    elif why.prompt.why == "safety":
        lines.append(Line("text", "This is one of the checks that are always asked, for safety."))
    elif why.prompt.why == "car":
        lines.append(
            Line("text", "What must be checked depends on the car, so this is asked once.")
        )
    elif why.prompt.why == "end":
        lines.append(Line("text", "It is asked only to work out dates. No finding rests on it."))
    elif why.prompt.why == "recent drives":
        lines.append(Line("text", "Some signs cannot wait, so they are asked before any walking."))
    told = [o for o in why.outcomes if o.new]
    for outcome in told[:6]:
        worst = outcome.new[0]
        category = f", {scale[worst.category].say}" if worst.category else ""
        words = f"{worst.rule.say} ({URGENCY_WORDS[worst.urgency]}{category})"
        lines.append(Line("text", f"If the answer is '{outcome.words}': {words}", 2))
    opens = [o for o in why.outcomes if o.opens and not o.new]
    for outcome in opens[:3]:
        labels = ", ".join(consultation.ruleset.questions[q].label for q in outcome.opens[:3])
        lines.append(Line("text", f"If '{outcome.words}', I would ask more: {labels}.", 2))
    if not told and why.could_find and why.prompt.why not in ("car", "end"):
        says = dict.fromkeys(rule.say for rule in why.could_find)
        lines.append(Line("text", "It can help to find:"))
        lines += [Line("text", f"- {say}", 2) for say in list(says)[:4]]
    if not lines:
        lines.append(Line("text", "It changes the order and the wording of what follows."))
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


def and_words(words: list[str]) -> str:
    """ "a", "a and b", "a, b and c"."""
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)


def upper(text: str) -> str:
    """The text with a capital at its start."""
    return text[:1].upper() + text[1:]


def finding_lines(
    consultation: Consultation, finding: Finding, where: str, indent: int = 0, number: int = 0
) -> list[Line]:
    """A finding: its number if it has one, what, where, how bad, why, what to do, who."""
    rule = finding.rule
    where = (f"{number}. " if number else "") + (f"{where}: " if where else "")
    lines = [
        Line("found", f"{where}{rule.say}", indent),
        Line(
            "text",
            f"{URGENCY_WORDS[finding.urgency]} ({category_words(consultation, finding)}).",
            indent + 2,
        ),
        Line("text", rule.why, indent + 2),
    ]
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


def danger_lines(consultation: Consultation, findings: list[Finding]) -> list[Line]:
    """The interruption: said at once, before anything else is asked."""
    worst = findings[0].urgency
    lines = [Line("blank"), Line("danger", f" {URGENCY_WORDS[worst].upper()} ")]
    for finding, parts in together(findings):
        where = f"{parts}: " if parts else ""
        lines.append(Line("text", f"{where}{finding.rule.say} {finding.rule.why}"))
        if finding.rule.do:
            lines.append(Line("text", f"What to do now: {finding.rule.do}"))
    if worst.rank <= Urgency.DO_NOT_DRIVE.rank:
        lines.append(
            Line("text", "If it must be moved, have it carried by a recovery service. The rest of "
                         "the walk can still be done while it stands.")
        )  # fmt: skip
    lines.append(Line("blank"))
    return lines


def withdrawn_line(consultation: Consultation, gone: Withdrawn) -> Line:
    now = f", then '{gone.words_now}'" if gone.words_now else ""
    return Line(
        "text",
        f"Have it confirmed: {gone.rule.say} First you said '{gone.words_before}'{now} "
        f"({gone.how}). Let a garage confirm it before the car is driven.",
        2,
    )


def too_close_line(consultation: Consultation, close: TooCloseToTell) -> Line:
    """A rough reading that lies across a limit."""
    rs = consultation.ruleset
    question = rs.questions.get(close.reading)
    label = question.label if question else close.reading
    unit = (question.unit if question else rs.names[close.reading].unit) or ""
    where = f"{close.at_words} " if close.at_words else ""
    words = range_words(close.lo, close.hi, unit)
    return Line("text", f"{where}{label}, {words}: it may be that {close.rule.say.lower()}", 2)


def advice_lines(consultation: Consultation) -> list[Line]:
    """Whether the car may be driven: always the first thing said."""
    urgency = consultation.urgency
    if urgency.rank <= Urgency.GENTLY_TO_GARAGE.rank:
        lines = [Line("danger", f" {URGENCY_WORDS[urgency].upper()} ")]
        worst = [f for f in consultation.findings if f.urgency == urgency]
        for finding, parts in together(worst):
            where = f"{parts}: " if parts else ""
            lines.append(Line("text", f"{where}{finding.rule.say}", 2))
            if finding.rule.do:
                lines.append(Line("text", f"What to do: {finding.rule.do}", 4))
    else:
        lines = [Line("text", "Nothing you told me says that the car must not be driven.")]
    lines += [withdrawn_line(consultation, gone) for gone in consultation.withdrawn]
    if consultation.pending:
        rs = consultation.ruleset
        labels = dict.fromkeys(item_label(rs, f.question, f.at) for f in consultation.pending)
        lines.append(Line("text", f"Not answered yet, and it matters: {'; '.join(labels)}.", 2))
    for rule, _ in consultation.faults:
        lines.append(
            Line("danger", f" A fault of this program: {rule or 'the rules'} could not be worked "
                           "out. Have this looked at. ")
        )  # fmt: skip
    lines.append(
        Line("aside", "I go only by what was looked at. I cannot tell you that it is safe.")
    )
    return lines


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
    if not consultation.findings:
        lines.append(Line("text", "No defect in what you have looked at so far."))
    for found in consultation.symptoms:
        lines.append(Line("title", f"What is likely behind it: {found.symptom.say}"))
        for cause in found.causes[:4]:
            because = f" ({'; '.join(cause.speaks_for)})" if cause.speaks_for else ""
            lines.append(Line("text", f"{cause.word}: {cause.cause.say}{because}", 2))
    if consultation.too_close:
        lines.append(Line("title", "Too close to tell - have these measured"))
        lines += [too_close_line(consultation, close) for close in consultation.too_close]
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


def help_lines() -> list[Line]:
    """What may be said at every prompt."""
    rows = [
        ("how", "how to do this check"),
        ("what does that mean", "the words explained"),
        ("why", "why this is asked, and what each answer would lead to"),
        ("don't know / can't look", "it stays on the list as not known"),
        ("back", "take back the last answer; 'redo' brings it again"),
        ("wrong", "change any earlier answer"),
        ("mended", "something is repaired: it is looked at anew"),
        ("found", "what we have found so far, and how each came about"),
        ("what if ...", "try an answer without keeping it"),
        (
            "I have 10 minutes / no helper / it's dark",
            "the plan changes, and says what it leaves out",
        ),
        ("card", "type in answers from the printed card, by number"),
        ("stop", "leave; every answer is kept, and you can go on later"),
    ]
    return [Line("title", "What you can say at any time")] + [
        Line("choice", f"{words}: {meaning}.", 2) for words, meaning in rows
    ]
