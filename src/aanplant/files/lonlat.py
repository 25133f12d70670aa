"""Write the set-out files in longitude and latitude: GeoJSON, KML and GPX.

Heights are as the block's file counts them, above the sea as a rule. KML and GPX hold such
heights beside the coordinates; GeoJSON would want them above the ellipsoid there, so that
they stand among the properties, as ``height_m``.
"""

import json
from collections.abc import Iterable, Iterator
from datetime import datetime
from math import isnan
from pathlib import Path
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import orient_polygons
from shapely.geometry import Polygon

from aanplant.files.names import printable, xml_text
from aanplant.files.points import NO_ROW, Points, RowLines, all_points, row_lines
from aanplant.files.water_features import (
    PEGGED,
    designed_system,
    laid_pipes,
    laid_valves,
    pegged_points,
)
from aanplant.plan import Plan
from aanplant.site.frame import Frame
from aanplant.water.designed import DesignedSystem
from aanplant.water.pipes import MM_PER_M

DECIMALS = 9
"""A tenth of a millimetre on the ground: positions are proved to the millimetre."""
HEIGHT_DECIMALS = 2


def write_geojson(plan: Plan, path: Path) -> None:
    """Write ``set-out.geojson`` by RFC 7946: boundary, exclusions, rows and every point.

    Parameters
    ----------
    plan : Plan
        A plan with its layout.
    path : Path
        File to write.
    """
    features = (
        json.dumps(feature, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
        for feature in _features(plan)
    )
    name = json.dumps(printable(_title(plan)), ensure_ascii=False)
    head = f'{{"type":"FeatureCollection","name":{name},"features":[\n'
    text = head + ",\n".join(features) + "\n]}\n"
    path.write_text(text, encoding="utf-8", newline="\n")


def write_kml(plan: Plan, path: Path) -> None:
    """Write ``set-out.kml``: the boundary, row lines and row ends; a map shows no more well.

    Where an irrigation system was designed: mainline, submains and valves too. Dripper lines lie
    along the rows.

    Parameters
    ----------
    plan : Plan
        A plan with its layout.
    path : Path
        File to write.
    """
    frame, rows = plan.site.frame, row_lines(plan)
    ends = next(points for points in all_points(plan) if points.kind == "end post")
    boundary = _ringed(plan.site.boundary, frame)
    folders = (
        ("Boundary", [_placemark(plan.site.name, _kml_polygon(boundary))]),
        ("Rows", (_placemark(name, _kml_line(line)) for name, line in _named_lines(rows, frame))),
        ("Row ends", _kml_ends(ends, frame)),
        *_kml_water(designed_system(plan), frame),
    )
    parts = [
        '<?xml version="1.0" encoding="UTF-8"?>\n<kml xmlns="http://www.opengis.net/kml/2.2">\n<Document>',
        f"<name>{xml_text(_title(plan))}</name>",
    ]
    for name, placemarks in folders:
        parts.extend([f"<Folder><name>{name}</name>", *placemarks, "</Folder>"])
    parts.append("</Document>\n</kml>\n")
    path.write_text("\n".join(parts), encoding="utf-8", newline="\n")


def write_gpx(plan: Plan, path: Path, *, made: datetime) -> None:
    """Write ``set-out.gpx``: row ends, corners and valves as waypoints, for a hand-held receiver.

    Parameters
    ----------
    plan : Plan
        A plan with its layout.
    path : Path
        File to write.
    made : datetime
        Time the file carries. [UTC]
    """
    from gpxpy.gpx import GPX, GPXWaypoint

    document = GPX()
    document.creator = "aanplant"
    document.name = printable(_title(plan))
    document.time = made
    for points in (*all_points(plan), *pegged_points(plan)):
        if points.kind in {"corner", "end post", *PEGGED}:
            document.waypoints.extend(
                GPXWaypoint(
                    latitude=latitude,
                    longitude=longitude,
                    elevation=height,
                    name=name,
                    type=points.kind,
                )
                for (name, (longitude, latitude)), height in zip(
                    _named_points(points, plan.site.frame), _heights(points), strict=True
                )
            )
    path.write_text(document.to_xml(), encoding="utf-8", newline="\n")


def _title(plan: Plan) -> str:
    return ", ".join(name for name in (plan.inputs.estate, plan.site.name) if name)


def _lonlat(frame: Frame, xy: NDArray[np.float64]) -> list[list[float]]:
    """Longitudes and latitudes of points, rounded. [deg]."""
    degrees: list[list[float]] = np.round(frame.to_lonlat(xy), DECIMALS).tolist()
    return degrees


def _ringed(polygon: Polygon, frame: Frame) -> list[list[list[float]]]:
    """Rings of a polygon, the outer one against the clock, holes with it."""
    turned = orient_polygons(polygon)
    rings = (turned.exterior, *turned.interiors)
    return [_lonlat(frame, np.asarray(ring.coords)[:, :2]) for ring in rings]


def _named_points(points: Points, frame: Frame) -> Iterator[tuple[str, list[float]]]:
    return zip(points.code.tolist(), _lonlat(frame, points.xy), strict=True)


def _heights(points: Points) -> list[float | None]:
    """Heights to the centimetre, None where they are not known. [m]."""
    return [None if isnan(z) else round(z, HEIGHT_DECIMALS) for z in points.z.tolist()]


def _named_lines(rows: RowLines, frame: Frame) -> Iterator[tuple[str, list[list[float]]]]:
    corners = _lonlat(frame, rows.xy)
    for row, part, start, end in zip(
        rows.row.tolist(), rows.part.tolist(), rows.first[:-1], rows.first[1:], strict=True
    ):
        yield f"Row {row}" if part == 1 else f"Row {row}, part {part}", corners[start:end]


def _features(plan: Plan) -> Iterator[dict[str, Any]]:
    frame = plan.site.frame
    boundary = {"type": "Polygon", "coordinates": _ringed(plan.site.boundary, frame)}
    yield _feature(boundary, kind="boundary", name=printable(plan.site.name))
    for item in plan.site.exclusions:
        shape = shapely.transform(item.geometry, lambda xy: np.array(_lonlat(frame, xy)))
        yield _feature(
            json.loads(shapely.to_geojson(orient_polygons(shape))),
            kind="exclusion", name=printable(item.name), thing=item.kind, treatment=item.treatment,
        )  # fmt: skip
    rows = row_lines(plan)
    lines = (line for _, line in _named_lines(rows, frame))
    columns = (rows.row, rows.part, np.round(rows.length_m, 3), rows.vines)
    for line, row, part, length_m, vines in zip(
        lines, *(column.tolist() for column in columns), strict=True
    ):
        yield _feature(
            {"type": "LineString", "coordinates": line},
            kind="row", row=row, part=part, length_m=length_m, vines=vines,
        )  # fmt: skip
    for points in all_points(plan):
        yield from _point_features(points, frame)
    made = designed_system(plan)
    if made is not None:
        yield from _water_features(made, frame)


def _water_features(made: DesignedSystem, frame: Frame) -> Iterator[dict[str, Any]]:
    """Pipes and valves; what isn't known or doesn't apply is left out."""
    for one in laid_pipes(made):
        line = {"type": "LineString", "coordinates": _lonlat(frame, one.run.xy)}
        told = {name: value for name, value in one.fields().items() if value is not None}
        yield _feature(line, **told)
    valves = laid_valves(made)
    columns = (valves.code, valves.kind, valves.set_number, valves.pressure_kpa.tolist())
    for at, code, kind, number, pressure, z in zip(
        _lonlat(frame, valves.xy), *columns, valves.heights(), strict=True
    ):
        own = {} if number is None else {"set": number}
        height = {} if z is None else {"height_m": round(z, HEIGHT_DECIMALS)}
        yield _feature(
            {"type": "Point", "coordinates": at},
            kind=kind, code=code, **own, pressure_kpa=round(pressure, 1), **height,
        )  # fmt: skip


def _point_features(points: Points, frame: Frame) -> Iterator[dict[str, Any]]:
    numbers = zip(points.row.tolist(), points.number.tolist(), _heights(points), strict=True)
    for (code, at), (row, number, z) in zip(_named_points(points, frame), numbers, strict=True):
        place = {"type": "Point", "coordinates": at}
        belongs = {} if row == NO_ROW else {"row": row}
        height = {} if z is None else {"height_m": z}
        yield _feature(place, kind=points.kind, code=code, **belongs, number=number, **height)


def _feature(geometry: dict[str, Any], **properties: str | float) -> dict[str, Any]:
    return {"type": "Feature", "geometry": geometry, "properties": properties}


def _placemark(name: str, geometry: str) -> str:
    return f"<Placemark><name>{xml_text(name)}</name>{geometry}</Placemark>"


def _kml_ends(ends: Points, frame: Frame) -> Iterator[str]:
    for (name, at), z in zip(_named_points(ends, frame), _heights(ends), strict=True):
        height = "" if z is None else f",{z}"
        coordinates = f"{_kml_coordinates([at])}{height}"
        yield _placemark(name, f"<Point><coordinates>{coordinates}</coordinates></Point>")


def _kml_water(made: DesignedSystem | None, frame: Frame) -> list[tuple[str, list[str]]]:
    """Folders of the mainline, submains and valves; none without a system."""
    if made is None:
        return []
    pipes = []
    for one in laid_pipes(made):
        if one.row is None:
            size = f"{one.pipe.outside_m * MM_PER_M:g} mm {one.pipe.series}"
            line = _kml_line(_lonlat(frame, one.run.xy))
            pipes.append(_placemark(f"{one.code}, {one.run.kind}, {size}", line))
    laid = laid_valves(made)
    valves = []
    for code, kind, at, z in zip(
        laid.code, laid.kind, _lonlat(frame, laid.xy), laid.heights(), strict=True
    ):
        height = "" if z is None else f",{round(z, HEIGHT_DECIMALS)}"
        place = f"<Point><coordinates>{_kml_coordinates([at])}{height}</coordinates></Point>"
        valves.append(_placemark(f"{code}, {kind}", place))
    return [("Pipes", pipes), ("Valves", valves)]


def _kml_line(line: list[list[float]]) -> str:
    return (
        "<LineString><tessellate>1</tessellate>"
        f"<coordinates>{_kml_coordinates(line)}</coordinates></LineString>"
    )


def _kml_polygon(rings: list[list[list[float]]]) -> str:
    outer, *holes = (
        f"<LinearRing><coordinates>{_kml_coordinates(ring)}</coordinates></LinearRing>"
        for ring in rings
    )
    inner = "".join(f"<innerBoundaryIs>{hole}</innerBoundaryIs>" for hole in holes)
    return f"<Polygon><outerBoundaryIs>{outer}</outerBoundaryIs>{inner}</Polygon>"


def _kml_coordinates(points: Iterable[list[float]]) -> str:
    return " ".join(
        f"{longitude:.{DECIMALS}f},{latitude:.{DECIMALS}f}" for longitude, latitude in points
    )
