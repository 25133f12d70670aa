"""Where cross alleys go, so that no row is longer than wanted."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from aanplant.layout.scanlines import TOUCHING_M, Pieces

EVENNESS_M = 1e-3
"""How closely the most even spread is searched for."""


@dataclass(frozen=True, slots=True)
class Alleys:
    """Straight alleys through the whole block, square to the rows.

    Parameters
    ----------
    along_m : ndarray, shape (n_alleys,)
        Centre lines, along the rows from the origin of the coordinates. [m]
    width_m : float
        Clear width between the row ends on either side. [m]
    """

    along_m: NDArray[np.float64]
    width_m: float

    def __len__(self) -> int:
        return len(self.along_m)


def spread(pieces: Pieces, longest_m: float | None, width_m: float) -> Alleys:
    """Fewest alleys after which no piece is longer than ``longest_m``, spread evenly.

    The first alley must stand within ``longest_m`` of the lowest start among pieces
    that are too long, the next within ``longest_m`` of what the first one left, and so
    on: taking each as far as it may go needs the fewest. With that number fixed, the
    pieces of the rows that were too long are then made as even as can be (the longest
    of them as short as possible). Rows that were short enough have no say, although
    the alleys go through them too.

    Parameters
    ----------
    pieces : Pieces
        Rows before they are cut.
    longest_m : float or None
        None for no alleys. [m]
    width_m : float
        Clear width of an alley. [m]

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
    length = pieces.length_m
    too_long = length > longest_m + TOUCHING_M
    if not too_long.any():
        return none
    start, end = pieces.along_from_m[too_long], pieces.along_to_m[too_long]
    centres = _reaching(start, end, longest_m, width_m)
    count = len(centres)
    reach, enough = longest_m, (float(length.max()) - count * width_m) / (count + 1)
    trial = enough
    while True:
        shorter = _reaching(start, end, trial, width_m, at_most=count) if trial > 0.0 else []
        if shorter:
            centres, reach = shorter, trial
        else:
            enough = trial
        if reach - enough <= EVENNESS_M:
            return Alleys(np.array(centres), width_m)
        trial = (reach + enough) / 2.0


def _reaching(
    start: NDArray[np.float64],
    end: NDArray[np.float64],
    reach_m: float,
    width_m: float,
    at_most: float = math.inf,
) -> list[float]:
    """Alleys set as far apart as pieces of ``reach_m`` allow; none when more than ``at_most``."""
    centres: list[float] = []
    while len(centres) < at_most:
        cut = float(start.min()) + reach_m
        centres.append(cut + width_m / 2.0)
        start = np.maximum(start, cut + width_m)
        left = end - start > reach_m + TOUCHING_M
        if not left.any():
            return centres
        start, end = start[left], end[left]
    return []


def cut(pieces: Pieces, alleys: Alleys) -> Pieces:
    """Take the alleys out of the pieces; order is kept."""
    if not len(alleys):
        return pieces
    below, above = np.full(len(alleys) + 1, np.inf), np.full(len(alleys) + 1, -np.inf)
    below[:-1] = alleys.along_m - alleys.width_m / 2.0
    above[1:] = alleys.along_m + alleys.width_m / 2.0
    # Rows are pieces, columns the ground between one alley and the next.
    start = np.maximum(pieces.along_from_m[:, None], above)
    end = np.minimum(pieces.along_to_m[:, None], below)
    piece, column = np.nonzero(end - start > TOUCHING_M)
    return Pieces(pieces.line[piece], start[piece, column], end[piece, column])
