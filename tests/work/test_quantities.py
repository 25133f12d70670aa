"""Quantities to order, with waste and whole packs."""

import math
from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from aanplant import tables
from aanplant.inputs import PriceLine
from aanplant.plan import make_plan
from aanplant.stock.spares import order_quantity
from aanplant.trellis.wire_strength import mass_g_per_m
from aanplant.work.quantities import packs_for
from tests.files.plans import planned


def orders_of(plan):
    return {line.item: line for line in plan.work.orders}


def with_prices(*prices):
    plan = planned()
    return make_plan(plan.brief, replace(plan.inputs, prices=prices), earlier=plan)


def pack_of(item, unit, size):
    return PriceLine(item, unit, Decimal(1), Decimal(size))


@given(st.floats(0.0, 1e6), st.floats(0.01, 1e4))
def test_packs_hold_the_quantity_and_one_fewer_does_not(quantity, pack_size):
    packs = packs_for(quantity, pack_size)

    assert packs * pack_size >= quantity - 2e-9 * pack_size
    assert packs == 0 or (packs - 1) * pack_size < quantity


@pytest.mark.parametrize(
    ("quantity", "pack_size", "packs"),
    [
        (0.0, 25, 0),
        (1.0, 25, 1),
        (25.0, 25, 1),
        (25.01, 25, 2),
        (3 * 0.1, 0.1, 3),
        (300 * 1.1, 110, 3),
    ],
)
def test_the_last_bits_of_a_float_do_not_open_another_pack(quantity, pack_size, packs):
    assert packs_for(quantity, pack_size) == packs


def test_what_stands_in_the_field_is_needed():
    plan = planned()
    positions, orders = plan.layout.positions, orders_of(plan)

    needed = {item: line.needed for item, line in orders.items()}

    assert needed["vine"] == needed["peg"] == needed["guard"] == len(positions)
    assert needed["tie"] == 3 * len(positions)
    line_posts = sum(count for item, count in needed.items() if item.startswith("line-post-"))
    assert line_posts == len(positions.line_posts_xy)
    assert needed["end-post-softwood-125-3"] == len(positions.end_posts_xy)
    assert needed["anchor-helix-200"] == len(plan.layout.anchors_xy)
    assert needed["dripper-line"] == pytest.approx(positions.row_length_m.sum())


def test_wire_of_one_size_is_ordered_together_with_its_tails():
    plan = planned()
    ends, length_m = (
        len(plan.layout.positions.end_posts_xy),
        plan.layout.positions.row_length_m.sum(),
    )

    wires = {line.item for line in plan.trellis.wires}
    wire_m = sum(line.needed for item, line in orders_of(plan).items() if item in wires)

    strands = sum(line.strands for line in plan.trellis.wires)
    assert wire_m == pytest.approx(strands * (length_m + ends * plan.brief.materials.wire_tail))


def test_vines_are_ordered_with_spares_and_the_rest_with_its_waste():
    plan = planned()
    waste = {row["item"]: float(row["waste_fraction"]) for row in tables.rows("materials.csv")}

    orders = orders_of(plan)

    vines = plan.brief.vines
    assert orders["vine"].with_waste == order_quantity(
        len(plan.layout.positions), vines.loss_fraction, vines.assurance
    )
    for item, line in orders.items():
        if item != "vine":
            family = max((name for name in waste if item.startswith(name)), key=len)
            assert line.with_waste == pytest.approx(line.needed * (1 + waste[family]))


def test_every_order_is_whole_packs_that_suffice_and_not_one_too_many():
    for line in orders_of(planned()).values():
        assert line.order == line.packs * line.pack_size
        assert line.order - line.pack_size < line.with_waste <= line.order + 1e-6


def test_a_coil_of_wire_is_25_kg_unless_the_price_list_says_otherwise():
    item = "wire-2.24-high-strain"

    by_table = orders_of(with_prices())[item]
    by_metres = orders_of(with_prices(pack_of(item, "coil", 1000)))[item]
    by_mass = orders_of(with_prices(pack_of(item, "kg", 50)))[item]

    metre_kg = mass_g_per_m(2.24) / 1000
    assert by_table.pack_size == math.floor(25 / metre_kg)
    assert by_metres.pack_size == 1000
    assert by_mass.pack_size == math.floor(50 / metre_kg)


def test_a_pack_of_the_price_list_is_ordered_whole_and_called_a_pack():
    line = orders_of(with_prices(pack_of("anchor-helix-200", "each", 10)))["anchor-helix-200"]

    assert (line.pack, line.pack_size) == ("pack", 10)
    assert line.order % 10 == 0


def test_what_is_not_wanted_is_not_ordered():
    plan = planned()
    materials = plan.brief.materials.model_copy(update={"guards": False, "ties_per_vine": 0})
    brief = plan.brief.model_copy(update={"materials": materials})

    orders = orders_of(make_plan(brief, plan.inputs, earlier=plan))

    assert not {"guard", "tie"} & set(orders)
    assert {"vine", "peg"} <= set(orders)


def test_every_order_line_unfolds_down_to_what_was_counted_or_asked():
    plan = planned()

    for line in plan.work.orders:
        origins = {
            item.origin.partition(":")[0]
            for _, working in plan.figures.unfold(f"work.order.{line.item}")
            for item in working.inputs
        }
        assert origins & {"measured", "brief", "default"}
        assert plan.figures[f"work.order.{line.item}"].value == line.order
