"""One broken ruleset for each quick check: the place and the words of what it says."""

from __future__ import annotations

import time
from pathlib import Path

import pytest

from assistant.authoring.check import agreement, cases, checks, overlaps, reach
from assistant.authoring.check.regions import Goal, Regions
from assistant.authoring.check.run import CASES, QUICK, problems_of
from assistant.reasoning.engine import Engine, EngineResult, Firing
from assistant.ruleset.load import load_ruleset
from assistant.ruleset.ruleset import Ruleset
from tests.support.broken import changed, rule, with_rules

EMPTY = ("level: empty", "level: full")


def said(folder: Path, look: object) -> list[str]:
    """What one check says of a ruleset, with the line it points to."""
    ruleset = load_ruleset(folder)
    rows: list[str] = []
    for place, text in look(ruleset):  # type: ignore[operator]
        line = (folder / place.file).read_text().split("\n")[place.line - 1]
        assert place.column > 0
        rows.append(f"{text} | {line.strip()}")
    return rows


def one(folder: Path, look: object) -> str:
    rows = said(folder, look)
    assert len(rows) == 1, rows
    return rows[0]


@pytest.mark.parametrize("check", QUICK + CASES, ids=lambda check: check.name)
def test_the_tiny_ruleset_passes_every_check(check: object, tiny: Ruleset) -> None:
    assert problems_of(tiny, check) == []  # type: ignore[arg-type]


@pytest.mark.parametrize("check", QUICK, ids=lambda check: check.name)
def test_the_shipped_ruleset_passes_every_quick_check(check: object, gb_cars: Ruleset) -> None:
    assert problems_of(gb_cars, check) == []  # type: ignore[arg-type]


# limits of the engine ---------------------------------------------------------------------


def test_a_condition_that_is_too_big_for_the_engine(tmp_path: Path) -> None:
    ways = " and ".join(["(level == 'low' or shaky or bell or 'dent' in marks)"] * 5)
    folder = with_rules(
        tmp_path, rule("big", ways, "level: low", "level: full", finds="7.1, grave")
    )
    found = one(folder, checks.engine_limits)
    assert "big: " in found and "alternatives" in found and "Split it" in found
    assert "| when:" in found


def test_a_figure_that_is_finer_than_answers_are_rounded(tmp_path: Path) -> None:
    found = one(changed(tmp_path, ("value: 1.6", "value: 1.60001")), checks.engine_limits)
    assert found.startswith("least: 1.60001 has more than 4 places")


def test_two_words_that_look_the_same_to_the_engine(tmp_path: Path) -> None:
    """Both have the 32-bit FNV-1a hash 0x5e4daa9d (a pair that is often quoted; from memory)."""
    assert checks.fnv1a("costarring") == checks.fnv1a("liquid") == 0x5E4DAA9D
    folder = changed(
        tmp_path, ("{dent: {say: a dent}", "{costarring: {say: a dent}, liquid: {say: wet}")
    )
    found = [
        text for _, text in checks.check_statics(load_ruleset(folder)) if "look the same" in text
    ]
    assert found == ["'liquid' and 'costarring' look the same to the rule engine; rename one."]


@pytest.mark.parametrize(
    ("text", "one", "one_a"),
    [
        ("", 0x811C9DC5, 0x811C9DC5),
        ("a", 0x050C5D7E, 0xE40C292C),
        ("foobar", 0x31F0B262, 0xBF9CF968),
    ],
)
def test_the_hashes_are_those_of_fowler_noll_and_vo(text: str, one: int, one_a: int) -> None:
    """Source: the test vectors of the FNV draft of the IETF (draft-eastlake-fnv); from memory."""
    assert (checks.fnv1(text), checks.fnv1a(text)) == (one, one_a)


# circles ----------------------------------------------------------------------------------


def test_rules_that_give_way_to_one_another(tmp_path: Path) -> None:
    leaking = "    finds: {item: 1.1(a), category: grave}\n"
    shallow = '    finds: {item: "2.1", category: grave}\n'
    folder = changed(
        tmp_path,
        (leaking, leaking + "    gives_way_to: [shallow]\n"),
        (shallow, shallow + "    gives_way_to: [leaking]\n"),
    )
    found = one(folder, reach.circles)
    assert "gives_way_to is circular: leaking to shallow to leaking." in found
    assert "| gives_way_to: [shallow]" in found


def test_a_question_that_concerns_itself(tmp_path: Path) -> None:
    folder = changed(tmp_path, ("applies: made >= newer", "applies: fitted(bell)"))
    assert "`applies:` is circular: bell to bell." in one(folder, reach.circles)


def test_a_fact_that_is_worked_out_from_a_later_one(tmp_path: Path) -> None:
    facts = """derived:
  first: {say: one, compute: first_known, of: {first: second, second: depth}, each: wheels,
          unit: mm}
  second: {say: two, compute: first_known, of: {first: depth, second: depth}, each: wheels,
           unit: mm}
rules:
"""
    found = one(changed(tmp_path, ("rules:\n", facts)), reach.circles)
    assert found.startswith("first is worked out from second, which is worked out only after it")
    assert "| first: {say: one" in found


# reach ------------------------------------------------------------------------------------


def test_a_rule_that_leads_to_nothing(tmp_path: Path) -> None:
    folder = with_rules(tmp_path, rule("idle", "level == 'empty'", *EMPTY))
    found = one(folder, reach.dead_ends)
    assert found.startswith("idle: nothing comes of this rule") and "| - rule: idle" in found


def test_a_question_that_only_its_own_answer_opens(tmp_path: Path) -> None:
    question = """\
  inner: {ask: What is inside?, label: inside, kind: yes_no, place: front, asked: follow_up,
          how: Look., seconds: 10}
"""
    opens = rule("opens", "inner", "inner: 'yes'", "inner: 'no'",
                 "asks: {questions: [inner], because: It was seen.}")  # fmt: skip
    rows = said(with_rules(tmp_path, opens, questions=question), reach.never_reached)
    assert "inner: the rules that open this question can never hold before it is asked." in rows[0]
    assert "| inner: {ask" in rows[0]
    assert rows[1].startswith("opens can never hold, because inner is never asked.")


def test_a_question_that_another_rule_opens_is_reached(tmp_path: Path) -> None:
    """The same with one more rule that opens it, so the check can pass."""
    question = """\
  inner: {ask: What is inside?, label: inside, kind: yes_no, place: front, asked: follow_up,
          how: Look., seconds: 10}
"""
    asks = "asks: {questions: [inner], because: It was seen.}"
    opens = rule("opens", "inner", "inner: 'yes'", "inner: 'no'", asks)
    other = rule("other", "shaky", "shaky: 'yes'", "shaky: 'no'", asks)
    assert said(with_rules(tmp_path, opens, other, questions=question), reach.never_reached) == []


def test_a_fact_that_hangs_on_no_answer(tmp_path: Path) -> None:
    fact = """derived:
  fixed: {say: fixed, compute: first_known, of: {first: least, second: least}, unit: mm}
rules:
"""
    found = one(changed(tmp_path, ("rules:\n", fact)), reach.never_given)
    assert found.startswith("fixed: no question gives anything of this fact.")


# rules that say the same ------------------------------------------------------------------


def test_a_rule_that_another_covers(tmp_path: Path) -> None:
    narrow = rule("narrow", "shaky and level == 'low'", "shaky: 'yes', level: low", "level: full",
                  finds="7.1, grave")  # fmt: skip
    wide = rule("wide", "level == 'low' or level == 'empty'", "level: low", "level: full",
                finds="7.1, grave")  # fmt: skip
    found = one(with_rules(tmp_path, narrow, wide), overlaps.subsumed_rules)
    assert found.startswith("narrow holds only where wide holds too, which says the same.")


def test_two_rules_that_are_the_same_are_named_once(tmp_path: Path) -> None:
    first = rule("first", "level in ['low', 'empty']", "level: low", "level: full",
                 finds="7.1, grave")  # fmt: skip
    second = rule("second", "not level == 'full'", "level: low", "level: full",
                  finds="7.1, grave")  # fmt: skip
    found = one(with_rules(tmp_path, first, second), overlaps.subsumed_rules)
    assert found.startswith("second holds only where first holds too")


def test_a_rule_that_gives_way_every_time(tmp_path: Path) -> None:
    narrow = rule("narrow", "level == 'empty'", *EMPTY, "gives_way_to: [wide]", finds="7.1, slight")
    wide = rule("wide", "level in ['low', 'empty']", "level: low", "level: full",
                finds="7.1, grave")  # fmt: skip
    found = one(with_rules(tmp_path, narrow, wide), overlaps.subsumed_rules)
    assert "so it gives way to it every time and is never shown" in found


# contradictions ---------------------------------------------------------------------------

MILD = rule("mild", "depth < least", "depth: 1.5", "depth: 1.6", finds="2.1, slight")


def test_two_categories_for_one_item_and_one_car(tmp_path: Path) -> None:
    found = one(with_rules(tmp_path, MILD), overlaps.contradictions)
    assert found.startswith(
        "mild says slight and shallow says grave of 2.1 for one car, and neither gives way: "
        "depth at left is at least 0 and below 1.6."
    )


def test_degrees_of_one_item_are_of_one_family() -> None:
    assert overlaps.item_family("1.1.10(d)(ii)") == "1.1.10(d)"
    assert overlaps.item_family("2.1") == "2.1"


@pytest.mark.parametrize(
    "mild",
    [
        MILD.replace("    source:", "    gives_way_to: [shallow]\n    source:"),
        MILD.replace("depth < least", "depth >= least and not leaking"),
        MILD.replace("depth < least", "not known(depth)"),
    ],
)
def test_giving_way_or_never_together_is_no_contradiction(tmp_path: Path, mild: str) -> None:
    assert said(with_rules(tmp_path, mild), overlaps.contradictions) == []


def test_both_may_stand_where_the_ruleset_says_why(tmp_path: Path) -> None:
    both = "both_may_stand: [{rules: [mild], beside: [shallow], because: Two looks.}]\nsymptoms:\n"
    folder = with_rules(tmp_path, MILD)
    path = folder / "parts.yaml"
    path.write_text(path.read_text().replace("symptoms:\n", both))
    assert said(folder, overlaps.contradictions) == []
    path.write_text(path.read_text().replace("beside: [shallow]", "beside: [marked]"))
    rows = said(folder, overlaps.contradictions)
    assert any(
        "marked and mild can never contradict one another; take them out." in r for r in rows
    )


# impossible conditions and gaps -----------------------------------------------------------


@pytest.mark.parametrize(
    ("when", "says"),
    [
        ("level == 'low' and level == 'full'", "can never hold"),
        ("depth < least and depth > least", "can never hold"),
        ("not fitted(bell) and bell == 'no'", "can never hold"),
        ("falling and level == 'full'", "can never hold"),
        ("level in ['full', 'low', 'empty']", "always holds"),
    ],
)
def test_a_condition_that_cannot_be_or_always_is(tmp_path: Path, when: str, says: str) -> None:
    more = rule("odd", when, "level: low", "level: full", finds="7.1, grave")
    found = one(with_rules(tmp_path, more), overlaps.impossible_conditions)
    assert found.startswith(f"odd: this condition {says}") and "| when:" in found


TABLE = "  more: {value: 3, unit: mm, say: more, source: book, basis: read}\n"
MID = "  mid: {value: 2, unit: mm, say: middle, source: book, basis: read}\n"


def table(when: str) -> str:
    return rule("thin", when, "depth: 2", "depth: 3", finds="2.1, slight")


@pytest.mark.parametrize(
    ("when", "says"),
    [
        ("depth > least and depth < more", "by no rule at exactly 1.6, but is on both sides"),
        ("depth >= mid and depth < more", "by no rule between 1.6 and 2, but is on both sides"),
    ],
)
def test_a_gap_in_a_table(tmp_path: Path, when: str, says: str) -> None:
    found = one(with_rules(tmp_path, table(when), limits=TABLE + MID), overlaps.gaps)
    assert says in found and "shallow, thin" in found


@pytest.mark.parametrize("when", ["depth >= least and depth < more", "depth > more"])
def test_no_gap_where_the_table_is_whole_or_the_middle_is_fine(tmp_path: Path, when: str) -> None:
    assert said(with_rules(tmp_path, table(when), limits=TABLE), overlaps.gaps) == []


# the engine beside a plain reading --------------------------------------------------------


def test_a_rule_that_the_engine_reads_otherwise(
    tiny: Ruleset, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = Engine.run

    def lies(self: Engine, readings: object) -> EngineResult:
        result = whole(self, readings)  # type: ignore[arg-type]
        firings = dict(result.firings)
        firings[("marked", "")] = Firing("marked", "", "marked" not in readings.__dict__, 1, ())
        firings.pop(("falling", ""), None)
        return EngineResult(firings, result.faults)

    monkeypatch.setattr(Engine, "run", lies)
    texts = [text for _, text in agreement.disagreements(tiny, journals=6)]
    assert any(t.startswith("falling: the engine says None, a plain reading") for t in texts)


def test_the_journals_are_the_same_each_time(tiny: Ruleset) -> None:
    one, two = (list(agreement.quick_journals(tiny, 3, 7)) for _ in range(2))
    assert one == two and one != list(agreement.quick_journals(tiny, 3, 8))


# cases at limits --------------------------------------------------------------------------


def test_a_limit_with_cases_too_far_from_it(tmp_path: Path) -> None:
    folder = changed(tmp_path, ("{fires: {depth: 1.5}", "{fires: {depth: 1.2}"))
    found = one(folder, cases.cases_at_limits)
    assert found.startswith(
        "shallow: no case one step (0.1) from least in which depth < least holds; "
        "the nearest is 0.4 away."
    )
    assert "| cases:" in found


def test_a_limit_that_no_case_stands_below(tmp_path: Path) -> None:
    folder = changed(
        tmp_path, ("near: [{made: 1999-12-31}, {hoop: whole}]", "near: [{hoop: whole}]")
    )
    assert one(folder, cases.cases_at_limits).startswith(
        "bent_hoop: no case in which made >= newer does not hold."
    )


# speed ------------------------------------------------------------------------------------


def test_the_quick_checks_are_quick(gb_cars: Ruleset) -> None:
    """In processor time, since the machine may be busy; far under what the cases take."""
    started = time.process_time()
    for check in QUICK:
        problems_of(gb_cars, check)
    assert time.process_time() - started < 6


def test_a_kept_ruleset_still_knows_its_places(tmp_path: Path) -> None:
    folder = with_rules(tmp_path, MILD)
    fresh, kept = (load_ruleset(folder, tmp_path / "kept") for _ in range(2))
    assert fresh is not kept
    assert list(overlaps.contradictions(fresh)) == list(overlaps.contradictions(kept))
    assert next(overlaps.contradictions(kept))[0].line > 0


def test_regions_show_a_car_that_meets_the_goals(tiny: Ruleset) -> None:
    regions = Regions(tiny)
    condition = tiny.inferences["bent_hoop"].condition
    world = regions.possible([Goal(condition, "left")])
    assert world is not None
    words = regions.in_words(world)
    assert "hoop at left is bent" in words and "made is at least 1 January 2000" in words


def test_no_table_of_the_shipped_rules_has_a_gap(gb_cars: Ruleset) -> None:
    """The ladders that z3 is asked about in test_conditions_z3.py have none either."""
    assert list(overlaps.gaps(gb_cars)) == []
