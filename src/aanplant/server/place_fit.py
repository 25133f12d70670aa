"""Where places of a block lie in the set-out grid and on the globe, as short formulas.

A page that follows the pointer can't ask for every place it passes. Near a block both grids
are smooth, so that polynomials of the third degree tell coordinates better than any survey.
"""

from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from aanplant.site.grid import SetOutGrid

UNIT_M = 1000.0
"""Places enter the formulas in kilometres, so that all terms are of one size."""
REACH_M = 4000.0
"""The formulas hold to a micrometre so far from the origin to every side."""
_NODES = 9
POWERS = tuple((degree - up, up) for degree in range(4) for up in range(degree + 1))
"""Powers of x and y in each term: 1, x, y, x², xy, y², x³, x²y, xy², y³."""


@lru_cache(maxsize=64)
def place_fit(grid: SetOutGrid) -> dict[str, Any]:
    """Return the terms of each coordinate as a polynomial in kilometres of the block's frame.

    Parameters
    ----------
    grid : SetOutGrid
        With the frame whose places are told.

    Returns
    -------
    dict
        ``first`` and ``second`` coordinate of the grid [m], ``longitude`` and ``latitude`` [deg],
        each as factors of ``POWERS``; ``unit_m`` and ``reach_m``.
    """
    along = np.linspace(-REACH_M, REACH_M, _NODES)
    xy = np.column_stack([part.ravel() for part in np.meshgrid(along, along)])
    told = np.column_stack([grid.from_frame(xy), grid.frame.to_lonlat(xy)])
    # Offsets from the origin's own coordinates keep their digits.
    middle = told[len(told) // 2]
    factors = np.linalg.lstsq(terms(xy), told - middle, rcond=None)[0]
    factors[0] += middle
    names = ("first", "second", "longitude", "latitude")
    fitted = {name: factors[:, at].tolist() for at, name in enumerate(names)}
    return {**fitted, "unit_m": UNIT_M, "reach_m": REACH_M}


def terms(xy: NDArray[np.float64]) -> NDArray[np.float64]:
    """Terms of the polynomials at places of the frame, shape (n, 10)."""
    x, y = (xy / UNIT_M).T
    return np.column_stack([x**across * y**up for across, up in POWERS])
