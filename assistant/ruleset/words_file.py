"""words.yaml and glossary.yaml as they are written by their authors: how people say what worries
them, and what the words of the trade mean."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import BeforeValidator, Field

from assistant.ruleset.models import Basis, Condition, Name, Short, Strict, Text, Urgency


def _apart(written: Any) -> Any:
    """A text with commas as the list that it stands for."""
    if isinstance(written, str):
        return [part.strip() for part in written.split(",") if part.strip()]
    return written


Phrases = Annotated[list[Text], BeforeValidator(_apart, json_schema_input_type=list[str] | str)]
"""Words and phrases, as a list or as one text with commas: a long list takes long to read."""


class Lowered(Strict):
    """What stays of a danger once something seen has shown that it is less.

    by: the answers that show it. condition: when the car must still not be driven. do: what to do.
    """

    by: Condition
    urgency: Urgency
    condition: Text | None = None
    do: Text


class Danger(Strict):
    """Something that an owner tells in their own words, and that acts in that turn.

    hear: lines of word groups, words, and words joined by hyphens. mild: lines like those; what is
    told in the same breath is then a slight fault, and no danger. first: what is done now. then:
    what once the car stands. call: whom to call. never: what is never done. condition: when it
    counts, where it does not always. ask: the questions that settle it, asked first. lifted_by:
    answers that show it is not so; none where nothing that an owner sees can show that. lowered:
    what stays of it where something seen shows that it is less. unlowered: why there is neither.
    short: what was told as a line of the sheet.
    """

    hear: Phrases = Field(min_length=1)
    mild: Phrases = Field(default_factory=list)
    short: Short
    first: Text
    then: Text
    call: Text
    never: Text | None = None
    urgency: Urgency
    condition: Text | None = None
    hazards: list[Name] = Field(min_length=1)
    ask: list[Name] = Field(default_factory=list)
    lifted_by: Condition | None = None
    lowered: Lowered | None = None
    unlowered: Text | None = None
    source: Name
    clause: Text | None = None
    basis: Basis
    note: Text | None = None


class AskFirst(Strict):
    """Words that only might mean a danger, so that a question comes first.

    hear: as of a danger. say: what is said at once. ask: the questions asked first.
    """

    hear: Phrases = Field(min_length=1)
    say: Text
    ask: list[Name] = Field(min_length=1)


class Telling(Strict):
    """Words that change what other words tell.

    new_part: after these something else may be told. negation: deny what follows. denies_nothing:
    have such a word in them, and deny nothing. fine: say that something is well. long_past: say
    that something is long past. mended: say that something was put right. present: say that
    something is so now. still: say that it is so again. asking: begin a question about words, or a
    plan. telling_now: sound like those, and tell what happens. other_senses: phrases whose words
    mean something else here. elsewhere: things that are no part of a car or of a walk round it.
    alarming: the groups that no thing of comfort excuses. feared: more groups of things that must
    not fail. failings: the groups that make words about an alarming or a feared group sound
    alarming, though no danger is understood. cries: words that sound
    alarming whatever they are about. refusing: words such as "refuses to", which deny only what
    stands just behind. likening: words such as "like a", after which a thing from elsewhere is only
    a likeness.
    """

    new_part: Phrases = Field(default_factory=list)
    negation: Phrases = Field(default_factory=list)
    denies_nothing: Phrases = Field(default_factory=list)
    fine: Phrases = Field(default_factory=list)
    long_past: Phrases = Field(default_factory=list)
    mended: Phrases = Field(default_factory=list)
    present: Phrases = Field(default_factory=list)
    still: Phrases = Field(default_factory=list)
    asking: Phrases = Field(default_factory=list)
    telling_now: Phrases = Field(default_factory=list)
    other_senses: Phrases = Field(default_factory=list)
    elsewhere: Phrases = Field(default_factory=list)
    alarming: list[Name] = Field(default_factory=list)
    feared: list[Name] = Field(default_factory=list)
    failings: list[Name] = Field(default_factory=list)
    cries: Phrases = Field(default_factory=list)
    refusing: Phrases = Field(default_factory=list)
    likening: Phrases = Field(default_factory=list)


class WordsFile(Strict):
    """words.yaml: how people say what worries them.

    words: for each symptom the ways to say it. same: words that mean the same. idle: words that
    tell nothing. spelt: how words are spelt by ear or in a dialect, and the words meant. nothing:
    ways to say that there is no worry. word_groups: words in all their forms, for the lines of
    dangers and of what is asked first. things: the groups that name a part, so that the wheel of a
    "steering wheel" is not a wheel. telling: words that change what
    others tell. dangers: in the order of gravity. kinds: the danger that words are taken for which
    only sound like one of a kind (word_weights.tsv). comforts: things that are about comfort alone.
    """

    words: dict[Name, list[Text]] = Field(min_length=1)
    same: list[list[Text]] = Field(default_factory=list)
    idle: Phrases = Field(default_factory=list)
    spelt: dict[Text, Text] = Field(default_factory=dict)
    nothing: Phrases = Field(default_factory=list)
    word_groups: dict[Name, Phrases] = Field(default_factory=dict)
    things: list[Name] = Field(default_factory=list)
    telling: Telling = Field(default_factory=Telling)
    comforts: Phrases = Field(default_factory=list)
    dangers: dict[Name, Danger] = Field(default_factory=dict)
    kinds: dict[Name, Name] = Field(default_factory=dict)
    ask_first: dict[Name, AskFirst] = Field(default_factory=dict)

    def asks_of(self, name: str) -> list[str]:
        """What is asked first where words tell of a danger, or might; nothing for other names."""
        one = self.dangers.get(name) or self.ask_first.get(name)
        return one.ask if one else []

    @property
    def asked_first(self) -> set[str]:
        """Every question that words can open."""
        return {q for name in (*self.dangers, *self.ask_first) for q in self.asks_of(name)}


class Term(Strict):
    """A word of the trade. say: what it is. also: what else it is called."""

    say: Text
    also: list[Text] = Field(default_factory=list)


class GlossaryFile(Strict):
    """glossary.yaml: words of the trade that screens and sheets use."""

    words: dict[Text, Term] = Field(min_length=1)
