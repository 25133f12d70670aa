import base64
import hashlib
import shutil
import tomllib
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from aanplant.errors import InputError
from aanplant.server.editing import applied, changed
from aanplant.server.store import EstateStore
from tests.server.conftest import EXAMPLE

SQUARE = b"lon,lat\n20,-33\n20.002,-33\n20.002,-33.002\n20,-33.002\n"
BRIEF = "/api/v1/blocks/kiepersol/brief"


def brief_file(estate: Path) -> Path:
    return estate / "blocks" / "kiepersol" / "brief.toml"


def test_the_estate_names_its_blocks(client: TestClient):
    told = client.get("/api/v1/estate").json()

    assert told["name"] == "Lowquince"
    assert told["blocks"] == ["kiepersol", "onderveld"]


def test_a_brief_is_told_with_its_text_its_values_and_its_version(client: TestClient, estate: Path):
    answer = client.get(BRIEF)
    told = answer.json()

    assert told["text"] == brief_file(estate).read_text()
    assert told["values"]["rows"]["headland"] == 8.0
    assert "rows.headland" in told["given"]
    assert "rows.headland_rule" not in told["given"]
    assert answer.headers["etag"] == f'"{told["version"]}"'


def test_a_change_keeps_comments_and_all_other_lines(client: TestClient, estate: Path):
    before = brief_file(estate).read_text()
    version = client.get(BRIEF).json()["version"]

    answer = client.patch(
        BRIEF,
        json={
            "changes": {"spares.gap_price": 75, "rows.headland": "9 m", "rows.side_margin": None}
        },
        headers={"If-Match": f'"{version}"'},
    )

    after = brief_file(estate).read_text()
    assert answer.status_code == 200
    assert 'headland = "9 m"' in after
    gone = [line for line in before.splitlines() if line not in after.splitlines()]
    assert [line.split(" =")[0] for line in gone] == ["gap_price", "headland", "side_margin"]
    comment = "# invented: crop of one vine, less its costs, a year"
    assert any(line.startswith("gap_price = 75") and comment in line for line in after.splitlines())


def test_a_key_of_a_section_that_is_not_there_yet_makes_it():
    assert changed("[block]\n", {"machine.width": "1.4 m"}) == (
        '[block]\n\n[machine]\nwidth = "1.4 m"\n'
    )


@pytest.mark.parametrize(
    "changes",
    [
        {"machine.width": "1.4 m", "rows.headland": 9, "spares.batches": None},
        {"water.emitter": {"flow": "1.6 L/h"}, "work.crew": 12},
        {"pump.curve": [[0, 50], [30, 40]], "nursery.parts": [{"clone": "A", "share": 1.0}]},
    ],
)
def test_a_change_means_the_same_saved_or_not(changes: dict[str, object]):
    text = (EXAMPLE / "blocks" / "kiepersol" / "brief.toml").read_text()

    assert tomllib.loads(changed(text, changes)) == applied(text, changes)


def test_two_pages_on_one_brief_do_not_overwrite_each_other(client: TestClient, estate: Path):
    version = client.get(BRIEF).json()["version"]
    first = client.patch(
        BRIEF, json={"changes": {"rows.headland": "9 m"}}, headers={"If-Match": version}
    )

    second = client.patch(
        BRIEF, json={"changes": {"rows.headland": "7 m"}}, headers={"If-Match": version}
    )

    assert second.status_code == 412
    assert second.json()["version"] == first.json()["version"]
    assert second.json()["text"] == brief_file(estate).read_text()
    assert 'headland = "9 m"' in brief_file(estate).read_text()


def test_a_whole_brief_is_saved_over_the_version_it_started_from(client: TestClient, estate: Path):
    told = client.get(BRIEF).json()
    text = told["text"].replace('"8 m"', '"9 m"') + "# by hand, in Ä\n"

    answer = client.put(
        BRIEF,
        content=text.encode(),
        headers={"If-Match": told["version"], "Content-Type": "application/toml"},
    )

    assert answer.status_code == 200, answer.text
    assert answer.json()["values"]["rows"]["headland"] == 9.0
    assert brief_file(estate).read_text() == text


def test_a_file_that_changed_underneath_is_noticed(client: TestClient, estate: Path):
    version = client.get(BRIEF).json()["version"]
    before = brief_file(estate).read_bytes()
    brief_file(estate).write_bytes(before + b"# by hand\n")

    answer = client.put(
        BRIEF,
        content=before,
        headers={"If-Match": version, "Content-Type": "application/toml"},
    )

    assert answer.status_code == 412
    assert brief_file(estate).read_text().endswith("# by hand\n")


def test_a_save_without_a_version_is_refused(client: TestClient, estate: Path):
    before = brief_file(estate).read_bytes()

    answer = client.patch(BRIEF, json={"changes": {"rows.headland": "9 m"}})

    assert answer.status_code == 428
    assert brief_file(estate).read_bytes() == before


@pytest.mark.parametrize(
    ("changes", "where"),
    [
        ({"rows.headland": "-3 m"}, "rows.headland"),
        ({"rows.bering": 3}, "rows.bering"),
        ({"vines.pattern": "round"}, "vines.pattern"),
        ({"vines.row_width": None}, "vines.row_width"),
        ({"vines": "none"}, "vines"),
    ],
)
def test_what_the_foundation_refuses_is_refused_here_beside_its_key(
    client: TestClient, estate: Path, changes: dict[str, object], where: str
):
    before = brief_file(estate).read_bytes()
    version = client.get(BRIEF).json()["version"]

    answer = client.patch(BRIEF, json={"changes": changes}, headers={"If-Match": version})

    assert answer.status_code == 422
    assert where in answer.json()["where"]
    assert answer.json()["expected"]
    assert brief_file(estate).read_bytes() == before


def test_a_brief_that_cannot_be_used_is_still_told(client: TestClient, estate: Path):
    brief_file(estate).write_text("[block]\nboundary = 3\n")

    told = client.get(BRIEF).json()

    assert told["text"] == "[block]\nboundary = 3\n"
    assert told["values"] == {}
    assert "boundary" in told["trouble"]


@pytest.mark.parametrize(
    "name", ["..", "%2e%2e", "..%2f..%2festate.toml", "kiepersol%2f..", "estate.toml", "nothing"]
)
def test_no_name_reaches_outside_the_blocks(client: TestClient, name: str):
    for path in (f"/api/v1/blocks/{name}/brief", f"/api/v1/blocks/kiepersol/files/{name}"):
        assert client.get(path).status_code == 404


@pytest.mark.parametrize("name", ["brief.toml", "%2e%2e%2fx.csv", ".hidden", "a%5cb.csv"])
def test_a_file_goes_nowhere_but_beside_the_brief(client: TestClient, estate: Path, name: str):
    before = sorted(estate.rglob("*"))

    answer = client.put(
        f"/api/v1/blocks/kiepersol/sources/{name}?used_as=spares.past_losses",
        content=b"batch,vines,dead\nA,100,3\n",
        headers={"Content-Type": "application/octet-stream"},
    )

    assert answer.status_code in {404, 405, 422}
    assert sorted(estate.rglob("*")) == before


def test_a_block_is_made_from_a_receiver_track(client: TestClient, estate: Path):
    track = (estate / "blocks" / "kiepersol" / "boundary.gpx").read_bytes()
    new = {
        "block": "bo-kamp",
        "name": 'Bo "kamp"',
        "boundary_name": "walked.gpx",
        "boundary_base64": base64.b64encode(track).decode(),
        "row_width": "2.7 m",
    }

    answer = client.post("/api/v1/blocks", json=new)

    assert answer.status_code == 201
    assert answer.json()["values"]["vines"]["row_width"] == 2.7
    assert answer.json()["values"]["block"]["name"] == 'Bo "kamp"'
    assert "bo-kamp" in client.get("/api/v1/estate").json()["blocks"]
    made = (estate / "blocks" / "bo-kamp" / "walked.gpx").read_bytes()
    assert hashlib.sha256(made).digest() == hashlib.sha256(track).digest()


@pytest.mark.parametrize(
    "change",
    [
        {"block": "../out"},
        {"block": "kiepersol"},
        {"boundary_base64": "no base64!"},
        {"boundary_name": "../b.gpx"},
        {"row_width": "wide"},
        {"boundary_base64": "eA=="},
    ],
)
def test_a_block_that_cannot_be_made_leaves_nothing(
    client: TestClient, estate: Path, change: dict[str, str]
):
    before = sorted(estate.rglob("*"))
    new = {
        "block": "bo-kamp",
        "boundary_name": "b.csv",
        "boundary_base64": base64.b64encode(SQUARE).decode(),
    } | change

    answer = client.post("/api/v1/blocks", json=new)

    assert answer.status_code == 422
    assert sorted(estate.rglob("*")) == before


def test_a_folder_that_is_no_estate_is_refused(tmp_path: Path):
    with pytest.raises(InputError, match=r"no estate\.toml"):
        EstateStore(tmp_path)


def test_a_block_that_is_a_link_out_of_the_estate_is_none(estate: Path, tmp_path: Path):
    outside = tmp_path / "outside"
    shutil.copytree(estate / "blocks" / "onderveld", outside)
    (estate / "blocks" / "linked").symlink_to(outside)

    assert EstateStore(estate).blocks() == ("kiepersol", "onderveld")


def test_a_brief_that_is_a_link_out_of_the_estate_is_not_read(estate: Path, tmp_path: Path):
    brief = estate / "blocks" / "onderveld" / "brief.toml"
    outside = tmp_path / "outside.toml"
    outside.write_bytes(brief.read_bytes())
    brief.unlink()
    brief.symlink_to(outside)

    assert EstateStore(estate).blocks() == ("kiepersol",)


def test_a_brief_is_never_saved_through_a_link(estate: Path, tmp_path: Path):
    outside = tmp_path / "outside.txt"
    outside.write_text("mine")
    folder = estate / "blocks" / "onderveld"
    (folder / ".brief.toml.new").symlink_to(outside)
    store = EstateStore(estate)
    text = store.brief("onderveld").text + "\n# seen\n"

    store.save_brief("onderveld", text, expected=store.brief("onderveld").version)

    assert outside.read_text() == "mine"
    assert store.brief("onderveld").text == text
    assert not (folder / "brief.toml").is_symlink()


@pytest.mark.parametrize(
    ("corners", "grid"),
    [
        ("lon,lat\n20,-33\n20.01,-33.01\n20.01,-33\n20,-33.01\n", ""),
        ("lon,lat\n5,50\n5.002,50\n5.002,50.002\n5,50.002\n", ""),
    ],
    ids=["crosses itself", "outside the set-out grid of the estate"],
)
def test_an_outline_that_no_block_could_stand_on_makes_none(
    client: TestClient, estate: Path, corners: str, grid: str
):
    answer = client.post(
        "/api/v1/blocks",
        json={
            "block": "nowhere",
            "boundary_name": "corners.csv",
            "boundary_base64": base64.b64encode(corners.encode()).decode(),
            "grid": grid,
        },
    )

    assert answer.status_code == 422
    assert not (estate / "blocks" / "nowhere").exists()
