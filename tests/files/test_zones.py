"""Soil zones drawn by the user, and the soil in the files that are written."""

import json

import geopandas as gpd
import pytest
from shapely import to_geojson
from shapely.geometry import LineString, Polygon, box

from aanplant.errors import InputError
from aanplant.files import open_block, read_inputs
from aanplant.files.geopackage import ZONES_LAYER, write_geopackage
from aanplant.files.plan_json import plan_json
from aanplant.files.zones import read_zones
from aanplant.plan import make_plan
from tests.files.plans import MADE
from tests.test_plan import EXAMPLE

WEST = box(19.300, -33.600, 19.301, -33.599)
EAST = box(19.301, -33.600, 19.302, -33.599)


@pytest.fixture
def drawing(tmp_path):
    def write(*features):
        path = tmp_path / "zones.geojson"
        made = [
            {"type": "Feature", "properties": about, "geometry": json.loads(to_geojson(shape))}
            for about, shape in features
        ]
        path.write_text(json.dumps({"type": "FeatureCollection", "features": made}))
        return path

    return write


@pytest.fixture(scope="module")
def made():
    block = open_block(EXAMPLE / "kiepersol")
    brief = block.brief
    block_part = brief.block.model_copy(update={"heights": ""})
    quick = brief.rows.model_copy(update={"bearing": 20.0})
    brief = brief.model_copy(update={"rows": quick, "block": block_part})
    inputs = read_inputs(block)
    return make_plan(brief, inputs)


def test_zones_carry_their_name_and_their_pit(drawing):
    zones = read_zones(drawing(({"zone": "ridge", "pit": "P1"}, WEST), ({"name": "foot"}, EAST)))

    assert [(zone.name, zone.pit) for zone in zones] == [("ridge", "P1"), ("foot", "")]
    assert zones[0].geometry.equals(WEST)


def test_pieces_of_one_name_are_one_zone(drawing):
    zones = read_zones(drawing(({"name": "ridge"}, WEST), ({"name": "ridge"}, EAST), ({}, EAST)))

    assert [zone.name for zone in zones] == ["ridge", "zone 3"]
    assert zones[0].geometry.area == pytest.approx(WEST.area + EAST.area)


@pytest.mark.parametrize(
    ("features", "message"),
    [
        ([({"name": "ridge"}, LineString([(19.3, -33.6), (19.301, -33.6)]))], "a linestring"),
        (
            [({"name": "bow"}, Polygon([(19.3, -33.6), (19.301, -33.599), (19.301, -33.6),
                                        (19.3, -33.599)]))],
            "an outline that crosses itself",
        ),
        (
            [({"name": "ridge", "pit": "P1"}, WEST), ({"name": "ridge", "pit": "P2"}, EAST)],
            "'ridge' with two pits",
        ),
    ],
)  # fmt: skip
def test_a_drawing_that_is_no_zones_is_refused(drawing, features, message):
    with pytest.raises(InputError, match=message):
        read_zones(drawing(*features))


def test_the_geopackage_holds_the_zones_of_the_example(made, tmp_path):
    path = tmp_path / "plan.gpkg"

    write_geopackage(made, path, made=MADE)

    zones = gpd.read_file(path, layer=ZONES_LAYER, engine="fiona")
    assert zones["name"].tolist() == ["P1", "P2", "P3", "P4", "P5"]
    assert zones.geometry.area.sum() / 1e4 == pytest.approx(zones["area_ha"].sum(), rel=1e-3)
    assert zones["area_ha"].sum() == pytest.approx(made.site.field.area / 1e4)
    assert zones["depth_m"].tolist() == [1.0, 0.55, 1.0, 0.85, 0.85]


def test_plan_json_lists_the_zones_with_the_grades_they_were_judged_by(made):
    content = json.loads(plan_json(made, made=MADE))

    zones = content["tables"]["zones"]
    assert [line["zone"] for line in zones] == ["P1", "P2", "P3", "P4", "P5"]
    assert zones[1]["depth_class"] == "shallow"
    assert zones[1]["potential"] == "low"
    assert zones[1]["grades"]["depth"] == "low"
    assert zones[3]["grades"]["salinity"] == "low"
    keys = {figure["key"] for figure in content["figures"]}
    assert {"site.soil_water", "site.zone.5.water", "site.pit.1.layer.1.water"} <= keys


def test_the_water_of_a_pit_follows_from_the_inputs_its_figure_names(made):
    figure = made.figures["site.pit.4.water"]
    given = {item.name: item.value for item in figure.inputs}

    total_mm = sum(given[f"thickness_{place}"] * given[f"water_{place}"] for place in (1, 2, 3))
    assert figure.value == pytest.approx(total_mm)
    layer = made.figures["site.pit.4.layer.1.water"]
    of = {item.name: item.value for item in layer.inputs}
    assert layer.value == pytest.approx(
        1000 * (of["field_capacity"] - of["wilting_point"]) * (1 - of["stones"] / 100)
    )


def test_the_field_capacity_of_a_layer_follows_from_the_formula_its_figure_shows(made):
    figure = made.figures["site.pit.2.layer.1.field_capacity"]
    of = {item.name: item.value for item in figure.inputs}
    S, C, M = of["sand"] / 100, of["clay"] / 100, of["organic_matter"]  # noqa: N806 - as printed

    u = -0.251 * S + 0.195 * C + 0.011 * M + 0.006 * S * M - 0.027 * C * M + 0.452 * S * C + 0.299
    v = 0.278 * S + 0.034 * C + 0.022 * M - 0.018 * S * M - 0.027 * C * M - 0.584 * S * C + 0.078
    f = u + 1.283 * u**2 - 0.374 * u - 0.015
    s = f + 1.636 * v - 0.107 - 0.097 * S + 0.043

    assert figure.value == pytest.approx(f - 0.2 * (s - 1 + of["bulk_density"] / 2.65))
