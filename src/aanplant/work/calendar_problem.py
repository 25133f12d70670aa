"""Tasks of a block as jobs on a row of days: seasons, weather, crews and days off in numbers."""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from aanplant.errors import InputError
from aanplant.work.freed import AS_IT_IS, Freed, here, without_limits
from aanplant.work.jobs import Days, Job, Option, Problem, ends_of, from_day, waiting
from aanplant.work.listed import Listed, TaskList, base_of
from aanplant.work.tasks import Task
from aanplant.work.workable import Workable, day_of_year
from aanplant.work.working_days import WorkingDays, crew_days, season
from aanplant.workforce import Crew

DAYS_AFTER = 120
"""Days on the axis behind the last day of planting, for what follows it."""


@dataclass(frozen=True, eq=False)
class Setting:
    """What the days of a calendar are like.

    Parameters
    ----------
    days : WorkingDays
        The axis, from the first day of all work.
    workable : Workable or None
        How often weather and soil let work be done; every day where None.
    is_south : bool
        Seasons lie half a year later in the north.
    keeps_days : int
        Longest time from the arrival of a delivery to its last vine in the ground. [d]
    warm_days : ndarray of int, shape (n_days,)
        Days between the day of receiving vines and that of planting them, for each day of
        planting; -1 where they go into the ground on the day they come. [d]
    """

    days: WorkingDays
    workable: Workable | None
    is_south: bool
    keeps_days: int
    warm_days: NDArray[np.int64]

    def share(self, conditions: tuple[str, ...]) -> NDArray[np.float64]:
        """Share of each day on which all conditions are met, as the years go, shape (n_days,)."""
        if self.workable is None or not conditions:
            return np.ones(self.days.length)
        return self.workable.chance(conditions, self.days_of_year)

    @property
    def days_of_year(self) -> NDArray[np.int64]:
        """Place of each day in a year of 366 days, shape (n_days,)."""
        days = self.days
        return np.array([day_of_year(days.day(at)) for at in range(days.length)], dtype=np.int64)


def build(tasks: TaskList, setting: Setting, freed: Freed = AS_IT_IS) -> Problem:
    """Put tasks on the row of days.

    Raises
    ------
    InputError
        If no crew may do a task.
    """
    tasks = without_limits(tasks, freed, warm_days=int(setting.warm_days.max()))
    if freed.weather:
        setting = replace(setting, workable=None)
    if freed.rest:
        every = np.ones_like(setting.days.is_worked)
        setting = replace(setting, days=replace(setting.days, is_worked=every))
    crews = [
        (crew.name if not extra else f"{crew.name} +{extra}", crew)
        for crew in (here(crew) if freed.presence else crew for crew in tasks.crews)
        for extra in range(freed.crews + 1)
    ]
    jobs = tuple(_job(item, tasks, setting, crews, freed) for item in tasks.listed)
    return Problem(
        jobs,
        {name: count + freed.machines for name, count in tasks.machines.items()},
        tuple(item.task.id for item in tasks.listed if base_of(item.task.id) == "plant"),
        setting.days.length,
    )


def _job(
    item: Listed,
    tasks: TaskList,
    setting: Setting,
    crews: Sequence[tuple[str, Crew]],
    freed: Freed,
) -> Job:
    task, days = item.task, setting.days
    options = tuple(
        Option(name, _within(task, ends, days))
        for name, ends in _options(item, tasks, setting, crews, freed)
    )
    latest = None
    if task.latest is not None and not freed.latest:
        latest = days.index(task.latest) + 1
    number = task.id.rpartition("-")[2]
    keeps = None
    if base_of(task.id) == "plant" and not freed.store:
        keeps = (f"receive-{number}", setting.keeps_days)
    return Job(task.id, options, task.machine, task.after, latest, keeps)


def _within(task: Task, ends: Days, days: WorkingDays) -> Days:
    return ends if task.earliest is None else from_day(ends, days.index(task.earliest))


def _options(
    item: Listed,
    tasks: TaskList,
    setting: Setting,
    crews: Sequence[tuple[str, Crew]],
    freed: Freed,
) -> Iterator[tuple[str, Days]]:
    """Yield who can do a task, with the day after its last for each day it may begin on."""
    task, days = item.task, setting.days
    if item.done_by == "wait":
        yield "", waiting(days.length, task.duration_days)
        return
    stretch = None if freed.seasons else season_of(item, setting)
    if item.done_by != "crew":
        alone = work_days(item, 1, tasks.hours_per_day)
        yield "", ends_of(progress_of(task, setting, None), alone, stretch)
        return
    able = [(name, crew) for name, crew in crews if may_do(crew, task)]
    if not able:
        raise InputError(
            "estate.toml: crews",
            f"no crew that does {base_of(task.id)!r}",
            f"a crew whose tasks hold {task.group!r} or {base_of(task.id)!r}, or one without tasks",
        )
    for name, crew in able:
        length = work_days(item, crew.people, tasks.hours_per_day, more=freed.crews)
        yield name, ends_of(progress_of(task, setting, crew), length, stretch)


def progress_of(task: Task, setting: Setting, crew: Crew | None) -> NDArray[np.float64]:
    """Share of a day's work that a crew usually does on each day, shape (n_days,). [-]."""
    days = setting.days
    mask = days.is_worked if crew is None else crew_days(days, crew)
    return np.asarray(mask * setting.share(task.conditions))


def season_of(item: Listed, setting: Setting) -> Days | None:
    """Tell the number of the season each day lies in, 0 outside; None where a task has none."""
    if item.season is None:
        return None
    return season(setting.days, *item.season, is_south=setting.is_south)


def may_start(item: Listed, setting: Setting) -> NDArray[np.bool_]:
    """Days that lie in the season of a task and not before its first day, shape (n_days,)."""
    allowed = np.ones(setting.days.length, dtype=bool)
    if item.task.earliest is not None:
        allowed[: max(0, setting.days.index(item.task.earliest))] = False
    stretch = season_of(item, setting)
    return allowed if stretch is None else allowed & (stretch > 0)


def may_do(crew: Crew, task: Task) -> bool:
    """Whether a crew is there for a task."""
    return not crew.tasks or bool({task.group, task.id, base_of(task.id)} & set(crew.tasks))


def work_days(item: Listed, people: int, hours_per_day: float, *, more: int = 0) -> int:
    """Whole days of work of a task, for so many people, with so many more crews. [d]."""
    task = item.task
    if item.by_crews:
        return item.by_crews[min(more, len(item.by_crews) - 1)]
    if item.done_by == "office":
        return max(1, task.duration_days)
    hours = max(task.person_hours / people, task.machine_hours)
    return max(1, math.ceil(hours / hours_per_day - 1e-9))


def crew_of(name: str, tasks: TaskList) -> Crew | None:
    """Crew by its name; None where nobody is held up."""
    return next((crew for crew in tasks.crews if crew.name == name), None)


def conditions_of(listed: Sequence[Listed]) -> Mapping[tuple[str, ...], None]:
    """All sets of conditions that tasks need, each once."""
    return dict.fromkeys(item.task.conditions for item in listed)
