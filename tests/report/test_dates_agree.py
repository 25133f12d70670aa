"""The days of planting, on every paper that tells them: none says another day than the rest."""

from datetime import UTC, datetime, timedelta
from itertools import pairwise

import icalendar
import pytest
from pypdf import PdfReader

from aanplant.files.calendar_ics import write_calendar_ics
from aanplant.messages import show_date
from aanplant.report.day_sheets import write_day_sheets
from aanplant.report.key_dates import key_dates
from aanplant.report.work_chapters import work_chapters
from tests.report.test_plan_report import example

MADE = datetime(2026, 4, 20, tzinfo=UTC)
BLOCKS = ("kiepersol", "onderveld")


def days_of(plan, delivery):
    return [
        day
        for day in plan.planting.days
        if any(part.delivery == delivery.number for part in day.parts)
    ]


@pytest.mark.parametrize("block", BLOCKS)
def test_each_delivery_is_planted_between_the_calendars_days(block):
    plan = example(block)
    booked = {item.task.id: item for item in plan.calendar.booked}

    for delivery in plan.calendar.deliveries:
        task, days = booked[f"plant-{delivery.number}"], days_of(plan, delivery)
        assert (task.start, task.end) == (delivery.planted_from, delivery.planted_by)
        assert days[0].date == task.start
        assert days[-1].usual == task.end
        assert all(day.date <= day.usual <= task.end for day in days)
        assert all(one.date < other.date for one, other in pairwise(days))
        assert all(one.usual < other.usual for one, other in pairwise(days))


@pytest.mark.parametrize("block", BLOCKS)
def test_the_first_page_the_figures_and_the_chapters_tell_the_calendars_last_day(block):
    plan = example(block)
    last = max(one.planted_by for one in plan.calendar.deliveries)
    dry = plan.planting.days[-1].date

    told = " ".join(key_dates(plan))
    chapters = {one.key: one for one in work_chapters(plan, MADE, "metric")}

    assert plan.figures["work.calendar.planted"].value == last.isoformat()
    for text in (told, chapters["planting"].paragraphs[0]):
        assert show_date(plan.planting.days[0].date) in text
        assert show_date(last) in text
        assert show_date(dry) in text
        assert ("usual lost days" in text) == (dry != last)
    for finding in plan.findings:
        if finding.message in {"calendar.proved", "calendar.near"}:
            assert finding.values["planted"] == last.isoformat()
        if finding.message == "planting.ends_late":
            assert finding.values["last"] == last.isoformat()


@pytest.mark.parametrize("block", BLOCKS)
def test_the_day_sheets_bear_both_days_where_they_differ(block, tmp_path):
    plan = example(block)
    write_day_sheets(plan, tmp_path / "days.pdf", made=MADE)
    pages = [
        " ".join(page.extract_text().split()) for page in PdfReader(tmp_path / "days.pdf").pages
    ]
    heads = [page for page in pages if "Day sheet of planting day" in page]

    assert len(heads) == len(plan.planting.days)
    for page, day in zip(heads, plan.planting.days, strict=True):
        assert show_date(day.date) in page
        assert ("With the usual lost days" in page) == (day.date != day.usual)
        assert show_date(day.usual) in page


@pytest.mark.parametrize("block", BLOCKS)
def test_the_diary_has_the_calendars_days(block, tmp_path):
    plan = example(block)
    write_calendar_ics(plan, tmp_path / "calendar.ics", made=MADE)
    diary = icalendar.Calendar.from_ical((tmp_path / "calendar.ics").read_bytes())
    spans = {(event["DTSTART"].dt, event["DTEND"].dt) for event in diary.walk("VEVENT")}

    for delivery in plan.calendar.deliveries:
        end = delivery.planted_by + timedelta(days=1)
        assert (delivery.planted_from, end) in spans
        assert (delivery.arrives, delivery.arrives + timedelta(days=1)) in spans
