"""From the block's frame to paper, and the grid lines of the set-out grid on it."""

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray
from shapely.geometry import MultiPolygon
from shapely.geometry.base import BaseGeometry

from aanplant.report.paper import Box, Paper, round_step
from aanplant.report.svg import ring
from aanplant.site.grid import SetOutGrid

TICK_MM = 38.0
"""Least distance between grid ticks on paper."""
_EDGE_POINTS = 65


@dataclass(frozen=True, slots=True)
class Tick:
    """A grid line meeting a side of the map window.

    ``value`` in grid metres; (x, y) on paper. [m, mm]
    """

    value: float
    x: float
    y: float


@dataclass(frozen=True)
class View:
    """The map window: where the block's frame lies on paper, grid north up.

    Distances are true to the ground (the frame's metres), not to the grid's.

    Parameters
    ----------
    paper : Paper
        Paper and scale.
    grid : SetOutGrid
        Grid of the set-out files, which gives the way up.
    centre_xy : ndarray, shape (2,)
        Point of the frame that lies in the middle of the map window. [m]
    """

    paper: Paper
    grid: SetOutGrid
    centre_xy: NDArray[np.float64]

    @property
    def mm_per_m(self) -> float:
        """Millimetres on paper for a metre on the ground."""
        return 1000.0 / self.paper.denominator

    @property
    def window(self) -> Box:
        """The map window on paper."""
        return self.paper.map

    def to_paper(self, xy: ArrayLike) -> NDArray[np.float64]:
        """Turn x and y of the frame, shape (n, 2), into places on paper [m -> mm]."""
        away = np.asarray(xy, dtype=np.float64).reshape(-1, 2) - self.centre_xy
        up_is = _turn(self.grid.convergence_deg)
        away = away @ up_is.T * self.mm_per_m
        window = self.window
        middle = [window.x + window.width / 2.0, window.y + window.height / 2.0]
        placed: NDArray[np.float64] = away * [1.0, -1.0] + middle
        return placed

    def to_frame(self, places: ArrayLike) -> NDArray[np.float64]:
        """Turn places on paper, shape (n, 2), into x and y of the frame [mm -> m]."""
        window = self.window
        middle = [window.x + window.width / 2.0, window.y + window.height / 2.0]
        away = (np.asarray(places, dtype=np.float64).reshape(-1, 2) - middle) * [1.0, -1.0]
        found: NDArray[np.float64] = (
            away / self.mm_per_m @ _turn(self.grid.convergence_deg) + self.centre_xy
        )
        return found

    def shape(self, geometry: BaseGeometry) -> str:
        """Path data of the rings of polygonal ground."""
        rings = shapely.get_rings(shapely.get_parts(polygons_of(geometry)))
        return "".join(ring(self.to_paper(shapely.get_coordinates(item))[:-1]) for item in rings)

    def ticks(self) -> dict[str, list[Tick]]:
        """Grid lines at the four sides of the map window, by side.

        Top and bottom carry the first coordinate of the grid, left and right the second.
        """
        window = self.window
        step = round_step(TICK_MM / self.mm_per_m)
        across = np.linspace(window.x, window.right, _EDGE_POINTS)
        down = np.linspace(window.y, window.bottom, _EDGE_POINTS)
        sides = {
            "top": (np.column_stack([across, np.full(_EDGE_POINTS, window.y)]), 0),
            "bottom": (np.column_stack([across, np.full(_EDGE_POINTS, window.bottom)]), 0),
            "left": (np.column_stack([np.full(_EDGE_POINTS, window.x), down]), 1),
            "right": (np.column_stack([np.full(_EDGE_POINTS, window.right), down]), 1),
        }
        return {side: self._along(places, axis, step) for side, (places, axis) in sides.items()}

    def _along(self, places: NDArray[np.float64], axis: int, step: float) -> list[Tick]:
        values = self.grid.from_frame(self.to_frame(places))[:, axis]
        if values[0] > values[-1]:
            values, places = values[::-1], places[::-1]
        wanted = np.arange(np.ceil(values[0] / step), np.floor(values[-1] / step) + 1) * step
        return [
            Tick(float(value), float(np.interp(value, values, places[:, 0])),
                 float(np.interp(value, values, places[:, 1])))
            for value in wanted
        ]  # fmt: skip

    def crosses(self, ticks: dict[str, list[Tick]]) -> NDArray[np.float64]:
        """Places where grid lines cross inside the window, shape (n, 2) [mm]."""
        bottom = {tick.value: tick for tick in ticks["bottom"]}
        right = {tick.value: tick for tick in ticks["right"]}
        found = []
        for top in ticks["top"]:
            for left in ticks["left"]:
                if top.value in bottom and left.value in right:
                    low, far = bottom[top.value], right[left.value]
                    found.append(_meeting((top, low), (left, far)))
        return np.array(found).reshape(-1, 2)


def extent_m(grid: SetOutGrid, geometry: BaseGeometry) -> tuple[float, float, NDArray[np.float64]]:
    """Width and height of a block with grid north up, and its middle in the frame [m]."""
    turn = _turn(grid.convergence_deg)
    turned = shapely.get_coordinates(geometry) @ turn.T
    low, high = turned.min(axis=0), turned.max(axis=0)
    middle: NDArray[np.float64] = (low + high) / 2.0 @ turn
    return float(high[0] - low[0]), float(high[1] - low[1]), middle


def polygons_of(geometry: BaseGeometry) -> MultiPolygon:
    """Return the polygonal parts of a geometry as one multipolygon."""
    parts = [
        part
        for part in shapely.get_parts(geometry)
        if part.geom_type in ("Polygon", "MultiPolygon") and not part.is_empty
    ]
    pieces = [piece for part in parts for piece in shapely.get_parts(part)]
    return MultiPolygon(pieces)


def _turn(convergence_deg: float) -> NDArray[np.float64]:
    """Matrix that turns a vector so that grid north is up."""
    angle = np.radians(convergence_deg)
    return np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])


def _meeting(one: tuple[Tick, Tick], other: tuple[Tick, Tick]) -> tuple[float, float]:
    start, end = np.array([[tick.x, tick.y] for tick in one])
    near, far = np.array([[tick.x, tick.y] for tick in other])
    matrix = np.column_stack([end - start, near - far])
    along = np.linalg.solve(matrix, near - start)[0]
    x, y = start + along * (end - start)
    return float(x), float(y)
