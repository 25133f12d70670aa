"""Rows as columns, and straight, parallel rows fitted into a field."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from aanplant.layout.alleys import Alleys, cut, spread
from aanplant.layout.paths import Paths
from aanplant.layout.plantable import HeadlandRule, kept_room
from aanplant.layout.row_frame import axes, boundary, turned
from aanplant.layout.scanlines import Pieces, free_pieces

OFFSET_STEPS = 20
"""Offsets tried when none is given, evenly spaced over one row width."""
SAME_LENGTH_M = 1e-6
"""Total lengths closer than this are the same."""


@dataclass(frozen=True, slots=True)
class Rows:
    """Rows of a block as columns, one entry a piece between two end posts.

    Sorted by ``row``, then ``part``. Numbers run from the lowest line across and the
    lowest end along until ``numbering.numbered_from`` gives them a corner.

    Parameters
    ----------
    row : ndarray, shape (n,), int32
        Number of the lattice line, from 1 at the first line that holds a row; lines
        that hold none are counted.
    part : ndarray, shape (n,), int32
        Piece of that line, from 1.
    line : ndarray, shape (n,), int64
        Lattice index j: the row lies at across = offset + j * row width.
    start_xy, end_xy : ndarray, shape (n, 2)
        End posts, the first where numbers begin. [m]
    length_m : ndarray, shape (n,)
        End post to end post. [m]
    across_m : ndarray, shape (n,)
        Distance from the origin, to the right of the bearing. [m]
    along_start_m, along_end_m : ndarray, shape (n,)
        Ends along the bearing from the origin; start > end where numbers run
        against the bearing. [m]
    bearing_deg : float
        Clockwise from the y axis. [deg]
    row_width_m, offset_m : float
        Lattice across the rows. [m]
    alleys : Alleys
        Cross alleys that cut the rows.
    dropped_count : int
        Pieces left out because they were shorter than wanted.
    dropped_length_m : float
        Their length together. [m]
    paths : Paths or None
        Course of rows that bend, from start to end; None when all are straight. Then
        ``across_m`` is the distance from the base line, the ``along`` columns are
        chainages of it, and ``bearing_deg`` is that of its chord.
    at_alley : ndarray, shape (n, 2), bool, or None
        Whether a cross alley ends a row that bends, at its start and at its end.
    """

    row: NDArray[np.int32]
    part: NDArray[np.int32]
    line: NDArray[np.int64]
    start_xy: NDArray[np.float64]
    end_xy: NDArray[np.float64]
    length_m: NDArray[np.float64]
    across_m: NDArray[np.float64]
    along_start_m: NDArray[np.float64]
    along_end_m: NDArray[np.float64]
    bearing_deg: float
    row_width_m: float
    offset_m: float
    alleys: Alleys
    dropped_count: int
    dropped_length_m: float
    paths: Paths | None = None
    at_alley: NDArray[np.bool_] | None = None

    def __len__(self) -> int:
        return len(self.row)

    @property
    def runs_with_bearing(self) -> bool:
        """Whether numbers run with the bearing (also when there are no rows)."""
        return not len(self) or bool(self.along_end_m[0] >= self.along_start_m[0])

    @property
    def heading_xy(self) -> NDArray[np.float64]:
        """Unit vectors from start to end of straight rows, shape (n, 2)."""
        return np.tile(self._straight_heading, (len(self), 1))

    @property
    def _straight_heading(self) -> NDArray[np.float64]:
        """Unit vector from start to end of every straight row, shape (2,)."""
        frame = axes(self.bearing_deg)
        sign = 1.0 if self.runs_with_bearing else -1.0
        return np.array([sign * frame.along_x, sign * frame.along_y])

    def point_at(
        self,
        index: NDArray[np.int64] | NDArray[np.int32] | int,
        chainage_m: NDArray[np.float64] | float,
    ) -> NDArray[np.float64]:
        """Points on rows, shape (..., 2), by distance walked from the start post."""
        if self.paths is not None:
            return self.paths.point_at(index, chainage_m)
        walked = np.asarray(chainage_m, dtype=np.float64)[..., None]
        point: NDArray[np.float64] = self.start_xy[index] + walked * self._straight_heading
        return point

    def heading_at(
        self, index: NDArray[np.int64], chainage_m: NDArray[np.float64] | float
    ) -> NDArray[np.float64]:
        """Return unit vectors along rows, shape (..., 2), by distance walked; not to be changed."""
        if self.paths is not None:
            return self.paths.heading_at(index, chainage_m)
        return np.broadcast_to(self._straight_heading, (len(index), 2))

    def points_along(
        self, index: NDArray[np.int64], along_m: NDArray[np.float64]
    ) -> NDArray[np.float64]:
        """Points on straight rows, shape (..., 2), by distance along from the origin."""
        sign = 1.0 if self.runs_with_bearing else -1.0
        return self.point_at(index, sign * (along_m - self.along_start_m[index]))

    def lines(self) -> NDArray[np.object_]:
        """Rows as shapely lines, shape (n,), start post to end post."""
        if self.paths is not None:
            return self.paths.lines()
        ends = np.stack([self.start_xy, self.end_xy], axis=1)
        return np.asarray(shapely.linestrings(ends), dtype=object)


def fit(
    area: BaseGeometry,
    bearing_deg: float,
    row_width_m: float,
    *,
    headland_m: float = 0.0,
    side_margin_m: float = 0.0,
    offset_m: float | None = None,
    shortest_m: float = 0.0,
    longest_m: float | None = None,
    cross_alley_m: float = 0.0,
    exclusions: Sequence[BaseGeometry] = (),
    headland_rule: HeadlandRule = "along the row",
) -> Rows:
    """Fit rows into a field.

    Lattice line j lies at across = offset + j * row width from the origin of the
    coordinates. A row is a piece of a line on which every point keeps its distance
    from the boundary (see ``plantable.plantable``); nothing is approximated. A line
    counts as inside between min <= across < max of the edges it crosses.

    Parameters
    ----------
    area : shapely Polygon or MultiPolygon
        Field, in metres.
    bearing_deg : float
        Direction of the rows, clockwise from the y axis of ``area``. [deg]
    row_width_m : float
        Distance between rows, above 0. [m]
    headland_m : float
        Free room straight ahead of every row end. [m]
    side_margin_m : float
        Least distance of any row point from the boundary. [m]
    offset_m : float, optional
        Phase of the rows. None takes, among 20 evenly spaced over a row width, the
        one with the greatest length of rows in all (those not too short, before
        alleys); the smallest when several do. [m]
    shortest_m : float
        Shorter pieces are left out and counted, after alleys are cut. [m]
    longest_m : float, optional
        Longer rows are cut by alleys through the whole block. [m]
    cross_alley_m : float
        Clear width of an alley, row end to row end. Anchors stand in it. [m]
    exclusions : sequence of shapely Polygon or MultiPolygon
        Rows stop before them, with the same room as at the boundary.
    headland_rule : {"along the row", "square to the edge"}
        How the headland is measured.

    Returns
    -------
    Rows
        Perhaps none.

    Raises
    ------
    ValueError
        If a distance is out of range or a geometry is not valid polygonal ground.
    """
    if not (row_width_m > 0.0 and shortest_m >= 0.0):
        raise ValueError(
            "row_width_m must be above 0 and shortest_m 0 or more, got "
            f"{row_width_m} and {shortest_m}"
        )
    edges = turned(boundary(open_ground(area, exclusions)), bearing_deg)
    headland, margin = kept_room(edges, headland_m, side_margin_m, headland_rule)
    if offset_m is None:
        step = row_width_m / OFFSET_STEPS
        everywhere = free_pieces(edges, step, 0.0, headland, margin)
        offset_m = step * _longest_offset(everywhere, shortest_m)
    return rows_of(
        free_pieces(edges, row_width_m, offset_m, headland, margin),
        bearing_deg,
        row_width_m,
        offset_m,
        shortest_m=shortest_m,
        longest_m=longest_m,
        cross_alley_m=cross_alley_m,
    )


def rows_of(
    whole: Pieces,
    bearing_deg: float,
    row_width_m: float,
    offset_m: float,
    *,
    shortest_m: float = 0.0,
    longest_m: float | None = None,
    cross_alley_m: float = 0.0,
) -> Rows:
    """Make rows of the free pieces of their lines: alleys cut, short ones left out, as ``fit``."""
    alleys = spread(whole, longest_m, cross_alley_m)
    pieces = cut(whole, alleys)
    kept = pieces.length_m >= shortest_m
    return _rows(
        pieces.where(kept),
        bearing_deg=float(bearing_deg),
        row_width_m=float(row_width_m),
        offset_m=float(offset_m),
        alleys=alleys,
        dropped_m=pieces.length_m[~kept],
    )


def open_ground(area: BaseGeometry, exclusions: Sequence[BaseGeometry]) -> BaseGeometry:
    """Field less what rows stop before.

    Raises
    ------
    ValueError
        If an exclusion is a point or line: it must be given its width first.
    """
    flat = [geometry for geometry in exclusions if not geometry.is_empty]
    for geometry in flat:
        if geometry.geom_type not in ("Polygon", "MultiPolygon"):
            raise ValueError(
                f"exclusions must be polygons, got a {geometry.geom_type}; buffer it first"
            )
    if area.geom_type == "MultiPolygon":
        area = shapely.union_all([area])
    return shapely.difference(area, shapely.union_all(flat)) if flat else area


def _longest_offset(everywhere: Pieces, shortest_m: float) -> int:
    """Step of offset with the greatest length of rows, from lines at all steps."""
    rows = everywhere.where(everywhere.length_m >= shortest_m)
    total = np.bincount(rows.line % OFFSET_STEPS, weights=rows.length_m, minlength=OFFSET_STEPS)
    return int(np.flatnonzero(total >= total.max() - SAME_LENGTH_M)[0])


def _rows(
    pieces: Pieces,
    *,
    bearing_deg: float,
    row_width_m: float,
    offset_m: float,
    alleys: Alleys,
    dropped_m: NDArray[np.float64],
) -> Rows:
    line, start, end = pieces
    across = np.asarray(offset_m + line * row_width_m, dtype=np.float64)
    frame = axes(bearing_deg)
    across_xy = np.array([frame.across_x, frame.across_y])
    along_xy = np.array([frame.along_x, frame.along_y])
    foot = across[:, None] * across_xy
    first_of_line = np.searchsorted(line, line)
    return Rows(
        row=(line - line[:1] + 1).astype(np.int32),
        part=(np.arange(len(line)) - first_of_line + 1).astype(np.int32),
        line=line,
        start_xy=foot + start[:, None] * along_xy,
        end_xy=foot + end[:, None] * along_xy,
        length_m=end - start,
        across_m=across,
        along_start_m=start,
        along_end_m=end,
        bearing_deg=bearing_deg,
        row_width_m=row_width_m,
        offset_m=offset_m,
        alleys=alleys,
        dropped_count=len(dropped_m),
        dropped_length_m=float(dropped_m.sum()),
    )
