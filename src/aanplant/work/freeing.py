"""What holds the planting back: let go of one limit after another, and solve again."""

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, fields, replace
from datetime import date
from typing import Protocol

from aanplant.work.binding import Chain, too_long
from aanplant.work.calendar_problem import Setting, build
from aanplant.work.freed import AS_IT_IS, Freed
from aanplant.work.greedy import last_end
from aanplant.work.jobs import Problem, Schedule
from aanplant.work.listed import PLANT, TaskList, base_of
from aanplant.work.search import search

SHARE = 0.15
"""Of the search's limit that each trial may use: a calendar is wanted, not the best one."""
MANY = (2, 4, 8)
"""Deliveries tried in the place of each one."""
EARLIER = (3, 6, 12, 18, 24)
"""Months by which the work is tried to begin earlier."""
LATER = (1, 2, 3, 6, 9, 12, 18, 24)
"""Months by which the planting is tried later."""
_DAYS_A_WEEK = 7
_MORE_OF = {"two_crews": "crew"}
"""Not tried where less of the same was enough."""
_LAST = ("crew", "machine", "deliveries", "store", "two_crews")
"""What can be bought or arranged; of changes that free only together, these are kept."""


@dataclass(frozen=True)
class Trial:
    """What came of a change that frees the planting.

    Parameters
    ----------
    limit : str
        What was let go or widened, a name behind ``calendar_frees`` in the catalogue; "wait"
        with the task that takes no time.
    planted_by : date
        Last day of planting then.
    count : int
        How many months, weeks or deliveries; 0 where nothing is counted.
    task : str
        Task that takes no time, "" for none.
    """

    limit: str
    planted_by: date
    count: int = 0
    task: str = ""


@dataclass(frozen=True)
class Late:
    """A calendar that keeps every limit but the last day of planting, and what would help.

    Parameters
    ----------
    schedule : Schedule
        Empty where there is none even then.
    planted_by : date or None
        Last day of planting in it.
    chain : Chain or None
        Tasks that can't be done in time whatever the crews; None where crews or machines bind.
    trials : tuple of Trial
        Changes that, one at a time, end the planting in time.
    together : tuple of str
        Limits that free it only when all of them are let go; empty where one is enough.
    """

    schedule: Schedule
    planted_by: date | None
    chain: Chain | None
    trials: tuple[Trial, ...]
    together: tuple[str, ...] = field(default=())


class Moved(Protocol):
    """The tasks with work that begins months earlier, or vines planted months later."""

    def __call__(self, *, earlier: int = 0, later: int = 0) -> tuple[TaskList, Setting] | None:
        """None where that changes nothing."""
        ...


@dataclass
class _Tries:
    """Searches of one plan, counted for whoever waits for them."""

    tasks: TaskList
    setting: Setting
    limit: float
    report: Callable[[float], None]
    done: int = 0

    def with_(self, freed: Freed) -> date | None:
        """Last day of planting with limits let go, None where that does not end in time."""
        return self.of(build(self.tasks, self.setting, freed), self.setting)

    def of(self, problem: Problem, setting: Setting) -> date | None:
        """Last day of planting of a problem, None where it can't be done in time."""
        self.done += 1
        self.report(1.0 - 0.9**self.done)  # how many tries there will be is not known ahead
        found = search(problem, limit=self.limit * SHARE)
        return setting.days.day(last_end(problem, found.placed) - 1) if found.placed else None


def find_what_frees(
    tasks: TaskList,
    setting: Setting,
    moved: Moved,
    *,
    limit: float,
    check: Callable[[float], None] | None = None,
) -> Late:
    """Look for what binds a calendar that can't end in time, and for changes that free it.

    Parameters
    ----------
    tasks, setting
        What could not be booked.
    moved : callable
        Gives the tasks on other days.
    limit : float
        Deterministic time of the search. [-]
    check : callable, optional
        Called with the fraction done; may raise ``Cancelled``.
    """
    report = check or (lambda _: None)
    tries = _Tries(tasks, setting, limit, report)
    problem = build(tasks, setting, Freed(latest=True))
    late = search(problem, limit=limit * SHARE)
    planted = setting.days.day(last_end(problem, late.placed) - 1) if late.placed else None
    limits = dict(_limits(tasks))
    trials = [*_window(tries, planted), *_alone(tries, limits)]
    trials += [*_waits(tries, limits), *_moves(tries, moved)]
    alone = {trial.limit for trial in trials} & set(limits)
    together = () if alone or any(trial.task for trial in trials) else _together(tries, limits)
    chain = too_long(build(tasks, setting))
    return Late(late, planted, chain, tuple(trials), together)


def _limits(tasks: TaskList) -> Iterator[tuple[str, Freed]]:
    """Yield the limits that this block has, by name, with what it is to let them go."""
    yield "crew", Freed(crews=1)
    yield "two_crews", Freed(crews=2)
    if tasks.machines:
        yield "machine", Freed(machines=1)
    yield "deliveries", Freed(deliveries=MANY[-1])
    yield "store", Freed(store=True)
    if any(item.season for item in tasks.listed):
        yield "season", Freed(seasons=True)
    yield "weather", Freed(weather=True)
    yield "rest", Freed(rest=True)
    if any(crew.start or crew.until or crew.away for crew in tasks.crews):
        yield "presence", Freed(presence=True)
    yield "lead", Freed(lead=True)
    if any(item.task.name for item in tasks.listed):
        yield "own", Freed(own=True)
    if waits := _waiting(tasks):
        yield "waits", Freed(waits=frozenset(waits))


def _waiting(tasks: TaskList) -> tuple[str, ...]:
    return tuple(
        item.task.id
        for item in tasks.listed
        if item.done_by == "wait" and item.task.duration_days > 0
    )


def _alone(tries: _Tries, limits: Mapping[str, Freed]) -> Iterator[Trial]:
    """Let go of one limit at a time; waits are tried each by itself elsewhere."""
    freed: set[str] = set()
    for name, change in limits.items():
        if name == "waits" or _MORE_OF.get(name) in freed:
            continue
        for many in MANY if name == "deliveries" else (0,):
            day = tries.with_(replace(change, deliveries=many) if many else change)
            if day is not None:
                freed.add(name)
                yield Trial(name, day, many * len(tries.tasks.deliveries))
                break


def _waits(tries: _Tries, limits: Mapping[str, Freed]) -> Iterator[Trial]:
    """Find the single waits without which the planting ends in time."""
    if "waits" not in limits or tries.with_(limits["waits"]) is None:
        return
    for task in _waiting(tries.tasks):
        day = tries.with_(Freed(waits=frozenset({task})))
        if day is not None:
            yield Trial("wait", day, task=task)


def _window(tries: _Tries, planted: date | None) -> Iterator[Trial]:
    """Give the planting as many weeks as it takes where nothing else is let go."""
    last = next((item.task.latest for item in tries.tasks.listed
                 if base_of(item.task.id) == PLANT), None)  # fmt: skip
    first = next((item.task.earliest for item in tries.tasks.listed
                  if base_of(item.task.id) == PLANT), None)  # fmt: skip
    if planted is None or last is None or first is None or planted <= last:
        return
    weeks = math.ceil(((planted - first).days + 1) / _DAYS_A_WEEK)
    until = tries.setting.days.index(first) + weeks * _DAYS_A_WEEK
    problem = build(tries.tasks, tries.setting)
    jobs = tuple(
        replace(job, latest=until) if job.id in problem.targets else job for job in problem.jobs
    )
    day = tries.of(replace(problem, jobs=jobs), tries.setting)
    if day is not None:
        yield Trial("window", day, weeks)


def _moves(tries: _Tries, moved: Moved) -> Iterator[Trial]:
    """Begin earlier, and plant later, by as few months as are enough."""
    for limit, months in (("earlier", EARLIER), ("later", LATER)):
        for many in months:
            found = moved(earlier=many) if limit == "earlier" else moved(later=many)
            if found is None:
                break
            day = tries.of(build(*found), found[1])
            if day is not None:
                yield Trial(limit, day, many)
                break


def _together(tries: _Tries, limits: Mapping[str, Freed]) -> tuple[str, ...]:
    """Find limits that free the planting together, none of which can be kept."""
    names = [name for name in limits if name not in _LAST]
    names += [name for name in _LAST if name in limits and name != "crew"]
    if tries.with_(_all_of(limits, names)) is None:
        return ()
    for name in tuple(names):
        fewer = [one for one in names if one != name]
        if tries.with_(_all_of(limits, fewer)) is not None:
            names = fewer
    return tuple(names)


def _all_of(limits: Mapping[str, Freed], names: list[str]) -> Freed:
    """Let go of several limits at once."""
    changes = {
        part.name: value
        for name in names
        for part in fields(Freed)
        if (value := getattr(limits[name], part.name)) != getattr(AS_IT_IS, part.name)
    }
    return replace(AS_IT_IS, **changes)
