"""Slope of the ground from a grid of heights: how steep, which way down, which class.

Grids run south to north (row 0 is the southernmost) and west to east, as
``Terrain`` keeps them; heights that are not known are nan.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from aanplant import tables


def horn(
    z_m: NDArray[np.float64], cell_x_m: float, cell_y_m: float
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Slope to the east and to the north, from all eight neighbours.

    With the neighbours a b c / d e f / g h i, north on top:
    dz/dx = ((c + 2f + i) - (a + 2d + g)) / 8 cell,
    dz/dy = ((a + 2b + c) - (g + 2h + i)) / 8 cell.
    A neighbour that is not known lies on the straight line from the one opposite
    through the middle; where that is not known either, a corner lies on the plane through
    its own neighbours and the middle, and the others are level with the middle. So
    planes stay exact up to the edge.

    Parameters
    ----------
    z_m : ndarray, shape (ny, nx)
        Heights, row 0 in the south. [m]
    cell_x_m, cell_y_m : float
        Distance between columns and between rows. [m]

    Returns
    -------
    dz_dx, dz_dy : ndarray, shape (ny, nx)
        nan where the height is not known. [-]

    References
    ----------
    .. [1] Horn (1981), Hill shading and the reflectance map, Proc. IEEE 69: 14-47.
    """
    a, b, c, d, f, g, h, i = _neighbours(z_m)
    east = (c + 2.0 * f + i) - (a + 2.0 * d + g)
    north = (a + 2.0 * b + c) - (g + 2.0 * h + i)
    unknown = np.where(np.isnan(z_m), np.nan, 0.0)
    return east / (8.0 * cell_x_m) + unknown, north / (8.0 * cell_y_m) + unknown


def zevenbergen_thorne(
    z_m: NDArray[np.float64], cell_x_m: float, cell_y_m: float
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Slope to the east and to the north, from the four nearest neighbours.

    dz/dx = (f - d) / 2 cell, dz/dy = (b - h) / 2 cell; parameters and edges as ``horn``.
    It follows rough ground more closely and smooths less.

    References
    ----------
    .. [1] Zevenbergen and Thorne (1987), Quantitative analysis of land surface
       topography, Earth Surface Processes and Landforms 12: 47-56.
    """
    _, b, _, d, f, _, h, _ = _neighbours(z_m)
    unknown = np.where(np.isnan(z_m), np.nan, 0.0)
    return (f - d) / (2.0 * cell_x_m) + unknown, (b - h) / (2.0 * cell_y_m) + unknown


def slope_percent(gradient: ArrayLike) -> NDArray[np.float64]:
    """Steepness, 100 times the rise over the plan distance, of gradients (..., 2). [%]."""
    east, north = np.moveaxis(np.asarray(gradient, dtype=np.float64), -1, 0)
    return np.asarray(100.0 * np.hypot(east, north))


def slope_deg(gradient: ArrayLike) -> NDArray[np.float64]:
    """Steepness as the angle from level, of gradients (..., 2). [deg]."""
    return np.asarray(np.degrees(np.arctan(slope_percent(gradient) / 100.0)))


def aspect_deg(gradient: ArrayLike) -> NDArray[np.float64]:
    """Bearing straight downhill, clockwise from north, of gradients (..., 2). [deg]."""
    east, north = np.moveaxis(np.asarray(gradient, dtype=np.float64), -1, 0)
    return np.asarray(np.degrees(np.arctan2(-east, -north)) % 360.0)


def grade_along_percent(
    slope: ArrayLike, aspect: ArrayLike, bearing: ArrayLike
) -> NDArray[np.float64]:
    """Grade met along a bearing: slope x cos(bearing - downslope aspect), downhill above 0. [%].

    Parameters
    ----------
    slope : array_like
        Steepness of the ground. [%]
    aspect, bearing : array_like
        Bearing straight downhill, and bearing walked. [deg]
    """
    apart = np.radians(np.asarray(bearing, dtype=np.float64) - np.asarray(aspect))
    return np.asarray(slope * np.cos(apart))


def cross_slope_percent(
    slope: ArrayLike, aspect: ArrayLike, bearing: ArrayLike
) -> NDArray[np.float64]:
    """Slope across a bearing: slope x sin(bearing - downslope aspect); see the grade. [%]."""
    apart = np.radians(np.asarray(bearing, dtype=np.float64) - np.asarray(aspect))
    return np.asarray(slope * np.sin(apart))


def ground_factor(grade: ArrayLike) -> NDArray[np.float64]:
    """Length along the ground over length on the plan, sqrt(1 + grade²); grade as a ratio. [-]."""
    return np.sqrt(1.0 + np.square(np.asarray(grade, dtype=np.float64)))


@dataclass(frozen=True, slots=True)
class SlopeClass:
    """One class of slope, from ``tables/slope_classes.csv``."""

    from_percent: float
    to_percent: float
    name: str
    meaning: str
    source: str

    @property
    def label(self) -> str:
        """Its limits and name in words."""
        if np.isinf(self.to_percent):
            return f"above {self.from_percent:g}\u202f%, {self.name}"
        return f"{self.from_percent:g} to {self.to_percent:g}\u202f%, {self.name}"


def slope_classes() -> tuple[SlopeClass, ...]:
    """Return the classes, gentlest first."""
    return tuple(
        SlopeClass(
            float(row["from_percent"]),
            float(row["to_percent"] or "inf"),
            row["name"],
            row["meaning"],
            row["source"],
        )
        for row in tables.rows("slope_classes.csv")
    )


def class_shares(percent: NDArray[np.float64]) -> NDArray[np.float64]:
    """Share of slopes in each class, shape (n_classes,), in all 1; a limit is in the gentler."""
    limits = [item.to_percent for item in slope_classes()[:-1]]
    which = np.searchsorted(limits, percent, side="left")
    return np.bincount(which, minlength=len(limits) + 1) / max(len(percent), 1)


def _neighbours(z_m: NDArray[np.float64]) -> tuple[NDArray[np.float64], ...]:
    """Heights of the eight neighbours a b c d f g h i of every node, north on top."""
    rows, columns = z_m.shape
    padded = np.pad(z_m, 1, constant_values=np.nan)

    def at(north: int, east: int) -> NDArray[np.float64]:
        return padded[1 + north : 1 + north + rows, 1 + east : 1 + east + columns]

    def known(north: int, east: int, otherwise: NDArray[np.float64]) -> NDArray[np.float64]:
        height = at(north, east)
        missing = np.isnan(height)
        if not missing.any():
            return height
        opposite = at(-north, -east)
        stand_in = np.where(np.isnan(opposite), otherwise, 2.0 * z_m - opposite)
        return np.where(missing, stand_in, height)

    b, h = known(1, 0, z_m), known(-1, 0, z_m)
    d, f = known(0, -1, z_m), known(0, 1, z_m)
    a, c = known(1, -1, b + d - z_m), known(1, 1, b + f - z_m)
    g, i = known(-1, -1, h + d - z_m), known(-1, 1, h + f - z_m)
    return a, b, c, d, f, g, h, i
