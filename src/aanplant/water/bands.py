"""Which rows lie beside one another without a break, so that one submain can feed them."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from aanplant.layout.positions import Positions

Whole = NDArray[np.int64]
Values = NDArray[np.float64]


@dataclass(frozen=True)
class Bands:
    """Pieces of row that hold vines, in bands; pieces as columns of shape (n,).

    A band holds at most one piece of every row; each lies beside the next.

    Parameters
    ----------
    piece : ndarray of int
        Index into the rows, band after band, within a band from row to row. Every other
        band runs back, so that the last piece of one lies near the first of the next.
    band : ndarray of int
        Band of each, from 0 without gaps.
    """

    piece: Whole
    band: Whole

    def __len__(self) -> int:
        return len(self.piece)

    @property
    def count(self) -> int:
        """Number of bands."""
        return int(self.band[-1]) + 1 if len(self.band) else 0


def bands_of(positions: Positions) -> Bands:
    """Put the pieces of row that hold vines into bands.

    A piece goes with the piece of the next row with which it lies side by side over the
    greatest length, if it is that to it too. A cross alley or a dam parts bands.

    Parameters
    ----------
    positions : Positions
        Filled rows, straight or bent.
    """
    rows = positions.rows
    held = np.flatnonzero(positions.vines > 0).astype(np.int64)
    line = rows.line[held]
    low = np.minimum(rows.along_start_m[held], rows.along_end_m[held])
    high = np.maximum(rows.along_start_m[held], rows.along_end_m[held])
    order = np.lexsort((low, line))
    held, line, low, high = held[order], line[order], low[order], high[order]
    label = _labels(line, low, high)
    middle = np.bincount(label, (low + high) / 2.0) / np.maximum(np.bincount(label), 1)
    # Bands from the lowest along the rows to the highest; ties by their first row.
    rank = np.empty(len(middle), np.int64)
    rank[np.lexsort((np.arange(len(middle)), np.round(middle, 3)))] = np.arange(len(middle))
    band = rank[label]
    across = np.where(band % 2 == 0, line, -line)
    place = np.lexsort((across, band))
    return Bands(held[place], band[place])


def _labels(line: Whole, low: Values, high: Values) -> Whole:
    """Band of every piece, pieces sorted by line; one pass over the lines."""
    label = np.full(len(line), -1, np.int64)
    first = np.flatnonzero(np.diff(line, prepend=line[:1] - 1))
    last = np.append(first[1:], len(line))
    fresh = 0
    before = slice(0, 0)
    for start, end in zip(first.tolist(), last.tolist(), strict=True):
        here = slice(start, end)
        beside = np.minimum(high[before][:, None], high[here]) - np.maximum(
            low[before][:, None], low[here]
        )
        for new in range(end - start):
            old = int(beside[:, new].argmax()) if len(beside) else -1
            if old >= 0 and beside[old, new] > 0.0 and int(beside[old].argmax()) == new:
                label[start + new] = label[before][old]
            else:
                label[start + new] = fresh
                fresh += 1
        before = here
    return label
