"""Weather laid out year beside year, so that every season runs through the balance at once.

A year runs from harvest to harvest, May to April, and from November to October in the
north. All have 366 places; in a common year that of 29 February is empty.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from aanplant.site.climate_record import ClimateRecord
from aanplant.site.evapotranspiration import measured_vapour_pressure
from aanplant.site.seasons import LEAST_KNOWN, YEAR, Values, harvest_years, of_season
from aanplant.site.weather import saturation_vapour_pressure, wind_at_2_m
from aanplant.water.coefficients import STANDARD_HUMIDITY_PCT, STANDARD_WIND_M_S

Array = NDArray[np.float64]
PLACES = 366
_LEAP_HARVEST = 2004
_RAIN_EVERY = 5
"""A mean month's rain is taken to fall every five days (practice)."""


@dataclass(frozen=True)
class WaterYears:
    """Daily weather by year, arrays of shape (366, n_years).

    Parameters
    ----------
    harvest_year : ndarray, shape (n_years,)
        Year of the harvest that ends each.
    et0_mm, rain_mm : ndarray
        Nothing on a day that is none. [mm]
    wind_m_s, least_humidity_pct : ndarray
        At 2 m, and the day's lowest. [m/s, %]
    is_day : ndarray of bool
        Whether the place is a day of the year.
    is_south : bool
        Hemisphere.
    filled_days : int
        Days without a record, taken as the mean of the other years and dry.
    is_normal : bool
        Whether this is one mean year, which tells nothing of bad ones.
    """

    harvest_year: NDArray[np.int64]
    et0_mm: Array
    rain_mm: Array
    wind_m_s: Array
    least_humidity_pct: Array
    is_day: NDArray[np.bool_]
    is_south: bool
    filled_days: int = 0
    is_normal: bool = False

    @property
    def years(self) -> int:
        """How many."""
        return len(self.harvest_year)

    @property
    def month(self) -> NDArray[np.int64]:
        """Month of each place, 1 to 12, shape (366,)."""
        months: NDArray[np.int64] = calendar(is_south=self.is_south).astype("datetime64[M]")
        return months.astype(np.int64) % 12 + 1

    def place(self, month_day: str) -> int:
        """Place of a day such as "09-10"."""
        days = calendar(is_south=self.is_south).astype(str)
        return int(np.flatnonzero(np.char.endswith(days, month_day))[0])


def calendar(*, is_south: bool) -> NDArray[np.datetime64]:
    """Return the days of a year with 29 February, shape (366,)."""
    harvest = _LEAP_HARVEST
    start, _ = YEAR.bounds(harvest, is_south=is_south)
    return start + np.arange(PLACES)


def water_years(record: ClimateRecord, *, wind_height_m: float) -> WaterYears | None:
    """Lay out a checked record year beside year.

    Parameters
    ----------
    record : ClimateRecord
        Weather and its evapotranspiration.
    wind_height_m : float
        Height of the wind gauge. [m]

    Returns
    -------
    WaterYears or None
        None without a single year known on at least 95 days in a hundred.
    """
    weather, is_south = record.checked.weather, record.is_south
    first = weather.date[0]
    moist = measured_vapour_pressure(weather)
    columns = {
        "et0": record.demand.et0_mm,
        "rain": weather.rain_mm,
        "wind": wind_at_2_m(weather.wind_m_s, wind_height_m),
        "humidity": 100.0 * moist / saturation_vapour_pressure(weather.tmax_c),
    }
    kept: list[int] = []
    found: dict[str, list[Values]] = {name: [] for name in columns}
    for year in harvest_years(weather.date, is_south=is_south).tolist():
        parts = {
            name: of_season(values, first, YEAR, year, is_south=is_south)
            for name, values in columns.items()
        }
        known = ~np.isnan(parts["et0"]) & ~np.isnan(parts["rain"])
        if known.mean() < LEAST_KNOWN:
            continue
        kept.append(year)
        for name, values in parts.items():
            found[name].append(_with_leap_day(values, is_south=is_south))
    if not kept:
        return None
    table = {name: np.stack(rows, axis=1) for name, rows in found.items()}
    is_day = np.ones((PLACES, len(kept)), dtype=np.bool_)
    leap = _leap_place(is_south=is_south)
    is_day[leap] = [_has_leap_day(year, is_south=is_south) for year in kept]
    missing = is_day & (np.isnan(table["et0"]) | np.isnan(table["rain"]))
    et0 = np.where(is_day, _filled(table["et0"]), 0.0)
    return WaterYears(
        np.array(kept, dtype=np.int64),
        et0,
        np.where(is_day & ~np.isnan(table["rain"]), table["rain"], 0.0),
        np.where(np.isnan(table["wind"]), STANDARD_WIND_M_S, table["wind"]),
        np.where(np.isnan(table["humidity"]), STANDARD_HUMIDITY_PCT, table["humidity"]),
        is_day,
        is_south,
        int(missing.sum()),
    )


def mean_year(
    et0_by_month_mm: tuple[float, ...], rain_by_month_mm: tuple[float, ...], *, is_south: bool
) -> WaterYears:
    """Make one year of the normals of a place.

    Parameters
    ----------
    et0_by_month_mm, rain_by_month_mm : tuple of float, length 12
        January first. [mm]
    is_south : bool
        Hemisphere.
    """
    days = calendar(is_south=is_south)
    of_month = days.astype("datetime64[M]").astype(np.int64) % 12
    in_month = (days - days.astype("datetime64[M]")).astype(np.int64) + 1
    is_day = np.ones((PLACES, 1), dtype=np.bool_)
    is_day[_leap_place(is_south=is_south)] = False
    wet = is_day[:, 0] & (in_month % _RAIN_EVERY == 0)

    def spread(by_month: tuple[float, ...], on: NDArray[np.bool_]) -> Array:
        count = np.bincount(of_month[on], minlength=12)
        daily = (np.asarray(by_month) / count)[of_month]
        return np.asarray(np.where(on, daily, 0.0)[:, None])

    return WaterYears(
        np.array([_LEAP_HARVEST - 1], dtype=np.int64),
        spread(et0_by_month_mm, is_day[:, 0]),
        spread(rain_by_month_mm, wet),
        np.full((PLACES, 1), STANDARD_WIND_M_S),
        np.full((PLACES, 1), STANDARD_HUMIDITY_PCT),
        is_day,
        is_south,
        is_normal=True,
    )


def _leap_place(*, is_south: bool) -> int:
    days = calendar(is_south=is_south).astype(str)
    return int(np.flatnonzero(np.char.endswith(days, "02-29"))[0])


def _has_leap_day(harvest_year: int, *, is_south: bool) -> bool:
    start, stop = YEAR.bounds(harvest_year, is_south=is_south)
    return int((stop - start).astype(int)) == PLACES


def _with_leap_day(values: Values, *, is_south: bool) -> Values:
    if len(values) == PLACES:
        return values
    return np.insert(values, _leap_place(is_south=is_south), np.nan)


def _filled(values: Array) -> Array:
    """Fill what is not known by the mean of that day in the other years, or of all days."""
    known = ~np.isnan(values)
    count = known.sum(axis=1)
    total = np.where(known, values, 0.0).sum(axis=1)
    mean = np.where(count > 0, total / np.maximum(count, 1), values[known].mean())
    return np.where(known, values, mean[:, None])
