"""All that the vines of a block need of water, set beside what there is."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from aanplant.brief import Brief
from aanplant.brief.vine_water import WateringRules, free_hours
from aanplant.errors import InputError
from aanplant.site import Site
from aanplant.water.demand import VineDemand, peak_of, vine_demand
from aanplant.water.first_season import FirstSeason, first_season
from aanplant.water.right import (
    RightCheck,
    WaterShortage,
    against_right,
    check_flow,
    months_of,
    store_for_turns,
)
from aanplant.water.rooting import RootedSoil, by_age, rooted_soils
from aanplant.water.season import SeasonBalance, season_balance
from aanplant.water.wetting import wetted_share
from aanplant.water.years import WaterYears, mean_year, water_years

Array = NDArray[np.float64]
DEFAULT_WIND_HEIGHT_M = 2.0


@dataclass(frozen=True)
class WaterNeeds:
    """What the vines need, from the first year of age to full bearing.

    Parameters
    ----------
    years : WaterYears
        Weather behind it.
    demand : VineDemand
        What vines of each age drink.
    soils : tuple of RootedSoil
        What roots reach in each soil of the block.
    season : SeasonBalance
        Every season through every soil.
    first : FirstSeason
        The first one, week by week.
    peak_mm : ndarray, shape (n_ages,)
        Use of the vines on a day of the peak, at the brief's assurance. [mm/d]
    peak_m3_d : ndarray, shape (n_ages,)
        Water to draw for the block on a day of the peak, with what the wet ground of the roots
        evaporates and what falls beside the roots. [m3/d]
    peak_litres : ndarray, shape (n_ages,)
        Water at the drippers of a mean vine on such a day. [L/d]
    set_hours : ndarray, shape (n_ages,)
        That every set then runs. [h/d]
    right : RightCheck or None
        Beside the water right; None where none is given.
    peak_hours : ndarray, shape (n_ages,), or None
        Hours that the peak day takes at the tested flow; None where it isn't given. [h]
    turn_store_m3 : ndarray, shape (n_ages,), or None
        Store that carries the need from one turn of the canal to the next, at the assurance;
        None without turns or a tested flow. [m3]
    shortages : tuple of WaterShortage
        In what the water does not suffice.
    """

    years: WaterYears
    demand: VineDemand
    soils: tuple[RootedSoil, ...]
    season: SeasonBalance
    first: FirstSeason
    peak_mm: Array
    peak_m3_d: Array
    peak_litres: Array
    set_hours: Array
    right: RightCheck | None
    peak_hours: Array | None
    turn_store_m3: Array | None
    shortages: tuple[WaterShortage, ...]

    @property
    def thirstiest(self) -> int:
        """Year of age with the largest peak, the first being 0."""
        return int(self.peak_litres.argmax())

    def bridges_turns(self, age: int, storage_m3: float) -> bool:
        """Whether a store carries vines of an age, the first being 0, from turn to turn."""
        return self.turn_store_m3 is not None and storage_m3 >= float(self.turn_store_m3[age])


def water_needs(
    brief: Brief,
    site: Site,
    *,
    area_ha: float,
    vines: int,
    wetted: float,
    vine_flow_lph: float,
    efficiency: float | None = None,
) -> WaterNeeds | None:
    """Reckon the water of a block and set it beside the right, the flow and the canal.

    Parameters
    ----------
    brief, site
        What is asked and what is there.
    area_ha : float
        Planted. [ha]
    vines : int
        In the block, at least one. [vines]
    wetted : float
        Share of the ground that drippers wet, of ``wetted_ground``. [-]
    vine_flow_lph : float
        Flow of all drippers of one vine. [L/h]
    efficiency : float, optional
        Share of the water at the drippers that counts, such as emission uniformity. [-]

    Returns
    -------
    WaterNeeds or None
        None without weather or normals.

    Raises
    ------
    InputError
        If ``water.right_months`` names no months.
    """
    years = years_of(brief, site)
    if years is None:
        return None
    demand = vine_demand(brief, years)
    depth = by_age(brief.demand.root_depth_by_year, demand.ages)
    zones = site.soil.zones if site.soil is not None else ()
    soils = rooted_soils(zones, depth, water_held_mm_m=brief.demand.water_held, area_ha=area_ha)
    season = season_balance(brief, years, demand, soils, wetted=wetted, efficiency=efficiency)
    season = season.over(area_ha)
    peak_mm = demand.peak_at(brief.demand.peak_assurance)
    daily_m3 = season.drawn_by_day_m3
    at = brief.demand.peak_assurance
    peak_m3_d = np.quantile(peak_of(daily_m3, brief.demand.peak_days), at, axis=0)
    right = _beside_right(brief, season)
    hours: Array | None = None
    slow: tuple[WaterShortage, ...] = ()
    if brief.water.flow_available is not None:
        hours, slow = check_flow(
            peak_m3_d,
            flow_m3_h=brief.water.flow_available,
            hours_a_day=_hours_a_day(brief.watering),
        )
    first = first_season(
        brief,
        years,
        demand,
        soils,
        vines=vines,
        wetted=wetted,
        vine_flow_lph=vine_flow_lph,
        efficiency=efficiency,
    )
    litres = 1000.0 * peak_m3_d * (1.0 - brief.watering.losses) / vines
    store, dry = _turn_store(brief, daily_m3)
    return WaterNeeds(
        years,
        demand,
        soils,
        season,
        first,
        peak_mm,
        peak_m3_d,
        litres,
        litres / vine_flow_lph,
        right,
        hours,
        store,
        (*(right.shortages if right else ()), *slow, *dry),
    )


def wetted_ground(brief: Brief, strip_m: float) -> float:
    """Return the share of the ground that drippers wet: as measured, else by their strip. [-].

    Parameters
    ----------
    brief : Brief
        What is asked; ``demand.wetted_width`` is what was measured.
    strip_m : float
        Width of the strip by flow and soil, of ``wetting.strip_width_m``. [m]
    """
    measured = brief.demand.wetted_width
    return float(wetted_share(strip_m if measured is None else measured, brief.vines.row_width))


def years_of(brief: Brief, site: Site) -> WaterYears | None:
    """Lay out the weather of a site, or the normals of the brief; None with neither."""
    if site.climate is not None:
        record = site.climate.record
        gauge = record.checked.weather.wind_height_m or brief.climate.wind_height
        found = water_years(record, wind_height_m=gauge or DEFAULT_WIND_HEIGHT_M)
        if found is not None:
            return found
    rules = brief.demand
    if not rules.et0_by_month:
        return None
    return mean_year(
        rules.et0_by_month, rules.rain_by_month, is_south=site.frame.latitude_deg < 0.0
    )


def _beside_right(brief: Brief, season: SeasonBalance) -> RightCheck | None:
    water, watering = brief.water, brief.watering
    if water.water_right is None:
        return None
    try:
        months = months_of(water.right_months)
    except ValueError as error:
        raise InputError(
            "brief.toml: water.right_months", str(error), 'months such as "Sep-Apr"'
        ) from None
    return against_right(
        season.drawn_by_month_m3,
        right_m3=water.water_right,
        committed_m3=water.committed,
        storage_m3=water.storage,
        is_month=months,
        short_years=watering.short_years,
        short_supply=watering.short_supply,
        assurance=brief.demand.peak_assurance,
    )


def _hours_a_day(watering: WateringRules) -> float:
    """Hours a day, on the mean, in which the source gives water."""
    if watering.turn_every is None or watering.turn_hours is None:
        return free_hours(watering)
    return min(24.0, watering.turn_hours / watering.turn_every)


def _turn_store(brief: Brief, daily_m3: Array) -> tuple[Array | None, tuple[WaterShortage, ...]]:
    """Return the store for the turns of a canal, and what to say where there is less."""
    watering, flow = brief.watering, brief.water.flow_available
    if watering.turn_every is None or watering.turn_hours is None or flow is None:
        return None, ()
    store = store_for_turns(
        daily_m3, every_days=watering.turn_every, turn_m3=flow * watering.turn_hours
    )
    at = np.asarray(np.quantile(store, brief.demand.peak_assurance, axis=0))
    over = np.flatnonzero(at > brief.water.storage)
    if not len(over):
        return at, ()
    first, there = int(over[0]) + 1, brief.water.storage
    return at, (WaterShortage("store_short", first, float(at.max()), there, "m3"),)
