"""By when each thing must be ordered so that it is there when its work begins, and from whom."""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from aanplant import tables
from aanplant.brief import Brief
from aanplant.inputs import PriceLine
from aanplant.work.quantities import OrderLine
from aanplant.work.tasks import Calendar
from aanplant.working import Finding

TABLE = "lead_times.csv"
VINE = "vine"


@dataclass(frozen=True, slots=True)
class OrderBy:
    """When one thing of the order list is needed, and when it must be ordered.

    Parameters
    ----------
    item : str
        Code of the order line.
    supplier : str
        Who is asked, "" while open.
    needed : date or None
        First day of the work that takes it; None while the month of planting is open.
    task : str
        The calendar's task, "" where the day follows from the month of planting.
    lead_weeks : float
        From the order to its being there. [weeks]
    lead_from : str
        ``prices`` or ``table``.
    latest : date or None
        Last day on which it can be ordered.
    is_late : bool
        Whether that day was past on ``nursery.as_of``.
    """

    item: str
    supplier: str
    needed: date | None
    task: str
    lead_weeks: float
    lead_from: str
    latest: date | None
    is_late: bool


def latest_orders(
    brief: Brief,
    orders: Sequence[OrderLine],
    prices: Sequence[PriceLine],
    calendar: Calendar,
) -> tuple[OrderBy, ...]:
    """Work out the latest day to order each line, in the order of the lines.

    Parameters
    ----------
    brief : Brief
        The month of planting, the nursery, and the day on which dates are judged.
    orders : sequence of OrderLine
        The order list.
    prices : sequence of PriceLine
        With suppliers and lead times of the estate's own.
    calendar : Calendar
        Its tasks say when a thing is needed; a thing whose task it does not have is needed by
        the month of planting, but not before the day on which dates are judged. Where no
        calendar was found, no day is known.
    """
    by_item = {line.item: line for line in prices}
    starts = {item.task.id: item.start for item in calendar.booked}
    as_of = brief.nursery.as_of
    found = []
    for line in orders:
        price, row = by_item.get(line.item), lead_row(line.item)
        needed, task = _needed(brief, row, starts) if calendar.is_possible else (None, "")
        lead, lead_from = _lead(row, price)
        latest = order_day(needed, lead) if needed else None
        supplier = (price.supplier if price else "") or (
            brief.nursery.name if line.item == VINE else ""
        )
        confirmed = line.item == VINE and brief.nursery.order_state == "confirmed"
        late = bool(as_of and latest and not confirmed and latest < date.fromisoformat(as_of))
        found.append(OrderBy(line.item, supplier, needed, task, lead, lead_from, latest, late))
    return tuple(found)


def days_to_come(orders: Sequence[OrderLine], prices: Sequence[PriceLine]) -> Mapping[str, int]:
    """Days from the order to the coming of the slowest thing that each task needs. [d]."""
    by_item = {line.item: line for line in prices}
    days: dict[str, int] = {}
    for line in orders:
        row = lead_row(line.item)
        weeks, _ = _lead(row, by_item.get(line.item))
        for task in row["task"].split():
            days[task] = max(days.get(task, 0), _days(weeks))
    return days


def _lead(row: Mapping[str, str], price: PriceLine | None) -> tuple[float, str]:
    """Weeks from the order of a thing to its being there, and where they are known from."""
    if price is None or price.lead_weeks is None:
        return float(row["high"]), "table"
    return price.lead_weeks, "prices"


def order_day(needed: date, lead_weeks: float) -> date:
    """Last day to order what takes so many weeks to come."""
    return needed - timedelta(days=_days(lead_weeks))


def _days(weeks: float) -> int:
    return math.ceil(7.0 * weeks)


def lead_row(item: str) -> Mapping[str, str]:
    """Return the row of the table on an item: its own, or that of the longest family name."""
    rows = tables.rows(TABLE)
    fits = [row for row in rows if item == row["item"] or item.startswith(f"{row['item']}-")]
    if not fits:
        raise ValueError(f"no lead time for {item}")
    return max(fits, key=lambda row: len(row["item"]))


def _needed(
    brief: Brief, row: Mapping[str, str], starts: Mapping[str, date]
) -> tuple[date | None, str]:
    named = [task for task in row["task"].split() if task in starts]
    if named:
        task = min(named, key=lambda name: starts[name])
        return starts[task], task
    if not brief.work.planting:
        return None, ""
    month = date.fromisoformat(f"{brief.work.planting}-01")
    needed = month - timedelta(weeks=int(row["weeks_before_planting"]))
    as_of = brief.nursery.as_of
    return max(needed, date.fromisoformat(as_of)) if as_of else needed, ""


def order_advice(brief: Brief, found: Sequence[OrderBy]) -> Iterator[Finding]:
    """Say what is ordered too late, and what comes next."""
    late = [one for one in found if one.is_late]
    if late:
        first = min(late, key=lambda one: one.latest or date.max)
        yield Finding(
            "work",
            "care",
            "ordering.late",
            {
                "day": brief.nursery.as_of,
                "count": len(late),
                "items": ", ".join(one.item for one in late),
                "first": first.item,
                "latest": f"{first.latest}",
                "needed": f"{first.needed}",
            },
            f"work.order.{first.item}",
        )
    ahead = [one for one in found if one.latest and not one.is_late and one.item != VINE]
    if brief.nursery.as_of and ahead:
        soon = min(ahead, key=lambda one: one.latest or date.max)
        values = {"item": soon.item, "latest": f"{soon.latest}", "needed": f"{soon.needed}"}
        yield Finding("work", "note", "ordering.next", values, f"work.order.{soon.item}")
