"""Read soil zones that the user drew as polygons."""

from pathlib import Path

import shapely
from shapely import MultiPolygon, Polygon

from aanplant.errors import InputError
from aanplant.files.features import Feature, locate, property_text, read_drawings
from aanplant.files.land import check_on_land
from aanplant.pits import DrawnZone

ZONE_LAYERS = ("zones", "zone", "soil zones", "soil")
"""A GeoPackage with such a layer is read from it alone."""


def read_zones(path: Path, *, grid: str = "") -> tuple[DrawnZone, ...]:
    """Read zones in longitude and latitude.

    Each polygon has a name (or a property ``zone``) and may name its ``pit``. Polygons
    of one name and pit are one zone in pieces.

    Parameters
    ----------
    path : Path
        GeoJSON, KML, KMZ, GeoPackage, shapefile, zip with one of these, or DXF.
    grid : str
        Reference system of a file that doesn't state one.

    Raises
    ------
    InputError
        If the file can't be read, a shape is no sound polygon, or one zone has two pits.
    """
    drawings = read_drawings(path)
    named = tuple(
        drawing for drawing in drawings if drawing.features[0].layer.lower() in ZONE_LAYERS
    )
    features = [
        feature
        for drawing in named or drawings
        for feature in locate(drawing, path.name, grid=grid).features
    ]
    check_on_land(shapely.get_coordinates([feature.geometry for feature in features]), path.name)
    zones: dict[str, DrawnZone] = {}
    for number, feature in enumerate(features, start=1):
        zone = _zone(feature, number, path.name)
        earlier = zones.get(zone.name)
        if earlier is not None:
            if earlier.pit != zone.pit:
                raise InputError(
                    zone.where, f"the zone {zone.name!r} with two pits", "one pit for each zone"
                )
            joined = shapely.union_all([earlier.geometry, zone.geometry])
            zone = DrawnZone(zone.name, zone.pit, joined, earlier.where)
        zones[zone.name] = zone
    return tuple(zones.values())


def _zone(feature: Feature, number: int, file: str) -> DrawnZone:
    name = property_text(feature.properties, "zone") or feature.name or f"zone {number}"
    where = f"{file}: {name}"
    shape = feature.geometry
    if not isinstance(shape, (Polygon, MultiPolygon)):
        raise InputError(where, f"a {shape.geom_type.lower()}", "a polygon")
    if not shape.is_valid:
        raise InputError(
            where,
            f"an outline that crosses itself ({shapely.is_valid_reason(shape)})",
            "a polygon whose sides don't cross",
        )
    return DrawnZone(name, property_text(feature.properties, "pit"), shape, where)
