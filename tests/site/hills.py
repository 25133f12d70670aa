"""Invented hills and the open height model of matplotlib, for the tests of the ground."""

from typing import Any

import numpy as np
from shapely.geometry import box

from aanplant.heights import HeightModel, Heights
from aanplant.site.frame import Frame
from aanplant.site.terrain import Terrain

FRAME = Frame(19.3, -33.6)


def open_model() -> Any:
    """The archive: ``elevation`` from north to south, and its edges in degrees."""
    from matplotlib.cbook import get_sample_data

    return get_sample_data("jacksboro_fault_dem.npz")


def model_of_matplotlib():
    """Heights of the model from south to north. [m]"""
    return np.asarray(open_model()["elevation"], float)[::-1]


def plane(xy, east=0.1, north=-0.05, height=300.0):
    """Heights of a sloping plane."""
    return height + np.asarray(xy) @ np.array([east, north])


def spots_on(height, xy, *, frame=FRAME, **given):
    """Spot heights at points of the frame."""
    xy = np.asarray(xy, dtype=float)
    return Heights("spots.csv", "spot heights", frame.to_lonlat(xy), height(xy), **given)


def lattice(half=200.0, step=20.0):
    """Points on a square lattice about the middle of the frame."""
    x, y = np.meshgrid(np.arange(-half, half + 1, step), np.arange(-half, half + 1, step))
    return np.column_stack([x.ravel(), y.ravel()])


def field(half=100.0):
    """A square field about the middle of the frame."""
    return box(-half, -half, half, half)


def model_on(height, *, rows=120, columns=100, cell=5.0, **given):
    """A height model in UTM around the middle of the frame, north on top."""
    from pyproj import Transformer

    to_grid = Transformer.from_crs("EPSG:4326", "EPSG:32734", always_xy=True)
    east, north = to_grid.transform(FRAME.longitude_deg, FRAME.latitude_deg)
    left, top = east - columns * cell / 2.0, north + rows * cell / 2.0
    x, y = np.meshgrid(
        left + (np.arange(columns) + 0.5) * cell, top - (np.arange(rows) + 0.5) * cell
    )
    back = Transformer.from_crs("EPSG:32734", FRAME.crs, always_xy=True)
    xy = np.column_stack(back.transform(x.ravel(), y.ravel()))
    to_cell = (1 / cell, 0.0, -left / cell - 0.5, 0.0, -1 / cell, top / cell - 0.5)
    model = HeightModel(height(xy).reshape(rows, columns), "EPSG:32734", to_cell)
    none = np.empty(0)
    return Heights("model.tif", "height model", np.empty((0, 2)), none, model=model, **given)


def terrain_on(height, half=150.0, cell=2.0):
    """A terrain that follows a formula."""
    axis = np.arange(-half, half + cell / 2.0, cell)
    x, y = np.meshgrid(axis, axis)
    z = height(np.column_stack([x.ravel(), y.ravel()])).reshape(x.shape)
    return Terrain(axis, axis, z, float(z.mean()), "formula")
