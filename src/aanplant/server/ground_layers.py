"""The shape of the ground for the sheet: heights and slopes on a grid, and contours."""

from collections.abc import Iterable
from typing import Any

import numpy as np
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from aanplant.layout.contours import contour_lines
from aanplant.plan import Plan
from aanplant.report.slope_map import contour_step
from aanplant.site.slope import slope_classes, slope_percent
from aanplant.site.terrain import Terrain

AROUND_M = 30.0
"""Ground is shown so far around the outline."""


def slope_layer(plan: Plan) -> tuple[dict[str, NDArray[Any]], dict[str, Any]]:
    """Slope and height at the nodes of a grid, south-west first, and contours.

    Where a height is not known, nan stands. Nothing where no heights are known at all.
    """
    terrain = plan.site.terrain
    if terrain is None:
        return {}, {"grid": None}
    x, y, z = _around(terrain, plan.site.boundary)
    nodes = np.column_stack([part.ravel() for part in np.meshgrid(x, y)])
    percent = slope_percent(terrain.gradient(nodes)).reshape(z.shape)
    step = _step(z)
    lines, heights = _contours(terrain, x, y, z, step)
    first = np.cumsum([0, *(len(line) for line in lines)])
    arrays = {
        "slope_percent": percent.astype(np.float32),
        "slope_height_m": z.astype(np.float32),
        "contours_xy": np.concatenate([*lines, np.empty((0, 2))]).astype(np.float32),
        "contours_first": first.astype(np.int32),
        "contours_height_m": np.array(heights, np.float32),
    }
    grid = {
        "west_m": float(x[0]),
        "south_m": float(y[0]),
        "cell_x_m": terrain.cell_x_m,
        "cell_y_m": terrain.cell_y_m,
        "columns": len(x),
    }
    return arrays, {"grid": grid, **_classes_and_places(plan, step)}


def _classes_and_places(plan: Plan, step_m: float | None) -> dict[str, Any]:
    """Tell the classes of slope with their shares of the block, and the places to know of."""
    ground = plan.site.ground
    if ground is None:
        return {"classes": [], "places": [], "contour_step_m": step_m}
    classes = [
        {"to_percent": item.to_percent if np.isfinite(item.to_percent) else None,
         "label": item.label, "share": float(share)}
        for item, share in zip(slope_classes(), ground.class_shares, strict=True)
    ]  # fmt: skip
    steepest = float(ground.percent.max())
    places = [_place("steepest", ground.steepest_xy, steepest)]
    places += [_place("low", low.deepest_xy, low.depth_m) for low in ground.low_places]
    if ground.gathering.area_m2 > 0.0:
        places.append(_place("gathering", ground.gathering.xy, ground.gathering.area_m2 / 1e4))
    return {
        "classes": classes,
        "places": places,
        "contour_step_m": step_m,
        "aspect_deg": ground.aspect_deg,
    }


def _place(kind: str, xy: Iterable[float], value: float) -> dict[str, Any]:
    """Tell of a place: the slope [%], the depth of a hollow [m] or the ground above it [ha]."""
    x_m, y_m = (float(part) for part in xy)
    return {"kind": kind, "x_m": x_m, "y_m": y_m, "value": value}


def _around(
    terrain: Terrain, boundary: BaseGeometry
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    west, south, east, north = boundary.buffer(AROUND_M).bounds
    parts = []
    for nodes, low, high in ((terrain.x_m, west, east), (terrain.y_m, south, north)):
        first = max(int(np.searchsorted(nodes, low)) - 1, 0)
        parts.append(slice(first, int(np.searchsorted(nodes, high)) + 1))
    across, up = parts
    return terrain.x_m[across], terrain.y_m[up], terrain.z_m[up, across]


def _step(z: NDArray[np.float64]) -> float | None:
    """Distance between contours; none where there is no cell to run through. [m]."""
    known = z[np.isfinite(z)]
    if not len(known) or min(z.shape) < 2:  # noqa: PLR2004 - a cell has two nodes a side
        return None
    return contour_step(float(known.min()), float(known.max()))


def _contours(
    terrain: Terrain,
    x: NDArray[np.float64],
    y: NDArray[np.float64],
    z: NDArray[np.float64],
    step: float | None,
) -> tuple[list[NDArray[np.float64]], list[float]]:
    if step is None:
        return [], []
    known = z[np.isfinite(z)]
    part = Terrain(x, y, z, terrain.mean_height_m)
    lines: list[NDArray[np.float64]] = []
    heights: list[float] = []
    for number in range(int(np.ceil(known.min() / step)), int(known.max() / step) + 1):
        own = contour_lines(part, number * step)
        lines += own
        heights += [number * step] * len(own)
    return lines, heights
