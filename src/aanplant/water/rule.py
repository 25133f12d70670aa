"""The brief's rule of watering, made ready for every year of the weather."""

import numpy as np
from numpy.typing import NDArray

from aanplant.brief import Brief
from aanplant.brief.vine_water import WateringRules
from aanplant.site.planting_time import bud_break_of
from aanplant.water.watering import ByCalendar, ByDeficit, ByInterval, Watering
from aanplant.water.years import PLACES, WaterYears

Array = NDArray[np.float64]
MONTHS = 12


def watering_days(
    rules: WateringRules, years: WaterYears, *, start: int, stop: int
) -> NDArray[np.bool_]:
    """Whether water may be given on each day, shape (366, n_years) of bool.

    Parameters
    ----------
    rules : WateringRules
        Of the brief.
    years : WaterYears
        Weather, for its calendar.
    start, stop : int
        First and last place where the brief names none.
    """
    first = years.place(rules.start) if rules.start else start
    last = years.place(rules.end) if rules.end else stop
    place = np.arange(PLACES)
    inside = (
        (place >= first) & (place <= last) if first <= last else (place >= first) | (place <= last)
    )
    return np.asarray(inside[:, None] & years.is_day)


def watering_rule(brief: Brief, years: WaterYears, served: Array) -> Watering:
    """Make the brief's rule for the axes of ``season_balance``.

    Parameters
    ----------
    brief : Brief
        What is asked.
    years : WaterYears
        Weather, for its calendar.
    served : ndarray, shape (n_ages, 1)
        Share of the ground over which the drippers' water is spread. [-]
    """
    rules = brief.watering
    bud_break = years.place(bud_break_of(brief, is_south=years.is_south))
    fall = min(bud_break + sum(brief.demand.stages), PLACES - 1)
    allowed = watering_days(rules, years, start=bud_break, stop=fall)[:, :, None, None]
    if rules.rule == "calendar":
        month = years.month
        place = np.arange(PLACES)
        since = place - np.array([np.argmax(month == one) for one in month])
        runs = (since % rules.interval == 0)[:, None] & years.is_day
        count = np.stack([runs[month == one].sum(axis=0) for one in range(1, MONTHS + 1)])
        depth = np.asarray(rules.by_month)[month - 1][:, None] / count[month - 1]
        return ByCalendar((runs * depth)[:, :, None, None] / served)
    if rules.rule == "interval":
        first = years.place(rules.start) if rules.start else bud_break
        return ByInterval(rules.interval, first, rules.refill, allowed)
    return ByDeficit(rules.trigger, rules.refill, allowed)
