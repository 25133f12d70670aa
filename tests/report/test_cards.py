"""The nursery's order and the cards: what stands on them, in any unit, name and hemisphere."""

import hashlib
import math
import re
import shutil
from pathlib import Path

import pytest
from pypdf import PdfReader

from aanplant.brief import Brief
from aanplant.files import open_block, read_inputs
from aanplant.files.plan_tables import plan_tables
from aanplant.inputs import Inputs, Outline
from aanplant.plan import make_plan
from aanplant.report.cards import PARTS, write_card
from aanplant.units import show_number
from tests.report import blocks
from tests.report.test_sheet import HOSTILE, text_of

EXAMPLE = Path(__file__).parents[2] / "examples" / "lowquince" / "blocks" / "kiepersol"


@pytest.fixture(scope="module")
def plan():
    block = open_block(EXAMPLE)
    return make_plan(block.brief, read_inputs(block))


def printed(plan, name, tmp_path, **options):
    path = tmp_path / f"{name}.pdf"
    write_card(plan, path, name, made=blocks.MADE, **options)
    return re.sub(r"\s+", " ", text_of(path)), len(PdfReader(path).pages)


def named(name, frame):
    ring = blocks.rectangle(90, 90)[[0, 1, 2, 3, 0]]
    brief = Brief.model_validate(
        {
            "block": {"name": name, "boundary": "b"},
            "vines": {"clone": name, "row_width": 2.5, "vine_spacing": 1.2},
            "nursery": {"name": name, "lots": [{"id": name, "certificate": name}]},
        }
    )
    return make_plan(brief, Inputs(Outline("b", "polygon", (frame.to_lonlat(ring),)), estate=name))


def test_the_order_counts_what_the_order_list_counts(plan, tmp_path):
    text, _ = printed(plan, "nursery-order", tmp_path)

    ordered = next(line.order for line in plan.work.orders if line.item == "vine")
    nursery = plan.work.nursery
    assert nursery.vines == ordered == sum(nursery.deliveries)
    assert len(nursery.kinds) == 2
    assert len(nursery.deliveries) == 3
    for kind in nursery.kinds:
        line = [kind.clone, kind.rootstock or "open"]
        line += [show_number(count) for count in (kind.vines, *kind.deliveries)]
        assert " ".join(line).replace("\u202f", " ") in text.replace("\u202f", " ")
    assert "Lots without a certificate: L2-2026" in text
    assert "Feb 2026" in text


def test_the_receiving_card_has_room_for_a_sample(plan, tmp_path):
    text, pages = printed(plan, "receiving-card", tmp_path)

    assert pages == 3
    for sampling in plan.work.samples.plans:
        numbers = (sampling.lot, sampling.sample, sampling.accept, sampling.accept + 1)
        line = " ".join(show_number(number) for number in numbers)
        assert line.replace("\u202f", " ") in text.replace("\u202f", " ")
    assert "ISO 2859-1, limit 1.0: from memory" in text
    assert "Roots never dry" in text
    assert "1 – 4 °C" in text
    assert "calliper, mm" in text
    assert "15 Aug" in text


def test_the_planting_card_tells_hole_union_water_and_mound(plan, tmp_path):
    text, pages = printed(plan, "planting-card", tmp_path)

    assert pages == 2
    assert "30 cm wide and 30 cm deep" in text
    assert "Union 9 cm above the soil today: 5 cm for good and 4 cm" in text
    assert "no sand" in text
    assert "5 L a vine" in text
    assert "Mounds opened again within 8 weeks" in text
    assert "Local code applies" in text


def test_the_cards_speak_inches_and_gallons_where_asked(plan, tmp_path):
    planting, _ = printed(plan, "planting-card", tmp_path, system="imperial")
    receiving, _ = printed(plan, "receiving-card", tmp_path, system="imperial")

    assert "11.8 in wide" in planting
    assert "US gal" in planting
    assert " cm" not in planting
    assert "34 – 39 °F" in receiving
    assert " mm" not in receiving


def test_plan_json_lists_the_order_its_deliveries_dates_and_lots(plan):
    tables = plan_tables(plan)

    ordered = plan.work.nursery.vines
    assert sum(kind["vines"] for kind in tables["nursery_kinds"]) == ordered
    assert {kind["order_state"] for kind in tables["nursery_kinds"]} == {"confirmed"}
    assert sum(delivery["vines"] for delivery in tables["deliveries"]) == ordered
    for delivery in tables["deliveries"]:
        assert delivery["sample"] > delivery["accept"] >= 0
        assert delivery["producer_risk"] <= 0.05
        assert delivery["consumer_risk"] <= 0.10 + 1e-9
        assert delivery["planting_days"] == math.ceil(delivery["vines"] / 1000)
    assert [date["step"] for date in tables["nursery_dates"]][-1] == "mounds opened"
    assert [(lot["id"], lot["state"]) for lot in tables["lots"]] == [
        ("L1-2026", "promised"),
        ("L2-2026", "promised"),
    ]
    assert {row["zone"] for row in tables["union_heights"]} >= {"P1", "P4"}
    assert tables["received"] == []


def test_the_estates_own_rootstocks_are_read_with_their_digest(tmp_path):
    shutil.copytree(EXAMPLE.parents[1], tmp_path / "estate")
    path = tmp_path / "estate" / "rootstocks.csv"
    path.write_text("rootstock,attribute,low,source\n99R,vigour,3,own\n", encoding="utf-8")

    inputs = read_inputs(open_block(tmp_path / "estate" / "blocks" / "kiepersol"))

    assert [fact.low for fact in inputs.rootstocks] == [3.0]
    assert inputs.files["rootstocks.csv"] == hashlib.sha256(path.read_bytes()).hexdigest()


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_name_is_only_ever_text(name, tmp_path):
    plan = named(name, blocks.NORTH)

    for paper in PARTS:
        text, pages = printed(plan, paper, tmp_path)
        assert pages >= 1
        if name.isascii() and len(name) < 20:
            assert name in text
        if paper == "receiving-card":
            assert "15 Feb" in text
            assert "15 Aug" not in text
