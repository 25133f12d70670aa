"""Invented fields and files of every format, written by other programs than ours."""

import zipfile
from pathlib import Path

import geopandas as gpd
import gpxpy.gpx
import numpy as np
import shapefile
from ezdxf.filemanagement import new
from shapely import orient_polygons
from shapely.geometry import Polygon

# An invented field with a hole, between Paarl and Stellenbosch.
RING = [
    (18.8600, -33.9300),
    (18.8600, -33.9335),
    (18.8650, -33.9340),
    (18.8652, -33.9302),
    (18.8600, -33.9300),
]
HOLE = [
    (18.8620, -33.9315),
    (18.8625, -33.9315),
    (18.8625, -33.9319),
    (18.8620, -33.9319),
    (18.8620, -33.9315),
]
CORNERS = np.array(RING[:-1])


def frame_of(crs: str = "EPSG:4326") -> gpd.GeoDataFrame:
    field = Polygon(RING, [HOLE])
    return gpd.GeoDataFrame({"name": ["Kiepersol"]}, geometry=[field], crs=4326).to_crs(crs)


def write_geojson(path: Path) -> Path:
    frame_of().to_file(path, driver="GeoJSON", engine="fiona")
    return path


def write_geopackage(path: Path, crs: str = "EPSG:2048", layer: str = "fields") -> Path:
    frame_of(crs).to_file(path, driver="GPKG", layer=layer, engine="fiona")
    return path


def write_shapefile(
    path: Path, crs: str = "EPSG:2048", *, prj: bool = True, is_clockwise: bool = True
) -> Path:
    # The format wants outer rings clockwise; not every program keeps to it.
    field = frame_of(crs).geometry[0]
    field = orient_polygons(field, exterior_cw=is_clockwise)
    with shapefile.Writer(str(path)) as writer:
        writer.field("name", "C")
        writer.poly([list(ring.coords) for ring in (field.exterior, *field.interiors)])
        writer.record("Kiepersol")
    if prj:
        import pyproj

        path.with_suffix(".prj").write_text(pyproj.CRS(crs).to_wkt("WKT1_ESRI"))
    return path


def zip_up(path: Path, *files: Path) -> Path:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for file in files:
            archive.write(file, file.name)
    return path


def write_zipped_shapefile(path: Path, crs: str = "EPSG:2048", *, prj: bool = True) -> Path:
    write_shapefile(path.with_suffix(".shp"), crs, prj=prj)
    suffixes = (".shp", ".shx", ".dbf", *((".prj",) if prj else ()))
    return zip_up(path, *(path.with_suffix(suffix) for suffix in suffixes))


def kml_text(*, body: str = "", declaration: str = "") -> str:
    def ring(points):
        return "\n ".join(f"{x},{y},0" for x, y in points)

    polygon = body or (
        "<Placemark><name>Kiepersol</name><Polygon>"
        f"<outerBoundaryIs><LinearRing><coordinates>\n {ring(RING)}\n"
        "</coordinates></LinearRing></outerBoundaryIs>"
        f"<innerBoundaryIs><LinearRing><coordinates>{ring(HOLE)}"
        "</coordinates></LinearRing></innerBoundaryIs></Polygon></Placemark>"
    )
    return (
        f'<?xml version="1.0" encoding="UTF-8"?>{declaration}'
        '<kml xmlns="http://www.opengis.net/kml/2.2"><Document><name>Farm</name><Folder>'
        f"<name>fields</name>{polygon}</Folder></Document></kml>"
    )


def write_kml(path: Path) -> Path:
    path.write_text(kml_text(), encoding="utf-8")
    return path


def write_kmz(path: Path) -> Path:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("doc.kml", kml_text())
    return path


def write_gpx(path: Path, *, tracks: int = 1, routes: int = 0, waypoints: bool = False) -> Path:
    document = gpxpy.gpx.GPX()
    half = len(RING) // 2
    for number in range(tracks):
        track = gpxpy.gpx.GPXTrack(name=f"walk {number + 1}")
        for part in (RING[:half], RING[half:]):
            points = [gpxpy.gpx.GPXTrackPoint(y, x, elevation=120.0) for x, y in part]
            track.segments.append(gpxpy.gpx.GPXTrackSegment(points))
        document.tracks.append(track)
    for number in range(routes):
        route = gpxpy.gpx.GPXRoute(name=f"route {number + 1}")
        route.points = [gpxpy.gpx.GPXRoutePoint(y, x) for x, y in RING[:-1]]
        document.routes.append(route)
    if waypoints:
        document.waypoints = [gpxpy.gpx.GPXWaypoint(y, x) for x, y in RING[:-1]]
    path.write_text(document.to_xml(), encoding="utf-8")
    return path


def write_dxf(path: Path, points, *, layer: str = "0", bulge: float = 0.0) -> Path:
    drawing = new("R2010")
    drawing.modelspace().add_lwpolyline(
        [(x, y, bulge) for x, y in points],
        format="xyb",
        close=True,
        dxfattribs={"layer": layer},
    )
    drawing.saveas(path)
    return path


def in_grid(crs: str) -> np.ndarray:
    """Corners of the field in a grid, as mapping programs store them."""
    return np.array(frame_of(crs).geometry[0].exterior.coords)[:-1]
