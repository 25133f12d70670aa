"""The ground under rows and anchors, where trenches are better not dug."""

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from aanplant.layout.positions import Positions

_WIDER = 1.02
"""Strips of neighbouring rows overlap by a hair, so that they join."""
_LEAST_M = 1e-3
_ROUGHLY_M = 1.5


def planted_ground(
    positions: Positions, beyond_m: NDArray[np.float64], *, fill_m: float
) -> BaseGeometry:
    """Lay strips a row width wide under all rows, as one shape. [m].

    Parameters
    ----------
    positions : Positions
        Filled rows.
    beyond_m : ndarray, shape (n_end_posts,)
        How far past each end post the strip goes, to cover the anchor. [m]
    fill_m : float
        Notches between staggered row ends narrower than twice this are filled. [m]
    """
    rows = positions.rows
    held = positions.vines > 0
    posts = positions.end_posts_xy
    reach = np.maximum(beyond_m, _LEAST_M)[:, None] * positions.end_posts_outward_xy
    lines = [
        rows.lines()[held],
        np.asarray(shapely.linestrings(np.stack([posts, posts + reach], axis=1)), dtype=object),
    ]
    strips = shapely.buffer(
        np.concatenate(lines), _WIDER * rows.row_width_m / 2.0, cap_style="flat", quad_segs=2
    )
    whole = shapely.union_all(strips)
    # Mitred corners of edges that are straight but for rounding are no numbers: round ones.
    filled = whole.buffer(fill_m, quad_segs=2).buffer(-fill_m, quad_segs=2)
    return shapely.union_all([whole, filled]).simplify(_ROUGHLY_M)
