"""Rows as a machine must not touch them, and which of its ways come too near."""

from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from aanplant.layout.positions import Positions
from aanplant.layout.row_frame import axes

_ROUNDING_M = 1e-6


class Trellis(NamedTuple):
    """Rows with their anchors as lines, and once more as a tree in the row frame.

    There they fit into narrow boxes, however the rows run.
    """

    lines: NDArray[np.object_]
    piece: NDArray[np.int32]
    tree: shapely.STRtree
    bearing_deg: float


def standing_trellis(positions: Positions, anchor_distance_m: NDArray[np.float64]) -> Trellis:
    """Return rows as set, each out to its anchors.

    Parameters
    ----------
    positions : Positions
        Straight rows, end posts included.
    anchor_distance_m : ndarray, shape (n_end_posts,)
        How far anchors stand beyond end posts. [m]
    """
    reach = anchor_distance_m[:, None] * positions.end_posts_outward_xy
    from_to = (positions.end_posts_xy + reach).reshape(-1, 2, 2)
    bearing_deg = positions.rows.bearing_deg
    return Trellis(
        np.asarray(shapely.linestrings(from_to), dtype=object),
        positions.end_posts_piece[::2],
        shapely.STRtree(
            np.asarray(shapely.linestrings(_in_row_frame(from_to, bearing_deg)), dtype=object)
        ),
        bearing_deg,
    )


def _in_row_frame(xy: NDArray[np.float64], bearing_deg: float) -> NDArray[np.float64]:
    frame = axes(bearing_deg)
    to_frame = np.array([[frame.across_x, frame.along_x], [frame.across_y, frame.along_y]])
    return np.asarray(xy @ to_frame)


def touches(
    trellis: Trellis,
    ways: NDArray[np.object_],
    own: NDArray[np.int64],
    half_width_m: float,
) -> NDArray[np.bool_]:
    """Whether ways come too near a row that is not their own, shape (n_ways,).

    Parameters
    ----------
    trellis : Trellis
        All rows.
    ways : ndarray of shapely lines, shape (n_ways,)
        Way of a machine's middle.
    own : ndarray, shape (n_ways, n)
        Pieces that each way runs between; -1 for none.
    half_width_m : float
        Half the machine's width. [m]
    """
    too_near = np.zeros(len(ways), dtype=np.bool_)
    if not len(ways):
        return too_near
    xy, of_way = shapely.get_coordinates(ways, return_index=True)
    first = np.flatnonzero(np.diff(of_way, prepend=-1))
    turned_xy, room = _in_row_frame(xy, trellis.bearing_deg), half_width_m + _ROUNDING_M
    low = np.minimum.reduceat(turned_xy, first) - room
    high = np.maximum.reduceat(turned_xy, first) + room
    way, row = trellis.tree.query(shapely.box(*low.T, *high.T))
    foreign = (trellis.piece[row][:, None] != own[way]).all(axis=1)
    way, row = way[foreign], row[foreign]
    too_near[way[shapely.dwithin(ways[way], trellis.lines[row], half_width_m)]] = True
    return too_near
