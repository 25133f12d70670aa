"""The list of a block's tasks: its shapes, its names, and the days it may fill."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from aanplant.brief import Brief
from aanplant.work.nursery_dates import months_before
from aanplant.work.tasks import Task
from aanplant.workforce import Crew
from aanplant.working import Working

DoneBy = Literal["crew", "machine", "one", "office", "wait"]
"""crew: a crew is held up by it; machine: its driver alone; one: one person, no crew held up;
office: a day at a desk; wait: nobody."""
GATE = "gate"
ORDER = "order-materials"
"""What is ordered then comes after its lead time."""
BY_DELIVERY = ("receive", "plant", "water-in")
"""Tasks done for each delivery of vines by itself."""
DELIVERED = "delivered"
RECEIVE, PLANT, WATER_IN = "receive", "plant", "water-in"
ORDER_VINES = "order-vines"


@dataclass(frozen=True, slots=True)
class Listed:
    """A task, and what its days hang on beside its hours.

    Parameters
    ----------
    task : Task
        Not yet given to a crew.
    done_by : str
        One of ``DoneBy``.
    season : tuple of str or None
        First and last day of the year it is done between, as they are in the south.
    by_crews : tuple of int
        Days of work it takes with one, two … crews like the one that is booked, where that
        hangs on a pace and not on the people of the crew; empty for the rest. [d]
    """

    task: Task
    done_by: DoneBy
    season: tuple[str, str] | None = None
    by_crews: tuple[int, ...] = ()


@dataclass(frozen=True)
class TaskList:
    """All tasks of a block, and who there is to do them.

    Parameters
    ----------
    listed : tuple of Listed
        Each behind those it waits for.
    crews : tuple of Crew
        Of the estate; those who plant where it names none.
    machines : mapping of str to int
        How many there are of each that is needed.
    deliveries : tuple of int
        Vines in each delivery.
    hours_per_day : float
        Hours worked in a day. [h]
    figures : tuple of Working
        The hours of each task.
    """

    listed: tuple[Listed, ...]
    crews: tuple[Crew, ...]
    machines: Mapping[str, int]
    deliveries: tuple[int, ...]
    hours_per_day: float
    figures: tuple[Working, ...]
    findings: tuple[()] = ()

    @property
    def tasks(self) -> tuple[Task, ...]:
        """The tasks alone."""
        return tuple(item.task for item in self.listed)


def base_of(task: str) -> str:
    """Id of a task as the table has it, a delivery's number left out."""
    base, _, number = task.rpartition("-")
    return base if base in BY_DELIVERY and number.isdigit() else task


def first_day(brief: Brief) -> date | None:
    """First day of all work, None while there is no month of planting.

    As the brief says; else so many months before planting, but not before the day on which
    dates are judged, since nothing that is left can be done before today.
    """
    if not brief.work.planting:
        return None
    if brief.schedule.starts:
        return date.fromisoformat(brief.schedule.starts)
    start = date.fromisoformat(
        f"{months_before(brief.work.planting, brief.schedule.months_before)}-01"
    )
    if brief.nursery.as_of:
        start = max(start, date.fromisoformat(brief.nursery.as_of))
    return start


def planting_span(brief: Brief) -> tuple[date, date] | None:
    """First day of planting, and the last day by which it must be over."""
    if not brief.work.planting:
        return None
    first = date.fromisoformat(f"{brief.work.planting}-01")
    return first, first + timedelta(days=round(brief.schedule.planting_weeks * 7.0) - 1)
