"""What the materials cost."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from aanplant.errors import InputError
from aanplant.inputs import PriceLine
from aanplant.work.cost_lines import cost_lines
from aanplant.work.quantities import OrderLine
from tests.files.plans import planned


def order(item="peg", *, unit="each", pack="bundle", pack_size=100.0, packs=3, kg_per_unit=0.0):
    quantity = packs * pack_size
    return OrderLine(item, item, unit, quantity, quantity, pack, pack_size, packs, kg_per_unit)


def price(text, unit="each", item="peg"):
    return PriceLine(item, unit, Decimal(text), None)


@pytest.mark.parametrize(
    ("unit", "text", "cost"),
    [("each", "9.80", "2940.00"), ("bundle", "950.00", "2850.00")],
)
def test_a_price_is_for_a_piece_or_for_a_pack(unit, text, cost):
    (line,), missing = cost_lines([order()], [price(text, unit)])

    assert line.cost == Decimal(cost)
    assert missing == ()


def test_wire_may_be_priced_by_its_mass():
    wire = order("wire", unit="m", pack="coil", pack_size=648.0, packs=2, kg_per_unit=0.0385)

    (line,), _ = cost_lines([wire], [price("21.35", "kg", "wire")])

    assert line.quantity == Decimal("49.896")
    assert line.cost == Decimal("1065.28")


def test_a_price_for_a_piece_counts_pieces_though_the_pack_has_the_same_name():
    anchors = order("anchor", pack="each", pack_size=10.0, packs=5)

    (line,), _ = cost_lines([anchors], [price("165.00", item="anchor")])

    assert line.quantity == 50
    assert line.cost == Decimal("8250.00")


@pytest.mark.parametrize(
    ("text", "cost"), [("0.005", "0.02"), ("0.00167", "0.01"), ("0.00166", "0.00"), ("0", "0.00")]
)
def test_a_cost_is_rounded_to_the_cent_and_half_a_cent_up(text, cost):
    (line,), _ = cost_lines([order(pack_size=1.0)], [price(text)])

    assert str(line.cost) == cost


@given(st.integers(0, 100_000), st.decimals(0, 10_000, places=2))
def test_money_is_exact(pieces, piece_price):
    (line,), _ = cost_lines(
        [order(pack_size=1.0, packs=pieces)], [PriceLine("peg", "each", piece_price, None)]
    )

    assert line.cost == piece_price * pieces


def test_what_has_no_price_is_named_and_costs_nothing_in_the_total():
    priced, missing = cost_lines(
        [order(), order("tie"), order("anchor")],
        [price("9.80"), PriceLine("tie", "each", None, Decimal(1000))],
    )

    assert [line.item for line in priced] == ["peg"]
    assert missing == ("tie", "anchor")


def test_a_price_for_a_unit_it_is_not_sold_in_is_refused():
    with pytest.raises(InputError, match=r'prices\.csv: peg: unit.*"each"'):
        cost_lines([order()], [price("9.80", "kg")])


def test_the_total_is_the_sum_of_the_lines_and_a_figure():
    plan = planned()

    total = plan.work.total

    assert total == sum(line.cost for line in plan.work.costs)
    assert plan.figures["work.budget.materials"].value == float(total)
    assert plan.figures["work.budget.materials"].unit == "ZAR"
    assert {line.item for line in plan.work.costs} | set(plan.work.unpriced) == {
        line.item for line in plan.work.orders
    }


def test_without_prices_the_cost_is_unknown_and_said_to_be():
    plan = planned(prices=False)

    assert plan.figures["work.budget.materials"].value == "unknown"
    assert "work.prices_missing" in {finding.message for finding in plan.findings}
