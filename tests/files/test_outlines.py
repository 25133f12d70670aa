"""Every format gives back the coordinates another program wrote into it."""

import json

import numpy as np
import pytest

from aanplant.errors import InputError
from aanplant.files.outlines import read_outline
from tests.files import fields

TENTH_MILLIMETRE_DEG = 1e-9

WITH_HOLE = {
    "field.geojson": fields.write_geojson,
    "field.kml": fields.write_kml,
    "field.kmz": fields.write_kmz,
    "field.gpkg": fields.write_geopackage,
    "field.shp": fields.write_shapefile,
    "field.zip": fields.write_zipped_shapefile,
}


def same_ring(ours, expected) -> bool:
    """Same corners in the same cyclic order, either way round, from any start."""
    ours, expected = np.asarray(ours), np.asarray(expected)
    if np.allclose(ours[0], ours[-1]):
        ours = ours[:-1]
    if len(ours) != len(expected):
        return False
    ways = (np.roll(way, k, axis=0) for way in (ours, ours[::-1]) for k in range(len(ours)))
    return any(np.allclose(way, expected, rtol=0, atol=TENTH_MILLIMETRE_DEG) for way in ways)


@pytest.mark.parametrize("name", WITH_HOLE)
def test_a_polygon_comes_back_with_its_hole(name, tmp_path):
    path = WITH_HOLE[name](tmp_path / name)

    outline = read_outline(path)

    assert outline.kind == "polygon"
    assert same_ring(outline.rings[0], fields.CORNERS)
    assert same_ring(outline.rings[1], fields.HOLE[:-1])
    assert outline.where.startswith(name)


@pytest.mark.parametrize("crs", ["EPSG:2048", "EPSG:32734", "EPSG:4148", "EPSG:4326", "EPSG:3857"])
@pytest.mark.parametrize("name", ["field.gpkg", "field.zip"])
def test_a_file_in_any_grid_gives_the_same_place(name, crs, tmp_path):
    write = fields.write_geopackage if name.endswith("gpkg") else fields.write_zipped_shapefile
    path = write(tmp_path / name, crs)

    outline = read_outline(path)

    assert same_ring(outline.rings[0], fields.CORNERS)
    assert outline.grid == crs


def test_a_shapefile_with_its_rings_turned_the_wrong_way_keeps_its_hole(tmp_path):
    path = fields.write_shapefile(tmp_path / "field.shp", is_clockwise=False)

    outline = read_outline(path)

    assert same_ring(outline.rings[0], fields.CORNERS)
    assert same_ring(outline.rings[1], fields.HOLE[:-1])


def test_a_shapefile_without_grid_takes_the_stated_one(tmp_path):
    path = fields.write_zipped_shapefile(tmp_path / "field.zip", prj=False)

    outline = read_outline(path, grid="EPSG:2048")

    assert same_ring(outline.rings[0], fields.CORNERS)


def test_a_lo_shapefile_with_its_signs_turned_is_read_the_right_way(tmp_path):
    from pyproj import CRS

    path = tmp_path / "field.shp"
    fields.write_shapefile(path, "+proj=tmerc +lat_0=0 +lon_0=19 +ellps=WGS84 +units=m")
    path.with_suffix(".prj").write_text(CRS(2048).to_wkt("WKT1_ESRI"))

    outline = read_outline(path)

    assert same_ring(outline.rings[0], fields.CORNERS)
    assert outline.where == "field.shp: Kiepersol (westings and southings negated)"


def test_a_shapefile_without_grid_and_none_stated_is_refused(tmp_path):
    path = fields.write_zipped_shapefile(tmp_path / "field.zip", prj=False)

    with pytest.raises(InputError, match=r"field\.zip.*coordinates without their grid"):
        read_outline(path)


def test_the_grid_of_the_file_wins_over_the_stated_one(tmp_path):
    path = fields.write_geopackage(tmp_path / "field.gpkg", "EPSG:32734")

    outline = read_outline(path, grid="EPSG:2048")

    assert outline.grid == "EPSG:32734"
    assert same_ring(outline.rings[0], fields.CORNERS)


def test_a_stated_grid_of_another_place_contradicts_the_file(tmp_path):
    path = fields.write_geojson(tmp_path / "field.geojson")

    with pytest.raises(InputError, match="outside the area of EPSG:2055"):
        read_outline(path, grid="EPSG:2055")


def test_a_geopackage_with_a_layer_boundary_is_read_from_it(tmp_path):
    path = fields.write_geopackage(tmp_path / "plan.gpkg", layer="plantable")
    field = fields.frame_of("EPSG:2048").buffer(100.0).to_frame()
    field.to_file(path, layer="boundary", engine="fiona")

    outline = read_outline(path)

    assert outline.where == "plan.gpkg: boundary"


def test_a_gpx_track_joins_its_segments(tmp_path):
    outline = read_outline(fields.write_gpx(tmp_path / "walk.gpx"))

    assert outline.kind == "track"
    assert outline.where == "walk.gpx: walk 1"
    assert np.array_equal(outline.rings[0], np.array(fields.RING))


@pytest.mark.parametrize("waypoints", [True, False])
def test_gpx_points_without_a_track_are_corners(waypoints, tmp_path):
    path = fields.write_gpx(
        tmp_path / "points.gpx", tracks=0, routes=0 if waypoints else 1, waypoints=waypoints
    )

    outline = read_outline(path)

    assert outline.kind == "corners"
    assert np.array_equal(outline.rings[0], fields.CORNERS)


def test_several_gpx_tracks_are_refused_by_name(tmp_path):
    path = fields.write_gpx(tmp_path / "walks.gpx", tracks=2)

    with pytest.raises(InputError, match="2 tracks: walk 1, walk 2"):
        read_outline(path)


@pytest.mark.parametrize("sign", [1, -1])
def test_a_drawing_in_a_lo_grid_is_read_either_way_up(sign, tmp_path):
    path = fields.write_dxf(tmp_path / "field.dxf", sign * fields.in_grid("EPSG:2048"))

    outline = read_outline(path, grid="EPSG:2048")

    assert same_ring(outline.rings[0], fields.CORNERS)
    assert ("negated" in outline.where) is (sign == -1)


def test_a_drawing_with_southing_before_westing_is_refused(tmp_path):
    path = fields.write_dxf(tmp_path / "field.dxf", fields.in_grid("EPSG:2048")[:, ::-1])

    with pytest.raises(InputError, match="aren't the two coordinates swapped"):
        read_outline(path, grid="EPSG:2048")


def test_a_drawing_in_an_easting_northing_grid_is_read(tmp_path):
    path = fields.write_dxf(tmp_path / "field.dxf", fields.in_grid("EPSG:32734"))

    assert same_ring(read_outline(path, grid="EPSG:32734").rings[0], fields.CORNERS)


def test_a_drawing_without_a_stated_grid_is_refused(tmp_path):
    path = fields.write_dxf(tmp_path / "field.dxf", fields.in_grid("EPSG:32734"))

    with pytest.raises(InputError, match=r"coordinates without their grid.*block\.grid"):
        read_outline(path)


def test_an_arc_in_a_drawing_keeps_its_area(tmp_path):
    # Two half circles of 50 m radius (bulge 1 = half circle) make a disc: pi r^2.
    east, north = 302_219.0, 6_243_310.0
    path = fields.write_dxf(
        tmp_path / "disc.dxf", [(east, north), (east + 100.0, north)], bulge=1.0
    )

    ring = read_outline(path, grid="EPSG:32734").rings[0]

    from pyproj import Transformer
    from shapely.geometry import Polygon

    to_grid = Transformer.from_crs(4326, 32734, always_xy=True)
    disc = Polygon(np.column_stack(to_grid.transform(*ring.T)))
    assert disc.area == pytest.approx(np.pi * 50.0**2, rel=5e-4)


def test_a_drawing_with_a_boundary_layer_ignores_the_others(tmp_path):
    from ezdxf.filemanagement import readfile

    corners = fields.in_grid("EPSG:2048")
    path = fields.write_dxf(tmp_path / "field.dxf", corners, layer="BOUNDARY")
    drawing = readfile(path)
    drawing.modelspace().add_lwpolyline(
        [(0, 0), (420, 0), (420, 297)], close=True, dxfattribs={"layer": "frame"}
    )
    drawing.saveas(path)

    outline = read_outline(path, grid="EPSG:2048")

    assert same_ring(outline.rings[0], fields.CORNERS)


def geojson(tmp_path, *geometries, **more):
    features = [
        {"type": "Feature", "properties": {"name": f"block {n}"}, "geometry": geometry}
        for n, geometry in enumerate(geometries, start=1)
    ]
    path = tmp_path / "field.geojson"
    path.write_text(json.dumps({"type": "FeatureCollection", "features": features, **more}))
    return path


def polygon(*rings):
    return {"type": "Polygon", "coordinates": [list(map(list, ring)) for ring in rings]}


def test_several_polygons_are_refused_by_name(tmp_path):
    path = geojson(tmp_path, polygon(fields.RING), polygon(fields.HOLE))

    with pytest.raises(InputError, match="2 polygons: block 1, block 2; expected one field a file"):
        read_outline(path)


def test_parts_that_share_an_edge_are_one_field(tmp_path):
    left = [(18.86, -33.93), (18.86, -33.94), (18.87, -33.94), (18.87, -33.93), (18.86, -33.93)]
    right = [(18.87, -33.93), (18.87, -33.94), (18.88, -33.94), (18.88, -33.93), (18.87, -33.93)]
    both = {"type": "MultiPolygon", "coordinates": [[left], [right]]}

    outline = read_outline(geojson(tmp_path, both))

    assert len(outline.rings) == 1
    assert np.ptp(outline.rings[0], axis=0) == pytest.approx([0.02, 0.01])


def test_parts_apart_are_refused(tmp_path):
    away = [[x + 0.1, y] for x, y in fields.RING]
    both = {"type": "MultiPolygon", "coordinates": [[fields.RING], [away]]}

    with pytest.raises(InputError, match="a field in 2 parts"):
        read_outline(geojson(tmp_path, both))


@pytest.mark.parametrize(("is_closed", "kind"), [(True, "polygon"), (False, "track")])
def test_a_line_is_a_polygon_when_closed_and_a_track_when_open(is_closed, kind, tmp_path):
    line = {"type": "LineString", "coordinates": fields.RING if is_closed else fields.RING[:-1]}

    assert read_outline(geojson(tmp_path, line)).kind == kind


def test_points_alone_are_corners_in_order(tmp_path):
    points = [{"type": "Point", "coordinates": [x, y, 120.0]} for x, y in fields.RING[:-1]]

    outline = read_outline(geojson(tmp_path, *points))

    assert outline.kind == "corners"
    assert np.array_equal(outline.rings[0], fields.CORNERS)


def test_heights_are_left_out(tmp_path):
    ring = [(x, y, 120.0) for x, y in fields.RING]

    outline = read_outline(geojson(tmp_path, polygon(ring)))

    assert outline.rings[0].shape == (5, 2)


def test_the_old_way_of_naming_a_grid_in_geojson_is_understood(tmp_path):
    ring = fields.in_grid("EPSG:2048").tolist()
    crs = {"type": "name", "properties": {"name": "urn:ogc:def:crs:EPSG::2048"}}

    outline = read_outline(geojson(tmp_path, polygon([*ring, ring[0]]), crs=crs))

    assert same_ring(outline.rings[0], fields.CORNERS)


def test_a_bare_geometry_is_geojson_too(tmp_path):
    path = tmp_path / "field.json"
    path.write_text(json.dumps(polygon(fields.RING)))

    assert same_ring(read_outline(path).rings[0], fields.CORNERS)


def test_a_walk_in_a_map_viewer_is_a_track(tmp_path):
    marks = "".join(f"<gx:coord>{x} {y} 0</gx:coord>" for x, y in fields.RING[:-1])
    body = f'<Placemark xmlns:gx="http://www.google.com/kml/ext/2.2"><gx:Track>{marks}</gx:Track></Placemark>'
    path = tmp_path / "walk.kml"
    path.write_text(fields.kml_text(body=body))

    outline = read_outline(path)

    assert outline.kind == "track"
    assert np.array_equal(outline.rings[0], fields.CORNERS)
