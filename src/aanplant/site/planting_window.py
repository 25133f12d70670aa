"""When to plant: fit soil, warm enough, vines to be had, and time before bud-break and heat.

A window of calendar days, and in how many of the recorded years it held enough days on
which the planting could be done.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from aanplant.site.seasons import YEAR, Season, Values, of_season

SURPLUS_MM = 2.0
"""Soil with more water than this above field capacity sticks to the tool (practice)."""
WET_DAY_MM = 5.0
"""Nobody plants on a day with more rain than this (practice)."""
SOIL_DAYS = 14
"""The top soil is taken to be as warm as the air of the days before, on the mean (judgement)."""
HOT_DAYS = 5
FROM_MIDWINTER = Season(7, 4)
EARLY_HEAT = 0.1
"""The window closes for the earliest hot spell in ten years."""
LIKELY = 0.9
"""A start is late enough that nine years in ten still hold the days that planting takes."""


@dataclass(frozen=True)
class PlantingWindow:
    """Days between which to plant, and how often that worked out.

    Parameters
    ----------
    opens, closes : str
        First and last day, such as "07-01"; closes before it opens where there is none.
    closed_by : str
        What closes it: ``bud-break`` or ``heat``.
    days : int
        Days of the calendar in it, 0 or less where there is no window.
    start_by : str
        Last day to begin on if nine years in ten shall hold the days needed; "" if none.
    probability : float
        Fraction of years with at least the days needed; nan when too few years are known.
    fit_days : ndarray, shape (n_years,)
        Fit days in the window, by year.
    harvest_year : ndarray, shape (n_years,)
        Years, by the harvest that follows.
    """

    opens: str
    closes: str
    closed_by: str
    days: int
    start_by: str
    probability: float
    fit_days: NDArray[np.int64]
    harvest_year: NDArray[np.int64]


def soil_surplus(rain_mm: Values, et0_mm: Values, drained_mm_d: float) -> Values:
    """Water in the top soil above field capacity at the end of each day. [mm].

    The soil is taken at field capacity between rains, as in a wet winter: after a dry
    spell it is fit sooner than this says. A day without a record leaves the surplus as it was.

    Parameters
    ----------
    rain_mm, et0_mm : ndarray, shape (n,)
        Of days that follow one another. [mm]
    drained_mm_d : float
        Water that drains in a day. [mm/d]
    """
    loss = np.where(np.isnan(et0_mm), 0.0, et0_mm) + drained_mm_d
    change = np.where(np.isnan(rain_mm), 0.0, rain_mm - loss)
    surplus = np.empty(len(change))
    held = 0.0
    for day, step in enumerate(change.tolist()):
        held = max(0.0, held + step)
        surplus[day] = held
    return surplus


def soil_temperature(tmin_c: Values, tmax_c: Values) -> Values:
    """Mean air temperature of the last 14 days, nan while they are not all known. [°C]."""
    mean = (tmin_c + tmax_c) / 2.0
    found = np.full(len(mean), np.nan)
    if len(mean) >= SOIL_DAYS:
        windows = np.lib.stride_tricks.sliding_window_view(mean, SOIL_DAYS)
        found[SOIL_DAYS - 1 :] = windows.mean(axis=-1)
    return found


def fit_for_planting(
    rain_mm: Values,
    et0_mm: Values,
    tmin_c: Values,
    tmax_c: Values,
    *,
    drained_mm_d: float,
    least_soil_c: float,
) -> NDArray[np.bool_]:
    """Whether vines could be planted on each day, shape (n,).

    Parameters
    ----------
    rain_mm, et0_mm, tmin_c, tmax_c : ndarray, shape (n,)
        Of days that follow one another. [mm, mm, °C, °C]
    drained_mm_d : float
        Water that drains from the top soil in a day. [mm/d]
    least_soil_c : float
        Roots grow little in colder soil. [°C]
    """
    dry = soil_surplus(rain_mm, et0_mm, drained_mm_d) <= SURPLUS_MM
    return np.asarray(
        dry & (rain_mm <= WET_DAY_MM) & (soil_temperature(tmin_c, tmax_c) >= least_soil_c)
    )


def first_heat(
    tmax_c: Values,
    first_day: np.datetime64,
    years: NDArray[np.int64],
    *,
    hot_c: float,
    is_south: bool,
) -> Values:
    """First day, from July (January) on, that ends five days with a mean highest this hot.

    Returns
    -------
    ndarray, shape (n_years,)
        Days since the season's first, nan where it never gets so hot. [d]
    """
    found = np.full(len(years), np.nan)
    for index, year in enumerate(years):
        season = of_season(tmax_c, first_day, FROM_MIDWINTER, int(year), is_south=is_south)
        spells = np.lib.stride_tricks.sliding_window_view(season, HOT_DAYS).mean(axis=-1)
        hot = np.flatnonzero(spells >= hot_c)
        if len(hot):
            found[index] = hot[0] + HOT_DAYS - 1
    return found


def planting_window(
    fit: NDArray[np.bool_],
    known: NDArray[np.bool_],
    first_day: np.datetime64,
    years: NDArray[np.int64],
    *,
    opens: str,
    closes: str,
    closed_by: str,
    days_needed: float,
    is_south: bool,
    fewest_years: int,
) -> PlantingWindow:
    """Count the fit days between two days of every year.

    Parameters
    ----------
    fit, known : ndarray of bool, shape (n,)
        Whether vines could be planted, and whether that is known, from ``first_day`` on.
    first_day : datetime64[D]
        Day of ``fit[0]``.
    years : ndarray of int
        Harvest years to look at; those with unknown days in the window are left out.
    opens, closes : str
        First and last day of the window, such as "07-01".
    closed_by : str
        What closes it.
    days_needed : float
        Fit days that the planting takes.
    is_south : bool
        Hemisphere.
    fewest_years : int
        With fewer years no probability is given.
    """
    rows, kept = [], []
    for year in years:
        start = int((day_in(opens, int(year), is_south=is_south) - first_day).astype(int))
        stop = int((day_in(closes, int(year), is_south=is_south) - first_day).astype(int)) + 1
        if 0 <= start < stop <= len(fit) and known[start:stop].all():
            rows.append(fit[start:stop])
            kept.append(int(year))
    counts = np.array([row.sum() for row in rows], dtype=np.int64)
    enough = len(rows) >= fewest_years
    return PlantingWindow(
        opens,
        closes,
        closed_by,
        days_between(opens, closes, is_south=is_south),
        _start_by(rows, opens, days_needed, is_south=is_south) if enough else "",
        float((counts >= days_needed).mean()) if enough else float("nan"),
        counts,
        np.array(kept, dtype=np.int64),
    )


def _start_by(
    rows: list[NDArray[np.bool_]], opens: str, days_needed: float, *, is_south: bool
) -> str:
    """Last day from which nine years in ten still hold the days needed, "" if none."""
    shortest = min(len(row) for row in rows)
    # Along axis 1: fit days left from each day of the window to its end.
    left = np.array([row[::-1].cumsum()[::-1][:shortest] for row in rows])
    good = np.flatnonzero((left >= days_needed).mean(axis=0) >= LIKELY)
    return later(opens, int(good[-1]), is_south=is_south) if len(good) else ""


def day_in(month_day: str, harvest_year: int, *, is_south: bool) -> np.datetime64:
    """Day of the year from harvest to harvest (May to April, November to October)."""
    start, _ = YEAR.bounds(harvest_year, is_south=is_south)
    year = int(str(start)[:4])
    if month_day < str(start)[5:]:
        year += 1
    return np.datetime64(f"{year:04d}-{month_day}", "D")


def later(month_day: str, days: int, *, is_south: bool) -> str:
    """Month and day so many days later, in a year without 29 February."""
    return str(day_in(month_day, 2002, is_south=is_south) + days)[5:]


def days_between(opens: str, closes: str, *, is_south: bool) -> int:
    """Days from the first to the last, both counted; 0 or less when they cross."""
    first, last = (day_in(one, 2002, is_south=is_south) for one in (opens, closes))
    return int((last - first).astype(int)) + 1
