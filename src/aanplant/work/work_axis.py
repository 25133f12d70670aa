"""A shorter axis for the search: only the days on which anybody works.

On it a job takes the same number of days wherever it lies, which a solver can reason about;
what waits over days off becomes a row of ends. A wait that follows a wait may count from the
day after the last day of work, so that the best end found here is a bound for the real one.
"""

from dataclasses import dataclass

import numpy as np

from aanplant.work.jobs import NEVER, Days, Problem


@dataclass(frozen=True, eq=False)
class WorkAxis:
    """Working days by their number, and back.

    Parameters
    ----------
    day : ndarray of int, shape (n_working,)
        Each working day.
    before : ndarray of int, shape (n_days + 1,)
        Working days before each day.
    """

    day: Days
    before: Days

    @property
    def length(self) -> int:
        """Working days in all."""
        return len(self.day)

    def after_work(self) -> Days:
        """Day after the last of so many working days, shape (n_working + 1,). [d]."""
        return np.concatenate([[0], self.day + 1])

    def ends(self, ends: Days) -> Days:
        """Return a job's row of ends on this axis."""
        # What may begin on days off, such as a wait, begins as soon as the work before it ends.
        days = np.arange(len(ends))
        following = np.minimum.accumulate(np.where(ends == NEVER, len(ends), days)[::-1])[::-1]
        begins = np.append(following, len(ends))[self.after_work()[:-1]]
        own = np.where(begins <= self.day, ends[np.minimum(begins, self.day)], NEVER)
        reached = self.before[np.clip(own, 0, len(self.before) - 1)]
        return np.where(own == NEVER, NEVER, reached)

    def wait(self, length: int) -> Days:
        """First working day at least so many days after each end, shape (n_working + 1,)."""
        reached = np.clip(self.after_work() + length, 0, len(self.before) - 1)
        return self.before[reached]

    def latest(self, day: int) -> int:
        """Most working days that are over by a day."""
        return int(self.before[min(max(day, 0), len(self.before) - 1)])

    def keeps(self, length: int) -> Days:
        """Working days over by so many days after each start, shape (n_working,)."""
        return self.before[np.clip(self.day + length, 0, len(self.before) - 1)]


def work_axis(problem: Problem) -> WorkAxis:
    """Find the days on which any job of a crew or machine can begin."""
    is_work = np.zeros(problem.days, dtype=bool)
    for job in problem.jobs:
        for option in job.options:
            if option.crew or job.machine:
                is_work |= option.ends != NEVER
    if not is_work.any():
        is_work[:] = True
    before = np.concatenate([[0], np.cumsum(is_work)]).astype(np.int64)
    return WorkAxis(np.flatnonzero(is_work).astype(np.int64), before)
