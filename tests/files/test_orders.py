"""orders.csv and orders.xlsx, opened again by another library."""

import csv
import dataclasses
import re
from decimal import Decimal

import openpyxl
import pytest

from aanplant.files import open_block, read_inputs
from aanplant.files.order_sheet import sheet_name
from aanplant.files.orders import COLUMNS, write_orders_csv, write_orders_xlsx
from aanplant.plan import make_plan
from tests.files.plans import MADE, planned
from tests.work.test_by_hand import EXAMPLE

HEADING_ROW = 5
FORMULA_STARTS = tuple("=+-@\t\r")


def lines_of(plan, path):
    write_orders_csv(plan, path)
    with path.open(encoding="utf-8", newline="") as file:
        return {line["item"]: line for line in csv.DictReader(file)}


@pytest.fixture
def path(tmp_path):
    return tmp_path / "orders.xlsx"


def sheet_of(path, plan, name="Order", *, results=True):
    write_orders_xlsx(plan, path, made=MADE)
    return openpyxl.load_workbook(path, data_only=results)[name]


def items_of(sheet):
    headings = [cell.value for cell in sheet[HEADING_ROW]]
    rows = sheet.iter_rows(min_row=HEADING_ROW + 1, max_row=sheet.max_row - 1, values_only=True)
    return {row[0]: dict(zip(headings, row, strict=True)) for row in rows}


def test_the_table_holds_every_line_of_the_order(tmp_path):
    plan = planned()

    lines = lines_of(plan, tmp_path / "orders.csv")

    assert tuple(next(iter(lines.values()))) == COLUMNS
    assert list(lines) == [line.item for line in plan.work.orders]
    for order in plan.work.orders:
        line = lines[order.item]
        assert float(line["needed"]) == pytest.approx(order.needed)
        assert float(line["order"]) == pytest.approx(order.packs * order.pack_size)
        assert (int(line["packs"]), line["pack"]) == (order.packs, order.pack)
        assert line["formula"]
        assert line["source"]


def test_what_has_no_price_has_none_and_says_so(tmp_path):
    lines = lines_of(planned(), tmp_path / "orders.csv")

    assert (lines["peg"]["price"], lines["peg"]["cost"]) == ("", "")
    assert lines["peg"]["note"] == "no price in prices.csv"
    assert lines["tie"]["note"] == "asked for; no price in prices.csv"
    assert Decimal(lines["vine"]["cost"]) == Decimal(lines["vine"]["order"]) * Decimal("38.50")


def test_no_cell_of_the_table_begins_like_a_formula(tmp_path):
    lines = lines_of(planned(), tmp_path / "orders.csv")

    cells = [cell for line in lines.values() for cell in line.values()]
    assert not [cell for cell in cells if cell.startswith(FORMULA_STARTS)]
    assert lines["vine"]["note"] == "'-2+3"
    assert "+Chenin 'ê' <blanc>" in lines["vine"]["name"]


def test_the_sheet_shows_results_though_nothing_recalculates(path):
    plan = planned()

    sheet = sheet_of(path, plan)

    items = items_of(sheet)
    costs = {line.item: line.cost for line in plan.work.costs}
    assert list(items) == [line.item for line in plan.work.orders]
    for order in plan.work.orders:
        shown = items[order.item]
        assert shown["To order"] == pytest.approx(order.order)
        assert shown["Packs"] == order.packs
        if order.item in costs:
            assert shown["Cost"] == pytest.approx(float(costs[order.item]))
    total = [cell.value for cell in sheet[sheet.max_row]]
    assert total[0] == "Total of the lines with a price"
    assert total[12] == pytest.approx(float(plan.work.total))
    assert total[13] == f"{len(plan.work.unpriced)} without a price"


def test_formulas_give_the_results_they_hold(path):
    """Reckon each formula by hand: the few kinds there are, from the cells they name."""
    plan = planned()
    results = sheet_of(path, plan)
    formulas = openpyxl.load_workbook(path)["Order"]

    def number(cell):
        return results[cell].value

    for row in range(HEADING_ROW + 1, results.max_row):
        assert formulas[f"I{row}"].value == f"=G{row}*H{row}"
        assert number(f"I{row}") == pytest.approx(number(f"G{row}") * number(f"H{row}"))
        of = re.fullmatch(rf"=([HI]{row})(?:\*([\d.]+))?", formulas[f"J{row}"].value)
        assert of is not None
        assert number(f"J{row}") == pytest.approx(number(of[1]) * float(of[2] or 1))
        if number(f"L{row}") is not None:
            expected = number(f"J{row}") * number(f"L{row}")
            assert number(f"M{row}") == pytest.approx(expected, abs=0.0051)


def test_a_missing_price_is_an_empty_cell_with_a_note_and_never_nought(path):
    items = items_of(sheet_of(path, planned()))

    assert items["peg"]["Price"] is None
    assert items["peg"]["Cost"] in {None, ""}
    assert items["peg"]["Note"] == "no price in prices.csv"


def test_without_any_price_there_is_no_total(path):
    plan = planned(prices=False)

    total = [cell.value for cell in sheet_of(path, plan)[len(plan.work.orders) + HEADING_ROW + 1]]

    assert total[12] in {None, ""}
    assert total[13] == f"{len(plan.work.orders)} without a price"


def test_names_are_never_run_as_formulas(path):
    sheet_of(path, planned())

    book = openpyxl.load_workbook(path)
    formulas = [
        str(cell.value) for sheet in book for row in sheet for cell in row if cell.data_type == "f"
    ]
    order = book["Order"]
    assert order["A1"].value.startswith("Order for =1+1, block Kêrsbos <b>")
    assert order["N6"].value == "-2+3"
    assert order["N6"].data_type == "s"
    assert all(re.match(r"=(G\d|H\d|I\d|IF\()", formula) for formula in formulas)


def test_the_sheet_is_ready_to_print(path):
    sheet = sheet_of(path, planned())

    assert sheet.page_setup.orientation == "landscape"
    assert int(sheet.page_setup.paperSize) == 9  # A4
    assert sheet.sheet_properties.pageSetUpPr.fitToPage
    assert sheet.freeze_panes == "C6"
    assert sheet.print_title_rows == "$5:$5"
    assert sheet["A2"].value == "Currency: ZAR"
    assert sheet["A3"].value == "Made: 2027-03-04 05:06 UTC"


def test_the_workings_lead_from_every_line_down_to_the_brief(path):
    plan = planned()

    rows = list(sheet_of(path, plan, "Workings").iter_rows(min_row=2, values_only=True))

    keys = [row[1] for row in rows]
    by_key = {row[1]: row for row in rows}
    assert len(set(keys)) == len(keys)
    assert {f"work.order.{line.item}" for line in plan.work.orders} <= set(keys)
    assert by_key["layout.vines"][3] == len(plan.layout.positions)
    assert "figure:layout.vines" in by_key["stock.order_quantity"][6]
    assert "default:vines.loss_fraction" in by_key["stock.order_quantity"][6]
    assert all(row[5] and row[7] and row[8] for row in rows)


def test_the_same_plan_gives_the_same_bytes(path, tmp_path):
    write_orders_xlsx(planned(), path, made=MADE)
    write_orders_xlsx(planned(), tmp_path / "again.xlsx", made=MADE)

    assert path.read_bytes() == (tmp_path / "again.xlsx").read_bytes()


def supplied(*names):
    plan = planned()
    orders = tuple(
        dataclasses.replace(by, supplier=names[at] if at < len(names) else "")
        for at, by in enumerate(plan.planting.orders)
    )
    results = {**plan.results, "planting": dataclasses.replace(plan.planting, orders=orders)}
    return dataclasses.replace(plan, results=results)


def test_each_supplier_has_a_sheet_and_no_line_is_lost(path):
    plan = supplied("Invented Poles", "Invented Wire", "Invented Poles")
    write_orders_xlsx(plan, path, made=MADE)
    book = openpyxl.load_workbook(path, data_only=True)

    names = ["Invented Poles", "Invented Wire", "Supplier open"]
    assert book.sheetnames == ["Order", *names, "Workings"]
    items = [item for name in names for item in items_of(book[name])]
    assert sorted(items) == sorted(line.item for line in plan.work.orders)
    assert "Supplier: Invented Poles" in {cell.value for cell in book["Invented Poles"][2]}


def test_the_sheets_of_suppliers_add_up_to_the_whole_order(path):
    plan = supplied("Invented Poles", "Invented Wire", "Invented Poles")
    write_orders_xlsx(plan, path, made=MADE)
    book = openpyxl.load_workbook(path, data_only=True)

    totals = [book[name].cell(book[name].max_row, 13).value or 0 for name in book.sheetnames[:-1]]
    assert sum(totals[1:]) == pytest.approx(totals[0])
    assert totals[0] == pytest.approx(float(plan.work.total))


def test_an_order_without_suppliers_has_no_sheet_of_its_own(path):
    write_orders_xlsx(planned(), path, made=MADE)

    assert openpyxl.load_workbook(path).sheetnames == ["Order", "Workings"]


def test_a_sheet_takes_any_name_of_a_supplier():
    assert sheet_name("A/B: [posts]*?", set()) == "A B   posts"
    assert sheet_name("'", set()) == "Supplier open"
    assert sheet_name("Order", {"order"}) == "Order 2"
    long = "An invented name that is longer than a sheet takes"
    assert sheet_name(long, set()) == long[:31]
    assert len(sheet_name(long, {long[:31].casefold()})) == 31


def test_the_table_tells_supplier_and_latest_day(tmp_path):
    block = open_block(EXAMPLE)
    plan = make_plan(block.brief, read_inputs(block))
    lines = lines_of(plan, tmp_path / "orders.csv")

    for by in plan.planting.orders:
        line = lines[by.item]
        assert line["supplier"] == by.supplier
        assert line["order_by"] == by.latest.isoformat()
        assert line["needed_by"] == by.needed.isoformat()
        assert float(line["lead_time_weeks"]) == by.lead_weeks
        assert line["late"] == ""
    assert lines["line-post-softwood-75-100-2.4"]["supplier"] == "Invented Poles"
