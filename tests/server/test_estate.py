"""Words, blanks and pages that all blocks share."""

from pathlib import Path
from typing import Any

import pytest
from fastapi import FastAPI
from starlette.testclient import TestClient

from aanplant.brief import Brief
from aanplant.brief.fields import quantity_of
from aanplant.brief.model import field_of
from aanplant.server.guard import Guard
from aanplant.server.pages import serve_pages
from aanplant.server.problems import answer_in_one_shape
from tests.server.conftest import HOME


def blanks(client: TestClient, query: str = "") -> dict[str, dict[str, Any]]:
    sections = client.get(f"/api/v1/brief-fields{query}").json()["sections"]
    return {blank["key"]: blank for section in sections for blank in section["fields"]}


def keys_of(values: dict[str, object], prefix: str = "") -> set[str]:
    found: set[str] = set()
    for name, value in values.items():
        is_section = isinstance(value, dict)
        found |= keys_of(value, f"{prefix}{name}.") if is_section else {f"{prefix}{name}"}
    return found


def test_every_key_of_the_brief_has_a_blank_with_help(client: TestClient):
    told = blanks(client)
    brief = client.get("/api/v1/blocks/kiepersol/brief").json()

    assert set(told) == keys_of(brief["values"])
    assert all(blank["help"] for blank in told.values())
    sections = client.get("/api/v1/brief-fields").json()["sections"]
    assert [section["name"] for section in sections] == list(Brief.model_fields)


def test_a_blank_tells_kind_range_words_default_and_source(client: TestClient):
    told = blanks(client, "?units=imperial")

    headland, bearing = told["rows.headland"], told["rows.bearing"]
    assert (headland["kind"], headland["unit"], headland["low"], headland["high"]) == (
        "quantity", "m", 0.0, 50.0,
    )  # fmt: skip
    assert (headland["shown_unit"], headland["default"]) == ("ft", 8.0)
    assert headland["default_source"]["certainty"] == "memory"
    assert (bearing["kind"], bearing["unit"], bearing["options"]) == ("quantity", "deg", ["choose"])
    assert told["vines.pattern"]["options"] == ["square", "offset", "free"]
    assert told["block.boundary"]["kind"] == "file"
    assert told["block.boundary"]["is_required"]
    assert told["rows.alley_cover"]["kind"] == "flag"
    assert told["work.crew"]["kind"] == "whole number"
    assert "vertical-5" in told["trellis.system"]["suggestions"]
    assert told["water.flow_available"]["may_be_empty"]
    assert [one["unit"] for one in told["pump.curve"]["of"]] == ["m3/h", "m"]
    assert "id" in {one["key"] for one in told["nursery.lots"]["of"]}


def test_no_quantity_tells_another_range_than_the_one_that_is_checked(client: TestClient):
    for key, blank in blanks(client).items():
        checked = quantity_of(field_of(key))
        if checked is not None and blank["kind"] == "quantity":
            assert (blank["unit"], blank["low"], blank["high"]) == (
                checked.unit, checked.low, checked.high,
            ), key  # fmt: skip


@pytest.mark.parametrize(
    ("key", "value"),
    [("rows.bearing", 180.0), ("rootstock.vigour", 5.1), ("spares.batch_correlation", 0.31),
     ("preparation.loosening_depth", 1.6), ("rows.base_height", 6001.0)],
)  # fmt: skip
def test_a_number_beside_a_word_is_refused_past_the_range_that_is_told(
    client: TestClient, key: str, value: float
):
    blank = blanks(client)[key]
    version = client.get("/api/v1/blocks/kiepersol/brief").json()["version"]

    answer = client.patch(
        "/api/v1/blocks/kiepersol/brief",
        json={"changes": {key: value}},
        headers={"If-Match": version},
    )

    assert value >= blank["high"]
    assert answer.status_code == 422


def test_words_come_by_language_and_prefix(client: TestClient):
    english = client.get("/api/v1/words?prefix=month.").json()
    afrikaans = client.get("/api/v1/words?prefix=month.&language=af").json()

    assert english["words"].keys() == afrikaans["words"].keys()
    assert english["words"]["month.5"] != afrikaans["words"]["month.5"]
    assert client.get("/api/v1/words?language=xx").status_code == 422


@pytest.fixture
def built(tmp_path: Path) -> TestClient:
    folder = tmp_path / "pages"
    (folder / "assets").mkdir(parents=True)
    (folder / "index.html").write_text("<!doctype html><title>planner</title>")
    (folder / "assets" / "main-3f9a.js").write_text("export {}")
    (folder / "secret.js").symlink_to(tmp_path / "outside.js")
    (tmp_path / "outside.js").write_text("secret")
    app = FastAPI(docs_url=None, redoc_url=None)
    answer_in_one_shape(app)
    serve_pages(app, folder)
    app.add_middleware(Guard)
    return TestClient(app, base_url=HOME)


def test_built_pages_have_their_types_and_are_kept_while_they_stand(built: TestClient):
    page, script = built.get("/"), built.get("/assets/main-3f9a.js")

    assert page.headers["content-type"] == "text/html; charset=utf-8"
    assert page.headers["cache-control"] == "no-cache"
    assert script.headers["content-type"] == "text/javascript; charset=utf-8"
    assert "immutable" in script.headers["cache-control"]
    assert "default-src 'self'" in page.headers["content-security-policy"]
    again = built.get("/", headers={"If-None-Match": page.headers["etag"]})
    assert (again.status_code, again.content) == (304, b"")


def test_a_place_inside_the_page_is_the_page_and_a_missing_file_is_none(built: TestClient):
    assert built.get("/blocks/kiepersol").text == built.get("/").text
    for path in ("/assets/other.js", "/secret.js", "/..%2foutside.js", "/assets/../../outside.js"):
        answer = built.get(path)
        assert answer.status_code == 404
        assert "secret" not in answer.text.replace(path, "")
    assert built.get("/api/v1/nothing").json()["status"] == 404


def test_without_built_pages_a_page_says_how_to_build_them(tmp_path: Path):
    app = FastAPI(docs_url=None, redoc_url=None)
    serve_pages(app, tmp_path / "none")

    answer = TestClient(app, base_url=HOME).get("/")

    assert answer.status_code == 503
    assert "npm --prefix web run build" in answer.text
    assert "<script" not in answer.text
