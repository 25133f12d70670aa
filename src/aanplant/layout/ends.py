"""Rows kept clear of ground on which nothing may stand, such as a pipe or a cable."""

import dataclasses

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from aanplant.layout.row_frame import boundary, turned
from aanplant.layout.rows import Rows
from aanplant.layout.scanlines import TOUCHING_M, free_pieces

WALKED_STEP_M = 0.05
"""Ends of rows that bend move in by steps of this."""


def trim_ends(rows: Rows, skip: BaseGeometry, anchor_distance_m: float) -> Rows:
    """Shorten straight rows whose end post or anchor would stand in ``skip``.

    An end moves in by as little as leaves its end post and its anchor outside; pieces
    with nothing left are taken out. ``positions.place`` does the same by itself when it
    is given ``skip``, and also for the last step inwards to a lattice point.

    Parameters
    ----------
    rows : Rows
        As fitted.
    skip : shapely Polygon or MultiPolygon
        Ground on which nothing stands, in metres.
    anchor_distance_m : float
        How far anchors stand beyond end posts. [m]

    Returns
    -------
    Rows
        ``row`` and ``part`` as before, so that numbers may be missing.
    """
    start, end = clear_ends(rows, skip, anchor_distance_m)
    length = (end - start) * (1.0 if rows.runs_with_bearing else -1.0)
    kept = np.flatnonzero(length > TOUCHING_M)
    return dataclasses.replace(
        rows,
        row=rows.row[kept],
        part=rows.part[kept],
        line=rows.line[kept],
        start_xy=rows.points_along(kept, start[kept]),
        end_xy=rows.points_along(kept, end[kept]),
        length_m=length[kept],
        across_m=rows.across_m[kept],
        along_start_m=start[kept],
        along_end_m=end[kept],
    )


def clear_ends(
    rows: Rows, skip: BaseGeometry, anchor_distance_m: float
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Along-positions of start and end of every row, moved in until post and anchor are clear.

    Where nothing is left of a row, its end lies before its start.
    """
    inside = free_pieces(turned(boundary(skip), rows.bearing_deg), rows.row_width_m, rows.offset_m)
    piece, stretch = np.nonzero(rows.line[:, None] == inside.line)
    taken_from, taken_to = inside.along_from_m[stretch], inside.along_to_m[stretch]
    with_bearing = rows.runs_with_bearing
    low = (rows.along_start_m if with_bearing else rows.along_end_m).copy()
    high = (rows.along_end_m if with_bearing else rows.along_start_m).copy()
    _draw_in(high, piece, taken_from, taken_to, anchor_distance_m)
    negative_low = -low
    _draw_in(negative_low, piece, -taken_to, -taken_from, anchor_distance_m)
    low = -negative_low
    return (low, high) if with_bearing else (high, low)


def walked_clear(
    rows: Rows, skip: BaseGeometry, anchor_distance_m: float
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """As ``clear_ends`` for rows that bend, by distance walked from each fitted start.

    Ends move in by ``WALKED_STEP_M`` until the post, and the anchor straight ahead of it,
    are clear.
    """
    shapely.prepare(skip)
    start, end = np.zeros(len(rows)), rows.length_m.copy()
    for limit, inward in ((start, 1.0), (end, -1.0)):
        open_rows = np.flatnonzero(start < end)
        while len(open_rows):
            post = rows.point_at(open_rows, limit[open_rows])
            ahead = -inward * rows.heading_at(open_rows, limit[open_rows])
            anchor = post + anchor_distance_m * ahead
            blocked = shapely.contains_xy(skip, post[:, 0], post[:, 1])
            blocked |= shapely.contains_xy(skip, anchor[:, 0], anchor[:, 1])
            open_rows = open_rows[blocked]
            limit[open_rows] += inward * WALKED_STEP_M
            open_rows = open_rows[(start < end)[open_rows]]
    return start, end


def _draw_in(
    end: NDArray[np.float64],
    piece: NDArray[np.int64],
    taken_from: NDArray[np.float64],
    taken_to: NDArray[np.float64],
    anchor_distance_m: float,
) -> None:
    """Lower ``end`` in place until neither it nor its anchor above it is within a stretch."""
    piece = np.tile(piece, 2)
    taken_from = np.concatenate([taken_from, taken_from - anchor_distance_m])
    taken_to = np.concatenate([taken_to, taken_to - anchor_distance_m])
    while True:
        at = end[piece]
        inside = (at > taken_from) & (at < taken_to)
        if not inside.any():
            return
        np.minimum.at(end, piece[inside], taken_from[inside])


def standing(
    skip: BaseGeometry, xy: NDArray[np.float64], piece: NDArray[np.int32]
) -> tuple[NDArray[np.float64], NDArray[np.int32]]:
    """Points that lie outside ``skip``."""
    left, bottom, right, top = shapely.total_bounds(skip)
    near = np.flatnonzero(
        (xy[:, 0] >= left) & (xy[:, 0] <= right) & (xy[:, 1] >= bottom) & (xy[:, 1] <= top)
    )
    shapely.prepare(skip)
    taken = near[shapely.contains_xy(skip, xy[near, 0], xy[near, 1])]
    return (xy, piece) if not len(taken) else (np.delete(xy, taken, 0), np.delete(piece, taken))
