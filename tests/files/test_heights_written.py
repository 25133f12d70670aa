"""Heights of the ground beside every point of the set-out files, and none where none is known."""

import csv
import dataclasses
import json
import sqlite3
from functools import cache

import gpxpy
import numpy as np
import pytest
from ezdxf.filemanagement import readfile

from aanplant.files.drawing import write_drawing
from aanplant.files.geopackage import write_geopackage
from aanplant.files.lonlat import write_geojson, write_gpx, write_kml
from aanplant.files.points import all_points
from aanplant.files.set_out_csv import write_set_out_csv
from aanplant.heights import Heights
from aanplant.plan import make_plan
from tests.files.plans import MADE, planned


def ground(xy):
    """A plane through the middle of the block at 412 m."""
    return 412.0 + 0.08 * xy[:, 0] - 0.03 * xy[:, 1]


@cache
def on_a_slope():
    """The awkward block with heights on all but its eastern strip."""
    flat = planned()
    left, low, right, high = flat.site.boundary.bounds
    x, y = np.meshgrid(np.linspace(left - 9, right - 40, 20), np.linspace(low - 9, high + 9, 20))
    xy = np.column_stack([x.ravel(), y.ravel()])
    heights = Heights("h.csv", "spot heights", flat.site.frame.to_lonlat(xy), ground(xy))
    return make_plan(flat.brief, dataclasses.replace(flat.inputs, heights=heights), until="layout")


def expected(kind):
    return next(points for points in all_points(on_a_slope()) if points.kind == kind)


def test_heights_are_those_of_the_ground_and_unknown_beyond_the_data():
    for points in all_points(on_a_slope()):
        known = np.isfinite(points.z)
        assert known.any()
        # Within the scale between a frame at height 0 and one at 412 m.
        assert points.z[known] == pytest.approx(ground(points.xy[known]), abs=0.01)
    assert np.isnan(expected("vine").z).any()


def test_the_table_holds_heights_to_the_centimetre(tmp_path):
    write_set_out_csv(on_a_slope(), tmp_path / "set-out.csv")

    with (tmp_path / "set-out.csv").open(encoding="utf-8") as file:
        lines = [line for line in csv.DictReader(file) if line["kind"] == "vine"]
    z = np.array([float(line["height_m"] or "nan") for line in lines])
    assert z == pytest.approx(expected("vine").z, abs=0.0051, nan_ok=True)
    assert {len(line["height_m"].partition(".")[2]) for line in lines if line["height_m"]} == {2}


def test_the_geopackage_holds_heights_and_nulls(tmp_path):
    write_geopackage(on_a_slope(), tmp_path / "plan.gpkg", made=MADE)

    database = sqlite3.connect(tmp_path / "plan.gpkg")
    for layer, kinds in (
        ("vines", ["vine"]),
        ("posts", ["end post", "line post"]),
        ("anchors", ["anchor"]),
    ):
        rows = database.execute(f"select z from {layer} order by fid").fetchall()  # noqa: S608
        read = np.array([np.nan if z is None else z for (z,) in rows])
        assert read == pytest.approx(
            np.concatenate([expected(kind).z for kind in kinds]), nan_ok=True
        )
    database.close()


def test_the_drawing_holds_points_at_their_heights(tmp_path):
    write_drawing(on_a_slope(), tmp_path / "set-out.dxf")

    points = readfile(tmp_path / "set-out.dxf").modelspace().query('POINT[layer=="VINES"]')
    read = np.array([point.dxf.location.z for point in points])
    assert read == pytest.approx(np.nan_to_num(expected("vine").z))


def test_maps_hold_heights_of_row_ends(tmp_path):
    plan, ends = on_a_slope(), expected("end post")
    write_gpx(plan, tmp_path / "set-out.gpx", made=MADE)
    write_kml(plan, tmp_path / "set-out.kml")
    write_geojson(plan, tmp_path / "set-out.geojson")

    gpx = gpxpy.parse((tmp_path / "set-out.gpx").read_text(encoding="utf-8"))
    by_name = {point.name: point.elevation for point in gpx.waypoints}
    features = json.loads((tmp_path / "set-out.geojson").read_text(encoding="utf-8"))["features"]
    by_code = {f["properties"].get("code"): f["properties"].get("height_m") for f in features}
    kml = (tmp_path / "set-out.kml").read_text(encoding="utf-8")
    for code, z in zip(ends.code.tolist(), ends.z.tolist(), strict=True):
        shown = None if np.isnan(z) else pytest.approx(z, abs=0.0051)
        assert by_name[code] == shown
        assert by_code[code] == shown
        end = kml.partition(f"<name>{code}</name><Point><coordinates>")[2].partition("<")[0]
        assert len(end.split(",")) == (2 if np.isnan(z) else 3)
    assert by_code["01-001"] == pytest.approx(expected("vine").z[0], abs=0.0051)
