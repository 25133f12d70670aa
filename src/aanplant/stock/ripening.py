"""In how many seasons a cultivar has the heat it needs to ripen."""

from dataclasses import dataclass

import numpy as np

from aanplant import tables
from aanplant.inputs import DailyWeather
from aanplant.site.heat import degree_days
from aanplant.site.seasons import LEAST_KNOWN, Values


@dataclass(frozen=True)
class Heat:
    """Heat of each season from one day to another.

    Parameters
    ----------
    harvest_year : ndarray, shape (n,)
        Seasons that are known.
    degree_days : ndarray, shape (n,)
        Sum above 10 °C. [°C·d]
    """

    harvest_year: Values
    degree_days: Values

    def part_reaching(self, needed: float) -> float:
        """Fraction of the seasons that reach a sum; nan without any. [-]."""
        return float((self.degree_days >= needed).mean()) if len(self.degree_days) else float("nan")


def season_heat(weather: DailyWeather, first: str, last: str) -> Heat:
    """Sum the degree days of every season from one day of the year to another, both counted.

    Parameters
    ----------
    weather : DailyWeather
        Every day once, in order.
    first, last : str
        Month and day; a last day that comes earlier in the year lies in the next year.

    Returns
    -------
    Heat
        Of the seasons with at least 95 % of their days known; a missing day counts as the
        mean day.
    """
    daily = degree_days(weather.tmin_c, weather.tmax_c)
    start = weather.date[0]
    years = np.unique(weather.date.astype("datetime64[Y]").astype(int)) + 1970
    crosses = last < first
    kept, sums = [], []
    for year in years:
        # 28 February serves for the leap day in years that have none.
        opens = np.datetime64(f"{year:04d}-{_safe(first)}", "D")
        closes = np.datetime64(f"{year + crosses:04d}-{_safe(last)}", "D")
        low, high = int((opens - start).astype(int)), int((closes - start).astype(int)) + 1
        days = daily[max(low, 0) : max(high, 0)]
        known = days[~np.isnan(days)]
        if len(known) < LEAST_KNOWN * (high - low):
            continue
        kept.append(year + crosses)
        sums.append(known.mean() * (high - low))
    return Heat(np.array(kept, dtype=np.float64), np.array(sums, dtype=np.float64))


def heat_needed(maturity_low: float, maturity_high: float) -> tuple[float, float | None]:
    """Degree days to ripeness of a range of maturity classes; no upper end for the latest.

    Parameters
    ----------
    maturity_low, maturity_high : float
        Classes, 1 early to 5 very late; a class and a half takes in both its neighbours.

    Returns
    -------
    low, high : float, float or None
        Heat above 10 °C. [°C·d]

    References
    ----------
    .. [1] ``ripeness_heat.csv``, recalled and not checked.
    """
    rows = {int(row["maturity"]): row for row in tables.rows("ripeness_heat.csv")}
    low, high = rows[int(np.floor(maturity_low))], rows[int(np.ceil(maturity_high))]
    return float(low["low"]), float(high["high"]) if high["high"] else None


def _safe(month_day: str) -> str:
    return "02-28" if month_day == "02-29" else month_day
