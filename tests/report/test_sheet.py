"""The sheet and the card: nothing escapes, nothing is fetched, nothing is promised."""

from __future__ import annotations

import html
import json
import re
from collections.abc import Callable
from functools import cache
from html.parser import HTMLParser
from pathlib import Path

import pytest

from assistant.journal.entries import Context, Entry, Said, entry_adapter
from assistant.journal.file import read_journal
from assistant.reasoning.consultation import Consultation, consult
from assistant.report.card import card
from assistant.report.found import found_of
from assistant.report.pages import json_text
from assistant.report.result import SCHEMA, result_data
from assistant.report.sections import sections
from assistant.report.sheet import sheet
from assistant.report.summary import summary_lines
from assistant.ruleset.ruleset import Ruleset
from tests.support.saying import DAY, correct, say, start

DEMOS = sorted((Path(__file__).resolve().parents[2] / "transcripts_demo").glob("*.jsonl"))
BAD = "<script>alert(\"1\")</script><img src=x onerror='f()'> & {{ 7 * 7 }} \x1b[31m\u202e"
MARKS = "# *star* _line_ [link](http://x.example) `code` | ~~no~~ <b> &amp; \\ {x} \x1b[31m ![i](j)"


NO_VALUE = r">\s*None\s*<|(?<![.?] )\bNone[.,:)\n]|\bUndefined\b"


Pages = Callable[[Path], dict[str, str]]


class Page(HTMLParser):
    """The tags of a page with their attributes, and its text."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.text = ""
        self.open: list[str] = []
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        if tag not in ("meta", "br", "input"):
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if "style" not in self.open:
            self.text += data


def falling(words: str = "below the mark", car: str = "Juniper") -> list[Entry]:
    """A wet wheel, something not known, something changed, and a group answer."""
    journal: list[Entry] = [Context(today=DAY, ruleset="gb-cars", car=car[:60])]
    say(journal, "fuel", "petrol", words)
    say(journal, "body", "car", words)
    say(journal, "equipment", [], words)
    say(journal, "brake_fluid_level", "below", words)
    say(journal, "fluid_fall_time", "dont_know", words)
    say(journal, "wheel_wet@rear_nearside", "yes", words)
    say(journal, "wheel_wet@front_nearside", "yes", words)
    correct(journal, "wheel_wet@front_nearside", "no")
    say(journal, "thinnest_pad", (1.0, 2.0), words)
    last = journal[-1]
    assert isinstance(last, Said)
    journal[-1] = last.model_copy(update={"when": words[:40], "group": "through_wheels@nearside"})
    return journal


def written(ruleset: Ruleset, journal: list[Entry], form: str) -> str:
    return sheet(consult(ruleset, journal), journal, form)


def every_page(ruleset: Ruleset, journal: list[Entry]) -> dict[str, str]:
    pages = {f"sheet {form}": written(ruleset, journal, form) for form in ("html", "md", "json")}
    return pages | {f"card {form}": card(ruleset, journal, form) for form in ("html", "text")}


@pytest.fixture(scope="module")
def pages_of(gb_cars: Ruleset) -> Pages:
    """Every page of a demo, made once for all tests that only read them."""
    return cache(lambda path: every_page(gb_cars, read_journal(path)))


# HTML -----------------------------------------------------------------------------------


def test_html_escapes_all_that_was_typed(gb_cars: Ruleset) -> None:
    journal = falling(BAD, BAD)
    plain = Page(written(gb_cars, falling(), "html"))
    for page in (written(gb_cars, journal, "html"), card(gb_cars, journal, "html")):
        read = Page(page)
        names = {tag for tag, _ in read.tags}
        assert not names & {"script", "img", "b" if "sheet" in page else "img"}
        assert not any(key.startswith("on") for _, attrs in read.tags for key in attrs)
        assert "<script>" in read.text and "<script>" not in page
        assert "\x1b" not in page and "\u202e" not in page
        assert "{{" in read.text or "card" in page
    tags = [tag for tag, _ in Page(written(gb_cars, journal, "html")).tags]
    extra = len(tags) - len(plain.tags)
    assert 0 <= extra < 40 and set(tags) == {tag for tag, _ in plain.tags}


@pytest.mark.parametrize("path", DEMOS, ids=lambda p: p.stem)
def test_html_is_whole_and_self_contained(pages_of: Pages, path: Path) -> None:
    for page in (pages_of(path)["sheet html"], pages_of(path)["card html"]):
        page = page.replace(' xmlns="http://www.w3.org/2000/svg"', "")
        read = Page(page)
        assert read.open == []
        assert page.startswith("<!DOCTYPE html>")
        assert not re.search(r"https?:|//[a-z]|url\(|@import|javascript:", page)
        for tag, attrs in read.tags:
            assert tag not in ("script", "link", "iframe", "object", "embed", "base", "form")
            assert not {"src", "href", "srcset", "action", "background"} & set(attrs), tag
        assert "{{" not in page and "{%" not in page
        assert not re.search(NO_VALUE, page)


def test_html_has_its_attribution_and_its_notices(gb_cars: Ruleset) -> None:
    journal = falling()
    for form, page in every_page(gb_cars, journal).items():
        text = " ".join(html.unescape(re.sub(r"\\(?=[\W_])", "", page)).split())
        if "md" in form or "html" in form:
            text = " ".join(text.replace("</li>", " ").split())
        for words in (*gb_cars.about.notices, *gb_cars.about.attributions):
            assert " ".join(words.split()) in text, form
        assert "Open Government Licence v3.0" in text


PROMISES = [
    r"certif", r"guarante", r"\bpass(ed|es)\b", r"roadworthy", r"\bapproved\b", r"is safe\b",
    r"safe to drive", r"in order\b", r"no defects?\b",
]  # fmt: skip
ALLOWED = [
    "nothing here is a certificate",
    "No inspection, no certificate.",
    "<dt>Certificate</dt>",
    "- Certificate:",
    "It does not say that the car is safe.",
    "It cannot tell you that the car is safe, or that it will pass.",
]


@pytest.mark.parametrize("path", DEMOS, ids=lambda p: p.stem)
def test_no_page_promises_anything(gb_cars: Ruleset, pages_of: Pages, path: Path) -> None:
    journal = read_journal(path)
    for form, page in pages_of(path).items():
        if form == "sheet json":
            continue  # the same words once more, among names for machines
        page = re.sub(r"<style>.*?</style>", "", page, flags=re.S)
        text = " ".join(html.unescape(page).split())
        for words in ALLOWED:
            text = text.replace(words, "")
        for sentence in _rule_words(consult(gb_cars, journal)):
            text = text.replace(sentence, "")
        found = [m[0] for pattern in PROMISES for m in re.finditer(f".{{0,40}}{pattern}", text)]
        assert not found, form


def _strings(data: object) -> list[str]:
    """Every text somewhere inside JSON data."""
    if isinstance(data, str):
        return [data]
    inside = data.values() if isinstance(data, dict) else data if isinstance(data, list) else ()
    return [text for part in inside for text in _strings(part)]


def _rule_words(result: Consultation) -> list[str]:
    """What the ruleset itself says of defects and of the tester's work, longest first."""
    ruleset = result.ruleset
    words: set[str] = set()
    for inference in ruleset.rules:
        rule = inference.rule
        if rule is not None:
            words |= {w for w in (rule.say, rule.why, rule.do, rule.note) if w}
    for thing in result.tester_only:
        words |= {w for w in (thing.what, thing.tester, thing.early_sign) if w}
    words |= {step.means for step in ruleset.about.scale.values()}
    words |= {w for q in ruleset.questions.values() for w in (q.ask, q.how, q.means) if w}
    for name, question in ruleset.questions.items():
        words |= {name, question.label, *(choice.say for choice in question.choices.values())}
    words |= {s.edition for s in ruleset.sources.values()}
    dates = _strings(result_data(result).get("deadlines"))  # of the station's certificate
    words |= {part for text in dates for part in (text, text.partition(". ")[0])}
    return sorted((" ".join(w.split()) for w in words), key=len, reverse=True)


def test_the_advice_stands_first(gb_cars: Ruleset) -> None:
    journal = falling()
    for form in ("html", "md"):
        page = written(gb_cars, journal, form)
        advice = page.index("Do not drive.")
        for later in ("Found, the gravest first", "What was found, in whole", "Not known"):
            assert advice < page.index(later), form
    data = json.loads(written(gb_cars, journal, "json"))
    assert data["drive"]["urgency"] == "do_not_drive"


def test_what_was_taken_back_stays_on_page_one(gb_cars: Ruleset) -> None:
    for form in ("html", "md"):
        page = written(gb_cars, falling(), form)
        assert page.index("Have it confirmed:") < page.index("What was found, in whole")


def test_an_empty_walk_has_a_sheet_and_a_card(gb_cars: Ruleset, tiny: Ruleset) -> None:
    for ruleset in (gb_cars, tiny):
        for form, page in every_page(ruleset, start(ruleset.about.name)).items():
            assert len(page) > 200, form
            assert not re.search(NO_VALUE, page)


def test_an_unknown_form_is_refused(tiny: Ruleset) -> None:
    with pytest.raises(ValueError, match="pdf"):
        written(tiny, start(), "pdf")
    with pytest.raises(ValueError, match="pdf"):
        card(tiny, start(), "pdf")


# Markdown -------------------------------------------------------------------------------


def test_markdown_escapes_all_that_was_typed(gb_cars: Ruleset) -> None:
    page = written(gb_cars, falling(MARKS, MARKS), "md")
    for raw in ("<b>", "](http", "*star*", "_line_", "`code`", "~~no~~", "\x1b", "![", "{x}"):
        unescaped = re.sub(r"\\[\\`*_\[\]{}#|~]", "", page)
        assert raw not in unescaped, raw
    assert r"\*star\*" in page and "&lt;b&gt;" in page and "&amp;amp;" in page


def test_markdown_escapes_once(gb_cars: Ruleset) -> None:
    """Made of pieces as it is, no piece is escaped twice, and no heading is."""
    page = written(gb_cars, falling("a_b"), "md")
    assert r"a\_b" in page and r"\\_" not in page
    assert "&amp;lt;" not in page and r"\#" not in page and r"\*\*" not in page


@pytest.mark.parametrize("full", [False, True])
@pytest.mark.parametrize("path", DEMOS, ids=lambda p: p.stem)
def test_markdown_and_html_say_the_same(gb_cars: Ruleset, path: Path, full: bool) -> None:
    """Each section stands in both, with its first and its last row."""
    journal = read_journal(path)
    result = consult(gb_cars, journal)
    page = Page(sheet(result, journal, "html", full)).text
    rows = re.sub(r"\\(?=[\W_])", "", html.unescape(sheet(result, journal, "md", full)))
    trade = consult(gb_cars.for_the_garage, journal)
    parts = sections(trade, journal, found_of(trade), full)
    for text in (" ".join(page.split()), " ".join(rows.replace("**", "").split())):
        for part in parts:
            for words in (part.title, *part.rows[0].cells, *part.rows[-1].cells):
                assert " ".join(words.split()) in text, part.name


@pytest.mark.parametrize("path", DEMOS, ids=lambda p: p.stem)
def test_markdown_is_plain(gb_cars: Ruleset, path: Path) -> None:
    rows = written(gb_cars, read_journal(path), "md").split("\n")
    for index, row in enumerate(rows):
        assert not re.match(r"(?: {4,}|\t)[A-Z]?[a-z]{3}", row), "a code block by accident"
        assert not row.startswith("#") or index == 0 or rows[index - 1] == "", row
        if row.startswith("|") and not rows[index - 1].startswith("|"):
            width = re.sub(r"\\\|", "", row).count("|")
        if row.startswith("|"):
            assert re.sub(r"\\\|", "", row).count("|") == width, row


# JSON -----------------------------------------------------------------------------------


@pytest.mark.parametrize("path", DEMOS, ids=lambda p: p.stem)
def test_json_can_be_replayed_to_the_same_sheet(gb_cars: Ruleset, path: Path) -> None:
    journal = read_journal(path)
    page = written(gb_cars, journal, "json")
    data = json.loads(page)
    assert data["schema"] == SCHEMA == 1
    again = [entry_adapter.validate_python(entry) for entry in data["journal"]]
    assert again == journal
    assert written(gb_cars, again, "json") == page


SCHEMA_1 = {
    "schema", "ruleset", "ruleset_digest", "today", "car", "about_the_car", "drive", "would_fail",
    "findings", "causes", "have_confirmed", "asked_at_once_not_answered", "too_close_to_tell",
    "not_known", "looked_at_nothing_found", "only_the_station", "not_asked", "still_open",
    "input_faults", "engine_faults", "notices", "attributions",
}  # fmt: skip
FINDING_1 = {
    "rule", "item", "category", "fails", "at", "place", "place_words", "urgency", "urgency_words",
    "found", "reason", "do", "who", "cautions", "source", "edition", "clause", "basis", "note",
    "close_to_limit", "rests_on", "trail",
}  # fmt: skip


def test_json_keeps_the_fields_of_schema_1(gb_cars: Ruleset) -> None:
    """Fields are only added within a version; nothing here may ever be taken out."""
    data = result_data(consult(gb_cars, falling()))
    assert set(data) >= SCHEMA_1
    assert set(data["findings"][0]) >= FINDING_1
    assert {"urgency", "words", "because", "complete", "limits"} <= set(data["drive"])
    assert {"question", "at", "words", "understood", "state"} <= set(data["not_known"][0])
    sheet_keys = set(json.loads(written(gb_cars, falling(), "json")))
    assert sheet_keys >= SCHEMA_1 | {"journal", "answers_by_place", "scale", "worries"}


def test_json_has_nothing_a_terminal_could_obey() -> None:
    text = json_text({"a": "\x1b[31m\x9b2J\x7f\u2028 caf\u00e9 \U0001f697"})
    assert not set("\x1b\x9b\x7f\u2028") & set(text)
    assert "caf\u00e9 \U0001f697" in text
    assert json.loads(text) == {"a": "\x1b[31m\x9b2J\x7f\u2028 caf\u00e9 \U0001f697"}


def test_json_takes_half_a_letter_from_a_broken_file() -> None:
    assert json.loads(json_text({"a": "x\ud83d y"})) == {"a": "x\ud83d y"}


def test_json_is_strict(gb_cars: Ruleset) -> None:
    def never(name: str) -> None:
        raise AssertionError(name)

    json.loads(written(gb_cars, falling(), "json"), parse_constant=never)


# the same, and the card -----------------------------------------------------------------


@pytest.mark.parametrize("path", DEMOS, ids=lambda p: p.stem)
def test_the_same_record_gives_the_same_bytes(
    gb_cars: Ruleset, pages_of: Pages, path: Path
) -> None:
    assert pages_of(path) == every_page(gb_cars, read_journal(path))


def test_making_a_sheet_changes_nothing(gb_cars: Ruleset) -> None:
    journal = falling()
    before = [e.model_dump_json() for e in journal]
    every_page(gb_cars, journal)
    assert [e.model_dump_json() for e in journal] == before


def test_a_part_is_called_as_its_reader_calls_it(gb_cars: Ruleset) -> None:
    journal = falling("slowly")
    now = consult(gb_cars, journal)
    said = "\n".join(line.text for line in summary_lines(now, complete=True))
    assert "assenger's side rear" in said and "nearside" not in said
    for form in ("html", "md"):
        page = written(gb_cars, journal, form)
        assert "ear nearside" in page and "assenger's side" not in page
    assert not gb_cars.garage
