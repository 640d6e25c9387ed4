"""How often real complaints are offered the right system.

Run it by hand: `python -m tests.support.hear_complaints FILE`.

FILE has a line a complaint: the component an office filed it under, a tab, the owner's words. Run
by hand; no test reads such a file. A component that an owner's walk has nothing to do with
(cruise control) does not count. "Right" is a symptom of the same system among the three
offered: the office's filing is taken as it stands, mistakes and all.
"""

from __future__ import annotations

import csv
import sys
from pathlib import Path

from assistant.ruleset.load import load_ruleset
from assistant.talk.worries import nearest

ROOT = Path(__file__).resolve().parent.parent.parent
COMPONENTS: dict[str, tuple[str, ...]] = {
    "SERVICE BRAKES": ("brakes", "dashboard"),
    "PARKING BRAKE": ("brakes", "equipment"),
    "STEERING": ("steering", "dashboard", "suspension"),
    "SUSPENSION": ("suspension", "steering"),
    "TIRES": ("tyres", "dashboard", "suspension"),
    "WHEELS": ("tyres", "steering", "suspension"),
    "EXTERIOR LIGHTING": ("lamps",),
    "INTERIOR LIGHTING": ("dashboard", "lamps"),
    "ELECTRICAL SYSTEM": (
        "electrics",
        "dashboard",
        "lamps",
        "recent",
        "starting",
        "running",
        "equipment",
        "drive_battery",
    ),
    "ENGINE": ("engine", "exhaust", "fluids", "dashboard", "recent", "starting", "running"),
    "FUEL": (
        "recent",
        "engine",
        "exhaust",
        "dashboard",
        "fluids",
        "starting",
        "running",
        "drive_battery",
    ),
    "POWER TRAIN": ("gearbox", "suspension"),
    "TRACTION CONTROL": ("dashboard", "brakes"),
    "ELECTRONIC STABILITY CONTROL": ("dashboard", "brakes"),
    "AIR BAGS": ("dashboard",),
    "SEAT BELTS": ("belts", "dashboard"),
    "SEATS": ("body", "belts"),
    "STRUCTURE": ("body",),
    "LATCHES": ("body", "equipment"),
    "VISIBILITY": ("visibility", "equipment"),
}


def main(arguments: list[str]) -> int:
    if len(arguments) != 1:
        print("Give the file of complaints.")
        return 2
    ruleset = load_ruleset(ROOT / "rulesets" / "gb-cars")
    system_of = {s.symptom: n for n, f in ruleset.systems.items() for s in f.symptoms}
    right = counted = left_out = 0
    with Path(arguments[0]).open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file, delimiter="\t", quoting=csv.QUOTE_MINIMAL):
            component, words = row["component"], row["complaint"]
            systems = next((s for c, s in COMPONENTS.items() if component.startswith(c)), ())
            if not systems:
                left_out += 1
                continue
            offered = [match.name for match in nearest(ruleset, words)]
            good = any(system_of[name] in systems for name in offered)
            counted += 1
            right += good
            if not good:
                print(f"not offered: {component}: {words[:90]!r}: {', '.join(offered)}")
    share = right / counted if counted else 0.0
    print(f"{right} of {counted} offered the right system ({share:.0%}); {left_out} not covered.")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
