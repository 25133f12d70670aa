"""Whether points of a row that bends keep their room: the ellipse turned with the row."""

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from aanplant.layout.plantable import FULL_ROOM_SINE, HeadlandRule
from aanplant.layout.row_frame import boundary
from aanplant.layout.scanlines import TOUCHING_M

_NO_AXIS_M = 1e-6


@dataclass(frozen=True, eq=False)
class Ground:
    """A field, asked point by point whether a row may lie there.

    As ``plantable.plantable``, but the row runs another way at every point: a point keeps
    its room when it lies in the field and no edge comes inside the ellipse around it, half
    axes ``headland_m`` along the row there and ``side_margin_m`` across.

    Parameters
    ----------
    area : shapely Polygon or MultiPolygon
        Field less what rows stop before. [m]
    headland_m, side_margin_m : float
        [m]
    rule : {"along the row", "square to the edge"}
        How the headland is measured.

    Raises
    ------
    ValueError
        If a distance is negative or the rule is unknown.
    """

    area: BaseGeometry
    headland_m: float
    side_margin_m: float
    rule: HeadlandRule = "along the row"

    def __post_init__(self) -> None:
        if not (self.headland_m >= 0.0 and self.side_margin_m >= 0.0):
            raise ValueError(
                f"headland and margin must be 0 or more, got {self.headland_m} and "
                f"{self.side_margin_m}"
            )
        if self.rule not in ("along the row", "square to the edge"):
            raise ValueError(f"unknown headland rule {self.rule!r}")
        edges = boundary(self.area)
        ends = np.stack([edges.x_from, edges.y_from, edges.x_to, edges.y_to], axis=1)
        object.__setattr__(self, "_ends", ends.reshape(-1, 2, 2))
        lines = np.asarray(shapely.linestrings(ends.reshape(-1, 2, 2)), dtype=object)
        object.__setattr__(self, "_tree", shapely.STRtree(lines))
        shapely.prepare(self.area)

    @property
    def reach_m(self) -> float:
        """Edges further off than this do not matter. [m]."""
        return max(self.headland_m, self.side_margin_m)

    def contains(self, xy: NDArray[np.float64]) -> NDArray[np.bool_]:
        """Whether points, shape (n, 2), lie in the field."""
        inside: NDArray[np.bool_] = shapely.contains_xy(self.area, xy[:, 0], xy[:, 1])
        return inside

    def is_near_edge(self, xy: NDArray[np.float64], within_m: float) -> NDArray[np.bool_]:
        """Whether an edge lies within a distance of points, shape (n, 2)."""
        left, bottom, right, top = self.area.bounds
        low, high = np.array([left, bottom]) - within_m, np.array([right, top]) + within_m
        around = np.flatnonzero(((xy >= low) & (xy <= high)).all(axis=1))
        edge = shapely.boundary(self.area)
        shapely.prepare(edge)
        near = np.zeros(len(xy), dtype=np.bool_)
        near[around] = shapely.dwithin(edge, shapely.points(xy[around]), within_m)
        return near

    def keeps_room(
        self, xy: NDArray[np.float64], along_xy: NDArray[np.float64]
    ) -> NDArray[np.bool_]:
        """Whether rows that run along unit vectors may lie at points, shape (n, 2) both."""
        keeps = self.contains(xy)
        asked = np.flatnonzero(keeps)
        if not self.reach_m > 0.0 or not len(asked):
            return keeps
        point, edge = self._pairs(xy[asked], self.reach_m)
        point = asked[point]
        ends: NDArray[np.float64] = self._ends[edge] - xy[point][:, None, :]  # type: ignore[attr-defined]
        along = along_xy[point][:, None, :]
        # Axis 1 holds the two ends of the edge, seen from the point along and across the row.
        ahead = (ends * along).sum(axis=-1)
        beside = ends[..., 0] * along[..., 1] - ends[..., 1] * along[..., 0]
        headland, margin = self._half_axes(ahead, beside)
        apart = _distance_of_segments(beside / margin, ahead / headland)
        keeps[point[apart < 1.0 - TOUCHING_M]] = False
        return keeps

    def _pairs(
        self, xy: NDArray[np.float64], within_m: float
    ) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
        tree: shapely.STRtree = self._tree  # type: ignore[attr-defined]
        point, edge = tree.query(shapely.points(xy), predicate="dwithin", distance=within_m)
        return point, edge

    def _half_axes(
        self, ahead: NDArray[np.float64], beside: NDArray[np.float64]
    ) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Half axes for every pair, shape (n_pairs, 1) each, as ``plantable`` states them."""
        if self.rule == "along the row":
            axes = (self.headland_m, self.side_margin_m)
            headland, margin = (np.array([[max(axis, _NO_AXIS_M)]]) for axis in axes)
            return headland, margin
        width = np.abs(np.diff(beside, axis=1))
        length = np.hypot(width, np.diff(ahead, axis=1))
        sine = width / np.where(length > 0.0, length, 1.0)
        extra = max(self.headland_m - self.side_margin_m, 0.0)
        room = self.side_margin_m + extra * np.minimum(1.0, sine / FULL_ROOM_SINE)
        room = np.maximum(room, _NO_AXIS_M)
        return room, room


def _distance_of_segments(x: NDArray[np.float64], y: NDArray[np.float64]) -> NDArray[np.float64]:
    """Distance of the origin from segments with ends in columns, shape (n, 2) each."""
    dx, dy = x[:, 1] - x[:, 0], y[:, 1] - y[:, 0]
    square = dx * dx + dy * dy
    share = -(x[:, 0] * dx + y[:, 0] * dy) / np.where(square > 0.0, square, 1.0)
    share = np.clip(share, 0.0, 1.0)
    nearest: NDArray[np.float64] = np.hypot(x[:, 0] + share * dx, y[:, 0] + share * dy)
    return nearest
