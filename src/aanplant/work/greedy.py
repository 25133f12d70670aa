"""Put jobs in time one after the other, each as early as it fits: quick, and never hopeless."""

from collections.abc import Callable, Mapping, Sequence
from heapq import heappop, heappush

import numpy as np
from numpy.typing import NDArray

from aanplant.work.jobs import NEVER, Days, Job, Option, Placed, Problem

TRIES = 150
SEED = 1
SPREAD = 0.1
"""Of the last start: how far the orders drawn leave their pattern; the last ones hardly do."""


def greedy(problem: Problem, *, enough: int = 0) -> dict[str, Placed]:
    """Place all jobs by the best of some orders: three by rule, the rest drawn near the first.

    Parameters
    ----------
    problem : Problem
        What is placed.
    enough : int
        No order is drawn once the targets end by this day. [d]

    Returns
    -------
    dict of str to Placed
        By job; empty where none of the orders can place them all.
    """
    latest = latest_starts(problem, problem.days)
    position = {job.id: place for place, job in enumerate(problem.jobs)}
    earliest = {job.id: _first_start(job) for job in problem.jobs}
    rules: tuple[Callable[[str], tuple[float, ...]], ...] = (
        lambda name: (latest[name], position[name]),
        lambda name: (position[name],),
        lambda name: (earliest[name], latest[name]),
    )
    best: dict[str, Placed] = {}
    for rule in rules:
        found = place_in_order(problem, _in_turn(problem, rule))
        if found and (not best or last_end(problem, found) < last_end(problem, best)):
            best = found
    return _near(problem, best, latest, enough)


def _near(
    problem: Problem, best: dict[str, Placed], latest: Mapping[str, int], enough: int
) -> dict[str, Placed]:
    """Draw orders near that of the latest starts, then ever nearer to that of the best so far."""
    random = np.random.default_rng(SEED)
    for left in range(TRIES, 0, -1):
        if best and last_end(problem, best) <= enough:
            break
        own = {name: one.start for name, one in best.items()}
        near = latest if not own or 2 * left > TRIES else own
        spread = SPREAD * max(0, *near.values()) * min(1.0, 2.0 * left / TRIES)
        drawn = {name: (near[name] + random.normal(0.0, spread),) for name in latest}
        found = place_in_order(problem, _in_turn(problem, drawn.__getitem__))
        if found and (not best or last_end(problem, found) <= last_end(problem, best)):
            best = found
    return best


def last_end(problem: Problem, placed: Mapping[str, Placed]) -> int:
    """Day after the last of the targets. [d]."""
    return max((placed[name].end for name in problem.targets), default=0)


def place_in_order(
    problem: Problem, order: Sequence[str], *, crews: Mapping[str, str] | None = None
) -> dict[str, Placed]:
    """Place jobs in an order, each as early as those before it allow.

    Parameters
    ----------
    problem : Problem
        What is placed.
    order : sequence of str
        Every job, behind those it waits for.
    crews : mapping of str to str, optional
        Who does each job; whoever ends it first when left out.

    Returns
    -------
    dict of str to Placed
        Empty where a job finds no place.
    """
    by_id = {job.id: job for job in problem.jobs}
    held = _Held(problem)
    placed: dict[str, Placed] = {}
    for name in order:
        job = by_id[name]
        first = max([placed[one].end + lag for one, lag in job.after] + [0])
        latest = problem.days if job.latest is None else job.latest
        if job.keeps is not None and not _holds_nobody(by_id[job.keeps[0]]):
            latest = min(latest, placed[job.keeps[0]].start + job.keeps[1])
        crew = None if crews is None else crews[name]
        best = held.soonest(job, first, latest, crew, longest=_longest(job, problem))
        if best is None:
            return {}
        placed[name] = best
        held.hold(job, best)
        if job.keeps is not None and not _moves_up(job, by_id[job.keeps[0]], placed, problem):
            return {}
    return placed


class _Held:
    """Days on which crews and machines are taken."""

    def __init__(self, problem: Problem) -> None:
        self._problem = problem
        self._crews: dict[str, NDArray[np.bool_]] = {}
        self._machines: dict[str, NDArray[np.int64]] = {}

    def soonest(
        self, job: Job, first: int, latest: int, crew: str | None, *, longest: int
    ) -> Placed | None:
        """Place that ends soonest between two days, by a crew or by whoever ends it first."""
        best: Placed | None = None
        taken = self._machines.get(job.machine)
        count = self._problem.machines.get(job.machine, 1)
        for option in job.options:
            if crew is not None and option.crew != crew:
                continue
            busy = self._crews.get(option.crew) if option.crew else None
            start = _earliest(option, first, busy, taken, count, longest=longest)
            if start == NEVER:
                continue
            end = int(option.ends[start])
            if end <= latest and (best is None or (end, start) < (best.end, best.start)):
                best = Placed(start, end, option.crew)
        return best

    def hold(self, job: Job, placed: Placed) -> None:
        """Take the days of a job."""
        days = slice(placed.start, placed.end)
        if placed.crew:
            empty = np.zeros(self._problem.days, dtype=bool)
            self._crews.setdefault(placed.crew, empty)[days] = True
        if job.machine:
            none = np.zeros(self._problem.days, dtype=np.int64)
            self._machines.setdefault(job.machine, none)[days] += 1


def _longest(job: Job, problem: Problem) -> int:
    """Days from start to end that a job may take at most, by what it keeps by. [d]."""
    if job.keeps is None:
        return problem.days
    kept, most = job.keeps
    lag = max((lag for name, lag in job.after if name == kept), default=-1)
    return most - max(lag + 1, 0)


def _moves_up(job: Job, kept: Job, placed: dict[str, Placed], problem: Problem) -> bool:
    """Move what a job keeps by, where that holds nobody, until it keeps; whether it then does."""
    if job.keeps is None or not _holds_nobody(kept):
        return True
    before = [placed[name].end + lag for name, lag in kept.after]
    first = max([placed[job.id].end - job.keeps[1], 0, *before])
    if placed[kept.id].start >= first:
        return True
    moved = _moved(kept, first, placed, problem)
    if moved is None:
        return False
    placed[kept.id] = moved
    return True


def _holds_nobody(job: Job) -> bool:
    return not job.machine and not any(option.crew for option in job.options)


def _moved(job: Job, first: int, placed: Mapping[str, Placed], problem: Problem) -> Placed | None:
    """Begin a job no sooner than a day, up to what stands behind it; None where it can't.

    Jobs that another keeps by, which has no place yet, still move, and are not in its way.
    """
    moves = {one.keeps[0] for one in problem.jobs if one.keeps and one.id not in placed}
    limit = problem.days if job.latest is None else job.latest
    for other in problem.jobs:
        if other.id in placed and other.id not in moves:
            limit = min([limit, *(placed[other.id].start - lag
                                  for name, lag in other.after if name == job.id)])  # fmt: skip
    (option, *_) = job.options
    good = np.flatnonzero((option.ends != NEVER) & (option.ends <= limit))
    good = good[good >= first]
    return Placed(int(good[0]), int(option.ends[good[0]]), option.crew) if len(good) else None


def _earliest(
    option: Option,
    first: int,
    busy: NDArray[np.bool_] | None,
    taken: NDArray[np.int64] | None,
    count: int,
    *,
    longest: int,
) -> int:
    """First day from ``first`` on at which crew and machine are free throughout."""
    starts = np.flatnonzero(option.ends[max(first, 0) :] != NEVER) + max(first, 0)
    starts = starts[option.ends[starts] - starts <= longest]
    held = np.zeros(len(option.ends), dtype=bool)
    if busy is not None:
        held |= busy
    if taken is not None:
        held |= taken >= count
    # Days held up to each day: a stretch is free where that number does not grow.
    before = np.concatenate([[0], np.cumsum(held)])
    free = before[option.ends[starts]] == before[starts]
    return int(starts[int(np.argmax(free))]) if free.any() else NEVER


def latest_starts(problem: Problem, finish: int) -> dict[str, int]:
    """Last day each job may begin on if all must end by ``finish``, crews aside. [d]."""
    limit = {job.id: finish if job.latest is None else min(finish, job.latest)
             for job in problem.jobs}  # fmt: skip
    found: dict[str, int] = {}
    for job in reversed(problem.jobs):
        found[job.id] = last_start(job, limit[job.id])
        for name, lag in job.after:
            if name in limit:
                limit[name] = min(limit[name], found[job.id] - lag)
    return found


def last_start(job: Job, limit: int) -> int:
    """Last day on which some option begins and ends by ``limit``; ``NEVER`` if none. [d]."""
    best = NEVER
    for option in job.options:
        good = np.flatnonzero((option.ends != NEVER) & (option.ends <= limit))
        if len(good):
            best = max(best, int(good[-1]))
    return best


def _first_start(job: Job) -> int:
    return min(_first(option.ends) for option in job.options)


def _first(ends: Days) -> int:
    good = np.flatnonzero(ends != NEVER)
    return int(good[0]) if len(good) else len(ends)


def _in_turn(problem: Problem, rule: Callable[[str], tuple[float, ...]]) -> list[str]:
    """List jobs by a rule, each behind those it waits for or keeps by."""
    behind: dict[str, list[str]] = {job.id: [] for job in problem.jobs}
    left: dict[str, int] = {}
    ready: list[tuple[tuple[float, ...], int, str]] = []
    place = {job.id: at for at, job in enumerate(problem.jobs)}
    for job in problem.jobs:
        before = {name for name, _ in job.after} | ({job.keeps[0]} if job.keeps else set())
        left[job.id] = len(before)
        for name in before:
            behind[name].append(job.id)
        if not before:
            heappush(ready, (rule(job.id), place[job.id], job.id))
    order: list[str] = []
    while ready:
        name = heappop(ready)[-1]
        order.append(name)
        for one in behind[name]:
            left[one] -= 1
            if not left[one]:
                heappush(ready, (rule(one), place[one], one))
    return order
