"""What the recorded weather says about a block: heat, cold, frost, rain, and when to plant."""

from dataclasses import dataclass, replace

from aanplant.brief import Brief
from aanplant.inputs import DailyWeather
from aanplant.site.climate_advice import advice
from aanplant.site.climate_figures import figures
from aanplant.site.climate_record import FROST_THRESHOLDS_C, ClimateRecord
from aanplant.site.climate_years import year_table
from aanplant.site.evapotranspiration import daily_demand
from aanplant.site.frame import Frame
from aanplant.site.planting_time import bud_break_of, planting_time
from aanplant.site.protection import frost_damage, windbreak
from aanplant.site.trend import linear_trend
from aanplant.site.weather_quality import check_weather
from aanplant.working import Finding, Working

DEFAULT_WIND_HEIGHT_M = 2.0


@dataclass(frozen=True)
class Climate:
    """The climate of a block, and what there is to say about it.

    Parameters
    ----------
    record : ClimateRecord
        Weather, seasons, frost, planting time and protection.
    figures, findings
        What the topic has to say.
    """

    record: ClimateRecord
    figures: tuple[Working, ...] = ()
    findings: tuple[Finding, ...] = ()


def survey_climate(
    brief: Brief, weather: DailyWeather | None, frame: Frame, area_ha: float
) -> Climate | None:
    """Turn daily weather into the climate of a block.

    Parameters
    ----------
    brief : Brief
        What is asked.
    weather : DailyWeather or None
        Weather that serves the block (see ``station.serving_weather``).
    frame : Frame
        The block's own grid, for latitude and height.
    area_ha : float
        Area of the field, for what protection costs. [ha]

    Returns
    -------
    Climate or None
        None without weather.

    Raises
    ------
    InputError
        If a fault runs through the whole file.
    """
    if weather is None:
        return None
    latitude = frame.latitude_deg if weather.latitude_deg is None else weather.latitude_deg
    height = frame.height_m if weather.height_m is None else weather.height_m
    checked = check_weather(weather, latitude_deg=latitude, height_m=height)
    whole = checked.weather
    rules = brief.climate
    demand = daily_demand(
        whole,
        latitude_deg=latitude,
        height_m=height,
        wind_height_m=whole.wind_height_m or rules.wind_height or DEFAULT_WIND_HEIGHT_M,
        near_coast=rules.near_coast,
    )
    is_south = latitude < 0.0
    coldest = whole.tmin_c - rules.colder_than_station
    thresholds = tuple(sorted({*FROST_THRESHOLDS_C, rules.frost_threshold}))
    table = year_table(
        whole, demand.et0_mm, latitude_deg=latitude, frost_tmin_c=coldest, thresholds_c=thresholds
    )
    frost = next(one for one in table.frost if one.threshold_c == rules.frost_threshold)
    shelter = brief.protection.windbreak_height
    record = ClimateRecord(
        latitude_deg=latitude,
        height_m=height,
        checked=checked,
        demand=demand,
        table=table,
        frost=frost,
        trend=linear_trend(table.harvest_year, table.columns["degree_days_oct_apr"]),
        planting=planting_time(brief, whole, demand.et0_mm, table, frost, is_south=is_south),
        damage=frost_damage(
            coldest,
            whole.date[0],
            table.harvest_year,
            bud_break=bud_break_of(brief, is_south=is_south),
            threshold_c=rules.frost_threshold,
            is_south=is_south,
            area_ha=area_ha,
            prices=brief.protection,
        ),
        windbreak=None if shelter is None else windbreak(shelter, latitude),
    )
    made = figures(brief, record)
    return replace(Climate(record), figures=made, findings=advice(brief, record, made))
