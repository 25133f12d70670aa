"""Where submains lie: past the row ends, or through the rows, from lateral to lateral."""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from aanplant.layout.positions import Positions
from aanplant.water.bands import Bands
from aanplant.water.laterals import Place
from aanplant.water.routes import Land, straight, way

Values = NDArray[np.float64]
Whole = NDArray[np.int64]

_SMOOTHED_OVER = 9
"""Rows over which the middles of rows are evened out."""
_LEAST_SHARE = 0.1
"""A row is fed no nearer to its end than this share of it."""


@dataclass(frozen=True)
class Inlets:
    """Where every piece of row takes its water, columns of shape (n_rows,).

    Parameters
    ----------
    xy : ndarray, shape (n_rows, 2)
        Place of its connection; nan for pieces without vines. [m]
    walked_m : ndarray
        Distance from the start of the fitted row; negative, or beyond its end, where the
        connection lies outside the row. [m]
    place : ndarray of str
        ``row start``, ``row end`` or ``middle``.
    """

    xy: Values
    walked_m: Values
    place: NDArray[np.str_]


@dataclass(frozen=True)
class SubmainLine:
    """One submain.

    Parameters
    ----------
    set_number : int
        Set it belongs to.
    place : str
        ``row start``, ``row end`` or ``middle``.
    xy : ndarray, shape (n, 2)
        Its corners. [m]
    piece : ndarray of int, shape (n,)
        Piece of row connected there; -1 at a mere corner.
    valve : int
        The water comes in half-way from this corner to the next; at it when it is the last.
    """

    set_number: int
    place: str
    xy: Values
    piece: Whole
    valve: int

    @property
    def valve_xy(self) -> Values:
        """Place of the valve, between two rows where there are two, shape (2,). [m]."""
        return np.asarray(self.xy[self.valve : self.valve + 2].mean(axis=0))


def inlets(
    positions: Positions,
    bands: Bands,
    places: list[Place],
    beyond_m: Values,
    shares: Values,
) -> Inlets:
    """Place the connections of all rows.

    Parameters
    ----------
    positions : Positions
        Filled rows.
    bands : Bands
        Their bands.
    places : list of {"row start", "row end", "middle"}
        For every band.
    beyond_m : ndarray, shape (n_end_posts,)
        From every end post to a submain past it. [m]
    shares : ndarray, shape (n_bands,)
        Where a submain through the rows of a band meets them, as a share from their start.
    """
    rows = positions.rows
    n = len(rows)
    xy = np.full((n, 2), np.nan)
    walked = np.full(n, np.nan)
    place = np.full(n, "", dtype="<U9")
    place[bands.piece] = np.array(places, dtype="<U9")[bands.band]
    for is_start, name, sign in ((True, "row start", -1.0), (False, "row end", 1.0)):
        own = (positions.end_posts_is_start == is_start) & (
            place[positions.end_posts_piece] == name
        )
        piece = positions.end_posts_piece[own]
        outward = positions.end_posts_outward_xy[own]
        xy[piece] = positions.end_posts_xy[own] + beyond_m[own, None] * outward
        post = positions.row_start_m[piece]
        post = post if is_start else post + positions.row_length_m[piece]
        walked[piece] = post + sign * beyond_m[own]
    for band, name in enumerate(places):
        if name != "middle":
            continue
        piece = bands.piece[bands.band == band]
        start, end = rows.along_start_m[piece], rows.along_end_m[piece]
        at = _evened(start, end, shares[band]) * rows.length_m[piece]
        post, length = positions.row_start_m[piece], positions.row_length_m[piece]
        edge = _LEAST_SHARE * length
        walked[piece] = np.clip(at, post + edge, post + length - edge)
        xy[piece] = rows.point_at(piece, walked[piece])
    return Inlets(xy, walked, place)


def submain_lines(
    bands: Bands, set_of: Whole, connections: Inlets, emitters: Whole, land: Land
) -> list[SubmainLine] | tuple[Values, Values]:
    """Lay a submain for every set in every band it takes part in.

    Parameters
    ----------
    bands : Bands
        Pieces in their bands.
    set_of : ndarray of int, shape (n,)
        Set of each piece, in the order of ``bands``.
    connections : Inlets
        Where each piece takes its water.
    emitters : ndarray of int, shape (n_rows,)
        Drippers of every piece; the valve stands where half of them lie to either side.
    land : Land
        What to go around.

    Returns
    -------
    list of SubmainLine
        Or, where no way leads from one row to the next, the two places.
    """
    made = []
    new = np.flatnonzero((np.diff(bands.band) != 0) | (np.diff(set_of) != 0)) + 1
    edges = [0, *new.tolist(), len(bands)]
    for start, end in pairwise(edges):
        piece = bands.piece[start:end]
        line = _joined(connections.xy[piece], piece, land)
        if line is None:
            return _gap(connections.xy[piece], land)
        xy, at = line
        before = np.cumsum(emitters[piece])[: max(len(piece) - 1, 1)]
        central = piece[int(np.argmin(np.abs(before - emitters[piece].sum() / 2.0)))]
        valve = int(np.flatnonzero(at == central)[0])
        made.append(
            SubmainLine(int(set_of[start]), str(connections.place[piece[0]]), xy, at, valve)
        )
    return made


def _evened(along_start_m: Values, along_end_m: Values, share: float) -> Values:
    """Share of each row at which one smooth submain through all meets it, shape (n,)."""
    middle = along_start_m + share * (along_end_m - along_start_m)
    half = min(_SMOOTHED_OVER, len(middle)) // 2
    padded = np.pad(middle, half, mode="edge")
    even = np.convolve(padded, np.full(2 * half + 1, 1.0 / (2 * half + 1)), mode="valid")
    return np.asarray((even - along_start_m) / (along_end_m - along_start_m))


def _joined(xy: Values, piece: Whole, land: Land) -> tuple[Values, Whole] | None:
    """Join connections in their order, around what must be avoided."""
    if len(xy) == 1:
        return xy, piece
    lines = straight(xy[:-1], xy[1:])
    corners: list[Values] = [xy[:1]]
    at: list[Whole] = [piece[:1]]
    done = 0
    for step in np.flatnonzero(land.forbids(lines)).tolist():
        corners.append(xy[done + 1 : step + 1])
        at.append(piece[done + 1 : step + 1])
        around = way(land, xy[step], xy[step + 1])
        if around is None:
            return None
        corners.append(around[1:-1])
        at.append(np.full(len(around) - 2, -1, np.int64))
        corners.append(xy[step + 1 : step + 2])
        at.append(piece[step + 1 : step + 2])
        done = step + 1
    corners.append(xy[done + 1 :])
    at.append(piece[done + 1 :])
    return np.concatenate(corners), np.concatenate(at)


def _gap(xy: Values, land: Land) -> tuple[Values, Values]:
    """Return the first two connections that no way joins."""
    step = next(
        step
        for step in np.flatnonzero(land.forbids(straight(xy[:-1], xy[1:]))).tolist()
        if way(land, xy[step], xy[step + 1]) is None
    )
    return xy[step], xy[step + 1]
