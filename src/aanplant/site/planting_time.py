"""The planting window of a block: its own dates, its weather, and its kind of vine."""

from dataclasses import dataclass

import numpy as np

from aanplant import tables
from aanplant.brief import Brief
from aanplant.inputs import DailyWeather
from aanplant.site import planting_window as windows
from aanplant.site.climate_years import YearTable
from aanplant.site.frost import FEWEST_YEARS, SpringFrost, month_day
from aanplant.site.planting_window import PlantingWindow
from aanplant.site.seasons import Values

BUD_BREAK_SOUTH, BUD_BREAK_NORTH = "09-10", "03-10"
"""Bud-break where the brief doesn't say; the two are half a year apart (judgement)."""
DELIVERY = {
    ("dormant", True): "06-15",
    ("dormant", False): "12-15",
    ("other", True): "09-15",
    ("other", False): "03-15",
}
"""First delivery where the brief doesn't say (judgement)."""


@dataclass(frozen=True)
class PlantingTime:
    """When to plant, and what the window rests on.

    Parameters
    ----------
    window : PlantingWindow
        The window.
    bud_break, delivery : str
        Month and day, as given or taken.
    early_heat : str
        First hot spell of the earliest year in ten, "" where it is not known.
    frost_from : str
        Day from which frost is rare enough for vines in leaf, "" where it doesn't count or
        is not known.
    soil_known : bool
        Whether rain and evapotranspiration tell the state of the soil.
    """

    window: PlantingWindow
    bud_break: str
    delivery: str
    early_heat: str
    frost_from: str
    soil_known: bool


def bud_break_of(brief: Brief, *, is_south: bool) -> str:
    """Day of bud-break, as given or taken for the hemisphere."""
    return brief.climate.bud_break or (BUD_BREAK_SOUTH if is_south else BUD_BREAK_NORTH)


def planting_time(
    brief: Brief,
    weather: DailyWeather,
    et0_mm: Values,
    table: YearTable,
    frost: SpringFrost,
    *,
    is_south: bool,
) -> PlantingTime:
    """Find the window of the brief's kind of vine.

    Dormant vines: from delivery to some weeks before bud-break or the first heat,
    whichever is earlier. Vines in leaf: from the day after which frost is rare enough,
    to some weeks before the first heat.

    Parameters
    ----------
    brief : Brief
        What is asked.
    weather : DailyWeather
        Checked, every day once.
    et0_mm : ndarray, shape (n,)
        Reference evapotranspiration. [mm]
    table : YearTable
        Years of the record.
    frost : SpringFrost
        Last frosts by the brief's threshold.
    is_south : bool
        Hemisphere.
    """
    rules = brief.climate
    dormant = rules.plant_form == "dormant"
    first = weather.date[0]
    bud_break = bud_break_of(brief, is_south=is_south)
    delivery = rules.delivery or DELIVERY["dormant" if dormant else "other", is_south]
    early_heat = _early_heat(weather, table, rules.heat, is_south=is_south)
    frost_from = "" if dormant else _frost_from(frost, rules.frost_risk, is_south=is_south)
    opens = delivery
    if frost_from and windows.days_between(delivery, frost_from, is_south=is_south) > 0:
        opens = frost_from
    closes, closed_by = _closes(brief, bud_break, early_heat, dormant=dormant, is_south=is_south)
    soil_known = bool(~np.isnan(weather.rain_mm).all())
    drained = next(
        float(row["drained_mm_d"])
        for row in tables.rows("soil_drainage.csv")
        if row["soil_drainage"] == rules.soil_drainage
    )
    rain = weather.rain_mm if soil_known else np.zeros(len(weather.date))
    fit = windows.fit_for_planting(
        rain,
        et0_mm,
        weather.tmin_c,
        weather.tmax_c,
        drained_mm_d=drained,
        least_soil_c=rules.least_soil_temperature,
    )
    if not dormant:
        fit &= ~_before_last_frost(weather, frost, is_south=is_south)
    window = windows.planting_window(
        fit,
        ~np.isnan(rain) & ~np.isnan(weather.tmin_c) & ~np.isnan(weather.tmax_c),
        first,
        table.harvest_year,
        opens=opens,
        closes=closes,
        closed_by=closed_by,
        days_needed=rules.planting_days,
        is_south=is_south,
        fewest_years=FEWEST_YEARS,
    )
    return PlantingTime(window, bud_break, delivery, early_heat, frost_from, soil_known)


def _closes(
    brief: Brief, bud_break: str, early_heat: str, *, dormant: bool, is_south: bool
) -> tuple[str, str]:
    """Last day of the window, and what closes it."""
    rules = brief.climate
    ends = []
    if dormant:
        weeks = rules.weeks_before_bud_break
        ends.append((windows.later(bud_break, -round(7 * weeks), is_south=is_south), "bud-break"))
    if early_heat:
        weeks = rules.weeks_before_heat
        ends.append((windows.later(early_heat, -round(7 * weeks), is_south=is_south), "heat"))
    if not ends:
        ends.append((month_day(184 if is_south else 181, is_south=is_south), "heat"))
    return min(ends, key=lambda end: windows.day_in(end[0], 2002, is_south=is_south))


def _early_heat(weather: DailyWeather, table: YearTable, hot_c: float, *, is_south: bool) -> str:
    """First hot spell of the earliest year in ten, "" with too few years or where it is rare."""
    hot = windows.first_heat(
        weather.tmax_c, weather.date[0], table.harvest_year, hot_c=hot_c, is_south=is_south
    )
    known = hot[~np.isnan(hot)]
    if len(known) < max(FEWEST_YEARS, len(hot) / 2):
        return ""
    return month_day(float(np.quantile(known, windows.EARLY_HEAT)) + 1.0, is_south=is_south)


def _frost_from(frost: SpringFrost, risk: float, *, is_south: bool) -> str:
    """First day of spring after which frost is no more frequent than the risk accepted."""
    if frost.years < FEWEST_YEARS:
        return ""
    day = next(day for day in range(1, 186) if frost.probability_from(day) <= risk)
    return month_day(day, is_south=is_south)


def _before_last_frost(
    weather: DailyWeather, frost: SpringFrost, *, is_south: bool
) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    """Whether frost is still to come in the spring a day belongs to, shape (n,)."""
    to_come = np.zeros(len(weather.date), dtype=np.bool_)
    for year, last in zip(frost.harvest_year, frost.last_day, strict=True):
        if np.isnan(last):
            continue
        start = windows.day_in("07-01" if is_south else "01-01", int(year), is_south=is_south)
        end = start + int(last)
        to_come |= (weather.date >= start - 31) & (weather.date < end)
    return to_come
