"""Read what lies in a field and must be kept clear: dams, rocks, drains, power lines."""

import math
from collections.abc import Mapping
from functools import cache
from pathlib import Path

from shapely import get_coordinates, is_valid_reason
from shapely.geometry import LineString, MultiLineString

from aanplant.errors import InputError
from aanplant.files.features import Drawing, Feature, locate, property_text, read_drawings
from aanplant.files.land import check_on_land
from aanplant.files.reading import did_you_mean, one_of
from aanplant.inputs import KINDS, Exclusion, Treatment
from aanplant.tables import rows
from aanplant.units import parse_quantity

PROPERTIES = ("name", "kind", "treatment", "clearance", "width")
TREATMENTS: tuple[Treatment, ...] = ("avoid", "skip")
SKIPPED_KINDS = ("drain", "pipe", "cable")
"""Buried lines: the row runs on over them unless the user says otherwise."""
EXCLUSION_LAYERS = ("exclusions", "exclusion", "obstacles")
"""A GeoPackage with such a layer is read from it alone."""
LARGEST_CLEARANCE_M = 1_000.0
_MISSPELT = 0.75
"""How alike a strange property is to a known one before it counts as misspelt."""


def read_exclusions(path: Path, *, grid: str = "") -> tuple[Exclusion, ...]:
    """Read exclusions in longitude and latitude.

    Each feature has a ``kind`` (or lies in a layer or folder named after one), and may
    have a ``name``, a ``treatment`` (``avoid`` or ``skip``), a ``clearance`` and, for a
    line, the full ``width`` of its strip, as metres or as text with a unit. What is not
    given comes from ``tables/clearances.csv``; drains, pipes and cables are skipped
    over, all else is avoided. Other properties are left alone unless they look like a
    misspelling. Layers of a DXF whose name is no kind are left alone as well.

    Parameters
    ----------
    path : Path
        GeoJSON, KML, KMZ, GeoPackage, shapefile, zip with one of these, or DXF.
    grid : str
        Reference system of a file that doesn't state one.

    Returns
    -------
    tuple of Exclusion
        In the file's order. [deg, clearances m]

    Raises
    ------
    InputError
        If the file can't be read, a kind, treatment or property is not known, a shape
        crosses itself, a clearance is no length, or a power line is to be skipped over.
    """
    drawings = _exclusion_layers(read_drawings(path))
    if path.suffix.lower() == ".dxf":
        drawings = _layers_named_by_kind(drawings, path.name)
    located = [locate(drawing, path.name, grid=grid) for drawing in drawings]
    features = [feature for drawing in located for feature in drawing.features]
    check_on_land(get_coordinates([feature.geometry for feature in features]), path.name)
    return tuple(
        _exclusion(feature, number, f"{path.name}: {feature.name or f'feature {number}'}")
        for number, feature in enumerate(features, start=1)
    )


@cache
def _default_lengths() -> Mapping[str, tuple[float, float]]:
    """Return clearance and strip width of each kind from the table.."""
    return {
        row["kind"]: (float(row["clearance_m"]), float(row["line_width_m"]))
        for row in rows("clearances.csv")
    }


def _exclusion_layers(drawings: tuple[Drawing, ...]) -> tuple[Drawing, ...]:
    named = tuple(
        drawing for drawing in drawings if drawing.features[0].layer.lower() in EXCLUSION_LAYERS
    )
    return named or drawings


def _layers_named_by_kind(drawings: tuple[Drawing, ...], where: str) -> tuple[Drawing, ...]:
    kept = []
    for drawing in drawings:
        features = []
        for feature in drawing.features:
            word = _word(feature.layer)
            if word in KINDS:
                features.append(feature)
            elif near := did_you_mean(word, KINDS, cutoff=_MISSPELT):
                raise InputError(
                    where, f"the layer {feature.layer!r}", f"{near!r}, if that is meant"
                )
        if features:
            kept.append(Drawing(tuple(features), drawing.crs))
    if not kept:
        raise InputError(where, "no layer named after a kind", f"layers such as {', '.join(KINDS)}")
    return tuple(kept)


def _exclusion(feature: Feature, number: int, where: str) -> Exclusion:
    for key in feature.properties:
        near = did_you_mean(key, PROPERTIES, cutoff=_MISSPELT)
        if key not in PROPERTIES and near:
            raise InputError(where, f"the property {key!r}", f"{near!r}")
    kind = _kind(feature, where)
    treatment = _treatment(feature, kind, where)
    if not feature.geometry.is_valid:
        raise InputError(
            where,
            f"an outline that crosses itself ({is_valid_reason(feature.geometry)})",
            "a shape whose sides don't cross",
        )
    is_line = isinstance(feature.geometry, (LineString, MultiLineString))
    clearance_m = _length(feature, "clearance", where)
    width_m = _length(feature, "width", where)
    if width_m is not None and not is_line:
        raise InputError(where, "a width for something that is no line", "a clearance")
    usual_clearance_m, usual_width_m = _default_lengths()[kind]
    if is_line and kind == "power line" and width_m is None and clearance_m is not None:
        usual_width_m = 0.0  # the corridor was given as a distance from the line
    return Exclusion(
        name=feature.name or f"{kind} {number}",
        kind=kind,
        treatment=treatment,
        geometry=feature.geometry,
        clearance_m=usual_clearance_m if clearance_m is None else clearance_m,
        corridor_width_m=(usual_width_m if is_line else 0.0) if width_m is None else width_m,
    )


def _kind(feature: Feature, where: str) -> str:
    given = property_text(feature.properties, "kind")
    word = _word(given or feature.layer)
    if word in KINDS:
        return word
    if given:
        raise InputError(where, f"the kind {given!r}", one_of(word, KINDS))
    raise InputError(where, "no kind", one_of("", KINDS))


def _treatment(feature: Feature, kind: str, where: str) -> Treatment:
    given = property_text(feature.properties, "treatment")
    word = given.lower()
    if not word:
        return "skip" if kind in SKIPPED_KINDS else "avoid"
    if word not in TREATMENTS:
        raise InputError(where, f"the treatment {given!r}", one_of(word, TREATMENTS))
    if kind == "power line" and word == "skip":
        raise InputError(
            where,
            "a power line to be skipped over",
            "treatment 'avoid': posts, anchors, wires and tall machines must keep out of it",
        )
    return word


def _length(feature: Feature, key: str, where: str) -> float | None:
    value = feature.properties.get(key)
    if value is None or (isinstance(value, str) and not value.strip()):
        return None
    here = f"{where}: {key}"
    length_m = parse_quantity(value, "m", here)
    if not 0.0 <= length_m <= LARGEST_CLEARANCE_M or math.isnan(length_m):
        raise InputError(here, repr(value), f"a length from 0 to {LARGEST_CLEARANCE_M:.0f} m")
    return length_m


def _word(text: str) -> str:
    return " ".join(text.lower().replace("_", " ").replace("-", " ").split())
