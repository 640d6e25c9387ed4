"""Windscreen zones: each side of the edge, and what an uncertain zone means."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.calculations.interval import Interval, about
from assistant.calculations.seeing import damage_zone

HALF = 145


@pytest.mark.parametrize(
    ("offset", "size", "zone"),
    [
        (120, 8, "driver"),
        (-120, 8, "driver"),
        (0, 0, "driver"),
        (160, 30, "driver"),  # spans 145 to 175: touches the edge
        (161, 30, "elsewhere"),  # spans 146 to 176
        (-161, 30, "elsewhere"),
        (145, 0, "driver"),
        (145.5, 0, "elsewhere"),
        (about(155, 10), 8, "cannot tell"),
        (about(-155, 10), 8, "cannot tell"),
        (about(120, 10), 8, "driver"),
        (about(0, 20), 8, "driver"),
        (160, Interval(20, 40), "cannot tell"),
        (Interval(-200, 200), 8, "cannot tell"),
        (about(200, 10), 8, "elsewhere"),
    ],
)
def test_zones(offset, size, zone):
    assert damage_zone(offset, size, HALF) == zone


@given(st.integers(-400, 400), st.integers(0, 300))
def test_the_zone_is_whether_the_damage_overlaps_the_band(offset, size):
    left, right = 2 * offset - size, 2 * offset + size  # in half millimetres
    overlaps = left <= 2 * HALF and right >= -2 * HALF
    assert damage_zone(offset, size, HALF) == ("driver" if overlaps else "elsewhere")


def test_guards():
    assert damage_zone(1, 1, 0.5) == "driver"
    for size, half in ((-1, HALF), (Interval(-1, 1), HALF), (5, 0), (5, -1)):
        with pytest.raises(ValueError, match="zone"):
            damage_zone(0, size, half)
