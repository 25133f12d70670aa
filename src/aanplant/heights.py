"""Heights as a file gives them: single places with a height, or a model cell by cell."""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

HeightKind = Literal["spot heights", "contour lines", "height model"]
LOWEST_M, HIGHEST_M = -450.0, 9000.0
"""No dry land lies lower than the shore of the Dead Sea, none higher than Everest."""


@dataclass(frozen=True, slots=True)
class HeightModel:
    """A grid of heights as a GeoTIFF holds it.

    Parameters
    ----------
    z_m : ndarray, shape (rows, columns)
        Heights in the order of the file; nan in holes. [m]
    grid : str
        Its reference system, as a code or well-known text.
    to_cell : tuple of six floats
        Column = t0 x + t1 y + t2 and row = t3 x + t4 y + t5, counted from the middle of
        the first cell, with x and y in ``grid``.
    sign : float
        -1 where the file holds the negated westings and southings of a Lo grid, else 1.
    """

    z_m: NDArray[np.float64]
    grid: str
    to_cell: tuple[float, float, float, float, float, float]
    sign: float = 1.0


@dataclass(frozen=True, slots=True)
class Heights:
    """Heights around a block.

    Parameters
    ----------
    where : str
        File name, for messages.
    kind : {"spot heights", "contour lines", "height model"}
        What the file holds.
    lonlat : ndarray, shape (n, 2)
        Places, none for a model. [deg]
    z_m : ndarray, shape (n,)
        Their heights. [m]
    unit : str
        Unit in which the file holds the heights.
    same_height_m : float
        Two heights of one place may differ by this much. [m]
    model : HeightModel or None
        The grid, where the file is one.
    """

    where: str
    kind: HeightKind
    lonlat: NDArray[np.float64]
    z_m: NDArray[np.float64]
    unit: str = "m"
    same_height_m: float = 0.05
    model: HeightModel | None = None
