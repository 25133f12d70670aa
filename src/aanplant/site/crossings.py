"""Where a line or ring crosses or touches itself."""

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

_SAME_PLACE_M = 1e-9


@dataclass(frozen=True, slots=True)
class Crossing:
    """Two pieces of a line that meet where they shouldn't.

    Parameters
    ----------
    first, second : int
        Indices of the points the two pieces start at, ``first < second``.
    xy : tuple of float
        Where they meet. [m]
    """

    first: int
    second: int
    xy: tuple[float, float]


def crossings(xy: NDArray[np.float64], *, is_ring: bool) -> tuple[Crossing, ...]:
    """Find all meetings of pieces that aren't neighbours, and folds of neighbours.

    Parameters
    ----------
    xy : ndarray, shape (n, 2)
        Points without doubled neighbours; a ring doesn't repeat its first point. [m]
    is_ring : bool
        The last point is joined to the first.

    Returns
    -------
    tuple of Crossing
        Ordered along the line.
    """
    pieces = len(xy) if is_ring else len(xy) - 1
    ends = np.roll(xy, -1, axis=0)[:pieces]
    segments = np.asarray(
        shapely.linestrings(np.stack([xy[:pieces], ends], axis=1)), dtype=np.object_
    )
    first, second = shapely.STRtree(segments).query(segments, predicate="intersects")
    is_later = first < second
    first, second = first[is_later], second[is_later]
    shared = np.asarray(shapely.intersection(segments[first], segments[second]), dtype=np.object_)
    is_neighbour = (second - first == 1) | (is_ring & (first == 0) & (second == pieces - 1))
    # Neighbours share their common point; a longer share is a fold back onto itself.
    is_fold = shapely.length(shared) > _SAME_PLACE_M
    found = np.flatnonzero(~is_neighbour | is_fold)
    places = shapely.get_coordinates(shapely.point_on_surface(shared[found]))
    order = np.lexsort([second[found], first[found]])
    return tuple(
        Crossing(
            int(first[found[k]]),
            int(second[found[k]]),
            (float(places[k, 0]), float(places[k, 1])),
        )
        for k in order
    )
