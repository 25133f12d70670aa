"""Where to peg the two lines from which a block is set out with a tape.

Best is a side of the boundary that all rows cross well. Where there is none, the line is
laid square to the rows through the field, from one side of the boundary to another.
"""

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from aanplant.layout.pegged_lines import BaseLine, Tie
from aanplant.layout.row_frame import axes

STRAIGHT_M = 0.3
"""A side counts as straight when no corner between its ends lies further off."""
LEAST_CROSSING_DEG = 30.0
"""Marks of rows that cross a line at less than this are too uncertain (judgement)."""
REACH_M = 5.0
"""Marks may lie this far beyond the ends of a side (judgement)."""
_LEVELS = 41
_ROUND_M = 5.0
_TOUCHING_M = 1e-6
_DEPTHS = (0.85, 0.7, 0.55, 0.4)


def base_line(
    boundary: Polygon, field: BaseGeometry, bearing_deg: float, ends_xy: NDArray[np.float64]
) -> BaseLine:
    """Choose the lines to peg.

    A side of the boundary is taken when rows cross it at ``LEAST_CROSSING_DEG`` or more,
    no row leaves it by more than ``REACH_M``, and C and D lie in the block; the longest
    of several. Otherwise AB and DC are square to the rows, and are the sides of the
    largest rectangle along the rows that has A, B, C and D in the block, on lines that
    nothing interrupts where there are such lines.

    Parameters
    ----------
    boundary : shapely Polygon
        Outline of the block. [m]
    field : shapely Polygon or MultiPolygon
        The outline less what rows stop for. [m]
    bearing_deg : float
        Of the rows, clockwise from the y axis. [deg]
    ends_xy : ndarray, shape (n, 2)
        End posts. [m]
    """
    ring = np.asarray(boundary.exterior.coords)[:-1]
    side = _along_a_side(boundary, ring, bearing_deg, ends_xy)
    return side or _square_to_rows(boundary, ring, field, bearing_deg)


def _along_a_side(
    boundary: Polygon,
    ring: NDArray[np.float64],
    bearing_deg: float,
    ends_xy: NDArray[np.float64],
) -> BaseLine | None:
    straight = np.asarray(boundary.exterior.simplify(STRAIGHT_M).coords)[:-1]
    if not boundary.exterior.is_ccw:
        straight = straight[::-1]
    roomy = boundary.buffer(REACH_M)
    best: BaseLine | None = None
    for index, start in enumerate(straight):
        end = straight[(index + 1) % len(straight)]
        first, last = (int(np.hypot(*(ring - point).T).argmin()) for point in (start, end))
        length = float(np.hypot(*(end - start)))
        crossing = _crossing_deg(start, end, bearing_deg)
        if min(crossing, 180.0 - crossing) < LEAST_CROSSING_DEG:
            continue
        line = BaseLine(
            start, end, Tie(first, last, 0.0, length), Tie(last, first, 0.0, length),
            0.0, length, crossing, 0.0,
        )  # fmt: skip
        depth = _depth(line, ring, roomy)
        marks = _marks(line, ends_xy)
        is_better = best is None or length > best.length_m
        if depth and is_better and marks.min() >= -REACH_M and marks.max() <= length + REACH_M:
            best = BaseLine(
                line.p_xy, line.q_xy, line.p_tie, line.q_tie, 0.0, length, crossing, depth
            )
    return best


def _crossing_deg(
    start: NDArray[np.float64], end: NDArray[np.float64], bearing_deg: float
) -> float:
    frame = axes(bearing_deg)
    right, up = (end - start) / np.hypot(*(end - start))
    along = right * frame.along_x + up * frame.along_y
    inward = -up * frame.along_x + right * frame.along_y
    return float(np.degrees(np.arctan2(inward, along)) % 180.0)


def _marks(line: BaseLine, ends_xy: NDArray[np.float64]) -> NDArray[np.float64]:
    """Where the rows of these end posts cross the line, from its start [m]."""
    away = ends_xy - line.p_xy
    marks: NDArray[np.float64] = away @ line.along_xy - away @ line.inward_xy / np.tan(
        np.radians(line.crossing_deg)
    )
    return marks


def _depth(line: BaseLine, ring: NDArray[np.float64], roomy: BaseGeometry) -> float:
    """Depth of DC with C and D in the block, 0 when there is none worth while [m]."""
    whole = float(((ring - line.p_xy) @ line.inward_xy).max())
    ends = np.array([line.p_xy, line.q_xy])
    for share in _DEPTHS:
        depth = _rounded_down(share * whole)
        corners = ends + depth * line.inward_xy
        if shapely.contains_xy(roomy, corners[:, 0], corners[:, 1]).all():
            return depth
    return 0.0


def _square_to_rows(
    boundary: Polygon, ring: NDArray[np.float64], field: BaseGeometry, bearing_deg: float
) -> BaseLine:
    frame = axes(bearing_deg)
    across = np.array([frame.across_x, frame.across_y])
    along = np.array([frame.along_x, frame.along_y])
    reach = ring @ along
    low, high = float(reach.min()), float(reach.max())
    edge = 0.02 * (high - low)
    levels = np.linspace(low + edge, high - edge, _LEVELS)
    left, right = _chords(field, ring, levels, across, along)
    if not (right > left).any():
        left, right = _chords(boundary, ring, levels, across, along, is_interrupted_too=True)
    # Axis 0 is the level of AB, axis 1 that of DC.
    width = np.minimum(right[:, None], right) - np.maximum(left[:, None], left)
    depth = levels - levels[:, None]
    area = np.where((width > 0.0) & (depth > 0.0), width * depth, -1.0)
    if not (area > 0.0).any():
        middle = int(np.argmax(right - left))
        lower = upper = middle
    else:
        lower, upper = (int(index) for index in np.unravel_index(np.argmax(area), area.shape))
    foot = levels[lower] * along
    p, q = (foot + float(end[lower]) * across for end in (left, right))
    start = float(np.ceil(max(left[lower], left[upper]) - left[lower]))
    wide = float(min(right[lower], right[upper]) - left[lower]) - start
    return BaseLine(
        p, q, _tie(p, ring), _tie(q, ring), start, start + _rounded_down(wide), 90.0,
        _rounded_down(float(levels[upper] - levels[lower])),
    )  # fmt: skip


def _chords(
    ground: BaseGeometry,
    ring: NDArray[np.float64],
    levels: NDArray[np.float64],
    across: NDArray[np.float64],
    along: NDArray[np.float64],
    *,
    is_interrupted_too: bool = False,
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Find both ends of the line at each level; 0 and -1 where it is interrupted."""
    sides = ring @ across
    low, high = float(sides.min()) - 1.0, float(sides.max()) + 1.0
    lines = shapely.linestrings(
        np.stack(
            [levels[:, None] * along + low * across, levels[:, None] * along + high * across],
            axis=1,
        )
    )
    outline = shapely.linearrings(ring)
    left, right = np.zeros(len(levels)), np.full(len(levels), -1.0)
    for index, cut in enumerate(np.asarray(shapely.intersection(lines, ground))):
        if cut.is_empty or (cut.geom_type != "LineString" and not is_interrupted_too):
            continue
        ends = shapely.get_coordinates(cut)
        at = ends @ across
        outer = ends[[at.argmin(), at.argmax()]]
        if shapely.distance(shapely.points(outer), outline).max() <= _TOUCHING_M:
            left[index], right[index] = at.min(), at.max()
    return left, right


def _tie(point: NDArray[np.float64], ring: NDArray[np.float64]) -> Tie:
    """Find a point on the ring from the nearer corner of its side."""
    after = np.roll(ring, -1, axis=0)
    sides = shapely.linestrings(np.stack([ring, after], axis=1))
    side = int(shapely.distance(sides, shapely.Point(point)).argmin())
    beyond = (side + 1) % len(ring)
    length = float(np.hypot(*(ring[beyond] - ring[side])))
    distance = float(np.hypot(*(point - ring[side])))
    if distance <= length / 2.0:
        return Tie(side, beyond, distance, length)
    return Tie(beyond, side, length - distance, length)


def _rounded_down(distance_m: float) -> float:
    """Down to a whole 5 m, or to a whole metre where there is little room."""
    step = _ROUND_M if distance_m >= 2.0 * _ROUND_M else 1.0
    return max(float(np.floor(distance_m / step) * step), 1.0)
