"""Every vine, line post, end post and anchor along the rows."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from aanplant.layout.ends import standing
from aanplant.layout.lattice import Lattice, Pattern, Spans, move_clear, on_ground, spans
from aanplant.layout.row_profiles import RowProfiles
from aanplant.layout.rows import Rows

VINES_AT_ONCE = 1 << 15
"""Vines worked on together: columns of this length stay in a processor's cache."""


@dataclass(frozen=True, slots=True)
class Positions:
    """What stands along the rows, as columns. Vines run row by row, from number 1 up.

    Parameters
    ----------
    xy : ndarray, shape (n_vines, 2)
        Vines. [m]
    row, number : ndarray, shape (n_vines,), int32
        Row, and the vine's number along the lattice line from its first vine, across
        alleys and exclusions; together they are unique. Only standing vines count.
    piece : ndarray, shape (n_vines,), int32
        Index into ``rows``.
    line_posts_xy : ndarray, shape (n_line_posts, 2)
        Line posts, mid-way between vines. [m]
    line_posts_piece : ndarray, shape (n_line_posts,), int32
        Index into ``rows``.
    end_posts_xy : ndarray, shape (n_end_posts, 2)
        End posts, start and end of each piece in turn. [m]
    end_posts_piece : ndarray, shape (n_end_posts,), int32
        Index into ``rows``.
    end_posts_is_start : ndarray, shape (n_end_posts,), bool
        Whether numbers begin there.
    end_posts_outward_xy : ndarray, shape (n_end_posts, 2)
        Unit vectors out of the row, towards the anchors.
    row_length_m : ndarray, shape (n_rows,)
        End post to end post as set; 0 for a piece that holds no vine. [m]
    row_start_m : ndarray, shape (n_rows,)
        The first end post, by distance walked from the start of the fitted row. [m]
    vines : ndarray, shape (n_rows,), int32
        Standing vines of each piece.
    bare_pieces : ndarray, int64
        Pieces that hold no vine: they get no posts and are no row.
    left_out, line_posts_left_out : int
        Vines and line posts that would stand but for ``skip``.
    rows : Rows
        What was filled.
    along_ground : RowProfiles or None
        The ground along which vines and line posts are evenly spaced; None when they
        are so on the plan.
    """

    xy: NDArray[np.float64]
    row: NDArray[np.int32]
    number: NDArray[np.int32]
    piece: NDArray[np.int32]
    line_posts_xy: NDArray[np.float64]
    line_posts_piece: NDArray[np.int32]
    end_posts_xy: NDArray[np.float64]
    end_posts_piece: NDArray[np.int32]
    end_posts_is_start: NDArray[np.bool_]
    end_posts_outward_xy: NDArray[np.float64]
    row_length_m: NDArray[np.float64]
    row_start_m: NDArray[np.float64]
    vines: NDArray[np.int32]
    bare_pieces: NDArray[np.int64]
    left_out: int
    line_posts_left_out: int
    rows: Rows
    along_ground: RowProfiles | None = None

    def __len__(self) -> int:
        return len(self.xy)


def place(
    rows: Rows,
    vine_spacing_m: float,
    *,
    pattern: Pattern = "square",
    end_gap_m: float = 0.0,
    post_every: int = 5,
    skip: BaseGeometry | None = None,
    phase_m: float = 0.0,
    anchor_distance_m: float = 0.0,
    along_ground: RowProfiles | None = None,
) -> Positions:
    """Fill rows with vines and posts.

    ``square``: vines stand at along = phase + i * spacing in every row, so they are
    opposite one another through the whole block. The first is the first such point
    at least ``end_gap_m`` inside the fitted row; the end post stands just
    ``end_gap_m`` outside it. ``offset``: the same, odd lattice lines shifted by half a
    spacing (quincunx). ``free``: every row begins anew; end posts stand at the ends of
    the fitted row, the first vine ``end_gap_m`` from the start.

    Line posts stand half-way after lattice point i where i mod ``post_every`` = 0, so
    that they line up across the block; in ``free`` after every ``post_every`` vines
    from the row's start; always between the first and the last vine.

    Parameters
    ----------
    rows : Rows
        Numbered as wanted.
    vine_spacing_m : float
        Vine to vine along the row, above 0. [m]
    pattern : {"square", "offset", "free"}
        How vines of neighbouring rows stand to each other.
    end_gap_m : float
        End post to first vine. [m]
    post_every : int
        Vines between line posts, 1 or more.
    skip : shapely Polygon or MultiPolygon, optional
        Ground on which no vine and no post stands. Rows run on over it, and numbers
        go on without a gap. A row that would end in it ends before it, so that post
        and anchor are clear.
    phase_m : float
        Where lattice point 0 lies along the rows. [m]
    anchor_distance_m : float
        How far anchors stand beyond end posts; matters only with ``skip``. [m]
    along_ground : RowProfiles, optional
        Profiles of these rows, to hold spacing and gaps along the ground; only with the
        pattern ``free``. On the plan when left out.

    Returns
    -------
    Positions

    Raises
    ------
    ValueError
        If a distance is out of range or the pattern is unknown.
    """
    if post_every < 1:
        raise ValueError(f"post_every must be 1 or more, got {post_every}")
    _check_pattern(rows, pattern)
    if along_ground is not None and pattern != "free":
        raise ValueError(f"spacing along the ground needs the pattern 'free', got {pattern!r}")
    lattice = Lattice(vine_spacing_m, pattern, end_gap_m, phase_m)
    full = spans(rows, lattice)
    kept = full if skip is None else move_clear(rows, lattice, skip, anchor_distance_m)
    if along_ground is not None:
        full, kept = (on_ground(part, lattice, along_ground) for part in (full, kept))
    xy, piece = _points(rows, kept.first_m, vine_spacing_m, kept.count, along_ground)
    posts_xy, posts_piece = _line_posts(rows, kept, vine_spacing_m, post_every, along_ground)
    vines = kept.count.astype(np.int32)
    posts_fitted = len(posts_xy)
    if skip is not None:
        xy, piece = standing(skip, xy, piece)
        posts_xy, posts_piece = standing(skip, posts_xy, posts_piece)
        vines = np.bincount(piece, minlength=len(rows)).astype(np.int32)
    held = np.flatnonzero(vines)
    ends = np.stack([kept.start_m, kept.end_m], axis=1)[held].ravel()
    outward = rows.heading_at(np.repeat(held, 2), ends).copy()
    outward[::2] *= -1.0
    row, number = _numbers(rows, vines)
    return Positions(
        xy=xy,
        row=row,
        number=number,
        piece=piece,
        line_posts_xy=posts_xy,
        line_posts_piece=posts_piece,
        end_posts_xy=rows.point_at(np.repeat(held, 2), ends),
        end_posts_piece=np.repeat(held, 2).astype(np.int32),
        end_posts_is_start=np.tile([True, False], len(held)),
        end_posts_outward_xy=outward,
        row_length_m=np.where(vines > 0, kept.end_m - kept.start_m, 0.0),
        row_start_m=kept.start_m,
        vines=vines,
        bare_pieces=np.flatnonzero(vines == 0),
        left_out=int(full.count.sum()) - len(xy),
        line_posts_left_out=posts_fitted - len(posts_xy),
        rows=rows,
        along_ground=along_ground,
    )


def count(
    rows: Rows,
    vine_spacing_m: float,
    *,
    pattern: Pattern = "square",
    end_gap_m: float = 0.0,
    phase_m: float = 0.0,
) -> NDArray[np.int64]:
    """Vines each piece of row holds, shape (n_rows,), without placing them.

    Parameters and errors are those of ``place``.
    """
    _check_pattern(rows, pattern)
    return spans(rows, Lattice(vine_spacing_m, pattern, end_gap_m, phase_m)).count


def anchors(
    positions: Positions, anchor_distance_m: float | NDArray[np.float64]
) -> NDArray[np.float64]:
    """Anchors beyond every end post, in line with the row, shape (n_end_posts, 2).

    ``anchor_distance_m`` is one distance, or one an end post. [m]
    """
    distance = np.reshape(anchor_distance_m, (-1, 1))
    return positions.end_posts_xy + distance * positions.end_posts_outward_xy


def widest_span_m(positions: Positions) -> float:
    """Widest distance from post to next post along any piece of row, end posts included. [m]."""
    rows = positions.rows
    xy = np.concatenate([positions.line_posts_xy, positions.end_posts_xy])
    piece = np.concatenate([positions.line_posts_piece, positions.end_posts_piece])
    along = xy @ rows.heading_xy[0]  # straight rows: one heading for all
    order = np.lexsort((along, piece))
    same_piece = np.diff(piece[order]) == 0
    return float(np.diff(along[order])[same_piece].max())


def _check_pattern(rows: Rows, pattern: Pattern) -> None:
    if rows.paths is not None and pattern != "free":
        raise ValueError(f"rows that bend need the pattern 'free', got {pattern!r}")


def _points(
    rows: Rows,
    first_m: NDArray[np.float64],
    step_m: float,
    count: NDArray[np.int64],
    along_ground: RowProfiles | None = None,
) -> tuple[NDArray[np.float64], NDArray[np.int32]]:
    """Evenly spaced points on every piece, with the piece of each.

    Filled in place, a cache-full of pieces at a time: millions of vines need no more
    memory than their own columns.
    """
    beyond = np.cumsum(count)
    total = int(beyond[-1]) if len(count) else 0
    if rows.paths is not None or along_ground is not None:
        owner = np.repeat(np.arange(len(rows), dtype=np.int32), count)
        nth = np.arange(total) - np.repeat(beyond - count, count)
        at = first_m[owner] + step_m * nth
        walked = at if along_ground is None else along_ground.walked_at(owner, at)
        return rows.point_at(owner, walked), owner
    xy = np.empty((total, 2))
    piece = np.empty(total, np.int32)
    heading = rows.heading_xy[:1] * step_m  # straight rows: one heading for all
    first_xy = rows.point_at(np.arange(len(rows)), first_m)
    done = low = 0
    while low < len(count):
        high = max(int(np.searchsorted(beyond, done + VINES_AT_ONCE)), low + 1)
        end = int(beyond[high - 1])
        each = count[low:high]
        part = piece[done:end]
        part[:] = np.repeat(np.arange(low, high, dtype=np.int32), each)
        in_batch = np.arange(end - done, dtype=np.float64)
        before = beyond[low:high] - each - done
        for axis in (0, 1):
            column = in_batch * heading[0, axis]
            column += np.repeat(first_xy[low:high, axis] - before * heading[0, axis], each)
            xy[done:end, axis] = column
        done, low = end, high
    return xy, piece


def _numbers(rows: Rows, vines: NDArray[np.int32]) -> tuple[NDArray[np.int32], NDArray[np.int32]]:
    """Row and number of every vine, counted on from piece to piece of a lattice line."""
    new_row = np.flatnonzero(np.diff(rows.row, prepend=0))
    each = np.add.reduceat(vines, new_row, dtype=np.int64) if len(new_row) else vines
    row = np.repeat(rows.row[new_row], each)
    number = np.arange(1, len(row) + 1, dtype=np.int32)
    number -= np.repeat((np.cumsum(each) - each).astype(np.int32), each)
    return row, number


def _line_posts(
    rows: Rows,
    kept: Spans,
    spacing_m: float,
    post_every: int,
    along_ground: RowProfiles | None,
) -> tuple[NDArray[np.float64], NDArray[np.int32]]:
    """Half-way after every lattice point with i mod ``post_every`` = 0, before the last vine."""
    last_index = kept.first_index + kept.index_step * (kept.count - 1)
    low, high = np.minimum(kept.first_index, last_index), np.maximum(kept.first_index, last_index)
    lowest = -(-low // post_every) * post_every
    highest = (high - 1) // post_every * post_every
    posts = np.where(kept.count > 1, np.maximum((highest - lowest) // post_every + 1, 0), 0)
    nearest = lowest if kept.index_step > 0 else highest
    # Half a spacing up the lattice, whichever way the numbers run.
    first_m = kept.first_m + spacing_m * kept.index_step * (nearest + 0.5 - kept.first_index)
    return _points(rows, first_m, spacing_m * post_every, posts, along_ground)
