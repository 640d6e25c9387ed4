"""Tread across the width, cuts and the wear projection."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.calculations.interval import Interval, about
from assistant.calculations.tyres import (
    NoProjection,
    WearProjection,
    WearReading,
    cut_limit_mm,
    project_wear,
    tread_across,
)

depths = st.integers(0, 90).map(lambda tenths: tenths / 10)


@pytest.mark.parametrize(
    ("readings", "pattern", "edge"),
    [
        ((3.0, 3.0, 3.0), "even", None),
        ((3.0, 3.2, 3.0), "even", None),
        ((3.2, 3.0, 3.2), "even", None),
        ((3.0, 3.1, 3.2), "even", None),
        ((1.1, 1.3, 1.1), "even", None),
        ((3.0, 3.205, 3.0), "edges", None),
        ((3.0, 3.3, 3.0), "edges", None),
        ((2.0, 5.0, 3.0), "edges", None),
        ((2.0, 5.0, 3.5), "edges", None),
        ((3.3, 3.0, 3.3), "middle", None),
        ((5.0, 2.0, 4.0), "middle", None),
        ((3.0, 3.0, 3.3), "one edge", "inner"),
        ((3.3, 3.0, 3.0), "one edge", "outer"),
        ((2.0, 4.0, 4.0), "one edge", "inner"),
        ((2.0, 4.0, 5.0), "one edge", "inner"),
        ((1.5, 5.0, 4.5), "one edge", "inner"),
        ((4.5, 5.0, 1.5), "one edge", "outer"),
        ((5.0, 2.0, 2.3), "one edge", "outer"),
    ],
)
def test_patterns(readings, pattern, edge):
    result = tread_across(*readings, gauge_error=0.2)
    assert (result.pattern, result.edge) == (pattern, edge)
    assert result.lowest == Interval(min(readings), min(readings))


def test_readings_that_are_ranges():
    wide = tread_across(about(3, 0.5), about(3.5, 0.5), about(3, 0.5), gauge_error=0.2)
    assert wide.pattern == "even"
    assert wide.lowest == Interval(2.5, 3.5)
    assert tread_across(Interval(1, 5), 3, 4, gauge_error=0).lowest == Interval(1, 3)
    proved = tread_across(about(2, 0.1), about(4, 0.1), about(2, 0.1), gauge_error=0.2)
    assert proved.pattern == "edges"


def test_a_gauge_error_below_zero_is_refused():
    with pytest.raises(ValueError, match="gauge error"):
        tread_across(3, 3, 3, gauge_error=-0.1)


@given(depths, depths, depths, st.sampled_from([0.0, 0.1, 0.2, 0.5]))
def test_turning_the_tyre_round_changes_only_the_name_of_the_edge(inner, middle, outer, error):
    one = tread_across(inner, middle, outer, error)
    other = tread_across(outer, middle, inner, error)
    assert (one.lowest, one.pattern) == (other.lowest, other.pattern)
    assert (one.edge, other.edge) in {(None, None), ("inner", "outer"), ("outer", "inner")}


@given(st.integers(0, 90), st.integers(0, 9), st.data())
def test_differences_within_the_gauge_error_are_even(lowest, error, data):
    tenths = data.draw(st.lists(st.integers(lowest, lowest + error), min_size=3, max_size=3))
    readings = [tenth / 10 for tenth in tenths]
    assert tread_across(*readings, gauge_error=error / 10).pattern == "even"


@given(depths, depths, depths)
def test_the_pattern_agrees_with_the_lowest_reading(inner, middle, outer):
    result = tread_across(inner, middle, outer, 0.2)
    if result.pattern == "edges":
        assert middle > max(inner, outer) + 0.2
    elif result.pattern == "middle":
        assert middle < min(inner, outer) - 0.2
    elif result.pattern == "one edge":
        assert (outer - inner > 0.2) if result.edge == "inner" else (inner - outer > 0.2)


def test_cut_limits():
    assert cut_limit_mm(25, 10, 205) == 25
    assert cut_limit_mm(25, 10, 275) == 27.5
    assert cut_limit_mm(25, 0, 205) == 25
    assert cut_limit_mm(25, 100, 205) == 205
    for share in (-1, 101):
        with pytest.raises(ValueError, match="share"):
            cut_limit_mm(25, share, 205)


def projected(**changes):
    """The worked example, with one thing changed."""
    settings = {
        "first": WearReading(5.0, 30_000, date(2025, 1, 4)),
        "second": WearReading(3.8, 36_000, date(2025, 10, 1)),
        "limit_mm": 1.6,
        "gauge_error_mm": 0.2,
        "shortest_run": 1000,
        "tyres_changed": False,
    }
    settings.update(changes)
    return project_wear(settings.pop("first"), settings.pop("second"), **settings)


def test_worked_projection():
    result = projected()
    assert isinstance(result, WearProjection)
    assert result.wear_per_1000 == pytest.approx(0.20)
    assert result.distance_left == pytest.approx(11_000)
    assert result.standard_uncertainty == pytest.approx(1948, abs=1)
    assert result.distance_bounds.lo == pytest.approx(7500)
    assert result.distance_bounds.hi == pytest.approx(18_000)
    assert (result.central, result.cautious) == (date(2027, 2, 8), date(2026, 9, 3))


def reading(depth, odometer=36_000, on=date(2025, 10, 1)):
    return WearReading(depth, odometer, on)


@pytest.mark.parametrize(
    ("changes", "reason"),
    [
        ({"tyres_changed": True}, "tyres changed"),
        ({"second": reading(1.5)}, "at the limit already"),
        ({"second": reading(4.6)}, "too little wear"),
        ({"second": reading(5.5)}, "too little wear"),
        ({"second": reading(about(3.8, 0.8))}, "too little wear"),
        ({"second": reading(3.8, odometer=30_999)}, "too short a run"),
        ({"second": reading(3.8, odometer=30_000)}, "too short a run"),
    ],
)
def test_refusals(changes, reason):
    assert projected(**changes) == NoProjection(reason)


def test_one_step_inside_each_guard_projects():
    for second in (
        reading(1.6),
        reading(4.5),
        reading(3.8, odometer=31_000),
        reading(3.8, on=date(2025, 1, 5)),
    ):
        assert isinstance(projected(second=second), WearProjection)


def test_on_the_limit_nothing_is_left():
    result = projected(second=reading(1.6))
    assert result.distance_left == 0
    assert result.central == result.cautious == date(2025, 10, 1)
    assert result.distance_bounds.lo == 0


def test_a_rough_reading_widens_the_answer():
    sharp, rough = (
        projected(),
        projected(first=WearReading(about(5.0, 0.2), 30_000, date(2025, 1, 4))),
    )
    assert rough.distance_left == pytest.approx(sharp.distance_left)
    assert rough.standard_uncertainty > sharp.standard_uncertainty
    assert rough.distance_bounds.lo < sharp.distance_bounds.lo
    assert rough.distance_bounds.hi > sharp.distance_bounds.hi


@pytest.mark.parametrize(
    "second",
    [
        reading(3.8, on=date(2025, 1, 4)),
        reading(3.8, on=date(2024, 1, 4)),
        reading(3.8, odometer=29_999),
    ],
)
def test_readings_out_of_order_are_refused(second):
    with pytest.raises(ValueError, match="later"):
        projected(second=second)


def test_a_shortest_run_of_nothing_is_refused():
    assert isinstance(projected(shortest_run=0.5), WearProjection)
    with pytest.raises(ValueError, match="shortest run"):
        projected(shortest_run=0)


def test_a_date_past_the_calendar_stops_at_its_end():
    far = projected(
        first=WearReading(9.0, 30_000, date(1900, 1, 1)),
        second=WearReading(8.5, 31_000, date(9990, 1, 1)),
    )
    assert far.central == date.max


@given(depths, depths, st.floats(1000, 50_000), st.integers(1, 2000))
def test_projection_properties(before, after, run, days):
    start = date(2020, 1, 1)
    second = WearReading(after, run, start + timedelta(days=days))
    result = project_wear(
        WearReading(before, 0, start),
        second,
        limit_mm=1.6,
        gauge_error_mm=0.2,
        shortest_run=1000,
        tyres_changed=False,
    )
    if isinstance(result, WearProjection):
        assert result.distance_bounds.lo <= result.distance_left <= result.distance_bounds.hi
        assert second.on <= result.cautious <= result.central
    else:
        assert after < 1.6 or before - after < 0.41
