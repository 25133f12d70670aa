"""The chapters of the site report: what each shows, and what it says when data are missing."""

from collections.abc import Callable, Iterator

from aanplant.messages import fill, word
from aanplant.plan import Plan
from aanplant.report.climate_charts import HEAT, frost_curve, heat_years, monthly_climate
from aanplant.report.height_profile import height_profile
from aanplant.report.light_chart import light_by_bearing
from aanplant.report.planting_chart import planting_calendar
from aanplant.report.site_tables import (
    history_table,
    layer_table,
    permission_table,
    preparation_table,
    spreading_table,
    zone_table,
)
from aanplant.report.site_words import Chapter, Table, figure_table, of_topics
from aanplant.report.slope_map import slope_map
from aanplant.report.soil_columns import soil_columns
from aanplant.report.soil_map import zone_map
from aanplant.site.frost import FEWEST_YEARS
from aanplant.units import UnitSystem
from aanplant.working import LEVELS, Finding

_RECORD = (
    "climate.fault",
    "climate.humidity_assumed",
    "climate.wind_assumed",
    "climate.radiation_assumed",
    "climate.wind_height_taken",
)
_WINDOW = ("climate.window", "climate.window_", "climate.planting_outside")


def chapters(plan: Plan, system: UnitSystem) -> tuple[Chapter, ...]:
    """All chapters of a plan, also those without data."""
    makers: tuple[Callable[[Plan, UnitSystem], Chapter], ...] = (
        _ground, _soil, _preparation, _history, _weather, _window, _sun,
    )  # fmt: skip
    return tuple(make(plan, system) for make in makers)


def _ground(plan: Plan, system: UnitSystem) -> Chapter:
    known = plan.site.terrain is not None and plan.site.ground is not None
    return Chapter(
        "ground",
        (
            (_caption("slope_map"), lambda: slope_map(plan, system=system)),
            (_caption("height_profile"), lambda: height_profile(plan, system=system)),
        )
        if known
        else (),
        _some(
            figure_table(
                plan,
                system,
                (
                    "site.area",
                    "site.area_surface",
                    "site.perimeter",
                    "site.area_avoided",
                    "site.height_min",
                    "site.height_mean",
                    "site.height_max",
                    "site.slope_mean",
                    "site.slope_steepest",
                    "site.aspect",
                    "site.hollow_area",
                    "site.upslope_area",
                    "layout.row_grade_mean",
                    "layout.row_grade_steepest",
                    "layout.cross_slope_steepest",
                    "layout.row_length_ground",
                    "layout.ground_difference",
                ),
            )
        ),
        of_topics(
            plan,
            "site.",
            "layout.machine_grade",
            "layout.machine_side_slope",
            "layout.row_grade",
            "layout.ground_unknown",
            "layout.contour_",
            "layout.spaced_",
        ),
        () if known else (_missing("heights"),),
    )


def _soil(plan: Plan, system: UnitSystem) -> Chapter:
    if plan.site.soil is None:
        return Chapter("soil", missing=(_missing("pits"),), findings=of_topics(plan, "soil."))
    return Chapter(
        "soil",
        ((_caption("zone_map"), lambda: zone_map(plan, system=system)),),
        _some(
            zone_table(plan, system),
            layer_table(plan, system),
            figure_table(
                plan, system, ("site.soil_depth", "site.soil_water", "site.soil_area_known")
            ),
        ),
        of_topics(plan, "soil."),
    )


def _preparation(plan: Plan, system: UnitSystem) -> Chapter:
    has_pits = plan.site.soil is not None and "work" in plan.results
    figures = figure_table(
        plan,
        system,
        (
            "work.amount.", "work.loosening_hours", "work.ridge_volume", "work.ridge_hours",
            "work.cut_off_volume", "work.cut_off_hours", "work.drain_spacing_least",
            "work.drain_spacing_most",
        ),
    )  # fmt: skip
    return Chapter(
        "preparation",
        ((_caption("columns"), lambda: soil_columns(plan, system=system)),) if has_pits else (),
        _some(preparation_table(plan, system), spreading_table(plan, system), figures),
        of_topics(plan, "prepare."),
        () if has_pits else (_missing("no_preparation"),),
    )


def _history(plan: Plan, system: UnitSystem) -> Chapter:
    return Chapter(
        "history",
        (),
        _some(
            history_table(plan),
            permission_table(plan),
            figure_table(plan, system, ("site.months_bare",)),
        ),
        of_topics(plan, "history.", "permissions."),
        () if plan.brief.is_given("history.last_crop") else (_missing("history"),),
    )


def _weather(plan: Plan, system: UnitSystem) -> Chapter:
    climate = plan.site.climate
    others = _weather_findings(plan)
    if climate is None:
        return Chapter("weather", missing=(_missing("weather"),), findings=others)
    record = climate.record
    has_frost = record.frost.years >= FEWEST_YEARS
    return Chapter(
        "weather",
        tuple(
            _pictures(
                (
                    _caption("monthly"),
                    True,
                    lambda: monthly_climate(record, system=system),
                ),
                (
                    _caption("heat"),
                    record.table.known(HEAT) > 0,
                    lambda: heat_years(record.table),
                ),
                (_caption("frost"), has_frost, lambda: frost_curve(record)),
            )
        ),
        _some(
            figure_table(
                plan,
                system,
                (
                    "site.heat_sum",
                    "site.heat_sum_early",
                    "site.heat_trend",
                    "site.huglin",
                    "site.cool_night",
                    "site.warmest_month",
                    "site.season_temperature",
                    "site.rain_year",
                    "site.reference_evapotranspiration",
                    "site.dryness",
                    "site.chill_units",
                    "site.chill_portions",
                    "site.last_frost",
                    "site.last_frost_late",
                    "site.frost_after_bud_break",
                    "site.frost_damage_years",
                    "site.frost_spared.",
                    "site.frost_cost.",
                    "site.windbreak_clearance",
                    "site.windbreak_shelter",
                ),
            )
        ),
        others,
        () if has_frost else (fill("site_report.missing.springs", springs=FEWEST_YEARS),),
    )


def _weather_findings(plan: Plan) -> tuple[Finding, ...]:
    """Advice on weather, the gravest first and faults of the record last."""
    elsewhere = of_topics(plan, *_WINDOW)
    found = [finding for finding in of_topics(plan, "climate.") if finding not in elsewhere]
    faults = of_topics(plan, *_RECORD)
    return tuple(
        sorted(
            found,
            key=lambda finding: (LEVELS.index(finding.level), finding in faults),
        )
    )


def _window(plan: Plan, system: UnitSystem) -> Chapter:
    if plan.site.climate is None:
        return Chapter("window", missing=(_missing("window"),), findings=of_topics(plan, *_WINDOW))
    record = plan.site.climate.record
    return Chapter(
        "window",
        ((_caption("planting"), lambda: planting_calendar(record)),),
        _some(
            figure_table(
                plan,
                system,
                (
                    "site.window_opens",
                    "site.window_start_by",
                    "site.window_closes",
                    "site.window_probability",
                ),
            )
        ),
        of_topics(plan, *_WINDOW),
    )


def _sun(plan: Plan, system: UnitSystem) -> Chapter:
    layout = plan.results.get("layout")
    has_rows = layout is not None and layout.sunlight is not None
    return Chapter(
        "sun",
        ((_caption("light"), lambda: light_by_bearing(plan)),) if has_rows else (),
        _some(
            figure_table(
                plan,
                system,
                (
                    "layout.bearing",
                    "layout.bearing_mean",
                    "layout.season_light",
                    "layout.afternoon_load",
                    "layout.morning_load",
                    "layout.first_shade",
                    "site.day_length_longest",
                    "site.day_length_shortest",
                    "site.clear_day_midsummer",
                    "site.clear_day_midwinter",
                    "site.measured_sunlight",
                ),
            )
        ),
        of_topics(plan, "layout.bearing_", "layout.sun_on_rows"),
        () if has_rows else (_missing("rows"),),
    )


def _pictures(
    *perhaps: tuple[str, bool, Callable[[], object]],
) -> Iterator[tuple[str, Callable[[], object]]]:
    for caption, is_there, draw in perhaps:
        if is_there:
            yield caption, draw


def _some(*perhaps: Table | None) -> tuple[Table, ...]:
    return tuple(table for table in perhaps if table is not None)


def _caption(name: str) -> str:
    return word(f"site_report.caption.{name}")


def _missing(what: str) -> str:
    return word(f"site_report.missing.{what}")
