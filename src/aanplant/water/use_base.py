"""The figures on which those of the water's use stand: flow, strip and share that is wet."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from aanplant.brief import Brief
from aanplant.site.zones import Zone
from aanplant.water.emitters import LITRES_PER_HOUR, EmitterLaw
from aanplant.water.needs import WaterNeeds, wetted_ground
from aanplant.water.zone_wetting import ZoneWetting
from aanplant.working import Input, Working

NORMALS = "brief:demand.et0_by_month"


def flow_input(brief: Brief, law: EmitterLaw, name: str = "flow") -> Input:
    """Return the flow of a dripper with where it comes from. [L/h]."""
    product = brief.water.emitter.product
    if product and not brief.is_given("water.emitter.flow"):
        flow_lph = law.flow_m3_s / LITRES_PER_HOUR
        return Input(name, flow_lph, "L/h", "table:emitters.csv", law.source)
    return brief.as_input("water.emitter.flow", name)


@dataclass(frozen=True)
class UseFigures:
    """Figures on which the others stand.

    Parameters
    ----------
    vines, area : Working
        As laid out.
    vine_flow : Working
        Flow of all drippers of one vine. [L/h]
    strip : Working
        Width that drippers wet, on the mean of the zones. [m]
    wetted : Working
        Share of the ground that is wet. [-]
    reaching : Working
        Share of the water at the drippers that counts. [-]
    weather : str
        Origin of the weather.
    pits : mapping of str to str
        Origin of what pits tell, by zone.
    """

    vines: Working
    area: Working
    vine_flow: Working
    strip: Working
    wetted: Working
    reaching: Working
    weather: str
    pits: Mapping[str, str]

    @classmethod
    def begun(  # noqa: PLR0917 - what the figures stand on
        cls,
        brief: Brief,
        vines: Working,
        area: Working,
        wetting: Sequence[ZoneWetting],
        zones: Sequence[Zone],
        law: EmitterLaw,
        reaching: Working,
        weather: str,
    ) -> "UseFigures":
        """Reckon them."""
        flow = flow_input(brief, law)
        row_width = brief.as_input("vines.row_width")
        spacing = brief.as_input("vines.vine_spacing")
        per_dripper = brief.as_input("water.emitter.spacing", "dripper_spacing")
        vine_flow = Working(
            "water.vine_flow",
            float(flow.value) * brief.vines.vine_spacing / brief.water.emitter.spacing,
            "L/h",
            (flow, spacing, per_dripper),
            "arithmetic",
        )
        widths = np.array([one.strip_m for one in wetting])
        areas = np.array([zone.area_ha for zone in zones]) if zones else np.ones(1)
        width = float((widths * areas).sum() / areas.sum())
        strip = Working(
            "water.wetted_strip",
            width,
            "m",
            (flow, *(_strip_of(brief, one) for one in wetting)),
            "practice" if wetting[0].is_measured else "keller-karmeli",
        )
        wetted = Working(
            "water.wetted_share",
            wetted_ground(brief, width),
            "",
            (strip.as_input("wetted_strip"), row_width),
            "arithmetic",
        )
        pits = {zone.name: f"file:{zone.pit.where.partition(':')[0]}" for zone in zones if zone.pit}
        return cls(vines, area, vine_flow, strip, wetted, reaching, weather or NORMALS, pits)


def years_input(base: UseFigures, needs: WaterNeeds) -> Input:
    """Return the years of weather with where they come from."""
    return Input("years", needs.years.years, "", base.weather)


def _strip_of(brief: Brief, one: ZoneWetting) -> Input:
    name = f"strip_{one.zone}" if one.zone else "strip"
    if one.is_measured:
        return brief.as_input("demand.wetted_width", name)
    return Input(name, one.strip_m, "m", "table:wetted_strips.csv", "keller-karmeli")
