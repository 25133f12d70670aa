"""When each task of establishing a block is done, by whom, and how sure that is."""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from aanplant.brief import Brief
from aanplant.inputs import Inputs
from aanplant.site import Site
from aanplant.work.calendar_advice import calendar_advice
from aanplant.work.calendar_figures import calendar_figures
from aanplant.work.calendar_problem import (
    DAYS_AFTER,
    Setting,
    build,
    crew_of,
    progress_of,
    work_days,
)
from aanplant.work.finish_chance import finish_chance
from aanplant.work.freed import Freed
from aanplant.work.freeing import Late, find_what_frees
from aanplant.work.greedy import last_start
from aanplant.work.jobs import Placed, Problem
from aanplant.work.listed import (
    PLANT,
    RECEIVE,
    WATER_IN,
    Listed,
    TaskList,
    base_of,
    first_day,
    planting_span,
)
from aanplant.work.nursery_dates import months_before
from aanplant.work.roots_out import days_between
from aanplant.work.search import search
from aanplant.work.task_list import moved_to
from aanplant.work.tasks import UNBOOKED, Booked, Calendar, Delivery, Task
from aanplant.work.workable import workable
from aanplant.work.working_days import working_days

HOURS_PER_DAY = 24.0
WATERED_WITHIN = 7
"""Days that the first full watering may slip; common practice, no source. [d]"""


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
        calendar, late = _search(brief, inputs, site, tasks, setting, check)
    begins = first_day(brief)
    figures = () if begins is None else calendar_figures(brief, site, calendar, begins)
    findings = calendar_advice(brief, inputs, site, tasks, calendar, late)
    return replace(calendar, figures=figures, findings=findings)


def _search(  # noqa: PLR0917 - one argument a stage, in the order of the job
    brief: Brief,
    inputs: Inputs,
    site: Site,
    tasks: TaskList,
    setting: Setting,
    check: Callable[[float], None] | None,
) -> tuple[Calendar, Late | None]:
    """Book all tasks, and too late where it can't be done in time."""
    limit, late = brief.schedule.search_limit, None
    problem = build(tasks, setting)
    found = search(problem, limit=limit, check=check)
    if not found.placed:
        late = find_what_frees(
            tasks, setting, _Moved(brief, inputs, site, tasks), limit=limit, check=check
        )
        if late.schedule.placed:
            problem = build(tasks, setting, Freed(latest=True))
            found = replace(late.schedule, status="late")
    placed = called_late(problem, found.placed, setting.warm_days)
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
        _deliveries(setting, tasks, placed),
        _days_off(setting, booked),
    ), late


def calendar_setting(brief: Brief, inputs: Inputs, site: Site) -> Setting | None:
    """Lay out the days of the work; None while there is no month of planting."""
    start, span = first_day(brief), planting_span(brief)
    if start is None or span is None:
        return None
    length = max(1, (span[1] - start).days + 1 + DAYS_AFTER)
    days = working_days(inputs.work_calendar, start, length)
    is_south = site.frame.latitude_deg < 0.0
    warm = [days_between(brief, days.day(at), is_south=is_south) for at in range(length)]
    return Setting(
        days, workable(brief, site), is_south, _keeps_days(brief), np.array(warm, dtype=np.int64)
    )


@dataclass(frozen=True)
class _Moved:
    """The same tasks on other days: with work that begins earlier, or vines planted later."""

    brief: Brief
    inputs: Inputs
    site: Site
    tasks: TaskList

    def __call__(self, *, earlier: int = 0, later: int = 0) -> tuple[TaskList, Setting] | None:
        """Move by so many months; None where that changes nothing, or the day is given."""
        schedule, work = self.brief.schedule, self.brief.work
        moved = self.brief.model_copy(update={
            "schedule": schedule.model_copy(
                update={"months_before": schedule.months_before + earlier}),
            "work": work.model_copy(update={"planting": months_before(work.planting, -later)}),
        })  # fmt: skip
        start, begins = first_day(self.brief), first_day(moved)
        setting = calendar_setting(moved, self.inputs, self.site)
        if start is None or begins is None or setting is None or (earlier and begins == start):
            return None
        apart = (begins - start).days
        return moved_to(self.tasks, moved, self.site, begins_later=apart), setting


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
            _given(item, tasks, setting, placed[item.task.id]),
            setting.days.day(placed[item.task.id].start),
            _last_day(setting, placed[item.task.id]),
            _slack(item.task.id, slack),
        )
        for item in tasks.listed
    ]
    return tuple(sorted(items, key=lambda one: (one.start, one.end)))


def _slack(name: str, slack: Mapping[str, int]) -> int:
    """Days a task may slip; new vines do not wait long for their first full watering. [d]."""
    return min(slack[name], WATERED_WITHIN) if base_of(name) == WATER_IN else slack[name]


def called_late(
    problem: Problem, placed: Mapping[str, Placed], warm_days: NDArray[np.int64]
) -> dict[str, Placed]:
    """Call for each delivery as late as its planting allows, since vines keep best in the store.

    Parameters
    ----------
    problem, placed
        What was placed, and how.
    warm_days : ndarray of int, shape (n_days,)
        Days that vines planted on each day stand in the warm before it. [d]
    """
    moved = dict(placed)
    for job in problem.jobs:
        if job.keeps is None or job.id not in placed:
            continue
        name = job.keeps[0]
        receive = next(one for one in problem.jobs if one.id == name)
        begins = placed[job.id].start
        start = last_start(receive, begins - int(warm_days[begins]))
        if start > placed[name].start:
            moved[name] = Placed(start, int(receive.options[0].ends[start]), placed[name].crew)
    return moved


def _last_day(setting: Setting, placed: Placed) -> date:
    return setting.days.day(max(placed.start, placed.end - 1))


def _given(item: Listed, tasks: TaskList, setting: Setting, placed: Placed) -> Task:
    """Task with the crew that does it and the days of work it takes."""
    if item.done_by == "wait":
        return item.task
    if base_of(item.task.id) == PLANT:
        warm = int(setting.warm_days[placed.start])
        after = tuple((name, warm if base_of(name) == RECEIVE else lag)
                      for name, lag in item.task.after)  # fmt: skip
        item = replace(item, task=replace(item.task, after=after))
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
    setting: Setting, tasks: TaskList, placed: Mapping[str, Placed]
) -> tuple[Delivery, ...]:
    listed = {item.task.id: item for item in tasks.listed}
    keeps = timedelta(days=setting.keeps_days)
    found = []
    for number, vines in enumerate(tasks.deliveries, 1):
        item, planting = listed[f"plant-{number}"], placed.get(f"plant-{number}")
        if planting is None:
            return ()
        arrives = setting.days.day(placed[f"receive-{number}"].start)
        done = _done_by(item, tasks, setting, planting)
        begins = setting.days.day(planting.start)
        found.append(Delivery(number, vines, arrives, begins, done[-1], arrives + keeps, done))
    return tuple(found)


def _done_by(item: Listed, tasks: TaskList, setting: Setting, placed: Placed) -> tuple[date, ...]:
    """Days by which the first, second … day's work of a task is done, in usual weather."""
    crew = crew_of(placed.crew, tasks)
    need = work_days(item, crew.people if crew else 1, tasks.hours_per_day)
    done = np.cumsum(progress_of(item.task, setting, crew)[placed.start : placed.end])
    reached = np.searchsorted(done, np.arange(1, need) - 1e-9)
    last = placed.end - placed.start - 1
    return tuple(
        setting.days.day(placed.start + int(at)) for at in (*np.minimum(reached, last), last)
    )


def _days_off(setting: Setting, booked: tuple[Booked, ...]) -> tuple[date, ...]:
    """Public holidays and shutdown between the first and the last task."""
    if not booked:
        return ()
    first, last = booked[0].start, max(item.end for item in booked)
    off = {day for day, _ in setting.days.holidays} | set(setting.days.shutdown)
    return tuple(sorted(day for day in off if first <= day <= last))
