"""Put jobs in time one after the other, each as early as it fits: quick, and never hopeless."""

from collections.abc import Callable, Mapping, Sequence

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
    held: dict[str, NDArray[np.bool_]] = {}
    machines: dict[str, NDArray[np.int64]] = {}
    placed: dict[str, Placed] = {}
    for name in order:
        job = by_id[name]
        first = max([placed[one].end + lag for one, lag in job.after] + [0])
        latest = problem.days if job.latest is None else job.latest
        if job.keeps is not None:
            latest = min(latest, placed[job.keeps[0]].start + job.keeps[1])
        best: Placed | None = None
        for option in job.options:
            if crews is not None and option.crew != crews[name]:
                continue
            busy = held.get(option.crew) if option.crew else None
            taken = machines.get(job.machine)
            start = _earliest(option, first, busy, taken, problem.machines.get(job.machine, 1))
            if start == NEVER:
                continue
            end = int(option.ends[start])
            if end <= latest and (best is None or (end, start) < (best.end, best.start)):
                best = Placed(start, end, option.crew)
        if best is None:
            return {}
        placed[name] = best
        if best.crew:
            held.setdefault(best.crew, np.zeros(problem.days, dtype=bool))[
                best.start : best.end
            ] = True
        if job.machine:
            machines.setdefault(job.machine, np.zeros(problem.days, dtype=np.int64))[
                best.start : best.end
            ] += 1
    return placed


def _earliest(
    option: Option,
    first: int,
    busy: NDArray[np.bool_] | None,
    taken: NDArray[np.int64] | None,
    count: int,
) -> int:
    """First day from ``first`` on at which crew and machine are free throughout."""
    starts = np.flatnonzero(option.ends[max(first, 0) :] != NEVER) + max(first, 0)
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
    before = {
        job.id: {name for name, _ in job.after} | ({job.keeps[0]} if job.keeps else set())
        for job in problem.jobs
    }
    order: list[str] = []
    left = [job.id for job in problem.jobs]
    done: set[str] = set()
    while left:
        ready = [name for name in left if before[name] <= done]
        pick = min(ready, key=rule)
        order.append(pick)
        done.add(pick)
        left.remove(pick)
    return order
