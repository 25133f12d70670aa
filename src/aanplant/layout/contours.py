"""Contour lines of the terrain, and the piece of one that can be a base line."""

from collections.abc import Iterable

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from aanplant.site.terrain import Terrain

BEYOND_FIELD_M = 30.0
"""A contour is followed so far outside the field, so that it leaves it in its own direction."""


def contour_lines(terrain: Terrain, height_m: float) -> list[NDArray[np.float64]]:
    """Lines of one height, shape (n, 2) each; interpolated along the sides of the grid's cells.

    Parameters
    ----------
    terrain : Terrain
        Heights; cells with an unknown corner have no contour.
    height_m : float
        [m]
    """
    from contourpy import contour_generator  # noqa: PLC0415 - needed for contour rows alone

    z = np.ma.masked_invalid(terrain.z_m)
    generator = contour_generator(terrain.x_m, terrain.y_m, z, line_type="Separate")
    return [np.asarray(line, dtype=np.float64) for line in generator.lines(height_m)]


def longest_across(
    lines: Iterable[NDArray[np.float64]], field: BaseGeometry
) -> NDArray[np.float64] | None:
    """Of all lines the piece that runs furthest through a field; None when none can be used.

    Lines that close upon themselves in or near the field have no ends, and are left out.

    Parameters
    ----------
    lines : iterable of ndarray, shape (n, 2)
        [m]
    field : shapely Polygon or MultiPolygon
        [m]
    """
    ground = field.buffer(BEYOND_FIELD_M)
    best, longest = None, 0.0
    for line in lines:
        cut = shapely.line_merge(shapely.intersection(shapely.LineString(line), ground))
        for part in shapely.get_parts(cut):
            if part.geom_type != "LineString" or part.is_closed:
                continue
            length = shapely.intersection(part, field).length
            if length > longest:
                best, longest = np.asarray(part.coords), length
    return best


def heights_in(terrain: Terrain, field: BaseGeometry) -> NDArray[np.float64]:
    """Heights of the grid's nodes in a field, those that are known, ascending. [m]."""
    x, y = np.meshgrid(terrain.x_m, terrain.y_m)
    inside = shapely.contains_xy(field, x, y) & np.isfinite(terrain.z_m)
    return np.sort(terrain.z_m[inside])
