"""The shape of the ground under one block: heights, slopes, hollows, and what they mean."""

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from aanplant.site.heights import samples
from aanplant.site.slope import aspect_deg, class_shares, ground_factor, slope_percent
from aanplant.site.terrain import Terrain

LEVEL_PERCENT = 0.5
"""Ground flatter than this has no direction downhill worth a figure (judgement)."""


@dataclass(frozen=True)
class LowPlace:
    """A hollow without a way out, where cold air and water stay.

    Parameters
    ----------
    deepest_xy : tuple of float
        Its lowest point. [m]
    depth_m : float
        From there to the level at which it spills. [m]
    area_m2 : float
        Its part inside the block. [m2]
    """

    deepest_xy: tuple[float, float]
    depth_m: float
    area_m2: float


@dataclass(frozen=True)
class Gathering:
    """Where most water of the ground uphill runs through the block.

    Parameters
    ----------
    xy : tuple of float
        The place. [m]
    area_m2 : float
        Ground that drains there, at least: none is counted beyond the data. [m2]
    """

    xy: tuple[float, float]
    area_m2: float


@dataclass(frozen=True)
class GroundShape:
    """Slopes and low places of a block.

    Parameters
    ----------
    height_m : ndarray, shape (n,)
        At evenly spread points of the block with a height. [m]
    percent : ndarray, shape (n,)
        Steepness there. [%]
    steepest_xy : tuple of float
        Where the steepest of them lies. [m]
    aspect_deg : float or None
        Bearing down the mean slope; None for level ground. [deg]
    factor : float
        Area of the sloping surface over its area on the plan. [-]
    known_share : float
        Share of the block with a height. [-]
    unknown_xy : tuple of float or None
        A place in the block without one. [m]
    class_shares : ndarray
        Share of the block in each class of slope. [-]
    low_places : tuple of LowPlace
        Deepest first.
    gathering : Gathering
        Where most water gathers.
    """

    height_m: NDArray[np.float64]
    percent: NDArray[np.float64]
    steepest_xy: tuple[float, float]
    aspect_deg: float | None
    factor: float
    known_share: float
    unknown_xy: tuple[float, float] | None
    class_shares: NDArray[np.float64]
    low_places: tuple[LowPlace, ...]
    gathering: Gathering


def share_with_height(terrain: Terrain, field: BaseGeometry) -> float:
    """Share of evenly spread points of a field whose height is known. [-]."""
    return float((~np.isnan(terrain.height(samples(field)))).mean())


def shape_of(terrain: Terrain, field: BaseGeometry, hollow_depth_m: float) -> GroundShape:
    """Measure the ground of a block.

    Parameters
    ----------
    terrain : Terrain
        Heights around it, known at least somewhere inside.
    field : shapely Polygon or MultiPolygon
        Ground of the block on which rows may stand. [m]
    hollow_depth_m : float
        Shallower hollows are left out. [m]
    """
    xy = samples(field)
    z, gradient = terrain.height(xy), terrain.gradient(xy)
    known = ~np.isnan(z)
    missing = xy[~known]
    xy, z, gradient = xy[known], z[known], gradient[known]
    percent = slope_percent(gradient)
    mean = gradient.mean(axis=0)
    steepest = int(percent.argmax())
    return GroundShape(
        height_m=z,
        percent=percent,
        steepest_xy=_place(xy[steepest]),
        aspect_deg=float(aspect_deg(mean)) if slope_percent(mean) >= LEVEL_PERCENT else None,
        factor=float(ground_factor(percent / 100.0).mean()),
        known_share=float(known.mean()),
        unknown_xy=_place(missing[len(missing) // 2]) if len(missing) else None,
        class_shares=class_shares(percent),
        low_places=_low_places(terrain, field, hollow_depth_m),
        gathering=_gathering(terrain, field),
    )


def _place(xy: NDArray[np.float64]) -> tuple[float, float]:
    return float(xy[0]), float(xy[1])


def _inside(terrain: Terrain, field: BaseGeometry) -> NDArray[np.bool_]:
    """Nodes of the grid inside the block, shape (ny, nx)."""
    x, y = np.meshgrid(terrain.x_m, terrain.y_m)
    shapely.prepare(field)
    inside: NDArray[np.bool_] = shapely.contains_xy(field, x, y)
    return inside


def _low_places(
    terrain: Terrain, field: BaseGeometry, hollow_depth_m: float
) -> tuple[LowPlace, ...]:
    """Hollows that reach into the block; none is known at the very edge of the data."""
    from scipy.ndimage import find_objects, label  # noqa: PLC0415 - costs a tenth of a second

    with np.errstate(invalid="ignore"):
        depth = np.nan_to_num(terrain.drainage.filled_m - terrain.z_m)
    inside = _inside(terrain, field)
    if not (depth[inside] > 0.0).any():
        return ()
    hollow, _ = label(depth > 0.0, structure=np.ones((3, 3)))
    cell_m2 = terrain.cell_x_m * terrain.cell_y_m
    found = []
    for number, where in enumerate(find_objects(hollow), start=1):
        own = (hollow[where] == number) & inside[where]
        deep = np.where(own, depth[where], 0.0)
        if deep.max() < hollow_depth_m:
            continue
        row, column = np.unravel_index(int(deep.argmax()), deep.shape)
        at = (
            float(terrain.x_m[where[1].start + column]),
            float(terrain.y_m[where[0].start + row]),
        )
        found.append(LowPlace(at, float(deep.max()), float(own.sum()) * cell_m2))
    return tuple(sorted(found, key=lambda place: -place.depth_m))


def _gathering(terrain: Terrain, field: BaseGeometry) -> Gathering:
    upslope = np.where(_inside(terrain, field), terrain.drainage.upslope_m2, np.nan)
    if np.isnan(upslope).all():  # a block smaller than a cell
        return Gathering(_place(np.array(field.centroid.coords)[0]), 0.0)
    row, column = np.unravel_index(int(np.nanargmax(upslope)), upslope.shape)
    return Gathering(
        (float(terrain.x_m[column]), float(terrain.y_m[row])), float(upslope[row, column])
    )
