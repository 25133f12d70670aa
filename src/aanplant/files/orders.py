"""Write the order list: ``orders.csv`` for programs, ``orders.xlsx`` for people."""

import csv
from collections.abc import Iterator
from datetime import UTC, datetime
from decimal import Decimal
from pathlib import Path

from aanplant.files.names import cell_text
from aanplant.files.order_sheet import fill_order_sheet, fill_supplier_sheets
from aanplant.files.order_table import (
    NO_PRICE,
    PricedLine,
    day_text,
    figure_of,
    formula_text,
    inputs_text,
    priced_lines,
    source_text,
)
from aanplant.files.order_workings import fill_workings_sheet
from aanplant.plan import Plan

COLUMNS = (
    "item", "name", "unit", "needed", "with_waste_or_spares", "pack", "pack_size", "packs", "order",
    "price", "price_unit", "currency", "cost", "note", "formula", "inputs", "source",
    "supplier", "needed_by", "lead_time_weeks", "order_by", "late",
)  # fmt: skip


def write_orders_csv(plan: Plan, path: Path) -> None:
    """Write the order as a table, one line an item.

    A price or cost that is not known is empty. Texts that a spreadsheet would run as a
    formula have an apostrophe before them.

    Parameters
    ----------
    plan : Plan
        A whole plan.
    path : Path
        File to write.
    """
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(COLUMNS)
        writer.writerows(_cells(plan, line) for line in priced_lines(plan))


def _cells(plan: Plan, line: PricedLine) -> Iterator[str]:
    order, working = line.order, plan.figures[figure_of(line.order)]
    no_price = NO_PRICE if line.price is None else ""
    note = "; ".join(text for text in (line.note, no_price) if text)
    cells: tuple[str | Decimal | float | None, ...] = (
        order.item, order.name, order.unit, order.needed, order.with_waste, order.pack,
        order.pack_size, order.packs, order.order, line.price, line.price_unit,
        plan.work.currency, line.cost, note,
        formula_text(working), inputs_text(working), source_text(working),
        line.by.supplier, day_text(line.by.needed), line.by.lead_weeks, day_text(line.by.latest),
        "yes" if line.by.is_late else "",
    )  # fmt: skip
    return map(_cell, cells)


def _cell(value: str | Decimal | float | None) -> str:
    match value:
        case None:
            return ""
        case str():
            return cell_text(value)
        case Decimal():
            return f"{value:f}"
    return f"{round(value, 6):.15g}"


def write_orders_xlsx(plan: Plan, path: Path, *, made: datetime) -> None:
    """Write the order as a spreadsheet: the whole, a sheet for each supplier, the workings.

    Quantities, costs and the total are formulas, so that a price filled in or a pack more
    is reckoned at once; they also hold their results for programs that do not reckon.

    Parameters
    ----------
    plan : Plan
        A whole plan.
    path : Path
        File to write.
    made : datetime
        Time the file carries. [UTC]
    """
    import xlsxwriter

    options = {"strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False}
    with xlsxwriter.Workbook(str(path), options) as workbook:
        workbook.set_properties({"created": made.astimezone(UTC).replace(tzinfo=None)})
        fill_order_sheet(workbook, plan, made)
        fill_supplier_sheets(workbook, plan, made)
        fill_workings_sheet(workbook, plan)
