"""Who and what works on the estate: wages, crews, machines, working days, its own tasks."""

import re
from datetime import date
from typing import Annotated, Literal, Self

from pydantic import AfterValidator, BeforeValidator, Field, StringConstraints, model_validator

from aanplant.brief.fields import MEMORY, PRACTICE, Name, Quantity, Section, refusal

WeekDay = Literal["mon", "tue", "wed", "thu", "fri", "sat", "sun"]
WEEK_DAYS: tuple[WeekDay, ...] = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
TaskGroup = Literal[
    "ground", "preparation", "stock", "rows", "wire", "water", "planting", "aftercare"
]
TASK_GROUPS: tuple[TaskGroup, ...] = (
    "ground",
    "preparation",
    "stock",
    "rows",
    "wire",
    "water",
    "planting",
    "aftercare",
)
"""In the order of the job."""
TaskId = Annotated[str, StringConstraints(pattern=r"^[a-z][a-z0-9-]{0,59}$")]
_LEAP_YEAR = 2028


def _day(value: object) -> object:
    """Take a date of TOML, or a text such as "2027-08-02"."""
    if not isinstance(value, str):
        return value
    try:
        return date.fromisoformat(value)
    except ValueError:
        raise refusal(repr(value), 'a day, such as "2027-08-02"') from None


def _month_day(value: object) -> object:
    """Check a day of any year, such as "12-15"."""
    try:
        date.fromisoformat(f"{_LEAP_YEAR}-{value}")
    except ValueError:
        raise refusal(repr(value), 'a month and day, such as "12-15"') from None
    return value


def _country(name: str) -> str:
    if name and not re.fullmatch(r"[A-Z]{2}(-[A-Za-z0-9]{1,10})?", name):
        raise refusal(repr(name), 'a country by its two letters, such as "ZA" or "US-CA"')
    return name


def _some_day(days: tuple[WeekDay, ...]) -> tuple[WeekDay, ...]:
    if not days:
        raise refusal("no day of the week", f"at least one of {', '.join(WEEK_DAYS)}")
    return days


_Day = Annotated[date, BeforeValidator(_day)]
_MonthDay = Annotated[str, BeforeValidator(_month_day)]
_Money = Annotated[float, Quantity("", 0.0, 1e9)]
_Hours = Annotated[float, Quantity("h", 0.0, 1e6)]


class Labour(Section):
    """Wages, hours and norms of work."""

    wage: _Money | None = None
    """Wage of one hour of work, in the estate's currency."""
    on_costs: Annotated[float, Quantity("", 0.0, 3.0), PRACTICE] = 0.0
    """What is paid on top of the wage, as a fraction of it."""
    hours_per_day: Annotated[float, Quantity("h", 1.0, 16.0), PRACTICE] = 9.0
    """Hours worked in a day."""
    norms: dict[str, Annotated[float, Quantity("", 0.0001, 10_000.0)]] = Field(default_factory=dict)
    """Person-hours for one unit of a task, by task, where yours differ from the program's."""


class Crew(Section):
    """People who work together."""

    name: Annotated[Name, StringConstraints(min_length=1)]
    """Name of the crew."""
    people: Annotated[int, Field(ge=1, le=1000)]
    """How many people it has."""
    tasks: tuple[Name, ...] = ()
    """Groups of tasks, or single tasks, it does; any when left out."""
    start: Annotated[_Day | None, Field(alias="from")] = None
    """First day it works here."""
    until: _Day | None = None
    """Last day it works here."""
    away: tuple[tuple[_Day, _Day], ...] = ()
    """First and last day of each time in which it works elsewhere, such as on another block."""

    @model_validator(mode="after")
    def _ends_after_it_begins(self) -> Self:
        if self.start is not None and self.until is not None and self.until < self.start:
            raise refusal(f"from {self.start} until {self.until}", "a last day after the first day")
        for first, last in self.away:
            if last < first:
                raise refusal(f"away from {first} to {last}", "a last day after the first day")
        return self


class EstateMachine(Section):
    """A machine or implement, and what it does in an hour."""

    count: Annotated[int, Field(ge=1, le=1000), PRACTICE] = 1
    """How many there are."""
    price_per_hour: _Money | None = None
    """Price of an hour of work, in the estate's currency."""
    price_per_day: _Money | None = None
    """Price of a day, in the estate's currency."""
    width: Annotated[float, Quantity("m", 0.1, 50.0)] | None = None
    """Width it works at once."""
    speed: Annotated[float, Quantity("km/h", 0.1, 40.0)] | None = None
    """Speed at work."""
    field_efficiency: Annotated[float, Quantity("", 0.05, 1.0), MEMORY] = 0.75
    """Share of its time it really works, turns and stops taken off."""


class WorkCalendar(Section):
    """The days on which the estate works."""

    holidays: Annotated[Name, AfterValidator(_country)] = ""
    """Country whose public holidays are kept, by its two letters, such as "ZA"; a part of it
    behind a dash, such as "US-CA"."""
    work_days: Annotated[tuple[WeekDay, ...], AfterValidator(_some_day), PRACTICE] = (
        "mon",
        "tue",
        "wed",
        "thu",
        "fri",
    )
    """Days of the week on which people work."""
    shutdown: tuple[tuple[_MonthDay, _MonthDay], ...] = ()
    """First and last day of each yearly shutdown, month-day."""


class OwnTask(Section):
    """A task of the estate's own."""

    id: TaskId
    """Its id, small letters and dashes, such as "clear-stones"."""
    name: Name = ""
    """What it is called; the id when left out."""
    group: Annotated[TaskGroup, PRACTICE] = "preparation"
    """Group it belongs to."""
    after: tuple[TaskId, ...] = ()
    """Tasks that must be done before it."""
    before: tuple[TaskId, ...] = ()
    """Tasks that wait for it."""
    wait: Annotated[int, Field(ge=0, le=2000), PRACTICE] = 0
    """Days between the end of the tasks before it and its start."""
    hours: Annotated[_Hours, PRACTICE] = 0.0
    """Person-hours of work."""
    machine: Name = ""
    """Machine it needs."""
    machine_hours: Annotated[_Hours, PRACTICE] = 0.0
    """Hours of that machine."""
    days: Annotated[int, Field(ge=0, le=2000), PRACTICE] = 0
    """Days it takes where nobody works on it, such as waiting for a letter."""
    earliest: _Day | None = None
    """Not before this day."""
    latest: _Day | None = None
    """Done by this day."""
    conditions: tuple[Name, ...] = ()
    """Weather and soil it needs, by the program's table of conditions."""
    gate: Annotated[bool, PRACTICE] = False
    """Whether the vines stay in the store until it is done."""

    @model_validator(mode="after")
    def _its_window_holds_a_day(self) -> Self:
        if self.earliest is not None and self.latest is not None and self.latest < self.earliest:
            raise refusal(
                f"a window of no days, from {self.earliest} to {self.latest}",
                "a latest day after the earliest",
            )
        return self
