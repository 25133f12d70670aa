"""What is paid and earned, one line each, with its month or year, to the cent."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from typing import Literal, Protocol

from aanplant import tables
from aanplant.inputs import Inputs
from aanplant.work.cost_lines import CostLine
from aanplant.work.loan import CENT
from aanplant.work.quantities import OrderLine
from aanplant.work.tasks import TASK_WORD, Booked, Calendar, Task

Kind = Literal["material", "labour", "machine", "overhead", "income"]
KINDS: tuple[Kind, ...] = ("material", "labour", "machine", "overhead", "income")
TABLE = "money_stages.csv"
ROUND_WORD = "round."
"""Before the id of a round of aftercare: the word by which people know it."""
_MONTHS_BEFORE = {"ground": 12, "preparation": 6, "water": 2, "wire": 1, "rows": 1}
"""Months from a stage to planting while no calendar says when; common practice."""
_HOUR = "h"
HOURS = "hours of work"
"""What every sum lacks while no task is booked."""
CARE = "care of the young vines"
"""What every sum lacks while its rounds have no day."""


class AftercareRound(Protocol):
    """What money needs to know of a round of aftercare."""

    @property
    def id(self) -> str:
        """Name of the round in the catalogue."""

    @property
    def year(self) -> int:
        """Year from planting, 0 for the year of planting."""

    @property
    def first(self) -> date:
        """First day of the round."""

    @property
    def person_hours(self) -> float:
        """Hours of work. [h]."""

    @property
    def machine(self) -> str:
        """Machine it needs, "" for none."""

    @property
    def machine_hours(self) -> float:
        """Hours of that machine. [h]."""


@dataclass(frozen=True, slots=True)
class MoneyLine:
    """One thing paid or earned, in money of today.

    Parameters
    ----------
    id : str
        Of its own.
    stage : str
        Group of tasks it belongs to, or ``bearing`` for the years after.
    what : str
        In words; "" where ``word`` names it.
    word : str
        Id of its word in the catalogue, "" for none.
    quantity, rate : Decimal
        Their product is the cost.
    unit : str
        Of the quantity.
    cost : Decimal
        To the cent, never negative; what an income line brings in. [currency]
    month : str
        ``YYYY-MM``, "" for a whole year or while no month of planting is known.
    year : int
        Of twelve months from the month of planting; 0 is the year of planting.
    kind : str
        material, labour, machine, overhead or income.
    """

    id: str
    stage: str
    what: str
    word: str
    quantity: Decimal
    unit: str
    rate: Decimal
    cost: Decimal
    month: str
    year: int
    kind: Kind

    @property
    def flow(self) -> Decimal:
        """Income, or cost with its sign turned. [currency]."""
        return self.cost if self.kind == "income" else -self.cost


def to_cent(amount: Decimal) -> Decimal:
    """Round an amount to the cent, half a cent up."""
    return amount.quantize(CENT, ROUND_HALF_UP)


def exact(number: float) -> Decimal:
    """Write a quantity as a decimal of at most four places."""
    return Decimal(repr(round(number, 4)))


def year_of(month: str, planting: str) -> int:
    """Year of twelve months from the month of planting, 0 for the first.

    Both hemispheres have their first summer, and any crop of it, in year 0.
    """
    return (_months(month) - _months(planting)) // 12


def _months(month: str) -> int:
    return int(month[:4]) * 12 + int(month[5:7]) - 1


def month_before(month: str, months: int) -> str:
    """Return the month so many months before."""
    year, number = divmod(_months(month) - months, 12)
    return f"{year:04d}-{number + 1:02d}"


def stage_of(item: str) -> str:
    """Stage in which an item of the order is used: that of the longest name it begins with."""
    fitting = [row for row in tables.rows(TABLE) if item.startswith(row["item"])]
    return max(fitting, key=lambda row: len(row["item"]))["stage"]


def stage_months(calendar: Calendar, planting: str) -> Mapping[str, str]:
    """First month of each stage: by the calendar, else as common practice has it."""
    if not planting:
        return {}
    usual = {
        group: month_before(planting, _MONTHS_BEFORE.get(group, 0))
        for group in ("ground", "preparation", "stock", "rows", "wire", "water", "planting")
    }
    booked: dict[str, str] = {}
    for item in calendar.booked:
        group = item.task.group
        # Vines are paid when they come, not while they are asked for.
        if group != "stock":
            booked[group] = min(booked.get(group, "9999-12"), _month_of(item.start))
    return usual | booked


def _month_of(day: date) -> str:
    return f"{day.year:04d}-{day.month:02d}"


def material_lines(
    costs: Sequence[CostLine],
    orders: Sequence[OrderLine],
    months: Mapping[str, str],
    planting: str,
    needed: Mapping[str, date],
) -> tuple[MoneyLine, ...]:
    """Put every priced line of the order into the month in which it must be there.

    Where no day is known for an item, that is the month in which its stage begins.

    Hours of hired machines stand among them, by the price list.
    """
    names = {order.item: order for order in orders}
    lines = []
    for cost in costs:
        stage, order = stage_of(cost.item), names[cost.item]
        day = needed.get(cost.item)
        month = _month_of(day) if day else months.get(stage, "")
        lines.append(
            MoneyLine(
                f"material.{cost.item}", stage, order.name, "", cost.quantity, cost.unit,
                cost.price, cost.cost, month, year_of(month, planting) if month else 0,
                "machine" if order.unit == _HOUR else "material",
            )
        )  # fmt: skip
    return tuple(lines)


@dataclass(frozen=True, slots=True)
class Worked:
    """Hours of one task or round, before they are priced.

    Parameters
    ----------
    id, stage, what, word, month, year
        As in ``MoneyLine``.
    person_hours, machine_hours : float
        [h]
    machine : str
        "" for none.
    """

    id: str
    stage: str
    what: str
    word: str
    month: str
    year: int
    person_hours: float
    machine: str
    machine_hours: float


def worked(
    calendar: Calendar, rounds: Iterable[AftercareRound], planting: str
) -> tuple[Worked, ...]:
    """Gather the hours of tasks and rounds; without a calendar the tasks have no month."""
    booked: Sequence[Booked | Task] = calendar.booked or calendar.tasks
    found = []
    for item in booked:
        task = item.task if isinstance(item, Booked) else item
        month = _month_of(item.start) if isinstance(item, Booked) else ""
        year = year_of(month, planting) if month and planting else 0
        found.append(
            Worked(task.id, task.group, task.name, "" if task.name else f"{TASK_WORD}{task.id}",
                   month, year, task.person_hours, task.machine, task.machine_hours)
        )  # fmt: skip
    for number, one in enumerate(rounds, start=1):
        month = _month_of(one.first)
        year = year_of(month, planting) if planting else one.year
        found.append(
            Worked(f"round.{number}", "aftercare", "", f"{ROUND_WORD}{one.id}", month, year,
                   one.person_hours, one.machine, one.machine_hours)
        )  # fmt: skip
    return tuple(found)


def work_lines(
    hours: Sequence[Worked], inputs: Inputs, ordered: Sequence[str]
) -> tuple[tuple[MoneyLine, ...], tuple[str, ...]]:
    """Price labour and machine hours.

    Parameters
    ----------
    hours : sequence of Worked
        Of tasks and rounds.
    inputs : Inputs
        Wages and prices of machines.
    ordered : sequence of str
        Items of the order: the hours of a machine hired there are not paid twice.

    Returns
    -------
    tuple of MoneyLine, tuple of str
        The lines, and the names of machines without a price.
    """
    lines, missing = [], []
    wage = hourly_wage(inputs)
    for one in hours:
        place = (one.stage, one.what, one.word)
        when = (one.month, one.year)
        if one.person_hours and wage is not None:
            lines.append(_hours(f"labour.{one.id}", place, one.person_hours, wage, when, "labour"))
        if not one.machine_hours or one.machine in ordered:
            continue
        price = machine_price(inputs, one.machine)
        if price is None:
            missing.append(one.machine)
        else:
            lines.append(
                _hours(f"machine.{one.id}", place, one.machine_hours, price, when, "machine")
            )
    return tuple(lines), tuple(dict.fromkeys(missing))


def hourly_wage(inputs: Inputs) -> Decimal | None:
    """Wage of an hour with all that is paid on top of it; None when not known. [currency]."""
    labour = inputs.labour
    if labour.wage is None:
        return None
    return exact(labour.wage) * (1 + exact(labour.on_costs))


def machine_price(inputs: Inputs, name: str) -> Decimal | None:
    """Price of an hour of a machine; a price by the day is shared by its hours. [currency]."""
    machine = inputs.machines.get(name)
    if machine is None:
        return None
    if machine.price_per_hour is not None:
        return exact(machine.price_per_hour)
    if machine.price_per_day is not None:
        return exact(machine.price_per_day / inputs.labour.hours_per_day)
    return None


def _hours(  # noqa: PLR0917 - what a line holds
    name: str, place: tuple[str, str, str], hours: float, rate: Decimal, when: tuple[str, int],
    kind: Kind,
) -> MoneyLine:  # fmt: skip
    quantity = exact(hours)
    stage, what, word = place
    return MoneyLine(name, stage, what, word, quantity, _HOUR, rate, to_cent(quantity * rate),
                     *when, kind)  # fmt: skip
