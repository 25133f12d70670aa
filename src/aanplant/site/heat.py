"""Heat, cool nights and dryness of a growing season, as viticulture classes them."""

import numpy as np

from aanplant import tables
from aanplant.site.seasons import Season, Values, of_season, sum_of

BASE_C = 10.0
"""Vines grow little below this (Amerine and Winkler 1944)."""
HUGLIN_STEPS = ((40.0, 1.00), (42.0, 1.02), (44.0, 1.03), (46.0, 1.04), (48.0, 1.05), (50.0, 1.06))
"""Day-length coefficient up to each latitude (Huglin 1978)."""
SOIL_RESERVE_MM = 200.0
"""Water in the soil as the season starts (Riou et al. 1994)."""
TRANSPIRED = (0.1, 0.3, 0.5, 0.5, 0.5, 0.5)
"""Part of the radiation that the vines take up, October to March (Riou et al. 1994)."""
RAIN_A_WET_DAY_MM = 5.0


def degree_days(tmin_c: Values, tmax_c: Values) -> Values:
    """Degrees of the day's mean above 10 °C, 0 below. [°C·d]."""
    return np.maximum((tmin_c + tmax_c) / 2.0 - BASE_C, 0.0)


def huglin_days(tmin_c: Values, tmax_c: Values) -> Values:
    """Mean of the day's mean and its highest, above 10 °C, 0 below. [°C·d]."""
    mean = (tmin_c + tmax_c) / 2.0
    return np.maximum(((mean - BASE_C) + (tmax_c - BASE_C)) / 2.0, 0.0)


def huglin_coefficient(latitude_deg: float) -> float:
    """Coefficient for the length of the day, in steps of latitude; nan beyond 50 degrees. [-]."""
    for limit, coefficient in HUGLIN_STEPS:
        if abs(latitude_deg) <= limit:
            return coefficient
    return float("nan")


def dryness_index(
    rain_mm: Values, et0_mm: Values, first_day: np.datetime64, harvest_year: int, *, is_south: bool
) -> float:
    """Water left of 200 mm in the soil at the end of March, September in the north.

    Month by month W = Wo + P - Tv - Es, with Tv = ETP·k and
    Es = ETP/N·(1 - k)·JPm, JPm = min(P/5, N); never above Wo, negative when short.

    Parameters
    ----------
    rain_mm, et0_mm : ndarray, shape (n,)
        One a day from ``first_day`` on. [mm]
    first_day : datetime64[D]
        Day of the first value.
    harvest_year : int
        Which harvest.
    is_south : bool
        Hemisphere.

    Returns
    -------
    float
        The index, nan if too many days are missing. [mm]

    References
    ----------
    .. [1] Tonietto, Carbonneau (2004), Agricultural and Forest Meteorology 124: 81-97.
    """
    water = SOIL_RESERVE_MM
    for step, taken in enumerate(TRANSPIRED):
        month = Season((9 + step) % 12 + 1, (9 + step) % 12 + 1)
        rain = of_season(rain_mm, first_day, month, harvest_year, is_south=is_south)
        demand = of_season(et0_mm, first_day, month, harvest_year, is_south=is_south)
        total_rain, total_demand = sum_of(rain), sum_of(demand)
        wet_days = min(total_rain / RAIN_A_WET_DAY_MM, len(rain))
        evaporated = total_demand / len(demand) * (1.0 - taken) * wet_days
        water = min(water + total_rain - total_demand * taken - evaporated, SOIL_RESERVE_MM)
    return float(water)


def class_of(index: str, value: float) -> str:
    """Name of the class a value falls in, by ``climate_classes.csv``; "" when it has none.

    Limits belong to the class below them.
    """
    for row in tables.rows("climate_classes.csv"):
        low = float(row["above"]) if row["above"] else -np.inf
        high = float(row["up_to"]) if row["up_to"] else np.inf
        if row["index"] == index and low < value <= high:
            return row["class"]
    return ""
