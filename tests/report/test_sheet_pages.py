"""The sheet on paper and on a telephone, by headless Chromium where it is there.

How much stands on a page hangs on the font: Arial, or Liberation Sans, which has its widths.
"""

from __future__ import annotations

import re
import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

from assistant.journal.entries import Entry, Noted, Worry
from assistant.journal.file import read_journal
from assistant.reasoning.consultation import consult
from assistant.report.found import cut, found_of, reading_most, seen_line
from assistant.report.pages import css_string
from assistant.report.sections import FIRST, Section, sections
from assistant.report.sheet import sheet
from assistant.ruleset.load import load_ruleset
from assistant.ruleset.models import SHORT_MOST
from assistant.ruleset.ruleset import Ruleset
from tests.support.many_found import many_found
from tests.support.saying import mend, say

DEMOS = sorted((Path(__file__).resolve().parents[2] / "transcripts_demo").glob("*.jsonl"))
RULESETS = Path(__file__).resolve().parents[2] / "rulesets"
CLEAN = next(path for path in DEMOS if path.stem == "clean-car")
CHROMIUM = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "chrome"))), None)


def font() -> str:
    """The font that stands in for Arial here."""
    if shutil.which("fc-match") is None:
        return "not known"
    ran = subprocess.run(
        ["fc-match", "Arial", "family"], capture_output=True, text=True, check=True
    )
    return ran.stdout.strip()


needs_chromium = pytest.mark.skipif(
    CHROMIUM is None or not re.search("Arial|Liberation Sans", font()),
    reason=f"no headless Chromium, or other widths: the font is {font()}",
)
Chromium = Callable[..., Path]


@pytest.fixture
def chromium(tmp_path: Path) -> Chromium:
    """Runs it on a page; gives the file that it wrote."""

    def run(page: str, *options: str) -> Path:
        (tmp_path / "sheet.html").write_text(page)
        out = tmp_path / "out"
        with out.open("wb") as written:
            subprocess.run(
                [str(CHROMIUM), "--headless", "--no-sandbox", "--disable-gpu",
                 f"--user-data-dir={tmp_path / 'profile'}",
                 *(option.format(out=tmp_path / "printed") for option in options),
                 (tmp_path / "sheet.html").as_uri()],
                stdout=written, stderr=subprocess.DEVNULL, check=True, timeout=120,
            )  # fmt: skip
        return tmp_path / "printed" if (tmp_path / "printed").exists() else out

    return run


def pages(chromium: Chromium, page: str) -> int:
    """How many sheets of A4 it makes."""
    printed = chromium(page, "--no-pdf-header-footer", "--print-to-pdf={out}").read_bytes()
    return len(re.findall(rb"/Type\s*/Page\b", printed))


def page_one(page: str) -> str:
    """The sheet without what stands after its first page."""
    return re.sub(r'<div class="later">.*</main>', "</main>", page, flags=re.S)


def written(ruleset: Ruleset, journal: list[Entry], form: str = "html") -> str:
    return sheet(consult(ruleset, journal), journal, form)


# what page one has always ----------------------------------------------------------------------

ALWAYS = ["facts", "say", "wanted", "words", "found", "unknown", "mended", "ready", "trust"]


def filled(ruleset: Ruleset, count: int) -> list[Entry]:
    """A car with so many findings, and everything that an owner can add."""
    journal = many_found(ruleset, read_journal(CLEAN), count)
    turn = journal[-1].turn + 1
    journal.append(Worry(turn=turn, words="it squeals, and the fluid keeps going down"))
    given = {"wanted": "price", "model": "Ostrel Wren 1.2", "miles": "81,240",
             "name": "R. Ashdown", "phone": "07700 900123"}  # fmt: skip
    journal += [
        Noted(turn=turn + 1, about=about, words=words)  # type: ignore[arg-type]
        for about, words in given.items()
    ]
    return journal


@pytest.mark.parametrize("path", DEMOS, ids=lambda p: p.stem)
def test_page_one_answers_alone(gb_cars: Ruleset, path: Path) -> None:
    journal = read_journal(path)
    now = consult(gb_cars, journal)
    parts = {
        part.name.split()[0]: part for part in sections(now, journal, found_of(now), full=False)
    }
    assert all(parts[name].page == FIRST for name in ALWAYS)
    facts = {row.cells[0] for row in parts["facts"].rows}
    assert facts >= {"Car", "Miles", "Certificate", "Looked at", "Owner"}
    first = page_one(sheet(now, journal, "html"))
    found = found_of(now)
    assert re.findall(r'<td class="c1"><span class="n[ f]*">(\d+)', first) == [
        str(one.number) for one in found
    ]
    for one in found:
        assert one.place or one.trust == "told"
        assert one.trust and one.item
    assert "Signature" in first and "It does not say that the car is safe." in first
    assert not re.search(r"\b[a-z]+_[a-z]+\b", re.sub(r"<[^>]*>|<style.*?</style>", "", first))


def test_page_one_has_what_the_owner_added_and_what_was_mended(gb_cars: Ruleset) -> None:
    journal = filled(gb_cars, 4)
    say(journal, "wheel_wet@rear_nearside", "yes")
    mend(journal, "wheel_wet@rear_nearside")
    say(journal, "wheel_wet@rear_nearside", "no")
    first = page_one(written(gb_cars, journal))
    for words in ("Ostrel Wren 1.2", "81,240", "R. Ashdown; 07700 900123", "keeps going down",
                  "Look, and tell me the price first.", "first yes, now no."):  # fmt: skip
        assert words in first


def test_equal_findings_are_one_row_with_all_their_places(gb_cars: Ruleset) -> None:
    journal = read_journal(CLEAN)
    for wheel in gb_cars.members("wheels"):
        say(journal, f"tread_depth@{wheel}", 1.0 if "front" in wheel else 1.2)
    (row,) = [one for one in found_of(consult(gb_cars, journal)) if "below the limit" in one.says]
    assert (row.place, row.reading, row.fails) == ("All wheels", "1 mm; 1.2 mm", True)


def test_under_a_danger_all_milder_things_are_also_to_be_mended(gb_cars: Ruleset) -> None:
    found = found_of(consult(gb_cars, filled(gb_cars, 12)))
    assert {one.group for one in found} <= {
        "Stop now", "Do not drive", "Also to be mended", "Nothing to do",
    }  # fmt: skip
    assert len({one.group for one in found}) > 1


def test_a_line_is_the_rules_own_or_its_sentence_without_little_words(gb_cars: Ruleset) -> None:
    def line(name: str, reading: int = 0) -> str:
        rule = gb_cars.inferences[name].rule
        assert rule is not None
        return seen_line(rule, reading)

    assert line("brake_fluid_below") == "Brake fluid is below the lower mark"
    assert line("indicator_out") == "Indicator does not work"
    assert line("damper_weak") == "Corner goes on bouncing after a push"
    assert line("told_hum_watch") == "Hum that rises with speed"
    assert line("oil_patch_noticed", 25) == "Oily patch under car"
    assert cut("one two three", 9) == "one two\u2026" and cut("x" * 90, 10) == "x" * 9 + "\u2026"


@pytest.mark.parametrize("folder", ["gb-cars", "eu-directive"])
def test_every_line_of_page_one_is_whole_beside_its_reading(folder: str) -> None:
    ruleset = load_ruleset(RULESETS / folder)
    for rule in filter(None, (i.rule for i in ruleset.rules)):
        reading = reading_most(ruleset, rule)
        line = seen_line(rule, reading)
        if rule.finds or rule.urgency:
            assert len(line) + reading <= SHORT_MOST and "\u2026" not in line, rule.rule
            assert not re.match("(?:This|These|It|You) ", line), rule.rule


def test_no_line_of_many_findings_is_cut(gb_cars: Ruleset) -> None:
    now = consult(gb_cars, filled(gb_cars, 27))
    for one in found_of(now):
        assert one.reading and one.place and "\u2026" not in one.seen
        assert len(one.seen) <= SHORT_MOST


def test_what_was_told_is_a_line_in_words_with_its_place(gb_cars: Ruleset) -> None:
    journal = read_journal(CLEAN)
    worry = Worry(turn=200, words="the pedal went to the floor", dangers=("brakes_failed_moving",))
    (one,) = [f for f in found_of(consult(gb_cars, [*journal, worry])) if f.trust == "told"]
    assert (one.place, one.seen) == ("As told", "Foot brake failed, or pedal to the floor")
    assert (one.reading, one.item, one.grave) == ("only told", "no item", True)


def test_a_danger_is_square_and_bold_and_leads(gb_cars: Ruleset) -> None:
    """What is ranked first is never marked as if it were nothing, item or none."""
    for path in DEMOS:
        journal = read_journal(path)
        now = consult(gb_cars, journal)
        (table,) = [s for s in sections(now, journal, found_of(now), False) if s.name == "found"]
        for one, row in zip(found_of(now), table.rows, strict=bool(found_of(now))):
            dangers = [f for f in one.findings if f.urgency.is_danger]
            assert row.strong == (one.fails or bool(dangers) or one.grave), path.stem


def causes(ruleset: Ruleset, journal: list[Entry]) -> list[Section]:
    now = consult(ruleset, journal)
    return [s for s in sections(now, journal, found_of(now), False) if s.name.startswith("causes")]


def test_shares_stand_under_what_they_are_of_and_say_what_they_rest_on(gb_cars: Ruleset) -> None:
    journal = read_journal(DEMOS[[p.stem for p in DEMOS].index("small-things")])
    table = causes(gb_cars, journal)[0]
    heads = [row.group for row in table.rows if row.group]
    assert [re.sub(r".*\(|;.*", "", head) for head in heads] == ["no. 1", "no. 3"]
    rests = {row.cells[2] for row in table.rows if row.cells[3] == "nothing"}
    assert "how common it is; no answer bears on it yet" in rests


def test_without_causes_a_line_says_why(gb_cars: Ruleset) -> None:
    journal = read_journal(CLEAN)
    assert "nothing was found" in causes(gb_cars, journal)[0].rows[0].cells[0]
    journal.append(Worry(turn=journal[-1].turn + 1, words="it is no fun any more"))
    assert "fits no symptom" in causes(gb_cars, journal)[0].rows[0].cells[0]
    moved = causes(gb_cars, filled(gb_cars, 27))[0]
    assert moved.page == FIRST and "stand further on" in moved.rows[0].cells[0]


def test_a_dangers_own_check_leads_what_is_not_known(gb_cars: Ruleset) -> None:
    """Also one that was answered by a word that hides it: fluid that could not be seen."""
    journal = read_journal(CLEAN)
    say(journal, "pedal_hold", "sinks")
    say(journal, "brake_fluid_level", "cannot_see")
    now = consult(gb_cars, journal)
    (open_,) = [s for s in sections(now, journal, found_of(now), False) if "unknown" in s.name]
    named = open_.rows[1].cells[0].partition(": ")[2]
    assert named.startswith("brake fluid level"), named


def test_the_foot_is_one_string_of_css() -> None:
    """CSS Syntax Level 3, 4.3.5: a quote, a backslash or a line end would end a string."""
    nasty = '"; } </style><script>\\ \n\u202e x'
    text = css_string(nasty)
    assert re.fullmatch(r'"(?:\w|\\[0-9a-f]+ )*"', text)
    plain = re.sub(r"\\([0-9a-f]+) ", lambda m: chr(int(m[1], 16)), text)
    assert plain == f'"{nasty.replace(chr(10), " ").replace(chr(0x202E), " ")}"'


# printed ---------------------------------------------------------------------------------------


@needs_chromium
@pytest.mark.parametrize("path", DEMOS, ids=lambda p: p.stem)
def test_a_demo_is_two_pages(gb_cars: Ruleset, chromium: Chromium, path: Path) -> None:
    assert pages(chromium, written(gb_cars, read_journal(path))) == 2, font()


@needs_chromium
@pytest.mark.parametrize(("count", "most"), [(10, 3), (14, 3), (20, 3), (27, 4)])
def test_many_findings_stay_on_page_one(
    gb_cars: Ruleset, chromium: Chromium, count: int, most: int
) -> None:
    page = written(gb_cars, filled(gb_cars, count))
    assert pages(chromium, page) <= most, font()
    assert pages(chromium, page_one(page)) <= (1 if count <= 20 else 2), font()


@needs_chromium
@pytest.mark.parametrize("count", [0, 20])
def test_a_phone_scrolls_one_way_only(gb_cars: Ruleset, chromium: Chromium, count: int) -> None:
    """Measured by the browser itself, in a window of 390 px, with a name that has no space."""
    journal = filled(gb_cars, count)
    journal[0] = journal[0].model_copy(update={"car": "W" * 60})
    measure = "<script>document.title = document.documentElement.scrollWidth;</script></body>"
    page = written(gb_cars, journal).replace("</body>", measure)
    frame = (
        f'<body style="margin:0"><iframe style="width:390px;height:800px;border:0" srcdoc="'
        f'{page.replace("&", "&amp;").replace(chr(34), "&quot;")}"></iframe><script>onload = () => '
        "{ document.title = document.querySelector('iframe').contentDocument.title; }</script>"
    )
    dom = chromium(frame, "--window-size=800,900", "--dump-dom").read_text()
    title = re.search(r"<title>(\d+)</title>", dom)
    assert title and int(title[1]) <= 390
