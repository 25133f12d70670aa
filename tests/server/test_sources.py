"""Files beside a brief: read by the readers of the command line, kept apart, never outside."""

import json
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from starlette.testclient import TestClient

from aanplant.files import open_block, read_inputs
from aanplant.server.geo import READERS
from aanplant.server.store import EstateStore, fit_file_name
from tests.server.conftest import EXAMPLE

BLOCK = "/api/v1/blocks/kiepersol"
OCTETS = {"Content-Type": "application/octet-stream"}
SQUARE = {
    "type": "Feature",
    "properties": {"name": "drawn"},
    "geometry": {
        "type": "Polygon",
        "coordinates": [[[20, -33], [20.002, -33], [20.002, -33.002], [20, -33]]],
    },
}


def save(client: TestClient, name: str, data: bytes, key: str, version: str = ""):
    headers = OCTETS | ({"If-Match": version} if version else {})
    return client.put(f"{BLOCK}/sources/{name}?used_as={key}", content=data, headers=headers)


def test_the_files_of_a_block_say_what_they_are_for(client: TestClient):
    told = {item["name"]: item for item in client.get(f"{BLOCK}/sources").json()["sources"]}

    assert told["boundary.gpx"]["used_as"] == ["block.boundary"]
    assert told["pump.geojson"]["used_as"] == ["water.source"]
    assert "brief.toml" not in told
    fetched = client.get(f"{BLOCK}/sources/boundary.gpx")
    assert fetched.headers["etag"] == f'"{told["boundary.gpx"]["version"]}"'
    assert len(fetched.content) == told["boundary.gpx"]["bytes"]


def test_every_key_that_names_a_file_has_its_reader():
    brief = open_block(EXAMPLE / "blocks" / "kiepersol").brief
    everything = brief.model_copy(update={
        section: getattr(brief, section).model_copy(update={key: "x"})
        for section, key in (name.split(".") for name in READERS)
        if section != "block"
    })  # fmt: skip

    assert set(brief.named_files()) <= set(READERS)
    assert {key for key in READERS if not key.startswith("block.")} <= set(everything.named_files())


def test_a_drawn_outline_is_read_before_it_is_saved(client: TestClient, estate: Path):
    folder = estate / "blocks" / "kiepersol"

    sound = save(client, "drawn.geojson", json.dumps(SQUARE).encode(), "block.boundary")
    broken = save(client, "broken.geojson", b'{"type": "Point"', "block.boundary")
    wrong = save(client, "pits.csv2", b"a,b\n1,2\n", "block.pits")

    assert sound.status_code == 200
    assert sound.json()["version"] == sound.headers["etag"].strip('"')
    assert json.loads((folder / "drawn.geojson").read_text()) == SQUARE
    assert [broken.status_code, wrong.status_code] == [422, 422]
    assert "broken.geojson" in broken.json()["where"]
    assert not (folder / "broken.geojson").exists()
    assert not (folder / "pits.csv2").exists()


def test_two_pages_do_not_write_over_each_others_drawing(client: TestClient, estate: Path):
    first = save(client, "drawn.geojson", json.dumps(SQUARE).encode(), "block.boundary")
    other = json.dumps(SQUARE | {"properties": {}}).encode()

    blind = save(client, "drawn.geojson", other, "block.boundary")
    known = save(client, "drawn.geojson", other, "block.boundary", first.headers["etag"])
    late = save(
        client,
        "drawn.geojson",
        json.dumps(SQUARE).encode(),
        "block.boundary",
        first.headers["etag"],
    )

    assert [blind.status_code, known.status_code, late.status_code] == [428, 200, 412]
    assert late.json()["version"] == known.json()["version"]
    assert (estate / "blocks" / "kiepersol" / "drawn.geojson").read_bytes() == other


@pytest.mark.parametrize("key", ["block.exclusions", "water.source"])
def test_what_was_drawn_can_be_saved_and_read_again(client: TestClient, key: str):
    drawn = client.get(f"{BLOCK}/drawn/{key}").json()

    saved = save(client, "again.geojson", json.dumps(drawn).encode(), key)
    version = client.get(f"{BLOCK}/brief").json()["version"]
    client.patch(
        f"{BLOCK}/brief",
        json={"changes": {key: "again.geojson"}},
        headers={"If-Match": version},
    )

    assert saved.status_code == 200, saved.text
    assert drawn["features"]
    again = client.get(f"{BLOCK}/drawn/{key}").json()
    assert again["features"] == drawn["features"]
    assert (again["file"], again["save_as"]) == ("again.geojson", "again.geojson")


def test_an_outline_is_shown_before_there_is_a_block(client: TestClient, estate: Path):
    before = sorted(estate.rglob("*"))
    track = (EXAMPLE / "blocks" / "kiepersol" / "boundary.gpx").read_bytes()

    answer = client.post("/api/v1/outline?name=walked.gpx", content=track, headers=OCTETS)

    (feature,) = answer.json()["features"]
    assert feature["properties"]["kind"] == "track"
    assert len(feature["geometry"]["coordinates"][0]) > 10
    assert sorted(estate.rglob("*")) == before


def test_places_come_in_every_grid_and_back(client: TestClient, estate: Path):
    opened = open_block(estate / "blocks" / "kiepersol")
    outline = read_inputs(opened).outline.rings[0][:4]

    told = client.post(
        f"{BLOCK}/places", json={"given_in": "lonlat", "places": outline.tolist()}
    ).json()

    for kind in ("frame", "grid"):
        back = client.post(f"{BLOCK}/places", json={"given_in": kind, "places": told[kind]}).json()
        np.testing.assert_allclose(back["lonlat"], outline, atol=1e-9)
    assert told["grid_axes"] == ["Y_westing_m", "X_southing_m"]


@given(name=st.text(min_size=1, max_size=40))
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=200)
def test_no_name_of_a_file_leads_out_of_its_folder(tmp_path: Path, name: str):
    try:
        fit_file_name(name)
    except Exception:  # noqa: BLE001 - whatever refuses it, it is refused
        return

    assert (tmp_path / name).resolve().parent == tmp_path.resolve()


@given(
    parts=st.lists(
        st.sampled_from(
            ["..", ".", "%2e%2e", "%2f", "\\", "blocks", "estate.toml", "~", "%00", "x"]
        ),
        min_size=1,
        max_size=6,
    ),
    end=st.sampled_from(["brief", "files/plan.json", "sources/brief.toml", "plan"]),
)
@settings(
    suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=60, deadline=None
)
def test_no_path_over_the_wire_reaches_a_file_outside(
    client: TestClient, parts: list[str], end: str
):
    answer = client.get(f"/api/v1/blocks/{'/'.join(parts)}/{end}")

    # A client may shorten the path to a place inside the page, which then answers itself.
    is_page = answer.headers["content-type"].startswith("text/html")
    assert is_page or answer.status_code in {404, 405, 422}
    assert "season_start" not in answer.text
    assert "[block]" not in answer.text


def test_a_link_beside_the_brief_that_leads_out_is_no_source(estate: Path, tmp_path: Path):
    outside = tmp_path / "outside.csv"
    outside.write_text("secret")
    (estate / "blocks" / "kiepersol" / "linked.csv").symlink_to(outside)

    assert "linked.csv" not in EstateStore(estate).sources("kiepersol")
