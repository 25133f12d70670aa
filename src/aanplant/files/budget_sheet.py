"""Write ``budget.xlsx``: every line, and the cash flow by month and year, with live formulas."""

from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from aanplant.files.money_tables import line_name
from aanplant.files.names import printable
from aanplant.messages import fill, word
from aanplant.plan import Plan
from aanplant.work.money import Money
from aanplant.work.money_lines import KINDS

LINE_COLUMNS = (
    ("stage", 16), ("what", 44), ("kind", 12), ("quantity", 12), ("unit", 9), ("price", 12),
    ("cost", 15), ("month", 10), ("year", 7), ("flow", 15), ("id", 34),
)  # fmt: skip
"""Headings of the sheet of lines, with the width of their columns in letters."""
FIRST_LINE = 4
"""Zero-based row of the first line under title and headings, on every sheet."""
_A4 = 9
_MONEY, _QUANTITY, _RATE = "#,##0.00", "#,##0.####", "0.00%"
_LINES, _YEARS, _MONTHS = "Lines", "By year", "By month"
_TOP = 1
"""Row of the settings that the formulas of the years read."""


def write_budget_xlsx(plan: Plan, path: Path, *, made: datetime) -> None:
    """Write the budget as a workbook that recomputes when a quantity, price or rate changes.

    Parameters
    ----------
    plan : Plan
        A whole plan.
    path : Path
        File to write.
    made : datetime
        When the plan was made. [UTC]
    """
    import xlsxwriter

    workbook = xlsxwriter.Workbook(path, {"strings_to_formulas": False, "strings_to_urls": False})
    workbook.set_properties(
        {"title": printable(plan.site.name), "created": made.astimezone(UTC).replace(tzinfo=None)}
    )
    forms = _formats(workbook)
    _fill_lines(workbook, plan, forms)
    _fill_years(workbook, plan, forms)
    _fill_months(workbook, plan, forms)
    workbook.close()


def _formats(workbook: Any) -> dict[str, Any]:  # noqa: ANN401 - the library has no types
    heading = {"bold": True, "text_wrap": True, "valign": "top", "bottom": 1, "bg_color": "#EFECE4"}
    return {
        "title": workbook.add_format({"bold": True, "font_size": 14}),
        "heading": workbook.add_format(heading),
        "text": workbook.add_format({"text_wrap": True, "valign": "top"}),
        "quantity": workbook.add_format({"num_format": _QUANTITY, "valign": "top"}),
        "money": workbook.add_format({"num_format": _MONEY, "valign": "top"}),
        "rate": workbook.add_format({"num_format": _RATE, "valign": "top", "align": "left"}),
        "total": workbook.add_format({"num_format": _MONEY, "bold": True, "top": 1}),
    }


def _sheet(
    workbook: Any,  # noqa: ANN401
    name: str,
    title: str,
    heads: Sequence[tuple[str, int]],
    forms: dict[str, Any],
) -> Any:  # noqa: ANN401
    sheet = workbook.add_worksheet(name)
    sheet.write_string(0, 0, printable(title), forms["title"])
    for column, (head, width) in enumerate(heads):
        sheet.set_column(column, column, width)
        sheet.write_string(FIRST_LINE - 1, column, word(f"budget_sheet.{head}"), forms["heading"])
    sheet.freeze_panes(FIRST_LINE, 1)
    sheet.set_landscape()
    sheet.set_paper(_A4)
    sheet.fit_to_pages(1, 0)
    sheet.repeat_rows(FIRST_LINE - 1)
    sheet.set_footer("&L&A&RPage &P of &N")
    return sheet


def _title(plan: Plan, name: str) -> str:
    names = ", ".join(part for part in (plan.inputs.estate, plan.site.name) if part)
    currency = plan.money.currency or word("budget_sheet.no_currency")
    return fill(f"budget_title.{name}", block=names, currency=currency)


def _fill_lines(workbook: Any, plan: Plan, forms: dict[str, Any]) -> None:  # noqa: ANN401
    sheet = _sheet(workbook, _LINES, _title(plan, "lines"), LINE_COLUMNS, forms)
    lines = plan.money.lines
    lacks = plan.money.lacks
    if lacks:
        told = fill("budget_sheet.lacks", items=", ".join(lacks))
        sheet.write_string(_TOP, 0, printable(told))
    for row, line in enumerate(lines, start=FIRST_LINE):
        at = row + 1
        texts = (line.stage, line_name(line), line.kind)
        for column, text in enumerate(texts):
            sheet.write_string(row, column, printable(text), forms["text"])
        sheet.write_number(row, 3, float(line.quantity), forms["quantity"])
        sheet.write_string(row, 4, printable(line.unit), forms["text"])
        sheet.write_number(row, 5, float(line.rate), forms["quantity"])
        sheet.write_formula(row, 6, f"=ROUND(D{at}*F{at},2)", forms["money"], float(line.cost))
        sheet.write_string(row, 7, line.month, forms["text"])
        sheet.write_number(row, 8, line.year, forms["text"])
        flow = f'=IF(C{at}="income",G{at},-G{at})'
        sheet.write_formula(row, 9, flow, forms["money"], float(line.flow))
        sheet.write_string(row, 10, printable(line.id), forms["text"])
    end = FIRST_LINE + len(lines)
    sheet.write_string(end, 1, word("budget_sheet.total"), forms["total"])
    total = float(sum(line.flow for line in lines))
    sheet.write_formula(end, 9, f"=SUM(J{FIRST_LINE + 1}:J{end})", forms["total"], total)


def _spread(money: Money, column: str) -> str:
    """Name a column of the sheet of lines as formulas of other sheets do."""
    last = FIRST_LINE + max(len(money.lines), 1)
    return f"{_LINES}!${column}${FIRST_LINE + 1}:${column}${last}"


def _fill_years(workbook: Any, plan: Plan, forms: dict[str, Any]) -> None:  # noqa: ANN401
    money, rules = plan.money, plan.brief.money
    names = ("year", *KINDS, "net", "level", "flow", "owed", "loan", "owner")
    sheet = _sheet(workbook, _YEARS, _title(plan, "years"), [(name, 14) for name in names], forms)
    inflation = rules.inflation if money.basis == "nominal" else 0.0
    sheet.write_string(_TOP, 0, word("budget_sheet.rate"))
    sheet.write_number(_TOP, 1, rules.discount_rate, forms["rate"])
    sheet.write_string(_TOP, 2, word("budget_sheet.rise"))
    sheet.write_number(_TOP, 3, inflation, forms["rate"])
    sheet.write_string(_TOP, 4, word(f"budget_sheet.{money.basis}"))
    count = len(money.flows)
    loans = (money.financing.owner_flows - money.flows).tolist()
    for place, year in enumerate(money.by_year[:count]):
        row, at = FIRST_LINE + place, FIRST_LINE + place + 1
        sheet.write_number(row, 0, year.year, forms["text"])
        for column, kind in enumerate(KINDS, start=1):
            formula = (
                f"=SUMIFS({_spread(money, 'G')},{_spread(money, 'I')},A{at},"
                f'{_spread(money, "C")},"{kind}")'
            )
            sheet.write_formula(row, column, formula, forms["money"], float(year.by_kind[kind]))
        sheet.write_formula(row, 6, f"=F{at}-SUM(B{at}:E{at})", forms["money"], float(year.net))
        level = (1.0 + inflation) ** year.year
        sheet.write_formula(row, 7, f"=(1+$D$2)^A{at}", forms["quantity"], level)
        flow = float(year.net) * level
        sheet.write_formula(row, 8, f"=G{at}*H{at}", forms["money"], flow)
        before = f"J{at - 1}*(1+$B$2)" if place else "0"
        sheet.write_formula(row, 9, f"={before}-I{at}", forms["money"],
                            float(money.accumulated[place]))  # fmt: skip
        sheet.write_number(row, 10, loans[place], forms["money"])
        sheet.write_formula(row, 11, f"=I{at}+K{at}", forms["money"], flow + loans[place])
    _write_worth(sheet, money, FIRST_LINE + count, forms)


def _write_worth(sheet: Any, money: Money, end: int, forms: dict[str, Any]) -> None:  # noqa: ANN401
    """Write net present value and rate of return under the flows, where an income is known."""
    first = FIRST_LINE + 1
    for column, letter in enumerate("BCDEFG", start=1):
        total = sum(
            float(year.net if letter == "G" else year.by_kind[KINDS[column - 1]])
            for year in money.by_year
        )
        sheet.write_formula(end, column, f"=SUM({letter}{first}:{letter}{end})", forms["total"],
                            total)  # fmt: skip
    sheet.write_string(end, 0, word("budget_sheet.total"), forms["total"])
    returns = money.returns
    if returns is None:
        sheet.write_string(end + 1, 0, word("budget_sheet.no_price"))
        return
    for column, letter, npv in ((8, "I", returns.npv), (11, "L", returns.owner_npv)):
        formula = (
            f"=({letter}{first}+NPV($B$2,{letter}{first + 1}:{letter}{end}))"
            f"*(1+$B$2)^{-money.by_year[0].year}"
        )
        sheet.write_formula(end + 1, column, formula, forms["total"], npv)
    sheet.write_string(end + 1, 0, word("budget_sheet.npv"))
    if len(returns.irr) == 1:
        sheet.write_string(end + 2, 0, word("budget_sheet.irr"))
        sheet.write_formula(end + 2, 8, f"=IRR(I{first}:I{end})", forms["rate"], returns.irr[0])


def _fill_months(workbook: Any, plan: Plan, forms: dict[str, Any]) -> None:  # noqa: ANN401
    money = plan.money
    heads = (("month", 28), ("net", 16), ("so_far", 16))
    sheet = _sheet(workbook, _MONTHS, _title(plan, "months"), heads, forms)
    so_far = 0.0
    for row, (month, net) in enumerate(money.by_month.items(), start=FIRST_LINE):
        at = row + 1
        so_far += float(net)
        sheet.write_string(row, 0, month, forms["text"])
        formula = f"=SUMIFS({_spread(money, 'J')},{_spread(money, 'H')},A{at})"
        sheet.write_formula(row, 1, formula, forms["money"], float(net))
        sheet.write_formula(row, 2, f"=SUM(B${FIRST_LINE + 1}:B{at})", forms["money"], so_far)
    end = FIRST_LINE + len(money.by_month)
    yearly = [line for line in money.lines if not line.month]
    for row, (name, years, which) in enumerate(
        (("to_planting", "<=0", [line for line in yearly if line.year <= 0]),
         ("after", ">0", [line for line in yearly if line.year > 0])),
        start=end + 1,
    ):  # fmt: skip
        formula = (
            f'=SUMIFS({_spread(money, "J")},{_spread(money, "H")},"",'
            f'{_spread(money, "I")},"{years}")'
        )
        sheet.write_string(row, 0, word(f"budget_sheet.in_no_month.{name}"), forms["text"])
        sheet.write_formula(row, 1, formula, forms["money"],
                            float(sum(line.flow for line in which)))  # fmt: skip
