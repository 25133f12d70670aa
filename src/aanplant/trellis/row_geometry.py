"""Every row as its wires see it: how long, how far from post to post, how bent, how hollow."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from aanplant.layout import Layout
from aanplant.layout.positions import Positions
from aanplant.layout.side_load import post_bends
from aanplant.site import Site
from aanplant.trellis.loads import rows_from_the_edge, slope_change_deg

Values = NDArray[np.float64]
Whole = NDArray[np.int64]

GAP_PER_SPACING = 1.5
"""A span over so many usual ones lies over ground that is skipped, and bears no vines."""


@dataclass(frozen=True)
class TrellisRows:
    """Pieces of row that hold vines, columns of shape (n_rows,).

    Parameters
    ----------
    piece : ndarray of int
        Index into ``layout.rows``.
    row, part : ndarray of int
        Number of the row, and of its piece.
    length_m : ndarray
        End post to end post, on the ground where heights are known. [m]
    span_m : ndarray
        Post to post: the one span whose pull changes as that of all spans with vines together,
        sqrt(sum of cubes / sum). [m]
    longest_span_m : ndarray
        Greatest post to post, over skipped ground too. [m]
    bay_m : ndarray
        Row with leaves that hangs on its most loaded line post; 0 where it has none. [m]
    line_posts, vines : ndarray of int
        That stand in it.
    rows_deep : ndarray of int
        1 for the outer rows of the block, counted from the nearer side.
    bend_share : ndarray
        Side load on the most bent line post as a share of the pull of its wires. [-]
    radius_m : ndarray
        At that post; infinite in straight rows. [m]
    dip_deg : ndarray
        Greatest turn upward of the wires at a line post, 0 without a dip; nan where heights
        are not known. [deg]
    """

    piece: Whole
    row: Whole
    part: Whole
    length_m: Values
    span_m: Values
    longest_span_m: Values
    bay_m: Values
    line_posts: Whole
    vines: Whole
    rows_deep: Whole
    bend_share: Values
    radius_m: Values
    dip_deg: Values

    def __len__(self) -> int:
        return len(self.piece)


@dataclass(frozen=True)
class _Supports:
    """End and line posts of all rows as they follow one another."""

    piece: Whole
    xy: Values
    line_post: Whole
    """Index of the line post, -1 for an end post."""

    @property
    def same(self) -> NDArray[np.bool_]:
        """Whether a support and the next stand in one row, shape (n_supports - 1,)."""
        return np.asarray(self.piece[1:] == self.piece[:-1])

    @property
    def step_m(self) -> Values:
        """From each support to the next on the plan; without meaning between rows. [m]."""
        return np.asarray(np.hypot(*np.diff(self.xy, axis=0).T))


def trellis_rows(
    layout: Layout, site: Site, *, vine_spacing_m: float, post_every: int
) -> TrellisRows:
    """Measure every row that holds vines.

    Parameters
    ----------
    layout : Layout
        Rows and posts.
    site : Site
        Its terrain, where heights are known.
    vine_spacing_m : float
        Vine to vine. [m]
    post_every : int
        Vines from line post to line post.
    """
    positions = layout.positions
    rows = positions.rows
    count = len(rows)
    held = np.flatnonzero(positions.row_length_m > 0.0)
    length = positions.row_length_m if layout.slopes is None else layout.slopes.ground_m
    supports = _supports(positions)
    posts = np.bincount(positions.line_posts_piece, minlength=count)
    most_m = GAP_PER_SPACING * post_every * vine_spacing_m
    leafy_m = _leafy_m(supports, layout, vine_spacing_m, most_m)
    span, longest, bay = _spans(supports, posts, most_m, leafy_m)
    bend, radius = _bends(positions, count)
    first, last = int(rows.row.min(initial=1)), int(rows.row.max(initial=1))
    return TrellisRows(
        held,
        rows.row[held].astype(np.int64),
        rows.part[held].astype(np.int64),
        np.asarray(length[held], np.float64),
        span[held],
        longest[held],
        bay[held],
        posts[held],
        positions.vines[held].astype(np.int64),
        rows_from_the_edge(rows.row[held], first, last),
        bend[held],
        radius[held],
        _dips(supports, site, count)[held],
    )


def _supports(positions: Positions) -> _Supports:
    ends = len(positions.end_posts_piece)
    piece = np.concatenate([positions.end_posts_piece, positions.line_posts_piece])
    xy = np.concatenate([positions.end_posts_xy, positions.line_posts_xy])
    # Start post, line posts as they follow one another, end post.
    place = np.ones(len(piece))
    place[:ends] = np.where(positions.end_posts_is_start, 0.0, 2.0)
    order = np.lexsort((place, piece))
    index = np.maximum(np.arange(len(piece)) - ends, -1)
    return _Supports(piece[order].astype(np.int64), xy[order], index[order])


def _leafy_m(supports: _Supports, layout: Layout, vine_spacing_m: float, most_m: float) -> Values:
    """Row with leaves from each support to the next, less where ground is skipped. [m]."""
    positions, step = layout.positions, supports.step_m
    rows = positions.rows
    if not positions.line_posts_left_out:
        return step
    if rows.paths is not None:
        return _leafy_on_curves_m(supports, positions, vine_spacing_m, most_m)
    # Rows stand behind one another on one long axis, with room between them.
    room_m = 2.0 * float(rows.length_m.max()) + 1.0
    places = [
        piece * room_m + ((xy - rows.start_xy[piece]) * rows.heading_xy[piece]).sum(axis=1)
        for piece, xy in ((supports.piece, supports.xy), (positions.piece, positions.xy))
    ]
    span = np.searchsorted(places[0], places[1]) - 1
    vines = np.bincount(np.maximum(span, 0), minlength=len(step) + 1)[: len(step)]
    return np.asarray(np.minimum(step, vines * vine_spacing_m))


def _leafy_on_curves_m(
    supports: _Supports, positions: Positions, vine_spacing_m: float, most_m: float
) -> Values:
    """Row with leaves from each support to the next, vines counted on the few long chords. [m]."""
    step = supports.step_m
    leafy = step.copy()
    for at in np.flatnonzero(supports.same & (step > most_m)):
        foot, chord = supports.xy[at], supports.xy[at + 1] - supports.xy[at]
        vines = positions.xy[positions.piece == supports.piece[at]] - foot
        share = (vines @ chord) / step[at] ** 2
        aside_m = np.abs(vines @ np.array([-chord[1], chord[0]])) / step[at]
        # Where a row winds back on itself its other vines stand further off than the chord's bow.
        beside = (share > 0.0) & (share < 1.0) & (aside_m < step[at] / 4.0)
        leafy[at] = min(step[at], float(beside.sum()) * vine_spacing_m)
    return leafy


def _spans(
    supports: _Supports, posts: Whole, most_m: float, leafy_m: Values
) -> tuple[Values, Values, Values]:
    """Equal span, greatest span and greatest bay of each piece, shape (n_pieces,) each. [m]."""
    count = len(posts)
    step, same = supports.step_m, supports.same
    owner, length = supports.piece[:-1][same], step[same]
    # A post that skipped ground leaves out makes one long span, with leaves over a part of it.
    leafy = leafy_m[same]
    with_vines = (leafy > 0.0) & ((length <= most_m) | (leafy > most_m / 2.0))
    with_vines |= posts[owner] == 0
    borne = np.where(length <= most_m, length, leafy) ** 2 * length
    some = [
        np.bincount(owner[with_vines], each[with_vines], minlength=count)
        for each in (borne, length)
    ]
    longest = _greatest(owner, length, count)
    equal = np.sqrt(np.divide(some[0], some[1], out=longest**2, where=some[1] > 0.0))
    at = np.flatnonzero(supports.line_post >= 0)
    bay = _greatest(supports.piece[at], (leafy_m[at - 1] + leafy_m[at]) / 2.0, count)
    return np.asarray(equal), longest, bay


def _bends(positions: Positions, count: int) -> tuple[Values, Values]:
    """Greatest share of the pull that bends a line post, and the radius there."""
    share, radius = np.zeros(count), np.full(count, np.inf)
    if positions.rows.paths is not None and len(positions.line_posts_piece):
        bends = post_bends(positions)
        share = _greatest(positions.line_posts_piece, bends.load_share, count)
        np.minimum.at(radius, positions.line_posts_piece, bends.radius_m)
    return share, radius


def _dips(supports: _Supports, site: Site, count: int) -> Values:
    if site.terrain is None or not len(supports.piece):
        return np.full(count, np.nan)
    along = np.concatenate([[0.0], np.cumsum(supports.step_m)])
    turn = slope_change_deg(along, site.terrain.height(supports.xy), supports.piece)
    unknown = np.bincount(supports.piece, np.isnan(turn), minlength=count) > 0
    dip = _greatest(supports.piece, np.nan_to_num(turn), count)
    return np.where(unknown, np.nan, dip)


def _greatest(owner: NDArray[np.integer], value: Values, count: int) -> Values:
    """Greatest value of each piece, 0 where it has none above 0."""
    greatest = np.zeros(count)
    np.maximum.at(greatest, owner, value)
    return greatest
