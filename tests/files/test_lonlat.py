"""set-out.geojson, set-out.kml and set-out.gpx, opened again by other libraries."""

import json
import re
from collections import Counter
from typing import Any

import fastkml
import fiona
import geopandas as gpd
import numpy as np
import pytest
import shapely

from aanplant.files.lonlat import write_geojson, write_gpx, write_kml
from aanplant.files.points import all_points, row_lines
from tests.files.plans import GRIDS, HOSTILE_BLOCK, MADE, MILLIMETRE, apart_m, planned


def points_of(plan, kind):
    return next(points for points in all_points(plan) if points.kind == kind)


@pytest.mark.parametrize("grid", GRIDS)
def test_geojson_brings_every_point_to_its_place(tmp_path, grid):
    plan = planned(grid)
    path = tmp_path / "set-out.geojson"

    write_geojson(plan, path)

    read = gpd.read_file(path, engine="fiona")
    for kind in ("vine", "line post", "end post", "anchor", "corner"):
        chosen = read[read["kind"] == kind]
        expected = points_of(plan, kind)
        assert chosen["code"].tolist() == expected.code.tolist()
        places = np.column_stack([chosen.geometry.x, chosen.geometry.y])
        assert apart_m(plan, places, expected.xy) < MILLIMETRE


def test_geojson_keeps_to_its_standard(tmp_path):
    path = tmp_path / "set-out.geojson"

    write_geojson(planned(), path)

    collection = json.loads(path.read_text(encoding="utf-8"))
    boundary = collection["features"][0]
    outer = shapely.Polygon(boundary["geometry"]["coordinates"][0]).exterior
    numbers = re.findall(r"-?\d+\.(\d+)", path.read_text(encoding="utf-8").partition("vine")[2])
    assert collection["type"] == "FeatureCollection"
    assert "crs" not in collection
    assert outer.is_ccw
    assert outer.is_closed
    assert boundary["properties"]["name"] == HOSTILE_BLOCK
    assert max(len(decimals) for decimals in numbers) <= 9


def test_geojson_counts_rows_vines_and_things_in_the_field(tmp_path):
    plan = planned()
    path = tmp_path / "set-out.geojson"

    write_geojson(plan, path)

    features = json.loads(path.read_text(encoding="utf-8"))["features"]
    counts = Counter(feature["properties"]["kind"] for feature in features)
    rows = [f["properties"] for f in features if f["properties"]["kind"] == "row"]
    assert counts["row"] == len(row_lines(plan))
    assert counts["exclusion"] == 3
    assert sum(row["vines"] for row in rows) == counts["vine"] == len(plan.layout.positions)


@pytest.mark.parametrize("grid", GRIDS)
def test_kml_shows_row_lines_and_row_ends_in_their_places(tmp_path, grid):
    plan = planned(grid)
    path = tmp_path / "set-out.kml"

    write_kml(plan, path)

    fiona.drvsupport.supported_drivers["KML"] = "r"
    with fiona.open(path, layer="Rows") as features:
        starts = [feature.geometry["coordinates"][0][:2] for feature in features]
    with fiona.open(path, layer="Row ends") as features:
        ends = [feature.geometry["coordinates"][:2] for feature in features]
        names = [feature.properties["Name"] for feature in features]
    assert apart_m(plan, starts, row_lines(plan).start_xy) < MILLIMETRE
    assert apart_m(plan, ends, points_of(plan, "end post").xy) < MILLIMETRE
    assert names == points_of(plan, "end post").code.tolist()


def test_kml_holds_hostile_names_as_text(tmp_path):
    path = tmp_path / "set-out.kml"

    write_kml(planned(), path)

    document: Any = fastkml.KML.parse(path).features[0]
    folders = {folder.name: folder for folder in document.features}
    boundary = folders["Boundary"].features[0]
    assert document.name == f"=1+1, {HOSTILE_BLOCK}"
    assert boundary.name == HOSTILE_BLOCK
    assert boundary.geometry.geom_type == "Polygon"
    assert list(folders) == ["Boundary", "Rows", "Row ends"]


@pytest.mark.parametrize("grid", GRIDS)
def test_gpx_holds_row_ends_and_corners_as_waypoints_and_nothing_else(tmp_path, grid):
    plan = planned(grid)
    path = tmp_path / "set-out.gpx"

    write_gpx(plan, path, made=MADE)

    with fiona.open(path, layer="waypoints") as features:
        places = [feature.geometry["coordinates"][:2] for feature in features]
        names = [feature.properties["name"] for feature in features]
    corners, ends = points_of(plan, "corner"), points_of(plan, "end post")
    assert names == [*corners.code, *ends.code]
    assert apart_m(plan, places, np.concatenate([corners.xy, ends.xy])) < MILLIMETRE


def test_gpx_carries_the_name_of_the_block_and_the_time_of_the_plan(tmp_path):
    import gpxpy

    path = tmp_path / "set-out.gpx"

    write_gpx(planned(), path, made=MADE)

    read = gpxpy.parse(path.read_text(encoding="utf-8"))
    assert read.name == f"=1+1, {HOSTILE_BLOCK}"
    assert read.time == MADE
