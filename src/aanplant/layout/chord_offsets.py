"""Peg a curved row by hand: stations along a string from end to end, and offsets square to it."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from aanplant.layout.positions import Positions

STATION_M = 5.0
"""Distance between stations along the string (judgement)."""


@dataclass(frozen=True, slots=True)
class ChordOffsets:
    """Offsets of curved rows from the strings between their end posts, as columns.

    Parameters
    ----------
    piece : ndarray, shape (n,), int64
        Index into ``rows``.
    station_m : ndarray, shape (n,)
        Along the string from the first end post. [m]
    offset_m : ndarray, shape (n,)
        Square to it, above 0 to the right on the way from start to end. [m]
    """

    piece: NDArray[np.int64]
    station_m: NDArray[np.float64]
    offset_m: NDArray[np.float64]


def base_row_offsets(positions: Positions) -> ChordOffsets:
    """Offsets for the row on the base line; none for straight rows.

    A row that turns back beside its string has no single offset at a station and is left
    out.
    """
    rows = positions.rows
    pieces, stations, offsets = [], [], []
    if rows.paths is not None:
        on_base = np.flatnonzero((rows.line == 0) & (positions.vines > 0))
        start = positions.row_start_m[on_base]
        course = rows.paths.between(on_base, start, start + positions.row_length_m[on_base])
        for index, piece in enumerate(on_base.tolist()):
            xy = course.xy[course.first[index] : course.first[index + 1]]
            string = xy[-1] - xy[0]
            length = float(np.hypot(*string))
            along = (xy - xy[0]) @ string / length
            if (np.diff(along) <= 0.0).any():
                continue
            beside = (xy - xy[0]) @ np.array([string[1], -string[0]]) / length
            at = np.append(np.arange(0.0, length, STATION_M), length)
            pieces.append(np.full(len(at), piece))
            stations.append(at)
            offsets.append(np.interp(at, along, beside))
    if not pieces:
        none = np.empty(0)
        return ChordOffsets(np.empty(0, np.int64), none, none)
    return ChordOffsets(np.concatenate(pieces), np.concatenate(stations), np.concatenate(offsets))
