"""How one question is worded on the screen."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable

from assistant.choosing.agenda import Agenda, Prompt, expected
from assistant.choosing.next_check import Deciding, shares_with, symptom_answers
from assistant.choosing.plan import time_for
from assistant.choosing.why import AnswerOutcome, WhyAsked
from assistant.journal.entries import Went, Worry
from assistant.reasoning.consultation import (
    MOST_LIKELY,
    Consultation,
)
from assistant.reasoning.hazards import StandingHazard
from assistant.report.drawn import sketch
from assistant.report.findings import category_words, caution_lines
from assistant.report.lines import Line, numbered, texts
from assistant.ruleset.grammar import and_words, plural, upper
from assistant.ruleset.models import Choice, Group, Question
from assistant.ruleset.ruleset import Ruleset
from assistant.ruleset.words import URGENCY_WORDS, answer_words, date_words, in_short

HINT = "You can also type: help, how, why, back, found, what if, stop, don't know, can't look."


def car_words(place: str, count: int) -> str:
    """Above a question about the car. count: how many of them are left."""
    left = plural(count, "short question")
    return f"{upper(place)} - {left} first, to know what concerns it"


def choice_lines(says: Iterable[str], kind: str, unit: str) -> list[Line]:
    """What follows a single question: its choices, and what an answer looks like."""
    return [*numbered(says), Line("hint", answer_hint(kind, unit))]


def answer_hint(kind: str, unit: str) -> str:
    """What an answer to this kind of question looks like."""
    return {
        "yes_no": "Type yes or no.",
        "one_of": "Type a number or the words.",
        "some_of": "Type one or more numbers, or 0: none.",
        "quantity": f"Type a number in {unit}, or a range. 'About' is fine.",
        "count": "Type a number.",
        "date": "Type a date, a month and year, or just the year.",
        "note": "Type it in your own words, or as it stands there.",
    }[kind]


# prompts -----------------------------------------------------------------------------------------

WAITING = "Nothing more is asked now. Type go on when somebody has dealt with it."


def text_lines(text: str) -> list[Line]:
    """A text as it was written: each of its lines on a line of its own."""
    return texts(part.strip() for part in text.split("\n") if part.strip())


def progress_line(consultation: Consultation, plan: Agenda) -> Line:
    """Where on the walk we are and how much is left."""
    prompt = plan.next
    assert prompt is not None
    return Line("place", _progress(consultation, plan, prompt))


def _progress(consultation: Consultation, plan: Agenda, prompt: Prompt) -> str:
    place = consultation.ruleset.places[prompt.place]
    where = upper(place.say)
    if prompt.why == "waits":
        return "This comes first"
    if prompt.why == "car":
        return car_words(place.say, sum(p.why == "car" for p in plan.prompts))
    if prompt.why == "end":
        return f"{where} - {plural(len(plan.prompts), 'short question')}"
    if prompt.why in ("triage", "worry"):
        return "What worries you"
    if prompt.deciding is not None:
        at = f" - at {place.say}" if place.stage == "walk" and not prompt.safely else ""
        return f"About: {prompt.deciding.symptom.symptom.say}{at}"
    if prompt.safely and not prompt.safely.acts:
        return "From where you are"
    asked = [p for p in plan.prompts if p.why not in ("end", "worry")]
    first = [p for p in asked if p.round != 2]
    in_first = plan.budget is None and len(first) < len(asked) and any(p.round for p in first)
    if in_first:
        asked = first
    minutes = max(1, round(time_for(consultation.ruleset, asked, plan.place)))
    left = f", {len(plan.left_out)} left out" if plan.left_out else ""
    words = f"{plural(len(asked), 'question')} left, about {plural(minutes, 'minute')}{left}"
    return f"{where} - {'first round: ' if in_first else ''}{words}"


def plan_lines(consultation: Consultation, plan: Agenda) -> list[Line]:
    """What fits into the time that was named, and what is left out."""
    if plan.budget is None:
        return texts(["No time limit. All checks are back in the plan."])
    minutes = max(1, round(plan.minutes))
    kept = plural(len(plan.prompts), "question")
    rows = [f"{kept} for about {plural(minutes, 'minute')} from here."]
    if plan.minutes > plan.budget:
        rows.append("That is more than you have, but these are always asked, for safety.")
    if not plan.left_out:
        return texts(rows)
    if safety := _safety(consultation.ruleset, plan.left_out):
        rows.append(f"Left out, and it matters for safety: {safety}.")
    rows.append(f"Left out for now: {by_place(consultation, plan.left_out)}.")
    hint = "Type what is left for all of it by name, or no hurry to have everything in again."
    return [*texts(rows), Line("aside", hint)]


def left_lines(consultation: Consultation, plan: Agenda) -> list[Line]:
    """What is still to be asked, by place, and what is left out, by name."""
    rs = consultation.ruleset
    asked = [p for p in plan.prompts if p.why != "end"]
    minutes = max(1, round(time_for(rs, asked, plan.place)))
    head = f"{plural(len(asked), 'question')} left, about {plural(minutes, 'minute')}"
    rows = [f"{head}: {by_place(consultation, asked)}."]
    if safety := _safety(rs, asked):
        rows.append(f"For safety among it: {safety}.")
    if plan.left_out:
        rows.append(f"Left out: {left_out_words(consultation, plan)}.")
    hint = "You can say: do the rear now, leave out the rear, I have 10 minutes, again."
    return [*texts(rows), Line("aside", hint)]


def by_place(consultation: Consultation, prompts: Iterable[Prompt]) -> str:
    """How many questions there are at each place: "the rear of the car 3"."""
    counts = Counter(consultation.ruleset.places[prompt.place].say for prompt in prompts)
    return ", ".join(f"{place} {count}" for place, count in counts.items())


def went_lines(consultation: Consultation, plan: Agenda, went: Went) -> list[Line]:
    """What follows from wanting some places next, or leaving them out."""
    rs = consultation.ruleset
    places = and_words([rs.places[place].say for place in went.places])
    if not went.leave:
        if any(p.place in went.places for p in plan.prompts):
            return texts([f"Next: {places}."])
        if any(p.place in went.places for p in plan.left_out):
            return texts([f"Nothing at {places} fits into the time that is left. Say 'no hurry' to "
                          "have it in."])  # fmt: skip
        return texts([f"Nothing is left to ask at {places}."])
    called = next(iter(rs.places[went.places[0]].hear), places)
    rows = [f"Left out: {places}. Say 'do the {called} now' to have it back."]
    safety = _safety(rs, (p for p in plan.left_out if p.place in went.places))
    if safety:
        rows.append(f"Not known then, and it matters for safety: {safety}.")
    return texts(rows)


def rest_lines(consultation: Consultation, plan: Agenda) -> list[Line]:
    """After the first round: what was found, how much was seen, and what the rest would take."""
    rs = consultation.ruleset
    every = [item for item in rs.walk_items if consultation.applies(item[0]) is not False]
    there = expected(rs, every)[1]
    still = expected(rs, [item for p in (*plan.prompts, *plan.left_out) for item in p.items])[1]
    count = len(consultation.findings)
    found = f"Found so far: {plural(count, 'thing')}. Type found to see." if count else (
        "Nothing found so far, in what you looked at."
    )  # fmt: skip
    rows = [found]
    if there > 0:
        tenths = round(10 * (1 - still / there))
        rows.append(
            f"Seen: about {tenths} in 10 of the faults that an owner can see. "
            "That is a guess from published totals."
        )
    safety = _safety(rs, plan.prompts)
    rows.append(f"Still to see: about {plural(round(plan.minutes), 'minute')}.")
    if safety:
        rows.append(f"For safety among it: {safety}.")
    hint = (
        "A good place to stop: type stop, and go on another day. Or type what is left, and leave a "
        "place out by its name."
    )
    return [Line("title", "The first round is done"), *texts(rows), Line("aside", hint)]


def _safety(ruleset: Ruleset, prompts: Iterable[Prompt]) -> str:
    """The labels of the safety checks among prompts."""
    asked = (ruleset.questions[name] for prompt in prompts for name, _ in prompt.items)
    return ", ".join(dict.fromkeys(question.label for question in asked if question.safety))


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
        return [*texts([f"Whom to call: {_call(prompt.hazard)}"]), Line("question", WAITING)]
    if prompt.worry:
        return pick_lines(rs, prompt.worry)
    asked, safely = prompt.asks(rs), None if prompt.group else prompt.safely
    lines = caution_lines(rs, asked.cautions)
    lines.append(Line("question", prompt.words(rs, safely.ask if safely else None)))
    if safely:
        lines.append(Line("text", safely.how))
    elif asked.brief:
        lines.append(Line("text", asked.brief))
    if consultation.lacks(asked.needs) and asked.without:
        lines.append(Line("text", asked.without))
    if isinstance(asked, Group):
        return lines + _items(rs, prompt.items)
    if prompt.why == "again":
        lines.append(again_line(consultation, str(prompt.question), prompt.at))
    says = [choice.say for choice in asked.choices.values()]
    return lines + choice_lines(says, asked.kind, asked.unit or "")


def _call(standing: StandingHazard) -> str:
    return standing.hazard.call.rstrip(".") + "."


def _items(ruleset: Ruleset, items: tuple[tuple[str, str], ...]) -> list[Line]:
    """The items of a group, and what an answer looks like."""
    first = ruleset.questions[items[0][0]]
    hint = "Type the numbers of those, or 0: all fine."
    if first.kind in ("quantity", "count"):
        unit = f" in {first.unit}" if first.unit else ""
        hint = f"Type {len(items)} numbers{unit} in this order, such as 4, 3.5."
    return [*numbered(ruleset.label_here(*item) for item in items), Line("hint", hint)]


def again_line(consultation: Consultation, question: str, at: str) -> Line:
    """What was said on an earlier day, with the question whether it is still so."""
    rs, state = consultation.ruleset, consultation.state
    words = answer_words(rs.questions[question], state.answers[question, at].answer)
    day = date_words(state.said_on[question, at])
    ask = "Is it still so? Type same, or what it is now."
    return Line("text", f"On {day} you said: {words}. {ask}")


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
        seconds=10,
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
        return texts([f"{prompt.hazard.hazard.why} Call: {_call(prompt.hazard)}"])
    if prompt.worry:
        return text_lines(pick_question(rs, prompt.worry).how)
    asked = prompt.asks(rs)
    lines = caution_lines(rs, asked.cautions)
    if prompt.safely and not prompt.group:
        return lines + text_lines(prompt.safely.how)
    lines += text_lines(asked.how)
    if asked.without:
        head = "Without" if prompt.group else "The way round"
        lines.append(Line("text", f"{head}: {asked.without}"))
    return lines + picture_lines(consultation, asked.picture, "" if prompt.group else prompt.at)


def picture_lines(consultation: Consultation, name: str | None, at: str = "") -> list[Line]:
    """A picture of what is looked at: first in words, then drawn."""
    if name is None:
        return []
    words, rows = sketch(consultation, name, at)
    return [Line("text", f"Picture: {words}"), Line("picture", "\n".join(rows))]


def means_lines(consultation: Consultation, prompt: Prompt, unknown: str = "") -> list[Line]:
    """What the words of this question mean. unknown: a word asked about that is in no glossary."""
    rs = consultation.ruleset
    if unknown:
        plain = f"'{unknown}' is not among the words that I can explain."
        return [Line("text", plain), *means_lines(consultation, prompt)]
    names = dict.fromkeys(q for q, _ in prompt.items)
    rows = [text for name in names if (text := rs.questions[name].means)]
    shown = " ".join(line.text for line in ask_lines(consultation, prompt)).lower()
    shown += " " + rs.places[prompt.place].say
    terms = ((word, term.say) for word, term in rs.glossary.items())
    rows += [f"{word}: {say}" for word, say in terms if _says(word, shown)]
    return texts(rows) or how_lines(consultation, prompt)


def _says(word: str, text: str) -> bool:
    """Whether a word, or more than one of it, stands in a text."""
    return re.search(rf"\b{re.escape(word.lower())}s?\b", text) is not None


WHY_WORDS = {
    "triage": "Your words could mean a danger, so this is asked first.",
    "worry": "I never pick for you: only you know what you noticed.",
    "again": "Such a reading changes with time, so I ask if it is still so.",
    "safety": "This is one of the checks that are always asked, for safety.",
    "car": "What must be checked depends on the car, so this is asked once.",
    "end": "It is asked only to work out dates. No finding rests on it.",
    "recent drives": "Some signs cannot wait, so they are asked before any walking.",
}


def why_lines(consultation: Consultation, why: WhyAsked) -> list[Line]:
    """Why a question is asked, for a novice."""
    lines = _why_first(consultation, why)
    told = [o for o in why.outcomes if o.new]
    most = 2 if why.prompt.deciding else 5
    lines += texts((_outcome_words(consultation, outcome) for outcome in told[:most]), 2)
    for outcome in [o for o in why.outcomes if o.opens and not o.new][:2]:
        labels = ", ".join(consultation.ruleset.questions[q].label for q in outcome.opens[:3])
        lines.append(Line("text", f"If '{outcome.words}', I would ask more: {labels}.", 2))
    if not told and why.could_find and why.prompt.why not in ("car", "end", "deciding"):
        says = dict.fromkeys(f"- {rule.say}" for rule in why.could_find)
        lines += [Line("text", "It can help to find:"), *texts(list(says)[:4], 2)]
    return lines or texts(["It changes the order and the wording of what follows."])


def _why_first(consultation: Consultation, why: WhyAsked) -> list[Line]:
    """The one reason why it is asked at all."""
    opened, prompt = why.opened_by, why.prompt
    if opened is not None and opened.asks is not None:
        return texts([f"{opened.say} {opened.asks.because}"])
    if prompt.deciding is not None:
        return deciding_lines(consultation, prompt.deciding)
    if prompt.hazard is not None:
        return texts([prompt.hazard.hazard.why])
    return texts([WHY_WORDS[prompt.why]] if prompt.why in WHY_WORDS else [])


def _outcome_words(consultation: Consultation, outcome: AnswerOutcome) -> str:
    """What an answer would lead to: the worst finding, its category, and a graver advice."""
    worst = outcome.new[0]
    graver = worst.urgency.rank < consultation.headline.urgency.rank
    advice = URGENCY_WORDS[worst.urgency] if graver else ""
    category = category_words(consultation.ruleset, worst, "")
    inside = ", ".join(part for part in (advice, category) if part)
    return f"If '{outcome.words}': {worst.rule.say}" + (f" ({inside})" if inside else "")


def deciding_lines(consultation: Consultation, check: Deciding) -> list[Line]:
    """To what end a check is asked, and what would be likeliest after each answer."""
    say = check.symptom.symptom.say
    if check.worst is not None:
        first = (
            f"It is asked to rule out the worst that could be behind '{say}': {check.worst.say}."
        )
    else:
        first = f"Of all checks it best tells apart what could be behind '{say}'."
    rows = []
    question = consultation.ruleset.questions[check.question]
    answers = symptom_answers(consultation.ruleset, check.symptom, check.question)
    for answer in answers[:6]:
        shares = shares_with(consultation, check.symptom, check.question, check.at, answer)
        most = max(shares)
        cause = check.symptom.causes[shares.index(most)].cause
        word = "most likely" if most >= MOST_LIKELY else "first, but open"
        rows.append(f"If '{answer_words(question, answer)}': {word}, {cause.say}.")
    return [Line("text", first), *texts(rows, 2)]


def help_lines() -> list[Line]:
    """What may be said at every prompt."""
    rows = [
        ("how", "how to do this check"),
        ("what does that mean", "the words explained; or ask for one: what's a sill"),
        ("again", "the question once more, and how much is left"),
        ("what is left", "each place with what is left there, and what is left out"),
        ("why", "why this is asked, and what each answer would lead to"),
        ("don't know / can't look", "it stays on the list as not known"),
        ("back", "take back the last answer; 'redo' brings it again"),
        ("wrong", "change any earlier answer"),
        ("mended", "something is repaired: it is looked at anew"),
        ("found", "what we have found so far, and how each came about"),
        ("can I drive it", "what I can say of that, which is never that it is safe"),
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
