"""Exclusions: what a person wrote, or the stated default, never a guess."""

import json

import geopandas as gpd
import pytest
from shapely.geometry import Point, Polygon, shape

from aanplant.errors import InputError
from aanplant.files.exclusions import read_exclusions
from aanplant.inputs import KINDS
from aanplant.tables import rows
from tests.files import fields

LINE = {"type": "LineString", "coordinates": [[18.861, -33.931], [18.864, -33.933]]}
SPOT = {"type": "Point", "coordinates": [18.862, -33.932]}
AREA = {"type": "Polygon", "coordinates": [fields.HOLE]}


def exclusions(tmp_path, *pairs, grid=""):
    features = [{"type": "Feature", "geometry": g, "properties": p} for g, p in pairs]
    path = tmp_path / "exclusions.geojson"
    path.write_text(json.dumps({"type": "FeatureCollection", "features": features}))
    return read_exclusions(path, grid=grid)


def test_everything_stated_is_taken_as_stated(tmp_path):
    stated = {"name": "Main", "kind": "pipe", "treatment": "avoid", "clearance": "6 ft", "width": 3}

    (pipe,) = exclusions(tmp_path, (LINE, stated))

    assert (pipe.name, pipe.kind, pipe.treatment) == ("Main", "pipe", "avoid")
    assert pipe.clearance_m == pytest.approx(1.8288)  # international foot of 1959, 0.3048 m
    assert pipe.corridor_width_m == 3.0
    assert pipe.geometry.equals(shape(LINE))


@pytest.mark.parametrize("kind", KINDS)
def test_what_is_not_stated_comes_from_the_table(kind, tmp_path):
    (item,) = exclusions(tmp_path, (LINE, {"kind": kind.upper().replace(" ", "_")}))

    row = next(row for row in rows("clearances.csv") if row["kind"] == kind)
    assert item.name == f"{kind} 1"
    assert item.treatment == ("skip" if kind in {"drain", "pipe", "cable"} else "avoid")
    assert item.clearance_m == float(row["clearance_m"])
    assert item.corridor_width_m == float(row["line_width_m"])


def test_the_table_knows_every_kind_and_how_sure_it_is():
    table = rows("clearances.csv")

    assert [row["kind"] for row in table] == list(KINDS)
    assert {row["certainty"] for row in table} <= {"published", "practice", "memory"}
    assert all(row["source"] for row in table)
    assert all(0 < float(r["clearance_m"]) + float(r["line_width_m"]) < 50 for r in table)


def test_a_polygon_has_no_strip(tmp_path):
    (road,) = exclusions(tmp_path, (AREA, {"kind": "road"}))

    assert road.corridor_width_m == 0.0


def test_a_power_line_with_a_stated_clearance_is_kept_clear_by_it(tmp_path):
    (line,) = exclusions(tmp_path, (LINE, {"kind": "power line", "clearance": 11}))

    assert line.reach_m == 11.0


def test_other_attributes_are_left_alone(tmp_path):
    strange = {"kind": "rock", "fid": 7, "OBJECTID": 1, "Shape_Length": 12.5, "colour": "red"}

    assert exclusions(tmp_path, (SPOT, strange))[0].kind == "rock"


@pytest.mark.parametrize(
    ("geometry", "properties", "said"),
    [
        (LINE, {"kind": "power line", "treatment": "skip"}, "must keep out of it"),
        (SPOT, {"kind": "rok"}, "the kind 'rok'; expected 'rock'?"),
        (SPOT, {}, "no kind"),
        (SPOT, None, "no kind"),
        (SPOT, {"kind": "rock", "treatment": "skipp"}, "expected 'skip'?"),
        (SPOT, {"kind": "rock", "clearence": 2}, "the property 'clearence'; expected 'clearance'"),
        (LINE, {"kind": "drain", "widht": 2}, "the property 'widht'; expected 'width'"),
        (SPOT, {"kind": "rock", "clearance": -1}, "clearance: found -1"),
        (SPOT, {"kind": "rock", "clearance": "wide"}, "'wide'"),
        (SPOT, {"kind": "rock", "clearance": "2 L/h"}, "another kind"),
        (SPOT, {"kind": "rock", "clearance": True}, "True"),
        (SPOT, {"kind": "rock", "clearance": 5000}, "a length from 0 to 1000 m"),
        (SPOT, {"kind": "rock", "width": 2}, "no line"),
        (AREA, {"kind": "dam", "width": 2}, "no line"),
    ],
)
def test_a_bad_exclusion_is_refused(geometry, properties, said, tmp_path):
    with pytest.raises(InputError) as caught:
        exclusions(tmp_path, (geometry, properties))

    assert said in str(caught.value)
    assert caught.value.where.startswith("exclusions.geojson: feature 1")


def test_exclusions_far_from_the_stated_grid_are_refused(tmp_path):
    with pytest.raises(InputError, match="outside the area of EPSG:2054"):
        exclusions(tmp_path, (SPOT, {"kind": "rock"}), grid="EPSG:2054")


def test_a_geopackage_in_a_lo_grid_is_read_with_its_nulls(tmp_path):
    frame = gpd.GeoDataFrame(
        {"name": ["A", None], "kind": ["tree", "dam"], "clearance": [6.5, None]},
        geometry=[Point(18.862, -33.932), Polygon(fields.HOLE)],
        crs=4326,
    )
    frame.to_crs(2048).to_file(tmp_path / "x.gpkg", layer="exclusions", engine="fiona")

    tree, dam = read_exclusions(tmp_path / "x.gpkg")

    assert (tree.name, tree.clearance_m) == ("A", 6.5)
    assert (dam.name, dam.clearance_m) == ("dam 2", 5.0)
    assert tree.geometry.distance(Point(18.862, -33.932)) < 1e-9


def test_folders_of_a_map_viewer_name_the_kind(tmp_path):
    path = tmp_path / "x.kml"
    body = (
        "<Folder><name>Trees</name></Folder><Folder><name>tree</name><Placemark><name>Oak</name>"
        "<ExtendedData><Data name='clearance'><value>7 m</value></Data></ExtendedData>"
        "<Point><coordinates>18.862,-33.932,0</coordinates></Point></Placemark></Folder>"
    )
    path.write_text(fields.kml_text(body=body))

    (oak,) = read_exclusions(path)

    assert (oak.name, oak.kind, oak.clearance_m) == ("Oak", "tree", 7.0)


def drawing(tmp_path, *layers):
    from ezdxf.filemanagement import new

    document = new("R2010")
    corners = fields.in_grid("EPSG:2048")
    for layer in layers:
        document.modelspace().add_lwpolyline(
            [tuple(point) for point in corners[:2]], dxfattribs={"layer": layer}
        )
    document.saveas(tmp_path / "x.dxf")
    return tmp_path / "x.dxf"


def test_layers_of_a_drawing_name_the_kind_and_others_are_left_alone(tmp_path):
    path = drawing(tmp_path, "0", "POWER_LINE", "contours", "Drain")

    found = read_exclusions(path, grid="EPSG:2048")

    assert [item.kind for item in found] == ["power line", "drain"]


@pytest.mark.parametrize(
    ("layer", "said"),
    [("POWERLINE", "expected 'power line'"), ("0", "no layer named after a kind")],
)
def test_a_drawing_whose_layers_name_no_kind_is_refused(layer, said, tmp_path):
    path = drawing(tmp_path, layer)

    with pytest.raises(InputError, match=said):
        read_exclusions(path, grid="EPSG:2048")
