"""What a person says about the plan and not about the car: time, light, tools, help.

"I have 10 minutes", "no helper", "it's dark", "it's raining", "I've got a gauge now", "no hurry",
"do the tyres now", "leave out the rear".
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date

from assistant.reading.forms import forms
from assistant.reading.result import Understood
from assistant.reading.text import clean, spoken
from assistant.reading.understand import understand
from assistant.ruleset.models import Question
from assistant.ruleset.ruleset import Ruleset

_TIME = Question(
    ask="How long have you got?",
    label="time there is",
    kind="quantity",
    unit="minutes",
    range=(1, 1000),
    place="here",
    how="Say a number of minutes.",
    seconds=5,
)
_FORMS = forms("plan")
_HAVE = re.compile(_FORMS["have"])
_NO_HURRY = re.compile(_FORMS["no_hurry"])
_LACK = re.compile(_FORMS["lack"])
_GAIN = re.compile(_FORMS["gain"])
_GO_TO = re.compile(_FORMS["go_to"])
_LEAVE = re.compile(_FORMS["leave_out"])
_RAIN = re.compile(_FORMS["rain"])


@dataclass(frozen=True)
class PlanHeard:
    """What changes: minutes there are (None lifts the limit), a thing lost or gained, or places of
    the walk that are wanted next, or left out."""

    timed: bool = False
    minutes: float | None = None
    lost: str | None = None
    gained: str | None = None
    places: tuple[str, ...] = ()
    leave: bool = False


def time_of(words: str) -> PlanHeard | None:
    """What words say about the time there is, or None."""
    said = spoken(clean(words)).strip(" .")
    if len(said) > 80:
        return None
    if _NO_HURRY.match(said):
        return PlanHeard(timed=True)
    time = _HAVE.match(said)
    if time is not None:
        heard = understand(time["time"].replace("only ", ""), _TIME, today=date.min)
        if isinstance(heard, Understood) and heard.answer.lo is not None:
            return PlanHeard(timed=True, minutes=heard.answer.lo)
    return None


def plan_of(words: str, ruleset: Ruleset, question: str | None, today: date) -> PlanHeard | None:
    """What words say about the plan, or None. The question about tools keeps its own answers."""
    said = spoken(clean(words)).strip(" .")
    if len(said) > 80:
        return None
    timed = time_of(words)
    if timed is not None:
        return timed
    for form, leave in ((_LEAVE, True), (_GO_TO, False)):
        meant = form.match(said)
        if meant is not None and (places := _places(ruleset, meant["thing"])):
            return PlanHeard(places=places, leave=leave)
    dry = tuple(place.place for place in ruleset.about.walk if place.dry)
    if _RAIN.match(said) and dry:
        return PlanHeard(places=dry)
    kit = ruleset.about.kit
    if kit is None or question == kit:
        return None
    lack, gain = _LACK.match(said), _GAIN.match(said)
    for pick, choice in ruleset.questions[kit].choices.items():
        names = {spoken(name) for name in (pick.replace("_", " "), choice.say, *choice.hear)}
        if said in {spoken(phrase) for phrase in choice.lost}:
            return PlanHeard(lost=pick)
        if lack is not None and lack["thing"] in names:
            return PlanHeard(lost=pick)
        if gain is not None and gain["thing"] in names:
            return PlanHeard(gained=pick)
    return None


def _places(ruleset: Ruleset, thing: str) -> tuple[str, ...]:
    """The places of the walk that are called so, or where such a thing is looked at."""
    return tuple(
        place.place
        for place in ruleset.about.walk
        if place.stage == "walk"
        and thing in {spoken(name).removeprefix("the ") for name in (place.say, *place.hear)}
    )
