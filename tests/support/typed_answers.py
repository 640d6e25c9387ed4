"""What is kept of words typed at one prompt of a walk, beside what their writer meant by them.

Meanings are written as in tests/outside_checks/owner_answers.tsv: the numbers of choices, "none",
"bad: 1,3; unseen: 2", "front=3; rear=open", a number, a range, a date, "yes", "not known",
"absent", "ask again". Everything before the prompt is answered as fine.
"""

from __future__ import annotations

import datetime as dt
import re
import tempfile
from contextlib import suppress
from functools import cache
from pathlib import Path
from typing import Literal

from assistant.choosing.agenda import Prompt, agenda
from assistant.journal.entries import Answer, Context, Entry, Opened, Said
from assistant.journal.file import JournalFile
from assistant.reading.commands import command_of
from assistant.reasoning.consultation import consult
from assistant.ruleset.load import load_ruleset
from assistant.ruleset.ruleset import Ruleset
from assistant.talk.asking import Left
from assistant.talk.hearing import steered
from assistant.talk.talk import Talk
from tests.benchmarks.walks import fine_answer
from tests.support.talking import Moment, Walk, WatchedAsker

ROOT = Path(__file__).resolve().parent.parent.parent
TODAY = dt.date(2026, 11, 30)
STEERED_AT = ("pedal_hold", "tread_side@nearside", "lamps_missing", "tyre_harm@nearside",
              "failed_lately", "first_used")  # fmt: skip
DOES = {
    "back": {"back", "wrong"}, "stop": {"stop"}, "help": {"help"}, "why": {"why"}, "how": {"how"},
    "again": {"again"}, "left": {"what is left", "again"}, "found": {"found"},
}  # fmt: skip
"""The commands that do what was wanted; how much is left is said with the question again."""
AS_WRITTEN: dict[str, tuple[str, str]] = {
    "seat_controls@driver_seat": ("switches",
        "light_switches indicator_stalk hazard_button flash_speed fog_switch "
        "telltales headlamp_levelling headlamp_washers horn_sound horn_button"),
    "belts@cabin": ("belts_front",
        "driver_belt front_passenger_belt back_belts restraint_signs"),
    "tyre_side@nearside": ("tyre_harm",
        "tyre_damage@front_nearside tyre_damage@rear_nearside "
        "tyre_fit@front_nearside tyre_fit@rear_nearside "
        "rim_looks@front_nearside rim_looks@rear_nearside "
        "wheel_nuts@front_nearside wheel_nuts@rear_nearside"),
    "through_wheels@nearside": ("through_wheels",
        "disc_looks@front_nearside disc_looks@rear_nearside "
        "pad_look@front_nearside pad_look@rear_nearside "
        "brake_hose_looks@front_nearside brake_hose_looks@rear_nearside"),
    "corner_check@front": ("corner_push",
        "corner_stand@front_nearside corner_stand@front_offside "
        "behind_wheel@front_nearside behind_wheel@front_offside"),
    "under_bonnet_look@bonnet": ("levels",
        "brake_reservoir_looks oil_level coolant_level fuel_hoses"),
    "start_and_turn@driver_seat": ("extras",
        "servo_dip steering_turns speedometer stability_switch steering_lock"),
    "view@driver_seat": ("view",
        "in_view screen_looks mirrors"),
    "outside_body@offside": ("outside_body",
        "boot_opens bumper_signs panel_signs rust_seen fuel_cap_signs"),
    "front_low@front": ("boots",
        "steering_boots bonnet_catch drive_signs ground_patch"),
}  # fmt: skip
"""Groups that the owners wrote their answers to, and that are shorter now: one of today's groups
there, and the items in the order that was numbered."""
ONE_LIST = {
    "recent_signs": (1, 2, 4, 7, 8, 9, 11, 12, 16, 10, 13, 15),
    "recent_events": (3, 5, 6, 17, 18, 14),
}
"""Where each sign of recent drives stands now that the one list of eighteen is two, in the order
of each; the numbers are those of the list that the owners saw."""
ABOUT = 0.4
"""How much of a rough figure may be left open: "half an inch or so" is 5 mm either way."""

Outcome = Literal["right", "asked", "confirmed wrong", "silently wrong"]
Meaning = tuple[object, ...] | None


@cache
def _ruleset() -> Ruleset:
    return load_ruleset(ROOT / "rulesets" / "gb-cars")


@cache
def _prompts() -> dict[str, tuple[list[Entry], Prompt]]:
    """Every prompt of a walk on which all is fine, with the journal before it."""
    ruleset = _ruleset()
    journal: list[Entry] = [Context(today=TODAY, ruleset=ruleset.about.name, car="Clean")]
    found = {}
    while (prompt := agenda(consult(ruleset, journal)).next) is not None:
        found[prompt.key] = (list(journal), prompt)
        turn = journal[-1].turn + 1
        journal += [fine_answer(ruleset, prompt, name, at, turn) for name, at in prompt.items]
    before = found["worry"][0]
    for key, (group, names) in AS_WRITTEN.items():
        items = tuple((name, at) for name, _, at in (n.partition("@") for n in names.split()))
        place = ruleset.place_of(*items[0])
        found[key] = before, Prompt(None, "", group, items, place, "walk", 1.0, 0.0)
    single = (("wipers_washers", ""),)
    found["wipers_washers"] = (
        before, Prompt("wipers_washers", "", None, single, "driver_seat", "walk", 1.0, 0.0)
    )  # fmt: skip
    return found


def ruleset_of_answers() -> Ruleset:
    """The ruleset at whose prompts the words are typed."""
    return _ruleset()


def prompt_of(key: str) -> Prompt:
    """A prompt of a walk on which all before it is fine."""
    return _prompts()[key][1]


class _Owner(WatchedAsker):
    """Types one thing, says yes to "Is that right?", and leaves."""

    def __init__(self, typed: str) -> None:
        super().__init__([typed, "yes"])

    def ask(self, prompt: str) -> str:
        if self.moments and "Is that right" not in prompt:
            self.moments.append(Moment("", prompt, "", None, (), 0))
            raise Left
        return super().ask(prompt)


def _typed(key: str, words: str) -> tuple[Prompt, list[Entry], str]:
    """The entries that came of some words at a prompt, and what was asked back, if anything."""
    before, prompt = _prompts()[key]
    with tempfile.TemporaryDirectory() as folder:
        walk = Walk(_ruleset(), Path(folder), before)
        count = len(walk.journal)
        asker = _Owner(words)
        with JournalFile.open(walk.path) as journal:
            asker.talk = talk = Talk(_ruleset(), journal, asker, lambda: "10:00")
            with suppress(Left):
                talk.turn(prompt)
        asked = asker.moments[1].prompt if len(asker.moments) > 1 else ""
        return prompt, walk.journal[count:], asked


def outcome(key: str, words: str, meant: str) -> Outcome:
    """What came of words at a prompt, compared with what their writer meant."""
    key, meant = _as_parted(key, meant)
    prompt, entries, asked = _typed(key, words)
    want, got = _meaning(prompt, meant), _kept(prompt, entries)
    if got is None:
        return "right" if want is None or want == ("either",) else "asked"
    if want == ("either",) or (want is not None and _same(want, got)):
        return "right"
    return "confirmed wrong" if "Is that right" in asked else "silently wrong"


def _as_parted(key: str, meant: str) -> tuple[str, str]:
    """Signs meant by their numbers in the one list, as numbers in the first of the two that has
    any of them; the other list is asked next, so nothing of it is lost."""
    numbers = [int(n) for n in re.findall(r"[0-9]+", meant)] if key == "recent_signs" else []
    for name, old in ONE_LIST.items():
        if here := [str(old.index(n) + 1) for n in numbers if n in old]:
            return name, ",".join(here)
    return key, meant


def kept_as_value(key: str, words: str) -> bool:
    """Whether words were kept as a value without being asked about."""
    _, entries, asked = _typed(key, words)
    said = [e for e in entries if isinstance(e, Said) and e.answer.state == "value"]
    return bool(said) and "Is that right" not in asked


def steers(words: str, want: str) -> bool:
    """Whether words do what was wanted at every one of some prompts."""
    ruleset = _ruleset()
    for key in STEERED_AT:
        prompt, entries, _ = _typed(key, words)
        question = ruleset.questions.get(prompt.question or "")
        command = command_of(words, question)
        done = command.command.value if command else _steered(key, words) or ""
        if want == "unsure":
            states = {e.answer.state for e in entries if isinstance(e, Said)}
            if not states or states & {"value"}:
                return False
        elif done not in DOES[want]:
            return False
    return True


def _steered(key: str, words: str) -> str | None:
    """What the talk takes words of one's own for, at a prompt."""
    before, prompt = _prompts()[key]
    with tempfile.TemporaryDirectory() as folder:
        walk = Walk(_ruleset(), Path(folder), before)
        with JournalFile.open(walk.path) as journal:
            talk = Talk(_ruleset(), journal, _Owner(words), lambda: "10:00")
            return steered(talk, prompt, words)


def _kept(prompt: Prompt, entries: list[Entry]) -> Meaning:
    said = {(e.question, e.at): e.answer for e in entries if isinstance(e, Said)}
    if _parts(prompt):
        if not said and not any(isinstance(e, Opened) for e in entries):
            return None
        bad, unseen = set(), set()
        for number, (name, at) in enumerate(prompt.items, start=1):
            answer = said.get((name, at))
            fine = _ruleset().questions[name].fine
            if answer is not None and answer.state in ("cant_look", "dont_know"):
                unseen.add(number)
            elif answer is None or not (answer.words == () or (answer.word or "") == fine):
                bad.add(number)
        return ("parts", frozenset(bad), frozenset(unseen))
    if not said:
        return None
    shown = [_shown(name, said.get((name, at))) for name, at in prompt.items]
    if set(shown) <= {"not known"}:
        return ("not known",)
    return ("values", *shown)


def _parts(prompt: Prompt) -> bool:
    return bool(prompt.group) and _ruleset().questions[prompt.items[0][0]].kind != "quantity"


def _shown(name: str, answer: Answer | None) -> str:
    question = _ruleset().questions[name]
    if answer is None:
        return "open"
    if answer.state != "value":
        return "absent" if answer.state == "not_fitted" else "not known"
    numbers = {word: str(index) for index, word in enumerate(question.choices, start=1)}
    if answer.words is not None:
        return ",".join(numbers[w] for w in question.choices if w in answer.words) or "none"
    if answer.word is not None:
        return numbers.get(answer.word, answer.word)
    assert answer.lo is not None and answer.hi is not None
    if question.kind != "date":
        return f"{answer.lo:g}-{answer.hi:g}"
    first, last = (dt.date.fromordinal(int(day)) for day in (answer.lo, answer.hi))
    year = (first.month, first.day, last.month, last.day) == (1, 1, 12, 31)
    if first == last:
        return first.isoformat()
    if (first.year, first.month) == (last.year, last.month):
        return f"{first:%Y-%m}"
    return f"{first:%Y}" if year else f"{first}/{last}"


def _meaning(prompt: Prompt, meant: str) -> Meaning:
    if meant == "ask again":
        return None
    every = frozenset(range(1, len(prompt.items) + 1))
    if _parts(prompt):
        if meant == "not known":
            return ("parts", frozenset(), every)
        said: dict[str, set[int]] = {"bad": set(), "unseen": set(), "absent": set()}
        for clause in meant.split(";"):
            kind, _, numbers = clause.strip().partition(":")
            if kind == "rest":
                return ("either",)
            if kind in said:
                said[kind] |= {int(number) for number in re.findall(r"[0-9]+", numbers)}
        return ("parts", frozenset(said["bad"] | said["absent"]), frozenset(said["unseen"]))
    if meant == "not known" or all(p.strip().endswith("=not known") for p in meant.split(";")):
        return ("not known",)
    return (
        "values",
        *(part.partition("=")[2].strip() or part.strip() for part in meant.split(";")),
    )


def _same(want: tuple[object, ...], got: tuple[object, ...]) -> bool:
    if want[0] != "values" or got[0] != "values" or len(want) != len(got):
        return want == got
    return all(_same_value(str(w), str(g)) for w, g in zip(want[1:], got[1:], strict=True))


def _same_value(want: str, got: str) -> bool:
    if want == got or (want == "open" and got == "not known"):
        return True
    days = re.fullmatch(r"([0-9]{4})-.*/([0-9]{4})-.*", got)
    if days:  # "a 15 plate" is March to August 2015, and in winter two years
        return want in days.groups()
    span = re.compile(r"([0-9.]+)(?:-([0-9.]+))?")
    one, two = span.fullmatch(want), span.fullmatch(got)
    if not one or not two:
        return False
    ends = [(float(m[1]), float(m[2] or m[1])) for m in (one, two)]
    (low, high), (kept_low, kept_high) = ends
    middle = abs((kept_low + kept_high) / 2 - (low + high) / 2) <= max(0.3, 0.08 * high)
    return middle and kept_high - kept_low <= high - low + max(1.0, 2 * ABOUT * high) * 1.5
