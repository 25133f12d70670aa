"""Write ``set-out.dxf``: the block as a drawing in true coordinates, north up."""

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from aanplant.files.drawing_points import PointsText
from aanplant.files.names import printable
from aanplant.files.points import RowLines, all_points, row_lines
from aanplant.files.water_features import designed_system, laid_pipes, laid_valves
from aanplant.plan import Plan
from aanplant.site.grid import SetOutGrid
from aanplant.water.designed import DesignedSystem

if TYPE_CHECKING:
    from ezdxf.layouts.layout import Modelspace

LAYERS = {
    "BOUNDARY": 7,
    "PLANTABLE": 8,
    "EXCLUSIONS": 30,
    "ROWS": 8,
    "VINES": 3,
    "POSTS": 5,
    "ANCHORS": 6,
    "TEXT": 7,
}
"""Layers with their colour by the drawing's colour index."""
WATER_LAYERS = {"PIPES": 4, "VALVES": 1}
"""Further layers where an irrigation system was designed."""
LAYER_OF = {"vine": "VINES", "line post": "POSTS", "end post": "POSTS", "anchor": "ANCHORS"}
_CROSS_IN_CIRCLE = 34
_POINT_SIZE_M = 0.2
_METRES, _METRIC = 6, 1
_LETTER_OF_ROW_WIDTH = 0.4
_NOTE_LETTER_M = 2.0
_CODE_LETTER_M = 1.0
_STRAIGHT = 2


def write_drawing(plan: Plan, path: Path) -> None:
    """Write the drawing in metres of the set-out grid.

    Westing and southing grids are drawn with both signs changed, as is usual, so that
    east is right and north is up; a note under the block says so.

    Parameters
    ----------
    plan : Plan
        A plan with its layout.
    path : Path
        File to write.
    """
    from ezdxf.filemanagement import new

    grid = plan.site.grid
    drawing = new("R2010")
    drawing.header["$INSUNITS"] = _METRES
    drawing.header["$MEASUREMENT"] = _METRIC
    drawing.header["$PDMODE"] = _CROSS_IN_CIRCLE
    drawing.header["$PDSIZE"] = _POINT_SIZE_M
    drawing.header.custom_vars.append("GRID", grid_note(grid))
    for name, colour in LAYERS.items():
        drawing.layers.add(name, color=colour)
    space = drawing.modelspace()
    _draw_areas(space, plan)
    _draw_rows(space, row_lines(plan), grid, plan.layout.rows.row_width_m)
    _draw_note(space, plan)
    texts = PointsText(drawing)
    for points in all_points(plan):
        if points.kind in LAYER_OF:
            texts.add(LAYER_OF[points.kind], grid.drawing_from_frame(points.xy), points.z)
    made = designed_system(plan)
    if made is not None:
        for name, colour in WATER_LAYERS.items():
            drawing.layers.add(name, color=colour)
        _draw_water(space, texts, made, grid)
    texts.write(path)


def grid_note(grid: SetOutGrid) -> str:
    """Say which grid the drawing is in and what its x and y are."""
    axes = "x = easting, y = northing"
    if grid.is_south_orientated:
        axes = "x = -Y (westing with its sign changed), y = -X (southing with its sign changed)"
    return f"{grid.code}, {grid.name}: {axes}, in metres"


def dxf_text(text: str) -> str:
    """Write a name so that a drawing shows it as it is: ``^`` and ``%%`` are commands there."""
    return printable(text).replace("^", "^ ").replace("%%", "%%%%%%")


def _draw_areas(space: "Modelspace", plan: Plan) -> None:
    site, grid = plan.site, plan.site.grid
    _draw_geometry(space, "BOUNDARY", site.boundary, grid)
    _draw_geometry(space, "PLANTABLE", plan.layout.plantable, grid)
    for item in site.exclusions:
        _draw_geometry(space, "EXCLUSIONS", item.geometry, grid)
        at = grid.drawing_from_frame(shapely.get_coordinates(item.geometry.representative_point()))
        _write(space, item.name or item.kind, at[0], _NOTE_LETTER_M)


def _draw_geometry(
    space: "Modelspace", layer: str, geometry: BaseGeometry, grid: SetOutGrid
) -> None:
    for part in _simple_parts(geometry):
        corners = grid.drawing_from_frame(shapely.get_coordinates(part)).tolist()
        if part.geom_type == "Point":
            space.add_point(corners[0], dxfattribs={"layer": layer})
        elif part.is_ring:
            space.add_lwpolyline(corners[:-1], close=True, dxfattribs={"layer": layer})
        else:
            space.add_lwpolyline(corners, dxfattribs={"layer": layer})


def _simple_parts(geometry: BaseGeometry) -> Iterable[BaseGeometry]:
    """Points, lines and rings of a geometry, its collections and polygons taken apart."""
    for part in shapely.get_parts(geometry):
        if part.geom_type == "Polygon":
            yield from shapely.get_rings(part)
        elif hasattr(part, "geoms"):
            yield from _simple_parts(part)
        else:
            yield part


def _draw_rows(space: "Modelspace", rows: RowLines, grid: SetOutGrid, row_width_m: float) -> None:
    corners = grid.drawing_from_frame(rows.xy)
    starts, seconds = corners[rows.first[:-1]], corners[rows.first[:-1] + 1]
    away = starts - seconds
    numbers_at = starts + row_width_m * away / np.hypot(*away.T)[:, None]
    lines = np.split(corners, rows.first[1:-1])
    for row, part, line, number_at in zip(
        rows.row.tolist(), rows.part.tolist(), lines, numbers_at, strict=True
    ):
        if len(line) == _STRAIGHT:
            space.add_line(line[0].tolist(), line[1].tolist(), dxfattribs={"layer": "ROWS"})
        else:
            space.add_lwpolyline(line.tolist(), dxfattribs={"layer": "ROWS"})
        if part == 1:
            _write(space, str(row), number_at, _LETTER_OF_ROW_WIDTH * row_width_m)


def _draw_water(
    space: "Modelspace", texts: PointsText, made: DesignedSystem, grid: SetOutGrid
) -> None:
    """Draw pipes at the height of the ground, and valves with their codes beside them."""
    for one in laid_pipes(made):
        corners = np.column_stack([grid.drawing_from_frame(one.run.xy), np.nan_to_num(one.z_m)])
        space.add_polyline3d(corners.tolist(), dxfattribs={"layer": "PIPES"})
        if one.row is None:
            _write(space, one.code, corners[:2, :2].mean(axis=0), _CODE_LETTER_M)
    valves = laid_valves(made)
    places = grid.drawing_from_frame(valves.xy)
    texts.add("VALVES", places, valves.z_m)
    for code, kind, at in zip(valves.code, valves.kind, places, strict=True):
        if kind == "valve":
            _write(space, code, at, _CODE_LETTER_M)


def _draw_note(space: "Modelspace", plan: Plan) -> None:
    grid = plan.site.grid
    left, bottom, *_ = shapely.total_bounds(
        shapely.transform(plan.site.boundary, grid.drawing_from_frame)
    )
    title = ", ".join(name for name in (plan.inputs.estate, plan.site.name) if name)
    for line, text in enumerate((title, grid_note(grid)), start=2):
        at = np.array([left, bottom - line * 2.0 * _NOTE_LETTER_M])
        _write(space, text, at, _NOTE_LETTER_M)


def _write(space: "Modelspace", text: str, at: NDArray[np.float64], height_m: float) -> None:
    space.add_text(
        dxf_text(text), height=height_m, dxfattribs={"layer": "TEXT", "insert": tuple(at.tolist())}
    )
