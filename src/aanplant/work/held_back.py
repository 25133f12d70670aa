"""What holds a task to its first day: a task before it, its earliest day, its crew or machine."""

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from aanplant.work.tasks import Booked, Calendar
from aanplant.workforce import WEEK_DAYS

Cause = Literal["after", "earliest", "crew", "machine", "free"]


@dataclass(frozen=True, slots=True)
class HeldBack:
    """Why a task does not begin a day sooner.

    Parameters
    ----------
    cause : str
        ``after`` a task that must be done before; its ``earliest`` day; its ``crew`` or its
        ``machine`` at another task; ``free`` where none of these touches its first day.
    task : Booked or None
        The other task, where there is one.
    wait_days : int
        Days that must lie between the two. [d]
    """

    cause: Cause
    task: Booked | None = None
    wait_days: int = 0


def held_back(item: Booked, calendar: Calendar, work_days: Collection[str]) -> HeldBack:
    """Find what holds a task to its first day.

    Days on which nobody works count as no time between two tasks. Weather is not looked
    at: a task that waits for a fit day counts as free.

    Parameters
    ----------
    item : Booked
        The task.
    calendar : Calendar
        All tasks with their days.
    work_days : collection of str
        Days of the week on which the estate works.
    """
    others = {one.task.id: one for one in calendar.booked}
    off = frozenset(calendar.days_off)

    def touches(ready: date) -> bool:
        gap = (item.start - ready).days
        return gap <= 0 or all(
            day in off or WEEK_DAYS[day.weekday()] not in work_days
            for day in (ready + timedelta(days=number) for number in range(gap))
        )

    before = [(others[name], lag) for name, lag in item.task.after if name in others]
    if before:
        last, lag = max(before, key=lambda pair: (_ready(*pair), pair[1]))
        if touches(_ready(last, lag)):
            return HeldBack("after", last, max(lag, 0))
    if item.task.earliest is not None and touches(item.task.earliest):
        return HeldBack("earliest")
    for cause, other in _sharing(item, calendar):
        if other.end < item.start and touches(_ready(other, 0)):
            return HeldBack(cause, other)
    return HeldBack("free")


def _ready(before: Booked, lag: int) -> date:
    """First day on which what comes behind a task may begin."""
    return before.end + timedelta(days=1 + lag)


def _sharing(item: Booked, calendar: Calendar) -> Iterator[tuple[Cause, Booked]]:
    """Tasks of the same crew, then those of the same machine, the last to end first."""
    task = item.task
    by_end = sorted(calendar.booked, key=lambda one: one.end, reverse=True)
    for other in by_end:
        if other is not item and task.crew and task.person_hours and other.task.crew == task.crew:
            yield "crew", other
    for other in by_end:
        if other is not item and task.machine and other.task.machine == task.machine:
            yield "machine", other
