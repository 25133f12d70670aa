"""The budget as a workbook: read back, its formulas reckoned again, its sums to the cent."""

from collections import defaultdict
from decimal import Decimal
from pathlib import Path

import numpy_financial
import openpyxl
import pytest

from aanplant.files import open_block, read_inputs
from aanplant.files.budget_sheet import FIRST_LINE, write_budget_xlsx
from aanplant.plan import make_plan
from tests.files.plans import MADE, planned

EXAMPLE = Path(__file__).parents[2] / "examples" / "lowquince" / "blocks" / "kiepersol"


@pytest.fixture(scope="module")
def plan():
    block = open_block(EXAMPLE)
    return make_plan(block.brief, read_inputs(block))


@pytest.fixture(scope="module")
def books(plan, tmp_path_factory):
    path = tmp_path_factory.mktemp("budget") / "budget.xlsx"
    write_budget_xlsx(plan, path, made=MADE)
    return (
        openpyxl.load_workbook(path, data_only=True),
        openpyxl.load_workbook(path, data_only=False),
    )


def lines_of(sheet):
    for row in sheet.iter_rows(min_row=FIRST_LINE + 1, values_only=True):
        if row[2] is not None:
            yield row


def test_every_line_stands_there_with_its_formula(plan, books):
    values, formulas = (book["Lines"] for book in books)

    lines = list(lines_of(values))
    assert len(lines) == len(plan.money.lines)
    for row, line in zip(lines, plan.money.lines, strict=True):
        assert Decimal(str(row[6])) == line.cost
        assert round(row[3] * row[5], 2) == pytest.approx(row[6], abs=0.0051)
    at = FIRST_LINE + 1
    assert formulas.cell(at, 7).value == f"=ROUND(D{at}*F{at},2)"
    assert formulas.cell(at, 10).value == f'=IF(C{at}="income",G{at},-G{at})'


def test_the_years_and_months_are_the_sums_of_the_lines(books):
    values, formulas = books
    by_year: dict[int, Decimal] = defaultdict(Decimal)
    by_month: dict[str, Decimal] = defaultdict(Decimal)
    for row in lines_of(values["Lines"]):
        by_year[row[8]] += Decimal(str(row[9]))
        if row[7]:
            by_month[row[7]] += Decimal(str(row[9]))

    years = [row for row in values["By year"].iter_rows(min_row=FIRST_LINE + 1, values_only=True)
             if isinstance(row[0], int)]  # fmt: skip
    assert {row[0]: round(Decimal(row[6]), 2) for row in years if by_year[row[0]]} == {
        year: net for year, net in by_year.items() if net
    }
    months = [row for row in values["By month"].iter_rows(min_row=FIRST_LINE + 1, values_only=True)
              if row[0]]  # fmt: skip
    later, yearly = months.pop(), months.pop()
    assert {row[0]: round(Decimal(row[1]), 2) for row in months} == dict(by_month)
    assert "In no month" in yearly[0]
    assert "In no month" in later[0]
    rest = round(Decimal(yearly[1]), 2) + round(Decimal(later[1]), 2)
    assert rest + sum(by_month.values()) == sum(by_year.values())
    assert "SUMIFS(Lines!$G$5" in formulas["By year"].cell(FIRST_LINE + 1, 2).value


def test_the_months_and_what_has_none_make_up_the_cost_of_establishment(plan, books):
    sheet = books[0]["By month"]
    rows = [row for row in sheet.iter_rows(min_row=FIRST_LINE + 1, values_only=True) if row[0]]
    end = plan.brief.work.planting.replace("2027", "2028")

    to_the_end = sum(row[1] for row in rows[:-2] if row[0] < end) + rows[-2][1]

    assert to_the_end == pytest.approx(-float(plan.money.establishment), abs=0.01)


def test_the_worth_in_the_sheet_is_that_of_an_independent_library(plan, books):
    sheet = books[0]["By year"]
    flows = [row[8] for row in sheet.iter_rows(min_row=FIRST_LINE + 1, values_only=True)
             if isinstance(row[0], int)]  # fmt: skip
    rate = sheet["B2"].value

    first_year = sheet.cell(FIRST_LINE + 1, 1).value
    worth = numpy_financial.npv(rate, flows) * (1 + rate) ** -first_year

    assert worth == pytest.approx(plan.money.returns.npv, abs=200.0)  # crop in whole kilograms
    assert 100 * numpy_financial.irr(flows) == pytest.approx(
        plan.figures.value("work.budget.irr"), abs=0.01
    )


def test_a_budget_without_prices_is_written_and_says_what_it_lacks(tmp_path):
    path = tmp_path / "budget.xlsx"

    write_budget_xlsx(planned(prices=False), path, made=MADE)

    book = openpyxl.load_workbook(path)
    assert "At least" in book["Lines"]["A2"].value
    texts = [cell.value for row in book["By year"].iter_rows() for cell in row]
    assert "No grape price is given: only costs are known." in texts
