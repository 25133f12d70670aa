"""What a manager must know of the water: where it does not suffice, and what would."""

from collections.abc import Iterator, Sequence

import numpy as np

from aanplant.brief import Brief
from aanplant.site.texture import WHOLE_PCT
from aanplant.trellis.breaches import Breach
from aanplant.water.first_season import LITRES_PER_M3
from aanplant.water.first_season_advice import drawn_m3, first_season_advice
from aanplant.water.needs import WaterNeeds
from aanplant.water.quality import WaterQuality
from aanplant.water.shortage_advice import shortage_advice
from aanplant.water.thermal import DripperDrift
from aanplant.water.water_quality_advice import quality_advice
from aanplant.water.zone_wetting import ZoneWetting, practice
from aanplant.working import Finding, Value

Values = dict[str, Value | tuple[Value, str]]
COARSE = "coarse"
LEAST_STRESS_D = 1.0


def use_advice(  # noqa: PLR0917 - what the sentences hold
    brief: Brief,
    needs: WaterNeeds | None,
    wetting: Sequence[ZoneWetting],
    breaches: Sequence[Breach],
    moved: DripperDrift,
    quality: WaterQuality | None,
    *,
    rootstock: str,
    area_ha: float,
    flow_lph: float,
    texture_of_worst: str,
    worst_xy: tuple[float, float] | None,
) -> Iterator[Finding]:
    """Yield all advice on the use of water.

    Parameters
    ----------
    brief : Brief
        What is asked.
    needs : WaterNeeds or None
        What the vines need; None without weather.
    wetting, breaches
        What drippers wet, and where that is wrong.
    moved : DripperDrift
        Of the drippers.
    quality : WaterQuality or None
        Of the water.
    rootstock : str
        On which the vines stand; "" where none is chosen.
    area_ha : float
        Planted. [ha]
    flow_lph : float
        Of a dripper. [L/h]
    texture_of_worst : str
        Soil at the vine whose drippers creep out of its reach; "" where none does.
    worst_xy : tuple of float, optional
        Where it stands. [m]
    """
    if needs is None:
        yield Finding("water", "care", "water.no_weather")
    else:
        yield _peak_and_season(brief, needs)
        yield from shortage_advice(brief, needs, area_ha)
        yield from _stress(brief, needs)
        yield from first_season_advice(brief, needs)
        yield from _assumed_soil(brief, needs)
    yield from _wetting(brief, wetting, breaches, flow_lph)
    yield from _creeping(brief, moved, texture_of_worst, worst_xy)
    yield from quality_advice(quality, brief.water_analysis.chloride, rootstock)


def _peak_and_season(brief: Brief, needs: WaterNeeds) -> Finding:
    at = brief.demand.peak_assurance
    season = needs.season.drawn_at(at)
    values: Values = {
        "assurance": (round(WHOLE_PCT * at, 1), "%"),
        "first_drunk": (round(float(needs.demand.litres_per_vine(needs.peak_mm)[0]), 2), "L"),
        "first": (round(float(needs.peak_litres[0]), 1), "L"),
        "full": (round(float(needs.peak_litres[-1]), 1), "L"),
        "first_season": (round(drawn_m3(brief, needs.first.total_m3(at))), "m3"),
        "full_season": (round(float(season[-1])), "m3"),
        "years": needs.years.years,
    }
    return Finding(
        "water", "note", "water.use", values, "water.first_season_drawn", "fao-evapotranspiration"
    )


def _stress(brief: Brief, needs: WaterNeeds) -> Iterator[Finding]:
    days = needs.season.stress_days_at(brief.demand.peak_assurance)
    if float(days.max()) < LEAST_STRESS_D:
        return
    age, zone = (int(at) for at in np.unravel_index(int(days.argmax()), days.shape))
    values: Values = {
        "days": round(float(days[age, zone])),
        "age": age + 1,
        "zone": needs.soils[zone].name or "the block",
        "assurance": (round(WHOLE_PCT * brief.demand.peak_assurance, 1), "%"),
    }
    on_purpose = brief.watering.rule == "deficit" and brief.watering.trigger > 1.0
    if on_purpose:
        yield Finding(
            "water", "note", "water.stress_on_purpose", values, "", "fao-evapotranspiration"
        )
    else:
        yield Finding("water", "care", "water.stress", values, "", "fao-evapotranspiration")


def _assumed_soil(brief: Brief, needs: WaterNeeds) -> Iterator[Finding]:
    assumed = [soil.name or "the block" for soil in needs.soils if not soil.is_measured]
    if assumed:
        yield Finding(
            "water",
            "care",
            "water.soil_assumed",
            {"zones": ", ".join(assumed), "held": (brief.demand.water_held, "mm/m")},
            "",
            brief.as_input("demand.water_held").source or "brief",
        )


def _wetting(
    brief: Brief, wetting: Sequence[ZoneWetting], breaches: Sequence[Breach], flow_lph: float
) -> Iterator[Finding]:
    for kind in dict.fromkeys(one.kind for one in breaches):
        alike = [one for one in breaches if one.kind == kind]
        worst = max(alike, key=lambda one: abs(one.value - one.limit))
        values: Values = {
            "zones": ", ".join(one.part or "the block" for one in alike),
            "found": (round(worst.value, 2), worst.unit),
            "limit": (round(worst.limit, 2), worst.unit),
            "strip": (round(brief.vines.row_width * worst.limit / WHOLE_PCT, 2), "m"),
        }
        if kind == "drippers_too_far_apart":
            grown = practice(wetting[worst.row or 0].texture)
            values["practice"] = (grown.spacing_m, "m")
            yield Finding("water", "care", "water.drippers_too_far", values, "water.wetted_strip",
                          "keller-karmeli")  # fmt: skip
        elif kind == "wetted_too_little":
            yield Finding("water", "care", "water.wetted_little", values, "water.wetted_share",
                          "memory")  # fmt: skip
        else:
            yield Finding("water", "note", "water.wetted_much", values, "water.wetted_share",
                          "memory")  # fmt: skip
    for texture in dict.fromkeys(one.texture for one in wetting):
        grown = practice(texture)
        if not grown.least_flow_lph <= flow_lph <= grown.most_flow_lph:
            values = {
                "texture": f"words:water.soil.{texture}",
                "flow": (round(flow_lph, 2), "L/h"),
                "low": (grown.least_flow_lph, "L/h"),
                "high": (grown.most_flow_lph, "L/h"),
                "spacing": (grown.spacing_m, "m"),
            }
            yield Finding("water", "note", "water.dripper_practice", values, "water.vine_flow",
                          grown.source)  # fmt: skip


def _creeping(
    brief: Brief, moved: DripperDrift, texture: str, worst_xy: tuple[float, float] | None
) -> Iterator[Finding]:
    breach = moved.breach
    if breach is None:
        return
    rules = brief.dripper_line
    # Tied so often, no part of the line can move farther than the water reaches.
    warmest = max(abs(rules.hottest - rules.laid_at), abs(rules.coldest - rules.laid_at))
    tie_m = breach.limit * LITRES_PER_M3 / (rules.expansion * warmest)
    values: Values = {
        "found": (round(breach.value, 2), "m"),
        "reach": (round(breach.limit, 2), "m"),
        "tie": (round(tie_m, 1), "m"),
    }
    if texture == COARSE:
        yield Finding("water", "care", "water.drippers_creep_on_sand", values,
                      "water.dripper_drift", "pe-expansion", worst_xy)  # fmt: skip
    else:
        yield Finding("water", "note", "water.drippers_creep", values,
                      "water.dripper_drift", "pe-expansion", worst_xy)  # fmt: skip
