"""Water for the new vines week by week, from the day they are planted."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from aanplant.brief import Brief
from aanplant.site.planting_time import bud_break_of
from aanplant.water.balance import Days, run
from aanplant.water.coefficients import basal_from_cover, full_stand, upper_limit
from aanplant.water.demand import VineDemand, leaf_course
from aanplant.water.rooting import RootedSoil
from aanplant.water.season import FULLEST_COVER, served_share
from aanplant.water.soil_day import RootZone
from aanplant.water.watering import ByDeficit
from aanplant.water.years import PLACES, WaterYears, calendar

Array = NDArray[np.float64]
WEEK_D = 7
LITRES_PER_M3 = 1000.0
SECONDS_PER_HOUR = 3600.0
DEFAULT_PLANTED = {True: "08-01", False: "02-01"}


@dataclass(frozen=True)
class FirstSeason:
    """The watering plan of the first season; arrays of shape (n_weeks, n_zones) unless said.

    Parameters
    ----------
    planted : str
        Day of planting, such as "08-01".
    by : str
        ``dripper`` or ``tanker``.
    week : tuple of str
        First day of each week.
    rain_mm : ndarray, shape (n_weeks,)
        Of the middle year. [mm]
    litres : ndarray
        For a vine in a week, at the drippers or from the hose, in a year as dry as asked. [L]
    waterings : ndarray of int
        Into how many they are parted.
    hours_each : ndarray
        That one watering by dripper runs; nan by tanker. [h]
    trips : ndarray, shape (n_weeks,)
        Of the tanker, for the whole block; 0 by dripper.
    tanker_hours : ndarray, shape (n_weeks,)
        Driving and watering; 0 by dripper. [h]
    volume_m3 : ndarray, shape (n_weeks,)
        Of the whole block, at the vines. [m3]
    planting_litres : float
        For a vine on the day of planting. [L]
    planting_m3, planting_hours, planting_trips : float
        The same for the block: water, hours of the drippers or the tanker, and its trips.
    years : int
        Years of weather behind it.
    by_year_m3 : ndarray, shape (n_weeks, n_years)
        What each year on record needed, of the whole block at the vines. [m3]
    """

    planted: str
    by: str
    week: tuple[str, ...]
    rain_mm: Array
    litres: Array
    waterings: NDArray[np.int64]
    hours_each: Array
    trips: NDArray[np.int64]
    tanker_hours: Array
    volume_m3: Array
    planting_litres: float
    planting_m3: float
    planting_hours: float
    planting_trips: int
    years: int
    by_year_m3: Array

    def season_m3(self, quantile: float, weeks: NDArray[np.bool_] | None = None) -> float:
        """Water of so many weeks that so large a share of the years does not pass. [m3].

        Less than the weeks of the plan add up to: not every week is dry in one year.

        Parameters
        ----------
        quantile : float
            Share of the years. [-]
        weeks : ndarray of bool, shape (n_weeks,), optional
            That count; all when left out.
        """
        counted = slice(None) if weeks is None else weeks
        return float(np.quantile(self.by_year_m3[counted].sum(axis=0), quantile))

    def total_m3(self, quantile: float) -> float:
        """Return the same from planting to the season's end, water at planting included. [m3]."""
        return self.season_m3(quantile) + self.planting_m3


def first_season(
    brief: Brief,
    years: WaterYears,
    demand: VineDemand,
    soils: tuple[RootedSoil, ...],
    *,
    vines: int,
    wetted: float,
    vine_flow_lph: float,
    efficiency: float | None = None,
) -> FirstSeason:
    """Plan the water of the first season from the years on record.

    Each year is run from the day of planting, the root zone full of the water given at
    planting, and watered when the brief's share of the easily had water is gone. A week's
    water is what the asked share of years needed in that week.

    Parameters
    ----------
    brief : Brief
        What is asked.
    years, demand, soils, wetted
        As for ``season.season_balance``.
    vines : int
        In the block. [vines]
    vine_flow_lph : float
        Flow of all drippers of one vine. [L/h]
    efficiency : float, optional
        Share of the water at the drippers that counts; the brief's when left out. [-]

    Raises
    ------
    ValueError
        If a vine has no flow, or ``wetted`` or ``efficiency`` is not in (0, 1].
    """
    share = brief.watering.efficiency if efficiency is None else efficiency
    if vine_flow_lph <= 0.0 or not 0.0 < wetted <= 1.0 or not 0.0 < share <= 1.0:
        raise ValueError("vine_flow_lph above 0, wetted and efficiency in (0, 1]")
    rules = brief.first_season
    planted = planting_day(brief, is_south=years.is_south)
    start = years.place(planted)
    days, zone = _new_vines(brief, years, demand, soils, start=start, wetted=wetted)
    count = max((PLACES - start) // WEEK_D, 1)
    weeks = np.minimum(np.arange(PLACES - start) // WEEK_D, count - 1).astype(np.int64)
    allowed = years.is_day[start:, :, None]
    found = run(days, zone, ByDeficit(rules.trigger, 1.0, allowed), groups=weeks)
    # Axes: week, year, zone.
    needed = found.irrigation_by_group_mm
    local = _smoothed(np.quantile(needed, rules.assurance, axis=1))
    rain = np.array([years.rain_mm[start:][weeks == one].sum(axis=0) for one in np.unique(weeks)])

    is_drip = rules.by == "dripper"
    spread = float(served_share(demand, wetted)[0]) if is_drip else float(demand.rooted[0])
    per_mm = spread * demand.area_per_vine_m2 / (share if is_drip else 1.0)
    # Axes: week, zone.
    litres = local * per_mm
    once = rules.trigger * brief.demand.easy_share * np.asarray(zone.available_mm) * per_mm
    once = once if is_drip else np.minimum(once, rules.most_a_time)
    waterings = np.ceil(litres / once - 1e-9).astype(np.int64)
    each = litres / np.maximum(waterings, 1)
    areas = np.array([one.area_ha for one in soils])
    vines_in = vines * areas / areas.sum()
    volume = (litres * vines_in).sum(axis=1) / LITRES_PER_M3
    loads = np.ceil(volume * LITRES_PER_M3 / rules.tanker - 1e-9).astype(np.int64)
    by_hose = rules.vine_seconds / SECONDS_PER_HOUR
    hours = loads * rules.trip_hours + (waterings * vines_in).sum(axis=1) * by_hose
    at_planting = brief.water.at_planting
    first_loads = math.ceil(vines * at_planting / rules.tanker - 1e-9)
    days_of = calendar(is_south=years.is_south)[start::WEEK_D][:count].astype(str)
    return FirstSeason(
        planted,
        rules.by,
        tuple(day[5:] for day in days_of),
        np.median(rain, axis=1),
        litres,
        waterings,
        each / vine_flow_lph if is_drip else np.full_like(each, np.nan),
        np.zeros_like(loads) if is_drip else loads,
        np.zeros_like(hours) if is_drip else hours,
        volume,
        at_planting,
        vines * at_planting / LITRES_PER_M3,
        at_planting / vine_flow_lph
        if is_drip
        else first_loads * rules.trip_hours + vines * by_hose,
        0 if is_drip else first_loads,
        years.years,
        (needed * per_mm * vines_in).sum(axis=2) / LITRES_PER_M3,
    )


def _smoothed(weekly: Array) -> Array:
    """Spread a week's water over its neighbours, a quarter to each; the sum stays.

    On which day of a year a watering falls is chance, and few years don't even it out.
    """
    padded = np.concatenate([weekly[:1], weekly, weekly[-1:]])
    return np.asarray(0.25 * padded[:-2] + 0.5 * padded[1:-1] + 0.25 * padded[2:])


def planting_day(brief: Brief, *, is_south: bool) -> str:
    """Return the day of planting: as given, the first of the month of planting, or a default."""
    if brief.first_season.planted:
        return brief.first_season.planted
    month = brief.work.planting[5:]
    return f"{month}-01" if month else DEFAULT_PLANTED[is_south]


def _new_vines(
    brief: Brief,
    years: WaterYears,
    demand: VineDemand,
    soils: tuple[RootedSoil, ...],
    *,
    start: int,
    wetted: float,
) -> tuple[Days, RootZone]:
    """Ground of the roots of new vines from planting on; axes: day, year, zone."""
    rules = brief.demand
    bud_break = years.place(bud_break_of(brief, is_south=years.is_south))
    leaves, stomatal = leaf_course(
        max(bud_break, start),
        rules.stages,
        full_leaf=rules.full_leaf,
        ageing_leaf=rules.ageing_leaf,
    )
    cover, height = float(demand.cover[0]), float(demand.height_m[0])
    rooted, across = float(demand.rooted[0]), float(demand.across[0])
    wind, humidity = years.wind_m_s[start:, :, None], years.least_humidity_pct[start:, :, None]
    full = full_stand(height, stomatal[start:, None, None], wind, humidity)
    shade = leaves[start:, None, None] * cover
    basal = basal_from_cover(shade, height, full) / rooted
    days = Days(
        years.et0_mm[start:, :, None],
        years.rain_mm[start:, :, None],
        basal,
        upper_limit(basal, height, wind, humidity),
        np.minimum(shade / rooted, FULLEST_COVER),
    )
    is_drip = brief.first_season.by == "dripper"
    surface = min(rules.wet_surface * wetted / across, 1.0) if is_drip else 1.0
    zone = RootZone(
        np.array([one.available_mm[0] for one in soils]),
        rules.easy_share,
        np.array([one.evaporable_mm for one in soils]),
        np.array([one.readily_mm for one in soils]),
        surface,
    )
    return days, zone
