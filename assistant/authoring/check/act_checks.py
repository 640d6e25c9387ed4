"""Whether each text states what it makes a person do, and whether each hazard makes sense.

The words of an act stand in hazards.yaml, as plain phrases; "..." stands for any words between. A
sentence with such words has to belong to a question that states the act, unless one of the act's
`never` phrases stands in the same sentence.
"""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterable, Iterator
from functools import lru_cache

from assistant.errors import Problem
from assistant.ruleset.hazards_file import Hazard
from assistant.ruleset.models import Act, Question, Rule
from assistant.ruleset.ruleset import Ruleset

Path = tuple[str | int, ...]

_SENTENCES = re.compile(r"[.?!;](?=\s|$)|\n")
_FOLLOWS = ((Act.IGNITION, Act.ENGINE), (Act.ENGINE, Act.DRIVEN))
"""Where the first of a pair is forbidden, the second must be."""
_FORMS = ("as usual", "safely", "left out")
"""How a check is made while a hazard stands."""


def act_problems(ruleset: Ruleset) -> Iterator[Problem]:
    """Everything that is wrong with the acts and the hazards of a ruleset; [] where it has none."""
    if not ruleset.hazards:
        return
    yield from _texts(ruleset)
    yield from _statements(ruleset)
    yield from _hazards(ruleset)
    yield from _dangers(ruleset)


def hazard_table(ruleset: Ruleset) -> list[str]:
    """Hazard by hazard, the gravest first: what it forbids and which checks are left out for it."""
    rows: list[str] = []
    for name, hazard in ruleset.hazards.items():
        rows += [""] if rows else []
        rows += _paragraph(ruleset, name, hazard)
    return rows


# texts ------------------------------------------------------------------------------------


def _texts(ruleset: Ruleset) -> Iterator[Problem]:
    """Words of an act in a text that belongs to something which does not state it."""
    for index, stop in enumerate(ruleset.about.walk):
        path: Path = ("walk", index, "arrive")
        yield from _unstated(
            ruleset, "ruleset", path, f"the place {stop.place}", stop.arrive, frozenset(stop.acts)
        )
    for system, file in ruleset.systems.items():
        for name, group in file.groups.items():
            stated = _group_acts(ruleset, name)
            for field in ("ask", "how", "without"):
                text = getattr(group, field)
                path = ("groups", name, field)
                yield from _unstated(ruleset, system, path, name, text, stated)
        for name, question in file.questions.items():
            yield from _question_texts(ruleset, system, name, question)


def _question_texts(
    ruleset: Ruleset, system: str, name: str, question: Question
) -> Iterator[Problem]:
    stated = _acts(ruleset, name)
    here: Path = ("questions", name)
    for field in ("ask", "how", "without", "means"):
        text = getattr(question, field)
        yield from _unstated(ruleset, system, (*here, field), name, text, stated)
    choices = [((*here, "choices", c, "say"), choice.say) for c, choice in question.choices.items()]
    for path, text in choices:
        yield from _unstated(ruleset, system, path, name, text, stated)
    safely = question.safely
    if safely is None:
        return
    allowed = frozenset(safely.acts)
    own = (*here, "safely", "ask") if safely.ask else (*here, "ask")
    shown = [(own, safely.ask or question.ask), ((*here, "safely", "how"), safely.how), *choices]
    for path, text in shown:
        what = f"{name}, in its safe form,"
        yield from _unstated(ruleset, system, path, what, text, allowed)


def _unstated(
    ruleset: Ruleset, system: str, path: Path, what: str, text: str | None, stated: frozenset[Act]
) -> Iterator[Problem]:
    for act, found in _acts_in(ruleset, text or ""):
        if act not in stated:
            yield (
                ruleset.place(system, *path),
                f'{what} says "{found}", but does not state the act "{act.value}". Put the act '
                "into its acts, or say it otherwise.",
            )


def _acts_in(ruleset: Ruleset, text: str) -> Iterator[tuple[Act, str]]:
    """The acts that a text asks for, each once, with the words that ask for it."""
    acts = ruleset.hazards_file.acts if ruleset.hazards_file is not None else {}
    for act, words in acts.items():
        asks, never = _pattern(tuple(words.words)), _pattern(tuple(words.never))
        for sentence in _SENTENCES.split(text):
            found = asks.search(sentence)
            if found and not never.search(sentence):
                yield act, " ".join(found.group().split())
                break


@lru_cache(maxsize=256)
def _pattern(phrases: tuple[str, ...]) -> re.Pattern[str]:
    """What finds any of the phrases as whole words; without phrases, nothing."""
    ways = []
    for phrase in phrases:
        parts = [r"[\s,]+".join(map(re.escape, p.split())) for p in phrase.split("...")]
        ways.append(r"\b.*?\b".join(parts))
    return re.compile(rf"(?<!\w)(?:{'|'.join(ways)})(?!\w)" if ways else r"(?!)", re.IGNORECASE)


# what states its acts ---------------------------------------------------------------------


def _acts(ruleset: Ruleset, name: str) -> frozenset[Act]:
    """What a question states at every place where it is asked."""
    members = ruleset.members(ruleset.questions[name].each)
    return frozenset.intersection(*(ruleset.acts_of(name, at) for at in members))


def _group_acts(ruleset: Ruleset, name: str) -> frozenset[Act]:
    """What a group states, with what every place that it is asked at states."""
    places = {
        ruleset.place_of(question, at)
        for question, model in ruleset.questions.items()
        if model.group == name
        for at in ruleset.members(model.each)
    }
    there = [frozenset(ruleset.places[place].acts) for place in places]
    return frozenset(ruleset.groups[name].acts) | (
        frozenset.intersection(*there) if there else frozenset()
    )


def _statements(ruleset: Ruleset) -> Iterator[Problem]:
    """Nobody is sent under a car, and an item is asked in the words of its group."""
    text = "nobody is ever asked to get under the car."
    for index, stop in enumerate(ruleset.about.walk):
        if Act.UNDER in stop.acts:
            yield ruleset.place("ruleset", "walk", index, "acts"), f"{stop.place}: {text}"
    for system, file in ruleset.systems.items():
        for name, group in file.groups.items():
            if Act.UNDER in group.acts:
                yield ruleset.place(system, "groups", name, "acts"), f"{name}: {text}"
        for name, question in file.questions.items():
            safely = question.safely
            if Act.UNDER in question.acts or (safely and Act.UNDER in safely.acts):
                yield ruleset.place(system, "questions", name, "acts"), f"{name}: {text}"
            asked_with = ruleset.groups.get(question.group or "")
            asks = asked_with.acts if asked_with else []
            spared = [act.value for act in question.spares if act in asks]
            if spared:
                yield (
                    ruleset.place(system, "questions", name, "spares"),
                    f"{name} spares what its group asks for in its own words "
                    f"({', '.join(spared)}). Give it a safely: instead.",
                )


# hazards ----------------------------------------------------------------------------------


def _hazards(ruleset: Ruleset) -> Iterator[Problem]:
    assert ruleset.hazards_file is not None
    for name, hazard in ruleset.hazards.items():
        for field, text in _of_hazard(ruleset, hazard):
            yield ruleset.place("hazards", "hazards", name, field), f"{name}: {text}"
        for act in hazard.forbids:
            if act not in ruleset.hazards_file.acts:
                text = f'acts says no words for "{act.value}", so no text is looked at for it.'
                yield ruleset.place("hazards", "hazards", name, "forbids"), f"{name}: {text}"


def _of_hazard(ruleset: Ruleset, hazard: Hazard) -> Iterator[tuple[str, str]]:
    """What is wrong with one hazard: where, and what."""
    forbids = frozenset(hazard.forbids)
    for first, second in _FOLLOWS:
        if first in forbids and second not in forbids:
            yield "forbids", f'it forbids "{first.value}" but not "{second.value}".'
    if hazard.cooled and not set(hazard.cooled.frees) <= forbids:
        yield "cooled", "what it frees after a time is not all forbidden."
    if hazard.nothing_more and hazard.settles:
        yield "settles", "nothing more is asked while it stands, so no check can settle it."
    if not hazard.settles and not hazard.otherwise:
        yield "settles", "no check settles it, so otherwise: has to say who does."
    left_out = [c for c in hazard.settles if _form(ruleset, forbids, c) == _FORMS[2]]
    if left_out and len(left_out) == len(hazard.settles):
        yield "settles", "it forbids every check that could settle it."
        return
    for check in left_out:
        yield (
            "settles",
            f"{check} settles it, but is forbidden by it as usual and in its safe form. Give the "
            "question a safely:, or leave it out and say in otherwise: who settles that.",
        )


def _form(ruleset: Ruleset, forbids: frozenset[Act], check: str) -> str:
    """How a check is made while a hazard stands, at the part where it is hardest to make."""
    question = ruleset.questions[check]
    acts = (ruleset.acts_of(check, at) for at in ruleset.members(question.each))
    return _form_of(question, forbids, frozenset().union(*acts))


def _form_of(question: Question, forbids: frozenset[Act], acts: frozenset[Act]) -> str:
    if forbids.isdisjoint(acts):
        return _FORMS[0]
    return _FORMS[1] if question.safely and forbids.isdisjoint(question.safely.acts) else _FORMS[2]


def _dangers(ruleset: Ruleset) -> Iterator[Problem]:
    """A danger must not be driven with, so what it threatens has to forbid that."""
    for system, file in ruleset.systems.items():
        for index, rule in enumerate(file.rules):
            place = ruleset.place(system, "rules", index, "hazards")
            if rule.unseen and rule.condition:
                text = "that a check was not made is no danger by itself, so it has no condition."
                yield ruleset.place(system, "rules", index, "condition"), f"{rule.rule}: {text}"
            if _is_danger(rule) and not _forbids(ruleset, rule.rule, Act.DRIVEN):
                names = ", ".join(ruleset.hazards_of(rule.rule))
                yield (
                    place,
                    f"{rule.rule} is a danger, but none of its hazards ({names or 'it names none'})"
                    ' forbids "driven at all".',
                )


def _is_danger(rule: Rule) -> bool:
    return rule.urgency is not None and rule.urgency.is_danger


def _forbids(ruleset: Ruleset, rule: str, act: Act) -> bool:
    return any(act in ruleset.hazards[name].forbids for name in ruleset.hazards_of(rule))


# the table --------------------------------------------------------------------------------


def _paragraph(ruleset: Ruleset, name: str, hazard: Hazard) -> Iterator[str]:
    forbids = frozenset(hazard.forbids)
    yield f"{name}: {hazard.say}"
    yield from _row("forbids", (act.value for act in hazard.forbids))
    if hazard.cooled:
        yield from _row("until it has cooled", (act.value for act in hazard.cooled.frees))
    if hazard.nothing_more:
        yield from _row("checks", ["nothing more is asked"])
        return
    for form in _FORMS:
        checks = [c for c in hazard.settles if _form(ruleset, forbids, c) == form]
        yield from _row(f"settled by, {form}", checks)
    for stop in ruleset.about.walk:
        made = _made_at(ruleset, forbids, stop.place)
        usual, safely, gone = (list(dict.fromkeys(made[form])) for form in _FORMS)
        safely = [label for label in safely if label not in gone]
        yield from _row(f"{stop.say}, safely", safely)
        if len(gone) <= len(usual) + len(safely):
            yield from _row(f"{stop.say}, left out", gone)
        else:
            stays = [label for label in [*usual, *safely] if label not in gone]
            rest = f"all but {', '.join(stays)}" if stays else "all"
            yield from _row(f"{stop.say}, left out", [rest])


def _made_at(ruleset: Ruleset, forbids: frozenset[Act], place: str) -> dict[str, list[str]]:
    """The labels of the checks at one place, by the form in which they are still made there."""
    made: dict[str, list[str]] = {form: [] for form in _FORMS}
    for check, at in ruleset.asked_items:
        if ruleset.place_of(check, at) == place:
            question = ruleset.questions[check]
            made[_form_of(question, forbids, ruleset.acts_of(check, at))].append(question.label)
    return made


def _row(what: str, parts: Iterable[str]) -> list[str]:
    """One line of the table, broken at 100 letters; none where there is nothing to say."""
    words = ", ".join(parts)
    if not words:
        return []
    text = f"  {what}: {words}"
    return textwrap.wrap(text, 100, subsequent_indent=" " * 6, break_on_hyphens=False)
