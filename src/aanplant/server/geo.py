"""What a file of places holds, as GeoJSON that the same readers take back."""

from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from typing import Any

import numpy as np
from shapely.geometry import LineString, MultiLineString, Point, Polygon, mapping
from shapely.geometry.base import BaseGeometry

from aanplant.brief import Brief
from aanplant.errors import InputError
from aanplant.files.base_lines import read_base_line
from aanplant.files.delivery_volumes import read_delivery_volumes
from aanplant.files.exclusions import read_exclusions
from aanplant.files.heights import read_heights
from aanplant.files.outlines import read_outline
from aanplant.files.past_losses import read_past_losses
from aanplant.files.pits import read_pits
from aanplant.files.water_sources import read_water_route, read_water_source
from aanplant.files.weather import read_weather
from aanplant.files.zones import read_zones
from aanplant.heights import Heights
from aanplant.inputs import Exclusion, Outline, WaterSource
from aanplant.pits import DrawnZone, Pit


def features_of(read: object) -> list[dict[str, Any]]:
    """Return what was read as features in longitude and latitude; none for what has no place."""
    match read:
        case Outline():
            rings = [ring.tolist() for ring in read.rings]
            return [_feature(Polygon(rings[0], rings[1:]), kind=read.kind)]
        case WaterSource():
            place = Point(read.longitude_deg, read.latitude_deg)
            height = {} if read.height_m is None else {"height": read.height_m}
            return [_feature(place, name=read.name, **height)]
        case np.ndarray():
            return [_feature(LineString(read))]
        case tuple():
            return list(_listed(read))
    return []


def _listed(items: Iterable[object]) -> Iterable[dict[str, Any]]:
    for item in items:
        match item:
            case Exclusion():
                yield _feature(
                    item.geometry,
                    name=item.name,
                    kind=item.kind,
                    treatment=item.treatment,
                    clearance=item.clearance_m,
                    **({"width": item.corridor_width_m} if _is_line(item.geometry) else {}),
                )
            case DrawnZone():
                yield _feature(item.geometry, name=item.name, pit=item.pit)
            case Pit():
                place = Point(item.longitude_deg, item.latitude_deg)
                yield _feature(place, name=item.name, depth_m=item.depth_m)


def _is_line(geometry: BaseGeometry) -> bool:
    return isinstance(geometry, (LineString, MultiLineString))


def _feature(geometry: BaseGeometry, **properties: object) -> dict[str, Any]:
    return {"type": "Feature", "properties": properties, "geometry": mapping(geometry)}


def _heights(path: Path, brief: Brief, here: Path) -> Heights:
    outline = read_outline(here / brief.block.boundary, grid=brief.block.grid)
    return read_heights(
        path, outline.rings[0], grid=brief.block.grid, unit=brief.ground.heights_unit
    )


Reading = Callable[[Path, Brief, Path], object]
READERS: Mapping[str, Reading] = {
    "block.boundary": lambda path, brief, _: read_outline(path, grid=brief.block.grid),
    "block.exclusions": lambda path, brief, _: read_exclusions(path, grid=brief.block.grid),
    "block.heights": _heights,
    "block.pits": lambda path, brief, _: read_pits(path, grid=brief.block.grid),
    "block.zones": lambda path, brief, _: read_zones(path, grid=brief.block.grid),
    "rows.base_line": lambda path, brief, _: read_base_line(path, grid=brief.block.grid),
    "water.source": lambda path, brief, _: read_water_source(path, grid=brief.block.grid),
    "mains.route": lambda path, brief, _: read_water_route(path, grid=brief.block.grid),
    "water.delivery_test": lambda path, _, __: read_delivery_volumes(path),
    "spares.past_losses": lambda path, _, __: read_past_losses(path),
    "climate.weather": lambda path, _, __: read_weather(path, is_own=True),
}
"""How the file behind each key is read: its path, the brief, and the block's folder."""


def reader_of(key: str) -> Reading:
    """Return how the file behind a key is read.

    Raises
    ------
    InputError
        If the key names no file.
    """
    if key not in READERS:
        raise InputError("key", repr(key), f"one of {', '.join(READERS)}")
    return READERS[key]
