"""How often weather and soil let each kind of work be done, by the days on record."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from aanplant.brief import Brief
from aanplant.site import Site
from aanplant.site.planting_window import soil_surplus
from aanplant.tables import rows

Values = NDArray[np.float64]
DAYS = 366
STORE_MM = 100.0
"""Water that the soil to be loosened holds between field capacity and wilting (judgement)."""
BARE_SOIL = 0.6
"""Share of the reference evapotranspiration that bare moist soil loses, falling to nothing as
it dries (judgement)."""
SMOOTHED_DAYS = 7
"""Days on either side that count towards the chance of a day."""
FEWEST_YEARS = 5
LEAST_CHANCE = 0.02
"""A day on which work was possible less often than this is no day to plan it on."""


@dataclass(frozen=True, eq=False)
class Workable:
    """Days on which each kind of work could be done.

    Parameters
    ----------
    years : tuple of int
        Years of which every day is known.
    fit : mapping of str to ndarray of bool, shape (n_years, 366)
        By condition; 29 February is taken as the day before where there is none.
    """

    years: tuple[int, ...]
    fit: Mapping[str, NDArray[np.bool_]]

    def chance(self, conditions: tuple[str, ...], day_of_year: NDArray[np.int64]) -> Values:
        """Chance that all conditions are met, the days around counted too. [-]."""
        met = self.met(conditions).mean(axis=0)
        padded = np.concatenate([met[-SMOOTHED_DAYS:], met, met[:SMOOTHED_DAYS]])
        width = 2 * SMOOTHED_DAYS + 1
        smooth = np.convolve(padded, np.full(width, 1.0 / width), mode="valid")
        found = smooth[day_of_year]
        return np.where(found < LEAST_CHANCE, 0.0, found)

    def met(self, conditions: tuple[str, ...]) -> NDArray[np.bool_]:
        """Days on which all conditions are met, shape (n_years, 366)."""
        met = np.ones((len(self.years), DAYS), dtype=bool)
        for name in conditions:
            met &= self.fit[name]
        return met


def day_of_year(day: date) -> int:
    """Place of a day in a year of 366 days, from 0."""
    return (date(2028, day.month, day.day) - date(2028, 1, 1)).days


def workable(brief: Brief, site: Site) -> Workable | None:
    """Judge every day on record by every row of the table of conditions.

    Parameters
    ----------
    brief : Brief
        How fast the soil drains.
    site : Site
        Its weather.

    Returns
    -------
    Workable or None
        None without weather, or with fewer than five whole years of it.
    """
    if site.climate is None:
        return None
    record = site.climate.record
    weather, et0 = record.checked.weather, record.demand.et0_mm
    drained = next(
        float(row["drained_mm_d"])
        for row in rows("soil_drainage.csv")
        if row["soil_drainage"] == brief.climate.soil_drainage
    )
    surplus = soil_surplus(weather.rain_mm, et0, drained)
    share = _share_left(weather.rain_mm, et0)
    known = ~(np.isnan(weather.rain_mm) | np.isnan(weather.tmin_c) | np.isnan(weather.tmax_c))
    met = {
        row["condition"]: _met(
            row,
            rain_most_mm=(weather.rain_mm, 1.0),
            surplus_most_mm=(surplus, 1.0),
            dry_share_most=(share, 1.0),
            wind_most_m_s=(weather.wind_m_s, 1.0),
            tmin_least_c=(weather.tmin_c, -1.0),
            tmax_most_c=(weather.tmax_c, 1.0),
        )
        for row in rows("work_conditions.csv")
    }
    years, places = _whole_years(weather.date, known)
    if len(years) < FEWEST_YEARS:
        return None
    return Workable(years, {name: days[places] for name, days in met.items()})


def _share_left(rain_mm: Values, et0_mm: Values) -> Values:
    """Share of the soil's store that is full at the end of each day. [-]."""
    share = np.empty(len(rain_mm))
    held = STORE_MM / 2.0
    gain = np.nan_to_num(rain_mm).tolist()
    loss = (BARE_SOIL * np.nan_to_num(et0_mm)).tolist()
    for day, (rain, dry) in enumerate(zip(gain, loss, strict=True)):
        held = min(STORE_MM, max(0.0, held + rain - dry * held / STORE_MM))
        share[day] = held / STORE_MM
    return share


def _met(row: Mapping[str, str], **limits: tuple[Values, float]) -> NDArray[np.bool_]:
    """Whether each day keeps all limits of a row; what was not measured breaks none."""
    met = np.ones(len(next(iter(limits.values()))[0]), dtype=bool)
    for name, (values, sign) in limits.items():
        if row[name]:
            met &= np.isnan(values) | (sign * values <= sign * float(row[name]))
    return met


def _whole_years(
    dates: NDArray[np.datetime64], known: NDArray[np.bool_]
) -> tuple[tuple[int, ...], NDArray[np.int64]]:
    """Calendar years known throughout, and the place of each of their 366 days."""
    years, places = [], []
    first, last = (int(str(day)[:4]) for day in (dates[0], dates[-1]))
    for year in range(first, last + 1):
        start = int((np.datetime64(f"{year}-01-01") - dates[0]).astype(int))
        length = int(
            (np.datetime64(f"{year + 1}-01-01") - np.datetime64(f"{year}-01-01")).astype(int)
        )
        if start < 0 or start + length > len(dates) or not known[start : start + length].all():
            continue
        row = start + np.arange(length)
        if length < DAYS:
            row = np.insert(row, 59, row[58])  # 29 February is 28 February again
        years.append(year)
        places.append(row)
    return tuple(years), np.array(places, dtype=np.int64)
