"""What is to be done, and when it is done: the shapes that calendar, money and report share."""

from dataclasses import dataclass, field
from datetime import date, timedelta

from aanplant.working import Finding, Working

UNSOUGHT = "no month of planting"
"""Status of a calendar that was not looked for."""
TASK_WORD = "task."
"""Before a task's id: the word of the catalogue by which people know it."""


@dataclass(frozen=True, slots=True)
class Task:
    """One task of establishing a block.

    Parameters
    ----------
    id : str
        As the table of tasks or the estate has it; a delivery's number follows a dash.
    group : str
        ground, preparation, stock, rows, wire, water, planting or aftercare.
    quantity : float
        How much there is to do, in ``unit``.
    unit : str
        Such as ha, vines or each.
    person_hours : float
        Hours of work of one person. [h]
    crew : str
        Name of the crew that does it, "" where nobody of the estate works.
    machine : str
        Name of the machine it needs, "" for none.
    machine_hours : float
        Hours of that machine. [h]
    duration_days : int
        Days it takes: of work where people or machines work, else of the calendar. [d]
    after : tuple of (str, int)
        Tasks before it, and the least days between their end and its start. [d]
    earliest, latest : date or None
        First day it may start and last day it must end; None when free.
    conditions : tuple of str
        Weather and soil it needs, ids of ``work_conditions.csv``.
    figure : str
        Key of the figure of its hours, "" where none are worked.
    is_gate : bool
        Whether the vines stay in the store until it is done.
    name : str
        What a task of the estate's own is called; "" for those of the catalogue.
    """

    id: str
    group: str
    quantity: float
    unit: str
    person_hours: float
    crew: str
    machine: str
    machine_hours: float
    duration_days: int
    after: tuple[tuple[str, int], ...]
    earliest: date | None
    latest: date | None
    conditions: tuple[str, ...]
    figure: str
    is_gate: bool = False
    name: str = ""

    @property
    def is_worked(self) -> bool:
        """Whether people or machines of the estate work on it, on working days."""
        return bool(self.person_hours or self.machine_hours)


@dataclass(frozen=True, slots=True)
class Booked:
    """A task with its days.

    Parameters
    ----------
    task : Task
        What is done.
    start, end : date
        First and last day.
    float_days : int
        Days it may slip before anything behind it does; its free float, not that of the end. [d]
    """

    task: Task
    start: date
    end: date
    float_days: int


@dataclass(frozen=True, slots=True)
class Delivery:
    """One delivery of vines.

    Parameters
    ----------
    number : int
        From 1.
    vines : int
        Vines in it.
    arrives : date
        Day it comes to the estate.
    planted_from, planted_by : date
        First and last day of planting it.
    keeps_until : date
        Last day the cold store keeps it well.
    done_by : tuple of date
        Days by which the first, second … day's work of planting it is done, with the days
        that bad weather usually takes; the last is ``planted_by``. Empty without a calendar.
    """

    number: int
    vines: int
    arrives: date
    planted_from: date
    planted_by: date
    keeps_until: date
    done_by: tuple[date, ...] = ()


@dataclass(frozen=True, slots=True)
class FinishChance:
    """How likely the block is planted by a day.

    Parameters
    ----------
    day : date
        The day.
    probability : float
        Fraction of the simulated years in which planting ended by it. [-]
    """

    day: date
    probability: float


@dataclass(frozen=True)
class Calendar:
    """The tasks of a block in time.

    Parameters
    ----------
    booked : tuple of Booked
        By start; empty while there is no month of planting, or no calendar can be found.
    tasks : tuple of Task
        All that this block needs, also while they have no days.
    status : str
        optimal (proved), feasible, late (booked, but planting ends too late), infeasible, unknown
        or "no month of planting".
    objective_days, bound_days : float or None
        What the search made least, and what it can't be less than. [d]
    chance : tuple of FinishChance
        By day; empty without weather.
    deliveries : tuple of Delivery
        In their order.
    days_off : tuple of date
        Public holidays and shutdown between the first and the last task.
    figures, findings
        What the stage has to say.
    """

    booked: tuple[Booked, ...]
    tasks: tuple[Task, ...]
    status: str
    objective_days: float | None
    bound_days: float | None
    chance: tuple[FinishChance, ...]
    deliveries: tuple[Delivery, ...]
    days_off: tuple[date, ...]
    figures: tuple[Working, ...] = ()
    findings: tuple[Finding, ...] = field(default=())

    @property
    def is_possible(self) -> bool:
        """Whether it has days, or none were looked for; False where none could be found."""
        return bool(self.booked) or self.status == UNSOUGHT

    @property
    def span(self) -> tuple[date, date] | None:
        """First and last day of all, None where nothing is booked."""
        if not self.booked:
            return None
        return min(item.start for item in self.booked), max(item.end for item in self.booked)

    def days_of(self, task_id: str) -> tuple[date, ...]:
        """All days from a task's first to its last, days off included."""
        item = next(item for item in self.booked if item.task.id == task_id)
        return tuple(
            item.start + timedelta(days=day) for day in range((item.end - item.start).days + 1)
        )


UNBOOKED = Calendar((), (), UNSOUGHT, None, None, (), (), ())
"""A calendar in which nothing stands."""
