"""hazards.yaml as it is written by its author: what dangers threaten, and what that forbids."""

from __future__ import annotations

from pydantic import Field

from assistant.ruleset.models import Act, Basis, Name, Source, Strict, Text


class ActWords(Strict):
    """How an act is asked for in the texts of a ruleset, for the check that each text states it.

    words: phrases that ask for it. never: phrases that say the opposite or only speak of it.
    """

    say: Text
    words: list[Text] = Field(min_length=1)
    never: list[Text] = Field(default_factory=list)


class Cooled(Strict):
    """A time and a state after which some of what a hazard forbids may be done again."""

    say: Text
    frees: list[Act] = Field(min_length=1)


class Hazard(Strict):
    """What a danger threatens: what it forbids, what ends it, and which checks settle it.

    say: in words, after "because of". nothing_more: nothing more is asked while it stands. cooled:
    what the owner says when the time is over. garage: whose word ends it, as the owner would say
    it. settles: the checks that can confirm it or rule it out; `otherwise` says who settles the
    rest. The program counts no time itself.
    """

    say: Text
    forbids: list[Act] = Field(min_length=1)
    why: Text
    nothing_more: bool = False
    cooled: Cooled | None = None
    garage: Text
    settles: list[Name] = Field(default_factory=list)
    otherwise: Text | None = None
    call: Text
    source: Name
    clause: Text | None = None
    basis: Basis
    note: Text | None = None


class HazardsFile(Strict):
    """hazards.yaml: the hazards in the order of gravity, and the words of each act."""

    sources: dict[Name, Source] = Field(default_factory=dict)
    acts: dict[Act, ActWords] = Field(default_factory=dict)
    hazards: dict[Name, Hazard] = Field(min_length=1)
