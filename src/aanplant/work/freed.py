"""Limits of a calendar taken away or widened, to see what holds the planting back."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from aanplant.work.jobs import in_order
from aanplant.work.listed import (
    BY_DELIVERY,
    ORDER,
    ORDER_VINES,
    PLANT,
    RECEIVE,
    Listed,
    TaskList,
    base_of,
)
from aanplant.work.tasks import Task
from aanplant.workforce import Crew

ORDERS = (ORDER, ORDER_VINES)


@dataclass(frozen=True)
class Freed:
    """Limits taken away or widened.

    Parameters
    ----------
    crews, machines : int
        Of each, so many more than there are.
    deliveries : int
        Each delivery comes in so many.
    store : bool
        Vines keep as long as it takes.
    seasons : bool
        Work that has a season is done in any.
    weather : bool
        Every day is fit.
    rest : bool
        Every day is worked, Sundays, holidays and shutdown too.
    presence : bool
        Crews are there all the time.
    lead : bool
        What is ordered is there at once, and may be ordered at any time.
    own : bool
        Tasks of the estate's own may be done at any time, and nothing waits between them.
    waits : frozenset of str
        Tasks of waiting that take no time.
    latest : bool
        No task of the program has a last day.
    """

    crews: int = 0
    machines: int = 0
    deliveries: int = 1
    store: bool = False
    seasons: bool = False
    weather: bool = False
    rest: bool = False
    presence: bool = False
    lead: bool = False
    own: bool = False
    waits: frozenset[str] = frozenset()
    latest: bool = False


AS_IT_IS = Freed()


def here(crew: Crew) -> Crew:
    """Return a crew that is there all the time."""
    return crew.model_copy(update={"start": None, "until": None, "away": ()})


def without_limits(tasks: TaskList, freed: Freed, *, warm_days: int) -> TaskList:
    """Let go of the limits that lie in the tasks themselves.

    Parameters
    ----------
    tasks : TaskList
        As they are.
    freed : Freed
        What is let go.
    warm_days : int
        Longest time that vines stand in the warm before planting, on whatever day. [d]
    """
    if freed == AS_IT_IS:
        return tasks
    listed = tuple(replace(item, task=_freed(item, freed, warm_days)) for item in tasks.listed)
    found = replace(tasks, listed=listed)
    return in_more_deliveries(found, freed.deliveries) if freed.deliveries > 1 else found


def _freed(item: Listed, freed: Freed, warm_days: int) -> Task:
    task, is_own = item.task, bool(item.task.name)
    if task.id in freed.waits:
        task = replace(task, duration_days=0)
    if freed.lead:
        after = tuple((name, min(lag, 0) if name in ORDERS else lag) for name, lag in task.after)
        task = replace(task, after=after)
    if (freed.latest or (freed.lead and base_of(task.id) != PLANT)) and not is_own:
        task = replace(task, latest=None)
    if freed.latest and base_of(task.id) == RECEIVE:
        task = replace(task, earliest=None)
    if freed.latest and base_of(task.id) == PLANT:
        # Planted behind its weeks, the vines may have to stand in the warm for longer.
        after = tuple((name, warm_days if base_of(name) == RECEIVE else lag)
                      for name, lag in task.after)  # fmt: skip
        task = replace(task, after=after)
    if freed.own and is_own:
        after = tuple((name, 0) for name, _ in task.after)
        task = replace(task, earliest=None, latest=None, after=after)
    return task


def in_more_deliveries(tasks: TaskList, many: int) -> TaskList:
    """Let each delivery come in so many, with their share of its vines each."""
    listed = {item.task.id: item for one in tasks.listed for item in _parted(one, many)}
    order, _ = in_order({name: [one for one, _ in item.task.after]
                         for name, item in listed.items()})  # fmt: skip
    counts = tuple(count // many for count in tasks.deliveries for _ in range(many))
    return replace(tasks, listed=tuple(listed[name] for name in order), deliveries=counts)


def _parted(item: Listed, many: int) -> Iterator[Listed]:
    """Yield a task as it is, or one for each part of its delivery."""
    task, base = item.task, base_of(item.task.id)
    if base == task.id:
        after = [
            (each, lag)
            for name, lag in task.after
            for each in _parts(name, range(1, many + 1), many)
        ]
        yield replace(item, task=replace(task, after=tuple(after)))
        return
    number = _number(task.id)
    for part in range(1, many + 1):
        own = (number - 1) * many + part
        after = []
        for name, lag in task.after:
            behind = base_of(name) != name and _number(name) != number
            if not behind:
                after += [(each, lag) for each in _parts(name, (part,), many)]
            elif part == 1:
                after += [(each, lag) for each in _parts(name, (many,), many)]
        if part > 1 and base in {RECEIVE, PLANT}:
            after.append((f"{base}-{own - 1}", -1 if base == RECEIVE else 0))
        yield replace(
            item,
            task=replace(
                task, id=f"{base}-{own}", quantity=task.quantity / many,
                person_hours=task.person_hours / many, after=tuple(after),
            ),
            by_crews=tuple(-(-days // many) for days in item.by_crews),
        )  # fmt: skip


def _parts(name: str, parts: range | tuple[int, ...], many: int) -> Iterator[str]:
    """Yield the names of the parts of a task of a delivery; another's as it is."""
    base = base_of(name)
    if base not in BY_DELIVERY:
        yield name
        return
    for part in parts:
        yield f"{base}-{(_number(name) - 1) * many + part}"


def _number(name: str) -> int:
    return int(name.rpartition("-")[2])
