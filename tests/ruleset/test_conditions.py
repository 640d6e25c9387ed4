"""The condition language: what it takes, what it refuses, and three-valued truth."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.ruleset.condition import ConditionError, NameKind, Number, parse
from assistant.ruleset.truth import Reading, compare, evaluate

NAMES = {
    "level": NameKind("word", words=("full", "low", "empty")),
    "lit": NameKind("word", words=("yes", "no"), can_be_absent=True),
    "marks": NameKind("picks", words=("cut", "bulge")),
    "depth": NameKind("number", axis="wheels", unit="mm"),
    "width": NameKind("number", axis="wheels", unit="mm"),
    "made": NameKind("number", unit="date"),
    "today": NameKind("number", unit="date"),
    "least": NameKind("limit", unit="mm", value=1.6),
    "newer": NameKind("limit", unit="date", value=730000.0),
    "ten_years": NameKind("limit", unit="days", value=3653.0),
    "leak": NameKind("conclusion"),
    "remark": NameKind("text"),
}


class Known:
    """A view from a plain table."""

    def __init__(self, **readings: Reading) -> None:
        self.table = readings

    def reading(self, name: str, at: str) -> Reading:
        return self.table.get(f"{name}_{at}" if NAMES[name].axis else name, Reading())

    def concluded(self, name: str, at: str) -> bool | None:
        return None

    def members(self, axis: str) -> tuple[str, ...]:
        return ("left", "right")


def truth(text: str, at: str = "", **readings: Reading) -> bool | None:
    return evaluate(parse(text, NAMES)[0], Known(**readings), at)


def word(value: str) -> Reading:
    return Reading("value", word=value)


def number(lo: float, hi: float | None = None) -> Reading:
    return Reading("value", lo=lo, hi=lo if hi is None else hi)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("depht < least", "nothing is called 'depht'. Did you mean 'depth'?"),
        ("depth < 1.6", "compare it with a named limit"),
        ("depth < newer", "in mm but the limit 'newer' is in date"),
        ("level == 'ful'", "Did you mean 'full'?"),
        ("level < 'low'", "cannot be compared in this way"),
        ("depth == 'low'", "is a number"),
        ("marks == 'cut'", "cannot be compared in this way"),
        ("level", "alone is not true or false"),
        ("remark == 'x'", "cannot be compared in this way"),
        ("depth < width", "a number is compared with a named limit"),
        ("depth - depth < least", "only once"),
        ("depth * width < least", "only names, + and -"),
        ("level in []", "empty"),
        ("level in ['low', 'low']", "twice"),
        ("'cut' in level", "not a 'which of these' question"),
        ("fitted(level)", "does not allow 'not fitted'"),
        ("fited(lit)", "there is no function 'fited'. Did you mean 'fitted'?"),
        ("fitted(lit, level)", "only fitted(x)"),
        ("somewhere(lit)", "given for each part"),
        ("__import__('os')", "there is no function"),
        ("lit.real", "neither a comparison"),
        ("[x for x in 'a']", "neither a comparison"),
        ("lambda: 1", "neither a comparison"),
        ("level == 'low' and", "cannot be read as a condition"),
        ("(" * 300 + "lit" + ")" * 300, "cannot be read as a condition"),
        ("not " * 300 + "lit", "too long"),
        ("1", "neither a comparison"),
        ("True", "neither a comparison"),
        ("level is 'low'", "may compare"),
        ("made - today < least", "in date but the limit 'least' is in mm"),
    ],
)
def test_refused(text: str, says: str) -> None:
    with pytest.raises(ConditionError) as error:
        parse(text, NAMES)
    assert says in str(error.value)


def test_a_range_is_judged_by_both_ends() -> None:
    assert truth("depth < least", "left", depth_left=number(1.5)) is True
    assert truth("depth < least", "left", depth_left=number(1.6)) is False
    assert truth("depth < least", "left", depth_left=number(1.5, 1.7)) is None
    assert truth("depth < least", "left") is None


def test_what_is_not_fitted_is_neither_true_nor_false() -> None:
    gone = Reading("not_fitted")
    assert truth("lit == 'no'", lit=gone) is None
    assert truth("not lit == 'no'", lit=gone) is None
    assert truth("fitted(lit)", lit=gone) is False
    assert truth("not fitted(lit)", lit=gone) is True
    assert truth("fitted(lit)", lit=Reading("dont_know")) is None


def test_dont_know_is_known_to_be_unknown() -> None:
    assert truth("known(level)", level=Reading("dont_know")) is False
    assert truth("known(level)", level=Reading("cant_look")) is False
    assert truth("known(level)", level=word("low")) is True
    assert truth("known(level)") is None
    assert truth("level == 'low'", level=Reading("dont_know")) is None


def test_and_or_not_are_three_valued() -> None:
    low, full = word("low"), word("full")
    assert truth("level == 'low' and lit", level=full) is False
    assert truth("level == 'low' and lit", level=low) is None
    assert truth("level == 'low' or lit", level=low) is True
    assert truth("level == 'low' or lit", level=full) is None
    assert truth("not (level == 'low' or lit)", level=low) is False


def test_somewhere_needs_one_part_or_all() -> None:
    assert truth("somewhere(depth < least)", depth_right=number(1)) is True
    assert truth("somewhere(depth < least)", depth_right=number(3)) is None
    both = {"depth_left": number(3), "depth_right": number(3)}
    assert truth("somewhere(depth < least)", **both) is False


def test_sums_are_asked_for_and_dates_subtract_to_days() -> None:
    tree, sums = parse("today - made > ten_years", NAMES)
    assert isinstance(tree, Number)
    assert sums["today - made"].terms == ((1, "today"), (-1, "made"))
    assert parse("depth - width < least", NAMES)[1]["depth - width"].axis == "wheels"


def test_the_limit_may_stand_on_either_side() -> None:
    assert parse("least > depth", NAMES)[0] == parse("depth < least", NAMES)[0]


def test_chained_comparisons_mean_both() -> None:
    text = "least <= depth <= least"
    assert truth(text, "left", depth_left=number(1.6)) is True
    assert truth(text, "left", depth_left=number(1.7)) is False


@given(
    st.tuples(st.integers(0, 60), st.integers(0, 60)).map(sorted),
    st.sampled_from(["<", "<=", ">", ">=", "=="]),
    st.integers(0, 60),
)
def test_a_range_decides_exactly_when_every_value_in_it_agrees(
    ends: list[int], op: str, value: int
) -> None:
    """Checked against Python's own comparison of every tenth in the range."""
    compare_one = {
        "<": lambda a, b: a < b,
        "<=": lambda a, b: a <= b,
        ">": lambda a, b: a > b,
        ">=": lambda a, b: a >= b,
        "==": lambda a, b: a == b,
    }[op]
    values = {compare_one(x, value) for x in range(ends[0], ends[1] + 1)}
    expected = values.pop() if len(values) == 1 else None
    assert compare(ends[0], ends[1], op, value) is expected


@given(st.text(max_size=80))
def test_no_text_makes_the_parser_do_anything_but_refuse(text: str) -> None:
    try:
        parse(text, NAMES)
    except ConditionError as error:
        assert str(error)
