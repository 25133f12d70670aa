"""When each task of establishing a block is done, by whom, and how sure that is."""

import math
from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise

from aanplant.brief import Brief
from aanplant.inputs import Inputs
from aanplant.site import Site
from aanplant.work.calendar_advice import calendar_advice
from aanplant.work.calendar_figures import calendar_figures
from aanplant.work.calendar_problem import DAYS_AFTER, Freed, Setting, build, crew_of, work_days
from aanplant.work.finish_chance import finish_chance
from aanplant.work.freeing import Late, find_what_frees
from aanplant.work.greedy import last_start
from aanplant.work.jobs import Placed, Problem
from aanplant.work.search import search
from aanplant.work.task_list import Listed, TaskList, first_day, planting_span
from aanplant.work.tasks import UNBOOKED, Booked, Calendar, Delivery, Task
from aanplant.work.workable import workable
from aanplant.work.working_days import working_days

HOURS_PER_DAY = 24.0


def make_calendar(
    brief: Brief,
    inputs: Inputs,
    site: Site,
    tasks: TaskList,
    *,
    check: Callable[[float], None] | None = None,
) -> Calendar:
    """Book every task.

    Parameters
    ----------
    brief : Brief
        Its ``[schedule]`` and month of planting.
    inputs : Inputs
        Days on which the estate works.
    site : Site
        Weather and hemisphere.
    tasks : TaskList
        What is to be done, by whom.
    check : callable, optional
        Called with the fraction done; may raise ``Cancelled``.

    Raises
    ------
    InputError
        If the country of the holidays is not known, no day is left to work on, or no crew
        may do a task.
    """
    setting = calendar_setting(brief, inputs, site)
    late = None
    if setting is None or not tasks.deliveries:
        calendar = replace(UNBOOKED, tasks=tasks.tasks)
    else:
        calendar, late = _search(brief, tasks, setting, check)
    begins = first_day(brief)
    figures = () if begins is None else calendar_figures(brief, calendar, begins)
    findings = calendar_advice(brief, inputs, site, tasks, calendar, late)
    return replace(calendar, figures=figures, findings=findings)


def _search(
    brief: Brief, tasks: TaskList, setting: Setting, check: Callable[[float], None] | None
) -> tuple[Calendar, Late | None]:
    """Book all tasks, and too late where it can't be done in time."""
    limit, late = brief.schedule.search_limit, None
    problem = build(tasks, setting)
    found = search(problem, limit=limit, check=check)
    if not found.placed:
        late = find_what_frees(tasks, setting, limit=limit, check=check)
        if late.schedule.placed:
            problem = build(tasks, setting, Freed(latest=True))
            found = replace(late.schedule, status="late")
    placed = called_late(problem, found.placed)
    booked = _booked(tasks, setting, problem, placed)
    chance = finish_chance(
        tasks, setting, placed, runs=brief.schedule.simulated, seed=brief.schedule.seed
    )
    return Calendar(
        booked,
        tuple(item.task for item in booked) or tasks.tasks,
        found.status,
        found.objective,
        found.bound,
        chance,
        _deliveries(setting, tasks, booked),
        _days_off(setting, booked),
    ), late


def calendar_setting(brief: Brief, inputs: Inputs, site: Site) -> Setting | None:
    """Lay out the days of the work; None while there is no month of planting."""
    start, span = first_day(brief), planting_span(brief)
    if start is None or span is None:
        return None
    length = max(1, (span[1] - start).days + 1 + DAYS_AFTER)
    days = working_days(inputs.work_calendar, start, length)
    return Setting(days, workable(brief, site), site.frame.latitude_deg < 0.0, _keeps_days(brief))


def _keeps_days(brief: Brief) -> int:
    """Days from the arrival of a delivery to its last vine in the ground. [d]."""
    if brief.planting.keep == "none":
        return max(1, math.floor(brief.planting.longest_out / HOURS_PER_DAY))
    return math.floor(brief.schedule.store_weeks * 7.0)


def _booked(
    tasks: TaskList, setting: Setting, problem: Problem, placed: Mapping[str, Placed]
) -> tuple[Booked, ...]:
    """Turn places on the axis into tasks with days, by start."""
    if not placed:
        return ()
    slack = floats(problem, placed)
    items = [
        Booked(
            _given(item, tasks, placed[item.task.id]),
            setting.days.day(placed[item.task.id].start),
            _last_day(setting, placed[item.task.id]),
            slack[item.task.id],
        )
        for item in tasks.listed
    ]
    return tuple(sorted(items, key=lambda one: (one.start, one.end)))


def called_late(problem: Problem, placed: Mapping[str, Placed]) -> dict[str, Placed]:
    """Call for each delivery as late as its planting allows, since vines keep best in the store."""
    moved = dict(placed)
    for job in problem.jobs:
        if job.keeps is None or job.id not in placed:
            continue
        name = job.keeps[0]
        receive = next(one for one in problem.jobs if one.id == name)
        wait = next(lag for one, lag in job.after if one == name)
        start = last_start(receive, placed[job.id].start - wait)
        if start > placed[name].start:
            moved[name] = Placed(start, int(receive.options[0].ends[start]), placed[name].crew)
    return moved


def _last_day(setting: Setting, placed: Placed) -> date:
    return setting.days.day(max(placed.start, placed.end - 1))


def _given(item: Listed, tasks: TaskList, placed: Placed) -> Task:
    """Task with the crew that does it and the days of work it takes."""
    if item.done_by == "wait":
        return item.task
    crew = crew_of(placed.crew, tasks)
    length = work_days(item, crew.people if crew else 1, tasks.hours_per_day)
    return replace(item.task, crew=placed.crew, duration_days=length)


def floats(problem: Problem, placed: Mapping[str, Placed]) -> dict[str, int]:
    """Days each job may slip before anything behind it, or its own last day, is hit. [d]."""
    last = max(one.end for one in placed.values())
    limit = {job.id: last if job.latest is None else min(last, job.latest) for job in problem.jobs}
    for job in problem.jobs:
        for name, lag in job.after:
            limit[name] = min(limit[name], placed[job.id].start - lag)
        if job.keeps is not None:
            limit[job.id] = min(limit[job.id], placed[job.keeps[0]].start + job.keeps[1])
    for held in (_by_crew(placed), _by_machine(problem, placed)):
        for names in held.values():
            for name, behind in pairwise(names):
                limit[name] = min(limit[name], max(placed[behind].start, placed[name].end))
    return {name: max(0, limit[name] - one.end) for name, one in placed.items()}


def _by_crew(placed: Mapping[str, Placed]) -> dict[str, list[str]]:
    held: dict[str, list[str]] = {}
    for name in sorted(placed, key=lambda one: placed[one].start):
        if placed[name].crew:
            held.setdefault(placed[name].crew, []).append(name)
    return held


def _by_machine(problem: Problem, placed: Mapping[str, Placed]) -> dict[str, list[str]]:
    held: dict[str, list[str]] = {}
    machine = {job.id: job.machine for job in problem.jobs}
    for name in sorted(placed, key=lambda one: placed[one].start):
        if machine[name]:
            held.setdefault(machine[name], []).append(name)
    return held


def _deliveries(
    setting: Setting, tasks: TaskList, booked: tuple[Booked, ...]
) -> tuple[Delivery, ...]:
    by_id = {item.task.id: item for item in booked}
    keeps = timedelta(days=setting.keeps_days)
    found = []
    for number, vines in enumerate(tasks.deliveries, 1):
        if f"plant-{number}" not in by_id:
            return ()
        arrives = by_id[f"receive-{number}"].start
        planting = by_id[f"plant-{number}"]
        found.append(
            Delivery(number, vines, arrives, planting.start, planting.end, arrives + keeps)
        )
    return tuple(found)


def _days_off(setting: Setting, booked: tuple[Booked, ...]) -> tuple[date, ...]:
    """Public holidays and shutdown between the first and the last task."""
    if not booked:
        return ()
    first, last = booked[0].start, max(item.end for item in booked)
    off = {day for day, _ in setting.days.holidays} | set(setting.days.shutdown)
    return tuple(sorted(day for day in off if first <= day <= last))
