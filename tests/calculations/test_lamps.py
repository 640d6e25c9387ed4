"""Flash rate and headlamp dip."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.calculations.interval import Interval, about, exactly
from assistant.calculations.seeing import (
    FlashVerdict,
    dip_percent,
    judge_rate,
    rate_from_count,
)


def test_worked_rates():
    assert rate_from_count(17, 10) == Interval(96, 108)
    assert rate_from_count(20, 10) == Interval(114, 126)
    assert rate_from_count(61, 30) == Interval(120, 124)
    assert rate_from_count(1, 0.5) == Interval(0, 240)


@pytest.mark.parametrize(
    ("flashes", "seconds", "verdict"),
    [
        (17, 10, FlashVerdict("inside", None)),
        (11, 10, FlashVerdict("inside", None)),
        (19, 10, FlashVerdict("inside", None)),
        (20, 10, FlashVerdict("count longer", 30)),
        (21, 10, FlashVerdict("count longer", 30)),
        (61, 30, FlashVerdict("count longer", 60)),
        (59, 30, FlashVerdict("inside", None)),
        (10, 10, FlashVerdict("count longer", 30)),
        (8, 10, FlashVerdict("outside", None)),
        (22, 10, FlashVerdict("outside", None)),
        (31, 15, FlashVerdict("count longer", 30)),
        (121, 60, FlashVerdict("count longer", 120)),
        (240, 120, FlashVerdict("count longer", None)),
        (1, 10, FlashVerdict("outside", None)),
    ],
)
def test_verdicts(flashes, seconds, verdict):
    assert judge_rate(rate_from_count(flashes, seconds), seconds, 60, 120) == verdict


def test_a_rate_near_the_edge_skips_to_a_time_that_settles():
    near = Interval(115, 127)  # 121 in 10 s: after 30 s still 119 to 123, after 60 s 120 to 122
    assert judge_rate(near, 10, 60, 120) == FlashVerdict("count longer", 120)
    assert judge_rate(Interval(55, 67), 10, 60, 120) == FlashVerdict("count longer", 120)


@given(st.integers(1, 400), st.integers(5, 130))
def test_counting_on_as_advised_settles_or_is_the_next_time(flashes, seconds):
    rate = rate_from_count(flashes, seconds)
    verdict = judge_rate(rate, seconds, 60, 120)
    assert (verdict.seconds is None) or verdict.seconds > seconds
    if verdict.word == "count longer" and verdict.seconds:
        spread = 60 / verdict.seconds
        again = about(rate.middle, spread).within(60, 120)
        longer = [time for time in (10, 30, 60, 120) if time > seconds]
        assert again is not None or verdict.seconds == longer[0]
    elif verdict.word == "count longer":
        assert seconds >= 120
    else:
        assert (verdict.word == "inside") is rate.within(60, 120)


def test_rate_guards():
    for flashes, seconds in ((0, 10), (5, 0), (5, -1)):
        with pytest.raises(ValueError, match="flash rate"):
            rate_from_count(flashes, seconds)


@pytest.mark.parametrize(
    ("percent", "drop_cm"), [(0.5, 2.5), (1, 5), (1.25, 6.25), (2, 10), (2.75, 13.75)]
)
def test_worked_drops_at_five_metres(percent, drop_cm):
    assert dip_percent(drop_cm, 500) == exactly(percent)


def test_a_tape_error_of_a_centimetre_is_a_fifth_of_a_percent():
    dip = dip_percent(about(6, 1), 500)
    assert (dip.lo, dip.hi) == (pytest.approx(1.0), pytest.approx(1.4))


def test_geometry_guards():
    assert dip_percent(0.01, 0.5) == exactly(2)
    for distance in (0, -1, Interval(-1, 1)):
        with pytest.raises(ValueError, match="wall"):
            dip_percent(5, distance)
