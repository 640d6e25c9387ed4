"""The pictures: they fit, they escape, they show things where they are, and words say the same."""

from __future__ import annotations

import re
import shutil
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.choosing.agenda import Prompt
from assistant.errors import RulesetError
from assistant.journal.entries import Entry
from assistant.journal.file import read_journal
from assistant.reasoning.consultation import Consultation, consult
from assistant.report.drawn import car_of, screen_of, spot_of, tread_of
from assistant.report.lines import Line
from assistant.report.pictures import (
    CAR_COLUMNS,
    CAR_ROWS,
    LimitLine,
    Mark,
    Screen,
    Stop,
    Tread,
    car_layout,
    car_rows,
    damage_sides,
    screen_rows,
    tread_rows,
)
from assistant.report.prompts import how_lines
from assistant.report.sheet import sheet
from assistant.report.summary import (
    summary_lines,
)
from assistant.report.svg import car_svg, spread
from assistant.ruleset.load import load_ruleset
from assistant.ruleset.ruleset import Ruleset
from assistant.talk.asking import wrapped
from tests.support.saying import say, start

ROOT = Path(__file__).resolve().parent.parent.parent
GB = ROOT / "rulesets" / "gb-cars"
NASTY = '<script>alert("&\x1b[31m</svg>'
SVG = "{http://www.w3.org/2000/svg}"
MOST = 60
NARROW = 39


def told(*answers: tuple[str, object]) -> list[Entry]:
    journal = start("gb-cars")
    for key, value in (("body", "car"), *answers):
        say(journal, key, value)
    return journal


def prompt(rs: Ruleset, question: str, at: str = "") -> Prompt:
    place = rs.place_of(question, at)
    return Prompt(question, at, None, ((question, at),), place, "walk", 1, 0)


def picture_of(lines: list[Line]) -> list[str]:
    return next(line.text for line in lines if line.kind == "picture").split("\n")


DAMAGED = (
    ("screen_looks", ["damage"]), ("damage_swept", "yes"), ("damage_affects", "yes"),
    ("damage_size", 20), ("damage_offset", 100), ("tread_depth@front_nearside", 1.4),
    ("tread_depth@rear_offside", 5.5), ("tread_depth@rear_nearside", "dont_know"),
    ("tyre_damage@rear_offside", ["bulge"]), ("brake_fluid_level", "below"),
)  # fmt: skip


@pytest.fixture(scope="module")
def damaged(gb_cars: Ruleset) -> tuple[Consultation, list[Entry]]:
    journal = told(*DAMAGED)
    return consult(gb_cars, journal), journal


# letters in a terminal ------------------------------------------------------------------


def is_plain(rows: list[str], width: int = MOST) -> None:
    assert rows
    for row in rows:
        assert re.fullmatch("[ -~]*", row), row
        assert len(row) <= width, row


def test_every_picture_of_the_ruleset_is_plain_and_fits_a_narrow_window(gb_cars: Ruleset) -> None:
    now = consult(gb_cars, told(*DAMAGED))
    shown = 0
    for name, question in gb_cars.questions.items():
        if question.picture:
            at = gb_cars.members(question.each)[0]
            lines = how_lines(now, prompt(gb_cars, name, at))
            is_plain(picture_of(lines), NARROW)
            at_picture = [line.kind for line in lines].index("picture")
            words = lines[at_picture - 1]
            assert words.kind == "text"
            assert words.text.startswith(f"Picture: {gb_cars.pictures[question.picture].words}")
            shown += 1
    assert shown >= 8


def test_a_group_shows_its_picture_too(gb_cars: Ruleset) -> None:
    items = (("tyre_match", "front"), ("tyre_match", "rear"))
    group = Prompt(None, "", "tyre_pairs", items, "offside", "walk", 1, 0)
    lines = how_lines(consult(gb_cars, told()), group)
    assert any("205 / 55" in row for row in picture_of(lines))


def test_the_things_to_look_at_have_their_sketches(gb_cars: Ruleset) -> None:
    wanted = {
        "brake_fluid_bottle": ("MAX", "MIN"), "wear_bars": ("bar", "groove"),
        "tyre_age": ("DOT", "2319"), "battery": ("[+]", "[-]", "clamp"),
        "tyre_size": ("205", "width"),
    }  # fmt: skip
    for name, parts in wanted.items():
        ascii_ = gb_cars.pictures[name].ascii
        assert ascii_ and all(part in ascii_ for part in parts), name
    assert gb_cars.questions["brake_fluid_level"].picture == "brake_fluid_bottle"
    assert gb_cars.questions["battery_looks"].picture == "battery"
    assert gb_cars.questions["wear_bars"].picture == "wear_bars"


def test_a_picture_is_never_wrapped_and_is_whole_or_not_there() -> None:
    line = Line("picture", "  a   b\n" + "x" * 30 + "\n\x1b[31m")
    assert wrapped(line, 30) == ["  a   b", "x" * 30, " [31m"]
    assert wrapped(line, 29) == []
    assert wrapped(Line("picture", "ab", 4), 6) == ["    ab"]
    assert wrapped(Line("picture", "ab", 4), 5) == []


# the car --------------------------------------------------------------------------------


def test_every_place_and_every_part_has_a_spot_inside_the_car(gb_cars: Ruleset) -> None:
    spots = {p.place: p.spot for p in gb_cars.about.walk if p.stage != "end"}
    for axis in gb_cars.about.axes:
        spots |= {f"{axis.axis}/{m.at}": m.spot for m in axis.members}
    for name, spot in spots.items():
        assert spot is not None, name
        ((row, column, text),) = car_layout([], [Mark(1, spot)])
        assert text == "[1]"
        assert 0 <= row < CAR_ROWS and 0 <= column <= CAR_COLUMNS - 3
        blank = car_rows([], [])[row].ljust(CAR_COLUMNS)
        left = next(i for i, letter in enumerate(blank) if letter != " ")
        assert left - 2 <= column and column + 3 <= len(blank.rstrip()) + 2, name


def test_the_wheels_lie_on_the_wheels_of_the_drawing(gb_cars: Ruleset) -> None:
    blank = car_rows([], [])
    for member in gb_cars.axes["wheels"].members:
        assert member.spot is not None
        column = round(member.spot[0] / 100 * (CAR_COLUMNS - 1))
        assert blank[round(member.spot[1] / 100 * (CAR_ROWS - 1))][column] == "#", member.at
        x, y = 10 + member.spot[0] * 2.2, 10 + member.spot[1] * 4.4
        wheels = rects(car_svg([], "t", "d"))
        assert any(a <= x <= a + w and b <= y <= b + h for a, b, w, h in wheels), member.at


def rects(svg: str) -> list[tuple[float, float, float, float]]:
    return [
        (float(e.get("x", 0)), float(e.get("y", 0)), float(e.get("width", 0)),
         float(e.get("height", 0)))
        for e in ElementTree.fromstring(svg).iter(f"{SVG}rect")
    ]  # fmt: skip


def test_nearside_and_front_are_where_the_ruleset_puts_them(gb_cars: Ruleset) -> None:
    wheels = {m.at: m.spot for m in gb_cars.axes["wheels"].members}
    assert wheels["front_nearside"][0] < 50 < wheels["front_offside"][0]
    assert wheels["front_nearside"][1] < 50 < wheels["rear_nearside"][1]
    driver = gb_cars.places["driver_seat"].spot
    assert driver and driver[0] > 50
    assert gb_cars.pictures["screen_band"].of["centre"] > 50


def test_a_ruleset_with_the_wheel_on_the_other_side_is_only_data(tmp_path: Path) -> None:
    folder = tmp_path / "other"
    shutil.copytree(GB, folder)
    path = folder / "ruleset.yaml"
    path.write_text(
        re.sub(r"spot: \[(\d+),", lambda m: f"spot: [{100 - int(m[1])},", path.read_text())
    )
    other = load_ruleset(folder)
    now = consult(other, told(("tyre_damage@front_nearside", ["bulge"])))
    finding = next(f for f in now.findings if f.rule.rule == "tyre_bulge")
    assert spot_of(now, finding) == (94, 22)


def test_marks_are_where_the_findings_are(damaged: tuple[Consultation, list[Entry]]) -> None:
    now, _ = damaged
    car = car_of(now, [(n, [f]) for n, f in enumerate(now.findings, start=1)])
    assert car is not None
    layout = {text: (row, column) for row, column, text in car_layout(car.stops, car.marks)}
    for number, finding in enumerate(now.findings, start=1):
        spot = spot_of(now, finding)
        assert spot is not None
        row, column = layout[f"[{number}]"]
        assert abs(row - spot[1] / 100 * (CAR_ROWS - 1)) <= 3
        assert abs(column + 1 - spot[0] / 100 * (CAR_COLUMNS - 1)) <= 4
        if finding.at in ("front_nearside", "rear_offside"):
            want = now.ruleset.member("wheels", finding.at).spot
            assert spot == want
    bonnet = next(f for f in now.findings if "brake fluid" in f.rule.say)
    assert spot_of(now, bonnet) == now.ruleset.places["bonnet"].spot


def test_one_number_for_one_rule_at_two_wheels(gb_cars: Ruleset) -> None:
    now = consult(
        gb_cars, told(("tread_depth@front_nearside", 1.0), ("tread_depth@rear_offside", 1.0))
    )
    low = [f for f in now.findings if f.rule.rule == "tread_too_low"]
    car = car_of(now, [(1, low)])
    assert car is not None
    assert [m.number for m in car.marks] == [1, 1]
    assert "1 passenger's side front, driver's side rear" in car.words
    assert all(m.fails for m in car.marks)


@settings(deadline=None, max_examples=60)
@given(
    st.lists(st.tuples(st.floats(0, 100), st.floats(0, 100)), max_size=40),
    st.lists(st.tuples(st.floats(0, 100), st.floats(0, 100)), max_size=8, unique=True),
)
def test_any_marks_fit_without_hiding_one_another(
    spots: list[tuple[float, float]], places: list[tuple[float, float]]
) -> None:
    stops = [Stop(chr(65 + i), spot) for i, spot in enumerate(places)]
    marks = [Mark(i, spot, i % 2 == 0) for i, spot in enumerate(spots, start=1)]
    layout = car_layout(stops, marks)
    cells = [
        (row, column + i)
        for row, column, text in layout
        if text.startswith("[")
        for i in range(len(text))
    ]
    assert len(cells) == len(set(cells))
    assert all(0 <= r < CAR_ROWS and 0 <= c < CAR_COLUMNS for r, c in cells)
    assert {text for *_, text in layout if text.startswith("[")} == {f"[{m.number}]" for m in marks}
    is_plain(car_rows(stops, marks), NARROW)


def test_a_full_car_leaves_out_what_has_no_room() -> None:
    marks = [Mark(n, (50, 50)) for n in range(1, 181)]
    layout = car_layout([], marks)
    assert 150 < len(layout) < 180
    is_plain(car_rows([], marks), NARROW)
    assert spread([(0, 0), (0, 0)], [], [(1.0, 1.0)], apart=5) == [(1.0, 1.0), None]
    assert 80 < car_svg(marks, "t", "d").count('height="28"') < 180


def test_no_picture_of_a_car_without_findings_or_without_places(
    gb_cars: Ruleset, tiny: Ruleset
) -> None:
    assert car_of(consult(gb_cars, told()), []) is None
    journal = start()
    say(journal, "depth@left", 1.0)
    now = consult(tiny, journal)
    assert now.findings
    assert car_of(now, [(1, now.findings)]) is None
    lines = summary_lines(now, complete=True, pictured=True)
    assert not any(line.kind == "picture" for line in lines)
    assert not any(re.match(r"1\. ", line.text) for line in lines if line.kind == "found")


def test_the_summary_numbers_its_findings_as_the_picture_does(
    damaged: tuple[Consultation, list[Entry]],
) -> None:
    now, _ = damaged
    lines = summary_lines(now, complete=True, pictured=True)
    rows = picture_of(lines)
    is_plain(rows, NARROW)
    numbered = [line.text for line in lines if line.kind == "found"]
    for number, text in enumerate(numbered, start=1):
        assert text.startswith(f"{number}. ")
        assert any(f"[{number}]" in row for row in rows)
    words = lines[[line.kind for line in lines].index("picture") - 1].text
    assert "front at the top" in words and "1 passenger's side front" in words
    plain = summary_lines(now, complete=True)
    assert not any(line.kind == "picture" for line in plain)


# the windscreen and the tyres -----------------------------------------------------------


def test_the_damage_is_drawn_on_both_sides_while_the_side_is_not_known() -> None:
    screen = Screen(70, 1000, 145, "145 mm", (100, 100), (20, 20))
    assert damage_sides(screen) == [600, 800]
    assert damage_sides(replace(screen, offset=(400, 400))) == [300]
    assert damage_sides(replace(screen, offset=(0, 0))) == [700]
    assert damage_sides(replace(screen, offset=None)) == []
    assert damage_sides(replace(screen, offset=(1500, 1500))) == []
    rows = screen_rows(screen)
    (row,) = [r for r in rows if "X" in r]
    assert row.count("X") == 2
    assert [round(i / 37, 1) for i, letter in enumerate(row) if letter == "X"] == [0.6, 0.8]


def test_the_band_is_drawn_where_the_steering_wheel_is() -> None:
    for centre in (28, 72):
        rows = screen_rows(Screen(centre, 1300, 145, "145 mm"))
        band = next(row for row in rows if ":" in row)
        middle = (band.index(":") + band.rindex(":")) / 2
        assert abs(middle / 37 * 100 - centre) < 3
        assert abs(rows[9].index("+") - middle) <= 1
        assert not any("X" in row for row in rows)


def test_the_how_of_the_windscreen_says_what_it_shows(gb_cars: Ruleset) -> None:
    before = how_lines(
        consult(gb_cars, told(("damage_swept", "yes"))), prompt(gb_cars, "damage_offset")
    )
    assert not any("X" in row for row in picture_of(before))
    assert "145 mm" in "".join(line.text for line in before)
    after = how_lines(consult(gb_cars, told(*DAMAGED)), prompt(gb_cars, "damage_size"))
    assert any("X" in row for row in picture_of(after))
    words = " ".join(line.text for line in after)
    assert "100 mm" in words and "20 mm" in words and "X is the damage" in words


def test_the_how_of_the_tread_shows_which_part_counts(gb_cars: Ruleset) -> None:
    lines = how_lines(consult(gb_cars, told()), prompt(gb_cars, "tread_depth", "front_nearside"))
    rows = picture_of(lines)
    inside = next(row for row in rows if "|<" in row)
    assert rows[-1].split() == ["inner", "outer"]
    share = (inside.index(">|") + 2 - inside.index("|<")) / len(inside)
    assert abs(share - 0.75) < 0.06
    assert "central three quarters" in " ".join(line.text for line in lines)


@pytest.mark.parametrize(
    ("body", "lines"),
    [("car", [1.6, 3]), ("minibus", [1, 3]), ("dont_know", [1.6, 1, 3])],
)
def test_only_the_limits_of_this_vehicle_are_drawn(
    gb_cars: Ruleset, body: str, lines: list[float]
) -> None:
    journal = told(("tread_depth@rear_offside", 2.5))
    say(journal, "body", body)
    now = consult(gb_cars, journal)
    tread = tread_of(now, gb_cars.pictures["tread_width"], "rear_offside").shows
    assert isinstance(tread, Tread)
    assert [line.value for line in tread.limits] == lines
    assert [line.advice for line in tread.limits] == [False] * (len(lines) - 1) + [True]
    assert [d.span for d in tread.depths] == [(2.5, 2.5)]


def test_readings_across_the_width_are_drawn_from_edge_to_edge(gb_cars: Ruleset) -> None:
    journal = told(
        ("tread_depth@front_nearside", 1.5), ("tread_inner@front_nearside", 2),
        ("tread_middle@front_nearside", (3, 3.4)), ("tread_outer@front_nearside", 4),
    )  # fmt: skip
    now = consult(gb_cars, journal)
    drawn = tread_of(now, gb_cars.pictures["tread_width"], "front_nearside")
    assert isinstance(drawn.shows, Tread)
    assert [(d.at, d.words) for d in drawn.shows.depths] == [
        (12.5, "2"), (50, "3-3.4"), (87.5, "4"),
    ]  # fmt: skip
    assert drawn.shows.ends == ("inner", "outer")
    assert drawn.shows.lowest == LimitLine(1.5, "1.5 mm")
    for words in ("inner side: 2 mm", "middle: between 3 and 3.4 mm", "depth: 1.5 mm"):
        assert any(words in text for text in drawn.words), words


# SVG ------------------------------------------------------------------------------------

MARKS = [Mark(1, (6, 22), True), Mark(12, (50, 50))]


def test_an_svg_escapes_all_text_and_points_nowhere() -> None:
    for svg in [car_svg(MARKS, NASTY, NASTY)]:
        tree = ElementTree.fromstring(svg)
        assert {e.tag.removeprefix(SVG) for e in tree.iter()} <= {
            "svg", "title", "desc", "path", "rect", "circle", "text",
        }  # fmt: skip
        for element in tree.iter():
            for name, value in element.attrib.items():
                assert not name.lower().startswith("on") and "href" not in name, name
                assert "url(" not in value and "://" not in value
        assert "\x1b" not in svg
        shown = NASTY.replace("\x1b", " ")
        assert tree.findtext(f"{SVG}title") == shown
        assert tree.findtext(f"{SVG}desc") == shown


def test_an_svg_has_a_name_and_a_description() -> None:
    for svg in [car_svg(MARKS, "A title", "The words.")]:
        tree = ElementTree.fromstring(svg)
        assert tree.get("role") == "img"
        ids = {e.get("id"): e.text for e in tree.iter() if e.get("id")}
        labels = (tree.get("aria-labelledby") or "").split()
        assert [ids[label] for label in labels] == ["A title", "The words."]


def test_what_is_drawn_stays_inside_the_svg() -> None:
    for svg in [car_svg(MARKS, "t", "d")]:
        tree = ElementTree.fromstring(svg)
        _, _, width, height = (float(n) for n in (tree.get("viewBox") or "").split())
        for x, y, w, h in rects(svg):
            assert x >= 0 and x + w <= width and y >= 0 and y + h <= height
        for text in tree.iter(f"{SVG}text"):
            assert 0 <= float(text.get("x") or -1) <= width
            assert 0 <= float(text.get("y") or -1) <= height


def test_marks_of_the_svg_lie_at_their_spots_and_apart() -> None:
    marks = [Mark(n, (6, 22), n == 1) for n in range(1, 5)] + [Mark(5, (50, 50))]
    tree = ElementTree.fromstring(car_svg(marks, "t", "d"))
    marked = [r for r in tree.iter(f"{SVG}rect") if r.get("height") == "28"]
    found = {(float(r.get("x") or 0) + 14, float(r.get("y") or 0) + 14) for r in marked}
    assert len(found) == 5 and len({r.get("rx") for r in marked}) == 2  # by shape: square or round
    assert {r.get("fill") for r in marked} == {"#fffdf8"}  # paper drops a filled ground
    assert (120.0, 230.0) in found
    near = sorted(found)[:4]
    assert all(abs(y - (10 + 22 * 4.4)) < 60 and x < 60 for x, y in near)


# the sheet ------------------------------------------------------------------------------


def test_the_numbers_on_the_car_are_those_of_the_table(
    damaged: tuple[Consultation, list[Entry]],
) -> None:
    now, journal = damaged
    text = sheet(now, journal, "html")
    (figure,) = re.findall(r"<figure.*?</figure>", text, re.S)
    (svg,) = re.findall(r"<svg.*?</svg>", figure, re.S)
    rows = re.findall(r'<td class="c1"><span class="n[ f]*">(\d+)', text)
    assert rows == [str(n) for n in range(1, len(rows) + 1)]
    shown = {t.text for t in ElementTree.fromstring(svg).iter(f"{SVG}text")}
    elsewhere = re.findall(r"Not on the picture: ([\d, ]+)", figure)
    assert shown | set(", ".join(elsewhere).split(", ")) - {""} == set(rows)


def test_a_clean_car_has_no_car_picture(gb_cars: Ruleset) -> None:
    """A car without marks could be read as a promise."""
    journal = read_journal(ROOT / "transcripts_demo" / "clean-car.jsonl")
    text = sheet(consult(gb_cars, journal), journal, "html")
    assert "<svg" not in text


def test_the_json_sheet_has_no_pictures(damaged: tuple[Consultation, list[Entry]]) -> None:
    now, journal = damaged
    assert "svg" not in sheet(now, journal, "json")


# the ruleset ----------------------------------------------------------------------------


def changed(tmp_path: Path, file: str, old: str, new: str) -> Path:
    folder = tmp_path / "changed"
    shutil.copytree(GB, folder)
    path = folder / file
    text = path.read_text()
    assert old in text
    path.write_text(text.replace(old, new, 1))
    return folder


@pytest.mark.parametrize(
    ("file", "old", "new", "says"),
    [
        ("tyres.yaml", "picture: wear_bars", "picture: wear_barz", "Did you mean 'wear_bars'?"),
        ("tyres.yaml", "picture: tyre_size", "picture: tyre_sise", "no picture 'tyre_sise'"),
        ("pictures.yaml", "to the brakes", "x" * 61, "60 letters"),
        ("pictures.yaml", "to the brakes", "to the brakés", "plain ASCII"),
        ("pictures.yaml", "to the brakes", "a" + "\n          b" * 14, "14 rows"),
        ("pictures.yaml", "draw: tyre", "draw: wing", "draw"),
        ("pictures.yaml", "central: 75", "middle: 75", "of: must give"),
        ("pictures.yaml", "central: 75", "central: tread_least", "must be a number"),
        ("pictures.yaml", "depth: tread_depth", "depth: tread_dept", "no quantity 'tread_dept'"),
        ("pictures.yaml", "zone: damage_zone", "zone: damage_size", "no worked-out fact"),
        ("pictures.yaml", "tread_early]", "tread_late]", "no limit 'tread_late'"),
        ("ruleset.yaml", "spot: [6, 22]", "spot: [6, 122]", "spot"),
    ],
)
def test_a_mistake_in_a_picture_is_named(
    tmp_path: Path, gb_cars: Ruleset, kept: Path, file: str, old: str, new: str, says: str
) -> None:
    with pytest.raises(RulesetError) as error:
        load_ruleset(changed(tmp_path, file, old, new), kept)
    place, _ = next((p, t) for p, t in error.value.problems if says in f"{t}")
    assert place.file == file and place.line > 0


def test_pictures_come_out_of_the_cache_as_they_went_in(tmp_path: Path) -> None:
    fresh = load_ruleset(GB, tmp_path)
    assert list(tmp_path.glob("*.kept"))
    again = load_ruleset(GB, tmp_path)
    assert again.pictures == fresh.pictures and fresh.pictures
    assert again.digest == fresh.digest


def test_a_picture_nobody_shows_is_a_mistake(tmp_path: Path) -> None:
    from assistant.authoring.check.checks import check_statics

    folder = changed(tmp_path, "tyres.yaml", "    picture: wear_bars\n", "")
    problems = check_statics(load_ruleset(folder))
    assert any("wear_bars: no question or group shows" in text for _, text in problems)


def test_screen_of_says_both_limits(damaged: tuple[Consultation, list[Entry]]) -> None:
    now, _ = damaged
    words = " ".join(screen_of(now, now.ruleset.pictures["screen_band"]).words)
    for part in ("10 mm", "40 mm", "145 mm each side", "band in front of the driver"):
        assert part in words


def test_the_tread_rows_are_plain() -> None:
    for central in (50.0, 75.0, 100.0):
        is_plain(tread_rows(Tread(central)), NARROW)
