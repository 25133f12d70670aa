"""Pipes and valves in the files of places, opened again by other libraries."""

import csv

import fastkml
import fiona
import geopandas as gpd
import numpy as np
import pytest
from ezdxf.filemanagement import readfile

from aanplant.files.drawing import write_drawing
from aanplant.files.geopackage import WATER_LAYERS, write_geopackage
from aanplant.files.lonlat import write_geojson, write_gpx, write_kml
from aanplant.files.set_out_csv import write_set_out_csv
from aanplant.files.water_features import laid_pipes, laid_valves
from aanplant.water.emitters import KPA_PER_M
from tests.files.plans import MADE, MILLIMETRE, apart_m, planned, to_lonlat
from tests.report.watered import hilly, watered


@pytest.fixture
def plan():
    return watered()


def test_a_geopackage_holds_every_metre_of_pipe_by_kind_and_size(plan, tmp_path):
    path, made = tmp_path / "plan.gpkg", plan.water.system

    write_geopackage(plan, path, made=MADE)

    pipes = gpd.read_file(path, layer="pipes", engine="fiona")
    assert pipes["code"].is_unique
    for kind, lengths in made.metres.items():
        own = pipes[pipes["kind"] == kind]
        assert own["length_m"].sum() == pytest.approx(sum(lengths.values()), abs=0.5)
        assert set(own["class"]) == {pipe.series for pipe in lengths}
        assert set(own["bore_mm"]) == {round(pipe.bore_m * 1000, 2) for pipe in lengths}
    assert pipes[pipes["kind"] == "mainline"]["set"].isna().all()
    assert pipes[pipes["kind"] != "lateral"]["row"].isna().all()
    assert set(pipes["set"].dropna()) == set(range(1, len(made.system.sets) + 1))
    straight = pipes[pipes["kind"] == "lateral"]  # others may turn back in their own trench
    assert np.allclose(straight["length_m"], straight.length, rtol=1e-3)  # the grid's scale


def test_a_geopackage_places_every_valve_with_the_pressure_wanted(plan, tmp_path):
    path, made = tmp_path / "plan.gpkg", plan.water.system

    write_geopackage(plan, path, made=MADE)

    valves = gpd.read_file(path, layer="valves", engine="fiona")
    places = to_lonlat(plan, valves[["x", "y"]])
    degrees = valves.to_crs(4326).geometry
    assert apart_m(plan, places, made.system.xy[made.system.devices.node]) < MILLIMETRE
    assert np.allclose(np.column_stack([degrees.x, degrees.y]), places, atol=1e-8)
    openers = valves[valves["kind"] == "valve"]
    assert openers["pressure_kpa"].to_numpy() == pytest.approx(
        made.pressure_m[made.system.submains.valve] * KPA_PER_M, abs=0.06
    )
    assert valves["code"].is_unique
    assert valves["z"].isna().all()  # no heights were given


def test_where_heights_are_known_pipes_and_valves_lie_at_them(tmp_path):
    plan, path = hilly(), tmp_path / "plan.gpkg"

    write_geopackage(plan, path, made=MADE)

    with fiona.open(path, layer="pipes") as pipes:
        assert pipes.schema["geometry"] == "3D LineString"
    lines = gpd.read_file(path, layer="pipes", engine="fiona").geometry
    heights = np.concatenate([np.array(line.coords)[:, 2] for line in lines])
    valves = gpd.read_file(path, layer="valves", engine="fiona")
    node = plan.water.system.system.devices.node
    assert np.ptp(heights) > 1.0
    assert valves["z"].to_numpy() == pytest.approx(plan.water.system.system.z_m[node])


def test_a_drawing_holds_pipes_and_valves_on_layers_of_their_own(tmp_path):
    plan, path = hilly(), tmp_path / "set-out.dxf"
    made = plan.water.system

    write_drawing(plan, path)

    drawing = readfile(path)
    assert not drawing.audit().errors
    space = drawing.modelspace()
    pipes = list(space.query('POLYLINE[layer=="PIPES"]'))
    drawn = [np.array([vertex.dxf.location.xyz for vertex in pipe.vertices]) for pipe in pipes]
    laid = laid_pipes(made)
    assert len(drawn) == len(laid)
    for corners, one in zip(drawn, laid, strict=True):
        assert corners[:, 2] == pytest.approx(one.z_m)
        assert apart_m(plan, to_lonlat(plan, -corners[:, :2]), one.run.xy) < MILLIMETRE
    assert len(space.query('POINT[layer=="VALVES"]')) == len(made.system.devices)
    written = {text.dxf.text for text in space.query('TEXT[layer=="TEXT"]')}
    valves = laid_valves(made)
    assert {code for code, kind in zip(valves.code, valves.kind, strict=True)
            if kind == "valve"} <= written  # fmt: skip


def test_geojson_tells_size_and_set_of_every_pipe(plan, tmp_path):
    path, made = tmp_path / "set-out.geojson", plan.water.system

    write_geojson(plan, path)

    read = gpd.read_file(path, engine="fiona")
    laid = laid_pipes(made)
    pipes = read[read["kind"].isin(["mainline", "submain", "lateral"])]
    assert pipes["code"].tolist() == [one.code for one in laid]
    assert pipes["outside_mm"].to_numpy() == pytest.approx(
        [1000 * one.pipe.outside_m for one in laid], abs=0.01
    )
    for line, one in zip(pipes.geometry, laid, strict=True):
        assert apart_m(plan, line.coords, one.run.xy) < MILLIMETRE
    valves = read[read["kind"] == "valve"]
    assert len(valves) == len(made.system.submains)
    assert (valves["pressure_kpa"] > 0).all()


def test_kml_shows_mainline_submains_and_valves(plan, tmp_path):
    path = tmp_path / "set-out.kml"

    write_kml(plan, path)

    document = fastkml.KML.parse(path).features[0]
    folders = {folder.name: folder.features for folder in document.features}
    laid = [one for one in laid_pipes(plan.water.system) if one.row is None]
    assert [mark.name.split(",")[0] for mark in folders["Pipes"]] == [one.code for one in laid]
    valves = laid_valves(plan.water.system)
    assert len(folders["Valves"]) == len(valves)
    places = [mark.geometry.coords[0][:2] for mark in folders["Valves"]]
    assert apart_m(plan, places, valves.xy) < MILLIMETRE


def test_without_a_system_no_file_has_pipes(tmp_path):
    plan = planned()

    write_geopackage(plan, tmp_path / "plan.gpkg", made=MADE)
    write_drawing(plan, tmp_path / "set-out.dxf")
    write_geojson(plan, tmp_path / "set-out.geojson")
    write_kml(plan, tmp_path / "set-out.kml")

    assert not set(WATER_LAYERS) & set(fiona.listlayers(tmp_path / "plan.gpkg"))
    assert "PIPES" not in {layer.dxf.name for layer in readfile(tmp_path / "set-out.dxf").layers}
    assert "mainline" not in set(gpd.read_file(tmp_path / "set-out.geojson")["kind"])
    assert "Valves" not in (tmp_path / "set-out.kml").read_text(encoding="utf-8")


def test_every_row_s_dripper_lines_are_counted_along_it(plan):
    laid = [one for one in laid_pipes(plan.water.system) if one.row is not None]

    codes = {one.code for one in laid}

    assert len(codes) == len(laid)
    two = next(int(row) for row in np.unique(plan.layout.rows.row[plan.layout.rows.part > 1]))
    assert {f"{two:02d}T1", f"{two:02d}T2"} <= codes
    assert all(one.code.startswith(f"{one.row:02d}T") for one in laid)


def test_a_surveyor_finds_every_valve_to_peg_in_csv_and_gpx(tmp_path):
    plan = hilly()
    made, rows_and_posts = plan.water.system, {"vine", "line post", "anchor", "corner", "end post"}

    write_set_out_csv(plan, tmp_path / "set-out.csv")
    write_gpx(plan, tmp_path / "set-out.gpx", made=MADE)

    with (tmp_path / "set-out.csv").open(encoding="utf-8", newline="") as file:
        lines = [line for line in csv.DictReader(file) if line["kind"] not in rows_and_posts]
    wanted = {"valve", "air valve", "drain", "flush valve"}
    valves = laid_valves(made)
    own = [at for at, kind in enumerate(valves.kind) if kind in wanted]
    assert {line["code"] for line in lines} == {valves.code[at] for at in own}
    by_code = {line["code"]: line for line in lines}
    first, second = plan.site.grid.axis_names
    chosen = [by_code[valves.code[at]] for at in own]
    places = to_lonlat(plan, [(float(line[first]), float(line[second])) for line in chosen])
    assert apart_m(plan, places, valves.xy[own]) < MILLIMETRE
    heights = np.array([float(line["height_m"]) for line in chosen])
    np.testing.assert_allclose(heights, valves.z_m[own], atol=0.0051)
    with fiona.open(tmp_path / "set-out.gpx", layer="waypoints") as features:
        marked = {feature.properties["name"] for feature in features}
    assert set(by_code) <= marked
