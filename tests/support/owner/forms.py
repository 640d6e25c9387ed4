"""The many forms in which an owner types one answer."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from random import Random
from typing import Any

import yaml

from assistant.ruleset.models import Question
from tests.support.owner.car import Truth

HERE = Path(__file__).resolve().parent


@cache
def bank() -> dict[str, Any]:
    """What people type, written by somebody who knew neither the code nor the questions."""
    read: dict[str, Any] = yaml.safe_load((HERE / "bank.yaml").read_text("utf-8"))
    return read


@dataclass(frozen=True)
class Typed:
    """Words, and whether they are so plain that they can only mean what was meant."""

    words: str
    plain: bool = False


def typed_truth(
    truth: Truth, question: Question, choices: tuple[str, ...], random: Random, plain: bool
) -> Typed:
    """One form of an answer. plain: the plainest there is, as when the first was not understood."""
    if truth.state == "hidden":
        forms = bank()[random.choice(["dont_know", "cant_look"])]
        return Typed("don't know" if plain else random.choice(forms))
    if truth.state == "not fitted":
        return Typed("not fitted" if plain else random.choice(bank()["not_fitted"]))
    value = truth.value
    if isinstance(value, str):
        return Typed(value)
    if isinstance(value, dt.date):
        return Typed(_date(value, random, plain))
    if question.kind in ("quantity", "count"):
        return _number(float(value[0]), question, random, plain)
    words = [str(word) for word in value]
    if question.kind == "yes_no":
        forms = bank()["yes_words" if words == ["yes"] else "no_words"]
        form = words[0] if plain else random.choice(forms)
        return Typed(form, form == words[0])
    numbers = [question.words().index(word) + 1 for word in words]
    if question.kind == "some_of":
        return _some(numbers, choices, random, plain)
    return _one(numbers[0], choices, random, plain)


def _one(number: int, choices: tuple[str, ...], random: Random, plain: bool) -> Typed:
    says = choices[number - 1] if number <= len(choices) else str(number)
    form = "number" if plain else random.choice(["number", "number", "says", "upper", "hedged"])
    if form == "number":
        return Typed(str(number), True)
    if form == "says":
        return Typed(says, True)
    if form == "upper":
        return Typed(f" {says.upper()}. ")
    return Typed(random.choice(["I think ", "probably ", "it's ", "maybe ", "number "]) + says)


def _some(numbers: list[int], choices: tuple[str, ...], random: Random, plain: bool) -> Typed:
    if not numbers:
        forms = ["none", "none", "no", "none of these", "nothing", *bank()["fine_words"]]
        words = "none" if plain else random.choice(forms)
        return Typed(words, words == "none")
    form = "numbers" if plain else random.choice(["numbers", "numbers", "and", "says"])
    if form == "says" and max(numbers) <= len(choices):
        return Typed("; ".join(choices[n - 1] for n in numbers))
    link = " and " if form == "and" else ", "
    return Typed(link.join(map(str, numbers)), True)


def _number(value: float, question: Question, random: Random, plain: bool) -> Typed:
    words = f"{value:g}" if abs(value) < 100000 else f"{value:.0f}"
    unit = question.unit or ""
    if plain:
        return Typed(words, True)
    form = random.choice(["bare", "bare", "unit", "about", "range", "comma"])
    if form == "unit" and unit:
        return Typed(f"{words} {unit}", True)
    if form == "about" and question.kind == "quantity":
        return Typed(f"about {words}")
    if form == "range" and question.range and value + question.step <= question.range[1]:
        top = f"{value + question.step:g}"
        return Typed(random.choice([f"between {words} and {top}", f"{words} to {top}"]))
    if form == "comma" and question.kind == "quantity" and value < 100:
        return Typed(words.replace(".", ","))
    return Typed(words, True)


def _date(day: dt.date, random: Random, plain: bool) -> str:
    forms = [f"{day.day} {day:%B} {day.year}", f"{day:%d/%m/%Y}", f"{day:%B} {day.year}"]
    return forms[0] if plain else random.choice([*forms, str(day.year)])


def _in_parts(bad: list[int], hidden: list[int], random: Random) -> str:
    """ "1 and 4, can't see 2 and 3, rest fine": which are bad, which hidden, and that is all."""
    unseen = f"{random.choice(['can not see', 'could not see', 'no idea about'])} {_and(hidden)}"
    rest = random.choice(["the rest are fine", "rest fine", "others ok", "everything else is fine"])
    return ", ".join([*([_and(bad)] if bad else []), unseen, rest])


def _and(numbers: list[int]) -> str:
    return " and ".join(map(str, numbers))


def typed_group(
    truths: list[Truth], first: Question, random: Random, plain: bool
) -> tuple[Typed, bool]:
    """What is typed at a group, and whether it stands for "don't know" of all of it."""
    hidden = [n for n, truth in enumerate(truths, start=1) if truth.state == "hidden"]
    parts = first.kind not in ("quantity", "count")
    if parts and hidden and len(hidden) < len(truths) and not plain and random.random() < 0.6:
        bad = [n for n, truth in enumerate(truths, start=1) if truth.state == "bad"]
        return Typed(_in_parts(bad, hidden, random), True), False
    if hidden:
        forms = bank()["cant_look"]
        return Typed("can't look" if plain else random.choice(forms)), True
    if first.kind in ("quantity", "count"):
        numbers = [f"{truth.value[0]:g}" for truth in truths if truth.value]  # type: ignore[index]
        return Typed(", ".join(numbers), True), False
    named = [n for n, truth in enumerate(truths, start=1) if truth.state == "bad"]
    if not named:
        words = "all fine" if plain else random.choice(["all fine", *bank()["fine_words"]])
        return Typed(words, words == "all fine"), False
    return Typed(", ".join(map(str, named)), True), False
