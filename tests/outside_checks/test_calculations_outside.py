"""The calculations against something that is not this project.

Each test names its source and says whether that source was read or is from memory, or that the
comparison is with an independent library.
"""

import math
import random
from datetime import date, timedelta
from statistics import fmean, quantiles

import pint
import pytest
from dateutil.relativedelta import relativedelta
from uncertainties import ufloat

from assistant.calculations.brakes import (
    caliper_volume_ml,
    efficiency_percent,
    imbalance_percent,
    level_drop_mm,
)
from assistant.calculations.dates import (
    add_months,
    earliest_keeping_anniversary,
    working_day_after,
)
from assistant.calculations.forecast import (
    after_clear,
    after_fault,
    after_repair,
    chance_of_any,
    rate_for_chance,
    starting_care,
)
from assistant.calculations.tyres import (
    WearProjection,
    WearReading,
    load_capacity_kg,
    pressure_at_temperature,
    project_wear,
    speed_limit_kmh,
)
from assistant.calculations.under_bonnet import battery_state
from assistant.calculations.units import convert


@pytest.mark.parametrize(
    ("value", "word", "to", "pint_word", "pint_to"),
    [
        (2, "32nds", "mm", "inch / 32", "mm"),
        (32, "psi", "bar", "psi", "bar"),
        (36, "psi", "kPa", "psi", "kPa"),
        (30_000, "miles", "km", "mile", "km"),
        (2500, "lb", "kg", "pound", "kg"),
        (14, "F", "C", "degF", "degC"),
        (70, "mph", "km/h", "mile / hour", "km / hour"),
        (30, "mph", "m/s", "mile / hour", "m / s"),
        (240, "kgf", "N", "kgf", "N"),
        (18, "months", "days", "month", "day"),
    ],
)
def test_units_agree_with_pint(value, word, to, pint_word, pint_to):
    """Independent library: pint. It takes a year of 365.25 days, hence the tolerance on months."""
    registry = pint.UnitRegistry()
    if word == "F":
        oracle = registry.Quantity(value, pint_word)
    else:
        oracle = value * registry.parse_expression(pint_word)
    tolerance = 3e-5 if word == "months" else 1e-12
    assert convert(value, word, to) == pytest.approx(oracle.to(pint_to).magnitude, rel=tolerance)


@pytest.mark.parametrize("index", range(60, 127))
def test_load_index_follows_the_growth_formula(index):
    """Source: 45 * 10^(index / 80), the formula tyre references give. Basis: from memory.

    One step of the index is 2.9 percent, so a row that slipped by one is caught.
    """
    tolerance = 0.012 if 70 <= index <= 110 else 0.018
    assert load_capacity_kg(index) == pytest.approx(45 * 10 ** (index / 80), rel=tolerance)


def test_speed_symbols_rise_by_ten():
    """Source: the common table of tyre makers, in steps of 10 km/h from L to U, then H, V, W and Y.

    Basis: read for Q, S, T, U, H, V, W and Y; from memory for L, M, N, P, R and the even steps.
    """
    assert [speed_limit_kmh(symbol) for symbol in "LMNPQRSTU"] == list(range(120, 201, 10))
    assert [speed_limit_kmh(symbol) for symbol in "HVWY"] == [210, 240, 270, 300]


def test_load_index_spot_values():
    """Source: load ratings as printed in tyre catalogues. Basis: from memory."""
    known = {75: 387, 82: 475, 88: 560, 91: 615, 94: 670, 100: 800, 104: 900, 110: 1060, 121: 1450}
    assert {index: load_capacity_kg(index) for index in known} == known


def wear_example(before, after):
    return project_wear(
        WearReading(before, 30_000, date(2025, 1, 4)),
        WearReading(after, 36_000, date(2025, 10, 1)),
        limit_mm=1.6,
        gauge_error_mm=0.2,
        shortest_run=1000,
        tyres_changed=False,
    )


@pytest.mark.parametrize(("before", "after"), [(5.0, 3.8), (8.0, 6.5), (4.0, 1.9)])
def test_wear_uncertainty_agrees_with_uncertainties(before, after):
    """Independent library: uncertainties, linear propagation of a flat spread."""
    first, second = (ufloat(depth, 0.2 / math.sqrt(3)) for depth in (before, after))
    oracle = (second - 1.6) * 6000 / (first - second)
    result = wear_example(before, after)
    assert isinstance(result, WearProjection)
    assert result.distance_left == pytest.approx(oracle.nominal_value)
    assert result.standard_uncertainty == pytest.approx(oracle.std_dev)


def test_wear_bounds_hold_in_a_simulation():
    """Independent method: 20,000 simulated pairs of readings, seed fixed."""
    chance = random.Random(126)
    left = []
    for _ in range(20_000):
        first, second = 5.0 + chance.uniform(-0.2, 0.2), 3.8 + chance.uniform(-0.2, 0.2)
        left.append((second - 1.6) * 6000 / (first - second))
    result = wear_example(5.0, 3.8)
    assert isinstance(result, WearProjection)
    assert min(left) == pytest.approx(result.distance_bounds.lo, rel=0.03)
    assert max(left) == pytest.approx(result.distance_bounds.hi, rel=0.03)
    assert result.distance_bounds.lo <= min(left)
    assert max(left) <= result.distance_bounds.hi
    cuts = quantiles(left, n=40)
    assert (cuts[0], cuts[-1]) == (pytest.approx(8100, rel=0.02), pytest.approx(15_900, rel=0.02))


def test_efficiency_from_a_roller_printout_agrees_with_pint():
    """Independent library: pint, force over mass against its own standard gravity."""
    registry = pint.UnitRegistry()
    slowing = registry.Quantity(7200, "newton") / registry.Quantity(1250, "kg")
    oracle = (slowing / registry.Quantity(1, "standard_gravity")).to("percent").magnitude
    ours = efficiency_percent([2400, 2300, 1300, 1200], convert(1250, "kgf", "N"))
    assert ours.middle == pytest.approx(oracle, rel=1e-12)


def test_imbalance_range_covers_the_linear_uncertainty():
    """Independent library: uncertainties; for small errors the range is its sum of effects."""
    greater, lesser = ufloat(240, 0.01), ufloat(160, 0.01)
    oracle = 100 * (greater - lesser) / greater
    ours = imbalance_percent(240, 160, reading_error=0.01)
    assert ours.middle == pytest.approx(oracle.nominal_value, abs=1e-4)
    worst = sum(abs(slope) * 0.01 for slope in oracle.derivatives.values())
    assert ours.half_width == pytest.approx(worst, rel=1e-3)


def test_fluid_level_agrees_with_pint():
    """Independent library: pint, a cylinder of 54 mm bore moving 12 mm into 45 square cm."""
    registry = pint.UnitRegistry()
    volume = math.pi * registry.Quantity(54, "mm") ** 2 / 4 * registry.Quantity(12, "mm")
    oracle = (volume / registry.Quantity(45, "cm^2")).to("mm").magnitude
    assert level_drop_mm(caliper_volume_ml(54, 6), 45).middle == pytest.approx(oracle)


def test_pressure_rule_of_thumb():
    """A rule of thumb of about 1 psi for each 10 F. Basis: common practice, no source."""
    cold = convert(
        pressure_at_temperature(convert(33, "psi", "bar"), 20, 20 - 50 / 9), "bar", "psi"
    )
    assert 33 - cold.middle == pytest.approx(1, abs=0.15)


@pytest.mark.parametrize(
    ("volts", "percent"), [(12.6, 100), (12.4, 75), (12.2, 50), (12.0, 25), (11.6, 0)]
)
def test_battery_table_agrees_with_another_within_its_stated_error(volts, percent):
    """A table in use that rounds to 0.2 V, not the one in the code. Basis: common practice, no
    source."""
    assert battery_state(volts).charge.middle == pytest.approx(percent, abs=10)


def test_battery_slope():
    """About 80 mV to each 10 percent of charge. Basis: common practice, no source."""
    charge = battery_state(12.00 + 0.08 * 7).charge.middle - battery_state(12.00).charge.middle
    assert charge == pytest.approx(70, abs=5)


@pytest.mark.parametrize("offset", range(0, 1500, 7))
def test_months_agree_with_dateutil(offset):
    """Independent library: python-dateutil, relativedelta."""
    day = date(2023, 1, 25) + timedelta(days=offset)
    for months in (-13, -1, 1, 12, 36):
        assert add_months(day, months) == day + relativedelta(months=months)


def test_earliest_renewal_of_the_published_example():
    """Source: gov.uk page on getting a test: expiry 15 May, earliest 16 April.

    Basis: read, in copies of the page.
    """
    assert earliest_keeping_anniversary(date(2026, 5, 15), 1) == date(2026, 4, 16)


# Bank holidays in England. Source: the list published on gov.uk. Basis: from memory.
ENGLAND = {
    date(2025, month, day)
    for month, day in [(1, 1), (4, 18), (4, 21), (5, 5), (5, 26), (8, 25), (12, 25), (12, 26)]
} | {
    date(2026, month, day)
    for month, day in [(1, 1), (4, 3), (4, 6), (5, 4), (5, 25), (8, 31), (12, 25), (12, 28)]
}


def test_working_days_in_england_by_hand():
    """Every start day from January 2025 to the end of November 2026 against the list above."""
    first = date(2025, 1, 1)
    calendar = [first + timedelta(days=n) for n in range(730)]
    working = [day for day in calendar if day.weekday() < 5 and day not in ENGLAND]
    for start in calendar[:695]:
        later = [day for day in working if day > start]
        found = working_day_after(start, 10, country="GB", subdivision="ENG")
        assert found == later[9], start


@pytest.mark.parametrize(
    ("subdivision", "start", "tenth"),
    [
        ("ENG", date(2025, 12, 19), date(2026, 1, 7)),
        ("WLS", date(2025, 12, 19), date(2026, 1, 7)),
        ("SCT", date(2025, 12, 19), date(2026, 1, 8)),  # 2 January is a holiday there
        ("NIR", date(2025, 12, 19), date(2026, 1, 7)),
        ("ENG", date(2026, 3, 6), date(2026, 3, 20)),
        ("NIR", date(2026, 3, 6), date(2026, 3, 23)),  # 17 March is a holiday there
        ("ENG", date(2026, 3, 30), date(2026, 4, 15)),
        ("SCT", date(2026, 3, 30), date(2026, 4, 14)),  # Easter Monday is not one there
    ],
)
def test_working_days_differ_between_the_nations(subdivision, start, tenth):
    """Source: bank holidays of each nation as published on gov.uk. Basis: from memory."""
    found = working_day_after(start, 10, country="GB", subdivision=subdivision)
    assert found == tenth


def test_forecast_agrees_with_a_simulation_of_the_model():
    """Independent method: 60,000 simulated cars, each with its own care and Poisson faults."""
    chance = random.Random(80)
    shape, item, others, sees = 0.45, 0.05, 0.5, 0.8
    any_fault, after_a_clear_look, after_a_find = [], [], []
    for _ in range(60_000):
        factor = chance.gammavariate(shape, 1 / shape)
        seen = chance.random() > math.exp(-item * sees * factor)
        unseen = chance.random() > math.exp(-item * (1 - sees) * factor)
        other = chance.random() > math.exp(-others * factor)
        any_fault.append(seen or unseen or other)
        (after_a_find if seen else after_a_clear_look).append(unseen or other)

    care = starting_care(shape)
    assert chance_of_any([item, others], care) == pytest.approx(fmean(any_fault), abs=0.008)
    left, clear = after_clear(item, sees, care)
    assert chance_of_any([left, others], clear) == pytest.approx(
        fmean(after_a_clear_look), abs=0.008
    )
    fault = after_fault(item, sees, care)
    mended = [after_repair(item, sees), others]
    assert chance_of_any(mended, fault) == pytest.approx(fmean(after_a_find), abs=0.04)


def test_independent_categories_would_overstate_the_failures():
    """Source: official failure rate 28.2 percent of all tests, and category shares of 2024-25.
    Basis: read. With one average rate for all ages the clustered total must fall well below the
    39 percent of independent categories and near the official rate.
    """
    shares = [0.1089, 0.0873, 0.0663, 0.0639, 0.0454, 0.0193, 0.037, 0.031, 0.0112, 0.0043, 0.0026]
    care = starting_care(0.45)
    independent = 1 - math.prod(1 - share for share in shares)
    clustered = chance_of_any([rate_for_chance(share, care) for share in shares], care)
    assert independent == pytest.approx(0.39, abs=0.005)
    assert clustered == pytest.approx(0.282, abs=0.03)
