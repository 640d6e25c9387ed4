"""A walk gone on with on a later day, or by rules that have changed since."""

from __future__ import annotations

import datetime as dt
import json
from pathlib import Path

import pytest

from assistant.batch.answers_file import AnswersReader
from assistant.choosing.agenda import agenda
from assistant.journal.entries import Entry, GoneOn, Noted, Said, TookBack, fold
from assistant.journal.file import JournalFile, Stored, list_journals, read_journal
from assistant.journal.paths import new_journal_path
from assistant.reasoning.consultation import consult
from assistant.report.sheet import sheet
from assistant.ruleset.ruleset import Ruleset
from assistant.talk.first_screen import open_talk
from assistant.talk.opening import _from_last_time, _offer_sheet
from assistant.talk.talk import Talk
from assistant.teaching.replay import Replay
from tests.support.saying import say, start
from tests.support.scripted import ScriptedAsker

FIRST, LATER = dt.date(2026, 11, 3), dt.date(2026, 11, 20)
SAID = (
    ("fuel", "petrol"), ("body", "car"), ("equipment", []), ("kit", ["torch"]),
    ("first_used", 736000),
    ("brake_fluid_level", "between_marks"), ("coolant_level", "between"),
    ("oil_level", "dont_know"), ("tyre_pressure@front_nearside", 2.2), ("horn_sound", "loud"),
)  # fmt: skip

DEMO = Path(__file__).resolve().parents[2] / "transcripts_demo" / "clean-car.jsonl"


def begun(ruleset: Ruleset, home: Path) -> None:
    """A walk begun on the first day, with readings that age and answers that do not."""
    entries: list[Entry] = start(ruleset.about.name, FIRST)
    entries[0] = entries[0].model_copy(update={"digest": ruleset.digest, "car": "Bus"})
    for key, value in SAID:
        name = key.partition("@")[0]
        if isinstance(value, str) and value != "dont_know":
            value = (
                value
                if value in ruleset.questions[name].words()
                else ruleset.questions[name].words()[0]
            )
        say(entries, key, value)
    with JournalFile.create(home / "bus" / "2026-11-03-1.jsonl", entries[0]) as file:  # type: ignore[arg-type]
        file.append(entries[1:])


def gone_on(ruleset: Ruleset, home: Path, day: dt.date, *words: str) -> ScriptedAsker:
    person = ScriptedAsker(["yes", *words])
    open_talk(lambda: ruleset, person, home, today=day, car="Bus", new=False)
    return person


def kept(home: Path) -> list[Entry]:
    (stored,) = list_journals(home)
    assert isinstance(stored, Stored)
    return list(stored.entries)


def to_confirm(ruleset: Ruleset, entries: list[Entry]) -> list[str]:
    return [p.key for p in agenda(consult(ruleset, entries)).prompts if p.why == "again"]


def test_the_same_day_adds_nothing(gb_cars: Ruleset, tmp_path: Path) -> None:
    begun(gb_cars, tmp_path)
    before = kept(tmp_path)
    gone_on(gb_cars, tmp_path, FIRST)
    gone_on(gb_cars, tmp_path, FIRST - dt.timedelta(days=2))
    assert kept(tmp_path) == before
    assert to_confirm(gb_cars, before) == []


@pytest.mark.parametrize("words", ["go on", "Carry on", "continue"])
def test_go_on_is_a_yes_to_going_on(gb_cars: Ruleset, tmp_path: Path, words: str) -> None:
    begun(gb_cars, tmp_path)
    person = ScriptedAsker([words])
    open_talk(lambda: gb_cars, person, tmp_path, today=FIRST, car="Bus", new=False)
    assert "Please type yes or no" not in person.text
    assert "still to ask" in person.text


def test_a_later_day_is_today_from_then_on(gb_cars: Ruleset, tmp_path: Path) -> None:
    begun(gb_cars, tmp_path)
    person = gone_on(gb_cars, tmp_path, LATER)
    assert "begun on 3 November 2026" in person.text
    assert "The rules have changed" not in person.text
    gone_on(gb_cars, tmp_path, LATER)
    entries = kept(tmp_path)
    assert [e.day for e in entries if isinstance(e, GoneOn)] == [LATER]
    state = fold(entries)
    assert (state.begun, state.context.today) == (FIRST, LATER)
    now = consult(gb_cars, entries)
    data = json.loads(sheet(now, entries, "json"))
    assert (data["begun"], data["today"]) == ("2026-11-03", "2026-11-20")
    assert "20 November 2026 (begun on 3 November 2026)" in sheet(now, entries, "html")


def test_a_date_of_the_later_day_is_taken(gb_cars: Ruleset, tmp_path: Path) -> None:
    begun(gb_cars, tmp_path)
    person = gone_on(gb_cars, tmp_path, LATER, "wrong", "first", "15 November 2026")
    assert "Understood: 15 November 2026" in person.text
    said = fold(kept(tmp_path)).answers["first_used", ""]
    assert said.answer.lo == dt.date(2026, 11, 15).toordinal()


def test_readings_that_age_count_and_are_asked_again_where_they_are_on_the_walk(
    gb_cars: Ruleset, tmp_path: Path
) -> None:
    begun(gb_cars, tmp_path)
    before = consult(gb_cars, kept(tmp_path))
    gone_on(gb_cars, tmp_path, LATER)
    entries = kept(tmp_path)
    now = consult(gb_cars, entries)
    assert [f.rule.rule for f in now.findings] == [f.rule.rule for f in before.findings]
    assert set(to_confirm(gb_cars, entries)) >= {"brake_fluid_level", "coolant_level"}
    assert not set(to_confirm(gb_cars, entries)) & {"oil_level", "horn_sound", "fuel"}
    prompts = agenda(now).prompts
    assert prompts[0].why != "again"
    again = [n for n, p in enumerate(prompts) if p.why == "again"]
    assert again
    for n in again:
        assert prompts[n].place in {p.place for p in (*prompts[n - 1 : n], *prompts[n + 1 : n + 2])}


@pytest.mark.parametrize("words", ["same", "yes", "still the same", "It's still the same."])
def test_the_same_is_the_earlier_answer_said_again(
    gb_cars: Ruleset, tmp_path: Path, words: str
) -> None:
    begun(gb_cars, tmp_path)
    gone_on(gb_cars, tmp_path, LATER)
    person = ask(gb_cars, tmp_path, "brake_fluid_level", "why", words)
    shown = " ".join(person.text.split())
    assert "On 3 November 2026 you said: between the marks" in shown
    assert "Is it still so?" in shown and "changes with time" in shown
    entries = kept(tmp_path)
    old, new = [e for e in entries if isinstance(e, Said) and e.question == "brake_fluid_level"]
    assert new.answer == old.answer and "still the same" in new.words
    assert "brake_fluid_level" not in to_confirm(gb_cars, entries)
    assert fold(entries).said_on["brake_fluid_level", ""] == LATER
    assert "brake_fluid_level" in to_confirm(
        gb_cars, [*entries, GoneOn(turn=entries[-1].turn + 1, day=dt.date(2026, 12, 1))]
    )


def test_another_answer_takes_the_place_of_the_old_one(gb_cars: Ruleset, tmp_path: Path) -> None:
    begun(gb_cars, tmp_path)
    gone_on(gb_cars, tmp_path, LATER)
    last = gb_cars.questions["coolant_level"].words()[-1]
    number = len(gb_cars.questions["coolant_level"].words())
    ask(gb_cars, tmp_path, "coolant_level", str(number))
    assert fold(kept(tmp_path)).answers["coolant_level", ""].answer.word == last


def ask(ruleset: Ruleset, home: Path, key: str, *words: str) -> ScriptedAsker:
    """Asks one of the open prompts of the record."""
    from assistant.talk.talk import Talk

    person = ScriptedAsker(words)
    (stored,) = list_journals(home)
    assert isinstance(stored, Stored)
    with JournalFile.open(stored.path) as journal:
        talk = Talk(ruleset, journal, person, lambda: "")
        (prompt,) = [p for p in talk.plan.prompts if p.key == key]
        talk.turn(prompt)
    return person


def test_going_back_never_takes_the_day_away(gb_cars: Ruleset, tmp_path: Path) -> None:
    begun(gb_cars, tmp_path)
    gone_on(gb_cars, tmp_path, LATER, *["back"] * (len(SAID) + 2))
    entries = kept(tmp_path)
    day = next(e for e in entries if isinstance(e, GoneOn))
    taken = {e.of for e in entries if isinstance(e, TookBack)}
    assert len(taken) == len(SAID) and day.turn not in taken
    assert fold(entries).context.today == LATER
    entries.append(TookBack(turn=entries[-1].turn + 1, of=day.turn))
    assert fold(entries).context.today == LATER


def test_a_sheet_and_a_lesson_of_such_a_walk(gb_cars: Ruleset, tmp_path: Path) -> None:
    begun(gb_cars, tmp_path)
    gone_on(gb_cars, tmp_path, LATER)
    entries = kept(tmp_path)
    text = sheet(consult(gb_cars, entries), entries, "json")
    (given,) = AnswersReader(lambda name: gb_cars, FIRST).read("sheet", text)
    assert given.journal == entries and given.faults == []
    replay = Replay(gb_cars, entries)
    step = replay.step(replay.last)
    assert (step.kind, step.asked) == ("gone on", "The walk is gone on with on 20 November 2026.")
    assert step.new_findings == step.gone_findings == ()


def test_changed_rules_are_said_once(gb_cars: Ruleset, tmp_path: Path) -> None:
    begun(gb_cars, tmp_path)
    path = tmp_path / "bus" / "2026-11-03-1.jsonl"
    path.write_text(path.read_text().replace(gb_cars.digest, "0" * 64))
    told = "The rules have changed since 3 November 2026; what you said is judged by today's rules."
    person = gone_on(gb_cars, tmp_path, FIRST)
    assert told in " ".join(person.text.split())
    (gone,) = [e for e in kept(tmp_path) if isinstance(e, GoneOn)]
    assert (gone.day, gone.digest) == (FIRST, gb_cars.digest)
    assert to_confirm(gb_cars, kept(tmp_path)) == []
    assert "The rules have changed" not in gone_on(gb_cars, tmp_path, FIRST).text


def offered(ruleset: Ruleset, folder: Path, records: Path | None, *words: str) -> str:
    """What is said about the sheet at the end of a walk."""
    path = folder / "bus" / "walk.jsonl"
    path.parent.mkdir(exist_ok=True)
    path.write_bytes(DEMO.read_bytes())
    person = ScriptedAsker([*words])
    with JournalFile.open(path) as journal:
        _offer_sheet(Talk(ruleset, journal, person), person, records)
    return " ".join(line.text for line in person.lines)


def test_the_hint_for_the_sheet_names_the_records_that_were_named(
    gb_cars: Ruleset, tmp_path: Path
) -> None:
    assert offered(gb_cars, tmp_path, None, "no").endswith("Later: sidelight sheet")
    hint = "Later: sidelight sheet --records 'my records'"
    for words in (["no"], ["stop"], []):
        assert offered(gb_cars, tmp_path, Path("my records"), *words).endswith(hint)


def test_the_sheet_at_the_end_replaces_only_a_sheet_of_ours(
    gb_cars: Ruleset, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    name = tmp_path / "sheet-bus-walk.html"
    name.write_text("mine")
    said = offered(gb_cars, tmp_path, None, "yes")
    assert "a file of that name is there already" in said and said.endswith("sheet -o FILE")
    assert name.read_text() == "mine"
    name.unlink()
    for _ in range(2):
        assert "Written: " in offered(gb_cars, tmp_path, None, "yes")


@pytest.mark.parametrize("words", [(), ("no",), ("",), ("yes",), ("yes", "skip", "", "no")])
def test_what_is_asked_for_the_garage_may_be_skipped(
    gb_cars: Ruleset, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...]
) -> None:
    monkeypatch.chdir(tmp_path)
    assert "Written: " in offered(gb_cars, tmp_path, None, "yes", *words)
    assert "Not said. Please ask" in (tmp_path / "sheet-bus-walk.html").read_text()


def test_what_is_told_for_the_garage_is_on_the_sheet_and_kept_for_this_car(
    gb_cars: Ruleset, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    told = ("yes", "price", "81,240", "Ostrel Wren", "R. Ashdown", "07700 900123")
    said = offered(gb_cars, tmp_path, None, "yes", *told)
    assert said.count("?") - said.count("Shall I write") >= 5 and "Written: " in said
    page = (tmp_path / "sheet-bus-walk.html").read_text()
    for words in ("Look, and tell me the price first.", *told[2:]):
        assert words in page
    state = fold(read_journal(tmp_path / "bus" / "walk.jsonl"))
    assert state.noted["phone"] == "07700 900123"
    car = state.context.car
    stored = new_journal_path(tmp_path, car, FIRST)
    stored.parent.mkdir(exist_ok=True)
    stored.write_bytes((tmp_path / "bus" / "walk.jsonl").read_bytes())
    _, copies = _from_last_time(gb_cars, ScriptedAsker(["yes"]), tmp_path, car, LATER)
    kept_too = {e.about: e.words for e in copies if isinstance(e, Noted)}
    assert kept_too == {"model": told[3], "name": told[4], "phone": told[5]}
