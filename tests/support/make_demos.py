"""Makes the demos: `python -m tests.support.make_demos`.

Each demo is a real talk with a person made of a table of answers. What it writes is the
journal of that talk and the result that is expected of it. Look at the difference before
committing: a changed result means that a rule, or the understanding, has changed.
"""

from __future__ import annotations

import datetime as dt
import json
import tempfile
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from assistant.journal.entries import Context, Entry
from assistant.journal.file import JournalFile
from assistant.reasoning.consultation import consult
from assistant.report.lines import Line
from assistant.report.result import result_data
from assistant.ruleset.load import load_ruleset
from assistant.ruleset.ruleset import Ruleset
from assistant.talk.asking import Left
from assistant.talk.talk import Talk

ROOT = Path(__file__).resolve().parent.parent.parent
DEMOS = ROOT / "transcripts_demo"


@dataclass
class Demo:
    """A person and their car. answers: prompt key, or question name, to what they type.

    says: by the key of a prompt, what they type there first, before they answer it; one thing for
    each time they are asked. again: the answers once something was said to be mended.
    """

    name: str
    title: str
    teaches: str
    car: str
    today: dt.date
    answers: dict[str, str]
    usual: dict[str, str] = field(default_factory=dict)
    stops_at: str | None = None
    says: dict[str, list[str]] = field(default_factory=dict)
    again: dict[str, str] = field(default_factory=dict)


PLAIN = {
    "yes_no": "no",
    "some_of": "none",
    "quantity": "don't know",
    "count": "don't know",
    "date": "don't know",
    "note": "nothing to add",
}

DEMO_LIST = [
    Demo(
        "clean-car",
        "A cared-for hatchback, nothing found",
        "What a clean walk looks like, and that it still promises nothing: the station measures "
        "what an owner cannot.",
        "Marigold",
        dt.date(2026, 3, 2),
        {
            "first_used": "14 June 2015",
            "fuel": "petrol",
            "body": "hatchback",
            "equipment": "electric steering",
            "kit": "helper, torch, tread gauge, pressure gauge and a tape",
            "steering_play": "5 mm",
            "tread_depth": "5.5 mm",
            "certificate_end": "28 March 2026",
        },
    ),
    Demo(
        "small-things",
        "Several small things an owner can mend at home",
        "Lamps, wipers and plates: which fail, which do not, and what takes five minutes to mend.",
        "Biscuit",
        dt.date(2026, 4, 20),
        {
            "first_used": "9 November 2011",
            "fuel": "diesel",
            "body": "estate",
            "equipment": "towbar, electric steering",
            "kit": "torch and tread gauge",
            "steering_play": "about 8",
            "tread_depth@front_nearside": "3.1",
            "tread_depth@rear_nearside": "2.6 mm",
            "tread_depth": "3.4",
            "wipers_washers": "4 and 5",
            "washer_bottle": "empty",
            "washer_hum": "yes",
            "lamps_lit@rear": "number plate lamps",
            "plate_lamps": "@second",
            "plate_looks@rear": "cracked",
            "wear_bars": "@third",
            "certificate_end": "15 May 2026",
        },
    ),
    Demo(
        "falling-brake-fluid",
        "The brake fluid has fallen and one wheel is wet",
        "How one look opens others at once, why wet outweighs every other explanation, and that "
        "no later answer takes the danger back.",
        "Juniper",
        dt.date(2026, 9, 12),
        {
            "first_used": "March 2013",
            "fuel": "petrol",
            "body": "car",
            "equipment": "none",
            "kit": "a torch",
            "recent_events": "brake fluid was topped up",
            "brake_fluid_level": "a bit below min",
            "fluid_fall_time": "weeks",
            "wheel_wet@rear_nearside": "yes",
            "wheel_wet": "no",
            "thinnest_pad": "about 5 mm",
            "steering_play": "10",
            "certificate_end": "in 3 weeks",
            "tread_depth": "4",
        },
    ),
    Demo(
        "old-car-little-known",
        "A car of 1968, and somebody new to it",
        "What an old car need not have, and that 'don't know' is an answer: it is listed as not "
        "known, never as fine.",
        "Old Percival",
        dt.date(2026, 5, 30),
        {
            "first_used": "1968",
            "fuel": "petrol",
            "body": "car",
            "equipment": "not sure",
            "kit": "nothing",
            "steering_play": "no idea",
            "tread_depth": "haven't got a gauge",
            "brake_fluid_level": "can't see it",
            "lamps_missing": "dunno",
            "through_wheels@nearside": "don't know",
            "through_wheels@offside": "no idea what I am looking at",
            "hoses@rear": "don't know",
            "hoses@front": "don't know",
            "corner_push@front": "can't look",
            "behind_wheels@front": "can't look",
            "servo_dip": "not sure",
            "battery_belts@bonnet": "battery",
            "battery_looks": "don't know",
        },
        usual={"quantity": "no idea", "one_of": "don't know"},
    ),
    Demo(
        "grinding-brakes",
        "A grinding noise at every stop",
        "How a worry in the owner's own words becomes a symptom they pick, why the danger is asked "
        "about before anything else, and which one check tells pads worn to metal from a stone.",
        "Clementine",
        dt.date(2026, 10, 5),
        {
            "first_used": "May 2014",
            "fuel": "petrol",
            "body": "hatchback",
            "equipment": "electric steering",
            "kit": "torch",
            "worry": "horrible grinding noise when I brake",
            "now_brakes": "it slowed as it always did",
            "pick": "1",
            "brake_noise_when": "every stop",
            "thinnest_pad": "1 mm",
            "steering_play": "5",
            "certificate_end": "30 October 2026",
            "tread_depth": "5",
        },
    ),
    Demo(
        "wandering-steering",
        "The car wanders and the wheel has slack",
        "How evidence for one cause counts against the others, and why a worn joint is not a thing "
        "to drive home with.",
        "Bramble",
        dt.date(2026, 2, 17),
        {
            "first_used": "2010",
            "fuel": "diesel",
            "body": "estate",
            "equipment": "power steering with a fluid bottle",
            "kit": "helper, torch and tape",
            "worry": "steering feels sloppy and the car wanders on the motorway",
            "now_steering": "slack",
            "pick": "1",
            "steering_play": "60 mm",
            "rack_look": "@third",
            "wheel_across": "380 mm",
            "pressure_vs_plate": "@second",
            "certificate_end": "1 March 2026",
            "tread_depth": "3",
        },
    ),
    Demo(
        "slow-starter",
        "It turns over slowly on cold mornings",
        "An electrical fault: a voltage after a night at rest separates a tired battery from one "
        "that is not being charged, and what not to be sold before it is measured.",
        "Sorrel",
        dt.date(2026, 1, 12),
        {
            "first_used": "September 2017",
            "fuel": "petrol",
            "body": "car",
            "equipment": "electric steering",
            "kit": "torch and a multimeter",
            "worry": "turns over really slow on cold mornings",
            "pick": "the starter turns slowly",
            "battery_volts": "12.7",
            "battery_age": "@third",
            "steering_play": "5",
            "certificate_end": "20 January 2026",
            "tread_depth": "4",
        },
    ),
    Demo(
        "sinking-coolant",
        "The coolant keeps going down",
        "An engine fault followed from the drive to the bottle: why the cap stays shut while it is "
        "warm, and how a fall in weeks differs from one in months.",
        "Thimble",
        dt.date(2026, 6, 8),
        {
            "first_used": "2012",
            "fuel": "petrol",
            "body": "car",
            "equipment": "electric steering",
            "kit": "torch",
            "worry": "I keep having to top up the antifreeze",
            "pick": "1",
            "coolant_clues": "it was topped up in the last few weeks",
            "coolant_level": "below",
            "steering_play": "5",
            "certificate_end": "30 June 2026",
            "tread_depth": "4",
        },
    ),
    Demo(
        "edge-worn-tyre",
        "One front tyre is bald on its inner edge",
        "What the wear of a tyre says of the car, and why a new tyre alone would wear so again.",
        "Hazel",
        dt.date(2026, 8, 19),
        {
            "first_used": "2016",
            "fuel": "diesel",
            "body": "car",
            "equipment": "electric steering",
            "kit": "torch and tread gauge",
            "worry": "my front tire is bald on the inside edge only",
            "pick": "1",
            "steering_play": "5",
            "certificate_end": "10 September 2026",
            "edge_partner@front_nearside": "no",
            "kerb_hit@front_offside": "yes",
            "tread_depth@front_offside": "1.9",
            "tread_depth": "4.5",
            "wear_bars": "@third",
        },
    ),
    Demo(
        "smell-nobody-knows",
        "Something smells burnt now and then",
        "When the honest end is to have it looked at: nothing offered fits, the words go on "
        "the sheet as they are, and no other answer takes the advice back.",
        "Parsley",
        dt.date(2026, 11, 3),
        {
            "first_used": "2015",
            "fuel": "petrol",
            "body": "car",
            "equipment": "electric steering",
            "kit": "nothing",
            "worry": "now and then something smells burnt, I cannot say where",
            "now_smoke": "only a smell, and it has gone",
            "pick": "none of these",
            "steering_play": "5",
            "certificate_end": "1 December 2026",
            "tread_depth": "can't measure it",
            "wear_bars": "@third",
        },
        says={"recent_signs": ["it has cooled"]},
    ),
    Demo(
        "stop-lamp-corrected",
        "A row of lamps called fine, and one of them was not",
        "That one answer for a whole group covers each of its parts, how a correction changes one "
        "of them and leaves the rest, and what a clean summary is worth before it.",
        "Fern",
        dt.date(2026, 3, 10),
        {
            "first_used": "April 2014",
            "fuel": "petrol",
            "body": "hatchback",
            "equipment": "electric steering",
            "kit": "helper, torch and tread gauge",
            "steering_play": "5 mm",
            "tread_depth": "4.5",
            "certificate_end": "1 April 2026",
        },
        says={"hoses@front": ["wrong", "offside stop lamp", "dead"]},
    ),
    Demo(
        "new-tyre-fitted",
        "A bald tyre, replaced, and looked at again",
        "That a repair opens the question again and takes nothing on trust, and why a danger that "
        "is mended stays on the sheet until a garage has confirmed it.",
        "Rowan",
        dt.date(2026, 7, 14),
        {
            "first_used": "2013",
            "fuel": "diesel",
            "body": "estate",
            "equipment": "electric steering",
            "kit": "torch and tread gauge",
            "steering_play": "5",
            "tread_depth@front_offside": "1.2",
            "tread_depth": "4.5",
            "wear_bars": "@first",
            "tread_pattern": "@first",
            "certificate_end": "3 August 2026",
        },
        says={"hoses@front": ["mended", "2"]},
        again={"wear_bars": "@third", "tread_depth@front_offside": "7.4"},
    ),
]


class Persona:
    """An asker that answers from a demo's table."""

    def __init__(self, demo: Demo) -> None:
        self.demo = demo
        self.talk: Talk | None = None
        self.rows: list[str] = []
        self.asked = 0
        self.said: dict[str, int] = {}

    def show(self, lines: list[Line]) -> None:
        self.rows += [line.text for line in lines]

    def ask(self, prompt: str) -> str:
        self.asked += 1
        if self.asked > 500:
            raise RuntimeError(f"{self.demo.name}: the talk goes round in a circle at {prompt!r}")
        if "(yes or no)" in prompt:
            return "yes"
        assert self.talk is not None
        now = self.talk.plan.next
        assert now is not None
        if self.demo.stops_at == now.key:
            raise Left
        if self.said.setdefault(now.key, 0) < len(self.demo.says.get(now.key, [])):
            self.said[now.key] += 1
            return self.demo.says[now.key][self.said[now.key] - 1]
        return self.words(now.key, now.question, bool(now.group))

    def words(self, key: str, question: str | None, group: bool) -> str:
        table = self.demo.answers
        assert self.talk is not None
        if self.talk.now.state.mended:
            table = {**table, **self.demo.again}
        for name in (key, question or ""):
            if name in table:
                return self.written(table[name], question)
        if key.startswith("worry "):
            return table.get("pick", "none of these")
        if question == self.talk.ruleset.about.worry:
            return "no"
        if group and self.numbers():
            return self.numbers()
        if group:
            return "all fine"
        assert self.talk is not None and question is not None
        model = self.talk.ruleset.questions[question]
        usual = {**PLAIN, **self.demo.usual}
        if model.kind == "one_of":
            if "one_of" in self.demo.usual:
                return self.demo.usual["one_of"]
            word = model.fine or model.words()[0]
            return str(1 + model.words().index(word))
        if model.kind == "yes_no" and model.fine:
            return model.fine
        return usual[model.kind]

    def numbers(self) -> str:
        """The answers to a group of numbers, in order; empty for other groups."""
        assert self.talk is not None and self.talk.plan.next is not None
        items = self.talk.plan.next.items
        if self.talk.ruleset.questions[items[0][0]].kind not in ("quantity", "count"):
            return ""
        table = self.demo.answers
        said = [table.get(f"{name}@{at}") or table.get(name, "don't know") for name, at in items]
        return said[0] if not any(c.isdigit() for c in "".join(said)) else ", ".join(said)

    def written(self, words: str, question: str | None) -> str:
        """ "@first" ... stand for the words of that choice."""
        place = {"@first": 0, "@second": 1, "@third": 2}.get(words)
        if place is None:
            return words
        assert self.talk is not None and question is not None
        return list(self.talk.ruleset.questions[question].choices.values())[place].say


def expected(ruleset: Ruleset, journal: list[Entry]) -> dict[str, Any]:
    """What a demo must come to: short enough to read, whole enough to notice a change."""
    data = result_data(consult(ruleset, journal))
    keep = ("rule", "item", "category", "at", "urgency", "close_to_limit", "trail")
    return {
        "drive": data["drive"],
        "would_fail": data["would_fail"],
        "findings": [{k: f[k] for k in keep} for f in data["findings"]],
        "causes": [
            {"symptom": c["symptom"], "causes": [(x["cause"], x["likely"]) for x in c["causes"]]}
            for c in data["causes"]
        ],
        "have_confirmed": data["have_confirmed"],
        "deadlines": [[d["kind"], *d["dates"]] for d in data["deadlines"]],
        "not_known": [f"{n['question']}@{n['at']}".rstrip("@") for n in data["not_known"]],
        "not_asked": [f"{n['question']}@{n['at']}".rstrip("@") for n in data["not_asked"]],
        "still_open": data["still_open"],
    }


def make(demo: Demo, ruleset: Ruleset) -> None:
    """Holds the talk and writes its two files."""
    with tempfile.TemporaryDirectory() as folder:
        context = Context(today=demo.today, ruleset=ruleset.about.name, digest="", car=demo.car)
        path = Path(folder) / "demo.jsonl"
        with JournalFile.create(path, context) as journal:
            persona = Persona(demo)
            minutes = iter(range(10_000))
            persona.talk = Talk(
                ruleset, journal, persona, lambda: f"{demo.today} 10:{next(minutes) // 3 % 60:02d}"
            )
            persona.talk.run()
            entries = list(journal.entries)
        (DEMOS / f"{demo.name}.jsonl").write_bytes(path.read_bytes())
    result = {
        "title": demo.title,
        "teaches": demo.teaches,
        **json.loads(json.dumps(expected(ruleset, entries))),
    }
    text = json.dumps(result, indent=1, ensure_ascii=False) + "\n"
    (DEMOS / f"{demo.name}.expected.json").write_text(text)


def main() -> None:
    ruleset = load_ruleset(ROOT / "rulesets" / "gb-cars")
    DEMOS.mkdir(exist_ok=True)
    for demo in DEMO_LIST:
        make(demo, ruleset)
        print(f"{demo.name}: written")


if __name__ == "__main__":
    main()
