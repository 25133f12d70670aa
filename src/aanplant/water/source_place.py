"""Where the mainline begins, how high that is, and the way the user drew for it."""

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString, Point
from shapely.geometry.base import BaseGeometry

from aanplant.errors import InputError
from aanplant.inputs import WaterSource
from aanplant.site import Site
from aanplant.water.system import LayoutBreach

Values = NDArray[np.float64]

_SAME_M = 1.0
"""A drawn line that begins nearer the source than this begins at it."""


def source_place(
    site: Site, source: WaterSource, tolerance_m: float
) -> tuple[Values, float, list[LayoutBreach]]:
    """Find place and height of the source in the frame.

    Parameters
    ----------
    site : Site
        Frame, exclusions and heights.
    source : WaterSource
        As read.
    tolerance_m : float
        A stated height farther than this from the ground is reported. [m]

    Returns
    -------
    xy, z_m, breaches
        The height is that of the ground where none is stated, and 0 without heights. [m]

    Raises
    ------
    InputError
        If it lies in what must be avoided, or has no height and the heights don't reach it.
    """
    place = site.frame.from_lonlat([(source.longitude_deg, source.latitude_deg)])[0]
    for item in site.exclusions:
        if item.treatment == "avoid" and item.geometry.buffer(item.reach_m).intersects(
            Point(*place)
        ):
            raise InputError(
                source.where,
                f"a water source inside {item.name or item.kind!r}, which no pipe may cross",
                f"a place at least {item.reach_m:g} m outside it, or the treatment skip for it",
            )
    if site.terrain is None:
        return place, 0.0, []
    ground = float(site.terrain.height(place[None])[0])
    if source.height_m is None:
        if np.isnan(ground):
            raise InputError(
                source.where,
                "a water source without a height, beyond the heights of the block",
                'its height in metres as a property "height", counted as in '
                f"{site.terrain.where or 'the file of heights'}, or heights that reach so far",
            )
        return place, ground, []
    apart = abs(source.height_m - ground)
    return place, source.height_m, [] if np.isnan(apart) else _asked(source, apart, tolerance_m)


def avoided(site: Site) -> BaseGeometry:
    """Join all that no pipe may cross, also beyond the field. [m]."""
    beyond = [
        item.geometry.buffer(item.reach_m) for item in site.exclusions if item.treatment == "avoid"
    ]
    return shapely.union_all([site.avoid, *beyond])


def drawn_way(site: Site, place: Values, drawn_lonlat: Values | None) -> Values | None:
    """Bring a drawn line into the frame, in its order from the source, without the source.

    Raises
    ------
    InputError
        If it runs through what must be avoided.
    """
    if drawn_lonlat is None:
        return None
    xy = site.frame.from_lonlat(drawn_lonlat)
    away = np.hypot(*(xy[[0, -1]] - place).T)
    if away[1] < away[0]:
        xy = xy[::-1]
    if np.hypot(*(xy[0] - place)) < _SAME_M:
        xy = xy[1:]
    line = LineString(np.concatenate([place[None], xy]))
    for item in site.exclusions:
        if item.treatment == "avoid" and item.geometry.buffer(item.reach_m).intersects(line):
            raise InputError(
                "brief.toml: mains.route",
                f"a mainline through {item.name or item.kind!r}, which no pipe may cross",
                "a line around it, or the treatment skip for it",
            )
    return xy


def _asked(source: WaterSource, apart_m: float, tolerance_m: float) -> list[LayoutBreach]:
    if apart_m <= tolerance_m:
        return []
    return [LayoutBreach("source_height_differs", source.where, apart_m, tolerance_m, "m")]
