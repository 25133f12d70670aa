"""What the calendar has to say to the manager."""

from collections.abc import Iterator
from datetime import date, timedelta

from aanplant.brief import Brief
from aanplant.inputs import Inputs
from aanplant.messages import WORDS
from aanplant.site import Site
from aanplant.work.binding import Chain
from aanplant.work.calendar_figures import booked_as, planted_by, window_closes
from aanplant.work.finish_chance import chance_by
from aanplant.work.freeing import Late, Trial
from aanplant.work.listed import GATE, TaskList, base_of, first_day, planting_span
from aanplant.work.nursery_dates import months_before
from aanplant.work.tasks import TASK_WORD, Calendar
from aanplant.working import Finding, Value

MONTHS_LEAST = 24
"""Work on a block begins so many months before planting; common practice is 24 to 30."""
LIKELY = 0.8
"""A chance below this is a care (judgement)."""
TIMES = ("window", "earlier", "later", "wait")
"""Changes of the time there is, which are no limit of its own."""
OWN = "calendar_binds.own_tasks"
"""Stands for the estate's own tasks among the catalogue's words."""
_Values = dict[str, Value | tuple[Value, str]]


def calendar_advice(  # noqa: PLR0917 - one argument a stage, in the order of the job
    brief: Brief,
    inputs: Inputs,
    site: Site,
    tasks: TaskList,
    calendar: Calendar,
    late: Late | None,
) -> tuple[Finding, ...]:
    """Say when work begins and ends, what holds it back, and what it was reckoned by.

    Parameters
    ----------
    brief, inputs, site, tasks, calendar
        What was booked, and from what.
    late : Late or None
        What frees the planting, where it could not be booked in time.
    """
    found = []
    if not brief.work.planting:
        found.append(Finding("calendar", "note", "calendar.no_month"))
    elif late is not None:
        found += _late(brief, tasks, late)
    if calendar.booked:
        found += _booked(brief, calendar)
        found += _chances(brief, site, calendar)
        found += _today(brief, calendar)
        if not inputs.work_calendar.holidays:
            found.append(Finding("calendar", "note", "calendar.no_holidays", source="brief"))
    if brief.schedule.fumigation:
        weeks: _Values = {"weeks": brief.schedule.fumigation_wait or 0.0}
        found.append(Finding("calendar", "care", "calendar.fumigation", weeks))
    if any(one.source == "memory" for figure in tasks.figures for one in figure.inputs):
        found.append(
            Finding("calendar", "note", "calendar.norms", {}, "work.calendar.hours", "memory")
        )
    return tuple(found)


def _booked(brief: Brief, calendar: Calendar) -> Iterator[Finding]:
    start, span = first_day(brief), planting_span(brief)
    last, gate = planted_by(calendar), booked_as(calendar, GATE)
    if start is None or span is None or last is None:
        return
    values: _Values = {
        "begins": calendar.booked[0].start.isoformat(),
        "planted": last.isoformat(),
        "tasks": len(calendar.booked),
    }
    if calendar.objective_days == calendar.bound_days:
        yield Finding("calendar", "note", "calendar.proved", values, "work.calendar.planted")
    elif calendar.objective_days is not None and calendar.bound_days is not None:
        values["bound"] = (start + timedelta(days=round(calendar.bound_days) - 1)).isoformat()
        values["gap"] = (
            round(100.0 * (1.0 - calendar.bound_days / calendar.objective_days), 1), "%",
        )  # fmt: skip
        yield Finding("calendar", "note", "calendar.near", values, "work.calendar.gap")
    if gate is not None:
        yield Finding(
            "calendar", "note", "calendar.gate",
            {
                "gate": gate.start.isoformat(),
                "ready": WORDS + ",".join(f"{TASK_WORD}{name}" for name, _ in gate.task.after
                                          if not _is_own(calendar, name)),
            },
            "work.calendar.gate",
        )  # fmt: skip
    wanted = date.fromisoformat(f"{months_before(brief.work.planting, MONTHS_LEAST)}-01")
    # Where the day is given, what came before it may well be done.
    if start > wanted and not (brief.nursery.as_of or brief.schedule.starts):
        yield Finding(
            "calendar", "care", "calendar.begins_late",
            {"begins": start.isoformat(), "wanted": wanted.isoformat()}, "work.calendar.begins",
        )  # fmt: skip


def _is_own(calendar: Calendar, name: str) -> bool:
    item = booked_as(calendar, name)
    return item is not None and bool(item.task.name)


def _chances(brief: Brief, site: Site, calendar: Calendar) -> Iterator[Finding]:
    span = planting_span(brief)
    if span is None or calendar.status == "late":
        return
    chance = chance_by(calendar.chance, span[1])
    if chance is None:
        if site.climate is None:
            yield Finding("calendar", "note", "calendar.no_weather", source="brief")
        return
    values: _Values = {
        "chance": (round(100.0 * chance, 1), "%"),
        "last": span[1].isoformat(),
        "runs": brief.schedule.simulated,
        "seed": brief.schedule.seed,
    }
    if chance < LIKELY:
        yield Finding("calendar", "care", "calendar.chance_low", values, "work.calendar.chance")
    else:
        yield Finding("calendar", "note", "calendar.chance", values, "work.calendar.chance")
    closes = window_closes(brief, site)
    if closes is None or closes >= span[1]:
        return
    fit = chance_by(calendar.chance, closes) or 0.0
    if fit < LIKELY:
        values = {**values, "fit": (round(100.0 * fit, 1), "%"), "closes": closes.isoformat()}
        yield Finding("calendar", "care", "calendar.chance_window", values,
                      "work.calendar.chance_window")  # fmt: skip


def _today(brief: Brief, calendar: Calendar) -> Iterator[Finding]:
    """Say what stands before the day on which dates are judged, or that no such day is given."""
    today = brief.nursery.as_of
    if not today:
        if not brief.schedule.starts:
            values: _Values = {"begins": calendar.booked[0].start.isoformat()}
            yield Finding("calendar", "note", "calendar.no_today", values, source="brief")
        return
    past = [item for item in calendar.booked if item.start.isoformat() < today]
    if past:
        values = {"count": len(past), "today": today, "begins": past[0].start.isoformat()}
        yield Finding("calendar", "care", "calendar.past", values, source="brief")


def _late(brief: Brief, tasks: TaskList, late: Late) -> Iterator[Finding]:
    """Say that it can't be done in time, what binds, and what was tried and frees it."""
    span, start = planting_span(brief), first_day(brief)
    if span is None or start is None:
        return
    values: _Values = {"last": span[1].isoformat()}
    if late.planted_by is None:
        yield Finding("calendar", "care", "calendar.impossible", values)
    else:
        values["planted"] = late.planted_by.isoformat()
        yield Finding("calendar", "care", "calendar.late", values)
    if late.chain is not None:
        yield _binds(tasks, late.chain, start)
    elif bound := _bound(late):
        yield Finding("calendar", "care", "calendar.binds", bound)
    elif late.trials:
        yield Finding("calendar", "care", "calendar.binds_time", values)
    for trial in late.trials:
        yield _frees(brief, trial)
    if late.together:
        yield Finding("calendar", "care", "calendar.together", {**values, **_bound(late)})
    elif not late.trials:
        yield Finding("calendar", "care", "calendar.nothing_frees", values)


def _binds(tasks: TaskList, chain: Chain, start: date) -> Finding:
    """Name the tasks that take too long one after the other, whatever the crews."""
    names = {item.task.id: item.task.name for item in tasks.listed}
    told = [OWN if names[name] else f"{TASK_WORD}{base_of(name)}" for name in chain.jobs]
    values: _Values = {
        "chain": WORDS + ",".join(dict.fromkeys(told)),
        "own": ", ".join(names[name] for name in chain.jobs if names[name]),
        "latest": (start + timedelta(days=chain.latest - 1)).isoformat(),
    }
    if chain.end is None:
        return Finding("calendar", "care", "calendar.binds_never", values)
    values["soonest"] = (start + timedelta(days=chain.end - 1)).isoformat()
    return Finding("calendar", "care", "calendar.binds_chain", values)


def _bound(late: Late) -> _Values:
    """Name the limits in the way: each that frees by itself, or all that free together."""
    alone = [f"calendar_binds.{one.limit}" for one in late.trials if one.limit not in TIMES]
    names = [f"calendar_binds.{name}" for name in late.together] or alone
    return {"what": WORDS + ",".join(dict.fromkeys(names))} if names else {}


def _frees(brief: Brief, trial: Trial) -> Finding:
    values: _Values = {
        "what": f"{WORDS}calendar_frees.{trial.limit}",
        "planted": trial.planted_by.isoformat(),
        "count": trial.count,
    }
    if trial.limit == "later":
        values["month"] = f"{months_before(brief.work.planting, -trial.count)}-01"
    if trial.task:
        values["what"] = f"{WORDS}{TASK_WORD}{base_of(trial.task)}"
        return Finding("calendar", "care", "calendar.frees_wait", values)
    return Finding("calendar", "care", "calendar.frees", values)
