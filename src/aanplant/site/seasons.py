"""Growing seasons by harvest year, in either hemisphere.

A season is named by its southern months; in the north every month moves by six. It
bears the year of the harvest it leads to: the year of the first April (south) or
October (north) that ends on or after the season's last day.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Values = NDArray[np.float64]

HARVEST_END = 4
"""Harvest is over in April, October in the north (practice)."""
LEAST_KNOWN = 0.95
"""A season with a smaller part of its days known gives no figure (practice)."""
_MONTHS = 12


@dataclass(frozen=True, slots=True)
class Season:
    """Part of the year, named by its southern months.

    Parameters
    ----------
    first_month, last_month : int
        Southern months, 1 to 12; the last may lie in the next year.
    """

    first_month: int
    last_month: int

    def days(self, harvest_year: int, *, is_south: bool) -> NDArray[np.datetime64]:
        """Return every day of the season that leads to a harvest, shape (n,)."""
        start, stop = self.bounds(harvest_year, is_south=is_south)
        return np.arange(start, stop)

    def bounds(self, harvest_year: int, *, is_south: bool) -> tuple[np.datetime64, np.datetime64]:
        """Return the first day, and the day after the last."""
        shift = 0 if is_south else _MONTHS // 2
        length = (self.last_month - self.first_month) % _MONTHS + 1
        before_harvest = (HARVEST_END - self.last_month) % _MONTHS
        end = np.datetime64(f"{harvest_year:04d}-{HARVEST_END:02d}", "M") + shift - before_harvest
        return (end - length + 1).astype("datetime64[D]"), (end + 1).astype("datetime64[D]")


DAYS_OCT_APR = Season(10, 4)
DAYS_SEP_MAR = Season(9, 3)
DAYS_OCT_MAR = Season(10, 3)
RIPENING = Season(3, 3)
WARMEST = Season(2, 2)
REST = Season(4, 8)
SPRING = Season(7, 12)
YEAR = Season(5, 4)
"""From harvest to harvest: rain of May to April, November to October in the north."""


def harvest_years(day: NDArray[np.datetime64], *, is_south: bool) -> NDArray[np.int64]:
    """Harvest years whose year, harvest to harvest, the record touches."""
    first, last = (
        day[0].astype("datetime64[Y]").astype(int),
        day[-1].astype("datetime64[Y]").astype(int),
    )
    years = np.arange(first + 1970, last + 1972)
    touched = [
        year
        for year in years
        if day[0] < YEAR.bounds(int(year), is_south=is_south)[1]
        and day[-1] >= YEAR.bounds(int(year), is_south=is_south)[0]
    ]
    return np.array(touched, dtype=np.int64)


def of_season(
    values: Values, first_day: np.datetime64, season: Season, harvest_year: int, *, is_south: bool
) -> Values:
    """Values of the days of one season, nan for days outside the record, shape (n_days,).

    Parameters
    ----------
    values : ndarray, shape (n,)
        One a day from ``first_day`` on.
    first_day : datetime64[D]
        Day of ``values[0]``.
    season : Season
        Which days.
    harvest_year : int
        Which harvest.
    is_south : bool
        Hemisphere.
    """
    start, stop = (
        int((edge - first_day).astype(int))
        for edge in season.bounds(harvest_year, is_south=is_south)
    )
    found = np.full(stop - start, np.nan)
    low, high = max(start, 0), min(stop, len(values))
    if low < high:
        found[low - start : high - start] = values[low:high]
    return found


def sum_of(values: Values) -> float:
    """Sum over a season; missing days count as its mean day, nan if too many are missing."""
    return mean_of(values) * len(values)


def mean_of(values: Values) -> float:
    """Mean over a season, nan if too many days are missing."""
    known = ~np.isnan(values)
    if not len(values) or known.mean() < LEAST_KNOWN:
        return float("nan")
    return float(values[known].mean())
