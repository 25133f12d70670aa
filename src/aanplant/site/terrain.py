"""The shape of the ground as a regular grid of heights in the block's own frame."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from aanplant.site.flow import Drainage, drain
from aanplant.site.slope import horn


@dataclass(frozen=True)
class Profile:
    """Heights along a line, as columns of shape (n,).

    Parameters
    ----------
    xy : ndarray, shape (n, 2)
        Points along the line. [m]
    plan_m, ground_m : ndarray
        Distance walked from its start on the plan, and along the ground. [m]
    z_m : ndarray
        Height; nan outside the data, where the ground is taken as level. [m]
    """

    xy: NDArray[np.float64]
    plan_m: NDArray[np.float64]
    ground_m: NDArray[np.float64]
    z_m: NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Terrain:
    """Heights on a regular grid; between its nodes they are interpolated bilinearly.

    Only itself is the same terrain, so that what was found on it can be kept.

    Parameters
    ----------
    x_m, y_m : ndarray, shape (nx,), (ny,)
        Columns from west to east, rows from south to north, in the frame. [m]
    z_m : ndarray, shape (ny, nx)
        Heights as the data count them (above the sea, as a rule); nan outside the data. [m]
    mean_height_m : float
        Mean over the block, where heights are known. [m]
    where : str
        File the heights came from.
    """

    x_m: NDArray[np.float64]
    y_m: NDArray[np.float64]
    z_m: NDArray[np.float64]
    mean_height_m: float
    where: str = ""

    @property
    def cell_x_m(self) -> float:
        """Distance between columns. [m]."""
        return float(self.x_m[1] - self.x_m[0])

    @property
    def cell_y_m(self) -> float:
        """Distance between rows. [m]."""
        return float(self.y_m[1] - self.y_m[0])

    def height(self, xy: ArrayLike) -> NDArray[np.float64]:
        """Heights of points (n, 2), shape (n,); nan outside the data. [m]."""
        return bilinear(self.z_m, *self._columns_and_rows(xy))

    def gradient(self, xy: ArrayLike) -> NDArray[np.float64]:
        """dz/dx to the east and dz/dy to the north at points (n, 2), shape (n, 2). [-].

        Horn's slope at the nodes, interpolated bilinearly; nan outside the data.
        """
        at = self._columns_and_rows(xy)
        return np.column_stack(bilinear_all(self._slopes, *at))

    def surface(
        self, xy: ArrayLike
    ) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
        """``height`` and both parts of ``gradient``, shape (n,) each, in one reading."""
        z, east, north = bilinear_all((self.z_m, *self._slopes), *self._columns_and_rows(xy))
        return z, east, north

    def profile(self, line_xy: ArrayLike, *, step_m: float | None = None) -> Profile:
        """Heights along a line.

        Parameters
        ----------
        line_xy : array_like, shape (n, 2)
            Corners of the line. [m]
        step_m : float, optional
            Greatest distance between the points looked at; a cell when left out. [m]
        """
        corners = np.asarray(line_xy, dtype=np.float64).reshape(-1, 2)
        reach = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(corners, axis=0).T))])
        step = step_m or min(self.cell_x_m, self.cell_y_m)
        steps = max(int(np.ceil(reach[-1] / step)), 1)
        plan = np.unique(np.concatenate([np.linspace(0.0, reach[-1], steps + 1), reach]))
        xy = np.column_stack([np.interp(plan, reach, column) for column in corners.T])
        z = self.height(xy)
        rise = np.nan_to_num(np.diff(z))
        ground = np.concatenate([[0.0], np.cumsum(np.hypot(np.diff(plan), rise))])
        return Profile(xy, plan, ground, z)

    def scaled(self, factor: float) -> "Terrain":
        """Return the same heights in a frame whose metres are ``factor`` times as many."""
        return replace(self, x_m=self.x_m * factor, y_m=self.y_m * factor)

    @cached_property
    def drainage(self) -> Drainage:
        """Where water and cold air run."""
        return drain(self.z_m, self.cell_x_m, self.cell_y_m)

    @cached_property
    def _slopes(self) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        return horn(self.z_m, self.cell_x_m, self.cell_y_m)

    def _columns_and_rows(self, xy: ArrayLike) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        points = np.asarray(xy, dtype=np.float64).reshape(-1, 2)
        return (
            (points[:, 0] - self.x_m[0]) / self.cell_x_m,
            (points[:, 1] - self.y_m[0]) / self.cell_y_m,
        )


def bilinear(
    values: NDArray[np.float64], column: NDArray[np.float64], row: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Interpolate a grid between its four nearest nodes.

    Parameters
    ----------
    values : ndarray, shape (ny, nx)
        nan where not known; a point that leans on such a node is nan.
    column, row : ndarray, shape (n,)
        Where to look, counted in cells from the first node.

    Returns
    -------
    ndarray, shape (n,)
        nan outside the grid.
    """
    return bilinear_all((values,), column, row)[0]


def bilinear_all(
    grids: Sequence[NDArray[np.float64]], column: NDArray[np.float64], row: NDArray[np.float64]
) -> list[NDArray[np.float64]]:
    """As ``bilinear``, of several grids of one shape at the same points."""
    rows, columns = grids[0].shape
    outside = ~((column >= 0) & (column <= columns - 1) & (row >= 0) & (row <= rows - 1))
    is_all_inside = not outside.any()
    if not is_all_inside:
        column, row = np.where(outside, 0.0, column), np.where(outside, 0.0, row)
    left = np.minimum(column.astype(np.int64), columns - 2)
    low = np.minimum(row.astype(np.int64), rows - 2)
    right, up = column - left, row - low
    corner = low * columns + left
    down, before = 1.0 - up, 1.0 - right
    nodes = (
        (down * before, corner),
        (down * right, corner + 1),
        (up * before, corner + columns),
        (up * right, corner + columns + 1),
    )
    read = []
    for values in grids:
        total = np.zeros(len(column))
        is_whole = not np.isnan(values).any()
        for weight, node in nodes:
            share = weight * values.take(node)
            # A node without a say may be unknown.
            total += share if is_whole else np.where(weight > 0.0, share, 0.0)
        if not is_all_inside:
            total[outside] = np.nan
        read.append(total)
    return read
