"""Contour rows come back from every file with the course they have in the plan."""

import json
import re
from functools import cache

import numpy as np
import pyogrio
import pytest
import shapely
from ezdxf.entities.lwpolyline import LWPolyline
from ezdxf.filemanagement import readfile
from pypdf import PdfReader
from shapely.geometry import LineString

from aanplant.brief import parse_brief
from aanplant.files.drawing import write_drawing
from aanplant.files.geopackage import write_geopackage
from aanplant.files.lonlat import write_geojson, write_kml
from aanplant.files.plan_tables import plan_tables
from aanplant.files.points import line_posts, row_lines
from aanplant.inputs import CultivarFact, Inputs, Outline
from aanplant.plan import make_plan
from aanplant.report.sheet import draw_sheet
from tests.files.plans import BRIEF, MADE, SOUTH, apart_m, to_lonlat

LENGTH_ERROR = 1e-4
"""A grid's metres differ from the ground's by less."""


@cache
def bent():
    """A block of contour rows beside a drawn line, cut by alleys."""
    brief = parse_brief(
        BRIEF.replace("bearing = 20", 'course = "contour"\nbase_line = "line.geojson"'),
        "brief.toml",
    )
    ring = np.array([(0, 0), (0.0014, 0.0001), (0.0016, 0.0012), (0.0001, 0.0013), (0, 0)])
    x = np.linspace(-0.0003, 0.0019, 40)
    line = np.column_stack([x, 0.0006 + 0.0002 * np.sin(x / 0.0004)])
    inputs = Inputs(
        Outline("boundary.gpx", "polygon", (ring + SOUTH,)),
        set_out_grid="EPSG:2048",
        base_line=line + SOUTH,
        cultivars=(
            CultivarFact(brief.vines.cultivar, "remark", None, None, "of a test", "invented"),
        ),
    )
    return make_plan(brief, inputs)


def test_the_block_has_rows_that_bend_in_several_parts():
    plan = bent()

    assert np.isfinite(plan.layout.course.smallest_radius_m).any()
    assert plan.layout.rows.part.max() > 1


def test_rows_in_the_geopackage_have_their_course_and_length(tmp_path):
    plan = bent()

    write_geopackage(plan, tmp_path / "plan.gpkg", made=MADE)

    _, _, shapes, columns = pyogrio.raw.read(tmp_path / "plan.gpkg", layer="rows")
    lines = shapely.from_wkb(shapes)
    rows = row_lines(plan)
    assert len(lines) == len(rows)
    # Columns are row, part, length, vines, bearing.
    np.testing.assert_allclose(columns[2], rows.length_m)
    np.testing.assert_allclose(shapely.length(lines), rows.length_m, rtol=LENGTH_ERROR)
    assert shapely.get_num_coordinates(lines).max() > 5
    assert apart_m(plan, to_lonlat(plan, shapely.get_coordinates(lines)), rows.xy) < 0.001
    assert np.ptp(columns[4]) > 1.0


def test_rows_in_the_drawing_are_polylines(tmp_path):
    plan = bent()

    write_drawing(plan, tmp_path / "set-out.dxf")

    space = readfile(tmp_path / "set-out.dxf").modelspace()
    lengths = [
        LineString([point[:2] for point in line.get_points()]).length
        for line in space.query("LWPOLYLINE[layer=='ROWS']")
        if isinstance(line, LWPolyline)
    ]
    straight = space.query("LINE[layer=='ROWS']")
    assert len(lengths) + len(straight) == len(row_lines(plan))
    assert len(lengths) > 10
    assert max(lengths) == pytest.approx(row_lines(plan).length_m.max(), rel=LENGTH_ERROR)


def test_rows_in_geojson_and_kml_bend(tmp_path):
    plan = bent()

    write_geojson(plan, tmp_path / "set-out.geojson")
    write_kml(plan, tmp_path / "set-out.kml")

    features = json.loads((tmp_path / "set-out.geojson").read_text())["features"]
    rows = [feature for feature in features if feature["properties"]["kind"] == "row"]
    corners = np.concatenate([row["geometry"]["coordinates"] for row in rows])
    assert apart_m(plan, corners, row_lines(plan).xy) < 0.001
    assert "<LineString>" in (tmp_path / "set-out.kml").read_text()


def test_vines_and_posts_stand_on_the_rows_as_written():
    plan = bent()
    positions, rows = plan.layout.positions, row_lines(plan)

    lines = np.asarray(shapely.linestrings(rows.xy, indices=rows.owner), dtype=object)

    written = shapely.union_all(lines)
    stands = np.concatenate([positions.xy, positions.line_posts_xy, positions.end_posts_xy])
    assert shapely.distance(written, shapely.points(stands)).max() < 1e-6
    assert rows.vines.sum() == len(positions)


def test_line_posts_are_numbered_along_their_row():
    plan = bent()

    posts = line_posts(plan)

    walked = shapely.line_locate_point(
        plan.layout.rows.lines()[plan.layout.positions.line_posts_piece], shapely.points(posts.xy)
    )
    same = (np.diff(posts.row) == 0) & (np.diff(posts.part) == 0)
    assert (np.diff(posts.number)[same] == 1).all()
    assert (np.diff(walked)[same] > 0.0).all()


def test_every_curved_row_is_told_as_offsets_from_its_string_and_as_places_of_the_grid():
    plan = bent()
    table = plan_tables(plan)["row_offsets"]
    names = plan.site.grid.axis_names

    positions = plan.layout.positions
    assert {line["row"] for line in table} == set(
        plan.layout.rows.row[positions.vines > 0].tolist()
    )
    assert max(abs(line["offset_m"]) for line in table) > 0.5
    starts = [line for line in table if line["station_m"] == 0.0]
    assert all(line["along_row_m"] == line["offset_m"] == 0.0 for line in starts)
    posts = plan.site.grid.from_frame(positions.end_posts_xy[positions.end_posts_is_start])
    told = np.array([[line[name] for name in names] for line in starts])
    order = np.argsort(positions.end_posts_piece[positions.end_posts_is_start])
    np.testing.assert_allclose(told, posts[order], atol=2e-3)
    # A string is the shortest way.
    assert all(line["along_row_m"] >= line["station_m"] - 1e-3 for line in table)


def test_a_sheet_of_contour_rows_draws_a_dot_a_vine(tmp_path):
    plan = bent()

    draw_sheet(plan, tmp_path / "s.pdf", tmp_path / "s.svg", tmp_path / "s.png", made=MADE)

    assert len(PdfReader(tmp_path / "s.pdf").pages) == 1
    svg = (tmp_path / "s.svg").read_text()
    (path,) = re.findall(r'class="vines"[^>]* d="([^"]*)"|d="([^"]*)"[^>]*class="vines"', svg)
    (dash,) = re.findall(r'class="vines"[^>]*stroke-dasharray="0 ([\d.]+)"', svg)
    runs = [
        np.array([corner.split() for corner in run.split("L")], dtype=float)
        for run in "".join(path).split("M")[1:]
    ]
    # A dash of no length and a round end is a dot: one at the start and one a step after.
    lengths = [np.hypot(*np.diff(run, axis=0).T).sum() for run in runs]
    assert sum(int(length // float(dash)) + 1 for length in lengths) == len(plan.layout.positions)
    assert (tmp_path / "s.png").stat().st_size > 10_000
