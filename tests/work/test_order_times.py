"""By when each thing is ordered: worked back from its work, judged on a day that is named."""

import dataclasses
from datetime import date
from decimal import Decimal

import pytest

from aanplant import tables
from aanplant.files import open_block, read_inputs
from aanplant.inputs import PriceLine
from aanplant.plan import make_plan
from aanplant.work.nursery_dates import order_dates
from aanplant.work.order_times import TABLE, latest_orders, lead_row, order_day
from aanplant.work.tasks import UNBOOKED
from tests.work.test_by_hand import EXAMPLE


@pytest.fixture(scope="module")
def made():
    block = open_block(EXAMPLE)
    return make_plan(block.brief, read_inputs(block))


def test_every_line_of_the_order_has_its_date(made):
    assert [one.item for one in made.planting.orders] == [line.item for line in made.work.orders]
    for one in made.planting.orders:
        assert one.latest is not None
        assert one.latest <= one.needed
        assert one.lead_weeks > 0


def test_the_latest_day_lies_the_whole_lead_time_before():
    assert order_day(date(2027, 8, 1), 8) == date(2027, 6, 6)
    assert order_day(date(2027, 8, 1), 0.5) == date(2027, 7, 28)


def test_an_item_takes_the_row_of_its_longest_family():
    assert lead_row("line-post-softwood-75-100-2.4")["item"] == "line-post"
    assert lead_row("strut-block")["item"] == "strut-block"
    with pytest.raises(ValueError, match="unheard-of"):
        lead_row("unheard-of")


@pytest.mark.published(
    source="vines asked for 12 to 18 months ahead, common practice, no source",
    quantity="months from the order of vines to planting",
    unit="months",
)
def test_vines_are_ordered_no_later_than_the_nursery_order_says(published, made):
    orders = latest_orders(made.brief, made.work.orders, made.inputs.prices, UNBOOKED)
    (vine,) = [one for one in orders if one.item == "vine"]
    months = (vine.needed - vine.latest).days / (365.25 / 12)

    published.equal(months, printed=12, tolerance=0.5)
    ordered = next(step for step in order_dates("2027-08") if step.step == "vines ordered")
    assert f"{vine.latest:%Y-%m}" == ordered.last


def test_the_estates_supplier_and_lead_time_go_before_the_tables(made):
    prices = (PriceLine("tie", "bag", Decimal(1), None, "", "An invented store", 10.0),)
    (tie,) = [
        one
        for one in latest_orders(made.brief, made.work.orders, prices, UNBOOKED)
        if one.item == "tie"
    ]

    assert (tie.supplier, tie.lead_weeks, tie.lead_from) == ("An invented store", 10.0, "prices")
    assert tie.latest == order_day(tie.needed, 10.0)


def test_a_thing_is_there_on_the_first_day_of_the_task_that_needs_it(made):
    starts = {item.task.id: item.start for item in made.calendar.booked}
    dated = [one for one in made.planting.orders if one.task]

    assert dated
    for one in dated:
        assert one.needed == starts[one.task]


def test_the_calendar_orders_materials_before_the_last_day_to_order_them(made):
    """Of what is ordered then: what comes before or is booked by itself has its own day."""
    by_task = {item.task.id: item for item in made.calendar.booked}
    ordered = by_task["order-materials"].start
    waiting = {name for name, item in by_task.items() if "order-materials" in dict(item.task.after)}
    dated = [one for one in made.planting.orders if one.task in waiting]

    assert {one.item for one in dated} >= {"pump", "peg", "guard", "dripper-line"}
    assert all(ordered <= one.latest for one in dated)


def test_every_task_that_needs_a_thing_is_one_of_the_calendars():
    known = {row["task"] for row in tables.rows("tasks.csv")}

    for row in tables.rows(TABLE):
        for task in row["task"].split():
            assert task in known or task.removesuffix("-1") in known


def judged(made, day):
    nursery = made.brief.nursery.model_copy(update={"as_of": day, "order_state": "not ordered"})
    schedule = made.brief.schedule.model_copy(update={"starts": "2025-05-01"})
    brief = made.brief.model_copy(update={"nursery": nursery, "schedule": schedule})
    return make_plan(brief, made.inputs, earlier=made).planting


def test_nothing_is_late_while_no_day_is_named(made):
    planting = judged(made, "")

    assert not any(one.is_late for one in planting.orders)
    assert not any(one.message.startswith("ordering") for one in planting.findings)


def test_what_is_late_on_a_named_day_is_said_with_what_comes_next(made):
    planting = judged(made, "2027-06-01")
    late = {one.item for one in planting.orders if one.is_late}

    assert late == {one.item for one in planting.orders if one.latest < date(2027, 6, 1)}
    assert "vine" in late
    messages = {one.message: one for one in planting.findings}
    assert messages["ordering.late"].values["count"] == len(late)
    assert "ordering.next" in messages


def test_nothing_is_judged_by_the_clock(made):
    again = make_plan(made.brief, dataclasses.replace(made.inputs))

    assert again.planting.orders == made.planting.orders


def test_materials_are_paid_in_the_month_they_must_be_there(made):
    needed = {one.item: one.needed for one in made.planting.orders}
    lines = [line for line in made.money.lines if line.id.startswith("material.")]

    assert lines
    for line in lines:
        assert line.month == f"{needed[line.id.removeprefix('material.')]:%Y-%m}"


def test_the_day_sheets_begin_each_delivery_when_the_calendar_plants_it(made):
    by_number = {one.number: one for one in made.calendar.deliveries}

    for number, delivery in by_number.items():
        first = min(
            day.date
            for day in made.planting.days
            if any(part.delivery == number for part in day.parts)
        )
        assert first == delivery.planted_from
