"""What a person chooses by: every chart with the stage it needs and the words beside it."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Annotated, Any, Literal

from pydantic import Field

from aanplant.brief import Brief
from aanplant.plan import Plan
from aanplant.server.row_chart_shapes import (
    DirectionShape,
    RootstockShape,
    SpacingShape,
    SparesShape,
)
from aanplant.server.row_charts import direction, rootstock, spacing, spares
from aanplant.server.work_chart_shapes import CalendarShape, MoneyShape, SensitivityShape
from aanplant.server.work_charts import calendar, money, sensitivity
from aanplant.units import UnitSystem

ChartName = Literal[
    "direction", "rootstock", "spares", "spacing", "calendar", "money", "sensitivity"
]
AnyChart = Annotated[
    DirectionShape
    | RootstockShape
    | SparesShape
    | SpacingShape
    | CalendarShape
    | MoneyShape
    | SensitivityShape,
    Field(discriminator="chart"),
]
_BEARING = "rows.bearing"


@dataclass(frozen=True)
class Chart:
    """How a chart is made.

    Parameters
    ----------
    until : str
        Last stage it needs.
    make : callable
        Takes the plan, the brief as it is asked, the reader's units and today.
    instead : mapping of str to value
        Keys of the brief that are asked otherwise to make it: bearings are compared only where
        the program is to choose one.
    """

    until: str
    make: Callable[[Plan, Brief, UnitSystem, date], AnyChart]
    instead: Mapping[str, Any]


def _direction(plan: Plan, asked: Brief, system: UnitSystem, _: date) -> DirectionShape:
    bearing = asked.rows.bearing
    return direction(plan, system, None if isinstance(bearing, str) else bearing)


CHARTS: Mapping[ChartName, Chart] = {
    "direction": Chart("layout", _direction, {_BEARING: "choose"}),
    "rootstock": Chart("stock", lambda plan, _, system, __: rootstock(plan, system), {}),
    "spares": Chart("work", lambda plan, _, system, __: spares(plan, system), {}),
    "spacing": Chart("work", lambda plan, _, system, __: spacing(plan, system), {}),
    "calendar": Chart("planting", lambda plan, _, system, today: calendar(plan, system, today), {}),
    "money": Chart("money", lambda plan, _, system, __: money(plan, system), {}),
    "sensitivity": Chart("money", lambda plan, _, system, __: sensitivity(plan, system), {}),
}
