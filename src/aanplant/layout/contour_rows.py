"""Fit rows that keep their distance from a base line, such as a contour of a hillside."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from aanplant.layout.contour_alleys import (
    OffsetLengths,
    Stretches,
    cut_along,
    lengths_m,
    spread_along,
)
from aanplant.layout.curves import Curve
from aanplant.layout.local_room import Ground
from aanplant.layout.paths import Paths, from_corners
from aanplant.layout.plantable import HeadlandRule
from aanplant.layout.rows import Rows, open_ground

SPACING_ERROR_M = 0.01
"""A row is cut where it comes nearer its base line than this short of its distance."""
_STEP_M = 0.25
"""Near an edge a row is looked at as often: what grazes it between may come 3 mm nearer."""
_HALVINGS = 30
_BEYOND_M = 1.0


@dataclass(frozen=True, slots=True)
class Folds:
    """Where rows cannot go on at their distance from the base line, one entry a row.

    Parameters
    ----------
    line : ndarray, shape (n,), int64
        Row widths from the base line.
    across_m : ndarray, shape (n,)
        Distance from it, above 0 to its right. [m]
    length_m : ndarray, shape (n,)
        Plantable length that the row loses, its turning room not counted. [m]
    xy : ndarray, shape (n, 2)
        A place in the middle of it. [m]
    """

    line: NDArray[np.int64]
    across_m: NDArray[np.float64]
    length_m: NDArray[np.float64]
    xy: NDArray[np.float64]

    def __len__(self) -> int:
        return len(self.line)


def fit_along(
    area: BaseGeometry,
    base: Curve,
    row_width_m: float,
    *,
    headland_m: float = 0.0,
    side_margin_m: float = 0.0,
    smallest_radius_m: float = 0.0,
    shortest_m: float = 0.0,
    longest_m: float | None = None,
    cross_alley_m: float = 0.0,
    exclusions: Sequence[BaseGeometry] = (),
    headland_rule: HeadlandRule = "along the row",
) -> tuple[Rows, Folds]:
    """Fit rows at whole row widths to both sides of a base line, one on the line itself.

    A row is cut where it would bend tighter than ``smallest_radius_m``, and where another
    part of the base line is nearer to it, or to the middle of the alley beyond it, than its
    own part: past that its neighbours would close in. Ends made so keep the headland free
    along the row.

    Parameters
    ----------
    area : shapely Polygon or MultiPolygon
        Field, in metres.
    base : Curve
        Base line; runs straight on beyond its ends.
    row_width_m : float
        Distance between rows, above 0. [m]
    headland_m, side_margin_m : float
        Room at every point of a row, as ``local_room.Ground`` states it. [m]
    smallest_radius_m : float
        Tightest curve of a row. [m]
    shortest_m, longest_m, cross_alley_m : float
        As ``rows.fit``; the alley square to the base line. [m]
    exclusions : sequence of shapely Polygon or MultiPolygon
        Rows stop before them.
    headland_rule : {"along the row", "square to the edge"}
        How the headland is measured.

    Returns
    -------
    Rows, Folds
        Rows with ``paths``. ``line`` counts row widths from the base line, ``across_m`` is
        the distance from it, ``along_start_m`` and ``along_end_m`` are chainages of it, and
        ``bearing_deg`` is that of its chord in the field.

    Raises
    ------
    ValueError
        If a distance is out of range or a geometry is not valid polygonal ground.
    """
    if not (row_width_m > 0.0 and shortest_m >= 0.0 and smallest_radius_m >= 0.0):
        raise ValueError(
            "row_width_m must be above 0, shortest_m and smallest_radius_m 0 or more, got "
            f"{row_width_m}, {shortest_m} and {smallest_radius_m}"
        )
    ground = Ground(open_ground(area, exclusions), headland_m, side_margin_m, headland_rule)
    base = _reaching_over(base, ground.area)
    sight = _Sight(ground, base, row_width_m, smallest_radius_m)
    whole, folds = _free_stretches(sight)
    alleys = spread_along(whole, base, longest_m, cross_alley_m)
    pieces, starts_at_alley, ends_at_alley = cut_along(whole, base, alleys)
    length = lengths_m(pieces, base)
    kept = length >= max(shortest_m, SPACING_ERROR_M)
    dropped = length[~kept]
    pieces = pieces.where(kept)
    paths = _paths(pieces, base)
    ends = paths.first[1:] - 1
    line = pieces.line
    rows = Rows(
        row=(line - line[:1] + 1).astype(np.int32),
        part=(np.arange(len(line)) - np.searchsorted(line, line) + 1).astype(np.int32),
        line=line,
        start_xy=paths.xy[paths.first[:-1]],
        end_xy=paths.xy[ends],
        length_m=paths.length_m,
        across_m=pieces.across_m,
        along_start_m=pieces.from_m,
        along_end_m=pieces.to_m,
        bearing_deg=bearing_in(base, ground.area),
        row_width_m=float(row_width_m),
        offset_m=0.0,
        alleys=alleys,
        dropped_count=len(dropped),
        dropped_length_m=float(dropped.sum()),
        paths=paths,
        at_alley=np.stack([starts_at_alley, ends_at_alley], axis=1)[kept],
    )
    return rows, folds


def bearing_in(base: Curve, area: BaseGeometry) -> float:
    """Bearing of the chord of a base line between its first and last point in a field. [deg]."""
    inside = np.flatnonzero(shapely.contains_xy(area, base.xy[:, 0], base.xy[:, 1]))
    ends = base.xy[inside[[0, -1]]] if len(inside) > 1 else base.xy[[0, -1]]
    east, north = ends[1] - ends[0]
    return float(np.degrees(np.arctan2(east, north)) % 360.0)


def _reaching_over(base: Curve, area: BaseGeometry) -> Curve:
    """Walk the line so that its bearing is below 180, and extend it past the whole field."""
    if bearing_in(base, area) >= 180.0:  # noqa: PLR2004 - half a turn
        base = base.reversed()
    left, bottom, right, top = area.bounds
    corners = np.array([[left, bottom], [left, top], [right, bottom], [right, top]])
    ends = base.xy[[0, -1]][:, None, :]
    return base.extended(float(np.hypot(*(corners - ends).T).max()) + _BEYOND_M)


@dataclass(frozen=True, slots=True)
class _Sight:
    """What decides whether a row may lie at a distance and chainage of the base line."""

    ground: Ground
    base: Curve
    row_width_m: float
    smallest_radius_m: float

    def xy(self, line: NDArray[np.int64], at: NDArray[np.float64]) -> NDArray[np.float64]:
        return self.base.offset(line * self.row_width_m, at)

    def keeps_room(self, line: NDArray[np.int64], at: NDArray[np.float64]) -> NDArray[np.bool_]:
        return self.ground.keeps_room(self.xy(line, at), self.base.tangent_at(at))

    def folds(self, line: NDArray[np.int64], at: NDArray[np.float64]) -> NDArray[np.bool_]:
        across = line * self.row_width_m
        bend = np.abs(self.base.curvature_at(at))
        stretch = self.base.stretch(across, at)
        folded = np.asarray((stretch <= 0.0) | (bend * self.smallest_radius_m > stretch))
        shape = shapely.linestrings(self.base.xy)
        shapely.prepare(shape)
        for side in (-1.0, 1.0):
            beyond = np.flatnonzero((side * across >= 0.0) & ~folded)
            reach = np.abs(across[beyond]) + self.row_width_m / 2.0
            xy = self.base.offset(side * reach, at[beyond])
            near = shapely.dwithin(shape, shapely.points(xy), reach - SPACING_ERROR_M)
            folded[beyond[near]] = True
        return folded


def _free_stretches(sight: _Sight) -> tuple[Stretches, Folds]:
    """Stretches of all offset lines on which a row may lie, and where they fold."""
    line, at = _looked_at(sight)
    roomy = np.zeros(len(line), dtype=np.bool_)
    folded = np.zeros(len(line), dtype=np.bool_)
    roomy[:] = sight.keeps_room(line, at)
    folded[roomy] = sight.folds(line[roomy], at[roomy])
    free = roomy & ~folded
    same = line[1:] == line[:-1]
    begins = np.flatnonzero(same & free[1:] & ~free[:-1])
    ends = np.flatnonzero(same & free[:-1] & ~free[1:])
    start = _limit(sight, line[begins], at[begins + 1], at[begins])
    end = _limit(sight, line[ends], at[ends], at[ends + 1])
    across = np.asarray(line[begins] * sight.row_width_m, dtype=np.float64)
    measure = OffsetLengths.of(sight.base, across)
    for limit, fold, way in ((start, folded[begins], 1.0), (end, folded[ends + 1], -1.0)):
        # Rows that end at a fold leave room to turn; elsewhere it is part of the ground.
        room = np.where(fold, sight.ground.headland_m, 0.0)
        moved = measure.chainage_at(measure.walked(limit) + way * room)
        limit[:] = np.where(fold, moved, limit)
    real = measure.walked(end) - measure.walked(start) > 0.0
    found = Stretches(line[begins], across, start, end).where(real)
    return found, _folds(sight, line, at, folded)


def _looked_at(sight: _Sight) -> tuple[NDArray[np.int64], NDArray[np.float64]]:
    """Lines and chainages to look at: the points of the base line, more where an edge is near."""
    base, width = sight.base, sight.row_width_m
    corners = shapely.get_coordinates(sight.ground.area)
    reach = shapely.distance(shapely.linestrings(base.xy), shapely.points(corners)).max()
    most = int(reach // width) + 1
    lines = np.arange(-most, most + 1)
    line = np.repeat(lines, len(base.chainage_m))
    at = np.tile(base.chainage_m, len(lines))
    xy = sight.xy(line, at)
    step = np.hypot(*np.diff(xy, axis=0).T)
    same = line[1:] == line[:-1]
    near = sight.ground.is_near_edge(xy, sight.ground.reach_m + float(step[same].max()))
    parts = np.where(same & (near[1:] | near[:-1]), np.ceil(step / _STEP_M), 1.0)
    count = np.append(np.maximum(parts, 1.0), 1.0).astype(np.int64)
    share = np.arange(count.sum()) - np.repeat(np.cumsum(count) - count, count)
    gap = np.append(np.where(same, np.diff(at), 0.0), 0.0) / count
    return np.repeat(line, count), np.repeat(at, count) + share * np.repeat(gap, count)


def _limit(
    sight: _Sight, line: NDArray[np.int64], free: NDArray[np.float64], taken: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Where rows stop being free, between a free and a taken chainage, by halving."""
    free, taken = free.copy(), taken.copy()
    for _ in range(_HALVINGS):
        middle = (free + taken) / 2.0
        is_free = sight.keeps_room(line, middle)
        is_free[is_free] = ~sight.folds(line[is_free], middle[is_free])
        free, taken = np.where(is_free, middle, free), np.where(is_free, taken, middle)
    return free


def _folds(
    sight: _Sight, line: NDArray[np.int64], at: NDArray[np.float64], folded: NDArray[np.bool_]
) -> Folds:
    """Gather folds by row; each look stands for half the way to its neighbours."""
    xy = sight.xy(line, at)
    step = np.where(line[1:] == line[:-1], np.hypot(*np.diff(xy, axis=0).T), 0.0)
    length = (np.append(step, 0.0) + np.insert(step, 0, 0.0)) / 2.0
    where = np.flatnonzero(folded)
    rows, first, count = np.unique(line[where], return_index=True, return_counts=True)
    lost = np.add.reduceat(length[where], first) if len(where) else np.empty(0)
    middle = where[first + count // 2] if len(where) else where
    across = np.asarray(rows * sight.row_width_m, dtype=np.float64)
    return Folds(rows, across, lost, xy[middle])


def _paths(pieces: Stretches, base: Curve) -> Paths:
    """Corners of all pieces: their ends, and between them where the base line has points."""
    low = np.searchsorted(base.chainage_m, pieces.from_m, side="right")
    high = np.searchsorted(base.chainage_m, pieces.to_m, side="left")
    between = np.maximum(high - low, 0)
    count = between + 2
    first = np.concatenate([[0], np.cumsum(count)]).astype(np.int64)
    step = np.arange(first[-1]) - np.repeat(first[:-1], count)
    point = np.clip(np.repeat(low - 1, count) + step, 0, len(base.chainage_m) - 1)
    at = base.chainage_m[point]
    at[first[:-1]], at[first[1:] - 1] = pieces.from_m, pieces.to_m
    across = np.repeat(pieces.across_m, count)
    return from_corners(base.offset(across, at), first, base.tangent_at(at))
