"""Write all places of a plan into one GeoPackage, a layer a kind, in the set-out grid."""

import os
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import MultiPolygon
from shapely.geometry.base import BaseGeometry

from aanplant.files.names import printable
from aanplant.files.points import Points, all_points, row_lines
from aanplant.files.water_features import (
    LaidPipe,
    LaidValves,
    designed_system,
    laid_pipes,
    laid_valves,
)
from aanplant.plan import Plan
from aanplant.site.grid import SetOutGrid
from aanplant.site.zones import Zone

Columns = Mapping[str, NDArray[Any]]
LAYERS = ("boundary", "plantable", "exclusions", "rows", "vines", "posts", "anchors")
ZONES_LAYER = "zones"
"""Written after the others where the soil is known."""
WATER_LAYERS = ("pipes", "valves")
"""Written last, where an irrigation system was designed."""


def write_geopackage(plan: Plan, path: Path, *, made: datetime) -> None:
    """Write ``plan.gpkg``.

    Coordinates are those of the set-out grid in its own axes: easting and northing, or
    westing and southing for a grid that counts so. Heights are null where they are not known.

    Parameters
    ----------
    plan : Plan
        A plan with its layout.
    path : Path
        File to write; one that stands there is replaced.
    made : datetime
        Time the file carries, so that the same plan gives the same bytes. [UTC]
    """
    path.unlink(missing_ok=True)
    crs = plan.site.grid.crs.to_wkt()
    with _options_of_library(made):
        for layer in _layers(plan):
            _write(path, layer, crs)


@dataclass(frozen=True)
class _Layer:
    """A layer in the set-out grid: its geometries and its columns, one entry a feature."""

    name: str
    geometry_type: str
    geometries: NDArray[np.object_]
    columns: Columns


@contextmanager
def _options_of_library(made: datetime) -> Iterator[None]:
    """Let the library date its tables ``made``, not now, and leave flushing to the folder."""
    from pyogrio import get_gdal_config_option, set_gdal_config_options

    date = made.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.000Z")
    options = {"OGR_CURRENT_DATE": date, "OGR_SQLITE_SYNCHRONOUS": "OFF"}
    before = {name: get_gdal_config_option(name) for name in options}
    set_gdal_config_options(options)
    try:
        yield
    finally:
        set_gdal_config_options(before)


def _layers(plan: Plan) -> Iterator[_Layer]:
    by_kind = {points.kind: points for points in all_points(plan)}
    yield _boundary(plan)
    yield _plantable(plan)
    yield _exclusions(plan)
    yield _rows(plan)
    yield _points("vines", plan.site.grid, by_kind["vine"])
    yield _points("posts", plan.site.grid, by_kind["end post"], by_kind["line post"])
    yield _points("anchors", plan.site.grid, by_kind["anchor"])
    if plan.site.soil is not None:
        yield _zones(plan, plan.site.soil.zones)
    made = designed_system(plan)
    if made is not None:
        yield _pipes(plan.site.grid, laid_pipes(made))
        yield _valves(plan.site.grid, laid_valves(made))


def _boundary(plan: Plan) -> _Layer:
    boundary = plan.site.boundary
    columns: Columns = {
        "name": _texts([plan.site.name]),
        "area_ha": np.array([boundary.area / 1e4]),
    }
    return _Layer("boundary", "Polygon", _in_grid(plan, [boundary]), columns)


def _plantable(plan: Plan) -> _Layer:
    parts = shapely.get_parts(plan.layout.plantable)
    polygons = MultiPolygon([part for part in parts if part.geom_type == "Polygon"])
    columns: Columns = {"area_ha": np.array([polygons.area / 1e4])}
    return _Layer("plantable", "MultiPolygon", _in_grid(plan, [polygons]), columns)


def _exclusions(plan: Plan) -> _Layer:
    items = plan.site.exclusions
    columns: Columns = {
        "name": _texts([item.name for item in items]),
        "kind": _texts([item.kind for item in items]),
        "treatment": _texts([item.treatment for item in items]),
        "clearance_m": np.array([item.clearance_m for item in items], dtype=np.float64),
        "corridor_width_m": np.array([item.corridor_width_m for item in items], dtype=np.float64),
    }
    shapes = _in_grid(plan, [item.geometry for item in items])
    return _Layer("exclusions", "Unknown", shapes, columns)


def _rows(plan: Plan) -> _Layer:
    rows = row_lines(plan)
    corners = plan.site.grid.from_frame(rows.xy)
    lines = np.asarray(shapely.linestrings(corners, indices=rows.owner), dtype=object)
    columns: Columns = {
        "row": rows.row,
        "part": rows.part,
        "length_m": rows.length_m,
        "vines": rows.vines,
        "bearing_deg": rows.bearing_deg,
    }
    return _Layer("rows", "LineString", lines, columns)


def _points(name: str, grid: SetOutGrid, *groups: Points) -> _Layer:
    grid_xy = grid.from_frame(np.concatenate([points.xy for points in groups]))
    columns: dict[str, NDArray[Any]] = {}
    if name == "posts":
        kinds = _texts([points.kind.removesuffix(" post") for points in groups])
        columns["kind"] = np.repeat(kinds, [len(points) for points in groups])
    columns["row"] = np.concatenate([points.row for points in groups])
    columns["part"] = np.concatenate([points.part for points in groups])
    columns["number"] = np.concatenate([points.number for points in groups])
    columns["code"] = np.concatenate([points.code for points in groups]).astype(object)
    columns["x"], columns["y"] = grid_xy.T
    columns["z"] = np.concatenate([points.z for points in groups])  # null where not known
    return _Layer(name, "Point", np.asarray(shapely.points(grid_xy), dtype=object), columns)


def _zones(plan: Plan, zones: Sequence[Zone]) -> _Layer:
    """Soil zones; a depth or water that isn't known is written as null."""
    columns: Columns = {
        "name": _texts([zone.name for zone in zones]),
        "pit": _texts([zone.pit.name if zone.pit else "" for zone in zones]),
        "area_ha": np.array([zone.area_ha for zone in zones]),
        "depth_m": np.array([zone.depth_m for zone in zones], dtype=np.float64),
        "available_water_mm": np.array(
            [zone.available_water_mm for zone in zones], dtype=np.float64
        ),
        "potential": _texts([zone.potential.name for zone in zones]),
    }
    shapes = [MultiPolygon(shapely.get_parts(zone.geometry).tolist()) for zone in zones]
    return _Layer(ZONES_LAYER, "MultiPolygon", _in_grid(plan, shapes), columns)


def _pipes(grid: SetOutGrid, pipes: Sequence[LaidPipe]) -> _Layer:
    """Pipes at the height of the ground; set and row are null where a pipe has none."""
    lines = [np.column_stack([grid.from_frame(one.run.xy), one.xyz[:, 2:]]) for one in pipes]
    listed = [one.fields() for one in pipes]
    columns = {name: _column([line[name] for line in listed]) for name in listed[0]}
    has_z = lines[0].shape[1] > 2  # noqa: PLR2004 - x, y and z
    shapes = np.array([shapely.LineString(line) for line in lines], dtype=object)
    return _Layer("pipes", "LineString Z" if has_z else "LineString", shapes, columns)


def _valves(grid: SetOutGrid, valves: LaidValves) -> _Layer:
    grid_xy = grid.from_frame(valves.xy)
    columns: Columns = {
        "code": _texts(valves.code),
        "kind": _texts(valves.kind),
        "set": _column(valves.set_number),
        "x": grid_xy[:, 0],
        "y": grid_xy[:, 1],
        "z": valves.z_m,
        "pressure_kpa": np.round(valves.pressure_kpa, 1),
    }
    return _Layer("valves", "Point", np.asarray(shapely.points(grid_xy), dtype=object), columns)


def _column(values: Sequence[str | float | None]) -> NDArray[Any]:
    """Return a column of texts, or of numbers of which some may be missing."""
    if any(isinstance(value, str) for value in values):
        return _texts([str(value) for value in values])
    missing = np.array([value is None for value in values])
    filled = np.array([0 if value is None else value for value in values])
    return np.ma.MaskedArray(filled, missing)


def _in_grid(plan: Plan, geometries: Sequence[BaseGeometry]) -> NDArray[np.object_]:
    moved = [shapely.transform(geometry, plan.site.grid.from_frame) for geometry in geometries]
    return np.array(moved, dtype=object)


def _texts(values: Sequence[str]) -> NDArray[np.object_]:
    return np.array([printable(value) for value in values], dtype=object)


def _write(path: Path, layer: _Layer, crs: str) -> None:
    from pyogrio.raw import write

    columns = list(layer.columns.values())
    write(
        os.fspath(path),
        geometry=shapely.to_wkb(layer.geometries),
        field_data=[np.ma.getdata(column) for column in columns],
        field_mask=[
            np.ma.getmaskarray(column) if np.ma.isMaskedArray(column) else None
            for column in columns
        ],
        fields=list(layer.columns),
        layer=layer.name,
        driver="GPKG",
        geometry_type=layer.geometry_type,
        crs=crs,
        append=path.exists(),
        promote_to_multi=False,
    )
