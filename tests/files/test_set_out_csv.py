"""set-out.csv, opened again."""

import csv
from collections import Counter

import numpy as np
import pytest

from aanplant.files.points import all_points
from aanplant.files.set_out_csv import write_set_out_csv
from tests.files.plans import GRIDS, MILLIMETRE, apart_m, planned, to_lonlat


def lines_of(plan, path):
    write_set_out_csv(plan, path)
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize("grid", GRIDS)
def test_every_point_stands_in_the_file_in_its_place(tmp_path, grid):
    plan = planned(grid)

    lines = lines_of(plan, tmp_path / "set-out.csv")

    first, second = plan.site.grid.axis_names
    places = to_lonlat(plan, [(float(line[first]), float(line[second])) for line in lines])
    points = np.concatenate([group.xy for group in all_points(plan)])
    assert apart_m(plan, places, points) < MILLIMETRE
    assert Counter(line["kind"] for line in lines) == {
        "corner": len(plan.site.boundary.exterior.coords) - 1,
        "end post": len(plan.layout.positions.end_posts_xy),
        "anchor": len(plan.layout.anchors_xy),
        "line post": len(plan.layout.positions.line_posts_xy),
        "vine": len(plan.layout.positions),
    }
    assert {line["grid"] for line in lines} == {plan.site.grid.code}


@pytest.mark.parametrize(
    ("grid", "columns"),
    [("EPSG:2048", ["Y_westing_m", "X_southing_m"]), ("", ["easting_m", "northing_m"])],
)
def test_coordinates_are_named_in_the_order_of_the_grid(tmp_path, grid, columns):
    line = lines_of(planned(grid), tmp_path / "set-out.csv")[0]

    assert list(line) == ["code", "kind", "row", "number", *columns, "height_m", "grid"]
    assert line["height_m"] == ""
    assert len(line[columns[0]].partition(".")[2]) == 3


def test_no_code_stands_twice(tmp_path):
    codes = [line["code"] for line in lines_of(planned(), tmp_path / "set-out.csv")]

    assert len(set(codes)) == len(codes)
    assert {"C01", "01E1", "01A1", "01P01", "01-001"} <= set(codes)


def test_an_anchor_stands_nearest_the_end_post_whose_number_it_shares(tmp_path):
    lines = lines_of(planned(), tmp_path / "set-out.csv")

    def places(kind):
        chosen = [line for line in lines if line["kind"] == kind]
        names = [line["code"].replace("A", "E") for line in chosen]
        xy = [(float(line["Y_westing_m"]), float(line["X_southing_m"])) for line in chosen]
        return names, np.array(xy)

    posts, posts_xy = places("end post")
    anchors, anchors_xy = places("anchor")
    apart = np.hypot(*(anchors_xy[:, None] - posts_xy[None, :]).transpose(2, 0, 1))
    assert [posts[nearest] for nearest in apart.argmin(axis=1)] == anchors


def test_line_posts_are_counted_from_where_the_vines_of_a_row_begin():
    groups = {points.kind: points for points in all_points(planned())}
    vines, posts = groups["vine"], groups["line post"]

    for row in np.unique(posts.row):
        begin = vines.xy[(vines.row == row) & (vines.number == 1)][0]
        walked = np.hypot(*(posts.xy[posts.row == row] - begin).T)
        assert (np.diff(walked) > 0).all()
        assert posts.number[posts.row == row].tolist() == list(range(1, len(walked) + 1))
