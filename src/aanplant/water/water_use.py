"""What the vines of a block ask of its water, and what the water does to soil and drippers."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from aanplant.brief import Brief
from aanplant.brief.water_analysis import WaterAnalysis
from aanplant.layout import Layout
from aanplant.layout.positions import Positions
from aanplant.site import Site
from aanplant.site.zones import Zone
from aanplant.stock import Stock
from aanplant.trellis.breaches import Breach
from aanplant.water.designed import DesignedSystem
from aanplant.water.emitters import LITRES_PER_HOUR, law_of
from aanplant.water.needs import WaterNeeds, water_needs
from aanplant.water.quality import WaterQuality, judge
from aanplant.water.reaching import reaching
from aanplant.water.system import System
from aanplant.water.thermal import DripperDrift, drift
from aanplant.water.use_advice import use_advice
from aanplant.water.use_base import UseFigures
from aanplant.water.use_figures import use_figures
from aanplant.water.zone_wetting import ZoneWetting, breaches_of, wet
from aanplant.working import Finding, Working


@dataclass(frozen=True)
class WaterUse:
    """Water of the vines, year by year and week by week.

    Parameters
    ----------
    needs : WaterNeeds or None
        What the vines need and whether there is enough; None without weather or normals.
    wetting : tuple of ZoneWetting
        What drippers wet in each soil zone.
    wetting_breaches : tuple of Breach
        Where that is too little, too much or with gaps.
    drift : DripperDrift
        How far drippers creep from their vines.
    quality : WaterQuality or None
        What the analysis says; None without one.
    weather : str
        Where the weather behind it comes from.
    figures, findings
        What is to be said.
    """

    needs: WaterNeeds | None
    wetting: tuple[ZoneWetting, ...]
    wetting_breaches: tuple[Breach, ...]
    drift: DripperDrift
    quality: WaterQuality | None
    weather: str
    figures: tuple[Working, ...]
    findings: tuple[Finding, ...]


def survey_water_use(
    brief: Brief,
    site: Site,
    stock: Stock,
    layout: Layout,
    system: DesignedSystem | None = None,
) -> WaterUse | None:
    """Reckon the water of the vines as laid out, and set it beside what there is.

    Parameters
    ----------
    brief, site, stock, layout
        What is asked, and the stages before.
    system : DesignedSystem, optional
        Whose evenness tells how much of the water counts, and whose laterals creep. It was
        designed for the flow of its drippers, not for the vines' need, so nothing turns in a
        circle.

    Returns
    -------
    WaterUse or None
        None where no vine stands.

    Raises
    ------
    InputError
        If the dripper is none, or ``water.right_months`` names no months.
    """
    positions = layout.positions
    if not len(positions):
        return None
    law = law_of(brief)
    zones = site.soil.zones if site.soil is not None else ()
    wetting = wet(brief, zones, law, measured_m=brief.demand.wetted_width)
    planted = {figure.key: figure for figure in layout.figures}
    vines, area = planted["layout.vines"], planted["layout.area_planted"]
    quality = judge(brief.water_analysis) if _is_analysed(brief) else None
    share = reaching(brief, system, quality)
    figures = UseFigures.begun(brief, vines, area, wetting, zones, law, share, _weather_of(site))
    needs = water_needs(
        brief,
        site,
        area_ha=float(area.value),
        vines=len(positions),
        wetted=float(figures.wetted.value),
        vine_flow_lph=float(figures.vine_flow.value),
        efficiency=float(share.value),
    )
    in_zone = zone_of_vines(positions.xy, zones)
    radius_m = np.array([one.radius_m for one in wetting])[in_zone]
    if system is None:
        along_m = along_rows_m(positions, stock.vine_spacing_m, brief.rows.end_gap)
        length_m = positions.row_length_m[positions.piece]
    else:
        along_m, length_m = along_laterals_m(system.system, len(positions))
    moved = drift(brief, along_m, length_m, wetted_radius_m=radius_m)
    breaches = breaches_of(brief, wetting)
    made = use_figures(brief, figures, needs, moved, quality)
    worst = None if moved.breach is None else moved.breach.row
    return WaterUse(
        needs,
        wetting,
        breaches,
        moved,
        quality,
        figures.weather,
        made,
        tuple(
            use_advice(
                brief,
                needs,
                wetting,
                breaches,
                moved,
                quality,
                rootstock=stock.rootstock,
                area_ha=float(area.value),
                flow_lph=law.flow_m3_s / LITRES_PER_HOUR,
                texture_of_worst="" if worst is None else wetting[int(in_zone[worst])].texture,
                worst_xy=None if worst is None else _point(positions.xy[worst]),
            )
        ),
    )


def along_rows_m(
    positions: Positions, vine_spacing_m: float, end_gap_m: float
) -> NDArray[np.float64]:
    """Return the distance of each vine from the first end post of its row. [m].

    Parameters
    ----------
    positions : Positions
        Filled rows.
    vine_spacing_m, end_gap_m : float
        Between vines, and from the end post to the first. [m]

    Returns
    -------
    ndarray, shape (n_vines,)
    """
    first = np.full(len(positions.vines), np.iinfo(np.int32).max, np.int64)
    np.minimum.at(first, positions.piece, positions.number)
    return np.asarray(end_gap_m + (positions.number - first[positions.piece]) * vine_spacing_m)


def along_laterals_m(system: System, vines: int) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the distance of each vine's dripper from the inlet of its lateral, and its length.

    A vine without a dripper of its own counts as the one before it.

    Parameters
    ----------
    system : System
        As laid.
    vines : int
        In the block.

    Returns
    -------
    tuple of ndarray, shape (n_vines,)
        [m]
    """
    drips = np.flatnonzero(system.is_emitter)
    run = np.cumsum(np.where(system.is_emitter, system.length_m, 0.0))
    first = system.laterals.first[system.lateral[drips]]
    along = run[drips] - run[first] + system.length_m[first]
    dripper = np.full(vines, -1, np.int64)
    dripper[system.vine[drips][::-1]] = np.arange(len(drips))[::-1]
    known = np.maximum.accumulate(np.where(dripper < 0, 0, np.arange(vines)))
    dripper = np.maximum(dripper[known], 0)
    return along[dripper], system.laterals.length_m[system.lateral[drips][dripper]]


def zone_of_vines(xy: NDArray[np.float64], zones: Sequence[Zone]) -> NDArray[np.intp]:
    """Return the zone each vine stands in, the first where none is drawn under it.

    Parameters
    ----------
    xy : ndarray, shape (n_vines, 2)
        [m]
    zones : sequence of Zone
        Of the soil; may be empty.

    Returns
    -------
    ndarray of int, shape (n_vines,)
    """
    found = np.zeros(len(xy), np.intp)
    for at, zone in enumerate(zones):
        if at:
            shapely.prepare(zone.geometry)
            found[shapely.contains_xy(zone.geometry, xy[:, 0], xy[:, 1])] = at
    return found


def _weather_of(site: Site) -> str:
    return "" if site.climate is None else f"file:{site.climate.record.checked.weather.where}"


def _is_analysed(brief: Brief) -> bool:
    return any(
        getattr(brief.water_analysis, name) is not None
        for name in WaterAnalysis.model_fields
        if name not in {"laboratory", "date"}
    )


def _point(xy: NDArray[np.float64]) -> tuple[float, float]:
    return float(xy[0]), float(xy[1])
