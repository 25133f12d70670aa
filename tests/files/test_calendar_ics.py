"""The calendar of work as an iCalendar file, read back by the library and by hand."""

import dataclasses
import re
from datetime import date, timedelta

import icalendar

from aanplant.files.calendar_ics import entries, write_calendar_ics
from tests.files.plans import HOSTILE_BLOCK, HOSTILE_ESTATE, MADE, planned
from tests.report.test_plan_report import example
from tests.work.calendars import GATE, calendar


def with_calendar(**changes):
    plan = planned()
    return dataclasses.replace(plan, results={**plan.results, "calendar": calendar(**changes)})


def written(plan, folder, name="calendar.ics"):
    path = folder / name
    write_calendar_ics(plan, path, made=MADE)
    return path.read_bytes()


def unfolded(data):
    """Lines of RFC 5545, section 3.1, by no code but this: CRLF, and a space that goes on."""
    assert data.endswith(b"\r\n")
    return data.decode().replace("\r\n ", "").split("\r\n")[:-1]


def events_by_hand(data):
    """Names and texts of every event, as section 3.6.1 has them."""
    text = "\n".join(unfolded(data))
    parts = re.findall(r"BEGIN:VEVENT\n(.*?)\nEND:VEVENT", text, re.DOTALL)
    return [dict(line.split(":", 1) for line in part.split("\n")) for part in parts]


def read_back(data):
    return list(icalendar.Calendar.from_ical(data).walk("VEVENT"))


def day_of(text):
    return date(int(text[:4]), int(text[4:6]), int(text[6:]))


def test_every_task_and_delivery_stands_on_its_days(tmp_path):
    plan = with_calendar()
    data = written(plan, tmp_path)
    spans = [(event["DTSTART"].dt, event["DTEND"].dt) for event in read_back(data)]
    by_hand = [(day_of(event["DTSTART;VALUE=DATE"]), day_of(event["DTEND;VALUE=DATE"]))
               for event in events_by_hand(data)]  # fmt: skip
    day = timedelta(days=1)

    tasks = [(item.start, item.end + day) for item in plan.calendar.booked]
    arrivals = [(one.arrives, one.arrives + day) for one in plan.calendar.deliveries]
    assert sorted(spans) == sorted([*tasks, *arrivals])
    assert by_hand == spans


def test_every_event_has_what_the_standard_demands_and_an_id_of_its_own(tmp_path):
    events = events_by_hand(written(with_calendar(), tmp_path))
    ids = [event["UID"] for event in events]

    assert len(set(ids)) == len(ids)
    assert {event["DTSTAMP"] for event in events} == {"20270304T050607Z"}
    assert all(event["TRANSP"] == "TRANSPARENT" for event in events)


def test_lines_are_folded_at_75_octets_and_end_in_both_line_ends(tmp_path):
    lines = written(with_calendar(), tmp_path).split(b"\r\n")

    assert max(len(line) for line in lines) <= 75
    assert not any(b"\n" in line or b"\r" in line for line in lines)


def test_the_same_plan_gives_the_same_bytes(tmp_path):
    first = written(with_calendar(), tmp_path, "a.ics")

    assert written(with_calendar(), tmp_path, "b.ics") == first


def test_a_task_that_moves_keeps_its_id(tmp_path):
    plan = with_calendar()
    later = tuple(dataclasses.replace(item, end=item.end + timedelta(days=1))
                  for item in plan.calendar.booked)  # fmt: skip
    moved = dataclasses.replace(
        plan,
        results={**plan.results, "calendar": dataclasses.replace(plan.calendar, booked=later)},
    )
    before, after = (read_back(written(one, tmp_path)) for one in (plan, moved))

    assert sorted(event["UID"] for event in before) == sorted(event["UID"] for event in after)


def test_names_hold_the_block_and_texts_what_was_written(tmp_path):
    events = read_back(written(with_calendar(), tmp_path))
    stones = next(event for event in events if event["SUMMARY"].startswith("carry off"))

    assert stones["SUMMARY"] == f"carry off, <all> & every; stone ({HOSTILE_BLOCK})"
    assert HOSTILE_ESTATE in stones["DESCRIPTION"]
    assert stones.categories == ["Preparation"]


def test_a_description_tells_crew_machine_what_comes_before_and_what_waits(tmp_path):
    events = read_back(written(with_calendar(), tmp_path))
    fence = next(event for event in events if event["SUMMARY"].startswith("put up the fence"))

    assert fence["DESCRIPTION"].splitlines()[1:] == [
        "How much: 3 ha",
        "Crew: fencers, 90 h of work",
        "Machine: post driver, 12 h",
        "Must be done before: soil analysis at the laboratory (14 days before)",
        "Needs: soil that isn't wet",
        "The vines stay in the store until this is done.",
        "May slip 3 days before anything behind it does.",
    ]


def test_the_gate_and_each_delivery_are_events():
    found = {entry.id: entry for entry in entries(with_calendar(), "metric")}

    assert found["task/gate"].first == GATE
    assert found["task/gate"].lines[0] == "From this day the vines may leave the store."
    assert (
        found["delivery/2"].lines[0] == "5\u202f000 vines, planted from 9 Aug 2027 to 13 Aug 2027."
    )


def test_the_example_has_its_rounds_and_the_last_days_to_order():
    plan = example()
    found = entries(plan, "metric")
    rounds = [entry for entry in found if entry.id.startswith("round/")]
    orders = [entry for entry in found if entry.id.startswith("order/")]

    spans = sorted((entry.first, entry.last) for entry in rounds)
    assert spans == sorted((one.first, one.last) for one in plan.planting.rounds)
    assert {entry.first for entry in orders} == {one.latest for one in plan.planting.orders}
    assert len({entry.id for entry in found}) == len(found)
    assert sum(len(entry.lines) for entry in orders) >= len(plan.planting.orders)


def test_without_a_month_of_planting_the_file_holds_no_task():
    assert not entries(planned(), "metric")


def test_vines_that_come_on_the_day_of_planting_are_not_told_by_days_below_none(tmp_path):
    plan = with_calendar(deliveries=1)
    made = plan.results["calendar"]
    items = tuple(
        dataclasses.replace(item, task=dataclasses.replace(item.task, after=(("receive-1", -1),)))
        if item.task.id == "plant-1"
        else item
        for item in made.booked
    )
    changed = {**plan.results, "calendar": dataclasses.replace(made, booked=items)}
    text = unfolded(written(dataclasses.replace(plan, results=changed), tmp_path))

    assert not any("-1 day" in line for line in text)
    assert any("receive vines\\, delivery 1 (the same day will do)" in line for line in text)
