"""Prompts, and why and how they are asked, as lines of plain words."""

from __future__ import annotations

from assistant.knowledge.grammar import plural, upper
from assistant.knowledge.journal import Worry
from assistant.knowledge.models import Choice, Question
from assistant.knowledge.ruleset import Ruleset
from assistant.knowledge.wording import URGENCY_WORDS, answer_words, date_words, in_short
from assistant.reasoning.agenda import Agenda, Prompt
from assistant.reasoning.consultation import (
    MOST_LIKELY,
    Consultation,
)
from assistant.reasoning.deciding import Deciding, shares_with, sorts_of_answer
from assistant.reasoning.why import WhyAsked
from assistant.report.drawn import sketch
from assistant.report.lines import Line
from assistant.report.question_words import car_line, choice_lines

WAITING = "Nothing more is asked now. Type go on when somebody has dealt with it."


def text_lines(text: str) -> list[Line]:
    """A text as it was written: each of its lines on a line of its own."""
    return [Line("text", part.strip()) for part in text.split("\n") if part.strip()]


def progress_line(consultation: Consultation, plan: Agenda) -> Line:
    """Where on the walk we are and how much is left."""
    prompt = plan.next
    assert prompt is not None
    place = consultation.ruleset.places[prompt.place].say
    where = upper(place)
    if prompt.why == "waits":
        return Line("place", "This comes first")
    if prompt.why == "car":
        return car_line(place, sum(p.why == "car" for p in plan.prompts))
    if prompt.why == "end":
        return Line("place", f"{where} - {plural(len(plan.prompts), 'short question')}")
    if prompt.why in ("triage", "worry"):
        return Line("place", "What worries you")
    if prompt.deciding is not None:
        walking = consultation.ruleset.places[prompt.place].stage == "walk" and not prompt.safely
        at = f" - at {consultation.ruleset.places[prompt.place].say}" if walking else ""
        return Line("place", f"About: {prompt.deciding.symptom.symptom.say}{at}")
    if prompt.safely and not prompt.safely.acts:
        return Line("place", "From where you are")
    minutes = max(1, round(plan.minutes_left()))
    count = sum(p.why not in ("end", "worry") for p in plan.prompts)
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


def ask_lines(consultation: Consultation, prompt: Prompt) -> list[Line]:
    """A prompt: cautions first, then the question, then its choices."""
    rs = consultation.ruleset
    if prompt.hazard:
        call = prompt.hazard.hazard.call.rstrip(".")
        return [Line("text", f"Whom to call: {call}."), Line("question", WAITING)]
    if prompt.worry:
        return pick_lines(rs, prompt.worry)
    if prompt.group:
        group = rs.groups[prompt.group.partition("@")[0]]
        lines = [Line("caution", rs.cautions[c]) for c in group.cautions]
        lines.append(Line("question", group.ask))
        lines += text_lines(group.how)
        if consultation.lacks(group.needs) and group.without:
            lines.append(Line("text", group.without))
        for number, (question, at) in enumerate(prompt.items, start=1):
            lines.append(Line("choice", f"{number}. {rs.item_label(question, at)}", 2))
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
    ask = prompt.safely.ask if prompt.safely and prompt.safely.ask else question_.ask
    lines.append(Line("question", lead + ask))
    if prompt.safely:
        lines.append(Line("text", prompt.safely.how))
    if consultation.lacks(question_.needs) and question_.without:
        lines.append(Line("text", question_.without))
    if prompt.why == "again":
        lines.append(again_line(consultation, prompt.question, prompt.at))
    says = [choice.say for choice in question_.choices.values()]
    return lines + choice_lines(says, question_.kind, question_.unit or "")


def again_line(consultation: Consultation, question: str, at: str) -> Line:
    """What was said on an earlier day, with the question whether it is still so."""
    state = consultation.state
    words = answer_words(
        consultation.ruleset.questions[question], state.answers[question, at].answer
    )
    day = date_words(state.said_on[question, at])
    return Line(
        "text", f"On {day} you said: {words}. Is it still so? Type same, or what it is now."
    )


def pick_question(ruleset: Ruleset, worry: Worry) -> Question:
    """The question which of the nearest symptoms was meant."""
    known = [name for name in worry.offered if name in ruleset.symptoms]
    ways = ruleset.words.words if ruleset.words else {}
    choices = {
        name: Choice(say=ruleset.symptoms[name].say, hear=ways.get(name, [])[:10]) for name in known
    }
    choices["none_of_these"] = Choice(
        say="none of these",
        hear=["none", "neither", "no", "not one of them", "something else", "other", "no idea"],
    )
    if len(choices) == 1:
        choices["other"] = Choice(say="something else")
    return Question(
        ask=f"You said: {in_short(worry.words)}. Which of these comes nearest?",
        label="what it is",
        kind="one_of",
        place="here",
        how="Pick the one that comes nearest. If none does, say none of these.",
        minutes=0.2,
        choices=choices,
    )


def pick_lines(ruleset: Ruleset, worry: Worry) -> list[Line]:
    """Which of the nearest symptoms was meant."""
    question = pick_question(ruleset, worry)
    says = [choice.say for choice in question.choices.values()]
    return [Line("question", question.ask), *choice_lines(says, "one_of", "")]


def how_lines(consultation: Consultation, prompt: Prompt) -> list[Line]:
    """How to do this check."""
    rs = consultation.ruleset
    if prompt.hazard:
        return [
            Line(
                "text", f"{prompt.hazard.hazard.why} Call: {prompt.hazard.hazard.call.rstrip('.')}."
            )
        ]
    if prompt.worry:
        return text_lines(pick_question(rs, prompt.worry).how)
    if prompt.group:
        group = rs.groups[prompt.group.partition("@")[0]]
        lines = [Line("caution", rs.cautions[c]) for c in group.cautions]
        lines += text_lines(group.how)
        if group.without:
            lines.append(Line("text", f"Without: {group.without}"))
        return lines + picture_lines(consultation, group.picture)
    question = rs.questions[str(prompt.question)]
    lines = [Line("caution", rs.cautions[c]) for c in question.cautions]
    if prompt.safely:
        return [*lines, *text_lines(prompt.safely.how)]
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
    return lines or how_lines(consultation, prompt)


def why_lines(consultation: Consultation, why: WhyAsked) -> list[Line]:
    """Why a question is asked, for a novice."""
    scale = consultation.ruleset.about.scale
    lines: list[Line] = []
    if why.opened_by is not None and why.opened_by.asks is not None:
        lines.append(Line("text", f"{why.opened_by.say} {why.opened_by.asks.because}"))
    elif why.prompt.deciding is not None:
        lines += deciding_lines(consultation, why.prompt.deciding)
    elif why.prompt.hazard is not None:
        lines.append(Line("text", why.prompt.hazard.hazard.why))
    elif why.prompt.why == "triage":
        lines.append(Line("text", "Your words could mean a danger, so this is asked first."))
    elif why.prompt.why == "worry":
        lines.append(Line("text", "I never pick for you: only you know what you noticed."))
    elif why.prompt.why == "again":
        lines.append(Line("text", "Such a reading changes with time, so I ask if it is still so."))
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
        category = scale[worst.category].say if worst.category else ""
        graver = worst.urgency.rank < consultation.headline.urgency.rank
        advice = URGENCY_WORDS[worst.urgency] if graver else ""
        inside = ", ".join(part for part in (advice, category) if part)
        words = f"{worst.rule.say} ({inside})" if inside else worst.rule.say
        lines.append(Line("text", f"If the answer is '{outcome.words}': {words}", 2))
    opens = [o for o in why.outcomes if o.opens and not o.new]
    for outcome in opens[:3]:
        labels = ", ".join(consultation.ruleset.questions[q].label for q in outcome.opens[:3])
        lines.append(Line("text", f"If '{outcome.words}', I would ask more: {labels}.", 2))
    if not told and why.could_find and why.prompt.why not in ("car", "end", "deciding"):
        says = dict.fromkeys(rule.say for rule in why.could_find)
        lines.append(Line("text", "It can help to find:"))
        lines += [Line("text", f"- {say}", 2) for say in list(says)[:4]]
    if not lines:
        lines.append(Line("text", "It changes the order and the wording of what follows."))
    return lines


def deciding_lines(consultation: Consultation, check: Deciding) -> list[Line]:
    """To what end a check is asked, and what would be likeliest after each answer."""
    say = check.symptom.symptom.say
    if check.worst is not None:
        text = f"It is asked to rule out the worst that could be behind '{say}': {check.worst.say}."
    else:
        text = f"Of all checks it best tells apart what could be behind '{say}'."
    lines = [Line("text", text)]
    question = consultation.ruleset.questions[check.question]
    for answer in sorts_of_answer(consultation.ruleset, check.question)[:8]:
        shares = shares_with(consultation, check.symptom, check.question, check.at, answer)
        first = max(range(len(shares)), key=lambda i: shares[i])
        cause = check.symptom.causes[first].cause
        word = "most likely" if shares[first] >= MOST_LIKELY else "first, but open"
        words = answer_words(question, answer)
        lines.append(Line("text", f"If '{words}': {word}, {cause.say}.", 2))
    return lines


def help_lines() -> list[Line]:
    """What may be said at every prompt."""
    rows = [
        ("how", "how to do this check"),
        ("what does that mean", "the words explained"),
        ("again", "the question once more, and how much is left"),
        ("why", "why this is asked, and what each answer would lead to"),
        ("don't know / can't look", "it stays on the list as not known"),
        ("back", "take back the last answer; 'redo' brings it again"),
        ("wrong", "change any earlier answer"),
        ("mended", "something is repaired: it is looked at anew"),
        ("found", "what we have found so far, and how each came about"),
        ("what if ...", "try an answer without keeping it"),
        ("why not ...", "why something was not found, and what is still to be asked for it"),
        ("what would change it", "which answers would make a finding go, or come"),
        ("how did you get to ...", "how one finding came about"),
        (
            "I have 10 minutes / no helper / it's dark",
            "the plan changes, and says what it leaves out",
        ),
        ("worry, and what it is", "what worries you, in your own words"),
        ("card", "type in answers from the printed card, by number"),
        ("stop", "leave; every answer is kept, and you can go on later"),
    ]
    return [Line("title", "What you can say at any time")] + [
        Line("choice", f"{words}: {meaning}.", 2) for words, meaning in rows
    ]
