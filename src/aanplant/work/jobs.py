"""Jobs on a time axis of whole days, with the people and machines that do them.

Nothing here knows of vineyards: a job has, for every day it may begin, the day on which
it is done, so that days off, seasons and bad weather are all in one row of numbers.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

NEVER = -1
"""End of a job that can't begin on a day."""
Days = NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Option:
    """One way to do a job.

    Parameters
    ----------
    crew : str
        Who does it, "" where nobody of the estate is held up.
    ends : ndarray of int, shape (n_days,)
        Day after the last, for each day it may begin on; ``NEVER`` where it can't.
    """

    crew: str
    ends: Days


@dataclass(frozen=True, eq=False)
class Job:
    """One job.

    Parameters
    ----------
    id : str
        Its own.
    options : tuple of Option
        At least one.
    machine : str
        What it holds while it runs, "" for none.
    after : tuple of (str, int)
        Jobs before it; it begins at least so many days after each has ended, which may be
        less than none. [d]
    latest : int or None
        Day by which it must have ended. [d]
    keeps : tuple of (str, int) or None
        It must end at most so many days after the start of that job. [d]
    """

    id: str
    options: tuple[Option, ...]
    machine: str = ""
    after: tuple[tuple[str, int], ...] = ()
    latest: int | None = None
    keeps: tuple[str, int] | None = None


@dataclass(frozen=True, eq=False)
class Problem:
    """What is to be put in time.

    Parameters
    ----------
    jobs : tuple of Job
        In an order in which each comes behind those it waits for.
    machines : mapping of str to int
        How many there are of each.
    targets : tuple of str
        Jobs whose last end is made as early as can be.
    days : int
        Days on the axis.
    """

    jobs: tuple[Job, ...]
    machines: Mapping[str, int]
    targets: tuple[str, ...]
    days: int


@dataclass(frozen=True, slots=True)
class Placed:
    """A job in time.

    Parameters
    ----------
    start, end : int
        First day, and the day after the last. [d]
    crew : str
        Who does it.
    """

    start: int
    end: int
    crew: str


@dataclass(frozen=True)
class Schedule:
    """All jobs in time, and how good that is known to be.

    Parameters
    ----------
    placed : mapping of str to Placed
        By job; empty where none was found.
    status : str
        optimal, feasible, infeasible or unknown.
    objective, bound : int or None
        Last end of the targets, and what it can't be less than. [d]
    """

    placed: Mapping[str, Placed]
    status: str
    objective: int | None = None
    bound: int | None = field(default=None)


def ends_of(progress: NDArray[np.float64], work_days: float, stretch: Days | None = None) -> Days:
    """Day after the last of a job, for each day it may begin on.

    Parameters
    ----------
    progress : ndarray, shape (n_days,)
        Share of a day's work done on each day, 0 on days off. [-]
    work_days : float
        Whole days of work it takes, above 0. [d]
    stretch : ndarray of int, shape (n_days,), optional
        Number of the season each day lies in, 0 outside; a job stays in one season.

    Returns
    -------
    ndarray of int, shape (n_days,)
        ``NEVER`` where no work is done that day, or it can't be done in time.
    """
    within = progress if stretch is None else np.where(stretch > 0, progress, 0.0)
    done = np.concatenate([[0.0], np.cumsum(within)])
    # The first day by whose end enough is done; a crumb is left to rounding.
    last = np.searchsorted(done, done[:-1] + work_days - 1e-9)
    ends = np.where((within > 0.0) & (last <= len(progress)), last, NEVER)
    if stretch is not None:
        in_reach = np.clip(last, 1, len(progress)) - 1
        ends = np.where(stretch[in_reach] == stretch, ends, NEVER)
    return ends.astype(np.int64)


def waiting(days: int, length: int) -> Days:
    """Day after the last of a wait of ``length`` days, for each day it may begin on."""
    ends = np.arange(days, dtype=np.int64) + length
    return np.where(ends <= days, ends, NEVER)


def from_day(ends: Days, first: int) -> Days:
    """Take away the starts before a day."""
    allowed = np.arange(len(ends)) >= first
    return np.where(allowed, ends, NEVER)


def in_order(before: Mapping[str, Sequence[str]]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Put names behind those they wait for.

    Parameters
    ----------
    before : mapping of str to sequence of str
        Those each waits for.

    Returns
    -------
    order : tuple of str
        In such an order, the given one kept where it can be.
    ring : tuple of str
        Names that wait for one another in a ring; empty when there is none.
    """
    done: dict[str, None] = {}
    for first in before:
        trail = [first]
        waiting_for = [iter(before[first])]
        while waiting_for:
            below = next((one for one in waiting_for[-1] if one not in done), None)
            if below is None:
                done.setdefault(trail.pop())
                waiting_for.pop()
            elif below in trail:
                return (), (*trail[trail.index(below) :], below)
            else:
                trail.append(below)
                waiting_for.append(iter(before[below]))
    return tuple(done), ()
