"""Make a regular grid of heights around a block from whatever heights were read."""

import numpy as np
import shapely
from numpy.typing import NDArray
from pyproj import CRS, Transformer
from shapely.geometry.base import BaseGeometry

from aanplant.errors import InputError
from aanplant.heights import HeightModel, Heights
from aanplant.site.frame import Frame
from aanplant.site.terrain import Terrain, bilinear

FINEST_CELL_M, COARSEST_CELL_M = 2.0, 20.0
"""Ground finer than a machine stands on is noise; coarser cells hide what points show (judgement).

A height model keeps its own cell where that is coarser."""
MOST_NODES_A_SIDE = 400
MARGIN_M, MARGIN_SHARE = 100.0, 0.5
"""Ground around the block, for what runs into it: this far, or this share of its extent."""
FEWEST_SPOTS = 4
ON_A_LINE = 0.01
"""Spots spread less than this share of their length to the sides lie on a line (judgement)."""
MOST_POINTS = 200_000
_INSIDE_M = 1e-3  # so that a straight edge of the data is not lost by rounding
FEWEST_SAMPLES, MOST_SAMPLES = 1_000, 20_000


def grid_heights(heights: Heights, frame: Frame, boundary: BaseGeometry) -> Terrain:
    """Interpolate heights onto a regular grid in the frame, around the block.

    Spot heights and the corners of contour lines are joined by Delaunay triangles, flat
    between their corners. A height model is interpolated bilinearly between the middles
    of its cells; one finer than the grid is averaged first. Nothing is carried beyond
    the data: nodes outside the triangles, or on cells without a value, are nan.

    Parameters
    ----------
    heights : Heights
        As read.
    frame : Frame
        Grid of the block.
    boundary : shapely Polygon or MultiPolygon
        The block in the frame. [m]

    Raises
    ------
    InputError
        If the heights are of another place, too few, or all on one line.
    """
    west, south, east, north = boundary.bounds
    margin = max(MARGIN_M, MARGIN_SHARE * max(east - west, north - south))
    window = (west - margin, south - margin, east + margin, north + margin)
    if heights.model is not None:
        terrain = _from_model(heights, heights.model, frame, window)
    else:
        terrain = _from_points(heights, frame, window)
    z = terrain.height(samples(boundary))
    if np.isnan(z).all():
        raise InputError(
            heights.where, "no height inside the block", "heights that cover the block"
        )
    mean = float(np.nanmean(z))
    return Terrain(terrain.x_m, terrain.y_m, terrain.z_m, mean, heights.where)


def samples(boundary: BaseGeometry) -> NDArray[np.float64]:
    """Evenly spread points inside an outline, shape (n, 2): where the ground is judged. [m]."""
    west, south, east, north = boundary.bounds
    step = float(
        np.clip(
            FINEST_CELL_M,
            np.sqrt(boundary.area / MOST_SAMPLES),
            np.sqrt(boundary.area / FEWEST_SAMPLES),
        )
    )
    x, y = np.meshgrid(
        np.arange(west + step / 2.0, east, step), np.arange(south + step / 2.0, north, step)
    )
    shapely.prepare(boundary)
    inside = shapely.contains_xy(boundary, x, y)
    points = np.column_stack([x[inside], y[inside]])
    return points if len(points) else shapely.get_coordinates(shapely.point_on_surface(boundary))


def _from_points(
    heights: Heights, frame: Frame, window: tuple[float, float, float, float]
) -> Terrain:
    from scipy.spatial import cKDTree  # noqa: PLC0415 - costs a fifth of a second

    xy, z = _distinct(frame.from_lonlat(heights.lonlat), heights)
    if len(xy) > MOST_POINTS:
        west, south, east, north = window
        near = (xy[:, 0] >= west) & (xy[:, 0] <= east) & (xy[:, 1] >= south) & (xy[:, 1] <= north)
        xy, z = xy[near], z[near]
        every = -(-len(xy) // MOST_POINTS) if len(xy) else 1
        xy, z = xy[::every], z[::every]
    _check_spread(xy, heights)
    apart = cKDTree(xy).query(xy, k=2)[0][:, 1]
    cell = float(np.clip(np.median(apart) / 2.0, FINEST_CELL_M, COARSEST_CELL_M))
    extent = (*(xy.min(axis=0) + _INSIDE_M), *(xy.max(axis=0) - _INSIDE_M))
    x, y = _axes(window, extent, cell, heights)
    nodes = np.stack(np.meshgrid(x, y), axis=-1)
    grid = _on_triangles(xy, z, nodes.reshape(-1, 2)).reshape(nodes.shape[:2])
    return Terrain(x, y, grid, 0.0, heights.where)


def _on_triangles(
    xy: NDArray[np.float64], z: NDArray[np.float64], at: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Heights of the triangles between points; nan outside them."""
    from scipy.spatial import Delaunay  # noqa: PLC0415 - as above

    triangles = Delaunay(xy)
    which = triangles.find_simplex(at)
    turn = triangles.transform[which]
    # The third corner weighs what the first two leave.
    first = np.einsum("nij,nj->ni", turn[:, :2], at - turn[:, 2])
    weight = np.column_stack([first, 1.0 - first.sum(axis=1)])
    height = (weight * z[triangles.simplices[which]]).sum(axis=1)
    return np.where(which >= 0, height, np.nan)


def _distinct(
    xy: NDArray[np.float64], heights: Heights
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Places once each; to the millimetre, so that a place given twice is one."""
    _, first, place = np.unique(np.round(xy, 3), axis=0, return_index=True, return_inverse=True)
    z = heights.z_m
    lowest, highest = np.full(len(first), np.inf), np.full(len(first), -np.inf)
    np.minimum.at(lowest, place.ravel(), z)
    np.maximum.at(highest, place.ravel(), z)
    unlike = np.flatnonzero(highest - lowest > heights.same_height_m)
    if len(unlike):
        k = unlike[0]
        raise InputError(
            heights.where,
            f"one place with two heights, {lowest[k]:.2f} m and {highest[k]:.2f} m "
            f"(point {first[k] + 1})",
            "one height a place",
        )
    keep = np.sort(first)
    return xy[keep], z[keep]


def _check_spread(xy: NDArray[np.float64], heights: Heights) -> None:
    if len(xy) < FEWEST_SPOTS:
        raise InputError(
            heights.where,
            f"{len(xy)} place{'' if len(xy) == 1 else 's'} with a height near the block",
            f"at least {FEWEST_SPOTS} around the block",
        )
    spread = np.linalg.svd(xy - xy.mean(axis=0), compute_uv=False)
    if spread[1] < ON_A_LINE * spread[0]:
        raise InputError(
            heights.where,
            f"{len(xy)} heights that all lie on one line",
            "heights on both sides of the block, or the slope across the line is not known",
        )


def _from_model(
    heights: Heights,
    model: HeightModel,
    frame: Frame,
    window: tuple[float, float, float, float],
) -> Terrain:
    transformer = Transformer.from_crs("EPSG:4326", CRS.from_user_input(model.grid), always_xy=True)
    to_cell = np.array(model.to_cell).reshape(2, 3)
    rows, columns = model.z_m.shape

    def to_cells(xy: NDArray[np.float64]) -> NDArray[np.float64]:
        """Turn x and y into columns and rows of the model, shape (2, n)."""
        lonlat = frame.to_lonlat(xy)
        place = np.stack(transformer.transform(lonlat[:, 0], lonlat[:, 1]))
        cells: NDArray[np.float64] = model.sign * to_cell[:, :2] @ place + to_cell[:, 2:]
        return cells

    west, south, east, north = window
    middle = np.array([(west + east) / 2.0, (south + north) / 2.0])
    origin, eastward, northward = to_cells(middle + np.array([(0, 0), (1, 0), (0, 1)])).T
    turn = np.column_stack([eastward - origin, northward - origin])  # cells a metre
    own_cell = float(1.0 / np.sqrt(abs(np.linalg.det(turn))))
    # The model is a parallelogram in the frame, straight enough over a block.
    corners = np.array([(0, 0), (columns - 1, 0), (0, rows - 1), (columns - 1, rows - 1)])
    reach = middle + np.linalg.solve(turn, (corners - origin).T).T
    extent = (*reach.min(axis=0), *reach.max(axis=0))
    x, y = _axes(window, extent, max(own_cell, FINEST_CELL_M), heights)
    nodes = np.stack(np.meshgrid(x, y), axis=-1)
    column, row = to_cells(nodes.reshape(-1, 2))
    z, block = model.z_m, max(round((x[1] - x[0]) / own_cell), 1)
    if block > 1:
        z = _averaged(z, block)
        column, row = (column - (block - 1) / 2.0) / block, (row - (block - 1) / 2.0) / block
    return Terrain(x, y, bilinear(z, column, row).reshape(nodes.shape[:2]), 0.0, heights.where)


def _averaged(z_m: NDArray[np.float64], block: int) -> NDArray[np.float64]:
    """Mean of blocks of cells; a cell without a value leaves its block without one."""
    rows, columns = (size // block for size in z_m.shape)
    cut = z_m[: rows * block, : columns * block]
    averaged: NDArray[np.float64] = cut.reshape(rows, block, columns, block).mean(axis=(1, 3))
    return averaged


def _axes(
    window: tuple[float, float, float, float],
    extent: tuple[float, float, float, float],
    cell_m: float,
    heights: Heights,
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Columns and rows of the grid: the ground wanted, as far as the data reach."""
    axes = []
    for axis in (0, 1):
        low, high = max(window[axis], extent[axis]), min(window[axis + 2], extent[axis + 2])
        if high - low < cell_m:
            raise _far_away(window, extent, heights)
        cells = min(max(int((high - low) / cell_m), 1), MOST_NODES_A_SIDE - 1)
        axes.append(np.linspace(low, high, cells + 1))
    return axes[0], axes[1]


def _far_away(
    window: tuple[float, float, float, float],
    extent: tuple[float, float, float, float],
    heights: Heights,
) -> InputError:
    middles = [((box[0] + box[2]) / 2.0, (box[1] + box[3]) / 2.0) for box in (window, extent)]
    apart = np.hypot(middles[1][0] - middles[0][0], middles[1][1] - middles[0][1])
    return InputError(
        heights.where,
        f"heights of another place: their middle lies {apart / 1000.0:.1f} km from the block's",
        "heights that cover the block; is the file in the right grid?",
    )
