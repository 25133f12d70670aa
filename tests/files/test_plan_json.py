"""plan.json: the same bytes for the same plan, and read back by a plain JSON reader and ours."""

import json
from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from aanplant import __version__, messages
from aanplant.errors import InputError
from aanplant.files.plan_json import (
    plain,
    plan_document,
    plan_json,
    read_plan_json,
    write_plan_json,
)
from tests.files.plans import HOSTILE_BLOCK, MADE, PRICES, planned


@pytest.fixture(scope="module")
def document():
    return json.loads(plan_json(planned(), made=MADE))


@pytest.fixture
def path(tmp_path):
    path = tmp_path / "plan.json"
    write_plan_json(planned(), path, made=MADE)
    return path


def changed(path, **fields):
    content = json.loads(path.read_text(encoding="utf-8"))
    path.write_text(json.dumps({**content, **fields}), encoding="utf-8")
    return path


def test_it_says_what_it_is_when_it_was_made_by_what_and_of_what(document):
    assert document["format"] == "aanplant-plan/1"
    assert document["made"] == "2027-03-04T05:06:07Z"
    assert document["engine"] == __version__
    assert document["inputs"] == {"boundary.gpx": "ab" * 32}
    assert document["block"] == HOSTILE_BLOCK
    assert document["grid"] == {"code": "EPSG:2048", "name": "Hartebeesthoek94 / Lo19"}


def test_the_brief_holds_every_key_and_each_default_its_source(document):
    assert document["brief"]["vines"]["row_width"] == 2.5
    assert document["brief"]["rows"]["headland"] == 8.0
    assert document["defaults"]["rows.headland"]["text"]
    assert document["defaults"]["water.emitter.flow"]["certainty"] in {"practice", "memory"}
    assert "vines.row_width" not in document["defaults"]
    assert "rows.bearing" not in document["defaults"]


def test_every_figure_carries_its_working_in_words_and_numbers(document):
    plan = planned()

    figures = {figure["key"]: figure for figure in document["figures"]}

    assert list(figures) == list(plan.figures.keys())
    vines = figures["stock.order_quantity"]
    assert vines["value"] == plan.figures["stock.order_quantity"].value
    assert vines["label"] == messages.label(plan.figures["stock.order_quantity"])
    assert "loss_fraction" in vines["formula"]
    assert {item["name"] for item in vines["inputs"]} == {
        "vines", "loss_fraction", "assurance", "batch_correlation", "batches",
    }  # fmt: skip
    assert vines["source"]["certainty"] == "published"


def test_findings_hold_their_sentence_and_what_it_was_made_of(document):
    findings = document["findings"]

    assert [finding["text"] for finding in findings] == [
        messages.sentence(finding) for finding in planned().findings
    ]
    assert {"stage", "level", "message", "values", "figure", "source", "place"} == (
        set(findings[0]) - {"text"}
    )


def test_money_is_text_and_the_tables_agree_with_the_plan(document):
    plan = planned()
    tables = document["tables"]

    assert [Decimal(line["cost"]) for line in tables["costs"]] == [
        line.cost for line in plan.work.costs
    ]
    assert tables["costs"][0]["price"] == str(PRICES[0].price)
    assert sum(row["vines"] for row in tables["rows"]) == len(plan.layout.positions)
    assert [line["item"] for line in tables["orders"]] == [line.item for line in plan.work.orders]


def test_bearings_compared_are_a_table_when_the_bearing_was_to_be_chosen():
    plan = planned(choose=True)

    bearings = plan_document(plan, made=MADE)["tables"]["bearings"]

    assert plan.layout.sweep is not None
    assert [line["vines"] for line in bearings] == plan.layout.sweep.vines.tolist()
    assert {"bearing_deg", "row_ends", "machine_time_h"} <= set(bearings[0])


def test_a_plan_that_stopped_early_has_the_tables_of_the_stages_that_ran():
    tables = plan_document(planned(until="layout"), made=MADE)["tables"]

    assert {"rows", "sunlight"} <= set(tables)
    assert "orders" not in tables


def test_the_same_plan_gives_the_same_bytes_but_for_the_time_it_was_made():
    text = plan_json(planned(), made=MADE)
    planned.cache_clear()
    again = plan_json(planned(), made=MADE.replace(year=2028))

    assert text != again
    assert text == again.replace('"made": "2028', '"made": "2027')


def test_keys_are_sorted_and_the_file_ends_with_a_line():
    text = plan_json(planned(), made=MADE)

    assert text == json.dumps(json.loads(text), ensure_ascii=False, indent=1, sort_keys=True) + "\n"


def test_a_time_without_its_zone_is_refused():
    with pytest.raises(ValueError, match="time zone"):
        plan_json(planned(), made=MADE.replace(tzinfo=None))


@given(st.floats(-1e300, 1e300))
def test_floats_keep_ten_significant_digits(number):
    written = plain(number)

    assert written == pytest.approx(number, rel=5.1e-10, abs=1e-320)
    assert plain(written) == written
    assert json.loads(json.dumps(written)) == float(f"{number:.10g}")


@pytest.mark.parametrize(
    "value", [float("nan"), float("inf"), np.float64("nan"), Decimal("NaN"), [1.0, float("-inf")]]
)
def test_what_is_no_finite_number_is_refused(value):
    with pytest.raises(ValueError, match="cannot hold"):
        plain(value)


def test_numbers_of_arrays_and_money_become_plain():
    value = {"a": np.int64(3), "b": Decimal("1E+2"), "c": np.array([0.5]), "d": -0.0, "e": (True,)}

    assert json.dumps(plain(value)) == '{"a": 3, "b": "100", "c": [0.5], "d": 0.0, "e": [true]}'


def test_a_kind_no_plan_holds_is_refused():
    with pytest.raises(TypeError, match="set"):
        plain({1, 2})


def test_what_is_read_is_what_was_written(path):
    plan = planned()

    record = read_plan_json(path)

    assert record.made == MADE
    assert record.brief == plain(plan.brief.canonical())
    assert record.figures.keys() == plan.figures.keys()
    assert plain(record.figures["layout.vines"].value) == len(plan.layout.positions)
    assert [figure.source for figure in record.figures] == [
        figure.source for figure in plan.figures
    ]
    assert [[item.name for item in figure.inputs] for figure in record.figures] == [
        [item.name for item in figure.inputs] for figure in plan.figures
    ]
    assert [finding.message for finding in record.findings] == [
        finding.message for finding in plan.findings
    ]
    assert [messages.label(figure) for figure in record.figures] == [
        messages.label(figure) for figure in plan.figures
    ]
    assert len(record.tables["orders"]) == len(plan.work.orders)


def test_fields_of_a_later_version_are_left_aside(path):
    record = read_plan_json(changed(path, soil={"depth_m": 1.2}, engine="99.0"))

    assert record.engine == "99.0"
    assert not hasattr(record, "soil")


@pytest.mark.parametrize("found", ["aanplant-plan/2", "another", None])
def test_another_format_is_refused(path, found):
    with pytest.raises(InputError, match="aanplant-plan/1"):
        read_plan_json(changed(path, format=found))


@pytest.mark.parametrize(
    "text", ["", "[]", "3", "{", '{"format": "aanplant-plan/1"}', "\ufeff{}", "[" * 100_000]
)
def test_what_is_no_plan_is_refused_in_plain_words(path, text):
    path.write_text(text, encoding="utf-8")

    with pytest.raises(InputError, match=r"plan\.json"):
        read_plan_json(path)


@pytest.mark.parametrize(
    "fields", [{"figures": [{}]}, {"figures": 3}, {"made": "yesterday"}, {"tables": []}]
)
def test_a_damaged_plan_is_refused(path, fields):
    with pytest.raises(InputError, match=r"plan\.json"):
        read_plan_json(changed(path, **fields))
