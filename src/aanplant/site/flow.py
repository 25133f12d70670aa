"""Where water and cold air run and gather: filled hollows, flow paths, ground uphill.

Every node of the grid sends what it gets to the neighbour it falls to most steeply (D8).
Hollows are filled first to the level at which they spill. The spill levels are those of
the minimum spanning tree of the grid, in which a step between two nodes costs the higher
of the two: the way out over the lowest passes. scipy keeps that routine; the libraries
made for flow alone need a compiler at run time or carry a licence that ours can't join.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

_STEPS = ((0, 1), (1, 0), (1, 1), (1, -1))
"""One of each pair of opposite neighbours, as (row, column) steps."""


@dataclass(frozen=True, slots=True)
class Drainage:
    """How a grid of heights drains, as grids of shape (ny, nx); nan where not known.

    Parameters
    ----------
    filled_m : ndarray
        Heights with every hollow filled to the level at which it spills. [m]
    upslope_m2 : ndarray
        Ground that drains through each node, its own included. [m2]
    receiver : ndarray, int64
        Flat index of the node each drains to, -1 out of the grid and where not known.
    """

    filled_m: NDArray[np.float64]
    upslope_m2: NDArray[np.float64]
    receiver: NDArray[np.int64]


def drain(z_m: NDArray[np.float64], cell_x_m: float, cell_y_m: float) -> Drainage:
    """Fill the hollows and gather the flow.

    Water leaves at the edge of the grid and at nodes that are not known, so what comes
    from beyond the data is missing: ``upslope_m2`` is the least there is.

    Parameters
    ----------
    z_m : ndarray, shape (ny, nx)
        Heights. [m]
    cell_x_m, cell_y_m : float
        Distance between columns and between rows. [m]

    References
    ----------
    .. [1] O'Callaghan and Mark (1984), The extraction of drainage networks from digital
       elevation data, Computer Vision, Graphics, and Image Processing 28: 323-344.
    .. [2] Barnes, Lehman, Mulla (2014), Priority-flood, Computers & Geosciences 62: 117-127.
    """
    rank, way_out = _ways_out(z_m)
    filled = _filled(z_m, rank, way_out)
    receiver = _receivers(filled, way_out, cell_x_m, cell_y_m)
    # From the highest down; on level ground from the far end of the way out.
    place = np.empty(z_m.size, dtype=np.int64)
    place[rank] = np.arange(len(rank))
    order = rank[np.lexsort((place[rank], filled.ravel()[rank]))][::-1]
    gathered = [cell_x_m * cell_y_m] * z_m.size
    target = receiver.tolist()
    for node in order.tolist():
        if target[node] >= 0:
            gathered[target[node]] += gathered[node]
    upslope = np.where(np.isnan(z_m), np.nan, np.reshape(gathered, z_m.shape))
    return Drainage(filled, upslope, receiver.reshape(z_m.shape))


def _ways_out(z_m: NDArray[np.float64]) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Known nodes from the outlets inwards, and the next node on each one's lowest way out.

    The next node is -1 where a node is an outlet, and where it is not known.
    """
    from scipy.sparse import csr_array  # noqa: PLC0415 - costs a tenth of a second
    from scipy.sparse.csgraph import (  # noqa: PLC0415
        breadth_first_order,
        minimum_spanning_tree,
    )

    nodes = z_m.size
    flat = z_m.ravel()
    first, second = _pairs(z_m.shape)
    known = ~np.isnan(flat[first] + flat[second])
    first, second = first[known], second[known]
    outlets = np.flatnonzero(_is_outlet(z_m))
    cost = np.concatenate([np.maximum(flat[first], flat[second]), flat[outlets]])
    cost += 1.0 - np.nanmin(flat)  # a graph takes nought for no connection
    start = np.concatenate([first, outlets])
    end = np.concatenate([second, np.full(len(outlets), nodes)])
    graph = csr_array((cost, (start, end)), shape=(nodes + 1, nodes + 1))
    tree = minimum_spanning_tree(graph)
    order, before = breadth_first_order(tree, nodes, directed=False)
    way_out = before[:nodes].astype(np.int64)
    way_out[(way_out == nodes) | (way_out < 0)] = -1
    return order[1:].astype(np.int64), way_out


def _filled(
    z_m: NDArray[np.float64], rank: NDArray[np.int64], way_out: NDArray[np.int64]
) -> NDArray[np.float64]:
    """Raise every node to the highest pass on its lowest way out."""
    level = z_m.ravel().tolist()
    ahead = way_out.tolist()
    for node in rank.tolist():
        following = ahead[node]
        if following >= 0 and level[following] > level[node]:
            level[node] = level[following]
    return np.reshape(level, z_m.shape)


def _receivers(
    filled: NDArray[np.float64], way_out: NDArray[np.int64], cell_x_m: float, cell_y_m: float
) -> NDArray[np.int64]:
    """Flat index of the neighbour each node falls to most steeply, else its way out."""
    rows, columns = filled.shape
    padded = np.pad(filled, 1, constant_values=np.nan)
    steepest = np.zeros(filled.shape)
    receiver = way_out.reshape(filled.shape).copy()
    index = np.arange(filled.size).reshape(filled.shape)
    for up, right in (*_STEPS, *((-up, -right) for up, right in _STEPS)):
        neighbour = padded[1 + up : 1 + up + rows, 1 + right : 1 + right + columns]
        drop = (filled - neighbour) / np.hypot(up * cell_y_m, right * cell_x_m)
        is_steeper = drop > steepest  # never where either is not known
        steepest[is_steeper] = drop[is_steeper]
        receiver[is_steeper] = index[is_steeper] + up * columns + right
    return receiver.ravel()


def _pairs(shape: tuple[int, ...]) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Flat indices of all neighbouring nodes, each pair once."""
    index = np.arange(shape[0] * shape[1]).reshape(shape)
    pairs = [
        (index[:-1, :], index[1:, :]),
        (index[:, :-1], index[:, 1:]),
        (index[:-1, :-1], index[1:, 1:]),
        (index[:-1, 1:], index[1:, :-1]),
    ]
    first, second = zip(*pairs, strict=True)
    return (
        np.concatenate([part.ravel() for part in first]),
        np.concatenate([part.ravel() for part in second]),
    )


def _is_outlet(z_m: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Known nodes at the edge of the grid or beside one that is not known."""
    rows, columns = z_m.shape
    unknown = np.pad(np.isnan(z_m), 1, constant_values=True)
    beside = np.zeros(z_m.shape, dtype=np.bool_)
    for up in (0, 1, 2):
        for right in (0, 1, 2):
            beside |= unknown[up : up + rows, right : right + columns]
    return beside & ~np.isnan(z_m)
