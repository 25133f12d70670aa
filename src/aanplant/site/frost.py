"""When the last frost of spring falls, and how often frost comes after a day."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from aanplant.site.seasons import SPRING, Values, of_season

FEWEST_YEARS = 5
"""Quantiles of fewer springs would mislead, and are refused (judgement)."""
QUANTILES = (0.1, 0.5, 0.9)
WINTER_MAY_MISS = 0.05


@dataclass(frozen=True)
class SpringFrost:
    """Last frost of each spring, by one threshold.

    Parameters
    ----------
    threshold_c : float
        Frost is a lowest temperature at or below this. [°C]
    harvest_year : ndarray, shape (n,)
        Springs that are known, by the harvest they lead to.
    last_day : ndarray, shape (n,)
        Last frost as day of the spring, 1 on 1 July (1 January in the north); nan
        where there was none.
    """

    threshold_c: float
    harvest_year: NDArray[np.int64]
    last_day: Values

    @property
    def years(self) -> int:
        """Springs that are known."""
        return len(self.harvest_year)

    @property
    def years_with_frost(self) -> int:
        """Springs in which there was frost."""
        return int((~np.isnan(self.last_day)).sum())

    def quantile(self, fraction: float) -> float:
        """Day by which a fraction of the springs that had frost had their last.

        Raises
        ------
        ValueError
            If fewer than five springs are known.
        """
        if self.years < FEWEST_YEARS:
            raise ValueError(f"quantiles need {FEWEST_YEARS} springs, got {self.years}")
        frost = self.last_day[~np.isnan(self.last_day)]
        return float(np.quantile(frost, fraction)) if len(frost) else float("nan")

    def probability_from(self, day: float) -> float:
        """Fraction of all springs with frost on or after a day of the spring. [-].

        Raises
        ------
        ValueError
            If fewer than five springs are known.
        """
        if self.years < FEWEST_YEARS:
            raise ValueError(f"a probability needs {FEWEST_YEARS} springs, got {self.years}")
        return float((self.last_day >= day).mean())


def spring_frost(
    tmin_c: Values,
    first_day: np.datetime64,
    harvest_years: Sequence[int] | NDArray[np.int64],
    *,
    threshold_c: float,
    is_south: bool,
) -> SpringFrost:
    """Find the last frost of each spring, July to December (January to June in the north).

    Parameters
    ----------
    tmin_c : ndarray, shape (n,)
        Lowest temperature of each day from ``first_day`` on. [°C]
    first_day : datetime64[D]
        Day of ``tmin_c[0]``.
    harvest_years : sequence of int
        Springs to look at; those with more than 5 % of their days missing are left out.
    threshold_c : float
        Frost is a lowest temperature at or below this. [°C]
    is_south : bool
        Hemisphere.
    """
    kept, last = [], []
    for year in harvest_years:
        spring = of_season(tmin_c, first_day, SPRING, int(year), is_south=is_south)
        if np.isnan(spring).mean() > WINTER_MAY_MISS:
            continue
        frost = np.flatnonzero(spring <= threshold_c)
        kept.append(int(year))
        last.append(float(frost[-1] + 1) if len(frost) else float("nan"))
    return SpringFrost(threshold_c, np.array(kept, dtype=np.int64), np.array(last))


def day_of_spring(month_day: str, *, is_south: bool) -> int:
    """Day of the spring of a month and day such as "09-10", 1 on 1 July (1 January).

    February has 28 days here; in a leap year the days after it are one later in the north.
    """
    day = np.datetime64(f"2001-{month_day}", "D")
    start = np.datetime64("2001-07-01" if is_south else "2001-01-01", "D")
    return int((day - start).astype(int)) + 1


def month_day(day: float, *, is_south: bool) -> str:
    """Month and day of a day of the spring, such as "09-10"."""
    start = np.datetime64("2001-07-01" if is_south else "2001-01-01", "D")
    return str(start + round(day) - 1)[5:]
