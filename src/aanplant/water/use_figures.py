"""Figures of the water of a block: wetting and drippers, each age, first season, quality."""

from aanplant.brief import Brief
from aanplant.site.texture import WHOLE_PCT
from aanplant.water.age_figures import age_figures
from aanplant.water.needs import WaterNeeds
from aanplant.water.quality import WaterQuality
from aanplant.water.thermal import DripperDrift
from aanplant.water.use_base import UseFigures
from aanplant.working import Input, Working


def use_figures(
    brief: Brief,
    base: UseFigures,
    needs: WaterNeeds | None,
    moved: DripperDrift,
    quality: WaterQuality | None,
) -> tuple[Working, ...]:
    """Return all figures of the water's use.

    Parameters
    ----------
    brief : Brief
        What is asked.
    base : UseFigures
        The first ones.
    needs : WaterNeeds or None
        What the vines need.
    moved : DripperDrift
        Of the drippers in heat and cold.
    quality : WaterQuality or None
        Of the water.
    """
    line = [
        brief.as_input(f"dripper_line.{key}")
        for key in ("expansion", "laid_at", "coldest", "hottest", "held")
    ]
    creeping = Working(
        "water.dripper_drift",
        moved.worst_m,
        "m",
        (*line, brief.as_input("water.emitter.spacing", "dripper_spacing")),
        "pe-expansion",
    )
    made = [base.vine_flow, base.strip, base.wetted, base.reaching, creeping]
    if needs is not None:
        for age in range(needs.demand.ages):
            made.extend(age_figures(brief, base, needs, age))
        made.extend(_of_first_season(brief, base, needs))
    if quality is not None:
        made.extend(_of_quality(brief, quality))
    return tuple(made)


def _of_first_season(brief: Brief, base: UseFigures, needs: WaterNeeds) -> list[Working]:
    first = needs.first
    vines = base.vines.as_input("vines")
    poured = brief.as_input("water.at_planting")
    planting = Working(
        "water.planting",
        first.planting_m3,
        "m3",
        (vines, poured),
        "arithmetic",
    )
    at = brief.demand.peak_assurance
    total = Working(
        "water.first_season",
        first.total_m3(at),
        "m3",
        (
            planting.as_input("planting"),
            Input("watering", first.season_m3(at), "m3", base.weather),
            brief.as_input("demand.peak_assurance", "assurance"),
        ),
        "arithmetic",
    )
    drawn = Working(
        "water.first_season_drawn",
        float(total.value) / (1.0 - brief.watering.losses),
        "m3",
        (total.as_input("first_season"), brief.as_input("watering.losses")),
        "arithmetic",
    )
    weeks = Working(
        "water.first_season_weeks",
        float(first.volume_m3.sum()),
        "m3",
        (Input("years", first.years, "", base.weather), brief.as_input("first_season.assurance")),
        "fao-evapotranspiration",
    )
    made = [planting, total, drawn, weeks, *_beside_right(brief, drawn)]
    if first.by == "dripper":
        run = Working(
            "water.planting_run",
            first.planting_hours,
            "h",
            (poured, base.vine_flow.as_input("vine_flow")),
            "arithmetic",
        )
        return [*made, run]
    tanker = brief.as_input("first_season.tanker")
    trips = Working(
        "water.planting_trips",
        first.planting_trips,
        "",
        (vines, poured, tanker),
        "arithmetic",
    )
    hours = Working(
        "water.planting_tanker_hours",
        first.planting_hours,
        "h",
        (
            trips.as_input("trips"),
            brief.as_input("first_season.trip_hours"),
            vines,
            brief.as_input("first_season.vine_seconds"),
        ),
        "arithmetic",
    )
    return [*made, trips, hours]


def _beside_right(brief: Brief, drawn: Working) -> list[Working]:
    """Share of the right that the first season takes; nothing without a right."""
    right = (brief.water.water_right or 0.0) - brief.water.committed
    if right <= 0.0:
        return []
    return [
        Working(
            "water.first_season_share",
            WHOLE_PCT * float(drawn.value) / right,
            "%",
            (
                drawn.as_input("first_season_drawn"),
                brief.as_input("water.water_right"),
                brief.as_input("water.committed"),
            ),
            "arithmetic",
        )
    ]


def _of_quality(brief: Brief, quality: WaterQuality) -> list[Working]:
    made = []
    if quality.sodium_adsorption_ratio is not None:
        ions = [
            brief.as_input(f"water_analysis.{ion}") for ion in ("sodium", "calcium", "magnesium")
        ]
        made.append(
            Working(
                "water.sodium_ratio",
                quality.sodium_adsorption_ratio,
                "",
                tuple(ions),
                "fao-29",
            )
        )
    if quality.leaching is not None:
        salt = brief.as_input("water_analysis.conductivity")
        made.append(
            Working(
                "water.leaching",
                WHOLE_PCT * quality.leaching,
                "%",
                (salt,),
                "memory",
            )
        )
    return made
