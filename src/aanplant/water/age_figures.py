"""Figures of the water that vines of each age need, and of what there is."""

import numpy as np

from aanplant.brief import Brief
from aanplant.site.texture import WHOLE_PCT
from aanplant.water.needs import WaterNeeds
from aanplant.water.use_base import UseFigures, years_input
from aanplant.working import Input, Value, Working


def age_words(needs: WaterNeeds, age: int) -> str:
    """Name a year of age, such as "year 2" or "full bearing"."""
    return "full bearing" if age == needs.demand.ages - 1 else f"year {age + 1}"


def age_figures(brief: Brief, base: UseFigures, needs: WaterNeeds, age: int) -> list[Working]:
    """Return the figures of one year of age, the first being 0."""
    name, at = age_words(needs, age), f"year_{age + 1}"
    demand = needs.demand
    years = years_input(base, needs)
    assurance = brief.as_input("demand.peak_assurance", "assurance")
    losses, vines = brief.as_input("watering.losses"), base.vines.as_input("vines")
    peak = Working(
        f"water.peak.{at}",
        float(needs.peak_mm[age]),
        "mm/d",
        (
            _listed(brief, "demand.cover_by_year", "cover", float(demand.cover[age]), ""),
            _listed(brief, "demand.height_by_year", "height", float(demand.height_m[age]), "m"),
            brief.as_input("demand.peak_days"),
            assurance,
            years,
        ),
        "vine-cover",
        about=name,
        message="water.peak",
    )
    drunk = Working(
        f"water.peak_drunk.{at}",
        float(demand.litres_per_vine(needs.peak_mm)[age]),
        "L/d",
        (
            peak.as_input("peak"),
            brief.as_input("vines.row_width"),
            brief.as_input("vines.vine_spacing"),
        ),
        "arithmetic",
        about=name,
        message="water.peak_drunk",
    )
    block = Working(
        f"water.peak_block.{at}",
        float(needs.peak_m3_d[age]),
        "m3/d",
        (
            base.area.as_input("area"),
            base.wetted.as_input("wetted_share"),
            *_soil_of(brief, base, needs, age),
            base.reaching.as_input("efficiency"),
            losses,
            assurance,
            years,
        ),
        "fao-evapotranspiration",
        about=name,
        message="water.peak_block",
    )
    hectare = Working(
        f"water.peak_hectare.{at}",
        float(needs.peak_m3_d[age]) / float(base.area.value),
        "m3/ha/d",
        (block.as_input("peak_block"), base.area.as_input("area")),
        "arithmetic",
        about=name,
        message="water.peak_hectare",
    )
    litres = Working(
        f"water.peak_vine.{at}",
        float(needs.peak_litres[age]),
        "L/d",
        (block.as_input("peak_block"), losses, vines),
        "arithmetic",
        about=name,
        message="water.peak_vine",
    )
    hours = Working(
        f"water.set_hours.{at}",
        float(needs.set_hours[age]),
        "h/d",
        (litres.as_input("peak_vine"), base.vine_flow.as_input("vine_flow")),
        "arithmetic",
        about=name,
        message="water.set_hours",
    )
    season = Working(
        f"water.season.{at}",
        float(needs.season.drawn_at(brief.demand.peak_assurance)[age]),
        "m3",
        (
            base.area.as_input("area"),
            base.wetted.as_input("wetted_share"),
            *_soil_of(brief, base, needs, age),
            brief.as_input("watering.rule"),
            base.reaching.as_input("efficiency"),
            losses,
            assurance,
            years,
        ),
        "fao-evapotranspiration",
        about=name,
        message="water.season",
    )
    made = [peak, drunk, block, hectare, litres, hours, season]
    if needs.peak_hours is not None:
        flow = brief.as_input("water.flow_available")
        made.append(
            Working(
                f"water.peak_hours.{at}",
                float(needs.peak_hours[age]),
                "h/d",
                (block.as_input("peak_block"), flow),
                "arithmetic",
                about=name,
                message="water.peak_hours",
            )
        )
    return [*made, *_beside_right(brief, needs, age, years)]


def _beside_right(brief: Brief, needs: WaterNeeds, age: int, years: Input) -> list[Working]:
    name, at, right = age_words(needs, age), f"year_{age + 1}", needs.right
    made = []
    if right is not None:
        made.append(
            Working(
                f"water.enough.{at}",
                WHOLE_PCT * float(right.probability[age]),
                "%",
                (
                    *(
                        brief.as_input(f"water.{key}")
                        for key in ("water_right", "committed", "right_months", "storage")
                    ),
                    brief.as_input("watering.short_years"),
                    brief.as_input("watering.short_supply"),
                    years,
                ),
                "arithmetic",
                about=name,
                message="water.enough",
            )
        )
        if not np.isnan(right.decade_m3[age]):
            made.append(
                Working(
                    f"water.dry_decade.{at}",
                    float(right.decade_m3[age]),
                    "m3",
                    (years,),
                    "arithmetic",
                    about=name,
                    message="water.dry_decade",
                )
            )
    if needs.turn_store_m3 is not None:
        made.append(
            Working(
                f"water.turn_store.{at}",
                float(needs.turn_store_m3[age]),
                "m3",
                (
                    brief.as_input("watering.turn_every"),
                    brief.as_input("watering.turn_hours"),
                    brief.as_input("water.flow_available"),
                    brief.as_input("demand.peak_assurance", "assurance"),
                    years,
                ),
                "arithmetic",
                about=name,
                message="water.turn_store",
            )
        )
    return made


def _listed(brief: Brief, key: str, name: str, value: Value, unit: str) -> Input:
    given = brief.is_given(key)
    return Input(
        name, value, unit, f"{'brief' if given else 'default'}:{key}", "" if given else "practice"
    )


def _soil_of(brief: Brief, base: UseFigures, needs: WaterNeeds, age: int) -> list[Input]:
    """Available water in the reach of the roots, one number a soil."""
    found = []
    for soil in needs.soils:
        name = f"available_{soil.name}" if soil.name else "available"
        value = float(soil.available_mm[age])
        if soil.is_measured:
            found.append(Input(name, value, "mm", base.pits[soil.name]))
        else:
            found.append(_listed(brief, "demand.water_held", name, value, "mm"))
    return found
