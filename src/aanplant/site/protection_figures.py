"""The figures of shelter against frost and wind, with their working."""

import math

from aanplant.brief import Brief
from aanplant.site.climate_record import ClimateRecord
from aanplant.site.frost import FEWEST_YEARS
from aanplant.working import Input, Working


def protection_figures(brief: Brief, record: ClimateRecord) -> list[Working]:
    """Make the figures of protection and of a windbreak."""
    damage = record.damage
    file = f"file:{record.checked.weather.where}"
    made = []
    if damage.years >= FEWEST_YEARS:
        bare = Working(
            "site.frost_damage_years",
            damage.damage_years,
            "",
            (
                Input("springs", damage.years, "", file),
                bud_break_input(brief, record),
                brief.as_input("climate.frost_threshold"),
                brief.as_input("climate.colder_than_station"),
            ),
            "arithmetic",
        )
        made.append(bare)
        made.extend(
            Working(
                f"site.frost_spared.{option.option.replace(' ', '_')}",
                option.avoided_years,
                "",
                (
                    bare.as_input("damage_years"),
                    Input(
                        "left", option.damage_years, "", "table:frost_options.csv", option.source
                    ),
                ),
                option.source,
                about=option.option,
                message="site.frost_spared",
            )
            for option in damage.options
        )
    made.extend(_costs(brief, record))
    shelter = record.windbreak
    if shelter is not None:
        height = brief.as_input("protection.windbreak_height", "height")
        made.append(
            Working(
                "site.windbreak_clearance",
                shelter.clearance_m,
                "m",
                (
                    height,
                    Input("roots", shelter.roots_m, "m", "table:windbreak_rules.csv", "practice"),
                    Input("shade", shelter.shade_m, "m", "measured"),
                ),
                "practice",
            )
        )
        made.append(
            Working(
                "site.windbreak_shelter",
                shelter.sheltered_m,
                "m",
                (
                    height,
                    Input(
                        "times_height",
                        shelter.sheltered_m / float(brief.protection.windbreak_height or 1.0),
                        "",
                        "table:windbreak_rules.csv",
                        "practice",
                    ),
                ),
                "practice",
            )
        )
    return made


def _costs(brief: Brief, record: ClimateRecord) -> list[Working]:
    keys = {"wind machine": "wind_machine_price", "overhead water": "overhead_price"}
    return [
        Working(
            f"site.frost_cost.{option.option.replace(' ', '_')}",
            option.cost,
            "",
            (
                brief.as_input(f"protection.{keys[option.option]}", "price"),
                Input("number", option.number, "", "measured"),
            ),
            "arithmetic",
            about=option.option,
            message="site.frost_cost",
        )
        for option in record.damage.options
        if not math.isnan(option.cost)
    ]


def bud_break_input(brief: Brief, record: ClimateRecord) -> Input:
    """Return the day of bud-break as an input, given or taken."""
    given = bool(brief.climate.bud_break)
    return Input(
        "bud_break",
        record.planting.bud_break,
        "",
        "brief:climate.bud_break" if given else "default:climate.bud_break",
        "" if given else "practice",
    )
