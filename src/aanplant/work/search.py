"""Search for the calendar that ends soonest, and say how near to the best it is."""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

import numpy as np

from aanplant.errors import Cancelled
from aanplant.work.binding import soonest, too_long
from aanplant.work.greedy import greedy, last_end, latest_starts, place_in_order
from aanplant.work.jobs import NEVER, Days, Job, Placed, Problem, Schedule
from aanplant.work.work_axis import WorkAxis, work_axis

if TYPE_CHECKING:
    from ortools.sat.python.cp_model import (
        BoolVarT,
        CpModel,
        CpSolver,
        IntervalVar,
        IntVar,
        LinearExprT,
    )

LIMIT = 1.0
"""Work the search may do, in the solver's own measure, which repeats where seconds do not."""
_GREEDY_SHARE = 0.1
"""Of the time, roughly, that goes before the solver begins."""
_FEWEST_SHARED = 3
"""Of fewer jobs a crew's share says nothing the solver does not see at once."""


def search(
    problem: Problem, *, limit: float = LIMIT, check: Callable[[float], None] | None = None
) -> Schedule:
    """Place all jobs so that the targets end as early as can be found.

    Parameters
    ----------
    problem : Problem
        What is placed.
    limit : float
        Deterministic time of the solver. [-]
    check : callable, optional
        Called with the fraction done; may raise ``Cancelled``.

    Returns
    -------
    Schedule
        Every job as early as the order of the best calendar allows. The bound is proved:
        no calendar of these jobs ends sooner.
    """
    report = check or (lambda _: None)
    if too_long(problem) is not None:
        return Schedule({}, "infeasible")
    least = lower_bound(problem)
    hint = greedy(problem, enough=least)
    if hint and last_end(problem, hint) <= least:
        return Schedule(hint, "optimal", least, least)
    report(_GREEDY_SHARE)
    found = _solve(problem, hint, limit, report)
    if found.is_impossible:
        return Schedule({}, "infeasible")
    placed = hint
    if found.order:
        tidy = place_in_order(problem, found.order, crews=found.crews)
        if tidy and (not placed or last_end(problem, tidy) <= last_end(problem, placed)):
            placed = tidy
    bound = max(least, found.bound)
    if not placed:
        return Schedule({}, "unknown", None, bound)
    end = last_end(problem, placed)
    bound = min(end, bound)
    return Schedule(placed, "optimal" if end == bound else "feasible", end, bound)


def lower_bound(problem: Problem) -> int:
    """Last end of the targets that no calendar can go below. [d].

    The later of two: each job with all crews and machines to itself; and the targets one
    after the other on their crews, each as short as the shortest of them.
    """
    alone_at = soonest(problem)
    alone = max((alone_at[name][1] for name in problem.targets), default=0)
    targets = [job for job in problem.jobs if job.id in problem.targets]
    crews = {option.crew for job in targets for option in job.options}
    if not targets or "" in crews:
        return alone
    ends = np.array([option.ends for job in targets for option in job.options])
    shortest = np.where(ends == NEVER, problem.days + 1, ends).min(axis=0)
    shortest = np.append(np.minimum.accumulate(shortest[::-1])[::-1], problem.days + 1)
    day = min(alone_at[job.id][0] for job in targets)
    for _ in range(math.ceil(len(targets) / len(crews))):
        day = int(shortest[min(day, problem.days)])
    return max(alone, day)


def windows(problem: Problem, finish: int) -> dict[str, tuple[int, int]]:
    """First and last day each job may begin on, if the targets must end by ``finish``. [d]."""
    counted = waits_for(problem, problem.targets) | set(problem.targets)
    latest = latest_starts(
        replace(problem, jobs=tuple(job for job in problem.jobs if job.id in counted)), finish
    )
    return {
        name: (first, latest.get(name, problem.days))
        for name, (first, _) in soonest(problem).items()
    }


@dataclass(frozen=True)
class _Found:
    """What the solver says: an order of the jobs with their crews, and a bound. [d]."""

    order: tuple[str, ...] = ()
    crews: Mapping[str, str] = field(default_factory=dict)
    bound: int = 0
    is_impossible: bool = False


@dataclass
class _Model:
    """The solver's model while it is built."""

    cp: "CpModel"
    axis: WorkAxis
    start: dict[str, "IntVar"] = field(default_factory=dict)
    end: dict[str, "IntVar"] = field(default_factory=dict)
    picked: dict[tuple[str, str], "BoolVarT"] = field(default_factory=dict)
    least: dict[tuple[str, str], int] = field(default_factory=dict)
    on_crew: dict[str, list["IntervalVar"]] = field(default_factory=dict)
    on_machine: dict[str, list["IntervalVar"]] = field(default_factory=dict)


def _solve(
    problem: Problem, hint: Mapping[str, Placed], limit: float, report: Callable[[float], None]
) -> _Found:
    from ortools.sat.python import cp_model  # noqa: PLC0415 - half a second, needed here only

    model = _Model(cp_model.CpModel(), work_axis(problem))
    allowed = windows(problem, last_end(problem, hint) if hint else problem.days)
    if not all(_add_job(model, job, *allowed[job.id]) for job in problem.jobs):
        return _Found(is_impossible=True)
    for job in problem.jobs:
        _add_order(model, job)
    _add_capacity(model, problem)
    _add_goal(model, problem, hint)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    solver.parameters.max_deterministic_time = limit
    # On rows of ends both take all of the limit and find next to nothing.
    solver.parameters.cp_model_probing_level = 0
    solver.parameters.symmetry_level = 0
    stopped: list[Cancelled] = []

    class Watch(cp_model.CpSolverSolutionCallback):
        """Says how far the search is at each calendar it finds, and lets it be stopped."""

        def on_solution_callback(self) -> None:
            try:
                done = self.deterministic_time / limit if limit else 1.0
                report(_GREEDY_SHARE + (1.0 - _GREEDY_SHARE) * min(1.0, done))
            except Cancelled as asked:  # no error may pass through the solver itself
                stopped.append(asked)
                self.stop_search()

    status = solver.solve(model.cp, Watch())
    if stopped:
        raise stopped[0]
    if status == cp_model.INFEASIBLE:
        return _Found(is_impossible=True)
    return _found(problem, model, solver, is_solved=status in {cp_model.OPTIMAL, cp_model.FEASIBLE})


def _found(problem: Problem, model: _Model, solver: "CpSolver", *, is_solved: bool) -> _Found:
    axis = model.axis
    working = max(0, min(axis.length, round(solver.best_objective_bound)))
    bound = int(axis.after_work()[working])
    if not is_solved:
        return _Found(bound=bound)
    place = {job.id: number for number, job in enumerate(problem.jobs)}
    order = sorted(place, key=lambda name: (solver.value(model.start[name]), place[name]))
    crews = {job_id: crew for (job_id, crew), pick in model.picked.items()
             if solver.boolean_value(pick)}  # fmt: skip
    return _Found(tuple(_behind(problem, order)), crews, bound)


def _add_capacity(model: _Model, problem: Problem) -> None:
    """Let a crew do one job at a time, and a machine run no oftener than there are of it."""
    for intervals in model.on_crew.values():
        model.cp.add_no_overlap(intervals)
    for name, intervals in model.on_machine.items():
        count = problem.machines.get(name, 1)
        model.cp.add_cumulative(intervals, [1] * len(intervals), count)


def _add_goal(model: _Model, problem: Problem, hint: Mapping[str, Placed]) -> None:
    """Make the last end of the targets least, from what is already known to be possible."""
    axis = model.axis
    most = axis.latest(last_end(problem, hint)) if hint else axis.length
    goal = model.cp.new_int_var(0, most, "goal")
    model.cp.add_max_equality(goal, [model.end[name] for name in problem.targets])
    model.cp.minimize(goal)
    _add_shares(model, problem, goal)
    for name, placed in hint.items():
        begins = min(int(axis.before[placed.start]), axis.length - 1)
        model.cp.add_hint(model.start[name], begins)
        for (job_id, crew), pick in model.picked.items():
            if job_id == name:
                model.cp.add_hint(pick, crew == placed.crew)


def _add_shares(model: _Model, problem: Problem, goal: "IntVar") -> None:
    """Say outright what a solver finds late: a crew's work behind a job must fit behind it.

    For every job and crew, the work before the job that the crew does fits before its
    start, and that behind it between its end and the last end.
    """
    counted = waits_for(problem, problem.targets) | set(problem.targets)
    before = {job.id: waits_for(problem, (job.id,)) for job in problem.jobs}
    for job in problem.jobs:
        behind = {name for name in counted if job.id in before[name]}
        for names, room in (
            (before[job.id], model.start[job.id]),
            (behind, goal - model.end[job.id]),
        ):
            for crew in model.on_crew:
                work = [
                    model.picked[name, crew] * least
                    for name in sorted(names)
                    if (least := model.least.get((name, crew), 0))
                ]
                if len(work) >= _FEWEST_SHARED:
                    model.cp.add(sum(work) <= room)


def waits_for(problem: Problem, names: tuple[str, ...]) -> set[str]:
    """Return all jobs that must have ended before the named ones begin."""
    by_id = {job.id: job for job in problem.jobs}
    found: set[str] = set()
    left = list(names)
    while left:
        for name, lag in by_id[left.pop()].after:
            if lag >= 0 and name not in found:
                found.add(name)
                left.append(name)
    return found


def _behind(problem: Problem, order: list[str]) -> list[str]:
    """Keep an order, but put each job behind those it waits for or keeps by."""
    by_id = {job.id: job for job in problem.jobs}
    kept: dict[str, None] = {}

    def put(name: str) -> None:
        if name in kept:
            return
        job = by_id[name]
        for before in (*(one for one, _ in job.after), *((job.keeps[0],) if job.keeps else ())):
            put(before)
        kept[name] = None

    for name in order:
        put(name)
    return list(kept)


def _add_job(model: _Model, job: Job, first: int, last: int) -> bool:
    """Add a job's start between two days, its end and who does it; whether it can be done."""
    from ortools.sat.python import cp_model  # noqa: PLC0415 - as _solve

    cp, axis = model.cp, model.axis
    days = np.arange(axis.length)
    outside = (days < axis.latest(first)) | (days > axis.latest(last))
    rows = [np.where(outside, NEVER, axis.ends(option.ends)) for option in job.options]
    allowed = np.flatnonzero(np.any([row != NEVER for row in rows], axis=0))
    if not len(allowed):
        return False
    start = cp.new_int_var_from_domain(cp_model.Domain.from_values(allowed.tolist()), job.id)
    latest = axis.length if job.latest is None else axis.latest(job.latest)
    end = cp.new_int_var(0, latest, f"{job.id} ends")
    model.start[job.id], model.end[job.id] = start, end
    picks = []
    for option, row in zip(job.options, rows, strict=True):
        pick = cp.new_bool_var(f"{job.id} by {option.crew}")
        picks.append(pick)
        model.picked[job.id, option.crew] = pick
        own, size = _own_end(model, row, start, pick)
        cp.add(end == own).only_enforce_if(pick)
        if option.crew:
            can = np.flatnonzero(row != NEVER)
            model.least[job.id, option.crew] = int((row[can] - can).min()) if len(can) else 0
            interval = cp.new_optional_interval_var(start, size, own, pick, "")
            model.on_crew.setdefault(option.crew, []).append(interval)
        if job.machine:
            interval = cp.new_optional_interval_var(start, size, own, pick, "")
            model.on_machine.setdefault(job.machine, []).append(interval)
    cp.add_exactly_one(picks)
    return True


def _own_end(
    model: _Model, row: Days, start: "IntVar", pick: "BoolVarT"
) -> tuple["LinearExprT", "LinearExprT"]:
    """End and length of one way to do a job: a line where all lengths are one, else a row."""
    from ortools.sat.python import cp_model  # noqa: PLC0415 - as _solve

    cp = model.cp
    allowed = np.flatnonzero(row != NEVER)
    if len(allowed) < len(row):
        within = cp_model.Domain.from_values(allowed.tolist())
        cp.add_linear_expression_in_domain(start, within).only_enforce_if(pick)
    lengths = np.unique(row[allowed] - allowed)
    if len(lengths) <= 1:
        length = int(lengths[0]) if len(lengths) else 0
        return start + length, length
    own = cp.new_int_var(0, len(row), "")
    # Ends never go back: days on which nothing begins borrow the next end.
    filled = np.minimum.accumulate(np.where(row == NEVER, len(row), row)[::-1])[::-1]
    cp.add_element(start, filled.tolist(), own)
    # Without its least length said, the solver takes every job for one that may take no time.
    size = cp.new_int_var(int(lengths[0]), int(lengths[-1]), "")
    return own, size


def _add_order(model: _Model, job: Job) -> None:
    """Let a job wait for those before it, and not outlast what keeps it."""
    cp, axis = model.cp, model.axis
    for name, lag in job.after:
        if lag == 0:
            cp.add(model.start[job.id] >= model.end[name])
            continue
        free = cp.new_int_var(0, axis.length, "")
        cp.add_element(model.end[name], axis.wait(lag).tolist(), free)
        cp.add(model.start[job.id] >= free)
    if job.keeps is not None:
        name, length = job.keeps
        until = cp.new_int_var(0, axis.length, "")
        cp.add_element(model.start[name], axis.keeps(length).tolist(), until)
        cp.add(model.end[job.id] <= until)
