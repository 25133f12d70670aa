"""The figures of a calendar: its hours, its days, and how good it is known to be."""

from collections.abc import Iterator
from datetime import date, timedelta

from aanplant.brief import Brief
from aanplant.site import Site
from aanplant.work.finish_chance import chance_by
from aanplant.work.listed import GATE, base_of, planting_span
from aanplant.work.tasks import Booked, Calendar
from aanplant.working import Input, Working

PRACTICE = "practice"


def calendar_figures(
    brief: Brief, site: Site, calendar: Calendar, begins: date
) -> tuple[Working, ...]:
    """Return the figures of a calendar that is booked.

    Parameters
    ----------
    brief : Brief
        When planting is wanted.
    site : Site
        Its window of planting.
    calendar : Calendar
        As it is booked.
    begins : date
        Day from which the search counts its days.
    """
    return tuple(_made(brief, site, calendar, begins))


def _made(brief: Brief, site: Site, calendar: Calendar, begins: date) -> Iterator[Working]:
    if not calendar.booked:
        return
    planting = brief.as_input("work.planting")
    yield Working(
        "work.calendar.begins", calendar.booked[0].start.isoformat(), "",
        (planting, brief.as_input("schedule.months_before")), PRACTICE,
    )  # fmt: skip
    gate = booked_as(calendar, GATE)
    if gate is not None:
        count = Input("waits_for", len(gate.task.after), "", "measured")
        yield Working("work.calendar.gate", gate.start.isoformat(), "", (count,), PRACTICE)
    last = planted_by(calendar)
    if last is None:
        return
    weeks = brief.as_input("schedule.planting_weeks")
    days = Input("deliveries", len(calendar.deliveries), "", "measured")
    yield Working(
        "work.calendar.planted", last.isoformat(), "", (planting, weeks, days), "arithmetic"
    )
    if calendar.objective_days is not None and calendar.bound_days is not None:
        soonest = begins + timedelta(days=round(calendar.bound_days) - 1)
        parts = (
            Input("objective", calendar.objective_days, "d", "measured"),
            Input("bound", calendar.bound_days, "d", "measured"),
        )
        yield Working("work.calendar.bound", soonest.isoformat(), "", (parts[1],), "arithmetic")
        yield Working(
            "work.calendar.gap",
            100.0 * (calendar.objective_days - calendar.bound_days) / calendar.objective_days,
            "%",
            parts,
            "arithmetic",
        )
    span = planting_span(brief)
    chance = chance_by(calendar.chance, span[1]) if span else None
    if chance is not None:
        yield Working(
            "work.calendar.chance", 100.0 * chance, "%",
            (brief.as_input("schedule.simulated"), brief.as_input("schedule.seed"), weeks),
            PRACTICE,
        )  # fmt: skip

    closes = window_closes(brief, site)
    fit = chance_by(calendar.chance, closes) if closes else None
    if closes is not None and fit is not None:
        yield Working(
            "work.calendar.chance_window", 100.0 * fit, "%",
            (
                brief.as_input("schedule.simulated"),
                brief.as_input("schedule.seed"),
                Input("closes", closes.isoformat(), "", "measured"),
            ),
            PRACTICE,
        )  # fmt: skip


def window_closes(brief: Brief, site: Site) -> date | None:
    """Last day fit for planting, in the season of the month of planting; None where unknown."""
    if site.climate is None or not brief.work.planting:
        return None
    window = site.climate.record.planting.window
    if window.days <= 0:
        return None
    year, month = (int(part) for part in brief.work.planting.split("-"))
    runs_over = window.opens > window.closes and f"{month:02d}" > window.closes[:2]
    return date.fromisoformat(f"{year + runs_over}-{window.closes}")


def booked_as(calendar: Calendar, task: str) -> Booked | None:
    """Return a task with its days, None where it isn't booked."""
    return next((item for item in calendar.booked if item.task.id == task), None)


def planted_by(calendar: Calendar) -> date | None:
    """Last day of planting; None where none is booked."""
    ends = [item.end for item in calendar.booked if base_of(item.task.id) == "plant"]
    return max(ends, default=None)
