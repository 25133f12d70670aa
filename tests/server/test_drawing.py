"""Drawing on the sheet: what is told of it, where it is kept, and what is refused."""

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely
from shapely.geometry import shape
from starlette.testclient import TestClient

from aanplant.files import open_block, read_inputs
from aanplant.inputs import KINDS
from aanplant.plan import make_plan
from aanplant.server.drawing import DRAWN_KEYS
from aanplant.server.geo import READERS

BLOCK = "/api/v1/blocks/kiepersol"
OCTETS = {"Content-Type": "application/octet-stream"}


def drawn(client: TestClient, key: str) -> dict[str, Any]:
    told: dict[str, Any] = client.get(f"{BLOCK}/drawn/{key}").json()
    return told


def save(client: TestClient, name: str, features: list[dict[str, Any]], key: str, version=""):
    collection = {"type": "FeatureCollection", "features": features}
    return client.put(
        f"{BLOCK}/sources/{name}?used_as={key}",
        content=json.dumps(collection).encode(),
        headers=OCTETS | ({"If-Match": version} if version else {}),
    )


def set_key(client: TestClient, key: str, value: str | None) -> None:
    version = client.get(f"{BLOCK}/brief").json()["version"]
    answer = client.patch(
        f"{BLOCK}/brief", json={"changes": {key: value}}, headers={"If-Match": version}
    )
    assert answer.status_code == 200, answer.text


def feature(geometry: dict[str, Any], **properties: object) -> dict[str, Any]:
    return {"type": "Feature", "properties": properties, "geometry": geometry}


def area(*corners: tuple[float, float]) -> dict[str, Any]:
    return {"type": "Polygon", "coordinates": [[*corners, corners[0]]]}


def ground_of(estate: Path) -> tuple[int, float]:
    opened = open_block(estate / "blocks" / "kiepersol")
    plan = make_plan(opened.brief, read_inputs(opened), until="site")
    return len(plan.site.boundary.exterior.coords), plan.site.boundary.area


def test_what_can_be_drawn_is_what_the_readers_take(client: TestClient):
    fields = client.get("/api/v1/drawing-fields").json()["fields"]

    assert [field["key"] for field in fields] == list(DRAWN_KEYS)
    assert set(DRAWN_KEYS) <= set(READERS)
    exclusions = next(field for field in fields if field["key"] == "block.exclusions")
    told = {item["name"]: item for item in exclusions["properties"]}
    assert told["kind"]["options"] == list(KINDS)
    assert told["treatment"]["usual"]["drain"] == "skip"
    assert told["clearance"]["usual"]["dam"] == 5.0
    assert told["width"]["of"] == ["line"]


def test_a_walked_outline_is_edited_by_the_corners_its_plan_stands_on(
    client: TestClient, estate: Path
):
    before = ground_of(estate)
    told = drawn(client, "block.boundary")

    saved = save(client, told["save_as"], told["features"], "block.boundary")
    set_key(client, "block.boundary", told["save_as"])

    assert (told["file"], told["save_as"], told["version"]) == (
        "boundary.gpx",
        "boundary.geojson",
        "",
    )
    assert saved.status_code == 200, saved.text
    corners, area_m2 = ground_of(estate)
    assert corners == before[0]
    assert area_m2 == pytest.approx(before[1], abs=0.01)
    assert (estate / "blocks" / "kiepersol" / "boundary.gpx").exists()
    again = drawn(client, "block.boundary")
    assert again["save_as"] == "boundary.geojson"
    assert again["version"] == saved.json()["version"]


def test_a_drawing_takes_the_place_of_its_file_only_when_nothing_is_lost(
    client: TestClient, estate: Path
):
    folder = estate / "blocks" / "kiepersol"
    own = drawn(client, "block.exclusions")
    document = json.loads((folder / "exclusions.geojson").read_text())
    document["features"][0]["properties"]["dug by"] = "an invented digger"
    (folder / "exclusions.geojson").write_text(json.dumps(document))
    noted = drawn(client, "block.exclusions")
    document["features"][0]["geometry"]["coordinates"][0] = [
        [*corner, 310.0] for corner in document["features"][0]["geometry"]["coordinates"][0]
    ]
    (folder / "exclusions.geojson").write_text(json.dumps(document))
    raised = drawn(client, "block.exclusions")

    assert own["save_as"] == "exclusions.geojson"
    assert own["version"]
    assert noted["features"][0]["properties"]["dug by"] == "an invented digger"
    assert noted["features"][0]["properties"]["clearance"] == "1 m"
    assert (raised["save_as"], raised["version"]) == ("exclusions-2.geojson", "")


def test_what_the_tables_decide_is_not_written_into_an_edited_file(
    client: TestClient, estate: Path
):
    path = estate / "blocks" / "kiepersol" / "exclusions.geojson"
    document = json.loads(path.read_text())
    for member in document["features"]:
        member["properties"].pop("clearance", None)
        member["properties"].pop("width", None)
    path.write_text(json.dumps(document))

    told = drawn(client, "block.exclusions")["features"]

    assert not any({"clearance", "width"} & set(one["properties"]) for one in told)
    assert all(one["properties"]["treatment"] for one in told)


def test_a_key_without_a_file_is_drawn_into_a_name_of_its_own(client: TestClient, estate: Path):
    (estate / "blocks" / "kiepersol" / "Zones.GeoJSON").write_text("{}")

    told = drawn(client, "block.zones")

    assert told["features"] == []
    assert (told["file"], told["save_as"]) == ("", "zones-2.geojson")


def test_a_strip_without_width_keeps_none(client: TestClient):
    line = {"type": "LineString", "coordinates": [[19.3, -33.6], [19.301, -33.6]]}
    road = feature(line, kind="road", width=0)
    save(client, "roads.geojson", [road], "block.exclusions")
    set_key(client, "block.exclusions", "roads.geojson")

    (told,) = drawn(client, "block.exclusions")["features"]

    assert told["properties"]["width"] == 0


CROSSED = area((19.3, -33.6), (19.302, -33.602), (19.302, -33.6), (19.3, -33.602))
TINY = area((19.3, -33.6), (19.30001, -33.6), (19.30001, -33.60001))
FAR = area((25.3, -33.6), (25.302, -33.6), (25.302, -33.602))


@pytest.mark.parametrize(
    ("key", "drawing", "words"),
    [
        ("block.boundary", feature(CROSSED), "crosses or touches itself"),
        ("block.boundary", feature(TINY), "at least 100 m²"),
        ("block.boundary", feature(FAR), "EPSG:2048"),
        ("block.exclusions", feature(CROSSED, kind="dam"), "crosses itself"),
        ("block.exclusions", feature(TINY, kind="damm"), "dam"),
        ("block.zones", feature(CROSSED, name="clay"), "crosses itself"),
        ("block.zones", feature(FAR, name="clay", pit="none such"), "none such"),
    ],
)
def test_what_no_plan_could_stand_on_is_refused_before_it_is_kept(
    client: TestClient, estate: Path, key: str, drawing: dict[str, Any], words: str
):
    answer = save(client, "refused.geojson", [drawing], key)

    assert answer.status_code == 422, answer.text
    assert words in answer.json()["detail"]
    assert not (estate / "blocks" / "kiepersol" / "refused.geojson").exists()


def test_no_water_comes_out_of_what_must_be_avoided(client: TestClient):
    dam = shape(drawn(client, "block.exclusions")["features"][0]["geometry"])
    inside = feature(shapely.geometry.mapping(dam.representative_point()), name="pump")
    west, south, east, north = dam.bounds
    across = {"type": "LineString", "coordinates": [[west, south], [east, north]]}

    source = save(client, "inside.geojson", [inside], "water.source")
    route = save(client, "across.geojson", [feature(across)], "mains.route")

    assert [source.status_code, route.status_code] == [422, 422]
    assert "no pipe may cross" in source.json()["detail"]
    assert "no pipe may cross" in route.json()["detail"]


def test_places_are_told_from_the_origin_that_the_sheet_counts_from(client: TestClient):
    asked = {"given_in": "frame", "places": [[0, 0], [100, 0]], "origin": [19.3, -33.6, 250]}

    told = client.post(f"{BLOCK}/places", json=asked).json()

    assert told["origin"] == [19.3, -33.6, 250]
    np.testing.assert_allclose(told["lonlat"][0], [19.3, -33.6], atol=1e-12)
    back = client.post(
        f"{BLOCK}/places", json={**asked, "given_in": "grid", "places": told["grid"]}
    ).json()
    np.testing.assert_allclose(back["frame"], asked["places"], atol=1e-4)


@pytest.mark.parametrize("given_in", ["lonlat", "grid"])
def test_a_new_block_is_begun_from_the_coordinates_of_a_place(client: TestClient, given_in: str):
    known = client.post(
        f"{BLOCK}/places", json={"given_in": "lonlat", "places": [[19.3, -33.6]]}
    ).json()

    told = client.post(
        "/api/v1/places",
        json={"given_in": given_in, "places": known[given_in], "grid": known["grid_code"]},
    ).json()

    assert told["origin"] == [19.3, -33.6, 0.0]
    np.testing.assert_allclose(told["frame"], [[0, 0]], atol=1e-3)


@pytest.mark.parametrize(
    "asked",
    [
        {"given_in": "lonlat", "places": [[500, 3]]},
        {"given_in": "frame", "places": [[0, 0]]},
        {"given_in": "lonlat", "places": []},
        {"given_in": "lonlat", "places": [[19.3, -33.6]], "grid": "EPSG:32610"},
        {"given_in": "lonlat", "places": [[19.3, -33.6]], "origin": [19.3, -91, 0]},
    ],
)
def test_a_place_that_is_none_is_refused(client: TestClient, asked: dict[str, Any]):
    assert client.post("/api/v1/places", json=asked).status_code == 422
