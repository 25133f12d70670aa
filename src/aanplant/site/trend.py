"""Is it getting warmer: a straight line through the years, with how sure it is."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

FEWEST_YEARS = 10
"""A trend of fewer years says little (judgement)."""
PER_DECADE = 10.0


@dataclass(frozen=True, slots=True)
class Trend:
    """Change a decade, and the range it lies in with 95 % confidence.

    Parameters
    ----------
    per_decade : float
        Slope of the least-squares line.
    low, high : float
        Ends of its range.
    years : int
        Years it rests on.
    """

    per_decade: float
    low: float
    high: float
    years: int

    @property
    def is_clear(self) -> bool:
        """Whether the range leaves out no change at all."""
        return self.low > 0.0 or self.high < 0.0


def linear_trend(years: ArrayLike, values: ArrayLike) -> Trend | None:
    """Fit a straight line by least squares; years are taken as independent of one another.

    Parameters
    ----------
    years, values : array_like, shape (n,)
        Years that are nan are left out.

    Returns
    -------
    Trend or None
        None with fewer than ten years.
    """
    from scipy.special import stdtrit  # noqa: PLC0415 - where there is a trend to tell

    year, value = np.asarray(years, dtype=np.float64), np.asarray(values, dtype=np.float64)
    known = ~np.isnan(value)
    year, value = year[known], value[known]
    if len(year) < FEWEST_YEARS:
        return None
    away = year - year.mean()
    spread = float(away @ away)
    slope = float(away @ (value - value.mean())) / spread
    rest = value - value.mean() - slope * away
    freedom = len(year) - 2
    error = float(np.sqrt(rest @ rest / freedom / spread))
    reach = float(stdtrit(freedom, 0.975)) * error
    return Trend(
        PER_DECADE * slope, PER_DECADE * (slope - reach), PER_DECADE * (slope + reach), len(year)
    )
