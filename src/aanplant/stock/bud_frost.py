"""In how many springs frost kills shoots, by how far they have grown."""

from dataclasses import dataclass

import numpy as np

from aanplant import tables
from aanplant.inputs import DailyWeather
from aanplant.site.frost import FEWEST_YEARS, WINTER_MAY_MISS
from aanplant.site.seasons import SPRING, Values, harvest_years, of_season

CONCORD, CAUTIOUS = "Concord", "Ontario"
FIRST_HARM = "0.1"
"""Part of the shoots killed that counts as harm."""


@dataclass(frozen=True, slots=True)
class BudFrost:
    """Springs with frost harm by one set of critical temperatures.

    Parameters
    ----------
    springs : int
        Springs that are known.
    harmed : int
        Springs with a night at or below what the stage of that night bears.
    """

    springs: int
    harmed: int

    @property
    def is_telling(self) -> bool:
        """Whether enough springs are known to speak of a risk."""
        return self.springs >= FEWEST_YEARS


def critical_temperature(table: str, stage: str, killed: str = "") -> tuple[float, float]:
    """Temperature that buds or shoots of a stage bear, as one set gives it.

    Parameters
    ----------
    table : str
        ``Concord`` (a tenth or nine tenths killed) or ``Ontario`` (more cautious).
    stage : str
        As ``bud_stages.csv`` names it.
    killed : str
        Part killed, ``0.1`` or ``0.9``; "" in the cautious set.

    Returns
    -------
    low, high : float
        Range, ends equal for a single figure. [°C]

    Raises
    ------
    KeyError
        If the set has no such stage.
    """
    for row in tables.rows("critical_temperatures.csv"):
        if (row["set"], row["stage"], row["killed"]) == (table, stage, killed):
            return float(row["low_c"]), float(row["high_c"])
    raise KeyError((table, stage, killed))


def limits(table: str, days: int) -> tuple[int, Values]:
    """Temperature borne on each day about bud-break, by one set; the warmer end of a range.

    Parameters
    ----------
    table : str
        ``Concord`` or ``Ontario``.
    days : int
        Days from bud-break on to cover.

    Returns
    -------
    first : int
        First day, counted from bud-break (0).
    limit : ndarray, shape (n,)
        One a day from ``first`` on; the last stage of the set stands to the end. [°C]
    """
    killed = FIRST_HARM if table == CONCORD else ""
    steps = []
    for row in tables.rows("bud_stages.csv"):
        try:
            steps.append((int(row["from_day"]), critical_temperature(table, row["stage"], killed)))
        except KeyError:
            continue
    first = steps[0][0]
    limit = np.empty(days - first)
    for from_day, (_, high) in steps:
        limit[from_day - first :] = high
    return first, limit


def bud_frost(
    weather: DailyWeather,
    *,
    bud_break_day: int,
    table: str,
    colder_c: float,
    is_south: bool,
    last_day: int = 184,
) -> BudFrost:
    """Count the springs in which a night was colder than the buds of that night bear.

    Parameters
    ----------
    weather : DailyWeather
        Every day once, in order.
    bud_break_day : int
        Day of the spring, 1 on 1 July (1 January in the north).
    table : str
        ``Concord`` or ``Ontario``.
    colder_c : float
        By how much the block's coldest place is colder than the station. [K]
    is_south : bool
        Hemisphere.
    last_day : int
        Last day of the spring that counts.
    """
    first, limit = limits(table, last_day - bud_break_day + 1)
    springs = harmed = 0
    for year in harvest_years(weather.date, is_south=is_south):
        nights = of_season(
            weather.tmin_c, weather.date[0], SPRING, int(year), is_south=is_south
        )  # fmt: skip
        if np.isnan(nights).mean() > WINTER_MAY_MISS:
            continue
        start = max(bud_break_day + first - 1, 0)
        cold = nights[start:last_day] - colder_c
        borne = limit[start - (bud_break_day + first - 1) :][: len(cold)]
        springs += 1
        harmed += bool((cold <= borne).any())
    return BudFrost(springs, harmed)
