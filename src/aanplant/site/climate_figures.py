"""The figures of a block's climate, with their working."""

import math
from dataclasses import dataclass

import numpy as np

from aanplant.brief import Brief
from aanplant.site.climate_record import ClimateRecord
from aanplant.site.frost import FEWEST_YEARS, month_day
from aanplant.site.protection_figures import bud_break_input, protection_figures
from aanplant.working import Input, Working


@dataclass(frozen=True, slots=True)
class _Mean:
    """A figure that is the mean of a column of the year table."""

    message: str
    column: str
    unit: str
    source: str


_MEANS = (
    _Mean(message="site.heat_sum", column="degree_days_oct_apr", unit="°C·d", source="degree-days"),
    _Mean(
        message="site.heat_sum_early", column="degree_days_sep_mar", unit="°C·d", source="memory"
    ),
    _Mean(message="site.huglin", column="huglin", unit="°C·d", source="huglin"),
    _Mean(message="site.cool_night", column="cool_night_c", unit="°C", source="cool-night"),
    _Mean(message="site.warmest_month", column="warmest_month_c", unit="°C", source="memory"),
    _Mean(message="site.season_temperature", column="season_c", unit="°C", source="memory"),
    _Mean(message="site.dryness", column="dryness_mm", unit="mm", source="dryness"),
    _Mean(message="site.chill_units", column="chill_units", unit="", source="chill-units"),
    _Mean(message="site.chill_portions", column="chill_portions", unit="", source="chill-portions"),
    _Mean(message="site.rain_year", column="rain_mm", unit="mm", source="arithmetic"),
    _Mean(
        message="site.reference_evapotranspiration",
        column="et0_mm",
        unit="mm",
        source="fao-evapotranspiration",
    ),
)


def figures(brief: Brief, record: ClimateRecord) -> tuple[Working, ...]:
    """Make the figures of the topic; one that can't be told is left out."""
    return (
        *_means(record),
        *_trend(record),
        *_frost(brief, record),
        *_window(brief, record),
        *protection_figures(brief, record),
    )


def _means(record: ClimateRecord) -> list[Working]:
    file = record.checked.weather.where
    made = []
    for one in _MEANS:
        seasons = record.table.known(one.column)
        if not seasons:
            continue
        known = record.table.harvest_year[~np.isnan(record.table.columns[one.column])]
        made.append(
            Working(
                one.message,
                record.table.mean(one.column),
                one.unit,
                (
                    Input("seasons", seasons, "", f"file:{file}"),
                    Input("first_harvest", int(known[0]), "", f"file:{file}"),
                    Input("last_harvest", int(known[-1]), "", f"file:{file}"),
                    Input("latitude", record.latitude_deg, "deg", "measured"),
                ),
                one.source,
            )
        )
    return made


def _trend(record: ClimateRecord) -> list[Working]:
    trend = record.trend
    if trend is None:
        return []
    return [
        Working(
            "site.heat_trend",
            trend.per_decade,
            "°C·d",
            (
                Input("seasons", trend.years, "", f"file:{record.checked.weather.where}"),
                Input("low", trend.low, "°C·d", "measured"),
                Input("high", trend.high, "°C·d", "measured"),
            ),
            "arithmetic",
        )
    ]


def _frost(brief: Brief, record: ClimateRecord) -> list[Working]:
    frost = record.frost
    if frost.years < FEWEST_YEARS:
        return []
    file = f"file:{record.checked.weather.where}"
    shared = (
        Input("springs", frost.years, "", file),
        Input("springs_with_frost", frost.years_with_frost, "", file),
        brief.as_input("climate.frost_threshold"),
        brief.as_input("climate.colder_than_station"),
    )
    made = []
    if frost.years_with_frost:
        made = [
            Working(
                "site.last_frost",
                month_day(frost.quantile(0.5), is_south=record.is_south),
                "",
                shared,
                "arithmetic",
            ),
            Working(
                "site.last_frost_late",
                month_day(frost.quantile(0.9), is_south=record.is_south),
                "",
                shared,
                "arithmetic",
            ),
        ]
    chance = record.frost_after_bud_break
    assert chance is not None  # noqa: S101 - enough springs, see above
    made.append(
        Working(
            "site.frost_after_bud_break",
            chance,
            "",
            (
                *shared,
                Input("springs_with_frost_from_bud_break", round(chance * frost.years), "", file),
                bud_break_input(brief, record),
            ),
            "arithmetic",
        )
    )
    return made


def _window(brief: Brief, record: ClimateRecord) -> list[Working]:
    time, window = record.planting, record.planting.window
    delivery = Input(
        "delivery",
        time.delivery,
        "",
        "brief:climate.delivery" if brief.climate.delivery else "default:climate.delivery",
        "" if brief.climate.delivery else "practice",
    )
    risk = brief.as_input("climate.frost_risk")
    opens = Working(
        "site.window_opens",
        window.opens,
        "",
        (delivery, Input("frost_rare_from", time.frost_from or "-", "", "measured"), risk),
        "practice",
    )
    closes = Working(
        "site.window_closes",
        window.closes,
        "",
        (
            bud_break_input(brief, record),
            brief.as_input("climate.weeks_before_bud_break"),
            Input("early_heat", time.early_heat or "-", "", "measured"),
            brief.as_input("climate.weeks_before_heat"),
            brief.as_input("climate.heat"),
        ),
        "practice",
    )
    made = [opens, closes]
    if not math.isnan(window.probability):
        years = len(window.fit_days)
        good = round(window.probability * years)
        file = f"file:{record.checked.weather.where}"
        shared = (
            opens.as_input("opens"),
            closes.as_input("closes"),
            Input("years", years, "", file),
            brief.as_input("climate.planting_days"),
            brief.as_input("climate.soil_drainage"),
            brief.as_input("climate.least_soil_temperature"),
        )
        made.append(
            Working(
                "site.window_probability",
                window.probability,
                "",
                (Input("good_years", good, "", file), *shared),
                "practice",
            )
        )
        if window.start_by:
            made.append(Working("site.window_start_by", window.start_by, "", shared, "practice"))
    return made
