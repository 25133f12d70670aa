"""What the charts of work and money are drawn from, as it goes over the wire."""

from typing import Annotated, Literal

from pydantic import Field

from aanplant.server.chart_shapes import ChartShape
from aanplant.server.wire import Shape

Day = Annotated[str, Field(pattern=r"^\d{4}-\d\d-\d\d$")]


class TaskShape(Shape):
    """A task on its days."""

    id: str = Field(examples=["line-posts"])
    """As ``plan.json`` names it."""
    name: str = Field(examples=["drive line posts"])
    """What it is called."""
    start: Day = Field(examples=["2027-04-20"])
    """First day."""
    end: Day = Field(examples=["2027-05-12"])
    """Last day."""
    float_days: int = Field(examples=[0])
    """Days it may slip before anything behind it does. [d]"""
    mark: Literal["work", "wait", "desk", "gate"] = Field(examples=["work"])
    """How it is drawn: worked on, waited for, one day at the desk, or the gate."""
    crew: str = Field(examples=["Planters"])
    """Who does it, "" for nobody of the estate."""
    days: str = Field(examples=["20 Apr 2027–12 May 2027"])
    """Its days in words."""
    held_by: str = Field(examples=["check-set-out"])
    """Task that holds it to its first day, "" for none."""
    told: list[str] = Field(examples=[["Crew: Planters, 120 h of work"]])
    """What holds it, how much it is, what it needs and what it may slip."""


class TaskRowShape(Shape):
    """A line of the calendar."""

    group: str = Field(examples=["wire"])
    """Stage of the job."""
    name: str = Field(examples=["drive line posts"])
    """What stands before it."""
    tasks: list[TaskShape]
    """On it."""


class DeliveryShape(Shape):
    """Vines that arrive."""

    arrives: Day = Field(examples=["2027-08-02"])
    """Day on which they come."""
    keeps_until: Day = Field(examples=["2027-09-06"])
    """Last day on which the store keeps them well."""
    text: str = Field(examples=["6 405 vines, planted from 3 Aug 2027 to 17 Aug 2027."])
    """In words."""


class ChanceShape(Shape):
    """How sure all is planted by a day."""

    day: Day = Field(examples=["2027-09-15"])
    """The day."""
    chance_pct: float = Field(examples=[84.0])
    """Of the simulated years. [%]"""


class CalendarShape(ChartShape):
    """The tasks of a block in time."""

    chart: Literal["calendar"] = Field(examples=["calendar"])
    """Which chart."""
    groups: dict[str, str] = Field(examples=[{"wire": "Wire"}])
    """Stages of the job, in their order, and what they are called."""
    rows: list[TaskRowShape]
    """By stage, each stage's in the order of their start."""
    days_off: list[Day] = Field(examples=[["2027-04-27"]])
    """Public holidays and shutdown."""
    deliveries: list[DeliveryShape]
    """Of vines."""
    chance: list[ChanceShape]
    """That all is planted, by day."""
    gate: Day | None = Field(examples=["2027-05-26"])
    """Day from which vines may leave the store."""
    today: Day = Field(examples=["2026-11-26"])
    """The day on which this was asked."""
    words: dict[str, str] = Field(examples=[{"tight": "no day to spare"}])
    """Key of the marks."""


class MoneyShape(ChartShape):
    """Cost, income and balance by year, and money by month."""

    chart: Literal["money"] = Field(examples=["money"])
    """Which chart."""
    currency: str = Field(examples=["ZAR"])
    """Of the estate."""
    years: list[int] = Field(examples=[[-1, 0, 1]])
    """From planting."""
    costs: list[float] = Field(examples=[[100000.0, 3000000.0, 90000.0]])
    """Of each year. [currency]"""
    incomes: list[float] = Field(examples=[[0.0, 0.0, 0.0]])
    """Of each year. [currency]"""
    balances: list[float] = Field(examples=[[-100000.0, -3100000.0, -3400000.0]])
    """So far, with interest. [currency]"""
    months: list[str] = Field(examples=[["2027-08"]])
    """Months in which something is paid or earned."""
    month_names: list[str] = Field(examples=[["Aug 2027"]])
    """The same in words."""
    nets: list[float] = Field(examples=[[-900000.0]])
    """Of each month, in money of today. [currency]"""
    so_far: list[float] = Field(examples=[[-2900000.0]])
    """To the end of each month, without interest. [currency]"""
    words: dict[str, str] = Field(examples=[{"cost": "cost"}])
    """Headings and key."""


class MovedShape(Shape):
    """The worth with one thing moved down and up."""

    name: str = Field(examples=["price"])
    """As ``plan.json`` names it."""
    label: str = Field(examples=["grape price"])
    """What it is called."""
    low: str = Field(examples=["−20 %"])
    """What it is moved down to."""
    high: str = Field(examples=["+20 %"])
    """What it is moved up to."""
    npv_low: float = Field(examples=[-400000.0])
    """Net present value then. [currency]"""
    npv_high: float = Field(examples=[1100000.0])
    """Net present value then. [currency]"""


class SensitivityShape(ChartShape):
    """What the result hangs on, the widest first."""

    chart: Literal["sensitivity"] = Field(examples=["sensitivity"])
    """Which chart."""
    axis: str = Field(examples=["net present value, thousand ZAR"])
    """What runs along the foot, in thousands."""
    npv: float | None = Field(examples=[393799.0])
    """As planned; null while no price of grapes is known. [currency]"""
    npv_text: str = Field(examples=["as planned: 394"])
    """The same in words."""
    moved: list[MovedShape]
    """The widest first."""
