"""What must hold after every screen, each a small function that returns what is wrong, or None."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from assistant.knowledge.journal import Answer
from tests.support.owner import product
from tests.support.owner.acts import asked_acts
from tests.support.owner.oracle import Oracle, kinds
from tests.support.owner.owner import Meant
from tests.support.owner.screens import Asked, Screen

__all__ = ["AFTER_EVERY_SCREEN", "Fault", "Seen"]


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
    taken: the answer that was taken before this screen; kept: how it stands in the record.
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
    no_forbidden_act,
    right_headline,
    printed_headline,
)
