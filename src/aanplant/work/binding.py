"""What can't be done in time whatever the crews: the chain of jobs that takes too long."""

from dataclasses import dataclass

from aanplant.work.jobs import NEVER, Job, Problem


@dataclass(frozen=True, slots=True)
class Chain:
    """Jobs that wait for one another and together take too long.

    Parameters
    ----------
    jobs : tuple of str
        In the order of time, the last of them too late.
    end : int or None
        Day after the last of them at the soonest; None where it can't be done at all. [d]
    latest : int
        Day by which it must have ended. [d]
    """

    jobs: tuple[str, ...]
    end: int | None
    latest: int


def soonest(problem: Problem) -> dict[str, tuple[int, int]]:
    """Soonest start and end of each job, crews and machines aside. [d]."""
    found: dict[str, tuple[int, int]] = {}
    for job in problem.jobs:
        first = max([found[name][1] + lag for name, lag in job.after] + [0])
        found[job.id] = (first, _end_from(job, first, problem.days + 1))
    return found


def _end_from(job: Job, first: int, never: int) -> int:
    """Day after a job that may begin on ``first``, by whoever ends it first. [d]."""
    return min(
        int(option.ends[first:][option.ends[first:] != NEVER].min(initial=never))
        for option in job.options
    )


def too_long(problem: Problem) -> Chain | None:
    """Find the first job that can't end in time even with every crew and machine to itself.

    Returns
    -------
    Chain or None
        With the jobs before it, each as far as the next waits for it; None where every job
        can end in time by itself.
    """
    found, wanted = soonest(problem), _wanted(problem)
    by_id = {job.id: job for job in problem.jobs}
    for job in problem.jobs:
        latest = wanted[job.id]
        if found[job.id][1] <= latest:
            continue
        chain = [job.id]
        while (before := _holds_back(by_id[chain[-1]], found, problem.days + 1)) is not None:
            chain.append(before)
        end = found[job.id][1]
        return Chain(tuple(reversed(chain)), end if end <= problem.days else None, latest)
    return None


def _wanted(problem: Problem) -> dict[str, int]:
    """Day by which each job must have ended, for itself or for what waits for it. [d]."""
    wanted = {job.id: problem.days if job.latest is None else job.latest for job in problem.jobs}
    for job in reversed(problem.jobs):
        for name, lag in job.after:
            if lag >= 0:
                wanted[name] = min(wanted[name], wanted[job.id])
    return wanted


def _holds_back(job: Job, found: dict[str, tuple[int, int]], never: int) -> str | None:
    """Name the job without which this one would end sooner; None where its own days hold it."""
    if not job.after or _end_from(job, 0, never) == found[job.id][1]:
        return None
    return max(job.after, key=lambda one: found[one[0]][1] + one[1])[0]
