"""Planting day by day: the pace, the days, the soak and the waits, beside figures in print."""

import dataclasses
from datetime import date, timedelta
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from aanplant.brief import parse_brief
from aanplant.files import open_block, read_inputs
from aanplant.messages import sentence
from aanplant.plan import make_plan
from aanplant.work import plan_planting
from aanplant.work.lot_rows import LotRows, lot_borders, stretches
from aanplant.work.planting_day import Places
from aanplant.work.planting_days import people_by_job, plan_days
from aanplant.work.planting_pace import basin_pace, days_to_plant, pace_of, tanker_pace
from aanplant.work.roots_out import soak_times, warm_up_days
from aanplant.work.tasks import Delivery
from aanplant.working import Working
from tests.work.test_by_hand import EXAMPLE

SMALLEST = '[block]\nboundary = "b"\n[vines]\nrow_width = 2.5\nvine_spacing = 1.2\n'
WEEK = frozenset(range(5))


def asked(text="", more=""):
    return parse_brief(SMALLEST + "[planting]\n" + text + more, "brief.toml")


def paced(brief, vines=3000, *, sets=0, flow=4.6):
    return pace_of(
        brief,
        hours=9.0,
        sets=sets,
        vines=Working("layout.vines", vines, "vines", (), "arithmetic"),
        vine_flow=Working("water.vine_flow", flow, "L/h", (), "arithmetic"),
    )


def rows_of(*counts):
    """Lay out one piece of row for each count, as places in their order."""
    row = np.repeat(np.arange(1, len(counts) + 1), counts).astype(np.int32)
    number = np.concatenate([np.arange(1, count + 1) for count in counts]).astype(np.int32)
    return Places(row, np.ones_like(row), number, row - 1)


def delivered(counts, first=date(2027, 8, 2), apart=3):
    days = [first + timedelta(days=apart * at) for at in range(len(counts))]
    return tuple(
        Delivery(at, vines, day, day, day, day + timedelta(days=90))
        for at, (vines, day) in enumerate(zip(counts, days, strict=True), 1)
    )


def planned(brief, places, deliveries, *, days_off=frozenset(), set_of_piece={}):  # noqa: B006
    counts = tuple(delivery.vines for delivery in deliveries)
    total = len(places.row)
    return plan_days(
        brief,
        (LotRows("A", total, 0, total, counts),),
        deliveries,
        places,
        paced(brief, total),
        is_south=True,
        days_off=days_off,
        week_days=WEEK,
        set_of_piece=set_of_piece,
        set_flow_m3_h={0: total * 4.6 / 1000.0, 1: 30.0, 2: 12.0},
        vine_flow_lph=4.6,
    )


@pytest.mark.published(
    source="days = vines / (rate × workers), worked for 3000 vines, from memory",
    quantity="days of planting",
    unit="d",
)
def test_days_of_planting_as_reckoned_by_hand(published):
    published.equal(days_to_plant(3000, 150, 6), printed=4, tolerance=0.5, label="six workers")


@pytest.mark.published(
    source="a public diary of a vineyard planting: 300 vines, 15 people, 8 hours",
    quantity="days of planting",
    unit="d",
)
def test_fifteen_amateurs_plant_three_hundred_vines_in_a_day(published):
    days = days_to_plant(300, 20, 15)

    published.equal(days, printed=1, tolerance=0.5, label="fifteen amateurs")


@pytest.mark.published(
    source="a public diary of a vineyard planting: 1000 vines by a small towed planter in a day",
    quantity="vines planted in a day",
    unit="vines/d",
)
def test_the_towed_planter_does_no_less_than_was_reported(published):
    pace = paced(asked('method = "towed planter"\n'))

    published.equal(pace.low, printed=1000, tolerance=0.5, label="towed planter, low end")


@pytest.mark.published(
    source="South African soil preparation handbook: up to 1000 vines an hour by guided planter",
    quantity="vines planted in a day",
    unit="vines/d",
)
def test_the_guided_planter_stays_below_its_most_an_hour(published):
    pace = paced(asked('method = "guided planter"\n'))

    published.equal(pace.high / 9.0, printed=1000, tolerance=0.5, label="guided planter, an hour")


@pytest.mark.published(
    source="public planting guides (South Africa, United Kingdom, Slovakia): soak 24 h at most",
    quantity="longest soak of roots",
    unit="h",
)
def test_no_root_lies_in_water_for_more_than_a_day(published):
    brief = asked()
    soaks = soak_times(brief, paced(brief), date(2027, 8, 3), 900)

    longest = max((soak.until - soak.start).total_seconds() / 3600 for soak in soaks)
    published.equal(longest, printed=24, tolerance=0.05)


@pytest.mark.published(
    source="public planting guides (United States): 10 days out of the store for planting in April",
    quantity="days of warming up",
    unit="d",
)
def test_vines_warm_up_as_long_as_the_guide_has_it(published):
    days = warm_up_days(asked(), date(2028, 4, 10), is_south=False)

    published.equal(days, printed=10, tolerance=0.5, label="April, north")
    published.equal(
        warm_up_days(asked(), date(2027, 10, 10), is_south=True),
        printed=10,
        tolerance=0.5,
        label="October, south",
    )


def test_each_limit_sets_the_pace_when_it_is_the_least():
    crew = paced(asked(more="[work]\ncrew = 4\n"))
    basin = paced(asked("basin = 200\nleast_soak = 9\n", "[work]\ncrew = 4\n"))
    water = paced(asked(more='[first_season]\nby = "tanker"\ntrip_hours = 3\n[work]\ncrew = 30\n'))

    assert (crew.neck, crew.vines_per_day) == ("crew", 600)
    assert (basin.neck, basin.vines_per_day) == ("basin", 200)
    assert water.neck == "water"
    assert water.vines_per_day == water.water < water.crew


def test_a_basin_is_filled_again_where_a_soak_is_shorter_than_the_day():
    assert basin_pace(200, 9, 9) == 200
    assert basin_pace(200, 3, 9) == 600
    assert basin_pace(200, 24, 9) == 200


def test_a_tanker_waters_what_its_trips_leave_time_for():
    # 1000 vines a load at 3.6 s are an hour; with an hour to refill four and a half loads fit.
    assert tanker_pace(5.0, 5000.0, 1.0, 3.6, 9.0) == 4500


@given(
    counts=st.lists(st.integers(1, 150), min_size=1, max_size=40),
    crew=st.integers(1, 12),
    batches=st.integers(1, 5),
    stop=st.sampled_from([0.0, 0.1, 0.5]),
)
@settings(max_examples=60)
def test_every_vine_has_its_day_and_no_day_is_above_the_pace(counts, crew, batches, stop):
    brief = asked(f"stop_at_row_end = {stop}\n", f"[work]\ncrew = {crew}\n")
    places = rows_of(*counts)
    total = len(places.row)
    parts = [total // batches + (at < total % batches) for at in range(batches)]
    days = planned(brief, places, delivered([part for part in parts if part]))

    pace = paced(brief, total).vines_per_day
    assert sum(day.vines for day in days) == total
    assert all(0 < day.vines <= pace for day in days)
    assert all(day.date.weekday() in WEEK for day in days)
    assert [day.date for day in days] == sorted({day.date for day in days})
    planted = [
        (one.row, number)
        for day in days
        for one in day.stretches
        for number in range(one.first, one.last + 1)
    ]
    assert planted == list(zip(places.row.tolist(), places.number.tolist(), strict=True))


@given(counts=st.lists(st.integers(1, 150), min_size=1, max_size=40), crew=st.integers(1, 12))
@settings(max_examples=60)
def test_a_delivery_takes_no_more_days_than_its_pace_does(counts, crew):
    brief = asked("stop_at_row_end = 0.3\n", f"[work]\ncrew = {crew}\n")
    places = rows_of(*counts)
    total = len(places.row)
    days = planned(brief, places, delivered([total]))

    assert len(days) == days_to_plant(total, paced(brief, total).vines_per_day, 1)


@given(
    hours=st.floats(1.0, 16.0),
    soaking=st.floats(0.5, 48.0),
    least=st.floats(0.0, 24.0),
    method=st.sampled_from(["spade", "towed planter"]),
)
def test_no_root_waits_longer_than_it_may_soak(hours, soaking, least, method):
    brief = asked(
        f'least_soak = {least}\nmethod = "{method}"\n', f"[nursery]\nsoaking = {soaking}\n"
    )
    pace = dataclasses.replace(paced(brief), hours=hours)
    soaks = soak_times(brief, pace, date(2027, 8, 4), 1234)

    assert sum(soak.vines for soak in soaks) == 1234
    for soak in soaks:
        assert soak.start <= soak.plant_from <= soak.until
        assert (soak.until - soak.start).total_seconds() / 3600 <= soaking + 1e-6
        assert soak.until <= soak.latest + timedelta(seconds=1)
    for one, other in pairwise(soaks):
        assert one.until == other.plant_from


def test_nobody_plants_on_a_day_off_and_nobody_before_the_vines_come():
    brief = asked(more="[work]\ncrew = 2\n")
    off = frozenset({date(2027, 8, 3)})
    days = planned(brief, rows_of(300, 300), delivered([300, 300], apart=9), days_off=off)

    assert [day.date.isoformat() for day in days] == ["2027-08-02", "2027-08-11"]
    off = frozenset({date(2027, 8, 2)})
    days = planned(brief, rows_of(300, 300), delivered([300, 300], apart=9), days_off=off)
    assert days[0].date == date(2027, 8, 3)


def test_a_day_ends_at_a_row_end_that_is_near():
    brief = asked("stop_at_row_end = 0.1\n", "[work]\ncrew = 2\n")
    days = planned(brief, rows_of(280, 280, 100), delivered([660]))

    assert [day.vines for day in days] == [280, 280, 100]
    assert all(one.is_whole for day in days for one in day.stretches)


def test_holes_are_made_a_day_ahead_for_the_rows_of_that_day():
    brief = asked(more="[work]\ncrew = 2\n")
    first, second = planned(brief, rows_of(300, 200), delivered([500]))

    assert first.holes_next == second.stretches
    assert first.holes_for == second.date
    assert second.holes_next == ()
    assert second.holes_for is None


def test_vines_without_a_store_wait_from_the_lorry_on_and_the_plan_says_so():
    brief = asked('keep = "none"\nlongest_out = 48\n', "[work]\ncrew = 2\n")
    days = planned(brief, rows_of(300, 300, 300, 300), delivered([1200]))

    # Four days of 300: the last vine is planted 3 × 24 + 9 hours after the lorry came.
    assert [day.wait_h for day in days] == [9.0, 33.0, 57.0, 81.0]
    assert days[-1].roots_until.isoformat() == "2027-08-04T07:00:00"


def test_a_set_pumps_for_all_its_rows_each_day_it_runs():
    # Two rows of 100 vines, one in each set; 5 L at 4.6 L/h run 5 / 4.6 h.
    brief = asked("rate = 50\n", "[work]\ncrew = 1\n")
    days = planned(brief, rows_of(100, 100), delivered((200,)), set_of_piece={0: 1, 1: 2})

    hours = 5.0 / 4.6
    assert [day.vines for day in days] == [50, 50, 50, 50]
    assert [day.water_m3 for day in days] == pytest.approx([0.25] * 4)
    assert [day.pumped_m3 for day in days] == pytest.approx(
        [hours * 30.0, hours * 30.0, hours * 12.0, hours * 12.0]
    )


def test_what_a_tanker_brings_is_what_the_vines_get():
    brief = asked("", '[first_season]\nby = "tanker"\n')
    days = planned(brief, rows_of(900), delivered((900,)))

    assert sum(day.pumped_m3 for day in days) == pytest.approx(900 * 5.0 / 1000.0)


def test_people_are_shared_out_over_the_jobs():
    assert people_by_job("spade", 8) == (("hole", 3), ("plant", 3), ("carry", 1), ("water", 1))
    for crew in range(1, 40):
        assert sum(people for _, people in people_by_job("auger", crew)) == crew


@given(
    rows=st.lists(st.integers(1, 60), min_size=1, max_size=30),
    shares=st.lists(st.integers(1, 1000), min_size=1, max_size=5),
    whole=st.booleans(),
)
def test_the_lots_fill_all_places_once(rows, shares, whole):
    row = np.repeat(np.arange(len(rows)), rows).astype(np.int32)
    counts = [max(1, -(-len(row) * share // sum(shares)) + 1) for share in shares]

    borders = lot_borders(counts, row, whole_rows=whole)

    assert (borders[0], borders[-1]) == (0, len(row))
    assert list(borders) == sorted(borders)
    if whole:
        assert all(border in {0, *np.cumsum(rows).tolist()} for border in borders)


def test_a_stretch_says_whether_it_is_all_of_its_row():
    places = rows_of(3, 4)

    named = stretches(1, 7, row=places.row, part=places.part, number=places.number)

    assert [(one.row, one.first, one.last, one.is_whole) for one in named] == [
        (1, 2, 3, False),
        (2, 1, 4, True),
    ]


@pytest.fixture(scope="module")
def made():
    block = open_block(EXAMPLE)
    return make_plan(block.brief, read_inputs(block))


def test_the_example_plants_all_its_vines_within_pace_and_wait(made):
    planting = made.planting

    assert sum(day.vines for day in planting.days) == made.figures.value("layout.vines")
    assert max(day.vines for day in planting.days) <= planting.pace.vines_per_day
    assert max(day.wait_h for day in planting.days) <= made.brief.planting.longest_out
    assert sum(lot.planted for lot in planting.lots) == len(planting.places.row)
    assert made.figures.value("work.planting_days") == len(planting.days)
    litres = made.brief.water.at_planting * sum(day.vines for day in planting.days)
    assert sum(day.water_m3 for day in planting.days) == pytest.approx(litres / 1000)
    sets = made.water.system.system.sets
    runs = [run for day in planting.days for run in day.set_runs]
    pumped = sum(hours * sets.flow_m3_s[number - 1] * 3600.0 for number, hours in runs)
    assert made.figures.value("work.planting_pumped") == pytest.approx(pumped)
    told = [one.message for one in planting.findings]
    assert "planting.pumped" in told
    assert "planting.pumped_outside" in told


@pytest.mark.parametrize(
    ("section", "changes", "finding"),
    [
        ("planting", {"basin": 300}, "planting.neck_basin"),
        ("planting", {"method": "water jet"}, "planting.soil_heavy"),
        ("planting", {"method": "guided planter"}, "planting.rows_short"),
        ("planting", {"method": "auger", "machines": 1}, None),
        ("planting", {"longest_out": 12.0}, "planting.soak_too_long"),
        ("planting", {"least_soak": 24.0}, None),
        ("nursery", {"soaking": 2.0}, "planting.soak_short"),
        (
            "first_season",
            {"by": "tanker", "trip_hours": 3.0, "tanker": 1000.0},
            "planting.neck_tanker",
        ),
    ],
)
def test_what_would_go_wrong_is_said(made, section, changes, finding):
    part = getattr(made.brief, section).model_copy(update=changes)
    brief = made.brief.model_copy(update={section: part})
    plan = make_plan(brief, made.inputs, earlier=made)

    messages = {one.message for one in plan.planting.findings}
    assert finding is None or finding in messages
    for one in plan.planting.findings:
        assert "{" not in sentence(one)
    assert sum(day.vines for day in plan.planting.days) == plan.figures.value("layout.vines")


def test_vines_that_nothing_keeps_come_in_deliveries_that_can_be_planted(made):
    part = made.brief.planting.model_copy(update={"keep": "none"})
    schedule = made.brief.schedule.model_copy(update={"planting_weeks": 20.0})
    brief = made.brief.model_copy(update={"planting": part, "schedule": schedule})
    plan = make_plan(brief, made.inputs, earlier=made)

    assert plan.planting.days == ()
    assert all(one.latest is None for one in plan.planting.orders)
    freed = {
        str(one.values["what"]): one.values["count"]
        for one in plan.findings
        if one.message == "calendar.frees"
    }
    count = freed["words:calendar_frees.deliveries"]

    part = made.brief.nursery.model_copy(update={"deliveries": count})
    plan = make_plan(brief.model_copy(update={"nursery": part}), made.inputs, earlier=plan)

    assert sum(day.vines for day in plan.planting.days) == plan.figures.value("layout.vines")
    assert max(day.wait_h for day in plan.planting.days) <= brief.planting.longest_out


def test_days_lie_between_delivery_and_the_last_day_the_vines_keep(made):
    deliveries = {delivery.number: delivery for delivery in made.calendar.deliveries}

    assert sum(delivery.vines for delivery in deliveries.values()) == made.work.nursery.vines
    for day in made.planting.days:
        assert day.date not in made.calendar.days_off
        for part in day.parts:
            delivery = deliveries[part.delivery]
            assert delivery.planted_from <= day.date <= delivery.keeps_until
            assert day.out_of_store is None or day.out_of_store >= delivery.arrives


def test_a_pace_below_the_calendars_is_said(made):
    late = made.calendar.deliveries[0].planted_from
    calendar = dataclasses.replace(
        made.calendar,
        deliveries=tuple(
            dataclasses.replace(one, planted_by=late) for one in made.calendar.deliveries
        ),
    )
    planting = plan_planting(
        made.brief, made.inputs, made.site, made.layout, made.trellis, made.water, made.work,
        calendar,
    )  # fmt: skip

    assert "planting.after_calendar" in {one.message for one in planting.findings}


def test_without_a_month_of_planting_there_are_no_days_and_no_rounds(made):
    work = made.brief.work.model_copy(update={"planting": ""})
    plan = make_plan(made.brief.model_copy(update={"work": work}), made.inputs, earlier=made)

    assert plan.planting.days == ()
    assert plan.planting.rounds == ()
    assert all(one.latest is None for one in plan.planting.orders)
