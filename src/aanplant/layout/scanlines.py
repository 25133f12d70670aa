"""Where straight, evenly spaced lines lie free inside a field.

Everything here works in the row frame: ``across`` runs square to the rows,
``along`` runs with them, both from the origin of the coordinates. Line j lies at
across = offset + j * spacing.
"""

import itertools
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from aanplant.layout.row_frame import Edges

TOUCHING_M = 1e-9
"""Gaps and pieces no longer than this are rounding, not ground."""


Room = float | NDArray[np.float64]
"""A distance kept from all edges, or one for each edge, shape (n_edges,)."""


class Pieces(NamedTuple):
    """Free pieces of lines as columns, shape (n_pieces,) each, sorted by line, then along."""

    line: NDArray[np.int64]
    along_from_m: NDArray[np.float64]
    along_to_m: NDArray[np.float64]

    @property
    def length_m(self) -> NDArray[np.float64]:
        """Length of each piece."""
        return self.along_to_m - self.along_from_m

    def where(self, kept: NDArray[np.bool_]) -> "Pieces":
        """Pieces for which ``kept`` is true."""
        return Pieces(self.line[kept], self.along_from_m[kept], self.along_to_m[kept])


def free_pieces(
    edges: Edges, spacing_m: float, offset_m: float, headland_m: Room = 0.0, margin_m: Room = 0.0
) -> Pieces:
    """Pieces of all lines whose every point keeps its distance from all edges.

    A point keeps its distance when no edge comes inside the ellipse around it with
    half-axes ``headland_m`` along and ``margin_m`` across (a segment when one of them
    is zero, the bare point when both are). Found without any approximation: a line
    meets the strip swept by the ellipse along an edge in one interval, known in
    closed form.

    Half-open rule: an edge crosses line t when min <= t < max of its across
    coordinates, so a corner on a line counts once and every line is entered as often
    as it is left.

    Parameters
    ----------
    edges : Edges
        In the row frame, ground to the left.
    spacing_m, offset_m : float
        Lines lie at across = offset + j * spacing. [m]
    headland_m, margin_m : float or ndarray, shape (n_edges,)
        Distance kept along and across; an edge with its own keeps it on its own side. [m]

    Returns
    -------
    Pieces
        Longer than ``TOUCHING_M``; pieces that touch are one.
    """
    return _between(*_changes(edges, spacing_m, offset_m, headland_m, margin_m)[:3])


def free_pieces_at(
    edges: Edges, spacing_m: float, offsets_m: Sequence[float], headland_m: Room, margin_m: Room
) -> list[Pieces]:
    """As ``free_pieces`` at each of some offsets, all found at once."""
    n_edges = len(edges.x_from)
    everywhere = Edges(*(np.tile(column, len(offsets_m)) for column in edges))
    offset, *rooms = (
        np.repeat(offsets_m, n_edges),
        np.tile(np.broadcast_to(headland_m, n_edges), len(offsets_m)),
        np.tile(np.broadcast_to(margin_m, n_edges), len(offsets_m)),
    )
    line, along, change, edge = _changes(everywhere, spacing_m, offset, *rooms)
    if not len(line):
        return [_between(line, along, change)] * len(offsets_m)
    # The lines of one offset stand behind those of another.
    first, lines = line.min(), int(np.ptp(line)) + 1
    found = _between(line - first + edge // n_edges * lines, along, change)
    limits = np.searchsorted(found.line, np.arange(len(offsets_m) + 1) * lines)
    return [
        Pieces(
            found.line[low:high] - number * lines + first,
            found.along_from_m[low:high],
            found.along_to_m[low:high],
        )
        for number, (low, high) in enumerate(itertools.pairwise(limits.tolist()))
    ]


def _changes(
    edges: Edges,
    spacing_m: float,
    offset_m: float | NDArray[np.float64],
    headland_m: Room,
    margin_m: Room,
) -> tuple[NDArray[np.int64], NDArray[np.float64], NDArray[np.int64], NDArray[np.int64]]:
    """Line, along, change and edge wherever free ground begins (change 1) or ends (-1).

    ``offset_m`` is one for all edges, or one for each.
    """
    offset_m = np.broadcast_to(offset_m, edges.x_from.shape)
    low = np.minimum(edges.x_from, edges.x_to)
    high = np.maximum(edges.x_from, edges.x_to)
    first_crossed = np.ceil((low - offset_m) / spacing_m).astype(np.int64)
    first_missed = np.ceil((high - offset_m) / spacing_m).astype(np.int64)
    if not np.any(headland_m) and not np.any(margin_m):
        edge, line = _runs(first_crossed, first_missed)
        slope = (edges.y_to - edges.y_from) / np.where(high > low, edges.x_to - edges.x_from, 1.0)
        along = (line * spacing_m + (offset_m - edges.x_from)[edge]) * slope[edge]
        along += edges.y_from[edge]
        change = np.where(edges.x_to > edges.x_from, 1, -1)[edge]
        return line, along, change, edge
    # A line at just the margin from an edge keeps its distance.
    reach = np.asarray(margin_m) - TOUCHING_M
    first_near = np.ceil((low - reach - offset_m) / spacing_m).astype(np.int64)
    first_far = np.floor((high + reach - offset_m) / spacing_m).astype(np.int64) + 1
    edge, line = _runs(
        np.where(reach > 0.0, first_near, first_crossed),
        np.where(reach > 0.0, first_far, first_missed),
    )
    crossed = (line >= first_crossed[edge]) & (line < first_missed[edge])
    eastward = (edges.x_to > edges.x_from)[edge]
    # A crossed edge lets ground begin above its strip, or end below it; an edge that is
    # only near takes its strip out of whatever ground is there.
    begins, ends = ~crossed | eastward, ~crossed | ~eastward
    across = line * spacing_m + offset_m[edge]
    half_axes = (np.broadcast_to(headland_m, low.shape), np.broadcast_to(margin_m, low.shape))
    above = _strip_end(edges, edge[begins], across[begins], half_axes, 1.0)
    below = _strip_end(edges, edge[ends], across[ends], half_axes, -1.0)
    return (
        np.concatenate([line[begins], line[ends]]),
        np.concatenate([above, below]),
        np.concatenate([np.ones(len(above), np.int64), np.full(len(below), -1)]),
        np.concatenate([edge[begins], edge[ends]]),
    )


def _runs(
    first: NDArray[np.int64], beyond: NDArray[np.int64]
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Edge number and line number of every pair with first <= line < beyond."""
    count = np.maximum(beyond - first, 0)
    edge = np.repeat(np.arange(len(first)), count)
    line = np.arange(len(edge)) + (first - (np.cumsum(count) - count))[edge]
    return edge, line


def _strip_end(
    edges: Edges,
    edge: NDArray[np.int64],
    across: NDArray[np.float64],
    half_axes: tuple[NDArray[np.float64], NDArray[np.float64]],
    side: float,
) -> NDArray[np.float64]:
    """Upper (side 1) or lower (side -1) end of the strip swept along an edge, on a line.

    With across and along measured in half-axes the strip is all within 1 of the edge.
    The line leaves it on a unit circle around a point of the edge: the point whose
    normal passes the line there, or an end of the edge.
    """
    headland, margin = half_axes
    if not headland.any():
        return _flat_strip_end(edges, edge, across, margin, side)
    dx = edges.x_to - edges.x_from
    dy = edges.y_to - edges.y_from
    # The part of the edge's own normal that points across; 0 when the ellipse has no width.
    length = np.hypot(dx * headland, dy * margin)
    lean = np.divide(
        -dy * margin * np.where(dx < 0, -1.0, 1.0), length, where=length > 0, out=np.zeros_like(dx)
    )
    upright = np.where(side * dy > 0, 1.0, 0.0)
    fraction = np.divide(
        across - (edges.x_from + side * margin * lean)[edge],
        dx[edge],
        where=dx[edge] != 0,
        out=upright[edge],
    )
    np.clip(fraction, 0.0, 1.0, out=fraction)
    reach = across - (edges.x_from[edge] + fraction * dx[edge])
    reach *= np.divide(1.0, margin, where=margin > 0, out=np.zeros_like(dx))[edge]
    np.multiply(reach, reach, out=reach)
    np.subtract(1.0, reach, out=reach)
    np.maximum(reach, 0.0, out=reach)
    np.sqrt(reach, out=reach)
    return edges.y_from[edge] + fraction * dy[edge] + (side * headland)[edge] * reach


def _flat_strip_end(
    edges: Edges,
    edge: NDArray[np.int64],
    across: NDArray[np.float64],
    margin: NDArray[np.float64],
    side: float,
) -> NDArray[np.float64]:
    """As ``_strip_end`` where the ellipse has shrunk to a segment across the rows."""
    x, dx = edges.x_from[edge], (edges.x_to - edges.x_from)[edge]
    y, dy = edges.y_from[edge], (edges.y_to - edges.y_from)[edge]
    ends = []
    for reach, limit in ((-margin[edge], 0.0), (margin[edge], 1.0)):
        fraction = np.divide(across + reach - x, dx, where=dx != 0, out=np.full_like(across, limit))
        ends.append(y + np.clip(fraction, 0.0, 1.0) * dy)
    return np.maximum(*ends) if side > 0 else np.minimum(*ends)


def _between(
    line: NDArray[np.int64], along: NDArray[np.float64], change: NDArray[np.int64]
) -> Pieces:
    """Pieces where the running sum of ``change`` up a line stands at one."""
    if not len(line):
        none = np.empty(0)
        return Pieces(np.empty(0, np.int64), none, none)
    floor = along.min()
    span = along.max() - floor + 1.0
    # They come in long runs, an edge after another, which a merging sort makes use of.
    order = np.argsort((line - line.min()) * span + (along - floor), kind="stable")
    line, along = line[order], along[order]
    free = np.flatnonzero(np.cumsum(change[order])[:-1] == 1)
    start, end, line = along[free], along[free + 1], line[free]
    apart = (start[1:] - end[:-1] > TOUCHING_M) | (line[1:] != line[:-1])
    if not apart.all():
        start = start[np.concatenate([[True], apart])]
        end = end[np.concatenate([apart, [True]])]
        line = line[np.concatenate([[True], apart])]
    real = end - start > TOUCHING_M
    if not real.all():
        start, end, line = start[real], end[real], line[real]
    return Pieces(line, start, end)
