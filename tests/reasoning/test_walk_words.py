"""What a person reads on a walk: only words of this car, and no more of them than are needed."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest

from assistant.choosing.agenda import Prompt, agenda
from assistant.choosing.order import numbered_prompts
from assistant.choosing.why import why_asked
from assistant.journal.entries import Entry
from assistant.reasoning.consultation import Consultation, consult
from assistant.report.findings import caution_lines
from assistant.report.prompts import ask_lines, how_lines, why_lines
from assistant.ruleset.minutes import words_for
from assistant.ruleset.ruleset import Ruleset
from tests.benchmarks.walks import fine_answer
from tests.reasoning.test_walk_order import CARS, a_car

NOT_OF = {
    "electric 2022": re.compile(
        r"\b(fuel|petrol|diesel|exhaust|tailpipe|filler|dipstick|engine oil|oil lamp|red can"
        r"|start the engine|engine running|engine idling)\b",
        re.I,
    ),
    "petrol 2015": re.compile(r"\borange cables?\b|\bdiesel\b|\bAdBlue\b|\bready means\b", re.I),
}
"""Words of what such a car has not got. Brake fluid and grease are oily on every car."""
MOST_WORDS, LONG = 4_250, 60
MOST_LONG = 35
"""Of a faultless walk, with where to go and the cautions; how many prompts may be longer than LONG
words: a caution is never shortened for a count, so those with two of them are."""


def walked(ruleset: Ruleset, journal: list[Entry]) -> Iterator[tuple[Consultation, Prompt]]:
    """Each prompt of a walk on which all is fine, as it is asked."""
    while (prompt := agenda(now := consult(ruleset, journal)).next) is not None:
        yield now, prompt
        turn = journal[-1].turn + 1
        journal += [fine_answer(ruleset, prompt, name, at, turn) for name, at in prompt.items]


def shown(now: Consultation, prompt: Prompt, journal: list[Entry]) -> list[str]:
    """What stands on the screen: arriving, asked, and after "how" and "why"."""
    place = caution_lines(now.ruleset, now.ruleset.places[prompt.place].cautions)
    why = why_lines(now, why_asked(now, journal, prompt))
    lines = [*place, *ask_lines(now, prompt), *how_lines(now, prompt), *why]
    return [prompt.arrive(now.ruleset) or "", *(line.text for line in lines)]


@pytest.mark.parametrize("car", NOT_OF)
def test_no_word_is_about_what_the_car_has_not_got(gb_cars: Ruleset, car: str) -> None:
    journal = a_car(car)
    found = [
        (prompt.key, text)
        for now, prompt in walked(gb_cars, journal)
        for text in shown(now, prompt, journal)
        if NOT_OF[car].search(text)
    ]
    assert not found


def test_a_car_of_unknown_fuel_hears_of_both(gb_cars: Ruleset) -> None:
    prompts = numbered_prompts(gb_cars, a_car("petrol 2015")[:1])
    (wires,) = [p for p in prompts if p.group == "wires"]
    assert {"orange", "fuel"} <= set(wires.asks(gb_cars).cautions)


def test_a_choice_that_a_car_has_not_got_is_no_answer(gb_cars: Ruleset) -> None:
    for car, has in (("petrol 2015", True), ("electric 2022", False)):
        (signs,) = [p for p in numbered_prompts(gb_cars, a_car(car)) if p.key == "recent_signs"]
        assert ("fuel_smell" in signs.one(gb_cars).choices) is has


@pytest.mark.parametrize("car", CARS)
def test_a_faultless_walk_is_soon_read(gb_cars: Ruleset, car: str) -> None:
    prompts = numbered_prompts(gb_cars, a_car(car))
    words = [words_for(gb_cars, p.items, p.asks(gb_cars)) for p in prompts]
    arrivals = {p.stop.arrive or "": gb_cars.places[p.place].cautions for p in prompts if p.stop}
    ways = sum(
        len(" ".join([arrive, *(gb_cars.cautions[c] for c in cautions)]).split())
        for arrive, cautions in arrivals.items()
    )
    assert sum(words) + ways <= MOST_WORDS
    assert sum(count > LONG for count in words) <= MOST_LONG
