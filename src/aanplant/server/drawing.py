"""What can be drawn on the sheet, and where a drawing is kept.

A drawing is saved as GeoJSON. It takes the place of the file it was read from only when
nothing of that file would be lost: any other file stays, and the drawing lies beside it.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from shapely.geometry import LineString, MultiPolygon, Point, Polygon, mapping

from aanplant.files import geojson
from aanplant.files.features import Drawing, Feature, property_text
from aanplant.files.grids import WGS84
from aanplant.files.heights import HEIGHT_NAMES, name_and_unit
from aanplant.inputs import Exclusion, Outline, WaterSource
from aanplant.server.geo import features_of
from aanplant.site import Site

DRAWN_KEYS = (
    "block.boundary",
    "block.exclusions",
    "block.zones",
    "water.source",
    "mains.route",
    "rows.base_line",
)
"""Keys of the brief whose file can be drawn. Pits and heights hold more than their places."""
_ENDINGS = (".geojson", ".json")
_MOST_NAMES = 1000


@dataclass(frozen=True)
class Kept:
    """Where a drawing is saved.

    Parameters
    ----------
    name : str
        Of the file.
    takes_place : bool
        Whether that is the file it was read from.
    """

    name: str
    takes_place: bool


def drawn_features(
    key: str, path: Path, read: object, site: Site | None
) -> tuple[list[dict[str, Any]], bool]:
    """Return what a file holds as features to be edited, and whether they are all of it.

    A walked track comes as the corners that its plan stands on, where the block could be
    surveyed.

    Parameters
    ----------
    key : str
        Key of the brief that names the file.
    path : Path
        The file.
    read : object
        What its reader made of it.
    site : Site or None
        The block's ground.
    """
    whole = _whole(key, path, read)
    if whole is not None:
        return whole, True
    if isinstance(read, Outline):
        return [_outline(read, site)], False
    return features_of(read), False


def kept_as(key: str, named: str, taken: Iterable[str], *, is_whole: bool) -> Kept:
    """Choose the name under which a drawing is saved.

    Parameters
    ----------
    key : str
        Key of the brief.
    named : str
        File that it names, "" for none.
    taken : iterable of str
        Names that lie beside the brief.
    is_whole : bool
        Whether the file lies beside the brief and the drawing holds all that it does.
    """
    if is_whole:
        return Kept(named, takes_place=True)
    stem = re.sub(r"[^A-Za-z0-9._-]+", "-", Path(named).stem).strip("-._")[:60]
    stem = stem or key.rpartition(".")[2].replace("_", "-")
    lower = {name.lower() for name in taken}
    names = (f"{stem}{'' if number == 1 else f'-{number}'}.geojson"
             for number in range(1, _MOST_NAMES))  # fmt: skip
    return Kept(next(name for name in names if name.lower() not in lower), takes_place=False)


def _outline(outline: Outline, site: Site | None) -> dict[str, Any]:
    rings = list(outline.rings)
    if outline.kind == "track" and site is not None:
        boundary = site.boundary
        rings = [site.frame.to_lonlat(np.asarray(ring.coords))
                 for ring in (boundary.exterior, *boundary.interiors)]  # fmt: skip
    shape = Polygon(rings[0], rings[1:])
    return {"type": "Feature", "properties": {}, "geometry": mapping(shape)}


def _whole(key: str, path: Path, read: object) -> list[dict[str, Any]] | None:
    """Return the features of a GeoJSON file with all their properties.

    None when it is no such file, or saving these features would lose a part of it: heights of
    its corners, another grid, shapes that the key does not use.
    """
    if path.suffix.lower() not in _ENDINGS:
        return None
    (drawing,) = geojson.read(path)
    if drawing.crs != WGS84 or not _all_used(key, drawing, read):
        return None
    told = features_of(read)
    if key == "block.zones":
        return [_zone(feature) for feature in drawing.features]
    return [
        {**own, "properties": _properties(feature, own["properties"], read)}
        for feature, own in zip(drawing.features, told, strict=True)
    ]


def _all_used(key: str, drawing: Drawing, read: object) -> bool:
    features = drawing.features
    has_heights = any(any(feature.z) for feature in features)
    match key:
        case "block.boundary":
            is_area = isinstance(features[0].geometry, (Polygon, MultiPolygon))
            return len(features) == 1 and is_area and not has_heights
        case "block.exclusions":
            return isinstance(read, tuple) and len(read) == len(features) and not has_heights
        case "block.zones":
            return not has_heights
        case "water.source":
            return len(features) == 1 and isinstance(features[0].geometry, Point)
    return len(features) == 1 and isinstance(features[0].geometry, LineString) and not has_heights


def _properties(feature: Feature, told: dict[str, Any], read: object) -> dict[str, Any]:
    """Keep what the file says; of an exclusion, what it leaves to the tables stays with them."""
    own = dict(feature.properties)
    if isinstance(read, Outline):
        return own
    if isinstance(read, WaterSource):
        named = {key: value for key, value in own.items() if not _is_other_height(key)}
        return told | named
    if isinstance(read, tuple) and read and isinstance(read[0], Exclusion):
        return own | {name: told[name] for name in ("name", "kind", "treatment")}
    return told | own


def _is_other_height(key: str) -> bool:
    return key != "height" and name_and_unit(key.replace("_", " "))[0] in HEIGHT_NAMES


def _zone(feature: Feature) -> dict[str, Any]:
    name = property_text(feature.properties, "zone") or feature.name
    own = {key: value for key, value in feature.properties.items() if key != "zone"}
    properties = own | {"name": name, "pit": property_text(feature.properties, "pit")}
    return {"type": "Feature", "properties": properties, "geometry": mapping(feature.geometry)}
