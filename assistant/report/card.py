"""The card to take outside: the walk for one car, with numbered blanks."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence
from typing import Any

from assistant.choosing.agenda import Prompt
from assistant.choosing.order import in_time, numbered_prompts
from assistant.choosing.plan import time_for
from assistant.journal.entries import Entry
from assistant.reasoning.consultation import consult
from assistant.report.lines import printable
from assistant.report.pages import page
from assistant.ruleset.grammar import upper
from assistant.ruleset.models import Group
from assistant.ruleset.ruleset import Ruleset

FORMATS = ("text", "md", "html")
_WIDTH = 78


def card(
    ruleset: Ruleset, journal: Sequence[Entry], form: str, minutes: float | None = None
) -> str:
    """The card as text. form: "text", "md" or "html". minutes: the time there is, if named."""
    data = card_data(ruleset, journal, minutes)
    return _text(data) if form == "text" else page("card", form, c=data)


def card_data(ruleset: Ruleset, journal: Sequence[Entry], minutes: float | None) -> dict[str, Any]:
    """Places in walking order, each with its cautions and numbered checks.

    What does not fit into the time is left out and named; the numbers stay what they are.
    """
    prompts = numbered_prompts(ruleset, journal)
    keys = in_time(ruleset, journal, prompts, minutes)
    context = consult(ruleset, list(journal)).state.context
    kept = [(number, p) for number, p in enumerate(prompts, start=1) if p.key in keys]
    items = [item for p in prompts if p.key not in keys for item in p.items]
    needed = time_for(ruleset, [p for _, p in kept], None)
    return {
        "car": context.car,
        "today": context.today.isoformat(),
        "title": ruleset.about.title,
        "minutes": round(needed),
        "count": len(kept),
        "over_time": _over_time(needed, minutes),
        "left_out": list(dict.fromkeys(ruleset.questions[q].label for q, _ in items)),
        "places": _places(ruleset, kept),
        "notices": list(ruleset.about.notices),
        "attributions": list(ruleset.about.attributions),
    }


def _places(ruleset: Ruleset, kept: Iterable[tuple[int, Prompt]]) -> list[dict[str, Any]]:
    places: dict[str, dict[str, Any]] = {}
    for number, prompt in kept:
        if prompt.place not in places:
            stop = ruleset.places[prompt.place]
            cautions = [ruleset.cautions[c] for c in stop.cautions]
            place = {"say": upper(stop.say), "arrive": stop.arrive, "cautions": cautions}
            places[prompt.place] = {**place, "checks": []}
        places[prompt.place]["checks"].append(_check(ruleset, number, prompt))
    return list(places.values())


def _over_time(needed: float, minutes: float | None) -> str:
    """A sentence where what is always asked takes longer than the time there is."""
    if minutes is None or round(needed) <= minutes:
        return ""
    there = f"That is more than the {minutes:g} minutes there are"
    return f"{there}, but these are always asked, for safety."


def _check(ruleset: Ruleset, number: int, prompt: Prompt) -> dict[str, Any]:
    asked = prompt.asks(ruleset)
    if isinstance(asked, Group):
        options, unit = [ruleset.item_label(*item) for item in prompt.items], ""
    else:
        options, unit = [c.say for c in asked.choices.values()], asked.unit or ""
    return {
        "number": number,
        "ask": prompt.words(ruleset),
        "how": asked.how,
        "cautions": [ruleset.cautions[c] for c in asked.cautions],
        "options": options,
        "unit": unit,
    }


def _text(data: dict[str, Any]) -> str:
    rows = _wrap(f"Walk-round card for {data['car'] or 'the car'}, {data['today']}")
    rows.append(f"{data['count']} checks, about {data['minutes']} minutes.")
    rows += _wrap(data["over_time"])
    rows += _wrap("Write a short answer on each line. Back at the keyboard type card, then the "
                  "number and the answer.")  # fmt: skip
    for place in data["places"]:
        rows += ["", place["say"].upper(), *_wrap(place["arrive"] or "")]
        rows += _wraps(f"Caution: {text}" for text in place["cautions"])
        for check in place["checks"]:
            rows += ["", *_wrap(f"{check['number']:>2}. {check['ask']}", 4)]
            rows += _wraps((f"Caution: {text}" for text in check["cautions"]), 4, 4)
            rows += _wrap(f"How: {check['how']}", 4, 4)
            options = enumerate(check["options"], start=1)
            rows += _wraps((f"({number}) {option}" for number, option in options), 10, 6)
            unit = f" {check['unit']}" if check["unit"] else ""
            rows.append(f"    Answer: ______________________{unit}")
    if data["left_out"]:
        rows += ["", *_wrap(f"Left out for want of time: {'; '.join(data['left_out'])}.")]
    rows += ["", *_wraps(data["notices"] + data["attributions"])]
    return "\n".join(map(printable, rows)) + "\n"


def _wrap(text: str, hang: int = 0, indent: int = 0) -> list[str]:
    return textwrap.wrap(
        text, _WIDTH, initial_indent=" " * indent, subsequent_indent=" " * max(hang, indent)
    )


def _wraps(rows: Iterable[str], hang: int = 0, indent: int = 0) -> list[str]:
    return [row for text in rows for row in _wrap(text, hang, indent)]
