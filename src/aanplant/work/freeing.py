"""What holds the planting back: let go of one limit after another, and solve again."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from aanplant.work.calendar_problem import Freed, Setting, build
from aanplant.work.greedy import last_end
from aanplant.work.jobs import Schedule
from aanplant.work.search import search
from aanplant.work.task_list import TaskList

SHARE = 0.25
"""Of the search's limit that each trial may use: a calendar is wanted, not the best one."""
TRIALS = {
    "crew": Freed(crews=1),
    "two_crews": Freed(crews=2),
    "machine": Freed(machines=1),
    "store": Freed(store=True),
    "season": Freed(seasons=True),
    "weather": Freed(weather=True),
}
"""Limits by name: more of each crew or machine, vines that keep, work in any season, no bad
weather."""
_MORE_OF = {"two_crews": "crew"}
"""Not tried where less of the same was enough."""


@dataclass(frozen=True)
class Trial:
    """What came of letting go of one limit.

    Parameters
    ----------
    limit : str
        One of ``TRIALS``.
    planted_by : date
        Last day of planting then.
    """

    limit: str
    planted_by: date


@dataclass(frozen=True)
class Late:
    """A calendar that keeps every limit but the last day of planting, and what would help.

    Parameters
    ----------
    schedule : Schedule
        Empty where there is none even then.
    planted_by : date or None
        Last day of planting in it.
    trials : tuple of Trial
        Of the limits that, let go, end the planting in time.
    """

    schedule: Schedule
    planted_by: date | None
    trials: tuple[Trial, ...]


def find_what_frees(
    tasks: TaskList,
    setting: Setting,
    *,
    limit: float,
    check: Callable[[float], None] | None = None,
) -> Late:
    """Look for the limits in the way of a calendar that ends in time.

    Parameters
    ----------
    tasks, setting
        What could not be booked.
    limit : float
        Deterministic time of the search. [-]
    check : callable, optional
        Called with the fraction done.
    """
    report = check or (lambda _: None)
    problem = build(tasks, setting, Freed(latest=True))
    late = search(problem, limit=limit * SHARE)
    trials: list[Trial] = []
    for number, (name, freed) in enumerate(TRIALS.items(), 1):
        report(number / (len(TRIALS) + 1))
        if _MORE_OF.get(name) in {trial.limit for trial in trials}:
            continue
        tried = build(tasks, setting, freed)
        found = search(tried, limit=limit * SHARE)
        if found.placed:
            day = setting.days.day(last_end(tried, found.placed) - 1)
            trials.append(Trial(name, day))
    planted = setting.days.day(last_end(problem, late.placed) - 1) if late.placed else None
    return Late(late, planted, tuple(trials))
