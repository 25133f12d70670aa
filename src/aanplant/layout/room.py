"""How much room there is between a row's end and the edge of the field."""

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from aanplant.layout.positions import Positions, anchors
from aanplant.layout.row_frame import axes, boundary, turned
from aanplant.layout.scanlines import Pieces, free_pieces


def room_at_ends(
    positions: Positions,
    field: BaseGeometry,
    anchor_distance_m: float | NDArray[np.float64] = 0.0,
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Room ahead of every row end, straight on and at right angles to the edge.

    The edge is taken as it runs from the middle of one alley beside the row to the
    middle of the other, so a jittery outline does no harm; the room at right angles is
    never less than the distance to the nearest point of any edge.

    Parameters
    ----------
    positions : Positions
        Rows as set.
    field : shapely Polygon or MultiPolygon
        Boundary less avoided exclusions, in metres.
    anchor_distance_m : float or ndarray, shape (n_end_posts,)
        How far beyond the end post the room begins. [m]

    Returns
    -------
    ahead_m, right_angle_m : ndarray, shape (n_end_posts,)
        [m]
    """
    rows = positions.rows
    if rows.paths is not None:
        return _room_of_curves(positions, field, anchor_distance_m)
    frame = axes(rows.bearing_deg)
    along_xy = np.array([frame.along_x, frame.along_y])
    side = np.sign(positions.end_posts_outward_xy @ along_xy)
    outermost_xy = anchors(positions, anchor_distance_m)
    along = outermost_xy @ along_xy
    # Even half-lines are the rows themselves, odd ones the middles of the alleys.
    half_line = 2 * rows.line[positions.end_posts_piece]
    edges = turned(boundary(field), rows.bearing_deg)
    pieces = free_pieces(edges, rows.row_width_m / 2.0, rows.offset_m)
    low, here, high = (_edge_ahead(pieces, half_line + shift, along, side) for shift in (-1, 0, 1))
    ahead = np.where(np.isnan(here), 0.0, np.abs(here - along))
    rise = np.where(np.isnan(low), 2.0 * (high - here), high - low)
    rise = np.where(np.isnan(high), 2.0 * (here - low), rise)
    facing = ahead / np.hypot(1.0, np.nan_to_num(rise / rows.row_width_m))
    nearest = shapely.distance(shapely.boundary(field), shapely.points(outermost_xy))
    return ahead, np.maximum(facing, nearest)


def _room_of_curves(
    positions: Positions, field: BaseGeometry, anchor_distance_m: float | NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """As ``room_at_ends``, each end looked at in its own direction."""
    outermost_xy = anchors(positions, anchor_distance_m)
    outward = positions.end_posts_outward_xy
    half = positions.rows.row_width_m / 2.0
    beside = half * np.stack([outward[:, 1], -outward[:, 0]], axis=1)
    low, ahead, high = (
        _sight(outermost_xy + side * beside, outward, field) for side in (-1.0, 0.0, 1.0)
    )
    rise = np.where(np.isnan(low), 2.0 * (high - ahead), high - low)
    rise = np.where(np.isnan(high), 2.0 * (ahead - low), rise)
    ahead = np.nan_to_num(ahead)
    facing = ahead / np.hypot(1.0, np.nan_to_num(rise / positions.rows.row_width_m))
    nearest = shapely.distance(shapely.boundary(field), shapely.points(outermost_xy))
    return ahead, np.maximum(facing, nearest)


def _sight(
    xy: NDArray[np.float64], outward_xy: NDArray[np.float64], field: BaseGeometry
) -> NDArray[np.float64]:
    """How far one sees from points before the field ends; nan from outside it. [m]."""
    left, bottom, right, top = field.bounds
    reach = np.hypot(right - left, top - bottom)
    lines = shapely.linestrings(np.stack([xy, xy + reach * outward_xy], axis=1))
    meets = shapely.intersection(lines, shapely.boundary(field))
    inside = shapely.contains_xy(field, xy[:, 0], xy[:, 1])
    return np.where(inside, shapely.distance(meets, shapely.points(xy)), np.nan)


def _edge_ahead(
    pieces: Pieces,
    line: NDArray[np.int64],
    along: NDArray[np.float64],
    side: NDArray[np.float64],
) -> NDArray[np.float64]:
    """Where the piece of line that holds a point ends on the point's side; nan if none does."""
    if not len(pieces.line):
        return np.full(len(line), np.nan)
    floor = min(float(pieces.along_from_m.min()), float(along.min(initial=np.inf)))
    top = max(float(pieces.along_to_m.max()), float(along.max(initial=-np.inf)))
    span = top - floor + 1.0
    starts = pieces.line * span + (pieces.along_from_m - floor)
    at = np.searchsorted(starts, line * span + (along - floor), side="right") - 1
    holds = (at >= 0) & (pieces.line[at] == line) & (pieces.along_to_m[at] >= along)
    end = np.where(side > 0, pieces.along_to_m[at], pieces.along_from_m[at])
    return np.where(holds, end, np.nan)
