"""Tasks of a block as jobs on a row of days: seasons, weather, crews and days off in numbers."""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from aanplant.errors import InputError
from aanplant.work.jobs import Days, Job, Option, Problem, ends_of, from_day, waiting
from aanplant.work.task_list import BY_DELIVERY, Listed, TaskList
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
    """

    days: WorkingDays
    workable: Workable | None
    is_south: bool
    keeps_days: int

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


@dataclass(frozen=True)
class Freed:
    """Limits taken away or widened, to see what holds the planting back.

    Parameters
    ----------
    crews, machines : int
        Of each, so many more than there are.
    store : bool
        Vines keep as long as it takes.
    seasons : bool
        Work that has a season is done in any.
    weather : bool
        Every day is fit.
    latest : bool
        No task has a last day.
    """

    crews: int = 0
    machines: int = 0
    store: bool = False
    seasons: bool = False
    weather: bool = False
    latest: bool = False


AS_IT_IS = Freed()


def build(tasks: TaskList, setting: Setting, freed: Freed = AS_IT_IS) -> Problem:
    """Put tasks on the row of days.

    Raises
    ------
    InputError
        If no crew may do a task.
    """
    if freed.weather:
        setting = replace(setting, workable=None)
    crews = [
        (crew.name if not extra else f"{crew.name} +{extra}", crew)
        for crew in tasks.crews
        for extra in range(freed.crews + 1)
    ]
    jobs = tuple(_job(item, tasks, setting, crews, freed) for item in tasks.listed)
    return Problem(
        jobs,
        {name: count + freed.machines for name, count in tasks.machines.items()},
        tuple(item.task.id for item in tasks.listed if base_of(item.task.id) == "plant"),
        setting.days.length,
    )


def base_of(task: str) -> str:
    """Id of a task as the table has it, a delivery's number left out."""
    base = task.rpartition("-")[0]
    return base if base in BY_DELIVERY else task


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
    share = setting.share(task.conditions)
    if item.done_by != "crew":
        yield "", ends_of(days.is_worked * share, work_days(item, 1, tasks.hours_per_day), stretch)
        return
    able = [(name, crew) for name, crew in crews if may_do(crew, task)]
    if not able:
        raise InputError(
            "estate.toml: crews",
            f"no crew that does {base_of(task.id)!r}",
            f"a crew whose tasks hold {task.group!r} or {base_of(task.id)!r}, or one without tasks",
        )
    for name, crew in able:
        length = work_days(item, crew.people, tasks.hours_per_day)
        yield name, ends_of(crew_days(days, crew) * share, length, stretch)


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


def work_days(item: Listed, people: int, hours_per_day: float) -> int:
    """Whole days of work a task takes, by the slower of people and machine. [d]."""
    task = item.task
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
