"""plan.gpkg, opened again by other libraries."""

import sqlite3
from contextlib import closing

import fiona
import geopandas as gpd
import numpy as np
import pytest
import shapely

from aanplant.files.geopackage import LAYERS, write_geopackage
from tests.files.plans import GRIDS, HOSTILE_BLOCK, MADE, MILLIMETRE, apart_m, planned, to_lonlat


@pytest.fixture
def path(tmp_path):
    return tmp_path / "plan.gpkg"


def rows_of(path, query):
    with closing(sqlite3.connect(path)) as database:
        return database.execute(query).fetchall()


@pytest.mark.parametrize("grid", GRIDS)
def test_fiona_finds_all_layers_with_as_many_features_as_the_plan_has(path, grid):
    plan = planned(grid)
    positions = plan.layout.positions

    write_geopackage(plan, path, made=MADE)

    counts = {}
    for layer in fiona.listlayers(path):
        with fiona.open(path, layer=layer) as features:
            counts[layer] = len(features)
    posts = len(positions.end_posts_xy) + len(positions.line_posts_xy)
    pieces = len(positions.end_posts_xy) // 2
    assert tuple(counts) == LAYERS
    assert tuple(counts.values()) == (
        1, 1, 3, pieces, len(positions), posts, len(plan.layout.anchors_xy),
    )  # fmt: skip


@pytest.mark.parametrize("grid", GRIDS)
def test_geopandas_brings_every_vine_to_its_place_on_earth_within_a_millimetre(path, grid):
    plan = planned(grid)

    write_geopackage(plan, path, made=MADE)

    vines = gpd.read_file(path, layer="vines", engine="fiona").to_crs(4326).geometry
    places = np.column_stack([vines.x, vines.y])
    assert apart_m(plan, places, plan.layout.positions.xy) < MILLIMETRE


@pytest.mark.parametrize("grid", GRIDS)
def test_the_bare_bytes_hold_the_grid_s_own_coordinates(path, grid):
    plan = planned(grid)

    write_geopackage(plan, path, made=MADE)

    header_bytes = 8  # of a point without its box
    raw = rows_of(path, "select geom, x, y from vines order by fid")
    points = shapely.get_coordinates(shapely.from_wkb([blob[header_bytes:] for blob, _, _ in raw]))
    assert np.array_equal(points, [(x, y) for _, x, y in raw])
    assert apart_m(plan, to_lonlat(plan, points), plan.layout.positions.xy) < MILLIMETRE


def test_a_lo_grid_counts_west_and_south_from_its_meridian_and_the_equator(path):
    plan = planned("EPSG:2048")

    write_geopackage(plan, path, made=MADE)

    west, south = np.array(rows_of(path, "select x, y from vines")).T
    assert west.min() > 0  # the block lies west of 19 degrees east
    assert south.min() > 3_700_000  # and 34 degrees south
    assert rows_of(path, "select srs_id from gpkg_contents where table_name = 'vines'") == [(2048,)]


def test_vines_carry_row_number_and_code_and_no_height_while_none_is_known(path):
    plan = planned()

    write_geopackage(plan, path, made=MADE)

    vines = rows_of(path, "select row, number, code, z from vines order by fid")
    expected = [
        (row, number, f"{row:02d}-{number:03d}", None)
        for row, number in zip(
            plan.layout.positions.row.tolist(), plan.layout.positions.number.tolist(), strict=True
        )
    ]
    assert vines == expected
    assert len({code for _, _, code, _ in vines}) == len(vines)


def test_rows_carry_their_length_vines_and_bearing(path):
    plan = planned()
    positions = plan.layout.positions

    write_geopackage(plan, path, made=MADE)

    rows = gpd.read_file(path, layer="rows", engine="fiona")
    assert rows["vines"].sum() == len(positions)
    assert rows["length_m"].sum() == pytest.approx(positions.row_length_m.sum())
    assert np.allclose(rows["length_m"], rows.length, rtol=1e-4)  # the grid's scale
    assert set(rows["bearing_deg"]) == {20.0}
    assert rows["part"].max() > 1


def test_posts_say_whether_they_are_end_or_line_posts(path):
    plan = planned()

    write_geopackage(plan, path, made=MADE)

    kinds = dict(rows_of(path, "select kind, count(*) from posts group by kind"))
    codes = [code for (code,) in rows_of(path, "select code from posts")]
    assert kinds == {
        "end": len(plan.layout.positions.end_posts_xy),
        "line": len(plan.layout.positions.line_posts_xy),
    }
    assert len(set(codes)) == len(codes)


def test_names_arrive_as_they_are_but_for_characters_no_file_can_hold(path):
    write_geopackage(planned(), path, made=MADE)

    assert rows_of(path, "select name from boundary") == [(HOSTILE_BLOCK,)]
    assert rows_of(path, "select name, kind, treatment, clearance_m from exclusions")[0] == (
        '@SUM(A1) <i> dam  ê "', "dam", "avoid", 2.0,
    )  # fmt: skip


def test_the_same_plan_gives_the_same_bytes(path, tmp_path):
    write_geopackage(planned(), path, made=MADE)
    write_geopackage(planned(), tmp_path / "again.gpkg", made=MADE)

    assert path.read_bytes() == (tmp_path / "again.gpkg").read_bytes()
