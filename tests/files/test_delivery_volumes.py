"""Volumes caught at drippers: read from a table, judged beside the design."""

import dataclasses

import numpy as np
import pytest

from aanplant.errors import InputError
from aanplant.files.delivery_lines import delivery_tables
from aanplant.files.delivery_volumes import read_delivery_volumes
from aanplant.inputs import CaughtVolume
from aanplant.messages import sentence
from aanplant.plan import make_plan
from aanplant.report.pressure_map import pressure_map
from aanplant.water.delivery import places_of_sets
from tests.report import blocks
from tests.report.watered import little

HEAD = "set,row,vine,volume,seconds\n"


def read(tmp_path, text):
    path = tmp_path / "delivery-test.csv"
    path.write_text(text, encoding="utf-8")
    return read_delivery_volumes(path)


def measured(share):
    """Plan the little block with what its drippers gave, as a share of their design."""
    plan = little()
    made, numbers = plan.water.system, plan.layout.positions.number
    nodes = np.array([node for _, node in places_of_sets(made)])
    caught = tuple(
        CaughtVolume(
            "delivery-test.csv: line 2",
            1,
            made.row_of(node)[0],
            int(numbers[made.system.vine[node]]),
            float(made.emitter_flow_m3_s[node] * 1e6 * 360.0 * one),
            360.0,
        )
        for node, one in zip(nodes.tolist(), share(nodes, made), strict=True)
    )
    unique = {(one.row, one.vine): one for one in caught}
    inputs = dataclasses.replace(plan.inputs, delivery_test=tuple(unique.values()))
    return make_plan(plan.brief, inputs, earlier=plan, until="water")


def advice(plan):
    found = [one for one in plan.findings if one.message.startswith("delivery.")]
    return {one.message for one in found}, " ".join(map(sentence, found))


def test_a_table_of_volumes_is_read_line_by_line(tmp_path):
    found = read(tmp_path, "# invented\n" + HEAD + "1,12,3,205.5,360\n")

    assert found == (CaughtVolume("delivery-test.csv: line 3", 1, 12, 3, 205.5, 360.0),)


@pytest.mark.parametrize(
    ("text", "where", "told"),
    [
        ("set,row,vine,volume\n1,1,1,200\n", "delivery-test.csv", "no column 'seconds'"),
        (HEAD + "1,1,x,200,360\n", "line 2: vine", "'x'"),
        (HEAD + "1,1.5,1,200,360\n", "line 2: row", "whole number"),
        (HEAD + "1,1,1,-2,360\n", "line 2: volume", "-2 mL"),
        (HEAD + "1,1,1,200,0\n", "line 2: seconds", "above 0 s"),
        (HEAD + "1,1,1,200,360\n1,1,1,210,360\n", "line 3", "again"),
        (HEAD.replace("vine", "wine") + "1,1,1,200,360\n", "delivery-test.csv", "'wine'"),
    ],
)
def test_a_table_that_makes_no_sense_is_refused_by_its_line(tmp_path, text, where, told):
    with pytest.raises(InputError, match=told) as error:
        read(tmp_path, text)

    assert where in error.value.where


def test_a_system_that_gives_its_design_holds():
    plan = measured(lambda nodes, _: np.ones(len(nodes)))

    messages, text = advice(plan)

    assert "delivery.holds" in messages
    assert "delivery.below" not in messages
    assert plan.figures.value("water.delivery_mean.1") == pytest.approx(100.0)
    assert "uniformity" in text


def test_low_far_ends_point_to_pressure():
    def way_m(made, node):
        metres = 0.0
        while node > 0:
            metres, node = metres + made.system.length_m[node], made.system.parent[node]
        return metres

    def falling(nodes, made):
        far = np.array([way_m(made, node) for node in nodes])
        return 1.0 - 0.6 * far / far.max()

    plan = measured(falling)
    messages, text = advice(plan)

    assert plan.water.delivery[0].cause == "pressure"
    assert "delivery.below" in messages
    assert "farthest from the source" in text


def test_clogged_drippers_are_named_and_crossed_on_the_map():
    def two_clogged(nodes, _):
        share = np.ones(len(nodes))
        share[[0, 5, 9, 14]] = 0.3
        return share

    plan = measured(two_clogged)
    messages, text = advice(plan)
    svg = pressure_map(plan, made=blocks.MADE).svg(alone=False)
    table = delivery_tables(plan)["delivery_test"]

    assert plan.water.delivery[0].cause == "clogging"
    assert {"delivery.below", "delivery.worst"} <= messages
    assert "here and there" in text
    assert svg.count("measured") >= 4
    assert sum(line["is_far_from_design"] for line in table) == 4


def test_a_set_low_as_a_whole_points_to_its_supply():
    plan = measured(lambda nodes, _: np.full(len(nodes), 0.7))

    messages, _ = advice(plan)

    assert "delivery.supply" in messages
    assert plan.figures.value("water.delivery_mean.1") == pytest.approx(70.0)


@pytest.mark.parametrize(
    ("change", "told"),
    [({"set_number": 9}, "1 to 1"), ({"row": 999}, "a vine of the plan")],
)
def test_a_place_that_is_not_in_the_plan_is_refused(change, told):
    plan = measured(lambda nodes, _: np.ones(len(nodes)))
    wrong = dataclasses.replace(plan.inputs.delivery_test[0], **change)
    inputs = dataclasses.replace(plan.inputs, delivery_test=(wrong,))

    with pytest.raises(InputError, match=told):
        make_plan(plan.brief, inputs, earlier=plan, until="water")


def test_volumes_without_a_designed_system_are_refused():
    plan = measured(lambda nodes, _: np.ones(len(nodes)))
    inputs = dataclasses.replace(plan.inputs, water_source=None)

    with pytest.raises(InputError, match="designed system"):
        make_plan(plan.brief, inputs, earlier=plan, until="water")
