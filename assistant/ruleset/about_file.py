"""ruleset.yaml as it is written by its author: the scale, the places and order of the walk, the
minutes, the parts, and the words that all files share."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, StringConstraints

from assistant.ruleset.models import Act, Basis, Name, Source, Spot, Strict, Text


class Category(Strict):
    """One step of the standard's own scale of results."""

    fails: bool
    say: Text
    means: Text


class WalkPlace(Strict):
    """One stop on the walk, or a block of questions asked sitting down; "end" comes after it.

    hear: what people also call it, or what they look at there. acts: what being there makes a
    person do; its groups and questions inherit it. dry: inside the car, where one goes when it
    rains. garage: its name on a sheet for one. found: where it is, on a sheet, what is said there
    of no part.
    """

    place: Name
    say: Text
    garage: Text | None = None
    found: Text | None = None
    hear: list[Text] = Field(default_factory=list)
    stage: Literal["start", "triage", "walk", "end"] = "walk"
    dry: bool = False
    arrive: Text | None = None
    cautions: list[Name] = Field(default_factory=list)
    acts: list[Act] = Field(default_factory=list)
    spot: Spot | None = None


class Stop(Strict):
    """One stop of the walk: what is asked there, in this order, and in which round.

    ask: groups and questions. arrive: how to get there, where the place's own words do not fit.
    """

    place: Name
    round: Literal[1, 2]
    ask: list[Name] = Field(min_length=1)
    arrive: Text | None = None


class Pace(Strict):
    """One constant of the minutes, with where it is from."""

    value: float = Field(gt=0)
    basis: Basis
    source: Text


class Timing(Strict):
    """What a check takes: words, looking, typing, ways. hint_words: ours below each question."""

    words_a_minute: Pace
    hint_words: Pace
    typing_seconds: Pace
    way_seconds: Pace


class Member(Strict):
    """One wheel, lamp or seat. garage: its name on a sheet for one; here: to somebody beside it."""

    at: Name
    say: Text
    garage: Text | None = None
    here: Text | None = None
    hear: list[Text] = Field(default_factory=list)
    place: Name | None = None
    of: list[Name] = Field(default_factory=list)
    spot: Spot | None = None


class Axis(Strict):
    """Like parts that a question is repeated over."""

    axis: Name
    say: Text
    members: list[Member] = Field(min_length=1)


class Ready(Strict):
    """A part that a garage gets ready where one of these items, or what is under it, is found.

    size: the question that says which one fits this car.
    """

    say: Text
    size: Name | None = None
    items: list[Text] = Field(min_length=1)


class RulesetFile(Strict):
    """ruleset.yaml: what the ruleset is, its scale, its walk and its words.

    walk: the places. stops: the order in which they are visited; without them each once, as listed.
    worry: the question that asks what worries the person; what they tell belongs to its place.
    Without it symptoms are only seen, never told. get_ready: what the sheet names for the garage.
    """

    name: Annotated[str, StringConstraints(pattern=r"^[a-z][a-z0-9-]{0,39}$")]
    title: Text
    covers: Text
    not_covered: list[Text] = Field(default_factory=list)
    inspection: Text
    station: Text
    notices: list[Text] = Field(min_length=1)
    attributions: list[Text] = Field(default_factory=list)
    scale: dict[Name, Category]
    walk: list[WalkPlace] = Field(min_length=1)
    stops: list[Stop] = Field(default_factory=list)
    timing: Timing
    axes: list[Axis] = Field(default_factory=list)
    cautions: dict[Name, Text] = Field(default_factory=dict)
    sources: dict[Name, Source]
    kit: Name | None = None
    worry: Name | None = None
    get_ready: list[Ready] = Field(default_factory=list)
    systems: list[Name] = Field(min_length=1)
