"""The soil of a block: its pits worked out, its zones, their figures and what to say of them."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Point, Polygon
from shapely.geometry.base import BaseGeometry

from aanplant.brief import Brief
from aanplant.errors import InputError
from aanplant.inputs import Inputs
from aanplant.site.frame import Frame
from aanplant.site.profile import Profile, work_out
from aanplant.site.soil_advice import advice
from aanplant.site.soil_figures import figures
from aanplant.site.zones import Drawn, Zone, as_drawn, by_nearest_pit
from aanplant.working import Finding, Working

SAME_PLACE_M = 1.0
"""Two pits nearer than this are one pit written twice, or a slip in their places."""


@dataclass(frozen=True)
class SoilSurvey:
    """The soil of a block.

    Parameters
    ----------
    profiles : tuple of Profile
        The pits, worked out, in the order of the file.
    pits_xy : ndarray, shape (n, 2)
        Their places in the frame. [m]
    zones : tuple of Zone
        They fill the field without overlap.
    is_drawn : bool
        Whether the user drew the zones; else they go by the nearest pit.
    figures, findings
        What the survey has to say.
    """

    profiles: tuple[Profile, ...]
    pits_xy: NDArray[np.float64]
    zones: tuple[Zone, ...]
    is_drawn: bool
    figures: tuple[Working, ...]
    findings: tuple[Finding, ...]


def survey_soil(
    brief: Brief, inputs: Inputs, *, frame: Frame, boundary: Polygon, field: BaseGeometry
) -> SoilSurvey | None:
    """Work out the pits and the zones of a block.

    Parameters
    ----------
    brief, inputs
        What was asked and what was read.
    frame : Frame
        The block's own grid.
    boundary : Polygon
        Outline of the block in it. [m]
    field : shapely geometry
        The outline less what rows must stop for; zones fill it. [m]

    Returns
    -------
    SoilSurvey or None
        None when there are no pits.

    Raises
    ------
    InputError
        If a pit lies farther outside than ``soil.pit_reach``, two lie in one place, or a
        drawn zone names a pit that isn't there.
    """
    if not inputs.pits:
        if inputs.zones:
            raise InputError(
                "brief.toml: block.zones", "soil zones without pits", "the pits in block.pits"
            )
        return None
    xy = frame.from_lonlat([(pit.longitude_deg, pit.latitude_deg) for pit in inputs.pits])
    outside_m = _check_places(brief, inputs, xy, boundary)
    profiles = tuple(
        work_out(
            pit,
            rooting_depth_m=brief.soil.rooting_depth,
            matter_per_carbon=brief.soil.matter_per_carbon,
        )
        for pit in inputs.pits
    )
    drawn = _zones(inputs, frame, field, profiles, xy)
    made = figures(brief, profiles, drawn.zones)
    return SoilSurvey(
        profiles,
        xy,
        drawn.zones,
        bool(inputs.zones),
        made,
        advice(profiles, xy, drawn, outside_m, is_drawn=bool(inputs.zones)),
    )


def _check_places(
    brief: Brief, inputs: Inputs, xy: NDArray[np.float64], boundary: Polygon
) -> dict[str, float]:
    """Return how far the pits outside the block lie from it, by name. [m]."""
    outside: dict[str, float] = {}
    for number, pit in enumerate(inputs.pits):
        away_m = float(boundary.distance(Point(xy[number])))
        if away_m > brief.soil.pit_reach:
            raise InputError(
                pit.where,
                f"a pit {away_m:,.0f} m outside the block".replace(",", " "),
                f"a pit in the block, or at most soil.pit_reach, {brief.soil.pit_reach:g} m, "
                "from its boundary",
            )
        if away_m > 0:
            outside[pit.name] = away_m
        apart_m = np.hypot(*(xy[:number] - xy[number]).T)
        if number and apart_m.min() < SAME_PLACE_M:
            raise InputError(
                pit.where,
                f"pits {inputs.pits[int(apart_m.argmin())].name} and {pit.name} in the same place",
                "a place of its own for each pit",
            )
    return outside


def _zones(
    inputs: Inputs,
    frame: Frame,
    field: BaseGeometry,
    profiles: Sequence[Profile],
    xy: NDArray[np.float64],
) -> Drawn:
    if not inputs.zones:
        return Drawn(by_nearest_pit(field, profiles, xy), (), ())
    names = [profile.pit.name for profile in profiles]
    for zone in inputs.zones:
        if zone.pit and zone.pit not in names:
            raise InputError(zone.where, f"the pit {zone.pit!r}", f"one of {', '.join(names)}")
    moved = [
        replace(zone, geometry=frame.geometry_from_lonlat(zone.geometry)) for zone in inputs.zones
    ]
    return as_drawn(field, moved, profiles, xy)
