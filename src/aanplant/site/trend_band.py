"""The straight line through the years and how far from it the truth may lie, for drawing."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from aanplant.site.trend import FEWEST_YEARS

Values = NDArray[np.float64]


@dataclass(frozen=True)
class TrendBand:
    """A fitted line with the range in which the mean of a year lies with 95 % confidence.

    Columns of shape (n,).

    Parameters
    ----------
    year : ndarray
        Every year from the first to the last that is known.
    line, low, high : ndarray
        The line, and the ends of the range.
    """

    year: Values
    line: Values
    low: Values
    high: Values


def trend_band(years: ArrayLike, values: ArrayLike) -> TrendBand | None:
    """Fit a straight line by least squares and say how sure it is, year by year.

    The range is line ± t · s · sqrt(1/n + (year - mean)² / sum of (year - mean)²), with s the
    spread of the residuals at n - 2 degrees of freedom and t Student's quantile of 0.975.

    Parameters
    ----------
    years, values : array_like, shape (n,)
        Years that are nan are left out.

    Returns
    -------
    TrendBand or None
        None with fewer than ten years, as for ``linear_trend``.

    References
    ----------
    .. [1] Draper and Smith (1998), Applied Regression Analysis, 3rd ed., section 3.1.
    """
    from scipy.special import stdtrit  # noqa: PLC0415 - where there is a trend to draw

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
    every = np.arange(year.min(), year.max() + 1.0)
    error = np.sqrt(
        float(rest @ rest) / freedom * (1.0 / len(year) + (every - year.mean()) ** 2 / spread)
    )
    reach = float(stdtrit(freedom, 0.975)) * error
    line = value.mean() + slope * (every - year.mean())
    return TrendBand(every, line, line - reach, line + reach)
