"""How steep rows along a contour run, and where they run steeper than the soil can bear.

Only the base line lies on the contour. The further a row from it, the more it climbs and
falls; where the limit is reached a new base line is needed.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from aanplant.layout.rows import Rows
from aanplant.site.terrain import Terrain

STRETCH_M = 10.0
"""Grades are those of stretches about as long as a tractor with its implement (judgement)."""
HALF_OF_SLOPE = 0.5
STEEPEST_PERCENT = 4.0
STEEPEST_WITH_COVER_PERCENT = 10.0
"""Limits of practice standard 331: half the hill slope, and 4 %, or 10 % with alley cover."""


@dataclass(frozen=True, slots=True)
class RowGrades:
    """Grades along rows, as columns of shape (n_rows,); nan where no height is known.

    Parameters
    ----------
    steepest_percent, mean_percent : ndarray
        Of the stretches of a row, whether up or down. [%]
    over_m : ndarray
        Length on which it runs steeper than its limit. [m]
    """

    steepest_percent: NDArray[np.float64]
    mean_percent: NDArray[np.float64]
    over_m: NDArray[np.float64]

    @property
    def is_over(self) -> NDArray[np.bool_]:
        """Whether a row is somewhere steeper than its limit."""
        return np.asarray(self.over_m > 0.0)


def row_grades(
    rows: Rows, terrain: Terrain, *, steepest_percent: float | None, has_cover: bool
) -> RowGrades:
    """Grades of stretches of ``STRETCH_M`` along every row beside their limit.

    Parameters
    ----------
    rows : Rows
        Straight or bent.
    terrain : Terrain
        Heights in the same frame.
    steepest_percent : float or None
        The limit; None takes the smaller of half the slope of the hill at that place and
        ``STEEPEST_PERCENT``, or ``STEEPEST_WITH_COVER_PERCENT`` [1]_. [%]
    has_cover : bool
        Whether a cover crop holds the alleys.

    References
    ----------
    .. [1] USDA NRCS, conservation practice standard 331, contour orchard and other
       perennial crops.
    """
    count = np.maximum(np.round(rows.length_m / STRETCH_M), 1.0).astype(np.int64)
    piece = np.repeat(np.arange(len(rows)), count)
    nth = np.arange(len(piece)) - np.repeat(np.cumsum(count) - count, count)
    step = (rows.length_m / count)[piece]
    rise = terrain.height(rows.point_at(piece, (nth + 1) * step)) - terrain.height(
        rows.point_at(piece, nth * step)
    )
    grade = 100.0 * np.abs(rise) / step
    if steepest_percent is None:
        hill = 100.0 * np.hypot(*terrain.gradient(rows.point_at(piece, (nth + 0.5) * step)).T)
        most = STEEPEST_WITH_COVER_PERCENT if has_cover else STEEPEST_PERCENT
        limit = np.minimum(HALF_OF_SLOPE * hill, most)
    else:
        limit = np.full(len(grade), steepest_percent)
    known = np.isfinite(grade)
    weight = np.where(known, step, 0.0)
    total = np.bincount(piece, weight, minlength=len(rows))
    climbed = np.bincount(piece, np.where(known, grade * step, 0.0), minlength=len(rows))
    with np.errstate(invalid="ignore", divide="ignore"):
        over = known & (grade > limit)
        mean = climbed / total
    steepest = np.full(len(rows), -np.inf)
    np.maximum.at(steepest, piece, np.where(known, grade, -np.inf))
    return RowGrades(
        np.where(np.isfinite(steepest), steepest, np.nan),
        mean,
        np.bincount(piece, np.where(over, step, 0.0), minlength=len(rows)).astype(np.float64),
    )
