"""Cross alleys through rows that bend: straight, and square to every row they cross.

All rows are offsets of one base line, so the line square to it at some chainage crosses all
of them at right angles. An alley stands on such a line; its width is walked along the rows.
"""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from aanplant.layout.alleys import EVENNESS_M, Alleys
from aanplant.layout.curves import Curve
from aanplant.layout.scanlines import TOUCHING_M


class Stretches(NamedTuple):
    """Pieces of offset lines as columns, shape (n,), sorted by line, then along the base line.

    ``line`` counts row widths from the base line, ``across_m`` is the distance from it, and
    the ends are chainages of the base line. [m]
    """

    line: NDArray[np.int64]
    across_m: NDArray[np.float64]
    from_m: NDArray[np.float64]
    to_m: NDArray[np.float64]

    def where(self, kept: NDArray[np.bool_] | NDArray[np.int64]) -> "Stretches":
        """Keep some of them."""
        return Stretches(self.line[kept], self.across_m[kept], self.from_m[kept], self.to_m[kept])


@dataclass(frozen=True, slots=True)
class OffsetLengths:
    """Distance walked along offsets of a base line.

    Walking a stretch of the line turns by some angle; walking the offset at distance d to
    the right of it is longer by d times that angle (to the left), whatever the shape. Where
    an offset folds over, nothing is walked.

    Parameters
    ----------
    base : Curve
        The line.
    table_m : ndarray, shape (n_rows, n_points)
        Distance walked along every row at the points of the line. [m]
    """

    base: Curve
    table_m: NDArray[np.float64]

    @classmethod
    def of(cls, base: Curve, across_m: NDArray[np.float64]) -> "OffsetLengths":
        """Measure offsets at distances of shape (n_rows,), above 0 to the right."""
        heading = np.unwrap(np.arctan2(base.tangent_xy[:, 1], base.tangent_xy[:, 0]))
        step = np.diff(base.chainage_m) + across_m[:, None] * np.diff(heading)
        walked = np.cumsum(np.maximum(step, 0.0), axis=1)
        return cls(base, np.pad(walked, ((0, 0), (1, 0))))

    def walked(self, chainage_m: NDArray[np.float64]) -> NDArray[np.float64]:
        """Distance walked on every row at its own chainage of the base line, shape (n,). [m]."""
        points = self.base.chainage_m
        left = np.clip(np.searchsorted(points, chainage_m, side="right") - 1, 0, len(points) - 2)
        share = (chainage_m - points[left]) / (points[left + 1] - points[left])
        row = np.arange(len(self.table_m))
        low, high = self.table_m[row, left], self.table_m[row, left + 1]
        return np.asarray(low + share * (high - low))

    def chainage_at(self, walked_m: NDArray[np.float64]) -> NDArray[np.float64]:
        """Chainage of the base line where every row has been walked so far, shape (n,). [m]."""
        whole = self.table_m[:, -1]
        # All rows laid end to end, so that one look finds the places of all.
        start = np.cumsum(whole + 1.0) - (whole + 1.0)
        keys = (self.table_m + start[:, None]).ravel()
        places = np.tile(self.base.chainage_m, len(self.table_m))
        return np.asarray(np.interp(np.clip(walked_m, 0.0, whole) + start, keys, places))

    def where(self, kept: NDArray[np.int64]) -> "OffsetLengths":
        """Lengths along some of the rows."""
        return OffsetLengths(self.base, self.table_m[kept])


def lengths_m(pieces: Stretches, base: Curve) -> NDArray[np.float64]:
    """Length of every piece along its own curve. [m]."""
    measure = OffsetLengths.of(base, pieces.across_m)
    return measure.walked(pieces.to_m) - measure.walked(pieces.from_m)


def spread_along(pieces: Stretches, base: Curve, longest_m: float | None, width_m: float) -> Alleys:
    """Fewest alleys after which no piece is longer than ``longest_m``, spread evenly.

    As ``alleys.spread``, each piece measured along its own curve.

    Returns
    -------
    Alleys
        Their places are chainages of the base line.

    Raises
    ------
    ValueError
        If ``longest_m`` is not above zero or ``width_m`` is negative.
    """
    if width_m < 0.0 or (longest_m is not None and not longest_m > 0.0):
        raise ValueError(
            f"longest must be above 0 and alleys 0 or wider, got {longest_m} and {width_m}"
        )
    none = Alleys(np.empty(0), width_m)
    if longest_m is None:
        return none
    length = lengths_m(pieces, base)
    too_long = np.flatnonzero(length > longest_m + TOUCHING_M)
    if not len(too_long):
        return none
    long = pieces.where(too_long)
    centres = _reaching(long, base, longest_m, width_m, at_most=None)
    count = len(centres)
    reach, enough = longest_m, (float(length.max()) - count * width_m) / (count + 1)
    while reach - enough > EVENNESS_M:
        trial = (reach + enough) / 2.0
        shorter = _reaching(long, base, trial, width_m, at_most=count) if trial > 0.0 else []
        if shorter:
            centres, reach = shorter, trial
        else:
            enough = trial
    return Alleys(np.array(centres), width_m)


def _reaching(
    pieces: Stretches, base: Curve, reach_m: float, width_m: float, *, at_most: int | None
) -> list[float]:
    """Alleys set as far apart as pieces of ``reach_m`` allow; none when more than ``at_most``."""
    measure = OffsetLengths.of(base, pieces.across_m)
    start, end = measure.walked(pieces.from_m), measure.walked(pieces.to_m)
    centres: list[float] = []
    while len(start):
        if len(centres) == at_most:
            return []
        centre = float(measure.chainage_at(start + reach_m + width_m / 2.0).min())
        if centres and centre <= centres[-1]:
            return []  # an alley as wide as the rows are long: no place for the next
        centres.append(centre)
        start = np.maximum(start, measure.walked(np.full(len(start), centre)) + width_m / 2.0)
        left = np.flatnonzero(end - start > reach_m + TOUCHING_M)
        start, end, measure = start[left], end[left], measure.where(left)
    return centres


def cut_along(
    pieces: Stretches, base: Curve, alleys: Alleys
) -> tuple[Stretches, NDArray[np.bool_], NDArray[np.bool_]]:
    """Take the alleys out of the pieces; also whether an alley ends each, at start and end."""
    if not len(alleys):
        none = np.zeros(len(pieces.line), dtype=np.bool_)
        return pieces, none, none.copy()
    measure = OffsetLengths.of(base, pieces.across_m)
    start, end = measure.walked(pieces.from_m), measure.walked(pieces.to_m)
    middle = np.stack(
        [measure.walked(np.full(len(start), centre)) for centre in alleys.along_m], axis=1
    )
    # Rows are pieces, columns the ground between one alley and the next.
    outside = np.full((len(start), 1), np.inf)
    above = np.concatenate([-outside, middle + alleys.width_m / 2.0], axis=1)
    below = np.concatenate([middle - alleys.width_m / 2.0, outside], axis=1)
    low, high = np.maximum(start[:, None], above), np.minimum(end[:, None], below)
    piece, column = np.nonzero(high - low > TOUCHING_M)
    new = measure.where(piece)
    parts = Stretches(
        pieces.line[piece],
        pieces.across_m[piece],
        new.chainage_at(low[piece, column]),
        new.chainage_at(high[piece, column]),
    )
    return parts, (above > start[:, None])[piece, column], (below < end[:, None])[piece, column]
