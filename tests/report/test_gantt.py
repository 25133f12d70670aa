"""The drawing of the calendar of work, and that of the aftercare."""

import re
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pypdf import PdfReader

from aanplant.report.aftercare_chart import aftercare_chart
from aanplant.report.calendar_sheet import write_aftercare_svg, write_calendar
from aanplant.report.gantt import full_months, gantt, grouped
from aanplant.report.gantt_strips import Workforce, day_of_chance, week_hours, worked_days
from aanplant.report.paper import Box
from aanplant.report.time_axis import days_in, time_axis
from aanplant.work.tasks import UNBOOKED
from aanplant.workforce import Crew, Labour, WorkCalendar
from tests.report import blocks
from tests.report.test_plan_report import example
from tests.work.calendars import calendar

MADE = date(2026, 1, 5)
CREW = Workforce((Crew(name="planters", people=6),), Labour(), WorkCalendar())
AREA = Box(90.0, 40.0, 190.0, 100.0)
DAYS = st.dates(date(2024, 1, 1), date(2031, 12, 31))


def drawn(**changes):
    return gantt(calendar(**changes), CREW, heading="Lowquince · Kiepersol", made=MADE)


def texts(drawing):
    return re.findall(r"<text[^>]*>([^<]*)</text>", drawing.svg(alone=False))


@given(first=DAYS, length=st.integers(0, 1200), full=st.sets(st.tuples(
    st.integers(2024, 2033), st.integers(1, 12))))  # fmt: skip
def test_days_follow_one_another_from_side_to_side(first, length, full):
    last = first + timedelta(days=length)
    axis = time_axis(AREA, first, last, full)
    days = [first + timedelta(days=number) for number in range(0, length + 1, 13)]
    places = [axis.at(day) for day in days]

    assert places == sorted(set(places))
    assert AREA.x <= places[0]
    assert axis.after(last) <= AREA.right + 1e-9


def test_a_full_month_is_four_times_as_wide_as_a_quiet_one():
    axis = time_axis(AREA, date(2026, 1, 1), date(2027, 12, 31), {(2027, 8)})
    wide = {stretch.month: stretch.right - stretch.left for stretch in axis.stretches}

    assert wide[2027, 8] == pytest.approx(4.0 * wide[2027, 7])
    assert days_in((2028, 2)) == 29


def test_where_most_months_are_full_all_are_alike():
    axis = time_axis(AREA, date(2027, 7, 1), date(2027, 8, 31), {(2027, 7), (2027, 8)})

    assert not any(stretch.is_wide for stretch in axis.stretches)


def test_a_month_between_two_full_ones_is_full():
    months = full_months(example().calendar)

    assert all((2027, month) in months for month in (2, 3, 4))


def test_every_task_has_a_row_in_its_stage_and_its_dates():
    told = texts(drawn())

    for name in ("Ground", "put up the fence", "plant, delivery 2", "fencers", "5 Jul–9 Jul"):
        assert name in told
    assert told.index("Ground") < told.index("soil analysis at the laboratory")
    assert "carry off, &lt;all&gt; &amp; every; stone" in told
    assert "gate, 2 Aug 2027" in told


def test_tight_tasks_floats_gate_and_deliveries_have_marks_of_their_own():
    svg, plan = drawn().svg(alone=False), calendar()
    worked = [item for item in plan.booked if item.task.is_worked and not item.float_days]

    assert svg.count('class="tight"') == len(worked)
    slipping = sum(1 for item in plan.booked if item.float_days)
    assert svg.count('class="float"') == slipping + 1  # and one in the key
    assert svg.count('class="delivery"') == len(plan.deliveries) + 1
    assert svg.count('class="gate"') == 2
    assert svg.count('class="chance"') == 1


def test_many_deliveries_share_the_rows_of_their_tasks():
    rows = grouped(calendar(deliveries=9))["planting"]

    assert [row.name for row in rows if len(row.items) == 9] == [
        "receive vines, delivery 1–9", "plant, delivery 1–9"
    ]  # fmt: skip


def test_the_chance_is_marked_on_the_first_day_it_is_reached():
    plan = calendar()
    last = plan.deliveries[-1].planted_by

    assert day_of_chance(plan, 0.5) == last + timedelta(days=3)
    assert "50\u202f% by 16 Aug 2027" in texts(drawn())


def test_the_hours_of_a_week_add_up_to_those_of_the_tasks():
    plan = calendar()
    weeks = week_hours(plan, "planters", WorkCalendar())
    hours = sum(item.task.person_hours for item in plan.booked if item.task.crew == "planters")

    assert sum(weeks.values()) == pytest.approx(hours)
    assert weeks[date(2027, 8, 9)] == pytest.approx(200.0)


def test_nobody_works_on_a_day_off_or_at_the_week_end():
    plan = calendar()
    planting = next(item for item in plan.booked if item.task.id == "plant-2")

    assert date(2027, 8, 9) not in worked_days(planting, plan.days_off, WorkCalendar())


def test_nothing_booked_is_nothing_to_draw():
    with pytest.raises(ValueError, match="nothing is booked"):
        gantt(UNBOOKED, CREW, heading="", made=MADE)


def test_every_round_of_aftercare_is_drawn_on_its_row():
    rounds = example().planting.rounds
    told = texts(aftercare_chart(rounds, heading="x", made=MADE))

    assert "open the mounds" in told
    assert "season 3" in told
    assert len({one.id for one in rounds}) == sum(1 for text in told if text.endswith(" h"))


def test_the_pdf_holds_both_drawings_and_each_svg_one(tmp_path):
    for name in ("calendar.pdf", "calendar.svg"):
        write_calendar(example(), tmp_path / name, made=blocks.MADE)
    write_aftercare_svg(example(), tmp_path / "aftercare.svg", made=blocks.MADE)
    pages = PdfReader(tmp_path / "calendar.pdf").pages

    assert len(pages) == 2
    assert "string and strain wires" in pages[0].extract_text()
    assert "@font-face" in (tmp_path / "calendar.svg").read_text()
    assert "look over every vine" in (tmp_path / "aftercare.svg").read_text()
