"""Which lattice points of a row hold a vine, and where its end posts go."""

from dataclasses import dataclass, replace
from typing import Literal, get_args

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from aanplant.layout.ends import clear_ends, walked_clear
from aanplant.layout.row_profiles import RowProfiles
from aanplant.layout.rows import Rows

Pattern = Literal["square", "offset", "free"]
ON_POINT_M = 1e-7
"""A lattice point this close outside a row's limit is on it."""


@dataclass(frozen=True, slots=True)
class Lattice:
    """How vines follow one another along a row.

    Parameters
    ----------
    spacing_m : float
        Vine to vine, above 0. [m]
    pattern : {"square", "offset", "free"}
        How vines of neighbouring rows stand to each other.
    end_gap_m : float
        End post to first vine, 0 or more. [m]
    phase_m : float
        Where point 0 lies along the rows; no matter when free. [m]

    Raises
    ------
    ValueError
        If a distance is out of range or the pattern is unknown.
    """

    spacing_m: float
    pattern: Pattern
    end_gap_m: float
    phase_m: float

    def __post_init__(self) -> None:
        if not self.spacing_m > 0.0:
            raise ValueError(f"vine spacing must be above 0, got {self.spacing_m}")
        if not self.end_gap_m >= 0.0:
            raise ValueError(f"end_gap_m must be 0 or more, got {self.end_gap_m}")
        if self.pattern not in get_args(Pattern):
            raise ValueError(f"pattern must be one of {get_args(Pattern)}, got {self.pattern!r}")

    def phase_of(self, line: NDArray[np.int64]) -> NDArray[np.float64]:
        """Where point 0 lies on lattice lines, in metres."""
        shift = self.spacing_m / 2.0 if self.pattern == "offset" else 0.0
        return np.asarray(self.phase_m + (line % 2) * shift, dtype=np.float64)

    def within(
        self, line: NDArray[np.int64], low_m: NDArray[np.float64], high_m: NDArray[np.float64]
    ) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
        """First and last point at least ``end_gap_m`` inside low and high."""
        phase = self.phase_of(line)
        first = (low_m + (self.end_gap_m - ON_POINT_M) - phase) / self.spacing_m
        last = (high_m - (self.end_gap_m - ON_POINT_M) - phase) / self.spacing_m
        return np.ceil(first).astype(np.int64), np.floor(last).astype(np.int64)

    def vines_in(
        self, line: NDArray[np.int64], low_m: NDArray[np.float64], high_m: NDArray[np.float64]
    ) -> NDArray[np.int64]:
        """Vines between low and high along lattice lines."""
        if self.pattern == "free":
            return self.vines_along(high_m - low_m)
        first, last = self.within(line, low_m, high_m)
        return np.asarray(np.maximum(last - first + 1, 0), dtype=np.int64)

    def vines_along(self, length_m: NDArray[np.float64]) -> NDArray[np.int64]:
        """Vines in rows of a length that begin anew at their start."""
        room = length_m - 2.0 * self.end_gap_m + ON_POINT_M
        return np.where(room >= 0.0, np.floor(room / self.spacing_m) + 1, 0).astype(np.int64)


@dataclass(frozen=True, slots=True)
class Spans:
    """Vines of each piece of row, as columns of shape (n_rows,).

    ``first_index`` is the lattice index of the first vine in the direction of the
    numbers; the next has ``first_index + index_step``. Chainages are from the start of
    the fitted row. [m]
    """

    count: NDArray[np.int64]
    first_index: NDArray[np.int64]
    index_step: int
    first_m: NDArray[np.float64]
    start_m: NDArray[np.float64]
    end_m: NDArray[np.float64]


def spans(rows: Rows, lattice: Lattice) -> Spans:
    """Vines and end posts of every piece of row."""
    if lattice.pattern == "free":
        return _free(lattice, np.zeros(len(rows)), rows.length_m)
    return _on_lattice(rows, lattice, *_index_limits(rows, lattice))


def move_clear(rows: Rows, lattice: Lattice, skip: BaseGeometry, anchor_distance_m: float) -> Spans:
    """As ``spans``, each row shortened until end vines, end posts and anchors are clear."""
    if rows.paths is not None:
        start, end = walked_clear(rows, skip, anchor_distance_m)
        return _free(lattice, start, end - start)
    if lattice.pattern == "free":
        start, end = clear_ends(rows, skip, anchor_distance_m)
        sign = 1.0 if rows.runs_with_bearing else -1.0
        return _free(lattice, sign * (start - rows.along_start_m), sign * (end - start))
    shapely.prepare(skip)
    first, last = _index_limits(rows, lattice)
    # The end vine, its end post and its anchor, inwards to outwards.
    outward = np.array([0.0, lattice.end_gap_m, lattice.end_gap_m + anchor_distance_m])
    phase = lattice.phase_of(rows.line)
    for index, inward in ((first, 1), (last, -1)):
        open_rows = np.flatnonzero(first <= last)
        while len(open_rows):
            along = phase[open_rows] + index[open_rows] * lattice.spacing_m
            points = rows.points_along(open_rows[:, None], along[:, None] - inward * outward)
            blocked = shapely.contains_xy(skip, points[..., 0], points[..., 1]).any(axis=1)
            open_rows = open_rows[blocked]
            index[open_rows] += inward
            open_rows = open_rows[(first <= last)[open_rows]]
    return _on_lattice(rows, lattice, first, last)


def on_ground(kept: Spans, lattice: Lattice, profiles: RowProfiles) -> Spans:
    """Count vines by the length of the ground between end posts; ``first_m`` is along it."""
    pieces = np.arange(len(kept.count))
    start, end = (profiles.ground_at(pieces, at) for at in (kept.start_m, kept.end_m))
    count = np.where(kept.end_m > kept.start_m, lattice.vines_along(end - start), 0)
    return replace(kept, count=count, first_m=start + lattice.end_gap_m)


def _index_limits(rows: Rows, lattice: Lattice) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    low = np.minimum(rows.along_start_m, rows.along_end_m)
    high = np.maximum(rows.along_start_m, rows.along_end_m)
    return lattice.within(rows.line, low, high)


def _on_lattice(
    rows: Rows, lattice: Lattice, low: NDArray[np.int64], high: NDArray[np.int64]
) -> Spans:
    count = np.maximum(high - low + 1, 0)
    step = 1 if rows.runs_with_bearing else -1
    first = low if step > 0 else high
    along = lattice.phase_of(rows.line) + first * lattice.spacing_m
    first_m = step * (along - rows.along_start_m)
    last_m = first_m + (count - 1) * lattice.spacing_m
    return Spans(
        count, first, step, first_m, first_m - lattice.end_gap_m, last_m + lattice.end_gap_m
    )


def _free(lattice: Lattice, start_m: NDArray[np.float64], length_m: NDArray[np.float64]) -> Spans:
    """Vines counted from 1 at the start of each row."""
    count = lattice.vines_along(length_m)
    return Spans(
        count,
        np.ones(len(count), np.int64),
        1,
        start_m + lattice.end_gap_m,
        start_m,
        start_m + length_m,
    )
