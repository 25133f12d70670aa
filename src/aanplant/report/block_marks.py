"""The block itself on the sheet: boundary, rows, vines, posts, anchors, row numbers."""

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.spatial import KDTree

from aanplant.layout import Layout
from aanplant.report.style import HEADLAND, INK, SHEET, SOFT
from aanplant.report.svg import Drawing, polylines, repeated, strokes
from aanplant.report.view import View
from aanplant.site import Site

BOUNDARY_DASH = "5 0.9 0.8 0.9"
VINE_APART_MM = 0.6
"""Vines closer together than this on paper run into one line and are left out."""
ROWS_APART_MM = 0.9
"""Posts and anchors are left out where rows lie closer together than this on paper."""
POSTS_APART_MM = 2.5
_SAME_STEP = 0.02


@dataclass(frozen=True, slots=True)
class Detail:
    """What the scale has room for.

    Parameters
    ----------
    row_mm, vine_mm, post_mm : float
        Between rows, vines and line posts on paper. [mm]
    """

    row_mm: float
    vine_mm: float
    post_mm: float

    @property
    def shows_vines(self) -> bool:
        """Whether single vines can be told apart."""
        return self.vine_mm >= VINE_APART_MM and self.row_mm >= ROWS_APART_MM

    @property
    def shows_line_posts(self) -> bool:
        """Whether single line posts can be told apart."""
        return self.post_mm >= POSTS_APART_MM and self.row_mm >= ROWS_APART_MM

    @property
    def shows_ends(self) -> bool:
        """Whether end posts and anchors can be told apart."""
        return self.row_mm >= ROWS_APART_MM

    @property
    def vine_size_mm(self) -> float:
        """Size of the dot of one vine."""
        return min(0.38 * min(self.vine_mm, self.row_mm), 0.55)

    @property
    def end_post_mm(self) -> float:
        """Side of the square of an end post."""
        return min(max(0.42 * self.row_mm, 0.45), 1.1)


def draw_ground(drawing: Drawing, view: View, site: Site, layout: Layout) -> None:
    """Tint the headland: the outline less the ground where rows may run."""
    drawing.path(view.shape(site.boundary), fill=HEADLAND, name="headland")
    drawing.path(view.shape(layout.plantable), fill=SHEET, name="plantable")


def draw_boundary(drawing: Drawing, view: View, site: Site) -> None:
    """Draw the outline dash-dotted."""
    drawing.path(
        view.shape(site.boundary), stroke=INK, width=0.4, dash=BOUNDARY_DASH, name="boundary"
    )


def draw_rows(drawing: Drawing, view: View, layout: Layout, detail: Detail) -> None:
    """Draw rows, and vines, posts and anchors as far as there is room."""
    width = min(0.16, 0.22 * detail.row_mm)
    colour = SOFT if detail.shows_vines else INK
    drawing.path(_row_lines(view, layout), stroke=colour, width=width, name="rows")
    if detail.shows_vines:
        _draw_vines(drawing, view, layout, detail)
    if detail.shows_line_posts:
        posts = _line_posts(view, layout, min(0.3 * detail.row_mm, 0.7))
        drawing.path(posts, stroke=INK, width=0.16, name="line-posts")
    if detail.shows_ends:
        _draw_ends(drawing, view, layout, detail)


def _row_lines(view: View, layout: Layout) -> str:
    """Path data of all rows, end post to end post."""
    positions, paths = layout.positions, layout.rows.paths
    if paths is None:
        ends = view.to_paper(positions.end_posts_xy).reshape(-1, 2, 2)
        return strokes(ends[:, 0], ends[:, 1])
    piece = positions.end_posts_piece[::2].astype(np.int64)
    start_m = positions.row_start_m[piece]
    lines = paths.between(piece, start_m, start_m + positions.row_length_m[piece])
    return polylines(view.to_paper(lines.xy), lines.first)


def _line_posts(view: View, layout: Layout, half_mm: float) -> str:
    """Path data of line posts: short strokes across the row."""
    positions, paths = layout.positions, layout.rows.paths
    posts = view.to_paper(positions.line_posts_xy)
    if paths is None:
        outward = headings_on_paper(view, positions.end_posts_outward_xy[:1])
        across = np.array([-outward[0, 1], outward[0, 0]]) * half_mm
        shape = f"m{-across[0]:.3f} {-across[1]:.3f}l{2 * across[0]:.3f} {2 * across[1]:.3f}"
        return repeated(posts, shape)
    piece = positions.line_posts_piece
    walked = shapely.line_locate_point(
        paths.lines()[piece], shapely.points(positions.line_posts_xy)
    )
    along = headings_on_paper(view, paths.heading_at(piece, walked))
    beside = half_mm * np.stack([-along[:, 1], along[:, 0]], axis=1)
    return strokes(posts - beside, posts + beside)


def vine_runs(
    places: NDArray[np.float64], piece: NDArray[np.int32], step_mm: float
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """First and last vine of every run of evenly spaced vines of one piece of row."""
    apart = np.hypot(*np.diff(places, axis=0).T)
    is_step = np.abs(apart - step_mm) <= _SAME_STEP * step_mm
    breaks = np.flatnonzero((np.diff(piece) != 0) | ~is_step)
    first = np.concatenate([[0], breaks + 1])
    last = np.concatenate([breaks, [len(places) - 1]])
    return first.astype(np.int64), last.astype(np.int64)


def _draw_vines(drawing: Drawing, view: View, layout: Layout, detail: Detail) -> None:
    """One round dot a vine: a line of dashes without length, as far apart as vines.

    A whole block is a single stroke, so the file stays small however many vines it holds.
    """
    positions = layout.positions
    places = view.to_paper(positions.xy)
    first, last = vine_runs(places, positions.piece, detail.vine_mm)
    # A tenth of a step more, or rounding could swallow the last vine.
    over = 0.1 * detail.vine_mm
    if layout.rows.paths is None:
        heading = headings_on_paper(view, layout.rows.heading_xy)[positions.piece[first]]
        runs = strokes(places[first], places[last] + over * heading)
    else:
        runs = _bent_runs(places, first, last, over)
    drawing.path(
        runs,
        stroke=INK,
        width=round(detail.vine_size_mm, 3),
        cap="round",
        dash=f"0 {detail.vine_mm:.6f}",
        name="vines",
    )


def _bent_runs(
    places: NDArray[np.float64], first: NDArray[np.int64], last: NDArray[np.int64], over: float
) -> str:
    """Path data of runs of vines on rows that bend: from vine to vine, and a little further."""
    before = places[np.maximum(last - 1, 0)]
    way = places[last] - np.where((last > first)[:, None], before, places[last] - [1.0, 0.0])
    ends = places[last] + over * way / np.hypot(*way.T)[:, None]
    corners = np.insert(places, last + 1, ends, axis=0)
    count = last - first + 2
    return polylines(corners, np.concatenate([[0], np.cumsum(count)]))


def _draw_ends(drawing: Drawing, view: View, layout: Layout, detail: Detail) -> None:
    positions = layout.positions
    side = detail.end_post_mm
    posts = view.to_paper(positions.end_posts_xy)
    if len(layout.anchors_xy):
        anchors = view.to_paper(layout.anchors_xy)
        held = posts[posts_of_anchors(layout)]
        drawing.path(strokes(held, anchors), stroke=INK, width=0.14, name="stays")
        arm = 0.42 * side
        stroke = f"l{2 * arm:.3f} {2 * arm:.3f}m0 {-2 * arm:.3f}l{-2 * arm:.3f} {2 * arm:.3f}"
        cross = f"m{-arm:.3f} {-arm:.3f}{stroke}"
        drawing.path(repeated(anchors, cross), stroke=INK, width=0.16, name="anchors")
    square = f"m{-side / 2:.3f} {-side / 2:.3f}h{side:.3f}v{side:.3f}h{-side:.3f}z"
    drawing.path(repeated(posts, square), fill=INK, name="end-posts")


def posts_of_anchors(layout: Layout) -> NDArray[np.int64]:
    """End post that each anchor holds, as an index, shape (n_anchors,)."""
    posts = KDTree(layout.positions.end_posts_xy)
    nearest: NDArray[np.int64] = posts.query(layout.anchors_xy)[1]
    return nearest


def headings_on_paper(view: View, vectors: NDArray[np.float64]) -> NDArray[np.float64]:
    """Directions on paper of directions in the frame, shape (n, 2)."""
    origin = view.to_paper([[0.0, 0.0]])
    placed: NDArray[np.float64] = (view.to_paper(vectors) - origin) / view.mm_per_m
    return placed
