"""Every row as a strip: its vines by number, its posts between them, its ends."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from aanplant.layout.positions import Positions

END_GAP = 0.3
"""How far from its vine an end post is drawn, in vine spacings: two pieces may meet."""


@dataclass(frozen=True, slots=True)
class RowStrip:
    """One row as it is walked, from vine 1 up.

    Parameters
    ----------
    row : int
        Its number.
    length_m : float
        End post to end post, all its pieces together. [m]
    vines : ndarray, shape (n_vines,), int64
        Numbers of the standing vines, rising.
    posts : ndarray, shape (n_line_posts,)
        Line posts, as places along the numbers: 5.5 stands between vines 5 and 6.
    ends : ndarray, shape (n_pieces, 2)
        Both end posts of each piece, likewise.
    """

    row: int
    length_m: float
    vines: NDArray[np.int64]
    posts: NDArray[np.float64]
    ends: NDArray[np.float64]


def row_strips(positions: Positions) -> tuple[RowStrip, ...]:
    """Return the strips of all rows that hold a vine, by their numbers."""
    if not len(positions):
        return ()
    pieces = positions.rows
    posts = _post_places(positions)
    order = np.lexsort((positions.number, positions.row))
    row, number, piece = (
        column[order].astype(np.int64)
        for column in (positions.row, positions.number, positions.piece)
    )
    post_row = pieces.row[positions.line_posts_piece]
    by_row = np.argsort(post_row, kind="stable")
    posts, post_row = posts[by_row], post_row[by_row]
    starts = np.flatnonzero(np.diff(row, prepend=-1))
    strips = []
    for first, last in pairwise([*starts.tolist(), len(row)]):
        own = slice(first, last)
        changes = np.flatnonzero(np.diff(piece[own])) + 1
        from_to = [(part[0] - END_GAP, part[-1] + END_GAP)
                   for part in np.split(number[own], changes)]  # fmt: skip
        at, until = np.searchsorted(post_row, [row[first], row[first] + 1])
        strips.append(
            RowStrip(
                row=int(row[first]),
                length_m=float(positions.row_length_m[np.unique(piece[own])].sum()),
                vines=number[own],
                posts=np.sort(posts[at:until]),
                ends=np.array(from_to, np.float64),
            )
        )
    return tuple(strips)


def lines_of(strip: RowStrip, vines_a_line: int) -> Iterator[int]:
    """Return the first number of every line of marks that a strip takes.

    Vine 1 begins the first line, so that the same number stands at the same place in all
    rows; lines in which no vine stands are left out.
    """
    yield from (1 + vines_a_line * np.unique((strip.vines - 1) // vines_a_line)).tolist()


def _post_places(positions: Positions) -> NDArray[np.float64]:
    """Where each line post stands along the numbers of its row's vines, shape (n_line_posts,)."""
    if not len(positions.line_posts_xy):
        return np.empty(0)
    from scipy.spatial import cKDTree

    # Pieces are set apart in a third direction, so that the nearest vine is one of the same piece.
    reach = 1.0 + float(np.ptp(positions.xy, axis=0).sum())
    vines = np.column_stack([positions.xy, reach * positions.piece])
    posts = np.column_stack([positions.line_posts_xy, reach * positions.line_posts_piece])
    near = cKDTree(vines).query(posts)[1]
    before = np.maximum(near - 1, 0)
    before = np.where(positions.piece[before] == positions.piece[near], before, near)
    after = np.minimum(near + 1, len(positions) - 1)
    after = np.where(positions.piece[after] == positions.piece[near], after, near)
    along = positions.xy[after] - positions.xy[before]
    ahead = ((positions.line_posts_xy - positions.xy[near]) * along).sum(axis=1)
    return np.asarray(positions.number[near] + np.where(ahead < 0.0, -0.5, 0.5), np.float64)
