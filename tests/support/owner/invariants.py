"""What must hold after every screen, each a small function that returns what is wrong, or None."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable
from dataclasses import dataclass

from assistant.journal.entries import Answer
from tests.support.owner import product
from tests.support.owner.acts import asked_acts
from tests.support.owner.oracle import Oracle, kinds
from tests.support.owner.owner import Meant
from tests.support.owner.screens import Asked, Screen


@dataclass(frozen=True)
class Fault:
    """Something that must never be. kind: short, the same for the same sort of fault."""

    invariant: str
    kind: str
    detail: str = ""


@dataclass(frozen=True)
class Seen:
    """A screen, the advice that stands behind it, and what was expected.

    done: the walk has come to its end. danger_now: what was typed before this screen was a danger.
    taken: what was taken before this screen; kept, kept_group: how it stands in the record.
    today: the day of the talk, where the owner has come back on a later one.
    """

    screen: Screen
    advice: product.Advice
    oracle: Oracle
    done: bool = False
    danger_now: str = ""
    asked: Asked | None = None
    taken: Meant | None = None
    kept: Answer | None = None
    reasons: str = ""
    kept_group: tuple[Answer | None, ...] = ()
    today: dt.date | None = None


def danger_stands(seen: Seen) -> Fault | None:
    """A danger that was told or picked stands in the advice until it may be gone."""
    standing = seen.oracle.standing()
    if standing and seen.advice.kind != "danger":
        first = standing[-1]
        how = f"picked at {first.item[0]}" if first.item else "told"
        kind = f"a danger that was {how} is not in the advice: {first.kind}"
        return Fault("danger_stands", kind, f"{first.words!r}; the advice is {seen.advice}")
    return None


def danger_acts(seen: Seen) -> Fault | None:
    """A danger in own words is answered at once by what to do, before anything else is asked."""
    if seen.danger_now and not product.acts_at_once(seen.screen.lines):
        kind = f"a danger told is not answered at once: {seen.danger_now}"
        return Fault("danger_acts", kind, seen.oracle.dangers[-1].words)
    return None


def only_go_on(seen: Seen) -> Fault | None:
    """With flames, dripping fuel or a person in danger nothing is asked but to type "go on"."""
    for danger in seen.oracle.standing():
        if danger.ends_the_walk and seen.asked is not None and seen.asked.main:
            if seen.asked.kind != "go on":
                kind = f"something is asked while nobody has dealt with it: {danger.kind}"
                return Fault("only_go_on", kind, danger.words)
            if kinds()[danger.kind]["calls"] not in seen.screen.text:
                return Fault("only_go_on", f"it does not say whom to call: {danger.kind}")
    return None


def kept_as_meant(seen: Seen) -> Fault | None:
    """An answer that was taken stands in the record as it was meant, and is not asked again."""
    taken = seen.taken
    if taken is None or taken.what != "answer":
        return None
    (item,), (truth,) = taken.items, taken.truths
    if seen.kept is None:
        return Fault("kept_as_meant", "an answer was taken and is not kept", f"{item}")
    if seen.asked is not None and seen.asked.main and seen.asked.item == item:
        return Fault("kept_as_meant", "an answer was taken and the same is asked again", f"{item}")
    if taken.typed.plain and not product.says(seen.kept, truth.state, truth.value):
        kind = "a plain answer is kept as another one"
        return Fault("kept_as_meant", kind, f"{item}: {taken.typed.words!r} became {seen.kept}")
    return None


def group_kept_as_meant(seen: Seen) -> Fault | None:
    """Of each part of a group that stands in the record which was meant, or nothing.

    A part that is bad may be left open; it is asked on its own.
    """
    taken = seen.taken
    if taken is None or not seen.kept_group or not taken.typed.plain:
        return None
    for item, truth, kept in zip(taken.items, taken.truths, seen.kept_group, strict=True):
        if kept is None or truth.state == "not fitted":
            continue
        question = seen.oracle.car.ruleset.questions[item[0]]
        fine = kept.words == () or (kept.word is not None and kept.word == question.fine)
        measured = question.kind in ("quantity", "count")
        right = {
            "hidden": kept.state != "value",
            "fine": product.says(kept, "fine", truth.value) if measured else fine,
            "bad": measured or not fine,
        }
        if not right[truth.state]:
            kind = f"a part of a group that was {truth.state} is kept as another"
            return Fault("kept_as_meant", kind, f"{item}: {taken.typed.words!r} became {kept}")
    return None


def echo_of_what_is_kept(seen: Seen) -> Fault | None:
    """What is said to be understood means what stands in the record, read anew."""
    taken = seen.taken
    heard = [line.text for line in seen.screen.lines if line.kind == "heard"]
    if taken is None or taken.what != "answer" or seen.kept is None or len(heard) != 1:
        return None
    question = seen.oracle.car.ruleset.questions[taken.items[0][0]]
    if question.kind == "note":
        return None
    today = seen.today or seen.oracle.car.today
    again = product.read_again(heard[0].removeprefix("still "), question, today)
    if again is not None and again != seen.kept:
        kind = "an echo says something else than what is kept"
        return Fault("echo_of_what_is_kept", kind, f"{taken.items[0]}: {heard[0]!r}, {seen.kept}")
    return None


def one_box(seen: Seen) -> Fault | None:
    """One danger has one box: what was just told or seen is said once, and not twice in a row."""
    boxes = product.boxes(seen.screen.lines)
    if len(boxes) != len(set(boxes)):
        return Fault("one_box", "the same box stands twice on a screen", boxes[0])
    return None


_ONE_CHOICE = re.compile(r"'(\w+)' in (\w+)|(\w+) == '(\w+)'")


def cleared_by_what_was_seen(item: str, oracle: Oracle) -> Fault | None:
    """An item is cleared only where the choice that shows it was seen not to be so, at every part.

    Only rules are gone through that ask for one choice of one question, as they are written.
    """
    ruleset = oracle.car.ruleset
    for inference in ruleset.rules:
        rule = inference.rule
        if rule is None or rule.finds is None or rule.finds.item != item or rule.applies:
            continue
        found = _ONE_CHOICE.fullmatch(rule.when.strip())
        if not found:
            continue
        choice, name = (found[1], found[2]) if found[1] else (found[4], found[3])
        question = ruleset.questions.get(name)
        if question is None or question.asked != "walk" or question.applies:
            continue
        for at in ruleset.members(question.each):
            state = oracle.answered.get((name, at))
            shows = choice in (oracle.car.truth(name, at).value or ())  # type: ignore[operator]
            if state == "hidden" or (state == "bad" and shows):
                kind = "an item is cleared though the part that shows it was " + state
                return Fault("cleared", kind, f"{item}: {name}@{at}")
    return None


def no_forbidden_act(seen: Seen) -> Fault | None:
    """No line asks for an act that a standing danger forbids."""
    forbidden = seen.oracle.forbidden()
    for act, sentence in asked_acts(seen.screen.lines) if forbidden else ():
        if act in forbidden:
            kind = f"{act} asked for while a danger stands: {forbidden[act]}"
            return Fault("no_forbidden_act", kind, sentence)
    return None


def right_headline(seen: Seen) -> Fault | None:
    """The headline is one of the three, and the right one for the hidden car."""
    if seen.advice.kind not in product.KINDS:
        return Fault("right_headline", f"a fourth headline: {seen.advice.kind}")
    right = seen.oracle.right(seen.done)
    if seen.advice.kind in right or seen.oracle.standing():
        return None
    when = "at the end" if seen.done else "on the way"
    sort = seen.oracle.car.sort if not seen.oracle.clouded else "other"
    kind = f"{seen.advice.kind} {when}, right is {' or '.join(sorted(right))} ({sort})"
    why = f"because of {seen.reasons}; " if seen.reasons else ""
    return Fault("right_headline", kind, f"{why}not made: {seen.oracle.open_core(seen.done)}")


def printed_headline(seen: Seen) -> Fault | None:
    """Each summary begins with a headline, and it is the advice that stands."""
    printed = product.of_screen(seen.screen.lines)
    if len(printed) < product.summaries(seen.screen.lines):
        return Fault("printed_headline", "a summary without one of the three headlines")
    for advice in printed[-1:]:
        if advice.kind != seen.advice.kind:
            kind = f"{advice.kind} is printed, {seen.advice.kind} stands"
            return Fault("printed_headline", kind)
    return None


AFTER_EVERY_SCREEN: tuple[Callable[[Seen], Fault | None], ...] = (
    danger_stands,
    danger_acts,
    only_go_on,
    kept_as_meant,
    group_kept_as_meant,
    echo_of_what_is_kept,
    one_box,
    no_forbidden_act,
    right_headline,
    printed_headline,
)
