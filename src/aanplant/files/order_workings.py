"""The sheet of ``orders.xlsx`` that says how every quantity was found."""

from typing import Any

from aanplant import messages, tables
from aanplant.files.names import printable
from aanplant.files.order_table import formula_text, inputs_text, source_text, workings
from aanplant.plan import Plan

HEADINGS = (
    ("For item", 20), ("Figure", 34), ("What", 34), ("Value", 14), ("Unit", 9),
    ("How it is found", 56), ("Inputs and where they come from", 64), ("Source", 44),
    ("Certainty", 12),
)  # fmt: skip
_A4 = 9


def fill_workings_sheet(workbook: Any, plan: Plan) -> None:  # noqa: ANN401 - the library has no types
    """Add the sheet to a workbook: each order line, then the figures under it."""
    sheet = workbook.add_worksheet("Workings")
    heading = workbook.add_format({"bold": True, "bottom": 1, "bg_color": "#EFECE4"})
    wrapped = workbook.add_format({"text_wrap": True, "valign": "top"})
    number = workbook.add_format({"num_format": "#,##0.####", "valign": "top"})
    for column, (text, width) in enumerate(HEADINGS):
        sheet.set_column(column, column, width)
        sheet.write_string(0, column, text, heading)
    for row, (item, depth, working) in enumerate(workings(plan), start=1):
        indented = workbook.add_format(
            {"text_wrap": True, "valign": "top", "indent": min(depth, 10)}
        )
        certainty = tables.sources()[working.source].certainty
        sheet.write_string(row, 0, printable(item), wrapped)
        sheet.write_string(row, 1, printable(working.key), indented)
        sheet.write_string(row, 2, printable(messages.label(working)), wrapped)
        if isinstance(working.value, str):
            sheet.write_string(row, 3, printable(working.value), wrapped)
        else:
            sheet.write_number(row, 3, working.value, number)
        texts = (
            working.unit,
            formula_text(working),
            inputs_text(working),
            source_text(working),
            certainty,
        )
        for column, text in enumerate(texts, start=4):
            sheet.write_string(row, column, printable(text), wrapped)
    sheet.freeze_panes(1, 2)
    sheet.set_landscape()
    sheet.set_paper(_A4)
    sheet.fit_to_pages(1, 0)
    sheet.repeat_rows(0)
    sheet.set_footer("&L&A&RPage &P of &N")
