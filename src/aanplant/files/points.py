"""All that is set out in the field, kind by kind, each point with its code.

Every set-out file is written from these, so that a code means the same point in all.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from aanplant.layout.codes import (
    anchor_codes,
    corner_codes,
    end_numbers,
    end_post_codes,
    line_post_codes,
    vine_codes,
)
from aanplant.plan import Plan

NO_ROW = 0
"""Row of a point that belongs to none."""


@dataclass(frozen=True, slots=True)
class Points:
    """Points of one kind as columns, in the order in which they are walked.

    Parameters
    ----------
    kind : str
        ``vine``, ``line post``, ``end post``, ``anchor`` or ``corner``.
    code : ndarray of str, shape (n,)
        As on pegs and lists.
    row, part : ndarray, shape (n,), int32
        Row and its part, 0 for corners.
    number : ndarray, shape (n,), int32
        Number along the row (of the row end for end posts and anchors), or of the corner.
    xy : ndarray, shape (n, 2)
        In the block's frame. [m]
    z : ndarray, shape (n,)
        Height of the ground; nan where it is not known. [m]
    """

    kind: str
    code: NDArray[np.str_]
    row: NDArray[np.int32]
    part: NDArray[np.int32]
    number: NDArray[np.int32]
    xy: NDArray[np.float64]
    z: NDArray[np.float64]

    def __len__(self) -> int:
        return len(self.code)


@dataclass(frozen=True, slots=True)
class RowLines:
    """Rows as set out, end post to end post, as columns.

    Parameters
    ----------
    row, part, vines : ndarray, shape (n,), int32
        Row, its part, and the vines that stand on it.
    start_xy, end_xy : ndarray, shape (n, 2)
        End posts in the block's frame. [m]
    length_m : ndarray, shape (n,)
        End post to end post, along the row. [m]
    bearing_deg : ndarray, shape (n,)
        From true north, 0 to 180; of the chord of a row that bends. [deg]
    xy : ndarray, shape (n_corners, 2)
        Corners of all rows, row after row from start to end; two for a straight row. [m]
    first : ndarray, shape (n + 1,), int64
        Row i has the corners ``first[i]`` to ``first[i + 1] - 1``.
    """

    row: NDArray[np.int32]
    part: NDArray[np.int32]
    vines: NDArray[np.int32]
    start_xy: NDArray[np.float64]
    end_xy: NDArray[np.float64]
    length_m: NDArray[np.float64]
    bearing_deg: NDArray[np.float64]
    xy: NDArray[np.float64]
    first: NDArray[np.int64]

    def __len__(self) -> int:
        return len(self.row)

    @property
    def owner(self) -> NDArray[np.int64]:
        """Row of every corner, shape (n_corners,)."""
        return np.repeat(np.arange(len(self)), np.diff(self.first))


def all_points(plan: Plan) -> tuple[Points, ...]:
    """Return every point of a plan: corners, end posts, anchors, line posts, vines."""
    return corners(plan), end_posts(plan), anchors(plan), line_posts(plan), vines(plan)


def row_lines(plan: Plan) -> RowLines:
    """Return the rows that hold vines."""
    positions, rows = plan.layout.positions, plan.layout.rows
    is_start = positions.end_posts_is_start
    piece = positions.end_posts_piece[is_start]
    start_xy = positions.end_posts_xy[is_start]
    end_xy = positions.end_posts_xy[~is_start]
    length_m = positions.row_length_m[piece]
    if rows.paths is None:
        xy = np.stack([start_xy, end_xy], axis=1).reshape(-1, 2)
        first = 2 * np.arange(len(piece) + 1)
        bearing_deg = np.full(len(piece), plan.layout.bearing_deg)
    else:
        start_m = positions.row_start_m[piece]
        paths = rows.paths.between(piece.astype(np.int64), start_m, start_m + length_m)
        xy, first = paths.xy, paths.first
        east, north = (end_xy - start_xy).T
        bearing_deg = np.degrees(np.arctan2(east, north)) % 180.0
    return RowLines(
        row=rows.row[piece],
        part=rows.part[piece],
        vines=np.bincount(positions.piece, minlength=len(rows))[piece].astype(np.int32),
        start_xy=start_xy,
        end_xy=end_xy,
        length_m=length_m,
        bearing_deg=bearing_deg,
        xy=xy,
        first=first,
    )


def vines(plan: Plan) -> Points:
    """Return every vine."""
    positions = plan.layout.positions
    code = vine_codes(positions.row, positions.number)
    part = plan.layout.rows.part[positions.piece]
    z = heights_at(plan, positions.xy)
    return Points("vine", code, positions.row, part, positions.number, positions.xy, z)


def line_posts(plan: Plan) -> Points:
    """Return every line post, numbered along its row from where vines begin."""
    positions, rows = plan.layout.positions, plan.layout.rows
    piece, xy = positions.line_posts_piece, positions.line_posts_xy
    row = rows.row[piece]
    number = (np.arange(len(row)) - np.searchsorted(row, row) + 1).astype(np.int32)
    code, z = line_post_codes(row, number), heights_at(plan, xy)
    return Points("line post", code, row, rows.part[piece], number, xy, z)


def end_posts(plan: Plan) -> Points:
    """Return every end post."""
    positions, rows = plan.layout.positions, plan.layout.rows
    piece = positions.end_posts_piece
    row, part = rows.row[piece], rows.part[piece]
    end = end_numbers(part, positions.end_posts_is_start).astype(np.int32)
    xy = positions.end_posts_xy
    return Points("end post", end_post_codes(row, end), row, part, end, xy, heights_at(plan, xy))


def anchors(plan: Plan) -> Points:
    """Return every anchor, numbered as the end post it holds."""
    rows, xy, piece = plan.layout.rows, plan.layout.anchors_xy, plan.layout.anchors_piece
    from_start_m = np.hypot(*(xy - rows.start_xy[piece]).T)
    from_end_m = np.hypot(*(xy - rows.end_xy[piece]).T)
    row, part = rows.row[piece], rows.part[piece]
    end = end_numbers(part, from_start_m < from_end_m).astype(np.int32)
    return Points("anchor", anchor_codes(row, end), row, part, end, xy, heights_at(plan, xy))


def corners(plan: Plan) -> Points:
    """Return the corners of the boundary, those of holes after those of the outline."""
    boundary = plan.site.boundary
    rings = [np.asarray(ring.coords)[:-1, :2] for ring in (boundary.exterior, *boundary.interiors)]
    xy = np.concatenate(rings)
    no_row = np.full(len(xy), NO_ROW, dtype=np.int32)
    number = np.arange(1, len(xy) + 1, dtype=np.int32)
    code, z = corner_codes(len(xy)), heights_at(plan, xy)
    return Points("corner", code, no_row, no_row, number, xy, z)


def heights_at(plan: Plan, xy: NDArray[np.float64]) -> NDArray[np.float64]:
    """Ground heights of points of the frame (n, 2), shape (n,); nan where not known. [m]."""
    if plan.site.terrain is None:
        return np.full(len(xy), np.nan)
    return plan.site.terrain.height(xy)
