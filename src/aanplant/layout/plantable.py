"""The ground rows may stand on: the field less turning room at row ends and room at the sides."""

from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from aanplant.layout.row_frame import Edges, axes, boundary, turned
from aanplant.layout.scanlines import Room

HeadlandRule = Literal["along the row", "square to the edge"]
ARC_ERROR_M = 0.002
"""Arcs are drawn as chords that stray no further than this from the true ellipse."""
GRID_M = 1e-6
"""Corners are rounded to this, so that strips which nearly coincide join cleanly."""
CRUMB_M2 = 1e-4
"""Parts no larger than a square centimetre are rounding, not ground."""
FULL_ROOM_SINE = 0.5
"""An edge that meets the rows at 30 degrees or more gets full room (judgement)."""


def plantable(
    area: BaseGeometry,
    bearing_deg: float,
    *,
    headland_m: float,
    side_margin_m: float,
    rule: HeadlandRule = "along the row",
) -> BaseGeometry:
    """Ground on which a point of a row may lie.

    Along the row: the field eroded by an ellipse with half-axes ``headland_m`` along
    the row and ``side_margin_m`` across it (a segment when just one of them is zero).
    Straight edges move in exactly. Around inward corners the arc is a chord, so the
    outline strays outward by ``ARC_ERROR_M`` at most: to within ``GRID_M`` it holds
    all that ``rows.fit`` finds, which works with the true ellipse.

    Square to the edge: every edge moves in by its own distance at right angles,
    d = margin + (headland - margin) * min(1, sin(a) / 0.5), where a is the angle
    between edge and row: an edge that runs with the rows keeps the side margin, one
    that meets them at 30 degrees or more the full headland. A headland less than the
    margin gives the margin throughout. It follows the direction of every single
    edge, so a walked, jittery outline must be smoothed first.

    Parameters
    ----------
    area : shapely Polygon or MultiPolygon
        Field less avoided exclusions, in metres. Holes are edges like any other.
    bearing_deg : float
        Direction of the rows, clockwise from the y axis. [deg]
    headland_m : float
        Free room from a row end. [m]
    side_margin_m : float
        Least room beside a row. [m]
    rule : {"along the row", "square to the edge"}
        How the headland is measured.

    Returns
    -------
    shapely geometry
        Polygon or MultiPolygon, empty when nothing remains.

    Raises
    ------
    ValueError
        If a distance is negative, the area is not valid polygonal ground, or the
        rule is unknown.
    """
    edges = boundary(area)
    room, _ = kept_room(turned(edges, bearing_deg), headland_m, side_margin_m, rule)
    if isinstance(room, np.ndarray):
        taken = _discs_along(edges, room)
    else:
        taken = _ellipse_strips(edges, bearing_deg, headland_m, side_margin_m)
    if not len(taken):
        return area
    taken_ground = shapely.union_all(taken, grid_size=GRID_M)
    return _without_crumbs(shapely.difference(area, taken_ground, grid_size=GRID_M))


def kept_room(
    edges: Edges, headland_m: float, side_margin_m: float, rule: HeadlandRule
) -> tuple[Room, Room]:
    """Distance kept along and across from edges in the row frame, as ``plantable`` states it.

    Raises
    ------
    ValueError
        If a distance is negative or the rule is unknown.
    """
    if not (headland_m >= 0.0 and side_margin_m >= 0.0):
        raise ValueError(
            f"headland and margin must be 0 or more, got {headland_m} and {side_margin_m}"
        )
    if rule == "along the row":
        return headland_m, side_margin_m
    if rule != "square to the edge":
        raise ValueError(f"unknown headland rule {rule!r}")
    dx, dy = edges.x_to - edges.x_from, edges.y_to - edges.y_from
    length = np.hypot(dx, dy)
    sine = np.abs(dx) / np.where(length > 0.0, length, 1.0)
    extra = max(headland_m - side_margin_m, 0.0)
    room = side_margin_m + extra * np.minimum(1.0, sine / FULL_ROOM_SINE)
    return room, room


def _discs_along(edges: Edges, room_m: NDArray[np.float64]) -> NDArray[np.object_]:
    """Sweep a disc along every edge."""
    ends = np.stack([edges.x_from, edges.y_from, edges.x_to, edges.y_to], axis=1)
    lines = np.asarray(shapely.linestrings(ends.reshape(-1, 2, 2)), dtype=object)
    segments = _quarter_segments(float(room_m.max(initial=0.0)))
    taking = room_m > 0.0
    return np.asarray(
        shapely.buffer(lines[taking], room_m[taking], quad_segs=segments), dtype=object
    )


def _ellipse_strips(
    edges: Edges, bearing_deg: float, headland_m: float, margin_m: float
) -> NDArray[np.object_]:
    """Sweep the ellipse along every edge, and around corners that point inward."""
    if headland_m == 0.0 and margin_m == 0.0:
        return np.empty(0, dtype=object)
    frame = axes(bearing_deg)
    to_row_frame = np.array([[frame.across_x, frame.along_x], [frame.across_y, frame.along_y]])
    start = np.stack([edges.x_from, edges.y_from], axis=1) @ to_row_frame
    end = np.stack([edges.x_to, edges.y_to], axis=1) @ to_row_frame
    if headland_m > 0.0 and margin_m > 0.0:
        half_axes = np.array([margin_m, headland_m])
        start, end = start / half_axes, end / half_axes
        way = end - start
        length = np.hypot(way[:, 0], way[:, 1])[:, None]
        inward = np.stack([-way[:, 1], way[:, 0]], axis=1) / np.where(length > 0, length, 1.0)
        # Strips lie on both sides of an edge, so that no hair of ground stays along it.
        quads = np.stack([start - inward, end - inward, end + inward, start + inward], axis=1)
        corners = _corner_fans(start, end, inward, _quarter_segments(max(headland_m, margin_m)))
        shapes = [quad * half_axes @ to_row_frame.T for quad in (*quads, *corners)]
    else:
        half = np.array([margin_m, headland_m])
        quads = np.stack([start - half, end - half, end + half, start + half], axis=1)
        shapes = [quad @ to_row_frame.T for quad in quads if _surface(quad) > 0.0]
    return np.array([shapely.polygons(shape) for shape in shapes], dtype=object)


def _corner_fans(
    start: NDArray[np.float64],
    end: NDArray[np.float64],
    inward: NDArray[np.float64],
    quarter_segments: int,
) -> list[NDArray[np.float64]]:
    """Fans of the unit circle between the strips of two edges, at corners that point inward."""
    at = {tuple(point): i for i, point in enumerate(start)}
    follower = np.array([at[tuple(point)] for point in end])
    normal, following = inward, inward[follower]
    turn = np.arctan2(
        normal[:, 0] * following[:, 1] - normal[:, 1] * following[:, 0],
        (normal * following).sum(axis=1),
    )
    fans = []
    for i in np.flatnonzero(turn < 0.0):
        steps = int(np.ceil(-turn[i] / (np.pi / 2) * quarter_segments)) + 1
        angle = np.arctan2(normal[i, 1], normal[i, 0]) + np.linspace(0.0, turn[i], steps)
        arc = end[i] + np.stack([np.cos(angle), np.sin(angle)], axis=1)
        arc[0], arc[-1] = end[i] + normal[i], end[i] + following[i]
        fans.append(np.concatenate([end[i : i + 1], arc]))
    return fans


def _quarter_segments(radius_m: float) -> int:
    """Chords in a quarter circle so that none strays further than ``ARC_ERROR_M``."""
    half_step = np.arccos(1.0 - min(ARC_ERROR_M / radius_m, 0.5)) if radius_m > 0 else 1.0
    return max(int(np.ceil(np.pi / 4.0 / half_step)), 4)


def _without_crumbs(ground: BaseGeometry) -> BaseGeometry:
    """Drop what rounding leaves where strips just meet: points, lines and hairs of ground."""
    parts = shapely.get_parts(ground)
    return shapely.union_all(parts[shapely.area(parts) > CRUMB_M2])


def _surface(quad: NDArray[np.float64]) -> float:
    """Area of a parallelogram given by its corners, shape (4, 2)."""
    a, b = quad[1] - quad[0], quad[3] - quad[0]
    return float(abs(a[0] * b[1] - a[1] * b[0]))
