"""How likely the planting ends by a day, by the weather of the years on record."""

from collections.abc import Mapping
from datetime import date

import numpy as np
from numpy.typing import NDArray

from aanplant.work.calendar_problem import (
    Setting,
    conditions_of,
    crew_of,
    may_start,
    work_days,
)
from aanplant.work.jobs import Placed
from aanplant.work.listed import PLANT, RECEIVE, Listed, TaskList, base_of
from aanplant.work.tasks import FinishChance
from aanplant.work.working_days import crew_days

Days = NDArray[np.int64]


def finish_chance(
    tasks: TaskList,
    setting: Setting,
    placed: Mapping[str, Placed],
    *,
    runs: int,
    seed: int,
) -> tuple[FinishChance, ...]:
    """Work through a calendar in the weather of years drawn by chance.

    Every year of the work gets the days of one year on record, drawn with equal chance. Tasks
    keep their order, their crews and their seasons, and no delivery comes before its day; each
    begins when those before it are done, and goes on on each day that is fit for it, so that
    bad weather pushes what is behind it.

    Parameters
    ----------
    tasks, setting, placed
        What is booked.
    runs : int
        Years drawn. [-]
    seed : int
        Of the draw.

    Returns
    -------
    tuple of FinishChance
        Each day on which planting ended in some run, with the share of runs in which it ended
        by then; empty without weather. Runs that never end within the axis count as late.
    """
    if setting.workable is None or not placed or not runs:
        return ()
    weather = _Weather(setting, tasks, runs, seed)
    ends: dict[str, Days] = {}
    free: dict[str, Days] = {}
    order = sorted(tasks.listed, key=lambda item: placed[item.task.id].start)
    for item in order:
        own = placed[item.task.id]
        # A delivery is called for its day and comes no sooner, however well the work goes.
        is_called = base_of(item.task.id) == RECEIVE
        first = np.full(runs, own.start if is_called else 0, dtype=np.int64)
        for name, lag in _waits(item, setting, own):
            if name in ends:
                first = np.maximum(first, ends[name] + lag)
        held = [name for name in (own.crew, item.task.machine) if name]
        for name in held:
            first = np.maximum(first, free.get(name, first))
        ends[item.task.id] = weather.end(item, own.crew, first)
        for name in held:
            free[name] = ends[item.task.id]
    last = np.maximum.reduce([found for name, found in ends.items() if base_of(name) == PLANT])
    return _shares(last, setting)


def _waits(item: Listed, setting: Setting, own: Placed) -> tuple[tuple[str, int], ...]:
    """Tasks before a task with their waits, the warming up of vines before planting among them."""
    if base_of(item.task.id) != PLANT:
        return item.task.after
    warm = int(setting.warm_days[own.start])
    return tuple((name, warm if base_of(name) == RECEIVE else lag) for name, lag in item.task.after)


def chance_by(chance: tuple[FinishChance, ...], day: date) -> float | None:
    """Probability of having ended by a day; None where none is known."""
    if not chance:
        return None
    return max((one.probability for one in chance if one.day <= day), default=0.0)


class _Weather:
    """Fit days of every run, summed up so that work can be counted off from any day."""

    def __init__(self, setting: Setting, tasks: TaskList, runs: int, seed: int) -> None:
        self._setting, self._tasks = setting, tasks
        days, workable = setting.days, setting.workable
        years = np.array([days.day(at).year for at in range(days.length)])
        random = np.random.default_rng(seed)
        drawn = random.integers(
            len(workable.years) if workable else 1, size=(runs, int(years.max() - years.min()) + 1)
        )
        # Shape (runs, n_days): the year on record whose weather each day has.
        self._drawn = drawn[:, years - years.min()]
        self._fit = {
            conditions: workable.met(conditions)[self._drawn, setting.days_of_year]
            for conditions in conditions_of(tasks.listed)
            if workable and conditions
        }

    def end(self, item: Listed, crew: str, first: Days) -> Days:
        """Day after the last of a task that may begin on a day, for each run."""
        length = self._setting.days.length
        if item.done_by == "wait":
            begins = np.maximum(first, self._earliest(item))
            return np.asarray(np.minimum(begins + item.task.duration_days, length + 1))
        one = crew_of(crew, self._tasks)
        days = self._setting.days
        mask = days.is_worked if one is None else crew_days(days, one)
        mask = mask & may_start(item, self._setting)
        need = work_days(item, one.people if one else 1, self._tasks.hours_per_day)
        fit = self._fit.get(item.task.conditions)
        done = mask[None, :] if fit is None else fit & mask
        summed = np.concatenate(
            [np.zeros((len(done), 1), dtype=np.int64), np.cumsum(done, axis=1)], axis=1
        )
        found = np.empty(len(first), dtype=np.int64)
        for run, begins in enumerate(np.minimum(first, length).tolist()):
            row = summed[run if fit is not None else 0]
            found[run] = np.searchsorted(row, row[begins] + need)
        return np.asarray(np.minimum(found, length + 1), dtype=np.int64)

    def _earliest(self, item: Listed) -> int:
        if item.task.earliest is None:
            return 0
        return max(0, self._setting.days.index(item.task.earliest))


def _shares(last: Days, setting: Setting) -> tuple[FinishChance, ...]:
    ended = last[last <= setting.days.length]
    found, counts = np.unique(ended, return_counts=True)
    return tuple(
        FinishChance(setting.days.day(int(end) - 1), float(total) / len(last))
        for end, total in zip(found.tolist(), np.cumsum(counts).tolist(), strict=True)
    )
