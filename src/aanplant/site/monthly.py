"""Rain, demand for water and temperature of a mean month, from daily weather."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from aanplant.site.seasons import LEAST_KNOWN

Values = NDArray[np.float64]
MONTHS = 12


@dataclass(frozen=True)
class Monthly:
    """Means over the years, columns of shape (12,), January first; nan where never known.

    Parameters
    ----------
    rain_mm, et0_mm : ndarray
        Sums of a month. [mm]
    tmin_c, tmax_c : ndarray
        Mean lowest and highest temperature of its days. [°C]
    years : int
        Most years that any month rests on.
    """

    rain_mm: Values
    et0_mm: Values
    tmin_c: Values
    tmax_c: Values
    years: int


def by_month(
    date: NDArray[np.datetime64], rain_mm: Values, et0_mm: Values, tmin_c: Values, tmax_c: Values
) -> Monthly:
    """Average every calendar month over the years.

    A month of a year counts when at least 95 % of its days are known; its missing days are
    taken as its mean day.

    Parameters
    ----------
    date : ndarray of datetime64[D], shape (n,)
        Every day once, in order.
    rain_mm, et0_mm, tmin_c, tmax_c : ndarray, shape (n,)
        Of each day. [mm, mm, °C, °C]
    """
    month = date.astype("datetime64[M]")
    every = np.arange(month[0], month[-1] + 1)
    days = (every + 1).astype("datetime64[D]") - every.astype("datetime64[D]")
    length = days.astype(np.float64)
    of_day = (month - month[0]).astype(np.int64)
    calendar = every.astype(np.int64) % MONTHS

    def mean_day(values: Values) -> Values:
        known = ~np.isnan(values)
        count = np.bincount(of_day[known], minlength=len(every))
        total = np.bincount(of_day[known], values[known], minlength=len(every))
        is_whole = count >= LEAST_KNOWN * length
        return np.where(is_whole, total / np.maximum(count, 1), np.nan)

    def over_years(values: Values) -> Values:
        known = ~np.isnan(values)
        count = np.bincount(calendar[known], minlength=MONTHS)
        total = np.bincount(calendar[known], values[known], minlength=MONTHS)
        return np.where(count > 0, total / np.maximum(count, 1), np.nan)

    warm = mean_day(tmax_c)
    years = np.bincount(calendar[~np.isnan(warm)], minlength=MONTHS)
    return Monthly(
        over_years(mean_day(rain_mm) * length),
        over_years(mean_day(et0_mm) * length),
        over_years(mean_day(tmin_c)),
        over_years(warm),
        int(years.max()),
    )
