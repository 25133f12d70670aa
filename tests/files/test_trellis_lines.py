"""The lists of a trellis in plan.json, on straight rows and on contours."""

import json
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from aanplant.cli.vary import _varied
from aanplant.files import open_block, read_inputs
from aanplant.files.plan_json import plain
from aanplant.files.trellis_lines import trellis_tables
from aanplant.plan import make_plan
from tests.files.plans import planned

EXAMPLE = Path(__file__).parents[2] / "examples" / "lowquince" / "blocks" / "kiepersol"


@cache
def on_contours():
    block = open_block(EXAMPLE / "brief.toml")
    brief = _varied(block.brief, {"rows.course": "contour"})
    return make_plan(brief, read_inputs(block), until="trellis")


def test_every_piece_of_row_has_a_line_with_its_posts_and_its_worst_part():
    plan = planned()
    lines = trellis_tables(plan)["trellis_rows"]

    assert len(lines) == len(plan.trellis.rows)
    assert sum(line["line_posts"] for line in lines) == len(plan.layout.positions.line_posts_xy)
    assert sum(line["anchors"] for line in lines) == len(plan.layout.anchors_xy)
    for line in lines:
        uses = {key: value for key, value in line.items() if key.startswith("use_")}
        assert line["worst_use"] == max(uses.values())
        part = line["worst_part"].replace(" ", "_").replace("-", "_")
        assert uses[f"use_{part}"] == line["worst_use"]


def test_what_is_not_known_is_null_and_all_of_it_is_json():
    lines = trellis_tables(planned())

    assert {line["lift_n"] for line in lines["trellis_rows"]} == {None}
    assert {line["radius_m"] for line in lines["trellis_rows"]} == {None}
    json.dumps(plain(lines), allow_nan=False)


def test_every_wire_has_a_line_with_its_pulls():
    plan = planned()
    lines = trellis_tables(plan)["trellis_wires"]

    assert [line["wire"] for line in lines] == [wire.name for wire in plan.trellis.wires]
    cordon = lines[0]
    assert cordon["installed_n"] < cordon["cold_n"] < cordon["crop_n"] < cordon["break_n"]
    assert cordon["worst_case"] == "crop"


def test_wires_of_contour_rows_pull_their_posts_inward():
    plan = on_contours()
    rows, held = plan.trellis.rows, plan.trellis.holding
    worst = int(np.argmax(held.side_n))
    pull = max(held.states.row_pull_n("crop")[worst], held.states.row_pull_n("cold")[worst])

    assert rows.bend_share.max() > 0.0
    assert held.side_n[worst] == pytest.approx(pull * rows.bend_share[worst])
    # T s / R, s being the mean span at that post.
    assert rows.bend_share[worst] * rows.radius_m[worst] == pytest.approx(6.0, rel=0.35)
    assert plan.figures.value("trellis.side_load") == pytest.approx(held.side_n[worst])


def test_a_bend_lowers_the_wind_that_a_post_bears():
    plan = on_contours()
    rows, held = plan.trellis.rows, plan.trellis.holding
    alike = ~held.is_exposed & (np.abs(rows.bay_m - 6.0) < 0.01)

    bends = np.argsort(rows.bend_share[alike])
    wind = held.bending_gust_m_s[alike][bends]
    assert wind[-1] < wind[0]


def test_the_example_on_the_hillside_has_a_trellis_that_holds():
    block = open_block(EXAMPLE / "brief.toml")
    plan = make_plan(block.brief, read_inputs(block), until="trellis")

    assert not [f for f in plan.trellis.findings if f.level == "stop"]
    assert plan.trellis.holding.warmth.coldest_origin == "weather"
