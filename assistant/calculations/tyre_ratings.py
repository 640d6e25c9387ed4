"""What the load index and the speed symbol of a tyre stand for."""

from __future__ import annotations

# Greatest load of one tyre in kg, from index 60 upwards, ten a row.
# Source: the tyre makers' common table (ETRTO, ISO 4000-1). Basis: from memory; a test compares
# every row with the published growth formula, 45 * 10^(index / 80).
_FIRST_INDEX = 60
_LOADS_KG = (
    *(250, 257, 265, 272, 280, 290, 300, 307, 315, 325),
    *(335, 345, 355, 365, 375, 387, 400, 412, 425, 437),
    *(450, 462, 475, 487, 500, 515, 530, 545, 560, 580),
    *(600, 615, 630, 650, 670, 690, 710, 730, 750, 775),
    *(800, 825, 850, 875, 900, 925, 950, 975, 1000, 1030),
    *(1060, 1090, 1120, 1150, 1180, 1215, 1250, 1285, 1320, 1360),
    *(1400, 1450, 1500, 1550, 1600, 1650, 1700),
)

# Greatest speed in km/h. Source: the tyre makers' common table. Basis: read for Q, S, T, U, H, V,
# W and Y; from memory for the others. H stands out of order by history, between U and V.
_SPEEDS_KMH = {
    "L": 120,
    "M": 130,
    "N": 140,
    "P": 150,
    "Q": 160,
    "R": 170,
    "S": 180,
    "T": 190,
    "U": 200,
    "H": 210,
    "V": 240,
    "W": 270,
    "Y": 300,
}


def load_capacity_kg(load_index: int) -> int:
    """Greatest load of one tyre in kg; ValueError for an index outside the table."""
    place = load_index - _FIRST_INDEX
    if not 0 <= place < len(_LOADS_KG):
        last = _FIRST_INDEX + len(_LOADS_KG) - 1
        raise ValueError(f"load index {load_index} is not between {_FIRST_INDEX} and {last}")
    return _LOADS_KG[place]


def speed_limit_kmh(speed_symbol: str) -> int:
    """Greatest speed in km/h; ValueError for a letter outside the table.

    At the top of their speed V, W and Y carry less than the load index says (read: from 210, 240
    and 270 km/h); no road limit reaches that far, so it is left out here.
    """
    try:
        return _SPEEDS_KMH[speed_symbol.strip().upper()]
    except KeyError:
        known = " ".join(_SPEEDS_KMH)
        raise ValueError(f"{speed_symbol!r} is not a speed symbol; they are {known}") from None
