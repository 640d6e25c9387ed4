"""The card: its numbers, its two sides of paper, its boxes on a phone, and what is typed of it."""

from __future__ import annotations

import html
import re
import shutil
import subprocess
from contextlib import suppress
from functools import cache
from pathlib import Path
from random import Random

import pytest

from assistant.choosing.order import numbered_prompts
from assistant.journal.entries import Answer, Context, Entry, Said
from assistant.journal.file import read_journal
from assistant.reading.result import Understood
from assistant.reading.understand import understand
from assistant.reasoning.consultation import consult
from assistant.reasoning.supposed import worded_answers
from assistant.report.card import card, card_code, card_data
from assistant.ruleset.models import Urgency
from assistant.ruleset.ruleset import Ruleset
from assistant.talk.asking import Left
from tests.reasoning.test_walk_order import CARS, a_car
from tests.support.saying import DAY, correct, say, start, take_back
from tests.support.talking import Walk, WatchedAsker

DEMOS = sorted((Path(__file__).resolve().parents[2] / "transcripts_demo").glob("*.jsonl"))
BROWSER = next(filter(None, map(shutil.which, ("chromium", "chromium-browser"))), None)
FONT = subprocess.run(["fc-match", "Arial"], capture_output=True, text=True, check=False).stdout \
    if shutil.which("fc-match") else ""  # fmt: skip
browsed = pytest.mark.skipif(
    BROWSER is None or not re.search("Liberation ?Sans|Arial", FONT),
    reason=f"needs Chromium, and Arial or Liberation Sans; the font here is {FONT.strip()!r}",
)
"""Printed and tapped in Chromium: a browser that we did not write."""


def browse(folder: Path, page: str, *options: str) -> str:
    """What Chromium says of a page."""
    (folder / "card.html").write_text(page)
    where = (f"--user-data-dir={folder / 'profile'}", (folder / "card.html").as_uri())
    command = [str(BROWSER), "--headless", "--no-sandbox", "--disable-gpu", *options, *where]
    ran = subprocess.run(command, capture_output=True, text=True, timeout=120, check=True)
    return ran.stdout


# numbers --------------------------------------------------------------------------------


def numbers(page: str) -> dict[int, str]:
    """The first row of each check, by its number."""
    found = re.findall(r"(?m)^ ?(\d+)\. (.+)$", page)
    return {int(number): words for number, words in found}


@pytest.mark.parametrize("path", DEMOS, ids=lambda p: p.stem)
def test_rows_fit_a_screen_and_numbers_have_no_gap(gb_cars: Ruleset, path: Path) -> None:
    journal = read_journal(path)
    page = card(gb_cars, journal, "text")
    rows = page.split("\n")
    assert max(map(len, rows)) <= 80
    assert all(row == row.rstrip() for row in rows)
    assert list(numbers(page)) == list(range(1, len(numbered_prompts(gb_cars, journal)) + 1))


def test_a_car_with_a_long_name_has_a_card_that_fits(gb_cars: Ruleset) -> None:
    for name in ("x" * 60, "word " * 12, "\x1b[31m\u202e & {{ 7 * 7 }}"):
        journal: list[Entry] = [Context(today=DAY, ruleset="gb-cars", car=name[:60])]
        rows = card(gb_cars, journal, "text").split("\n")
        assert max(map(len, rows)) <= 80
        assert all(row.isprintable() for row in rows)


def about_car(ruleset: Ruleset, journal: list[Entry]) -> list[Entry]:
    """The start of a record: all that is said about the car itself."""
    return [
        e
        for e in journal
        if not isinstance(e, Said)
        or ruleset.places[ruleset.questions[e.question].place].stage == "start"
    ]


@pytest.mark.parametrize("path", DEMOS, ids=lambda p: p.stem)
def test_a_card_stays_whatever_is_answered_later(gb_cars: Ruleset, path: Path) -> None:
    journal = read_journal(path)
    first = about_car(gb_cars, journal)
    wanted = card(gb_cars, first, "text")
    random = Random(path.stem)
    rest = [e for e in journal if e not in first]
    for _ in range(3):
        some = random.sample(rest, random.randrange(len(rest)))
        turns = range(first[-1].turn + 1, first[-1].turn + 1 + len(some))
        later = [e.model_copy(update={"turn": t}) for t, e in zip(turns, some, strict=True)]
        assert card(gb_cars, [*first, *later], "text") == wanted
    assert card(gb_cars, journal, "text") == wanted


def test_a_card_stays_when_an_answer_is_taken_back_or_mended(tiny: Ruleset) -> None:
    journal = start()
    say(journal, "kit", ["gauge"])
    wanted = card(tiny, journal, "text")
    say(journal, "level", "low")
    say(journal, "wet@left", "yes")
    assert card(tiny, journal, "text") == wanted
    take_back(journal)
    correct(journal, "level", "full")
    assert card(tiny, journal, "text") == wanted


# what stands on it ----------------------------------------------------------------------


@pytest.mark.parametrize("form", ["text", "md", "html"])
def test_what_does_not_fit_is_named(gb_cars: Ruleset, form: str) -> None:
    journal = a_car("petrol 2015")

    def made(minutes: float | None, short: bool = False) -> str:
        return " ".join(card(gb_cars, journal, form, minutes, short).split())

    assert "Not on this card" not in made(None)
    for page in (made(15), made(None, short=True)):
        left_out = page[page.index("Not on this card") :]
        assert "bumpers" in left_out and "tread depth" not in left_out


def test_the_short_round_is_the_first(gb_cars: Ruleset) -> None:
    journal = a_car("petrol 2015")
    whole, short = numbers(card(gb_cars, journal, "text")), numbers(
        card(gb_cars, journal, "text", None, short=True)
    )  # fmt: skip
    first = [n for n, p in enumerate(numbered_prompts(gb_cars, journal), 1) if p.round != 2]
    assert list(short) == first and all(short[n] == whole[n] for n in first)


@pytest.mark.parametrize("car", CARS)
def test_every_check_has_a_box_for_each_part_and_each_caution(gb_cars: Ruleset, car: str) -> None:
    journal = a_car(car)
    text = card(gb_cars, journal, "text")
    flat = " ".join(text.split())
    care = flat[: flat.index("RECENT DRIVES")]
    parts = re.split(r"(?m)^ ?\d+\. ", text)[1:]
    for part, prompt in zip(parts, numbered_prompts(gb_cars, journal), strict=True):
        boxes = re.findall(r"\[ \] (\d+)\b", part.split("\n\n")[0])
        question = gb_cars.questions[prompt.items[0][0]]
        count = len(prompt.items) if prompt.group else len(prompt.one(gb_cars).choices)
        if question.kind not in ("quantity", "count"):
            assert max(map(int, boxes), default=0) == count, prompt.key
        for name in prompt.asks(gb_cars).cautions:
            assert " ".join(gb_cars.cautions[name].split()) in care


def test_no_box_stands_apart_from_its_words(gb_cars: Ruleset) -> None:
    page = card(gb_cars, a_car("petrol 2015"), "text")
    assert not re.search(r"\[(?: \]| \] \d+)?$", page, re.M)


@pytest.mark.parametrize("name", ["tread_depth", "steering_play"])
def test_bands_are_read_as_they_are_meant(gb_cars: Ruleset, name: str) -> None:
    """No band crosses a limit that a rule compares with, and typed it says the same."""
    question = gb_cars.questions[name]
    data = card_data(gb_cars, a_car("petrol 2015"), None)
    bands = {
        tap["say"]: tap["asks"][1] for tap, _ in data["taps"] if tap.get("asks", ("",))[0] == name
    }
    assert len(bands) > 2
    for said, meant in bands.items():
        heard = understand(said, question, today=DAY)
        assert isinstance(heard, Understood) and heard.sure
        assert heard.answer.lo == pytest.approx(meant.lo)
        assert heard.answer.hi == pytest.approx(meant.hi)
        found = {
            tuple(f.rule.rule for f in consult(gb_cars, one).findings)
            for value in (meant.lo, meant.hi)
            for one in [[*a_car("petrol 2015"), _said(gb_cars, name, Answer(lo=value, hi=value))]]
        }
        assert len(found) == 1, said


def _said(ruleset: Ruleset, name: str, answer: Answer) -> Said:
    at = ruleset.members(ruleset.questions[name].each)[0]
    return Said(turn=99, question=name, at=at, answer=answer, words="x")


def test_the_ticks_of_danger_are_those_of_the_engine(gb_cars: Ruleset) -> None:
    """Every choice of every question on the card alone, by durable-rules."""
    journal = a_car("petrol 2015")
    page = card(gb_cars, journal, "html")
    spans = dict(re.findall(r'<span class="(t\d+)">([^<]*); </span>', page))
    shown = {spans[i]: html.unescape(say)
             for i, say in re.findall(r'<p class="stop (t\d+)">(.*?)</p>', page)}  # fmt: skip
    wanted = {}
    for number, prompt in enumerate(numbered_prompts(gb_cars, journal), start=1):
        for n, (name, _) in enumerate(prompt.items, start=1):
            question = gb_cars.questions[name]
            if prompt.group and question.when_named:
                continue
            for answer in worded_answers(question):
                word = answer.word or next(iter(answer.words or ()), None)
                found = consult(gb_cars, [*journal, _said(gb_cars, name, answer)]).findings
                grave = [f for f in found if f.urgency.rank <= Urgency.DO_NOT_DRIVE.rank]
                if grave and word:
                    typed = word if question.kind == "yes_no" else question.words().index(word) + 1
                    key = f"{number}.{n} {typed}" if prompt.group else f"{number} {typed}"
                    wanted[key] = grave[0].rule.say
    numbered = {key: say for key, say in shown.items() if re.fullmatch(r"[\d.]+ \w+", key)}
    assert set(wanted) <= set(numbered) and len(wanted) > 50
    assert all(numbered[key].endswith(say) for key, say in wanted.items())
    assert all(say.startswith(("Stop now. ", "Do not drive. ")) for say in shown.values())


# paper ----------------------------------------------------------------------------------


@browsed
@pytest.mark.parametrize("car", CARS)
def test_an_ordinary_car_is_two_sides_and_the_short_round_one(
    gb_cars: Ruleset, tmp_path: Path, car: str
) -> None:
    for short, sides in ((False, 2), (True, 1)):
        page = card(gb_cars, a_car(car), "html", None, short)
        browse(tmp_path, page, "--no-pdf-header-footer", f"--print-to-pdf={tmp_path / 'card.pdf'}")
        printed = (tmp_path / "card.pdf").read_bytes()
        counts = [int(n) for n in re.findall(rb"/Type\s*/Pages\b[^>]*?/Count (\d+)", printed)]
        assert max(counts) == sides, f"with {FONT}"
    style = page[page.index("@media print") : page.index("@media screen {")]
    sizes = [float(size) for size in re.findall(r"font-size: ([\d.]+)pt", style)]
    assert min(sizes) >= 8.5


# phone ----------------------------------------------------------------------------------


@cache
def _boxes(page: str) -> dict[str, str]:
    """The id of each box, by what it puts into the line."""
    return {html.unescape(line): i
            for i, line in re.findall(r'<span class="(t\d+)">([^<]*); </span>', page)}  # fmt: skip


def tapped(folder: Path, page: str, *lines: str) -> str:
    """What the foot of the page shows once some boxes are ticked, in Chromium."""
    ticked = page
    for line in lines:
        ticked = ticked.replace(f'id="{_boxes(page)[line]}"', f'id="{_boxes(page)[line]}" checked')
    script = "<script>document.title = document.querySelector('.out').innerText</script></body>"
    shown = browse(folder, ticked.replace("</body>", script), "--dump-dom")
    found = re.search(r"<title>(.*?)</title>", shown, re.S)
    assert found is not None
    return html.unescape(found[1])


@browsed
def test_what_is_tapped_becomes_one_line_that_can_be_typed_in(
    gb_cars: Ruleset, tmp_path: Path
) -> None:
    journal = a_car("petrol 2015")
    page = card(gb_cars, journal, "html")
    number = {p.key: n for n, p in enumerate(numbered_prompts(gb_cars, journal), start=1)}
    lamps, pedal, tread = number["lamps_missing"], number["pedal_hold"], "tread_side@nearside"
    harm, air, beams = (number[f"{g}"] for g in ("tyre_harm@nearside", "tyre_air@nearside",
                                                 "beams@front"))  # fmt: skip
    foot = tapped(
        tmp_path, page, f"{lamps} 2", f"{lamps} 0", f"{pedal} 4", f"{number[tread]}.1 1.5 or less",
        f"{number[tread]}.2 ?", f"{harm} 1", f"{harm}.1 1", f"{harm}.3 2", f"{air} 0", f"{beams} ?",
    )  # fmt: skip
    for line in ("The brake pedal goes down to the floor.", "There is a lump or bulge on the tyre.",
                 "The tread is below the limit of 1.6 mm."):  # fmt: skip
        assert f"Do not drive. {line}" in foot
    assert "nut" not in foot, "what is under a part that is not ticked counts as nothing"
    line = foot.split("\n")[-1]
    walk = Walk(gb_cars, tmp_path, journal)
    with suppress(Left):
        walk.type("card", line)
    told = walk.answers
    assert told["lamps_missing"].words == ("abs",)
    assert told["pedal_hold"].word == "floor"
    assert told["tread_depth@front_nearside"].hi == pytest.approx(1.5, abs=0.01)
    assert told["tread_depth@rear_nearside"].state == "cant_look"
    assert told["tyre_damage@front_nearside"].words == ("bulge",)
    assert told["wheel_nuts@front_nearside"].word == "all_there"
    assert told["tyre_fit@front_nearside"].words == ()
    assert told["main_beam@nearside"].state == "cant_look"


@browsed
def test_a_phone_is_wide_enough(gb_cars: Ruleset, tmp_path: Path) -> None:
    page = html.escape(card(gb_cars, a_car("petrol 2015"), "html"))
    script = "document.title = document.querySelector('iframe').contentDocument.body.scrollWidth"
    frame = f'<iframe width=390 height=800 style="border:0" srcdoc="{page}"></iframe>'
    shown = browse(tmp_path, f"{frame}<script>onload = () => {{ {script} }}</script>", "--dump-dom")
    found = re.search(r"<title>(\d+)</title>", shown)
    assert found is not None and 300 < int(found[1]) <= 390


# typed in -------------------------------------------------------------------------------


def typed(ruleset: Ruleset, folder: Path, *lines: str) -> tuple[Walk, WatchedAsker]:
    walk = Walk(ruleset, folder, a_car("petrol 2015"))
    asker = walk.type("card", *lines)
    return walk, asker


def at(ruleset: Ruleset, key: str) -> int:
    prompts = numbered_prompts(ruleset, a_car("petrol 2015"))
    return next(n for n, p in enumerate(prompts, start=1) if p.key == key)


def test_one_line_a_number_and_the_walk_asks_what_follows(gb_cars: Ruleset, tmp_path: Path) -> None:
    harm, glass = at(gb_cars, "tyre_harm@nearside"), at(gb_cars, "screen_looks")
    walk, asker = typed(gb_cars, tmp_path, f"{harm} 2", f"{glass} 0", "")
    assert [m.prompt for m in asker.moments[1:4]] == ["card > "] * 3
    assert walk.answers["screen_looks"].words == ()
    assert "tyre_damage@front_nearside" in walk.answers
    opened = [p.key for p in walk.prompts if p.why == "opened here"]
    assert opened == ["tyre_damage@rear_nearside"]


@pytest.mark.parametrize(("sign", "state"), [("?", "cant_look"), ("don't know", "dont_know")])
def test_a_sign_for_what_was_not_seen(
    gb_cars: Ruleset, tmp_path: Path, sign: str, state: str
) -> None:
    walk, _ = typed(gb_cars, tmp_path, f"{at(gb_cars, 'pedal_hold')} {sign}")
    assert walk.answers["pedal_hold"].state == state


def test_nought_is_a_number_where_a_number_is_asked(gb_cars: Ruleset, tmp_path: Path) -> None:
    walk, _ = typed(gb_cars, tmp_path, f"{at(gb_cars, 'steering_play')} 0")
    assert walk.answers["steering_play"].hi == 0


def test_the_line_of_another_car_is_not_taken(gb_cars: Ruleset, tmp_path: Path) -> None:
    journal = a_car("petrol 2015")
    own, others = (
        card_code(numbered_prompts(gb_cars, j)) for j in (journal, a_car("electric 2022"))
    )
    assert own != others
    pedal = at(gb_cars, "pedal_hold")
    walk, asker = typed(gb_cars, tmp_path, f"card {others} {pedal} 1")
    assert "pedal_hold" not in walk.answers
    assert f"card {others}" in asker.moments[-1].text


def test_what_is_ticked_counts_before_none(gb_cars: Ruleset, tmp_path: Path) -> None:
    code = card_code(numbered_prompts(gb_cars, a_car("petrol 2015")))
    lamps = at(gb_cars, "lamps_missing")
    walk, _ = typed(gb_cars, tmp_path, f"card {code} {lamps} 0; {lamps} 2; {lamps} 1; 77 1; x")
    assert walk.answers["lamps_missing"].words == ("brake", "abs")
