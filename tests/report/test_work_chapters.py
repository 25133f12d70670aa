"""The report's chapters on work, its tables, and the dates of its first page."""

import dataclasses
from datetime import UTC, datetime

import pytest

from aanplant.report.key_dates import first_crop, key_dates
from aanplant.report.work_chapters import work_chapters
from aanplant.report.work_tables import day_table, order_table, round_table, task_table
from tests.files.plans import planned
from tests.report.test_plan_report import example
from tests.work.calendars import calendar

MADE = datetime(2026, 1, 5, tzinfo=UTC)


def chapters(plan):
    return {one.key: one for one in work_chapters(plan, MADE, "metric")}


def numbers(cells):
    return [float(cell.replace("\u202f", "")) for cell in cells if cell not in {"–", ""}]


def test_the_calendar_tells_the_gate_the_chance_and_what_has_no_day_to_spare():
    plan = planned()
    plan = dataclasses.replace(plan, results={**plan.results, "calendar": calendar()})
    told = " ".join(chapters(plan)["calendar"].paragraphs)

    assert "9 tasks stand between 2 Mar 2026 and 13 Aug 2027, with 514 h" in told
    assert "No vine leaves the store before 2 Aug 2027" in told
    assert "signed for by one person: put up the fence." in told
    assert "by 16 Aug 2027 in half of the years, and by 21 Aug 2027 in nine of ten" in told
    assert "carry off, <all> & every; stone, gate" in told
    assert "delays what follows it." in told


def test_every_task_has_its_line_and_each_month_is_named_once():
    made = calendar()
    table = task_table(made)
    months = [row[0] for row in table.rows if row[0]]

    assert len(table.rows) == len(made.booked)
    assert months == ["Mar 2026", "Jul 2027", "Aug 2027"]
    assert ["put up the fence", "5 Jul–9 Jul", "fencers", "90", "post driver, 12 h", "3"] in [
        list(row[1:]) for row in table.rows
    ]  # fmt: skip


def test_the_days_of_planting_hold_all_vines_of_the_block():
    plan = example()
    table = day_table(plan.planting.days, "metric")

    vines = table.heads.index("vines")
    assert sum(numbers(row[vines] for row in table.rows)) == plan.figures.value("layout.vines")


def test_the_hours_of_the_rounds_add_up_by_season_and_by_round():
    rounds = example().planting.rounds
    rows = round_table(rounds).rows

    assert numbers(rows[-1][-1:]) == [pytest.approx(sum(one.person_hours for one in rounds), abs=1)]
    for row in rows:
        assert sum(numbers(row[1:-1])) == pytest.approx(*numbers(row[-1:]), abs=len(rows))


def test_orders_stand_in_the_order_of_their_last_day():
    plan = example()
    dated = sorted(one.latest for one in plan.planting.orders if one.latest)
    rows = order_table(plan, "metric").rows

    assert len(rows) == len(dated)
    assert rows[0][0].removesuffix(", late") == f"{dated[0].day} {dated[0]:%b %Y}"


def test_without_a_month_of_planting_the_chapter_says_what_would_give_days():
    found = chapters(planned())

    assert "work.planting" in found["calendar"].missing[0]
    assert not any(one.plates or one.paragraphs for one in found.values())


def test_the_first_page_has_the_key_dates():
    plan = example()
    told = " ".join(key_dates(plan))
    days = plan.planting.days

    assert "Work begins on" in told
    assert "The nursery has confirmed the order of vines." in told
    assert f"to {days[-1].usual.day} {days[-1].usual:%b %Y}" in told


def test_an_order_that_nobody_confirmed_has_its_last_day():
    plan = example()
    nursery = plan.brief.nursery.model_copy(update={"order_state": "asked"})
    brief = plan.brief.model_copy(update={"nursery": nursery})

    told = " ".join(key_dates(dataclasses.replace(plan, brief=brief)))

    assert "The vines must be ordered by" in told


def test_vines_planted_in_spring_bear_in_the_year_after_their_leaf():
    for plan, harvest in ((example(), 2028), (example("onderveld"), 2028)):
        shares = plan.brief.trellis.yield_by_year
        year = next(number for number, share in enumerate(shares) if share)

        assert first_crop(plan) == (harvest + year, shares[year])
    assert first_crop(planned()) is None
