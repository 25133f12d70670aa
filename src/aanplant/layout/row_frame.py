"""The frame that straight rows are found in, and the edges of a field in it.

``across`` runs square to the rows, ``along`` runs with them, both from the origin of the
coordinates.
"""

from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry


class Edges(NamedTuple):
    """Boundary edges as columns, shape (n_edges,) each, with the ground on their left."""

    x_from: NDArray[np.float64]
    y_from: NDArray[np.float64]
    x_to: NDArray[np.float64]
    y_to: NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Axes:
    """Unit vectors of the row frame in x and y."""

    along_x: float
    along_y: float

    @property
    def across_x(self) -> float:
        """The across axis lies to the right of the along axis."""
        return self.along_y

    @property
    def across_y(self) -> float:
        """The across axis lies to the right of the along axis."""
        return -self.along_x


@lru_cache(maxsize=1024)
def axes(bearing_deg: float) -> Axes:
    """Row frame of a bearing, clockwise from the y axis; exact at quarter turns."""
    quarters, rest = divmod(float(bearing_deg), 90.0)
    sine, cosine = np.sin(np.radians(rest)), np.cos(np.radians(rest))
    along = ((sine, cosine), (cosine, -sine), (-sine, -cosine), (-cosine, sine))[int(quarters) % 4]
    return Axes(float(along[0]), float(along[1]))


def boundary(area: BaseGeometry) -> Edges:
    """Collect the edges of all rings of polygonal ground, ground to the left.

    Raises
    ------
    ValueError
        If ``area`` is not polygonal or not valid.
    """
    if area.is_empty:
        return Edges(*np.empty((4, 0)))
    if area.geom_type not in ("Polygon", "MultiPolygon"):
        raise ValueError(f"area must be a polygon or multipolygon, got a {area.geom_type}")
    if not area.is_valid:
        raise ValueError(f"area must be valid: {shapely.is_valid_reason(area)}")
    rings = shapely.get_rings(shapely.get_parts(shapely.orient_polygons(area)))
    xy, ring = shapely.get_coordinates(rings, return_index=True)
    follows = ring[1:] == ring[:-1]
    start, end = xy[:-1][follows], xy[1:][follows]
    return Edges(start[:, 0].copy(), start[:, 1].copy(), end[:, 0].copy(), end[:, 1].copy())


def turned(edges: Edges, bearing_deg: float) -> Edges:
    """Turn edges from x and y into across and along."""
    frame = axes(bearing_deg)
    x_from, y_from, x_to, y_to = edges
    return Edges(
        x_from * frame.across_x + y_from * frame.across_y,
        x_from * frame.along_x + y_from * frame.along_y,
        x_to * frame.across_x + y_to * frame.across_y,
        x_to * frame.along_x + y_to * frame.along_y,
    )
