"""Dates and what a result means: only what is known, only in the words of the ruleset."""

from __future__ import annotations

import datetime as dt
import re
import shutil
from itertools import product
from pathlib import Path

import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from assistant.authoring.check.cases import check_cases, check_mutations
from assistant.authoring.check.checks import check_statics
from assistant.calculations.dates import is_clamped
from assistant.choosing.agenda import agenda
from assistant.errors import RulesetError
from assistant.journal.entries import Answer, Said
from assistant.reading.result import Unclear, Understood
from assistant.reading.understand import understand
from assistant.reasoning.consultation import consult
from assistant.reasoning.deadlines import Deadline, Found, Known, deadlines, deadlines_of
from assistant.report.card import card
from assistant.report.result import result_data
from assistant.report.sheet import sheet
from assistant.report.summary import deadline_lines, due_lines
from assistant.ruleset.calendar_file import CalendarFile, Told
from assistant.ruleset.load import load_ruleset
from assistant.ruleset.models import Urgency
from assistant.ruleset.ruleset import Ruleset
from tests.support.saying import say, start
from tests.support.talking import Walk

ROOT = Path(__file__).resolve().parent.parent.parent
TODAY = dt.date(2026, 3, 2)
WIPER = Found("major", "3.4(a)", "A wiper is missing.")
RUST = Found("major", "6.1.1(a)(i)", "rear: It is rusty.")
TYRE = Found("dangerous", "5.2.3(e)", "The tread is too low.")
CHIP = Found("minor", "3.2(a)(i)", "A chip.")


def day(*parts: int) -> tuple[dt.date, dt.date]:
    return (dt.date(*parts), dt.date(*parts))


def known(**more: object) -> Known:
    given: dict[str, object] = {"today": TODAY, "asked": True, "kind": "car"}
    return Known(**{**given, **more})  # type: ignore[arg-type]


def failing(*found: Found, **more: object) -> Known:
    fails = tuple(f for f in found if f.category in ("major", "dangerous"))
    return known(found=found, fails=fails, **more)


@pytest.fixture(scope="session")
def calendar(gb_cars: Ruleset) -> CalendarFile:
    assert gb_cars.calendar is not None
    return gb_cars.calendar


def of_kind(said: tuple[Deadline, ...], kind: str) -> list[Deadline]:
    return [d for d in said if d.kind == kind]


def kinds(said: tuple[Deadline, ...]) -> set[str]:
    return {d.kind for d in said}


# when it is due -------------------------------------------------------------------------


def test_a_known_end_gives_the_last_day_the_earliest_and_what_is_left(
    calendar: CalendarFile,
) -> None:
    said = deadlines(calendar, known(expiry=day(2026, 5, 15)))
    (due,), (earliest,) = of_kind(said, "due"), of_kind(said, "earliest")
    assert due.dates == (dt.date(2026, 5, 15),)
    assert "15 May 2026" in due.text and "74 days" in due.text
    assert earliest.dates == (dt.date(2026, 4, 16),)
    (after,) = of_kind(said, "next")
    assert after.dates[-1] == dt.date(2027, 5, 15)
    assert "unknown" not in kinds(said)


@pytest.mark.parametrize(
    ("today", "words"),
    [
        ((2026, 4, 15), "earliest day that keeps the date is 16 April 2026"),
        ((2026, 4, 16), "may be inspected now"),
        ((2026, 5, 14), "1 day from today"),
        ((2026, 5, 15), "runs out today"),
        ((2026, 5, 16), "ran out on 15 May 2026, 1 day ago"),
    ],
)
def test_each_side_of_each_day(
    calendar: CalendarFile, today: tuple[int, int, int], words: str
) -> None:
    said = deadlines(calendar, known(today=dt.date(*today), expiry=day(2026, 5, 15)))
    assert words in " ".join(d.text for d in said)


def test_a_certificate_that_has_run_out_says_where_it_may_be_driven(
    calendar: CalendarFile,
) -> None:
    said = deadlines(calendar, known(expiry=day(2026, 3, 1)))
    assert "expired" in kinds(said)
    assert not {"earliest", "next", "early"} & kinds(said)
    assert "booked" in of_kind(said, "expired")[0].text


def test_a_rough_end_takes_the_first_day_as_the_last_and_the_last_for_the_window(
    calendar: CalendarFile,
) -> None:
    month = (dt.date(2026, 5, 1), dt.date(2026, 5, 31))
    said = deadlines(calendar, known(expiry=month))
    assert "take 1 May 2026 as the last day" in of_kind(said, "due")[0].text
    assert of_kind(said, "earliest")[0].dates == (dt.date(2026, 5, 1),)
    assert not of_kind(said, "next")
    late = deadlines(calendar, known(expiry=month, today=dt.date(2026, 5, 9)))
    assert "may have run out already" in of_kind(late, "due")[0].text


@pytest.mark.parametrize("expiry", [(2026, 3, 31), (2026, 5, 31), (2028, 3, 30), (2028, 2, 29)])
def test_the_end_of_a_month_is_named_unsure(
    calendar: CalendarFile, expiry: tuple[int, int, int]
) -> None:
    said = deadlines(calendar, known(expiry=day(*expiry)))
    (unsure,) = of_kind(said, "unsure")
    assert "unsure by a day or so" in unsure.text and unsure.basis == "assumed"
    assert not of_kind(deadlines(calendar, known(expiry=day(2026, 5, 15))), "unsure")


def test_clamped_only_where_the_month_has_not_got_the_day() -> None:
    assert is_clamped(dt.date(2026, 3, 31), -1) and is_clamped(dt.date(2024, 2, 29), 36)
    assert not is_clamped(dt.date(2026, 4, 30), -1) and not is_clamped(dt.date(2024, 2, 29), 48)


@pytest.mark.parametrize(
    ("kind", "first_used", "due"),
    [
        ("car", (2024, 6, 14), (2027, 6, 14)),
        ("heavy_van", (2024, 6, 14), (2027, 6, 14)),
        ("minibus", (2025, 6, 14), (2026, 6, 14)),
        ("car", (2023, 3, 2), (2026, 3, 2)),
    ],
)
def test_the_first_inspection_is_counted_from_the_first_registration(
    calendar: CalendarFile,
    kind: str,
    first_used: tuple[int, int, int],
    due: tuple[int, int, int],
) -> None:
    for asked in (True, False):
        said = deadlines(calendar, known(asked=asked, kind=kind, first_used=day(*first_used)))
        assert of_kind(said, "first")[0].dates == (dt.date(*due),)
        assert "unknown" not in kinds(said)


def test_a_first_registration_known_only_by_its_year_gives_a_span(calendar: CalendarFile) -> None:
    said = deadlines(calendar, known(first_used=(dt.date(2023, 1, 1), dt.date(2023, 12, 31))))
    (first,) = of_kind(said, "first")
    assert first.dates == (dt.date(2026, 1, 1), dt.date(2026, 12, 31))
    assert "It may be due already" in first.text


def test_a_first_registration_on_a_leap_day_is_named_unsure(calendar: CalendarFile) -> None:
    said = deadlines(calendar, known(first_used=day(2024, 2, 29)))
    assert of_kind(said, "first")[0].dates == (dt.date(2027, 2, 28),)
    assert of_kind(said, "unsure")


@settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    today=st.dates(dt.date(1990, 1, 1), dt.date(2090, 1, 1)),
    first=st.none() | st.dates(dt.date(1900, 1, 1), dt.date(2090, 1, 1)),
    kind=st.sampled_from(["car", "minibus", None]),
    found=st.lists(st.sampled_from([WIPER, RUST, TYRE, CHIP]), max_size=3),
)
def test_an_unknown_end_is_said_to_be_not_known_and_is_never_guessed(
    gb_cars: Ruleset, today: dt.date, first: dt.date | None, kind: str | None, found: list[Found]
) -> None:
    assert gb_cars.calendar is not None
    span = (first, first) if first is not None and first <= today else None
    said = deadlines(gb_cars.calendar, failing(*found, today=today, first_used=span, kind=kind))
    if of_kind(said, "first"):
        (due,) = of_kind(said, "first")[0].dates
        assert span is not None and due >= today
        assert due == span[0].replace(year=due.year, day=min(span[0].day, due.day))
    else:
        assert "not known" in of_kind(said, "unknown")[0].text
        assert not [d for d in said if d.dates]
    assert not {"overdue", "due", "earliest", "next", "expired"} & kinds(said)


def test_nothing_is_said_where_nothing_was_asked(calendar: CalendarFile, tiny: Ruleset) -> None:
    old = day(2010, 1, 1)
    assert deadlines(calendar, known(asked=False, first_used=old)) == ()
    assert deadlines(calendar, failing(WIPER, asked=False, first_used=old)) == ()
    assert deadlines_of(consult(tiny, start())) == ()


@pytest.mark.parametrize(
    ("first", "words"),
    [
        (day(1986, 3, 2), "may need no inspection"),
        ((dt.date(1985, 1, 1), dt.date(1986, 12, 31)), "Depending on its exact age"),
        (day(1986, 3, 3), ""),
    ],
)
def test_the_exemption_of_old_vehicles(
    calendar: CalendarFile, first: tuple[dt.date, dt.date], words: str
) -> None:
    exempt = of_kind(deadlines(calendar, known(first_used=first)), "exempt")
    assert bool(exempt) == bool(words)
    if words:
        assert words in exempt[0].text and "40 years" in exempt[0].text


# driving home ---------------------------------------------------------------------------


@pytest.mark.parametrize("expiry", [None, day(2026, 5, 15), day(2026, 3, 1)])
@pytest.mark.parametrize("advice", list(Urgency))
@pytest.mark.parametrize("found", [(), (CHIP,), (WIPER, CHIP), (TYRE, WIPER)])
def test_driving_home_needs_both_conditions_and_the_walk_comes_first(
    calendar: CalendarFile,
    expiry: tuple[dt.date, dt.date] | None,
    advice: Urgency,
    found: tuple[Found, ...],
) -> None:
    said = deadlines(calendar, failing(*found, expiry=expiry, advice=advice))
    home = of_kind(said, "driving_home")
    grave = advice.rank <= Urgency.GENTLY_TO_GARAGE.rank
    assert bool(of_kind(said, "own_advice")) == grave
    may_be_told = WIPER in found and TYRE not in found
    assert bool(home) == (may_be_told and advice.rank >= Urgency.GENTLY_TO_GARAGE.rank)
    for d in home:
        assert "nothing was found dangerous" in d.text
        assert ("both hold" in d.text) == (expiry != day(2026, 3, 1))
        assert ("straight to a place of repair" in d.text) == (expiry == day(2026, 3, 1))
        assert ("not known here" in d.text) == (expiry is None)
    if TYRE in found:
        assert "must not be driven" in of_kind(said, "result")[0].text


def test_the_certificate_must_run_on_the_day_it_failed(calendar: CalendarFile) -> None:
    said = deadlines(calendar, failing(WIPER, expiry=(dt.date(2026, 3, 1), dt.date(2026, 3, 9))))
    assert "not known here" in of_kind(said, "driving_home")[0].text


# retests --------------------------------------------------------------------------------


def test_without_a_failed_day_no_day_is_given(calendar: CalendarFile) -> None:
    for more in ({}, {"has_failed": True}):
        said = deadlines(calendar, failing(WIPER, expiry=day(2026, 5, 15), **more))
        assert of_kind(said, "retest")
        assert not any(d.dates for d in of_kind(said, "retest"))
        assert bool(of_kind(said, "failed_day_unknown")) == bool(more)
    two_days = (dt.date(2026, 2, 2), dt.date(2026, 2, 3))
    said = deadlines(calendar, failing(WIPER, has_failed=True, failed_on=two_days))
    assert not any(d.dates for d in of_kind(said, "retest"))


def test_each_retest_has_one_last_day_counted_from_the_day_after(calendar: CalendarFile) -> None:
    failed = known(
        today=dt.date(2025, 12, 20), has_failed=True, failed_on=day(2025, 12, 19), nation="england"
    )
    said = deadlines(calendar, failed)
    free, next_day, half, _ = of_kind(said, "retest")
    assert free.dates == half.dates == (dt.date(2026, 1, 7),)
    assert next_day.dates == (dt.date(2025, 12, 22),)
    assert "£27.42" in half.text and "at most half" in half.text
    assert not of_kind(said, "nation_unknown")


def test_the_earlier_day_of_two_is_given_for_an_appeal(calendar: CalendarFile) -> None:
    for today, words in (((2026, 1, 16), "made by 16 January 2026"), ((2026, 1, 17), "has gone")):
        failed = known(today=dt.date(*today), has_failed=True, failed_on=day(2026, 1, 2))
        fail, _ = of_kind(deadlines(calendar, failed), "appeal")
        assert fail.dates == (dt.date(2026, 1, 16),) and words in fail.text
        assert "14 working days" in str(fail.note)


@pytest.mark.parametrize(
    ("today", "kind", "words"),
    [
        ((2026, 2, 14), "first", "is due 3 years after"),
        ((2026, 2, 15), "first", "0 days from today"),
        ((2026, 2, 16), "overdue", "15 February 2026, 1 day ago. It is overdue"),
    ],
)
def test_a_car_never_inspected_is_due_up_to_a_day_and_overdue_from_the_next(
    calendar: CalendarFile, today: tuple[int, int, int], kind: str, words: str
) -> None:
    new = known(today=dt.date(*today), first_used=day(2023, 2, 15), never=True)
    said = deadlines(calendar, new)
    assert words in of_kind(said, kind)[0].text
    assert ("expired" in kinds(said)) == (kind == "overdue")
    assert "unknown" not in kinds(said)


@pytest.mark.parametrize(
    ("today", "words"),
    [((2026, 1, 15), "is 16 January 2026"), ((2026, 1, 16), "now and keep that date")],
)
def test_the_earliest_day_before_a_first_inspection(
    calendar: CalendarFile, today: tuple[int, int, int], words: str
) -> None:
    new = known(today=dt.date(*today), first_used=day(2023, 2, 15), never=True)
    (earliest,) = of_kind(deadlines(calendar, new), "first_earliest")
    assert earliest.dates == (dt.date(2026, 1, 16),) and words in earliest.text


def test_never_inspected_and_of_an_unknown_age(calendar: CalendarFile) -> None:
    (said,) = of_kind(deadlines(calendar, known(never=True)), "unknown")
    assert said.text.startswith("It has not been inspected yet")
    old = deadlines(calendar, known(never=True, first_used=day(1970, 1, 1)))
    assert "exempt" in kinds(old) and "overdue" not in kinds(old)


def test_a_nation_that_is_not_known_gives_the_earliest_day_and_says_so(
    calendar: CalendarFile,
) -> None:
    failed = known(
        today=dt.date(2025, 12, 20), has_failed=True, failed_on=day(2025, 12, 19), nation=None
    )
    said = deadlines(calendar, failed)
    assert of_kind(said, "retest")[0].dates == (dt.date(2026, 1, 7),)
    assert "end first" in of_kind(said, "nation_unknown")[0].text


def test_days_that_have_gone_are_said_to_have_gone(calendar: CalendarFile) -> None:
    failed = known(has_failed=True, failed_on=day(2026, 1, 5), nation="wales")
    for retest in of_kind(deadlines(calendar, failed), "retest")[:3]:
        assert "gone" in retest.text and retest.dates[-1] < TODAY


def test_another_scheme_gets_no_dates(calendar: CalendarFile) -> None:
    said = deadlines(calendar, failing(WIPER, expiry=day(2026, 5, 15), nation="northern_ireland"))
    assert kinds(said) == {"not_covered"} and not said[0].dates


def test_what_was_found_is_compared_with_the_list_of_free_retests(calendar: CalendarFile) -> None:
    said = deadlines(calendar, failing(WIPER, RUST))
    listed, others = of_kind(said, "free")
    assert "wipers and washers" in listed.text and "rusty" not in listed.text
    assert "rear: It is rusty" in others.text and "does not apply" in others.text
    pressure = Found("major", "5.2.3(h)", "A lamp.")
    (memory,) = of_kind(deadlines(calendar, failing(pressure)), "free")
    assert "tyre pressure monitoring (from memory)" in memory.text
    assert not of_kind(deadlines(calendar, failing(TYRE, WIPER)), "free")
    assert not of_kind(deadlines(calendar, known(found=(CHIP,))), "free")


@pytest.mark.parametrize(
    ("kind", "most"), [("car", "£54.85"), ("minibus", "£57.30"), ("heavy_van", "£58.60")]
)
def test_a_fee_is_a_ceiling_with_its_date_and_says_that_it_was_not_checked(
    calendar: CalendarFile, kind: str, most: str
) -> None:
    (fee,) = of_kind(deadlines(calendar, known(kind=kind)), "fee")
    for words in (f"at most {most}", "6 April 2010", "was not checked"):
        assert words in fee.text
    assert not of_kind(deadlines(calendar, known(kind=None)), "fee")


def test_no_sentence_promises_anything(calendar: CalendarFile) -> None:
    text = (ROOT / "rulesets" / "gb-cars" / "calendar.yaml").read_text()
    assert not re.search(r"\bsafe\b|\bwill pass\b|\bguarantee", text, re.I)
    assert "!" not in text


def test_everything_said_has_a_source_and_a_basis(gb_cars: Ruleset) -> None:
    assert gb_cars.calendar is not None
    everything = [
        failing(*found, expiry=expiry, failed_on=failed, has_failed=failed is not None, nation=n)
        for found, expiry, failed, n in product(
            [(), (WIPER, RUST), (TYRE,)],
            [None, day(2026, 3, 31), day(2026, 1, 31)],
            [None, day(2026, 2, 20)],
            [None, "scotland"],
        )
    ]
    for given_ in everything:
        for d in deadlines(gb_cars.calendar, given_):
            assert d.source in gb_cars.sources and d.basis
            assert "{" not in d.text and "None" not in d.text


# another country, in a small ruleset of our own -----------------------------------------


@pytest.fixture
def dated_folder(tmp_path: Path) -> Path:
    """The small ruleset, with dates of a country of its own."""
    folder = tmp_path / "dated"
    shutil.copytree(ROOT / "tests" / "support" / "tiny", folder)
    for file in (ROOT / "tests" / "support" / "dated").glob("*.yaml"):
        shutil.copy(file, folder)
    about = yaml.safe_load((folder / "ruleset.yaml").read_text())
    about["walk"].append({"place": "desk", "say": "the desk", "stage": "end"})
    about["systems"].append("papers")
    (folder / "ruleset.yaml").write_text(yaml.safe_dump(about, sort_keys=False))
    return folder


@pytest.fixture
def dated(dated_folder: Path) -> Ruleset:
    return load_ruleset(dated_folder)


def test_the_dated_ruleset_is_correct(dated: Ruleset) -> None:
    ours = [p for p in (*check_statics(dated), *check_cases(dated), *check_mutations(dated))
            if p[0].file in ("papers.yaml", "calendar.yaml")]  # fmt: skip
    assert ours == []


def test_another_country_has_its_own_windows_holidays_and_money(dated: Ruleset) -> None:
    """Monday 27 April 2026 is a holiday in the Netherlands; the windows are its own."""
    assert dated.calendar is not None
    base = Known(dt.date(2026, 4, 25), True, day(2026, 8, 15), None, "cart")
    said = deadlines(dated.calendar, base)
    assert of_kind(said, "earliest")[0].text == "From 16 June 2026 on."
    assert of_kind(said, "next")[0].dates[-1] == dt.date(2028, 8, 15)
    failed = Known(dt.date(2026, 4, 25), True, None, None, "cart", day(2026, 4, 24), True, "low")
    said = deadlines(dated.calendar, failed)
    quarter, next_day = of_kind(said, "retest")
    assert quarter.dates == (dt.date(2026, 4, 30),)
    assert "3.12 crowns" in quarter.text
    assert next_day.dates == (dt.date(2026, 4, 28),)
    assert kinds(deadlines(dated.calendar, Known(TODAY, True, nation="far"))) == {"not_covered"}


def test_the_code_knows_no_country() -> None:
    """Windows, fees, nations and their words are data: none of them stands in the code."""
    words = (
        r"\bEngland\b", r"\bScotland\b", r"\bWales\b", r"\bIreland\b", r"\bBritain\b", r"£",
        r"\bENG\b", r"\bSCT\b", r"\bWLS\b", r"54\.85", r"57\.3", r"58\.6", r"\bVT17\b",
        r"gov\.uk",
    )  # fmt: skip
    for path in sorted((ROOT / "assistant").rglob("*.py")):
        for word in words:
            assert not re.search(word, path.read_text()), f"{word} in {path.name}"


def test_holidays_are_imported_only_where_days_are_counted() -> None:
    found = [p.name for p in (ROOT / "assistant").rglob("*.py")
             if re.search(r"^\s*import holidays", p.read_text(), re.M)]  # fmt: skip
    assert found == ["dates.py"]
    text = (ROOT / "assistant" / "calculations" / "dates.py").read_text()
    assert "    import holidays" in text and "\nimport holidays" not in text
    needs = (ROOT / "pyproject.toml").read_text().partition("dependencies = [")[2]
    assert '"holidays' in needs.partition("]")[0]


# the file -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("months: 24", "month: 24", "no field 'month'"),
        ("{expiry}, {left}.", "{expiri}, {left}.", "no word in braces 'expiri'. Did you mean"),
        ("expiry: ends", "expiry: endz", "no question 'endz'. Did you mean 'ends'?"),
        ("first_used: made", "first_used: sort", "must be of kind date"),
        ("  low: {say", "  lo: {say", "no answer 'lo'"),
        ("kinds: [cart]\n", "kinds: [kart]\n", "no answer 'kart'. Did you mean 'cart'?"),
        ("  slight: {say", "  sleight: {say", "no category 'sleight'"),
        ("never: []", "never: [gravest]", "no category 'gravest'"),
        ("since: 2001-02-03", "since: soon", "since"),
        ("source: book, basis: from memory", "source: boot, basis: from memory", "source 'boot'"),
        ('money: "{amount} crowns"', 'money: "crowns"', "must hold {amount}"),
        (", country: NL", "", "either the country of its holidays or not_covered"),
        ("working_days: 1, ", "", "says dated: and over:"),
    ],
)
def test_a_mistake_in_the_calendar_has_its_place(
    dated_folder: Path, old: str, new: str, words: str
) -> None:
    file = dated_folder / "calendar.yaml"
    text = file.read_text()
    assert old in text
    file.write_text(text.replace(old, new, 1))
    with pytest.raises(RulesetError) as caught:
        load_ruleset(dated_folder)
    assert words in str(caught.value)
    assert re.search(r"calendar\.yaml:\d+:\d+:", str(caught.value))


def test_a_place_without_known_holidays_is_found_by_the_check(dated_folder: Path) -> None:
    file = dated_folder / "calendar.yaml"
    file.write_text(file.read_text().replace("country: NL", "country: XX"))
    problems = check_statics(load_ruleset(dated_folder))
    (found,) = [(p, text) for p, text in problems if p.file == "calendar.yaml"]
    assert "no public holidays known for XX" in found[1] and found[0].line


def test_the_calendar_is_kept_in_the_cache_and_in_the_digest(
    dated_folder: Path, tmp_path: Path
) -> None:
    first = load_ruleset(dated_folder, tmp_path / "cache")
    again = load_ruleset(dated_folder, tmp_path / "cache")
    assert again.calendar == first.calendar is not None
    assert again.place("calendar", "due") == first.place("calendar", "due")
    (dated_folder / "calendar.yaml").unlink()
    without = load_ruleset(dated_folder, tmp_path / "cache")
    assert without.calendar is None and without.digest != first.digest


def test_every_sentence_of_the_shipped_calendar_is_a_told_thing(calendar: CalendarFile) -> None:
    assert isinstance(calendar.due, Told) and set(calendar.by_result) == {
        "dangerous", "major", "minor", "advisory",
    }  # fmt: skip


# the talk, the files and the sheet ------------------------------------------------------


def test_it_is_asked_first_and_no_finding_rests_on_it(gb_cars: Ruleset) -> None:
    empty = consult(gb_cars, start("gb-cars", TODAY))
    assert agenda(empty).prompts[0].key == "certificate_end"
    assert "certificate_end" not in {q for q, _ in empty.not_asked}
    journal = start("gb-cars", TODAY)
    say(journal, "certificate_end", "dont_know")
    after = consult(gb_cars, journal)
    assert agenda(after).next and agenda(after).prompts[0].key == "first_used"
    assert not after.not_known
    assert "certificate run out" not in card(gb_cars, start("gb-cars", TODAY), "text")


@pytest.mark.parametrize(
    ("day", "said"),
    [
        ((2026, 4, 3), ["holds up to 3 April 2026", "earliest day that keeps the date"]),
        ((2026, 1, 3), ["ran out on 3 January 2026", "only to an inspection that is booked"]),
    ],
)
def test_what_follows_is_said_at_once(
    gb_cars: Ruleset, day: tuple[int, int, int], said: list[str]
) -> None:
    journal = start("gb-cars", TODAY)
    say(journal, "certificate_end", dt.date(*day))
    text = " ".join(line.text for line in due_lines(consult(gb_cars, journal)))
    assert all(words in text for words in said)


def test_more_is_asked_only_near_the_end_and_after_a_fail(gb_cars: Ruleset) -> None:
    journal = start("gb-cars", TODAY)
    say(journal, "certificate_end", dt.date(2026, 4, 3))
    assert "failed_lately" not in {p.key for p in agenda(consult(gb_cars, journal)).prompts}
    say(journal, "certificate_end", dt.date(2026, 4, 2))
    assert agenda(consult(gb_cars, journal)).prompts[-1].key == "failed_lately"
    say(journal, "failed_lately", "yes")
    assert [p.key for p in agenda(consult(gb_cars, journal)).prompts[-2:]] == [
        "failed_on", "nation",
    ]  # fmt: skip


WALKED = ("2001", "gauge", "cart", "no", "full", "5", "whole", "none", "5", "all fine")


def test_the_summary_comes_first_then_the_question_then_the_dates(
    dated: Ruleset, tmp_path: Path
) -> None:
    walk = Walk(dated, tmp_path)
    asker = walk.type(*WALKED, "15 May 2026")
    assert walk.finished
    text = asker.text
    found, asked = text.index("What we have found"), text.index("When does the plaque run out?")
    assert found < asked < text.index("Dates, and what a result means")
    assert text.count("What we have found") == 1
    assert "Until 15 May 2026, 120 days." in text and "From 16 March 2026 on." in text
    assert walk.answers["ends"] == Answer(lo=739751, hi=739751)


def test_overdue_is_said_at_once_and_only_once(dated: Ruleset, tmp_path: Path) -> None:
    walk = Walk(dated, tmp_path)
    asker = walk.type(*WALKED, "1 January 2026", "no")
    text = asker.text
    late = text.index("Ended 1 January 2026, 14 days ago.")
    assert text.index("When does the plaque run out?") < late < text.index("Was it turned down?")
    assert text.count("Ended 1 January 2026") == 2, "and once more among the dates"
    assert "Not on the road since 1 January 2026." in text[late : text.index("Was it turned down?")]


def test_stopping_before_the_dates_is_taken_up_again(dated: Ruleset, tmp_path: Path) -> None:
    walk = Walk(dated, tmp_path)
    walk.type(*WALKED, "stop")
    assert not walk.finished and walk.next == "ends"
    asker = walk.type("why", "skip")
    assert walk.finished and "only to work out dates" in asker.text
    assert "The end is not known." in asker.text
    assert "plaque" not in asker.text.partition("Not known - ask")[2].partition("Dates")[0]


def test_what_is_wrong_after_the_summary_is_summed_up_again(dated: Ruleset, tmp_path: Path) -> None:
    walk = Walk(dated, tmp_path)
    asker = walk.type(*WALKED, "I said that wrong", "left depth", "1", "skip")
    assert walk.finished and asker.text.count("What we have found\n") == 2
    assert "A grave thing." in asker.text


def test_the_sheet_shows_the_dates_with_their_sources(dated: Ruleset) -> None:
    journal = start("dated")
    for key, value in (("sort", "cart"), ("ends", dt.date(2026, 1, 31)), ("refused", "yes"),
                       ("refused_on", dt.date(2026, 1, 14)), ("where", "low")):  # fmt: skip
        say(journal, key, value)
    result = consult(dated, journal)
    rows = result_data(result)["deadlines"]
    assert {r["kind"] for r in rows} >= {"due", "earliest", "retest", "fee"}
    for form in ("html", "md"):
        text = sheet(result, journal, form, full=True)
        for row in rows:
            assert row["text"].replace("{", "").split(".")[0] in text
        assert "A book, first" in text and "Basis: from memory. an old one" in text
        assert "Ended" not in text and "plaque" in text.lower()
    assert deadline_lines(result)
    without = sheet(consult(dated, start("dated")), start("dated"), "md")
    assert "Dates, and what a result means" not in without


@pytest.mark.parametrize("ordinal", [1, 700_000, 3_652_059])
def test_a_day_at_the_edge_of_the_calendar_is_no_fault(gb_cars: Ruleset, ordinal: int) -> None:
    journal = start("gb-cars", dt.date(9999, 12, 31) if ordinal > 3_000_000 else TODAY)
    for question in ("certificate_end", "first_used", "failed_on"):
        answer = Answer(lo=ordinal, hi=ordinal)
        journal.append(Said(turn=len(journal), question=question, answer=answer))
    rows = result_data(consult(gb_cars, journal))["deadlines"]
    assert all(r["dates"] == [] for r in rows) or ordinal == 700_000


# words ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "first", "last"),
    [
        ("15 May 2026", (2026, 5, 15), (2026, 5, 15)),
        ("15/5/26", (2026, 5, 15), (2026, 5, 15)),
        ("1 April '27", (2027, 4, 1), (2027, 4, 1)),
        ("it runs out on 15 May 2026", (2026, 5, 15), (2026, 5, 15)),
        ("valid until 15 May 2026", (2026, 5, 15), (2026, 5, 15)),
        ("it expired on 1 February 2026", (2026, 2, 1), (2026, 2, 1)),
        ("May 2026", (2026, 5, 1), (2026, 5, 31)),
        ("tomorrow", (2026, 3, 3), (2026, 3, 3)),
        ("next month", (2026, 4, 1), (2026, 4, 30)),
        ("in 10 days", (2026, 3, 12), (2026, 3, 12)),
        ("last month", (2026, 2, 1), (2026, 2, 28)),
    ],
)
def test_a_day_that_lies_ahead_is_understood(
    gb_cars: Ruleset, words: str, first: tuple[int, int, int], last: tuple[int, int, int]
) -> None:
    heard = understand(words, gb_cars.questions["certificate_end"], today=TODAY)
    assert isinstance(heard, Understood) and heard.sure
    days = (dt.date(*first).toordinal(), dt.date(*last).toordinal())
    assert (heard.answer.lo, heard.answer.hi) == days


def test_a_day_too_far_ahead_or_without_a_year_is_asked_again(gb_cars: Ruleset) -> None:
    question = gb_cars.questions["certificate_end"]
    far = understand("15 May 2062", question, today=TODAY)
    assert isinstance(far, Unclear) and "further ahead" in far.message
    bare = understand("15 May", question, today=TODAY)
    assert isinstance(bare, Unclear) and "15 May 2026" in bare.offers
    past = understand("15 May 2026", gb_cars.questions["first_used"], today=TODAY)
    assert isinstance(past, Unclear) and "in the future" in past.message
    for words in (
        "never inspected yet", "it's never been inspected", "not had its first MOT yet",
        "no mot yet", "new car, no MOT yet", "it is not due yet",
    ):  # fmt: skip
        new = understand(words, question, today=TODAY)
        assert isinstance(new, Understood) and new.answer.state == "not_fitted"
        assert new.echo == "never inspected yet" and new.sure
    for words in ("expired", "no certificate", "none", "not had one"):
        assert isinstance(understand(words, question, today=TODAY), Unclear), words
    two = understand("1 March 2012 and 5 May 2016", gb_cars.questions["first_used"], today=TODAY)
    assert isinstance(two, Unclear) and "type the earlier one" in two.message
    for words in ("skip", "don't know", "haven't got it"):
        heard = understand(words, question, today=TODAY)
        if isinstance(heard, Understood):
            assert heard.answer.state in ("dont_know", "cant_look")
