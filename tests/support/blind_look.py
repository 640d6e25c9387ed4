"""A look at sentences that nobody who wrote the words has seen:
`python -m tests.support.blind_look DANGERS.tsv HARMLESS.tsv` (columns id, kind or shares, text).

Each is typed once into the real talk, at the last prompt of a walk on which all else was seen and
is well, so that what is lost ends the walk under "Nothing you told me says ...". Harmless sentences
are typed at the same prompt, and act where the talk takes them for a danger. Whoever tells a danger
says yes to "Is that something that worries you?", the others say no; how often that was asked is
printed too, and what acts only after it is not counted as acting.
"""

from __future__ import annotations

import sys
import tempfile
from contextlib import suppress
from pathlib import Path

from assistant.journal.entries import Entry
from assistant.reasoning.consultation import Consultation, consult
from assistant.ruleset.load import load_ruleset
from assistant.ruleset.ruleset import Ruleset
from assistant.talk.asking import Left
from tests.support.saying import say, start
from tests.support.talking import Walk

ROOT = Path(__file__).resolve().parent.parent.parent
LAST = "wheel_nuts@front_offside"
FINE: dict[str, object] = {
    "lamps_missing": [], "lamps_stay_on": [], "recent_signs": [], "pedal_hold": "holds",
    "brake_fluid_level": "between", "steering_play": 5, "stop_lamp": "lit", "tread_depth": 5,
    "old_stop_lamps": "bright_red", "tyre_damage": [], "wheel_nuts": "all_there",
    "first_used": 735000, "fuel": "petrol", "body": "car", "equipment": [], "kit": ["torch"],
    "worry": "dont_know",
}  # fmt: skip


def sound_walk(ruleset: Ruleset) -> list[Entry]:
    """All safety checks but the last, seen and well."""
    journal = start(ruleset.about.name)
    for name, at in ruleset.asked_items:
        question = ruleset.questions[name]
        key = f"{name}@{at}" if at else name
        asked = question.asked == "walk" and (question.safety or name in FINE)
        if not asked or key == LAST:
            continue
        value = FINE.get(name)
        if value is None or (isinstance(value, str) and value not in question.words()):
            value = FINE.get(name, [] if question.kind == "some_of" else question.fine)
            value = value if value is not None else question.words()[0]
        say(journal, key, value)
    return journal


def typed(ruleset: Ruleset, words: str, worries: str) -> tuple[Consultation, Consultation, bool]:
    """What stands after the turn in which the words were typed, and at the end of the walk; and
    whether it was asked if they are a worry. worries: the answer to that."""
    with tempfile.TemporaryDirectory() as folder:
        walk = Walk(ruleset, Path(folder), sound_walk(ruleset))
        at_last = [
            p.key for p in walk.prompts if LAST in (p.key, *(f"{q}@{a}" for q, a in p.items))
        ]
        with suppress(Left):  # that ends the script
            walk.type(words, worries, prompt=at_last[0])
        asked = "Is that something that worries you" in walk.talk.asker.text  # type: ignore[attr-defined]
        turn = consult(ruleset, walk.journal)
        journal = walk.journal
        say(journal, LAST, "all_there")
        return turn, consult(ruleset, journal), asked


def rows(path: str) -> list[dict[str, str]]:
    lines = [line.split("\t") for line in Path(path).read_text("utf-8").splitlines()
             if not line.startswith("#")]  # fmt: skip
    return [dict(zip(lines[0], line, strict=True)) for line in lines[1:]]


def main(dangers: str, harmless: str) -> None:
    from tests.reading.test_danger_words import RIGHT

    ruleset = load_ruleset(ROOT / "rulesets" / "gb-cars")
    acted = right = behind = 0
    lost: list[str] = []
    missed: list[str] = []
    told = rows(dangers)
    for row in told:
        turn, end, asked = typed(ruleset, row["text"], "yes")
        behind += asked
        hazards = {h for one in turn.told for h in one.danger.hazards}
        hazards |= {one.name for one in turn.hazards.standing}
        hazards = set() if asked else hazards  # behind a question it has not acted at once
        acted += bool(hazards)
        if hazards & (set(RIGHT[row["kind"]].split()) if row["kind"] in RIGHT else hazards):
            right += 1
        else:
            missed.append(f"{row['kind']}: {row['text']} ({turn.headline.kind})")
        if "nothing" in (turn.headline.kind, end.headline.kind):
            lost.append(row["text"])
    print(
        f"{len(told)} dangers: {acted} acted in the turn, {right} with the right kind of caution;"
    )
    print(f"{len(lost)} ended a turn or a walk under 'nothing'; {behind} were asked about first.")
    print(*(f"  missed: {one}" for one in missed), sep="\n")
    print(*(f"  lost: {one}" for one in lost), sep="\n")
    words = rows(harmless)
    ends = {row["text"]: typed(ruleset, row["text"], "no") for row in words}
    heard = [text for text, (turn, _, _) in ends.items() if turn.told]
    kept = [text for text, (_, end, _) in ends.items() if end.headline.worries]
    behind = sum(asked for _, _, asked in ends.values())
    print(f"{len(words)} harmless: {len(heard)} acted; {len(kept)} were kept as a worry, and "
          f"{behind} were asked about.")  # fmt: skip
    print(*(f"  acted: {one}" for one in heard), sep="\n")
    print(*(f"  kept: {one}" for one in kept), sep="\n")


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2])
