import threading
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely
from pyproj import Transformer
from starlette.testclient import TestClient

from aanplant.errors import Cancelled, InputError
from aanplant.files import open_block, read_inputs
from aanplant.plan import Plan, make_plan
from aanplant.server import create_app, planning
from aanplant.server.layers import LAYERS
from aanplant.server.planning import Planner
from aanplant.server.store import EstateStore
from aanplant.server.told_shapes import PreviewAboutShape
from aanplant.stages import STAGE_NAMES
from aanplant.water.emitters import KPA_PER_M
from tests.server.conftest import HOME
from tests.server.unpacking import unpacked

PREVIEW = "/api/v1/blocks/onderveld/preview"
HILL = "/api/v1/blocks/kiepersol/preview"
FIXED = {"rows.bearing": 20}


def planned(estate: Path, block: str, until: str | None = None) -> Plan:
    opened = open_block(estate / "blocks" / block)
    return make_plan(opened.brief, read_inputs(opened), until=until)


def ask(client: TestClient, path: str, **asked: object):
    answer = client.post(path, json=asked)
    assert answer.status_code == 200, answer.text
    return unpacked(answer.content)


def figures(about, stage: str) -> dict[str, dict[str, Any]]:
    return {figure["key"]: figure for figure in about["stages"][stage]["figures"]}


def test_every_layer_is_made_by_a_stage_and_no_other_can_be_asked_for(client: TestClient):
    assert {stage for stage, _ in LAYERS.values()} <= set(STAGE_NAMES)
    for asked in ({"layers": ["roots"]}, {"until": "harvest"}, {"known": {"harvest": "9b"}}):
        assert client.post(PREVIEW, json=asked).status_code == 422


def test_a_preview_holds_the_layout_that_the_library_makes(client: TestClient, estate: Path):
    plan = planned(estate, "onderveld", until="layout")

    about, arrays = ask(client, PREVIEW)

    positions = plan.layout.positions
    np.testing.assert_allclose(arrays["vines_xy"], positions.xy, atol=1e-3)
    np.testing.assert_array_equal(arrays["vines_row"], positions.row)
    np.testing.assert_array_equal(arrays["vines_number"], positions.number)
    np.testing.assert_allclose(arrays["anchors_xy"], plan.layout.anchors_xy, atol=1e-3)
    told = figures(about, "layout")
    assert told["layout.vines"]["value"] == plan.figures.value("layout.vines")
    assert told["layout.vines"]["formula"]
    findings = [item for stage in about["stages"].values() for item in stage["findings"]]
    assert len(findings) == len(plan.findings)


def test_wide_numbers_stand_first_and_rows_and_states_are_small(client: TestClient):
    answer = client.post(PREVIEW, json={})

    _, arrays = unpacked(answer.content)

    sizes = [array.dtype.itemsize for array in arrays.values()]
    assert sizes == sorted(sizes, reverse=True)
    assert arrays["vines_row"].dtype == np.dtype("u2")
    assert arrays["vines_state"].dtype == np.dtype("u1")
    assert not arrays["vines_state"].any()


def test_the_frame_turns_offsets_into_places_on_earth(client: TestClient, estate: Path):
    plan = planned(estate, "onderveld", until="site")
    about, arrays = ask(client, PREVIEW, until="site")

    lonlat = Transformer.from_crs(about["frame"], "EPSG:4326", always_xy=True).transform(
        *arrays["boundary_xy"].T.astype(float)
    )

    outline = plan.site.frame.geometry_to_lonlat(plan.site.boundary)
    np.testing.assert_allclose(np.column_stack(lonlat), shapely.get_coordinates(outline), atol=1e-8)
    np.testing.assert_allclose(
        arrays["origin"][:2], [plan.site.frame.longitude_deg, plan.site.frame.latitude_deg]
    )


def test_shapes_tell_whose_each_ring_is(client: TestClient, estate: Path):
    site = planned(estate, "kiepersol", until="site").site

    about, arrays = ask(client, HILL, until="site")

    first, owner = arrays["exclusions_first"], arrays["exclusions_shape"]
    assert len(first) == len(owner) + 1
    assert [item["name"] for item in about["layers"]["field"]["exclusions"]] == [
        item.name for item in site.exclusions
    ]
    for number, item in enumerate(site.exclusions):
        (ring,) = np.flatnonzero(owner == number)
        part = arrays["exclusions_xy"][first[ring] : first[ring + 1]]
        np.testing.assert_allclose(part, shapely.get_coordinates(item.geometry), atol=1e-3)


def test_slope_and_contours_are_those_of_the_ground(client: TestClient, estate: Path):
    site = planned(estate, "kiepersol", until="site").site
    about, arrays = ask(client, HILL, until="site", layers=["slope"])

    grid, z = about["layers"]["slope"]["grid"], arrays["slope_height_m"]

    corner = (grid["west_m"] + 3 * grid["cell_x_m"], grid["south_m"] + 4 * grid["cell_y_m"])
    np.testing.assert_allclose(z[4, 3], site.terrain.height([corner])[0], rtol=1e-6)
    first, heights = arrays["contours_first"], arrays["contours_height_m"]
    assert len(heights) > 5
    assert len(first) == len(heights) + 1
    for number in range(0, len(heights), 7):
        line = arrays["contours_xy"][first[number] : first[number + 1]].astype(float)
        found = site.terrain.height(line)
        known = found[np.isfinite(found)]
        np.testing.assert_allclose(known, heights[number], atol=0.02)


def test_pipes_valves_and_pressures_are_those_of_the_system(client: TestClient, estate: Path):
    made = planned(estate, "kiepersol", until="water").water.system
    assert made is not None

    about, arrays = ask(client, HILL, until="water", layers=["pipes", "pressures"])

    pipes = about["layers"]["pipes"]["pipes"]
    assert len(pipes) + 1 == len(arrays["pipes_first"])
    assert {pipe["kind"] for pipe in pipes} == {"mainline", "submain", "lateral"}
    dripping = made.system.is_emitter
    np.testing.assert_allclose(
        arrays["drippers_kpa"], made.pressure_m[dripping] * KPA_PER_M, rtol=1e-6
    )
    assert set(arrays["drippers_set"]) == set(range(1, len(made.system.sets) + 1))
    assert len(arrays["valves_xy"]) == len(about["layers"]["pipes"]["valves"]) > 0


def test_what_the_page_has_already_is_not_sent_again(client: TestClient):
    about, arrays = ask(client, PREVIEW, changes=FIXED)
    known = {name: stage["digest"] for name, stage in about["stages"].items()}

    again, fewer = ask(client, PREVIEW, changes={**FIXED, "rows.headland": "40 ft"}, known=known)

    assert [name for name, stage in again["stages"].items() if stage["is_fresh"]] == ["layout"]
    assert "figures" not in again["stages"]["site"]
    assert set(arrays) - set(fewer) >= {"boundary_xy", "zones_xy"}
    assert "vines_xy" in fewer


def test_only_the_layers_and_lists_asked_for_are_sent(client: TestClient):
    about, arrays = ask(client, PREVIEW, layers=["rows"], tables=["rows"])

    assert set(about["layers"]) == {"rows"}
    assert "vines_xy" not in arrays
    assert len(about["tables"]["rows"]) == len(arrays["rows_row"])


def test_a_whole_preview_tells_the_money_too(client: TestClient):
    about, _ = ask(client, PREVIEW, until="money", layers=[], tables=["costs"])

    assert list(about["stages"]) == list(STAGE_NAMES)
    assert figures(about, "money")
    assert about["tables"]["costs"]


def test_a_preview_of_an_unsaved_change_saves_nothing(client: TestClient, estate: Path):
    brief = estate / "blocks" / "onderveld" / "brief.toml"
    before = brief.read_bytes()
    _, wide = ask(client, PREVIEW)

    _, wider = ask(client, PREVIEW, changes={"vines.row_width": "5 m"})

    assert len(wider["vines_xy"]) < len(wide["vines_xy"])
    assert brief.read_bytes() == before


def test_a_preview_of_what_cannot_be_used_names_the_key(client: TestClient):
    answer = client.post(PREVIEW, json={"changes": {"vines.row_width": "-1 m"}})

    assert answer.status_code == 422
    assert answer.json()["where"] == "brief.toml: vines.row_width"


def test_figures_come_in_the_units_and_language_asked_for(client: TestClient):
    shown = {}
    for query in ("units=imperial", "language=af", "units=metric"):
        about, _ = unpacked(client.post(f"{PREVIEW}?{query}", json={}).content)
        shown[query] = figures(about, "layout")["layout.row_length"]["shown"]

    assert shown["units=imperial"].endswith("ft")
    assert len(set(shown.values())) == 3 or shown["language=af"] == shown["units=metric"]
    assert client.post(f"{PREVIEW}?language=xx", json={}).status_code == 422


@pytest.mark.parametrize("key", ["block.boundary", "block.pits", "climate.weather"])
@pytest.mark.parametrize("file", ["../../../outside.csv", "/etc/passwd"])
def test_a_brief_reaches_no_file_outside_the_estate(
    client: TestClient, estate: Path, key: str, file: str
):
    (estate.parent / "outside.csv").write_text("secret,words\n1,2\n")

    answer = client.post(PREVIEW, json={"changes": {key: file}})

    assert answer.status_code == 422
    assert answer.json()["where"] == f"brief.toml: {key}"
    assert "secret" not in answer.text


def test_a_link_out_of_the_estate_is_not_followed(client: TestClient, estate: Path):
    outside = estate.parent / "outside.csv"
    outside.write_text("lon,lat\n20,-33\n20.002,-33\n20,-33.002\n")
    (estate / "blocks" / "onderveld" / "linked.csv").symlink_to(outside)

    answer = client.post(PREVIEW, json={"changes": {"block.boundary": "linked.csv"}})

    assert answer.status_code == 422
    assert "outside the estate" in answer.json()["detail"]


def test_a_file_that_changed_is_read_again(estate: Path):
    planner = Planner(EstateStore(estate))
    corners = estate / "blocks" / "onderveld" / "corners.csv"
    before = planner.site("onderveld").boundary.area
    lines = corners.read_text().splitlines()
    corners.write_text("\n".join(lines[:-1]) + "\n")

    after = planner.site("onderveld").boundary.area

    assert after != before


def test_going_back_to_an_earlier_wish_runs_no_stage_again(
    estate: Path, monkeypatch: pytest.MonkeyPatch
):
    planner = Planner(EstateStore(estate))
    ran: list[str] = []

    def counting(*args, **kwargs):
        return make_plan(*args, **{**kwargs, "check": lambda stage, _: ran.append(stage)})

    monkeypatch.setattr("aanplant.server.planning.make_plan", counting)
    wishes = [{"rows.headland": 8}, {"rows.headland": 9}, {"rows.headland": 8}]
    for wish in wishes:
        ran.clear()
        planner.preview("onderveld", wish, page="", until="layout")

    assert ran == []


def test_no_thread_plans_on_after_the_planner_is_closed(estate: Path):
    planner = Planner(EstateStore(estate))
    planner.warm("kiepersol")

    planner.close()

    assert not [one for one in threading.enumerate() if one.name.startswith("warm")]
    with pytest.raises(Cancelled):
        planner.preview("kiepersol", {}, page="", until="layout")


def test_a_later_question_of_the_same_page_overtakes_an_earlier_one(
    estate: Path, monkeypatch: pytest.MonkeyPatch
):
    planner = Planner(EstateStore(estate))
    begun, go_on = threading.Event(), threading.Event()
    ends: list[str] = []

    def slow(*args, **kwargs):
        if threading.current_thread().name == "earlier":
            begun.set()
            go_on.wait(20)
        return make_plan(*args, **kwargs)

    monkeypatch.setattr("aanplant.server.planning.make_plan", slow)

    def question() -> None:
        try:
            planner.preview("onderveld", {"vines.row_width": "4 m"}, page="one", until="layout")
            ends.append("done")
        except (Cancelled, InputError) as error:
            ends.append(type(error).__name__)

    earlier = threading.Thread(target=question, name="earlier")
    earlier.start()
    begun.wait(20)
    planner.preview("onderveld", {}, page="two", until="site")
    planner.preview("onderveld", {}, page="one", until="site")
    go_on.set()
    earlier.join(20)

    assert ends == ["Cancelled"]


def test_the_header_of_a_preview_is_what_the_description_says(client: TestClient):
    asked = {"until": "layout", "changes": FIXED, "tables": ["bearings"]}

    about, _ = unpacked(client.post(PREVIEW, json=asked).content)

    told = PreviewAboutShape.model_validate(about)
    assert told.stages["layout"].figures
    assert told.grid.fit.first


def test_a_server_that_plans_ahead_answers_from_the_plan_it_began_with(estate, monkeypatch):
    """Whoever asks while that is under way waits for it, and nothing is laid out twice."""
    made: list[Plan] = []

    def noted(*given: Any, **asked: Any) -> Plan:
        made.append(make_plan(*given, **asked))
        return made[-1]

    monkeypatch.setattr(planning, "make_plan", noted)
    app = create_app(estate, groups=(), write_plan=lambda *_: (), plans_ahead=True)

    with TestClient(app, base_url=HOME) as client:
        answer = client.post(HILL, json={"until": "layout", "layers": ["rows"]})

    assert answer.status_code == 200
    ahead, asked_for = made
    assert asked_for.layout is ahead.layout
