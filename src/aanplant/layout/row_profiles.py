"""Rows on a slope: how steep they run, how the ground falls across them, how long they are."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from aanplant.layout.rows import Rows
from aanplant.site.terrain import Terrain

STEP_M = 5.0
"""Rows are looked at this often, or at every cell of the grid of heights where that is finer."""
GRADE_OVER_M = 10.0
"""A grade is that of ten metres of row, about a tractor with its implement (judgement)."""
_APART_M = 1.0


@dataclass(frozen=True)
class RowProfiles:
    """Fitted rows from the side, sampled from their start to their end.

    Samples of all rows stand behind one another; shape (n_samples,) where not said.

    Parameters
    ----------
    first : ndarray, shape (n_rows,), int64
        Where the samples of each row begin.
    piece : ndarray, int64
        Row of each sample.
    walked_m, ground_m : ndarray
        Distance from the start of the fitted row, on the plan and along the ground. [m]
    z_m : ndarray
        Height; nan where not known, and the ground taken as level there. [m]
    across : ndarray
        Fall of the ground to the right of the row, above 0 downhill; nan where not known. [-]
    """

    first: NDArray[np.int64]
    piece: NDArray[np.int64]
    walked_m: NDArray[np.float64]
    ground_m: NDArray[np.float64]
    z_m: NDArray[np.float64]
    across: NDArray[np.float64]

    def ground_at(
        self, piece: NDArray[np.integer], walked_m: NDArray[np.float64]
    ) -> NDArray[np.float64]:
        """Distance along the ground of places on rows, by distance walked on the plan. [m]."""
        return self._read(piece, walked_m, self.walked_m, self.ground_m)

    def walked_at(
        self, piece: NDArray[np.integer], ground_m: NDArray[np.float64]
    ) -> NDArray[np.float64]:
        """Distance walked on the plan of places on rows, by distance along the ground. [m]."""
        return self._read(piece, ground_m, self.ground_m, self.walked_m)

    def height_at(
        self, piece: NDArray[np.integer], walked_m: NDArray[np.float64]
    ) -> NDArray[np.float64]:
        """Heights of places on rows, by distance walked on the plan. [m]."""
        return self._read(piece, walked_m, self.walked_m, self.z_m)

    @property
    def is_known(self) -> NDArray[np.bool_]:
        """Whether all of a row has heights, shape (n_rows,)."""
        unknown = np.bincount(self.piece, np.isnan(self.z_m), minlength=len(self.first))
        return np.asarray(unknown == 0)

    def _read(
        self,
        piece: NDArray[np.integer],
        at_m: NDArray[np.float64],
        chainage_m: NDArray[np.float64],
        value: NDArray[np.float64],
    ) -> NDArray[np.float64]:
        """Interpolate along each row; rows stand behind one another on one long axis."""
        if not len(self.first):
            return np.empty(0)
        last = np.append(self.first[1:], len(chainage_m)) - 1
        length = chainage_m[last] + _APART_M
        begin = np.cumsum(length) - length
        inside = np.clip(at_m, 0.0, chainage_m[last][piece])
        read = np.interp(begin[piece] + inside, begin[self.piece] + chainage_m, value)
        return np.asarray(read, dtype=np.float64)


@dataclass(frozen=True)
class RowSlopes:
    """Slopes of every piece of row as it is set, columns of shape (n_rows,).

    nan for a piece that holds no vine or has a place without a height.

    Parameters
    ----------
    mean_grade_percent : ndarray
        From its start to its end, above 0 uphill. [%]
    grade_percent : ndarray
        Steepest over ``GRADE_OVER_M``, above 0 uphill. [%]
    across_percent : ndarray
        Steepest fall across it, above 0 to the right. [%]
    ground_m : ndarray
        Length along the ground, end post to end post; on the plan where heights are not
        known. [m]
    """

    mean_grade_percent: NDArray[np.float64]
    grade_percent: NDArray[np.float64]
    across_percent: NDArray[np.float64]
    ground_m: NDArray[np.float64]


def row_profiles(rows: Rows, terrain: Terrain) -> RowProfiles:
    """Sample the ground along every fitted row.

    Parameters
    ----------
    rows : Rows
        Straight or bent.
    terrain : Terrain
        Heights in the same frame.
    """
    step = min(STEP_M, terrain.cell_x_m, terrain.cell_y_m)
    count = np.maximum(np.ceil(rows.length_m / step).astype(np.int64), 1) + 1
    first = np.cumsum(count) - count
    piece = np.repeat(np.arange(len(rows)), count)
    nth = np.arange(len(piece)) - first[piece]
    walked = rows.length_m[piece] * nth / (count[piece] - 1)
    xy = rows.point_at(piece, walked)
    z, east, north = terrain.surface(xy)
    heading = rows.heading_at(piece, walked)
    across = north * heading[:, 0] - east * heading[:, 1]
    rise = np.nan_to_num(np.diff(z, prepend=z[:1]))
    length = np.hypot(np.diff(walked, prepend=0.0), rise)
    length[first] = 0.0
    total = np.cumsum(length)
    return RowProfiles(first, piece, walked, total - total[first][piece], z, across)


def row_slopes(
    profiles: RowProfiles, start_m: NDArray[np.float64], length_m: NDArray[np.float64]
) -> RowSlopes:
    """Slopes of rows as set.

    Parameters
    ----------
    profiles : RowProfiles
        Of the fitted rows.
    start_m, length_m : ndarray, shape (n_rows,)
        First end post by distance walked from the fitted start, and end post to end
        post; 0 for a piece without vines. [m]
    """
    rows = np.arange(len(start_m))
    low, high = start_m, start_m + length_m
    is_held = length_m > 0.0
    ends = [profiles.height_at(rows, at) for at in (low, high)]
    with np.errstate(invalid="ignore", divide="ignore"):
        mean = 100.0 * (ends[1] - ends[0]) / length_m
    grade, across = steepest_slopes(profiles, start_m, length_m)
    ground = profiles.ground_at(rows, high) - profiles.ground_at(rows, low)
    return RowSlopes(
        np.where(profiles.is_known & is_held, mean, np.nan),
        grade,
        across,
        np.where(is_held, ground, 0.0),
    )


def steepest_slopes(
    profiles: RowProfiles, start_m: NDArray[np.float64], length_m: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """``grade_percent`` and ``across_percent`` of rows as set, see ``row_slopes``."""
    low, high = start_m, start_m + length_m
    # Windows of ten metres that begin at each sample, the last one ending at the end post.
    own = profiles.piece
    inside = (profiles.walked_m >= low[own]) & (profiles.walked_m <= high[own])
    begin = np.clip(profiles.walked_m, low[own], np.maximum(high[own] - GRADE_OVER_M, low[own]))
    end = np.minimum(begin + GRADE_OVER_M, high[own])
    with np.errstate(invalid="ignore", divide="ignore"):
        rise = profiles.height_at(own, end) - profiles.height_at(own, begin)
        grade = 100.0 * rise / (end - begin)
    is_known = profiles.is_known & (length_m > 0.0)
    return (
        np.where(is_known, _steepest(grade, profiles.first, np.isfinite(grade)), np.nan),
        np.where(is_known, _steepest(100.0 * profiles.across, profiles.first, inside), np.nan),
    )


def _steepest(
    value: NDArray[np.float64], first: NDArray[np.int64], counts: NDArray[np.bool_]
) -> NDArray[np.float64]:
    """Value furthest from 0 of each row, with its sign; 0 where none counts."""
    if not len(first):
        return np.empty(0)
    value = np.where(counts, np.nan_to_num(value), 0.0)
    highest = np.maximum.reduceat(value, first)
    lowest = np.minimum.reduceat(value, first)
    return np.where(highest >= -lowest, highest, lowest)
