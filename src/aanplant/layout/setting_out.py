"""Set a block out with tape and pegs: two lines across the rows, and distances along them.

A base line AB is pegged along a long straight side of the boundary and a second line DC
parallel to it, so that A, B, C and D are a rectangle whose diagonals can be checked. Every
row crosses both lines; a string between its two marks is the row.
"""

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from aanplant.layout.positions import Positions
from aanplant.layout.rows import Rows
from aanplant.layout.scanlines import axes

STRAIGHT_M = 0.3
"""A side counts as straight when no corner between its ends lies further off."""
LEAST_CROSSING_DEG = 30.0
"""Marks of rows that cross a line at less than this are too uncertain (judgement)."""
LONGEST_BAY_M = 60.0
"""Diagonals are checked in bays no longer than this (judgement: two tapes)."""
_ROUND_DEPTH_M = 5.0
_SAME_STEP_M = 1e-6


@dataclass(frozen=True, slots=True)
class BaseLine:
    """Line AB along a side of the boundary, the block on its left as one looks from A to B.

    Parameters
    ----------
    a_xy, b_xy : ndarray, shape (2,)
        Pegs A and B, which stand on corners of the boundary. [m]
    a_corner, b_corner : int
        Those corners, counted from 0 in the order of the boundary's outer ring.
    crossing_deg : float
        Between the direction from A to B and the rows, 0 to 180, anticlockwise. [deg]
    depth_m : float
        From AB to the second line DC, at right angles. [m]
    """

    a_xy: NDArray[np.float64]
    b_xy: NDArray[np.float64]
    a_corner: int
    b_corner: int
    crossing_deg: float
    depth_m: float

    @property
    def length_m(self) -> float:
        """From A to B. [m]"""
        return float(np.hypot(*(self.b_xy - self.a_xy)))

    @property
    def along_xy(self) -> NDArray[np.float64]:
        """Unit vector from A to B."""
        unit: NDArray[np.float64] = (self.b_xy - self.a_xy) / self.length_m
        return unit

    @property
    def inward_xy(self) -> NDArray[np.float64]:
        """Unit vector from A to D, into the block."""
        right, up = self.along_xy
        return np.array([-up, right])

    @property
    def d_xy(self) -> NDArray[np.float64]:
        """Peg D, square to AB at A. [m]"""
        peg: NDArray[np.float64] = self.a_xy + self.depth_m * self.inward_xy
        return peg

    @property
    def c_xy(self) -> NDArray[np.float64]:
        """Peg C, square to AB at B. [m]"""
        peg: NDArray[np.float64] = self.b_xy + self.depth_m * self.inward_xy
        return peg

    @property
    def bays_m(self) -> NDArray[np.float64]:
        """Distances from A (and from D) of the pegs between which diagonals are checked. [m]"""
        return np.linspace(0.0, self.length_m, int(np.ceil(self.length_m / LONGEST_BAY_M)) + 1)

    def diagonal_m(self, bay_m: float) -> float:
        """Both diagonals of a rectangle as deep as DC and ``bay_m`` long. [m]"""
        return float(np.hypot(bay_m, self.depth_m))


@dataclass(frozen=True, slots=True)
class Runs:
    """Evenly spaced things along rows, as columns with one entry a run.

    ``first_m`` and ``last_m`` are measured from the start end post of the piece of
    row; the ``count`` things between them, ends included, are ``step_m`` apart.
    """

    piece: NDArray[np.int64]
    first_m: NDArray[np.float64]
    last_m: NDArray[np.float64]
    count: NDArray[np.int64]
    step_m: float


@dataclass(frozen=True, slots=True)
class SettingOut:
    """All distances to tape, as columns with one entry a piece of row that holds vines.

    Parameters
    ----------
    base : BaseLine
        The pegged lines.
    piece : ndarray, shape (n,), int64
        Index into ``rows``.
    row, part : ndarray, shape (n,)
        Row, and piece of it.
    on_ab_m, on_dc_m : ndarray, shape (n,)
        Where the row crosses AB, from A, and DC, from D; below 0 beyond A or D. [m]
    start_m, end_m : ndarray, shape (n,)
        From the mark on AB along the row to its start and its end post; above 0
        towards DC. [m]
    start_foot_m, start_offset_m, end_foot_m, end_offset_m : ndarray, shape (n,)
        The same end posts by right angles: along AB from A, and square to it. [m]
    vines, line_posts : Runs
        Along each piece.
    """

    base: BaseLine
    piece: NDArray[np.int64]
    row: NDArray[np.int32]
    part: NDArray[np.int32]
    on_ab_m: NDArray[np.float64]
    on_dc_m: NDArray[np.float64]
    start_m: NDArray[np.float64]
    end_m: NDArray[np.float64]
    start_foot_m: NDArray[np.float64]
    start_offset_m: NDArray[np.float64]
    end_foot_m: NDArray[np.float64]
    end_offset_m: NDArray[np.float64]
    vines: Runs
    line_posts: Runs

    def __len__(self) -> int:
        return len(self.piece)


def base_line(boundary: Polygon, bearing_deg: float) -> BaseLine:
    """Choose the base line: the longest straight side that the rows cross well.

    Among sides crossed at ``LEAST_CROSSING_DEG`` or more the longest is taken. Every
    field has such a side, since a closed line must go across its rows somewhere; where
    the boundary is so crooked that all of those are corners of less than ``STRAIGHT_M``,
    the side crossed least obliquely stands in.

    Parameters
    ----------
    boundary : shapely Polygon
        Outline of the field. [m]
    bearing_deg : float
        Of the rows, clockwise from the y axis. [deg]

    Returns
    -------
    BaseLine
        The second line lies as deep in the block as a whole 5 m allow, on the far side
        of the middle.
    """
    ring = np.asarray(boundary.exterior.coords)[:-1]
    straight = np.asarray(boundary.exterior.simplify(STRAIGHT_M).coords)[:-1]
    corner = np.array([int(np.hypot(*(ring - point).T).argmin()) for point in straight])
    if not boundary.exterior.is_ccw:
        straight, corner = straight[::-1], corner[::-1]
    side = np.roll(straight, -1, axis=0) - straight
    length = np.hypot(*side.T)
    frame = axes(bearing_deg)
    row = np.array([frame.along_x, frame.along_y])
    cross = (side[:, 0] * row[1] - side[:, 1] * row[0]) / length
    crossed_well = np.abs(cross) >= np.sin(np.radians(LEAST_CROSSING_DEG))
    best = int(np.argmax(np.where(crossed_well, length, 0.0) if crossed_well.any() else np.abs(cross)))
    after = (best + 1) % len(straight)
    along = side[best] / length[best]
    inward = np.array([-along[1], along[0]])
    towards = row if row @ inward > 0.0 else -row
    depth = float(((ring - straight[best]) @ inward).max())
    return BaseLine(
        a_xy=straight[best],
        b_xy=straight[after],
        a_corner=int(corner[best]),
        b_corner=int(corner[after]),
        crossing_deg=float(np.degrees(np.arctan2(towards @ inward, towards @ along))),
        depth_m=_round_depth(0.8 * depth),
    )


def set_out(base: BaseLine, rows: Rows, positions: Positions) -> SettingOut:
    """Work out every distance to tape.

    Parameters
    ----------
    base : BaseLine
        From ``base_line``, for the bearing of these rows.
    rows, positions
        The layout.
    """
    starts = positions.end_posts_xy[positions.end_posts_is_start]
    ends = positions.end_posts_xy[~positions.end_posts_is_start]
    piece = positions.end_posts_piece[positions.end_posts_is_start].astype(np.int64)
    angle = np.radians(base.crossing_deg)
    start_foot, start_offset = _square(base, starts)
    end_foot, end_offset = _square(base, ends)
    # A row leaves AB at the crossing angle: along it, a metre of offset is 1 / sin of it.
    on_ab = start_foot - start_offset / np.tan(angle)
    return SettingOut(
        base=base,
        piece=piece,
        row=rows.row[piece],
        part=rows.part[piece],
        on_ab_m=on_ab,
        on_dc_m=on_ab + base.depth_m / np.tan(angle),
        start_m=start_offset / np.sin(angle),
        end_m=end_offset / np.sin(angle),
        start_foot_m=start_foot,
        start_offset_m=start_offset,
        end_foot_m=end_foot,
        end_offset_m=end_offset,
        vines=_runs(positions.xy, positions.piece, piece, starts),
        line_posts=_runs(positions.line_posts_xy, positions.line_posts_piece, piece, starts),
    )


def right_angle_error_deg(a: float, b: float, c: float, error_c: float) -> float:
    """Error of a right angle laid out by a triangle whose long side is off by a little.

    From c² = a² + b² - 2ab cos(angle): d(angle) = c dc / (a b).

    Parameters
    ----------
    a, b, c : float
        Sides, such as 30, 40, 50. [m]
    error_c : float
        Error of the long side. [m]

    Returns
    -------
    float
        Error of the angle. [deg]

    Raises
    ------
    ValueError
        If the sides are no right triangle.
    """
    if not (a > 0.0 and b > 0.0 and abs(a * a + b * b - c * c) <= 1e-9 * c * c):
        raise ValueError(f"{a}, {b}, {c} are not the sides of a right triangle")
    return float(np.degrees(c * error_c / (a * b)))


def _round_depth(depth_m: float) -> float:
    """Down to a whole 5 m, or to a whole metre where the block is that narrow."""
    step = _ROUND_DEPTH_M if depth_m >= 2.0 * _ROUND_DEPTH_M else 1.0
    return max(float(np.floor(depth_m / step) * step), 1.0)


def _square(
    base: BaseLine, xy: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Distance along AB of the foot of each point, and its offset to the left of AB."""
    away = xy - base.a_xy
    return away @ base.along_xy, away @ base.inward_xy


def _runs(
    xy: NDArray[np.float64],
    piece: NDArray[np.int32],
    pieces: NDArray[np.int64],
    starts: NDArray[np.float64],
) -> Runs:
    """Runs of one common step; a thing left out, or a new piece of row, begins a new run."""
    if not len(xy):
        none = np.empty(0)
        return Runs(np.empty(0, np.int64), none, none, np.empty(0, np.int64), 0.0)
    chainage = np.hypot(*(xy - starts[np.searchsorted(pieces, piece)]).T)
    apart = np.diff(chainage)
    same_piece = np.diff(piece) == 0
    step = float(apart[same_piece].min()) if same_piece.any() else 0.0
    breaks = np.flatnonzero(~same_piece | (apart > step + _SAME_STEP_M))
    first = np.concatenate([[0], breaks + 1])
    last = np.concatenate([breaks, [len(xy) - 1]])
    return Runs(
        piece=piece[first].astype(np.int64),
        first_m=chainage[first],
        last_m=chainage[last],
        count=(last - first + 1).astype(np.int64),
        step_m=step,
    )


def side_checks(base: BaseLine, boundary: Polygon) -> list[tuple[int, float, float]]:
    """Distances from A and B to the corners nearest them but their own, to prove the corners.

    Returns
    -------
    list of (corner, from A, from B)
        Corners counted from 0. [-, m, m]
    """
    ring = np.asarray(boundary.exterior.coords)[:-1]
    simple = shapely.get_coordinates(boundary.exterior.simplify(STRAIGHT_M))[:-1]
    corners = sorted({int(np.hypot(*(ring - point).T).argmin()) for point in simple})
    others = [corner for corner in corners if corner not in (base.a_corner, base.b_corner)]
    found = [
        (corner, float(np.hypot(*(ring[corner] - base.a_xy))), float(np.hypot(*(ring[corner] - base.b_xy))))
        for corner in others
    ]
    return sorted(found, key=lambda item: min(item[1:]))[:2]
