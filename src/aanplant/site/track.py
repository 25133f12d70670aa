"""Clean a walked track: scatter while standing, jumps, knots, and the overlap at its end.

A receiver writes a point every second or so. Standing makes a cloud, a lost satellite a
jump, a turn on the spot a knot; and whoever walks round a field walks on past the start.
"""

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from aanplant.site.crossings import Crossing, crossings

SAME_POINT_M = 0.01
"""Two points nearer than this are one: a tenth of what a good receiver can tell apart."""
TOLERANCE_M = 0.5
"""Default simplification: a satellite-corrected receiver's accuracy [common practice]."""
STANDING_RADIUS_M = 2.5
STANDING_POINTS = 6
JUMP_STEPS = 4.0
"""A jump is longer than this many ordinary steps, out and back."""
SHORTEST_JUMP_M = 5.0
LONGEST_JUMP_POINTS = 3
OVERLAP_SHARE = 0.25
"""The overlap is sought in the first and last quarter of the walk."""
OVERLAP_WIDTH_M = 10.0
"""Twice a hand-held receiver's error of 3 to 5 m: nearer than this is the same path."""
KNOT_M = 15.0
"""A loop shorter than this is a turn on the spot, not a part of the field."""


@dataclass(frozen=True, slots=True)
class CleanRing:
    """A ring of points ready to become a polygon.

    Parameters
    ----------
    xy : ndarray, shape (n, 2)
        The first point isn't repeated. [m]
    gap_closed_m : float
        Length of the closing side where the walk didn't come back to its start. [m]
    overlap_m : float
        Length walked on past the start, and dropped. [m]
    """

    xy: NDArray[np.float64]
    gap_closed_m: float = 0.0
    overlap_m: float = 0.0


def without_doubled(xy: NDArray[np.float64]) -> NDArray[np.float64]:
    """Drop points on top of the one before."""
    if len(xy) == 0:
        return xy
    keep = [0]
    for index in range(1, len(xy)):
        if np.hypot(*(xy[index] - xy[keep[-1]])) > SAME_POINT_M:
            keep.append(index)
    return xy[keep]


def as_ring(xy: NDArray[np.float64]) -> NDArray[np.float64]:
    """Drop doubled points, the repeated first one too, and dead ends that hold no area."""
    ring = without_doubled(xy)
    while len(ring) > 1 and np.hypot(*(ring[-1] - ring[0])) <= SAME_POINT_M:
        ring = ring[:-1]
    while len(ring) > 2:  # noqa: PLR2004 - two points have no dead end
        before, after = np.roll(ring, 1, axis=0), np.roll(ring, -1, axis=0)
        is_tip = _on_segment(after, before, ring) | _on_segment(before, ring, after)
        tips = np.flatnonzero(is_tip)
        if tips.size == 0:
            break
        ring = without_doubled(np.delete(ring, tips[0], axis=0))
    return ring


def _on_segment(
    points: NDArray[np.float64], starts: NDArray[np.float64], ends: NDArray[np.float64]
) -> NDArray[np.bool_]:
    segments = shapely.linestrings(np.stack([starts, ends], axis=1))
    return np.asarray(
        shapely.dwithin(shapely.points(points), segments, SAME_POINT_M), dtype=np.bool_
    )


def tidy(xy: NDArray[np.float64]) -> NDArray[np.float64]:
    """Drop doubled points, the scatter of standing, jumps and knots of an open track.

    Parameters
    ----------
    xy : ndarray, shape (n, 2)
        In the order walked. [m]

    Returns
    -------
    ndarray, shape (m, 2)
        At most as many points. [m]
    """
    return _without_knots(_without_jumps(_without_standing(without_doubled(xy))))


def close(xy: NDArray[np.float64]) -> CleanRing:
    """Close a tidy track, without the part walked on past the start.

    Parameters
    ----------
    xy : ndarray, shape (n, 2)
        Tidy track. [m]

    Returns
    -------
    CleanRing
        Closed by a straight side over whatever gap is left.
    """
    along = _chainage(xy)
    cut = _snipped_at_crossing(xy, along)
    if cut is None:
        cut = _snipped_beside_start(xy, along)
    kept = xy if cut is None else cut
    gap_m = float(np.hypot(*(kept[-1] - kept[0])))
    overlap_m = float(along[-1]) - float(_chainage(kept)[-1])
    return CleanRing(as_ring(kept), gap_m, max(overlap_m, 0.0))


def simplify(ring: CleanRing, tolerance_m: float) -> CleanRing:
    """Drop points that lie within the tolerance of the ring through the others.

    Where that would make the ring cross itself, in a neck narrower than the tolerance,
    the tolerance is halved until it does not.

    References
    ----------
    .. [1] Douglas, Peucker (1973), Cartographica 10(2), 112-122.
    """
    # The farthest point from the middle is a corner for certain: nothing is lost there.
    farthest = int(np.argmax(np.hypot(*(ring.xy - ring.xy.mean(axis=0)).T)))
    turned = np.roll(ring.xy, -farthest, axis=0)
    path = shapely.linestrings(np.vstack([turned, turned[:1]]))
    while tolerance_m > SAME_POINT_M:
        # GEOS's own topology-preserving form can run for ever on a noisy ring.
        simple = shapely.simplify(path, tolerance_m, preserve_topology=False)
        xy = shapely.get_coordinates(simple)[:-1]
        if len(xy) > 2 and not crossings(xy, is_ring=True):  # noqa: PLR2004 - a triangle
            return CleanRing(xy, ring.gap_closed_m, ring.overlap_m)
        tolerance_m /= 2.0
    return ring


def _chainage(xy: NDArray[np.float64]) -> NDArray[np.float64]:
    steps = np.hypot(*np.diff(xy, axis=0).T)
    return np.concatenate([[0.0], np.cumsum(steps)])


def _without_standing(xy: NDArray[np.float64]) -> NDArray[np.float64]:
    """Put the middle of the cloud in place of each cloud of points."""
    along = _chainage(xy) if len(xy) else np.zeros(0)
    kept: list[NDArray[np.float64]] = []
    start = 0
    while start < len(xy):
        end = start + 1
        while end < len(xy) and np.hypot(*(xy[end] - xy[start])) <= STANDING_RADIUS_M:
            end += 1
        wandered_m = along[end - 1] - along[start]
        if end - start >= STANDING_POINTS and wandered_m > 2.0 * STANDING_RADIUS_M:
            kept.append(np.median(xy[start:end], axis=0))
            start = end
        else:
            kept.append(xy[start])
            start += 1
    return without_doubled(np.array(kept).reshape(-1, 2))


def _without_jumps(xy: NDArray[np.float64]) -> NDArray[np.float64]:
    """Drop one to three points that lie far off while their neighbours lie close together."""
    if len(xy) < 2 * LONGEST_JUMP_POINTS + 2:
        return xy
    step_m = float(np.median(np.hypot(*np.diff(xy, axis=0).T)))
    far_m = max(JUMP_STEPS * step_m, SHORTEST_JUMP_M)
    keep = np.ones(len(xy), dtype=bool)
    index = 1
    while index < len(xy) - 1:
        before = xy[index - 1]
        count = 0
        if np.hypot(*(xy[index] - before)) > far_m:
            for points in range(1, LONGEST_JUMP_POINTS + 1):
                after = index + points
                if after >= len(xy):
                    break
                is_back = np.hypot(*(xy[after] - before)) <= 2.0 * step_m * (points + 1)
                if is_back and np.hypot(*(xy[after] - xy[after - 1])) > far_m:
                    count = points
                    break
        keep[index : index + count] = False
        index += max(count, 1) + (1 if count else 0)
    return xy[keep]


def _without_knots(xy: NDArray[np.float64]) -> NDArray[np.float64]:
    """Cut loops shorter than a knot out of an open track, at the point where it crosses."""
    while True:
        along = _chainage(xy)
        knots = [
            crossing
            for crossing in crossings(xy, is_ring=False)
            if _loop_m(xy, along, crossing) < KNOT_M
        ]
        if not knots:
            return xy
        pieces, done = [], 0
        for knot in knots:
            if knot.first >= done:
                pieces.append(xy[done : knot.first + 1])
                done = knot.second + 1
                if done - knot.first > 2:  # noqa: PLR2004 - a fold leaves nothing to join at
                    pieces.append(np.array([knot.xy]))
        xy = without_doubled(np.vstack([*pieces, xy[done:]]))


def _loop_m(xy: NDArray[np.float64], along: NDArray[np.float64], crossing: Crossing) -> float:
    return float(_chainage_at(xy, along, crossing.second, crossing.xy)) - float(
        _chainage_at(xy, along, crossing.first, crossing.xy)
    )


def _chainage_at(
    xy: NDArray[np.float64], along: NDArray[np.float64], piece: int, place: tuple[float, float]
) -> float:
    return float(along[piece] + np.hypot(*(np.asarray(place) - xy[piece])))


def _snipped_at_crossing(
    xy: NDArray[np.float64], along: NDArray[np.float64]
) -> NDArray[np.float64] | None:
    """Cut both ends where the end of the walk first crosses its beginning."""
    length_m = float(along[-1])
    found = [
        (_chainage_at(xy, along, crossing.second, crossing.xy), crossing)
        for crossing in crossings(xy, is_ring=False)
        if _chainage_at(xy, along, crossing.first, crossing.xy) <= OVERLAP_SHARE * length_m
        and _chainage_at(xy, along, crossing.second, crossing.xy)
        >= (1.0 - OVERLAP_SHARE) * length_m
    ]
    if not found:
        return None
    cut = min(found, key=lambda pair: pair[0])[1]
    crossing_xy = np.array([cut.xy])
    head = np.vstack([xy[: cut.first + 1], crossing_xy])
    tail = np.vstack([crossing_xy, xy[cut.second + 1 :]])
    kept = np.vstack([crossing_xy, xy[cut.first + 1 : cut.second + 1], crossing_xy])
    if _runs_along(tail, kept) and _runs_along(head, kept):
        return kept
    return None


def _snipped_beside_start(
    xy: NDArray[np.float64], along: NDArray[np.float64]
) -> NDArray[np.float64] | None:
    """Cut the end where it passes the start, if it then runs on beside the beginning."""
    first = int(np.searchsorted(along, (1.0 - OVERLAP_SHARE) * along[-1]))
    nearest = first + int(np.argmin(np.hypot(*(xy[first:] - xy[0]).T)))
    if nearest >= len(xy) - 1:
        return None
    kept, dropped = xy[: nearest + 1], xy[nearest:]
    return kept if _runs_along(dropped, kept) else None


def _runs_along(piece: NDArray[np.float64], path: NDArray[np.float64]) -> bool:
    """Say whether every point of a piece lies beside the path."""
    line = shapely.linestrings(path) if len(path) > 1 else shapely.points(path[0])
    distances = shapely.distance(shapely.points(piece), line)
    return bool((distances <= OVERLAP_WIDTH_M).all())
