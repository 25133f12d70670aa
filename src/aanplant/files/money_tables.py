"""The budget as lists of a plan: every line, every month, every year, and what it hangs on."""

from typing import Any

from aanplant.files.calendar_tables import named
from aanplant.plan import Plan
from aanplant.work.money_lines import KINDS, MoneyLine

Table = list[dict[str, Any]]


def line_name(line: MoneyLine) -> str:
    """Say in words what a line is for; a numbered task bears its number."""
    return line.what or named(line.word)


def money_tables(plan: Plan) -> dict[str, Table]:
    """Return the lists of the budget; amounts of lines, months and years in money of today."""
    money = plan.money
    made: dict[str, Table] = {
        "budget_lines": [
            {
                "id": line.id, "stage": line.stage, "what": line_name(line), "kind": line.kind,
                "quantity": line.quantity, "unit": line.unit, "rate": line.rate,
                "cost": line.cost, "month": line.month or None, "year": line.year,
            }
            for line in money.lines
        ],
        "budget_months": [
            {"month": month, "net": net} for month, net in money.by_month.items()
        ],
    }  # fmt: skip
    made["budget_years"] = [
        {
            "year": year.year,
            **{kind: year.by_kind[kind] for kind in KINDS},
            "net": year.net,
            "flow": flow,
            "owner_flow": owner,
            "owed_with_interest": owed,
        }
        for year, flow, owner, owed in zip(
            money.by_year, money.flows.tolist(), money.financing.owner_flows.tolist(),
            money.accumulated.tolist(), strict=False,
        )
    ]  # fmt: skip
    if money.financing.schedule:
        made["loan"] = [
            {"year": one.year, "interest": one.interest, "capital": one.capital, "owed": one.owed}
            for one in money.financing.schedule
        ]
    if money.returns is not None:
        made["sensitivity"] = [
            {
                "moved": one.name, "low": one.low, "high": one.high,
                "npv_low": one.npv_low, "npv_high": one.npv_high,
            }
            for one in money.returns.tornado
        ]  # fmt: skip
    return made
