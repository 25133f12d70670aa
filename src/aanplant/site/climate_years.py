"""Heat, cold, rain and frost of every season in the record: one line a harvest year."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from aanplant.inputs import DailyWeather
from aanplant.site import chilling, seasons
from aanplant.site.frost import SpringFrost, spring_frost
from aanplant.site.heat import degree_days, dryness_index, huglin_coefficient, huglin_days
from aanplant.site.radiation import daylight_hours
from aanplant.site.seasons import Season, Values, mean_of, of_season, sum_of
from aanplant.site.weather_quality import day_of_year

COLUMNS = (
    "degree_days_oct_apr",
    "degree_days_sep_mar",
    "huglin",
    "cool_night_c",
    "warmest_month_c",
    "season_c",
    "dryness_mm",
    "chill_units",
    "chill_portions",
    "rain_mm",
    "et0_mm",
)
"""Named by southern months; in the north each season lies six months later."""


@dataclass(frozen=True)
class YearTable:
    """Figures of each season, by the harvest it leads to; nan where days are missing.

    Parameters
    ----------
    harvest_year : ndarray, shape (n,)
        Years.
    columns : dict of str to ndarray, shape (n,)
        By ``COLUMNS``. [°C·d, °C, mm, -]
    frost : tuple of SpringFrost
        Last frost by threshold, the coldest threshold first.
    """

    harvest_year: NDArray[np.int64]
    columns: dict[str, Values]
    frost: tuple[SpringFrost, ...]

    def known(self, column: str) -> int:
        """Seasons with a figure."""
        return int((~np.isnan(self.columns[column])).sum())

    def mean(self, column: str) -> float:
        """Mean of the seasons that have a figure, nan when none has."""
        values = self.columns[column]
        return float(np.nanmean(values)) if self.known(column) else float("nan")


def year_table(
    weather: DailyWeather,
    et0_mm: Values,
    *,
    latitude_deg: float,
    frost_tmin_c: Values,
    thresholds_c: tuple[float, ...],
) -> YearTable:
    """Work out every season of a checked record.

    Parameters
    ----------
    weather : DailyWeather
        Every day once.
    et0_mm : ndarray, shape (n,)
        Reference evapotranspiration of each day. [mm]
    latitude_deg : float
        Negative in the south. [deg]
    frost_tmin_c : ndarray, shape (n,)
        Lowest temperature of each day in the coldest place. [°C]
    thresholds_c : tuple of float
        What counts as frost. [°C]
    """
    is_south = latitude_deg < 0.0
    first = weather.date[0]
    years = seasons.harvest_years(weather.date, is_south=is_south)
    tmin, tmax = weather.tmin_c, weather.tmax_c
    mean = (tmin + tmax) / 2.0
    heat, huglin = degree_days(tmin, tmax), huglin_days(tmin, tmax)

    def each(values: Values, season: Season, reduce: object) -> Values:
        parts = (of_season(values, first, season, int(year), is_south=is_south) for year in years)
        assert callable(reduce)  # noqa: S101 - mean_of or sum_of
        return np.array([reduce(part) for part in parts])

    units, portions = _chilling(tmin, tmax, weather.date, years, latitude_deg=latitude_deg)
    columns = {
        "degree_days_oct_apr": each(heat, seasons.DAYS_OCT_APR, sum_of),
        "degree_days_sep_mar": each(heat, seasons.DAYS_SEP_MAR, sum_of),
        "huglin": huglin_coefficient(latitude_deg) * each(huglin, seasons.DAYS_OCT_MAR, sum_of),
        "cool_night_c": each(tmin, seasons.RIPENING, mean_of),
        "warmest_month_c": each(mean, seasons.WARMEST, mean_of),
        "season_c": each(mean, seasons.DAYS_OCT_APR, mean_of),
        "dryness_mm": np.array(
            [
                dryness_index(weather.rain_mm, et0_mm, first, int(year), is_south=is_south)
                for year in years
            ]
        ),
        "chill_units": units,
        "chill_portions": portions,
        "rain_mm": each(weather.rain_mm, seasons.YEAR, sum_of),
        "et0_mm": each(et0_mm, seasons.YEAR, sum_of),
    }
    anything = np.zeros(len(years), dtype=np.bool_)
    for values in columns.values():
        anything |= ~np.isnan(values)
    frost = tuple(
        spring_frost(frost_tmin_c, first, years, threshold_c=one, is_south=is_south)
        for one in thresholds_c
    )
    kept = {name: values[anything] for name, values in columns.items()}
    return YearTable(years[anything], kept, frost)


def _chilling(
    tmin: Values, tmax: Values, date: NDArray[np.datetime64], years: NDArray[np.int64], *,
    latitude_deg: float,
) -> tuple[Values, Values]:  # fmt: skip
    """Units and portions of each winter, April to August (October to February)."""
    light = daylight_hours(latitude_deg, day_of_year(date))
    is_south = latitude_deg < 0.0
    units, portions = np.full(len(years), np.nan), np.full(len(years), np.nan)
    winters = []
    for year in years:
        parts = [
            of_season(values, date[0], seasons.REST, int(year), is_south=is_south)
            for values in (tmin, tmax, light)
        ]
        winters.append(chilling.hourly_temperature(*parts))
    if not winters:
        return units, portions
    longest = max(len(winter) for winter in winters)
    hours = np.full((len(winters), longest, 24), np.inf)
    for row, winter in enumerate(winters):
        # Winters are a day longer in leap years: shorter ones end with hours too warm to count.
        hours[row, : len(winter)] = winter
    known = ~np.isnan(hours).any(axis=(1, 2))
    if known.any():
        warm = np.where(np.isinf(hours[known]), _NO_CHILL_C, hours[known])
        units[known] = chilling.positive_daily_units(warm)
        portions[known] = chilling.chill_portions(warm.reshape(known.sum(), -1))
    return units, portions


_NO_CHILL_C = 50.0
