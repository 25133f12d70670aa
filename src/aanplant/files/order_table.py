"""The order list as lines of a table, each with its price and note, for text and spreadsheet."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from aanplant import messages, tables
from aanplant.inputs import PriceLine
from aanplant.plan import Plan
from aanplant.units import show
from aanplant.work.order_times import OrderBy
from aanplant.work.quantities import OrderLine
from aanplant.working import Figures, Working

NO_PRICE = "no price in prices.csv"


@dataclass(frozen=True, slots=True)
class PricedLine:
    """One line of the order with what is known of its price.

    Parameters
    ----------
    order : OrderLine
        What is ordered.
    price_unit : str
        What the price is for; the unit of the order while there is no price.
    price : Decimal or None
        Of one ``price_unit``, in the estate's currency.
    cost : Decimal or None
        Of the whole line.
    note : str
        What stands in the way of ordering it, and the note of the price list.
    by : OrderBy
        Who sells it, and by when it must be ordered.
    """

    order: OrderLine
    price_unit: str
    price: Decimal | None
    cost: Decimal | None
    note: str
    by: OrderBy


def priced_lines(plan: Plan) -> tuple[PricedLine, ...]:
    """Return the order lines in the order of the job."""
    costs = {line.item: line for line in plan.work.costs}
    notes: dict[str, PriceLine] = {line.item: line for line in plan.inputs.prices}
    lines = []
    for order, by in zip(plan.work.orders, plan.planting.orders, strict=True):
        cost = costs.get(order.item)
        from_list = notes[order.item].note if order.item in notes else ""
        note = "; ".join(text for text in (order.status, from_list) if text)
        if cost is None:
            lines.append(PricedLine(order, order.unit, None, None, note, by))
        else:
            lines.append(PricedLine(order, cost.unit, cost.price, cost.cost, note, by))
    return tuple(lines)


def figure_of(order: OrderLine) -> str:
    """Key of the figure behind an order line."""
    return f"work.order.{order.item}"


def workings(plan: Plan) -> Iterator[tuple[str, int, Working]]:
    """Yield item, depth and figure for every figure under the order, each once."""
    seen: set[str] = set()
    figures: Figures = plan.figures
    for order in plan.work.orders:
        for depth, working in figures.unfold(figure_of(order)):
            if working.key not in seen:
                seen.add(working.key)
                yield order.item, depth, working


def inputs_text(working: Working) -> str:
    """Write the inputs of a figure in one line, each with where it comes from."""
    return "; ".join(
        f"{item.name} = {show(item.value, item.unit)} ({item.origin})" for item in working.inputs
    )


def formula_text(working: Working) -> str:
    """Write what a figure is and how it is found, in words."""
    return messages.formula(working)


def source_text(working: Working) -> str:
    """Write the source of a figure."""
    return tables.sources()[working.source].text


def day_text(day: date | None) -> str:
    """Write a day as year-month-day, "" where it is open."""
    return day.isoformat() if day else ""
