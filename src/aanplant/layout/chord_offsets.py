"""Peg a curved row by hand: stations along a string from end to end, and offsets square to it."""

from dataclasses import dataclass
from typing import Any

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
    walked_m : ndarray, shape (n,)
        Along the row from the first end post. [m]
    xy : ndarray, shape (n, 2)
        The point of the row. [m]
    """

    piece: NDArray[np.int64]
    station_m: NDArray[np.float64]
    offset_m: NDArray[np.float64]
    walked_m: NDArray[np.float64]
    xy: NDArray[np.float64]


def base_row_offsets(positions: Positions) -> ChordOffsets:
    """Offsets for the row on the base line; none for straight rows. See ``row_offsets``."""
    return row_offsets(positions, positions.rows.line == 0)


def row_offsets(positions: Positions, wanted: NDArray[np.bool_] | None = None) -> ChordOffsets:
    """Offsets for all curved rows with vines, or for those ``wanted``; none for straight rows.

    A row that turns back beside its string has no single offset at a station and is left
    out.
    """
    rows = positions.rows
    columns: list[tuple[NDArray[Any], ...]] = []
    if rows.paths is not None:
        is_held = positions.vines > 0
        held = np.flatnonzero(is_held if wanted is None else is_held & wanted)
        start = positions.row_start_m[held]
        course = rows.paths.between(held, start, start + positions.row_length_m[held])
        for index, piece in enumerate(held.tolist()):
            xy = course.xy[course.first[index] : course.first[index + 1]]
            string = xy[-1] - xy[0]
            length = float(np.hypot(*string))
            along = (xy - xy[0]) @ string / length
            if (np.diff(along) <= 0.0).any():
                continue
            beside = (xy - xy[0]) @ np.array([string[1], -string[0]]) / length
            at = np.append(np.arange(0.0, length, STATION_M), length)
            walked = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(xy, axis=0).T))])
            points = np.stack([np.interp(at, along, column) for column in xy.T], axis=1)
            columns.append(
                (
                    np.full(len(at), piece), at, np.interp(at, along, beside),
                    np.interp(at, along, walked), points,
                )
            )  # fmt: skip
    if not columns:
        none = np.empty(0)
        return ChordOffsets(np.empty(0, np.int64), none, none, none, np.empty((0, 2)))
    return ChordOffsets(*(np.concatenate(column) for column in zip(*columns, strict=True)))
