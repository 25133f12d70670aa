"""What a manager should know about a block's climate before anything is ordered."""

import math
from collections.abc import Iterator

import numpy as np

from aanplant.brief import Brief
from aanplant.site.climate_record import ClimateRecord
from aanplant.site.frost import FEWEST_YEARS
from aanplant.site.heat import class_of
from aanplant.site.planting_window import days_between
from aanplant.working import Finding, Value, Working

MANY_SEASONS = 10
"""Fewer seasons may all have been warm or all cold (judgement)."""
LARGE_PART = 0.05
"""Faults on more than this part of the days are something to look into (judgement)."""
OFTEN = 0.1
"""Frost after bud-break in more than one spring in ten wants a decision (practice)."""
SURE = 0.8

Values = dict[str, Value | tuple[Value, str]]


def advice(brief: Brief, record: ClimateRecord, made: tuple[Working, ...]) -> tuple[Finding, ...]:
    """Collect the findings of the topic, the weather first and what follows from it after."""
    keys = {figure.key for figure in made}
    return (
        *_faults(record),
        *_assumed(brief, record),
        *_seasons(record),
        *_heat(record, keys),
        *_frost(brief, record),
        *_window(brief, record),
        *_protection(record),
    )


def _faults(record: ClimateRecord) -> Iterator[Finding]:
    weather = record.checked.weather
    days = len(weather.date)
    for fault in record.checked.faults:
        values: Values = {
            "file": weather.where,
            "days": fault.days,
            "first": fault.first,
            "what": f"words:fault.{fault.kind}",
            "column": f"words:weather_column.{fault.column}",
            "treatment": f"words:treatment.{fault.treatment.replace(' ', '_')}",
        }
        if fault.days > LARGE_PART * days and fault.kind != "bridged":
            yield Finding("site", "care", "climate.fault_often", values, source="measured")
        else:
            yield Finding("site", "note", "climate.fault", values, source="measured")


def _assumed(brief: Brief, record: ClimateRecord) -> Iterator[Finding]:
    demand, weather = record.demand, record.checked.weather
    days = len(weather.date)
    source = "fao-evapotranspiration"
    figure = "site.reference_evapotranspiration"
    of_days: Values = {"days": demand.humidity_days, "all": days}
    if demand.humidity_days:
        yield Finding("site", "note", "climate.humidity_assumed", of_days, figure, source)
    if demand.wind_days:
        of_days = {"days": demand.wind_days, "all": days}
        yield Finding("site", "note", "climate.wind_assumed", of_days, figure, source)
    if demand.radiation_days:
        of_days = {"days": demand.radiation_days, "all": days}
        yield Finding("site", "note", "climate.radiation_assumed", of_days, figure, source)
    if demand.given_days:
        of_days = {"days": demand.given_days, "all": days}
        yield Finding("site", "note", "climate.demand_given", of_days, figure, "measured")
    measured = bool((~np.isnan(weather.wind_m_s)).any())
    if measured and weather.wind_height_m is None and brief.climate.wind_height is None:
        yield Finding("site", "care", "climate.wind_height_taken", {}, figure, "practice")


def _seasons(record: ClimateRecord) -> Iterator[Finding]:
    seasons = record.table.known("degree_days_oct_apr")
    values: Values = {"seasons": seasons, "springs": record.frost.years}
    if not seasons:
        yield Finding("site", "care", "climate.no_season", {}, source="practice")
    elif seasons == 1:
        yield Finding("site", "care", "climate.one_season", {}, "site.heat_sum", "practice")
    elif seasons < MANY_SEASONS:
        yield Finding("site", "care", "climate.few_seasons", values, "site.heat_sum", "practice")
    if record.frost.years < FEWEST_YEARS:
        values = {"springs": record.frost.years, "needed": FEWEST_YEARS}
        yield Finding("site", "care", "climate.frost_refused", values, source="practice")


def _heat(record: ClimateRecord, keys: set[str]) -> Iterator[Finding]:
    table = record.table
    if "site.heat_sum" in keys:
        yield Finding(
            "site",
            "note",
            "climate.heat",
            {
                "heat": (round(table.mean("degree_days_oct_apr")), "°C·d"),
                "class": class_of("degree_days_oct_apr", table.mean("degree_days_oct_apr")),
                "months": f"words:heat_months.{'south' if record.is_south else 'north'}",
                "early": (round(table.mean("degree_days_sep_mar")), "°C·d"),
                "early_class": class_of("degree_days_sep_mar", table.mean("degree_days_sep_mar")),
                "seasons": table.known("degree_days_oct_apr"),
            },
            "site.heat_sum",
            "winkler-regions",
        )
    if "site.chill_units" in keys:
        units = table.mean("chill_units")
        yield Finding(
            "site",
            "note",
            "climate.chilling",
            {
                "units": round(units),
                "class": class_of("chill_units", units),
                "portions": round(table.mean("chill_portions")),
            },
            "site.chill_units",
            "chill-levels",
        )
    trend = record.trend
    if trend is None:
        return
    values: Values = {
        "slope": (round(trend.per_decade), "°C·d"),
        "low": (round(trend.low), "°C·d"),
        "high": (round(trend.high), "°C·d"),
        "seasons": trend.years,
    }
    if trend.is_clear:
        yield Finding("site", "note", "climate.trend", values, "site.heat_trend", "arithmetic")
    else:
        yield Finding(
            "site", "note", "climate.trend_unclear", values, "site.heat_trend", "arithmetic"
        )


def _frost(brief: Brief, record: ClimateRecord) -> Iterator[Finding]:
    chance = record.frost_after_bud_break
    if not brief.climate.bud_break:
        yield Finding(
            "site",
            "note",
            "climate.bud_break_taken",
            {"day": (record.planting.bud_break, "month-day")},
        )
    if chance is None:
        return
    values: Values = {
        "springs": record.frost.years,
        "with_frost": round(chance * record.frost.years),
        "threshold": (brief.climate.frost_threshold, "°C"),
        "day": (record.planting.bud_break, "month-day"),
    }
    if chance > OFTEN:
        yield Finding(
            "site",
            "care",
            "climate.frost_often",
            values,
            "site.frost_after_bud_break",
            "arithmetic",
        )
    else:
        yield Finding(
            "site", "note", "climate.frost_rare", values, "site.frost_after_bud_break", "arithmetic"
        )


def _window(brief: Brief, record: ClimateRecord) -> Iterator[Finding]:
    window = record.planting.window
    yield from _month_asked(brief, record)
    values: Values = {
        "form": f"words:plant_form.{brief.climate.plant_form}",
        "opens": (window.opens, "month-day"),
        "closes": (window.closes, "month-day"),
        "closed_by": f"words:closed_by.{window.closed_by.replace('-', '_')}",
        "days": round(brief.climate.planting_days),
        "years": len(window.fit_days),
    }
    if window.days <= 0:
        yield Finding("site", "care", "climate.window_none", values, "site.window_opens")
        return
    if not record.planting.soil_known:
        yield Finding("site", "care", "climate.window_soil_unknown", {}, "site.window_opens")
    if math.isnan(window.probability):
        yield Finding("site", "care", "climate.window_unproved", values, "site.window_opens")
        return
    values["good"] = round(window.probability * len(window.fit_days))
    if window.probability < SURE or not window.start_by:
        yield Finding("site", "care", "climate.window_unlikely", values, "site.window_probability")
        return
    values["start_by"] = (window.start_by, "month-day")
    yield Finding("site", "note", "climate.window", values, "site.window_probability")


def _month_asked(brief: Brief, record: ClimateRecord) -> Iterator[Finding]:
    asked = brief.work.planting[5:]
    if not asked or record.planting.window.days <= 0:
        return
    window = record.planting.window
    ends = [f"{asked}-01", f"{asked}-28"]
    before, after = (
        days_between(end, edge, is_south=record.is_south)
        for end, edge in ((ends[0], window.closes), (window.opens, ends[1]))
    )
    if before <= 0 or after <= 0:
        yield Finding(
            "site",
            "care",
            "climate.planting_outside",
            {
                "asked": f"words:month_name.{asked}",
                "opens": (window.opens, "month-day"),
                "closes": (window.closes, "month-day"),
            },
            "site.window_opens",
        )


def _protection(record: ClimateRecord) -> Iterator[Finding]:
    damage = record.damage
    for option in damage.options:
        if not damage.damage_years:
            break
        values: Values = {
            "option": f"words:frost_option.{option.option.replace(' ', '_')}",
            "spared": option.avoided_years,
            "damage": damage.damage_years,
            "springs": damage.years,
            "flow": (option.water_flow_m3_h_ha, "m3/h"),
            "water": (round(option.water_worst_m3_ha), "m3"),
        }
        figure = f"site.frost_spared.{option.option.replace(' ', '_')}"
        if option.water_flow_m3_h_ha:
            yield Finding("site", "note", "climate.protection_water", values, figure, option.source)
        else:
            yield Finding("site", "note", "climate.protection", values, figure, option.source)
    shelter = record.windbreak
    if shelter is not None:
        yield Finding(
            "site",
            "note",
            "climate.windbreak",
            {
                "sheltered": (shelter.sheltered_m, "m"),
                "clearance": (shelter.clearance_m, "m"),
                "roots": (shelter.roots_m, "m"),
                "shade": (shelter.shade_m, "m"),
            },
            "site.windbreak_clearance",
        )
