"""Checks of a ruleset that run nothing: what a careful colleague would notice, and what is too
big for the engine."""

from __future__ import annotations

import datetime as dt
import re
from collections import Counter
from collections.abc import Callable, Iterator

from assistant.calculations.dates import working_day_after
from assistant.calculations.named import CALCULATIONS
from assistant.errors import EngineFault, Place, Problem
from assistant.reasoning.compiler import BLOCK_TESTS_ON_ONE_FACT, Alternative, alternatives
from assistant.report.found import reading_most, seen_line
from assistant.ruleset.condition import day_number, leaves
from assistant.ruleset.models import SHORT_MOST
from assistant.ruleset.ruleset import Ruleset, mark_of, pick_field

JUDGEMENT = re.compile(
    r"\b(insecure|secure|securely|excessive|excessively|legal|illegal|defect|defective|"
    r"roadworthy|unroadworthy|acceptable|unacceptable|adequate|inadequate|safe|unsafe|"
    r"dangerous|serious|seriously|significant|significantly|properly|correctly|faulty|"
    r"good condition|bad condition|fail|fails|pass|passes)\b",
    re.IGNORECASE,
)
SUFFIX = re.compile(r"-[A-Za-z0-9-]+$")


def check_statics(ruleset: Ruleset) -> list[Problem]:
    """All static checks; an empty list means nothing was found."""
    checks: list[Callable[[Ruleset], Iterator[Problem]]] = [
        _judgement_words,
        _unused_questions,
        _unused_limits,
        _notes,
        _car_conditions,
        _item_suffixes,
        _long_lines,
        _duplicate_conditions,
        _hash_collisions,
        _exclamations,
        _groups,
        _holidays,
        _unused_pictures,
        _all_hide,
    ]
    problems = [problem for check in checks for problem in check(ruleset)]
    return sorted(problems, key=lambda p: p[0])


def _judgement_words(ruleset: Ruleset) -> Iterator[Problem]:
    """A question asks what is seen, heard or measured; the rule judges."""
    for system, file in ruleset.systems.items():
        for name, question in file.questions.items():
            texts = [("ask", question.ask), *((c, k.say) for c, k in question.choices.items())]
            for field, text in texts:
                found = JUDGEMENT.search(text)
                if found:
                    place = ruleset.place(system, "questions", name, field)
                    yield (
                        place,
                        (
                            f"{name}: {found.group()!r} asks the person to judge; ask what is "
                            "seen, heard or measured, and let the rule judge."
                        ),
                    )
        for name, group in file.groups.items():
            found = JUDGEMENT.search(group.ask)
            if found:
                place = ruleset.place(system, "groups", name, "ask")
                yield place, f"{name}: {found.group()!r} asks the person to judge."


def _unused_questions(ruleset: Ruleset) -> Iterator[Problem]:
    asked = {
        name
        for inference in ruleset.rules
        if inference.rule and inference.rule.asks
        for name in inference.rule.asks.questions
    }
    weighed = [i for i in ruleset.inferences.values() if i.role == "evidence"]
    asked |= {n for i in weighed for n in ruleset.graph.questions_behind(i.condition)}
    if ruleset.words is not None:
        asked |= ruleset.words.asked_first
    needed = {ruleset.about.kit}
    needed |= {name for _, name in ruleset.calendar.answers} if ruleset.calendar else set()
    read_by = ruleset.graph.read_by
    for name, question in ruleset.questions.items():
        system = ruleset.system_of[name]
        if question.asked == "told" and name not in read_by:
            yield ruleset.place(system), f"{name}: the symptom does not read that it was told."
            continue
        if name not in read_by and name not in needed and question.kind != "note":
            place = ruleset.place(system, "questions", name)
            yield place, f"{name}: no rule uses the answer to this question."
        if question.asked == "follow_up" and name not in asked:
            place = ruleset.place(system, "questions", name)
            yield place, f"{name}: no rule ever opens this follow-up question."
    for name in ruleset.derived:
        if name not in read_by:
            yield derived_place(ruleset, name), f"{name}: no rule uses this worked-out fact."


def derived_place(ruleset: Ruleset, name: str) -> Place:
    """Where a worked-out fact stands."""
    for system, file in ruleset.systems.items():
        if name in file.derived:
            return ruleset.place(system, "derived", name)
    return Place("ruleset.yaml")


def _notes(ruleset: Ruleset) -> Iterator[Problem]:
    """What is typed to a note is for the calculations that can read a text, and no other."""
    for name, derived in ruleset.derived.items():
        takes = CALCULATIONS[derived.compute].parameters
        for parameter, origin in derived.origins.items():
            if isinstance(origin, float) or origin.when not in ("now", "earlier"):
                continue
            reads = takes[parameter].startswith("text")
            if (ruleset.names[origin.name].kind == "text") != reads:
                what = "what is typed to a note" if reads else "no note"
                text = f"{name}: {derived.compute} takes {what} as {parameter}."
                yield derived_place(ruleset, name), text


def _unused_limits(ruleset: Ruleset) -> Iterator[Problem]:
    used = {
        leaf.limit
        for i in ruleset.inferences.values()
        for leaf in leaves(i.condition)
        if hasattr(leaf, "limit")
    }
    used |= ruleset.graph.read_by.keys()
    for system, file in ruleset.systems.items():
        for name in file.limits:
            if name not in used:
                yield (
                    ruleset.place(system, "limits", name),
                    f"{name}: no condition uses this figure.",
                )


def _car_conditions(ruleset: Ruleset) -> Iterator[Problem]:
    """Whether a question concerns a car must follow from what is asked about the car."""
    for inference in ruleset.inferences.values():
        if not inference.says_whom:
            continue
        for leaf in leaves(inference.condition):
            question = ruleset.questions.get(leaf.name)
            stage = ruleset.places[question.place].stage if question else ""
            if stage != "start":
                what = inference.name if inference.role == "tester" else inference.key.of
                text = f"applies may only read questions about the car, not {leaf.name!r}."
                yield ruleset.where(inference), f"{what}: {text}"


def _long_lines(ruleset: Ruleset) -> Iterator[Problem]:
    """What was found is one line of the sheet, whole, with room for its reading."""
    for system, file in ruleset.systems.items():
        for index, rule in enumerate(file.rules):
            reading = reading_most(ruleset, rule)
            letters = len(seen_line(rule, reading))
            if (rule.finds or rule.urgency) and letters > SHORT_MOST - reading:
                place = ruleset.place(system, "rules", index, "short" if rule.short else "say")
                yield (
                    place,
                    f"{rule.rule}: a line of the sheet has room for {SHORT_MOST - reading} letters "
                    f"beside its reading, and this has {letters}; write a short: for it.",
                )


def _item_suffixes(ruleset: Ruleset) -> Iterator[Problem]:
    """A reference shown to a person is the standard's own, with nothing added."""
    for system, file in ruleset.systems.items():
        for index, rule in enumerate(file.rules):
            if rule.finds and SUFFIX.search(rule.finds.item):
                place = ruleset.place(system, "rules", index, "finds", "item")
                yield (
                    place,
                    f"{rule.rule}: {rule.finds.item!r} is not the standard's own reference.",
                )


def _duplicate_conditions(ruleset: Ruleset) -> Iterator[Problem]:
    seen: dict[object, str] = {}
    for inference in ruleset.rules:
        rule = inference.rule
        assert rule is not None
        key = (inference.condition, rule.finds.item if rule.finds else None, rule.asks is None)
        if key in seen:
            index = ruleset.systems[inference.system].rules.index(rule)
            place = ruleset.place(inference.system, "rules", index)
            yield place, f"{rule.rule} has the same condition and item as {seen[key]}."
        seen[key] = rule.rule


def _hash_collisions(ruleset: Ruleset) -> Iterator[Problem]:
    """The engine compares words by a 32-bit FNV hash, and field names too, so two words must never
    share one, nor two fields."""
    fields = {"sid", "id", "kind", "at", "is", "lo", "hi", "known", "fitted"}
    words: set[str] = {"", "yes", "no", "boot"}
    for name, kind in ruleset.names.items():
        fields.add(mark_of("answer" if name in ruleset.questions else "worked", name))
        fields |= {pick_field(pick) for pick in ruleset.picks.get(name, ())}
        words |= set(kind.words)
    fields |= {mark_of(*inference.concludes) for inference in ruleset.inferences.values()}
    for name, axis in ruleset.axes.items():
        fields.add(mark_of("part", name))
        words |= {member.at for member in axis.members}
    for hash_of in (fnv1, fnv1a):
        for some in (words, fields):
            seen: dict[int, str] = {}
            for word in sorted(some):
                other = seen.setdefault(hash_of(word), word)
                if other != word:
                    yield (
                        Place("ruleset.yaml"),
                        f"{word!r} and {other!r} look the same to the rule engine; rename one.",
                    )


def fnv1(text: str) -> int:
    """The 32-bit FNV-1 hash (public domain; Fowler, Noll, Vo)."""
    value = 2166136261
    for byte in text.encode():
        value = ((value * 16777619) & 0xFFFFFFFF) ^ byte
    return value


def fnv1a(text: str) -> int:
    """The 32-bit FNV-1a hash."""
    value = 2166136261
    for byte in text.encode():
        value = ((value ^ byte) * 16777619) & 0xFFFFFFFF
    return value


def _exclamations(ruleset: Ruleset) -> Iterator[Problem]:
    for system, file in ruleset.systems.items():
        for name, question in file.questions.items():
            if "!" in question.ask + question.how + (question.means or ""):
                yield ruleset.place(system, "questions", name), f"{name}: no exclamation marks."
        for index, rule in enumerate(file.rules):
            if "!" in rule.say + rule.why + (rule.do or ""):
                yield ruleset.place(system, "rules", index), f"{rule.rule}: no exclamation marks."


def _unused_pictures(ruleset: Ruleset) -> Iterator[Problem]:
    shown = {question.picture for question in ruleset.questions.values()}
    shown |= {group.picture for group in ruleset.groups.values()}
    for name in ruleset.pictures:
        if name not in shown:
            place = ruleset.place("pictures", "pictures", name)
            yield place, f"{name}: no question or group shows this picture."


def _all_hide(ruleset: Ruleset) -> Iterator[Problem]:
    """A question of which every choice says that nothing was seen could clear nothing."""
    for name, question in ruleset.questions.items():
        if question.choices and all(choice.hides for choice in question.choices.values()):
            place = ruleset.place(ruleset.system_of[name], "questions", name, "choices")
            yield place, f"{name}: every choice hides; one must say what is seen."


def _groups(ruleset: Ruleset) -> Iterator[Problem]:
    members: dict[str, int] = {}
    numbers: dict[str, set[str]] = {}
    for name, question in ruleset.questions.items():
        if question.group:
            counted = question.kind in ("quantity", "count")
            numbers.setdefault(question.group, set()).add(name if counted else "")
            members[question.group] = members.get(question.group, 0) + len(
                ruleset.members(question.each)
            )
            if question.asked == "follow_up":
                place = ruleset.place(ruleset.system_of[name], "questions", name)
                yield place, f"{name}: a question in a group is not a follow-up."
    for system, file in ruleset.systems.items():
        for name in file.groups:
            if len(numbers.get(name, set())) > 1:
                place = ruleset.place(system, "groups", name)
                yield place, f"{name}: a group of numbers repeats one question and no other."
            if members.get(name, 0) < 2:
                yield ruleset.place(system, "groups", name), f"{name}: a group needs two items."


def _holidays(ruleset: Ruleset) -> Iterator[Problem]:
    """Each nation of the calendar must have public holidays that are known."""
    for name, nation in ruleset.calendar.nations.items() if ruleset.calendar else ():
        if nation.country is None:
            continue
        try:
            day = dt.date(2026, 1, 1)
            working_day_after(day, 1, country=nation.country, subdivision=nation.subdivision)
        except ValueError as error:
            yield ruleset.place("calendar", "nations", name), f"{name}: {error}."


_PLACES = 4


def engine_limits(ruleset: Ruleset) -> Iterator[Problem]:
    """Conditions that are too big for the engine, and figures finer than it is told."""
    compiled: dict[str, list[Alternative]] = {}
    for block in ruleset.compiled or ():
        for way in block.alternatives:
            compiled.setdefault(way.inference, []).append(way)
    for inference in ruleset.inferences.values():
        try:
            ways = compiled.get(inference.name) or [
                *alternatives(ruleset, inference, True), *alternatives(ruleset, inference, False)
            ]  # fmt: skip
        except EngineFault as error:
            text = str(error).removeprefix(f"{inference.name}: ")
            place = ruleset.where(inference)
            yield place, f"{inference.name}: {text}. Split it into several rules."
            continue
        tests = Counter(p.name for way in ways for p in way.patterns)
        name, most = max(tests.items(), key=lambda pair: pair[1], default=("", 0))
        if most > BLOCK_TESTS_ON_ONE_FACT:
            text = f"it looks at {name} {most} times, and the engine takes"
            text += f" {BLOCK_TESTS_ON_ONE_FACT}. Split it into several rules."
            yield ruleset.where(inference), f"{inference.name}: {text}"
    for system, file in ruleset.systems.items():
        for name, limit in file.limits.items():
            value = day_number(limit.value)
            if round(value, _PLACES) != value:
                place = ruleset.place(system, "limits", name, "value")
                text = f"{value:g} has more than {_PLACES} places after the point, and answers"
                yield place, f"{name}: {text} are rounded to {_PLACES}."
