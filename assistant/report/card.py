"""The card to take outside: the walk for one car, with numbered blanks."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from typing import Any

from assistant.knowledge.journal import Entry
from assistant.knowledge.ruleset import Ruleset
from assistant.reasoning.agenda import Prompt
from assistant.reasoning.card import in_time, numbered_prompts
from assistant.reasoning.consultation import consult
from assistant.reasoning.plan import time_for
from assistant.report.pages import environment

FORMATS = ("text", "md", "html")
_WIDTH = 78


def card(
    ruleset: Ruleset, journal: Sequence[Entry], form: str, minutes: float | None = None
) -> str:
    """The card as text. form: "text", "md" or "html". minutes: the time there is, if named."""
    data = card_data(ruleset, journal, minutes)
    if form == "html":
        return environment(html=True).get_template("card.html.j2").render(c=data)
    if form == "md":
        return environment(html=False).get_template("card.md.j2").render(c=data)
    if form == "text":
        return _text(data)
    raise ValueError(f"unknown form {form!r}")


def card_data(ruleset: Ruleset, journal: Sequence[Entry], minutes: float | None) -> dict[str, Any]:
    """Places in walking order, each with its cautions and numbered checks.

    What does not fit into the time is left out and named; the numbers stay what they are.
    """
    prompts = numbered_prompts(ruleset, journal)
    keys = in_time(ruleset, journal, prompts, minutes)
    context = consult(ruleset, list(journal)).state.context
    places: dict[str, dict[str, Any]] = {}
    left_out: dict[str, None] = {}
    kept: list[Prompt] = []
    for number, prompt in enumerate(prompts, start=1):
        if prompt.key not in keys:
            left_out.update(dict.fromkeys(ruleset.questions[q].label for q, _ in prompt.items))
            continue
        kept.append(prompt)
        stop = ruleset.places[prompt.place]
        place = places.setdefault(
            prompt.place,
            {
                "say": stop.say[:1].upper() + stop.say[1:],
                "arrive": stop.arrive,
                "cautions": [ruleset.cautions[c] for c in stop.cautions],
                "checks": [],
            },
        )
        place["checks"].append(_check(ruleset, number, prompt))
    return {
        "car": context.car,
        "today": context.today.isoformat(),
        "title": ruleset.about.title,
        "minutes": round(time_for(kept, None)),
        "count": len(kept),
        "over_time": _over_time(time_for(kept, None), minutes),
        "left_out": list(left_out),
        "places": list(places.values()),
        "notices": list(ruleset.about.notices),
        "attributions": list(ruleset.about.attributions),
    }


def _over_time(needed: float, minutes: float | None) -> str:
    """A sentence where what is always asked takes longer than the time there is."""
    if minutes is None or round(needed) <= minutes:
        return ""
    there = f"That is more than the {minutes:g} minutes there are"
    return f"{there}, but these are always asked, for safety."


def _check(ruleset: Ruleset, number: int, prompt: Prompt) -> dict[str, Any]:
    if prompt.group:
        group = ruleset.groups[prompt.group.partition("@")[0]]
        items = [
            f"{ruleset.at_words(q, at)} {ruleset.questions[q].label}".strip()
            for q, at in prompt.items
        ]
        return {
            "number": number,
            "ask": group.ask,
            "how": group.how,
            "cautions": [ruleset.cautions[c] for c in group.cautions],
            "options": items,
            "unit": "",
        }
    question = ruleset.questions[str(prompt.question)]
    where = ruleset.at_words(str(prompt.question), prompt.at)
    lead = f"{where[:1].upper()}{where[1:]}: " if where else ""
    return {
        "number": number,
        "ask": lead + question.ask,
        "how": question.how,
        "cautions": [ruleset.cautions[c] for c in question.cautions],
        "options": [c.say for c in question.choices.values()],
        "unit": question.unit or "",
    }


def _text(data: dict[str, Any]) -> str:
    rows = _wrap(f"Walk-round card for {data['car'] or 'the car'}, {data['today']}")
    rows.append(f"{data['count']} checks, about {data['minutes']} minutes.")
    rows += _wrap(data["over_time"]) if data["over_time"] else []
    rows += _wrap("Write a short answer on each line. Back at the keyboard type card, then the "
                  "number and the answer.")  # fmt: skip
    for place in data["places"]:
        rows += ["", place["say"].upper()]
        if place["arrive"]:
            rows += _wrap(place["arrive"])
        rows += [row for text in place["cautions"] for row in _wrap("Caution: " + text)]
        for check in place["checks"]:
            rows += ["", *_wrap(f"{check['number']:>2}. {check['ask']}", 4)]
            rows += [row for text in check["cautions"] for row in _wrap("Caution: " + text, 4, 4)]
            rows += _wrap("How: " + check["how"], 4, 4)
            for number, option in enumerate(check["options"], start=1):
                rows += _wrap(f"({number}) {option}", 10, 6)
            unit = f" {check['unit']}" if check["unit"] else ""
            rows.append(f"    Answer: ______________________{unit}")
    if data["left_out"]:
        rows += ["", *_wrap("Left out for want of time: " + "; ".join(data["left_out"]) + ".")]
    rows += ["", *[row for text in data["notices"] + data["attributions"] for row in _wrap(text)]]
    return "\n".join("".join(c if c.isprintable() else " " for c in row) for row in rows) + "\n"


def _wrap(text: str, hang: int = 0, indent: int = 0) -> list[str]:
    return textwrap.wrap(
        text, _WIDTH, initial_indent=" " * indent, subsequent_indent=" " * max(hang, indent)
    )
