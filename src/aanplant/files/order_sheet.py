"""The sheet of ``orders.xlsx`` that is printed and sent: one line an item, with a total."""

import re
from collections.abc import Collection
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any

from aanplant.files.names import printable
from aanplant.files.order_table import NO_PRICE, PricedLine, priced_lines
from aanplant.plan import Plan

HEADINGS = (
    ("Item", 20), ("What", 38), ("Unit", 7), ("Needed", 11), ("With waste or spares", 13),
    ("Pack", 9), ("Pack size", 9), ("Packs", 8), ("To order", 11), ("Priced quantity", 12),
    ("Price for a", 10), ("Price", 11), ("Cost", 14), ("Note", 32),
    ("Supplier", 22), ("Needed by", 11), ("Weeks to come", 8), ("Order by", 11),
)  # fmt: skip
"""Headings with the width of their columns in letters."""
FIRST_LINE = 5
"""Zero-based sheet row of the first item, under the titles and headings."""
NO_SUPPLIER = "Supplier open"
_LONGEST_NAME = 31
_NOT_IN_NAMES = re.compile(r"[\[\]:*?/\\]")
"""A spreadsheet takes no such sign in the name of a sheet."""
_A4 = 9
_QUANTITY, _WHOLE, _PRICE, _MONEY = "#,##0.##", "#,##0", "#,##0.00##", "#,##0.00"


def fill_order_sheet(workbook: Any, plan: Plan, made: datetime) -> None:  # noqa: ANN401 - the library has no types
    """Add the sheet of the whole order to a workbook."""
    _fill(workbook, "Order", plan, made, priced_lines(plan), "")


def fill_supplier_sheets(workbook: Any, plan: Plan, made: datetime) -> None:  # noqa: ANN401
    """Add a sheet for each supplier, the earliest latest date first; none where none is named."""
    lines = priced_lines(plan)
    suppliers = sorted({line.by.supplier for line in lines if line.by.supplier}, key=str.casefold)
    if not suppliers:
        return
    taken = {"order", "workings", "history"}  # the last one is the program's own
    for supplier in (*suppliers, ""):
        own = tuple(
            sorted(
                (line for line in lines if line.by.supplier == supplier),
                key=lambda line: line.by.latest or date.max,
            )
        )
        if own:
            name = sheet_name(supplier or NO_SUPPLIER, taken)
            taken.add(name.casefold())
            _fill(workbook, name, plan, made, own, supplier or NO_SUPPLIER)


def sheet_name(supplier: str, taken: Collection[str]) -> str:
    """Name a sheet after a supplier, so that a spreadsheet takes it and no two are the same.

    Parameters
    ----------
    supplier : str
        Name of the supplier.
    taken : collection of str
        Names that stand already, in small letters.
    """
    plain = _NOT_IN_NAMES.sub(" ", printable(supplier)).strip().strip("'").strip()
    name, number = plain[:_LONGEST_NAME] or NO_SUPPLIER, 1
    while name.casefold() in taken:
        number += 1
        ending = f" {number}"
        name = f"{plain[: _LONGEST_NAME - len(ending)]}{ending}"
    return name


def _fill(  # noqa: PLR0917 - what stands on a sheet
    workbook: Any,  # noqa: ANN401
    name: str,
    plan: Plan,
    made: datetime,
    lines: tuple[PricedLine, ...],
    supplier: str,
) -> None:
    sheet = workbook.add_worksheet(name)
    _set_up_page(sheet)
    _write_titles(workbook, sheet, plan, made, supplier)
    for place, line in enumerate(lines):
        _write_line(workbook, sheet, FIRST_LINE + place, line)
    _write_total(workbook, sheet, lines)


def _set_up_page(sheet: Any) -> None:  # noqa: ANN401
    for column, (_, width) in enumerate(HEADINGS):
        sheet.set_column(column, column, width)
    sheet.freeze_panes(FIRST_LINE, 2)
    sheet.set_landscape()
    sheet.set_paper(_A4)
    sheet.fit_to_pages(1, 0)
    sheet.repeat_rows(FIRST_LINE - 1)
    sheet.set_margins(left=0.5, right=0.5, top=0.6, bottom=0.7)
    sheet.set_footer("&L&A&RPage &P of &N")


def _write_titles(
    workbook: Any,  # noqa: ANN401
    sheet: Any,  # noqa: ANN401
    plan: Plan,
    made: datetime,
    supplier: str,
) -> None:
    title = workbook.add_format({"bold": True, "font_size": 14})
    heading = workbook.add_format(
        {"bold": True, "text_wrap": True, "valign": "top", "bottom": 1, "bg_color": "#EFECE4"}
    )
    names = [printable(name) for name in (plan.inputs.estate, plan.site.name) if name]
    sheet.write_string(0, 0, "Order for " + ", block ".join(names or ["the block"]), title)
    currency = plan.work.currency or "not stated in estate.toml"
    sheet.write_string(1, 0, f"Currency: {currency}")
    if supplier:
        sheet.write_string(1, 3, f"Supplier: {printable(supplier)}", title)
    sheet.write_string(2, 0, f"Made: {made.astimezone(UTC):%Y-%m-%d %H:%M} UTC")
    for column, (text, _) in enumerate(HEADINGS):
        sheet.write_string(FIRST_LINE - 1, column, text, heading)


def _write_line(workbook: Any, sheet: Any, row: int, line: PricedLine) -> None:  # noqa: ANN401
    order = line.order
    wrapped = workbook.add_format({"text_wrap": True, "valign": "top"})
    quantity, whole, price, money = (
        workbook.add_format({"num_format": form, "valign": "top"})
        for form in (_QUANTITY, _WHOLE, _PRICE, _MONEY)
    )
    for column, text in ((0, order.item), (1, order.name), (2, order.unit), (5, order.pack)):
        sheet.write_string(row, column, printable(text), wrapped)
    sheet.write_number(row, 3, order.needed, quantity)
    sheet.write_number(row, 4, order.with_waste, quantity)
    sheet.write_number(row, 6, order.pack_size, quantity)
    sheet.write_number(row, 7, order.packs, whole)
    at = row + 1  # as the sheet counts its rows
    sheet.write_formula(row, 8, f"=G{at}*H{at}", quantity, order.order)
    formula, priced = _priced_quantity(line, at)
    sheet.write_formula(row, 9, formula, quantity, priced)
    sheet.write_string(row, 10, printable(line.price_unit), wrapped)
    if line.price is None:
        sheet.write_blank(row, 11, None, price)
    else:
        sheet.write_number(row, 11, float(line.price), price)
    sheet.write_formula(row, 12, f'=IF(L{at}="","",ROUND(J{at}*L{at},2))', money, _shown(line.cost))
    if line.note or line.price is not None:
        sheet.write_string(row, 13, printable(line.note), wrapped)
    else:
        sheet.write_formula(row, 13, f'=IF(L{at}="","{NO_PRICE}","")', wrapped, NO_PRICE)
    by = line.by
    day = workbook.add_format({"num_format": "yyyy-mm-dd", "valign": "top", "align": "left"})
    late = workbook.add_format(
        {"num_format": "yyyy-mm-dd", "valign": "top", "align": "left", "bold": True}
    )
    sheet.write_string(row, 14, printable(by.supplier), wrapped)
    sheet.write_number(row, 16, by.lead_weeks, quantity)
    if by.needed is not None and by.latest is not None:
        sheet.write_datetime(row, 15, by.needed, day)
        sheet.write_datetime(row, 17, by.latest, late if by.is_late else day)


def _priced_quantity(line: PricedLine, at: int) -> tuple[str, float]:
    """Quantity in the unit of the price: packs, kilograms or the order's own unit."""
    order = line.order
    if line.price_unit == order.unit:
        return f"=I{at}", order.order
    if line.price_unit == order.pack:
        return f"=H{at}", order.packs
    return f"=I{at}*{order.kg_per_unit!r}", round(order.order * order.kg_per_unit, 6)


def _write_total(workbook: Any, sheet: Any, lines: tuple[PricedLine, ...]) -> None:  # noqa: ANN401
    bold = workbook.add_format({"bold": True, "top": 1})
    money = workbook.add_format({"bold": True, "top": 1, "num_format": _MONEY})
    row = FIRST_LINE + len(lines)
    costs = f"M{FIRST_LINE + 1}:M{row}"
    known = [line.cost for line in lines if line.cost is not None]
    unpriced = len(lines) - len(known)
    total = sum(known, Decimal(0)) if known else None
    sheet.write_string(row, 0, "Total of the lines with a price", bold)
    for column in range(1, 12):
        sheet.write_blank(row, column, None, bold)
    sheet.write_formula(row, 12, f'=IF(COUNT({costs})=0,"",SUM({costs}))', money, _shown(total))
    left_out = f'=IF(COUNT({costs})={len(lines)},"",{len(lines)}-COUNT({costs})&" without a price")'
    sheet.write_formula(row, 13, left_out, bold, f"{unpriced} without a price" if unpriced else "")


def _shown(amount: Decimal | None) -> float | str:
    """Return the result a formula cell holds: a number, or nothing at all, never 0 for unknown."""
    return "" if amount is None else float(amount)
