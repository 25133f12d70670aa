"""The calendar of a block: its gate, its days off, both hemispheres, and what frees it."""

import dataclasses
from datetime import date, timedelta
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from aanplant.brief import Brief
from aanplant.errors import InputError
from aanplant.files import open_block, read_inputs
from aanplant.plan import make_plan
from aanplant.work.norms import field_capacity
from aanplant.work.tasks import TASK_WORD
from aanplant.work.working_days import half_year_later, working_days
from aanplant.workforce import Crew, OwnTask, WorkCalendar

EXAMPLE = Path(__file__).parents[2] / "examples" / "lowquince" / "blocks"


@pytest.fixture(scope="module")
def block():
    return open_block(EXAMPLE / "kiepersol")


@pytest.fixture(scope="module")
def inputs(block):
    return read_inputs(block)


@pytest.fixture(scope="module")
def made(block, inputs):
    return make_plan(block.brief, inputs, until="calendar")


@pytest.fixture(scope="module")
def replanned(block, inputs, made):
    def plan(*, estate=None, **sections):
        data = block.brief.model_dump(exclude_unset=True)
        for section, keys in sections.items():
            data.setdefault(section, {}).update(keys)
        changed = dataclasses.replace(inputs, **(estate or {}))
        return make_plan(Brief.model_validate(data), changed, earlier=made, until="calendar")

    return plan


def booked(plan):
    return {item.task.id: item for item in plan.calendar.booked}


def messages(plan):
    return {finding.message for finding in plan.findings if finding.stage == "calendar"}


def test_every_task_has_days_and_waits_for_those_before_it(made):
    by_id = booked(made)

    assert made.calendar.status in {"optimal", "feasible"}
    assert set(by_id) == {task.id for task in made.calendar.tasks}
    for item in by_id.values():
        for name, lag in item.task.after:
            before = by_id[name]
            after = before.end + timedelta(days=1 if before.task.duration_days else 0)
            assert item.start >= after + timedelta(days=lag), (item.task.id, name)


def test_no_vine_leaves_the_store_before_the_gate_opens(made):
    by_id = booked(made)
    gates = [item for item in by_id.values() if item.task.is_gate]

    assert {item.task.id for item in gates} >= {
        "check-set-out", "settle-soil", "flush-laterals", "test-laterals", "fence",
        "guards-at-hand",
    }  # fmt: skip
    first = min(item.start for name, item in by_id.items() if name.startswith("receive"))
    assert all(item.end < first for item in gates)


def test_a_tanker_stands_in_for_laterals_that_do_not_deliver(replanned):
    plan = replanned(first_season={"by": "tanker"})

    by_id = booked(plan)
    assert "test-laterals" not in by_id
    assert by_id["book-tanker"].end < by_id["receive-1"].start


def test_nobody_works_on_holidays_shutdown_or_sundays(made):
    days_off = set(made.calendar.days_off)

    assert date(2026, 8, 10) in days_off  # Women's Day, a Sunday in 2026, is kept on the Monday
    assert date(2026, 12, 20) in days_off
    for item in made.calendar.booked:
        if item.task.is_worked:
            assert item.start not in days_off
            assert item.start.weekday() < 5


def test_a_crew_does_one_task_at_a_time(made):
    for crew in {item.task.crew for item in made.calendar.booked} - {""}:
        own = sorted(
            (item.start, item.end) for item in made.calendar.booked if item.task.crew == crew
        )
        assert all(end < start for (_, end), (start, _) in pairwise(own))


def test_vines_are_planted_while_the_store_keeps_them(made):
    deliveries = made.calendar.deliveries

    assert [one.vines for one in deliveries] == list(made.work.nursery.deliveries)
    for one in deliveries:
        assert one.arrives < one.planted_from <= one.planted_by <= one.keeps_until


def test_soil_is_loosened_half_a_year_later_in_the_north():
    northern = open_block(EXAMPLE / "onderveld")
    plan = make_plan(northern.brief, read_inputs(northern), until="calendar")

    assert plan.calendar.deliveries
    assert plan.calendar.deliveries[0].planted_from >= date(2028, 4, 1)
    assert half_year_later("02-01") == "08-01"
    assert half_year_later("05-31") == "11-30"


def test_a_crew_more_never_ends_the_planting_later(made, inputs, replanned):
    more = Crew(name="More planters", people=8)

    plan = replanned(estate={"crews": (*inputs.crews, more)})

    assert plan.calendar.objective_days <= made.calendar.objective_days


def found(plan, message):
    return [one for one in plan.findings if one.message == message]


def frees(plan):
    return {one.values["what"].rpartition(".")[2]: one for one in found(plan, "calendar.frees")}


def test_where_planting_is_late_what_frees_it_was_tried(replanned):
    plan = replanned(schedule={"planting_weeks": 3})

    assert plan.calendar.status == "late"
    assert "calendar.late" in messages(plan)
    tried = frees(plan)
    assert "two_crews" in tried
    assert "crew" not in tried
    assert date.fromisoformat(tried["two_crews"].values["planted"]) <= date(2027, 8, 21)


def test_the_weeks_that_a_late_planting_takes_are_enough_for_it(replanned):
    late = replanned(schedule={"planting_weeks": 3})
    weeks = frees(late)["window"].values["count"]

    plan = replanned(schedule={"planting_weeks": weeks})

    assert plan.calendar.status in {"optimal", "feasible"}
    assert "calendar.late" not in messages(plan)


def test_a_permission_that_takes_too_long_is_named_with_what_frees_it(replanned):
    plan = replanned(schedule={"months_before": 6})

    assert plan.calendar.status == "infeasible"
    assert plan.calendar.booked == ()
    (binds,) = found(plan, "calendar.binds_never")
    assert binds.values["chain"].startswith("words:task.get-permissions,task.clear-ground")
    (wait,) = found(plan, "calendar.frees_wait")
    assert wait.values["what"] == "words:task.get-permissions"
    months = frees(plan)["earlier"].values["count"]
    assert replanned(schedule={"months_before": 6 + months}).calendar.booked


def test_a_month_of_planting_that_frees_the_calendar_does_so(replanned):
    plan = replanned(nursery={"as_of": "2027-06-01"})

    month = frees(plan)["later"].values["month"][:7]
    moved = replanned(nursery={"as_of": "2027-06-01"}, work={"planting": month})
    assert moved.calendar.status in {"optimal", "feasible"}
    assert found(plan, "calendar.together")


def test_a_crew_that_is_elsewhere_binds_and_is_named(inputs, replanned):
    gone = (date(2027, 4, 1), date(2027, 7, 20))
    crews = tuple(crew.model_copy(update={"away": (gone,)}) for crew in inputs.crews)
    plan = replanned(estate={"crews": crews})

    assert plan.calendar.status == "late"
    assert "presence" in frees(plan)
    first, last = gone
    for item in plan.calendar.booked:
        if item.task.crew:
            assert item.end < first or item.start > last


def test_a_task_of_the_estates_own_that_binds_is_named(replanned):
    own = OwnTask(id="letter", name="a letter", days=20, earliest=date(2027, 9, 10),
                  before=("gate",))  # fmt: skip
    plan = replanned(estate={"own_tasks": (own,)})

    assert "own" in frees(plan)
    assert any("a letter" in str(one.values.get("own")) for one in plan.calendar.findings)


def test_where_nothing_frees_the_planting_that_is_said(replanned):
    plan = replanned(schedule={"planting_weeks": 1}, nursery={"planting_rate": 50})

    assert {"calendar.impossible", "calendar.nothing_frees"} <= messages(plan)
    assert plan.calendar.deliveries == ()


def test_what_is_left_begins_today_and_what_began_before_is_said_to_be_past(replanned):
    plan = replanned(nursery={"as_of": "2026-05-04"})
    assert min(item.start for item in plan.calendar.booked) >= date(2026, 5, 4)

    begun = replanned(nursery={"as_of": "2026-05-04"}, schedule={"starts": "2025-05-01"})
    (past,) = found(begun, "calendar.past")
    before = [item for item in begun.calendar.booked if item.start < date(2026, 5, 4)]
    assert past.values["count"] == len(before) > 0

    unsaid = replanned(nursery={"as_of": ""}, schedule={"starts": ""})
    assert "calendar.no_today" in messages(unsaid)


def test_without_a_store_whole_deliveries_cannot_wait(replanned):
    plan = replanned(planting={"keep": "none"})

    tried = {f.values["what"] for f in plan.findings if f.message == "calendar.frees"}
    assert "words:calendar_frees.store" in tried
    # What mends it is read beside what binds, not among the notes that only the report holds.
    assert {one.level for one in found(plan, "calendar.frees")} == {"care"}


def test_fumigation_is_a_licensed_task_with_its_wait_and_seedling_test(replanned):
    plan = replanned(schedule={"fumigation": True, "fumigation_wait": 6})

    by_id = booked(plan)
    assert by_id["test-seedlings"].task.is_gate
    assert (by_id["test-seedlings"].start - by_id["fumigate"].end).days > 6 * 7
    assert "calendar.fumigation" in messages(plan)
    assert not by_id["fumigate"].task.person_hours


def test_the_chance_grows_with_the_days_and_repeats_with_its_seed(made, replanned):
    chance = made.calendar.chance
    shares = [one.probability for one in chance]

    assert shares == sorted(shares)
    assert 0.0 < shares[0] <= shares[-1] <= 1.0
    assert replanned(schedule={"seed": 1}).calendar.chance == chance
    assert replanned(schedule={"seed": 2}).calendar.chance != chance


def test_no_run_ends_before_its_last_delivery_could_be_planted(made):
    # From the day the last delivery is planted on, in days of work without one lost.
    last = made.calendar.deliveries[-1]
    days = working_days(made.inputs.work_calendar, last.planted_from, 60)
    work = len(last.done_by)
    soonest = [days.day(at) for at in range(60) if days.is_worked[at]][work - 1]

    assert made.calendar.chance[0].day >= soonest


def test_the_chance_is_told_for_the_weeks_allowed_and_for_the_time_fit_for_planting(made):
    # The window closes on 18 August, and planting ends in September at best.
    assert made.figures.value("work.calendar.chance_window") == 0.0
    assert made.figures.value("work.calendar.chance") > 90.0
    (told,) = found(made, "calendar.chance_window")

    assert told.values["closes"] == "2027-08-18"
    assert told.level == "care"


def test_the_first_full_watering_follows_planting_within_a_week(made):
    by_id = booked(made)

    for number in range(1, len(made.calendar.deliveries) + 1):
        watered, planted = by_id[f"water-in-{number}"], by_id[f"plant-{number}"]
        assert watered.start > planted.end
        assert watered.float_days <= 7


def test_without_a_month_of_planting_tasks_have_hours_and_no_days(replanned):
    plan = replanned(work={"planting": ""})

    assert not plan.calendar.booked
    assert sum(task.person_hours for task in plan.calendar.tasks) > 100
    assert "calendar.no_month" in messages(plan)


def test_a_task_of_the_estates_own_is_booked_between_its_neighbours(replanned):
    own = OwnTask(id="pick-stones", hours=90, after=("level-ground",), before=("set-out",))

    by_id = booked(replanned(estate={"own_tasks": (own,)}))

    assert by_id["level-ground"].end < by_id["pick-stones"].start
    assert by_id["pick-stones"].end < by_id["set-out"].start


def test_every_task_has_a_name_for_people(made):
    from aanplant.files.calendar_tables import task_name

    names = [task_name(task) for task in made.calendar.tasks]

    assert not [name for name in names if name.startswith(TASK_WORD)]
    assert "plant, delivery 2" in names


@pytest.mark.published(
    source="effective field capacity in US units, C = S W E / 8.25 acres an hour, as farm "
    "machinery handbooks print it; from memory",
    quantity="work rate of a disc of 15 ft at 5 mph and 80 % efficiency", unit="acre/h",
)  # fmt: skip
def test_a_machines_work_rate_is_that_of_the_handbooks(published):
    acre_ha, foot_m, mile_km = 0.40468564, 0.3048, 1.609344

    rate = field_capacity(15 * foot_m, 5 * mile_km, 0.8) / acre_ha

    published.equal(rate, printed=7.27, tolerance=0.005)


def test_a_shutdown_of_the_whole_year_leaves_no_day_to_work_on():
    rules = WorkCalendar(shutdown=(("01-01", "12-31"),))

    with pytest.raises(InputError, match="no day to work on"):
        working_days(rules, date(2027, 1, 1), 400)


def test_holidays_are_those_of_the_country_named():
    days = working_days(WorkCalendar(holidays="ZA"), date(2027, 1, 1), 365)

    assert date(2027, 12, 16) in {day for day, _ in days.holidays}
    assert np.count_nonzero(days.is_worked) < 261
