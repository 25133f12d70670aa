"""The chapter on money: what the block costs, what it brings in, and how sure that is."""

from collections.abc import Callable, Mapping
from decimal import Decimal
from typing import Any

from aanplant.messages import fill, word
from aanplant.plan import Plan
from aanplant.report.money_charts import cash_by_year, cost_by_stage, futures, what_it_hangs_on
from aanplant.report.site_words import Chapter, Table, figure_table, of_topics
from aanplant.units import UnitSystem, show, show_fixed, show_number
from aanplant.work.money import Money

FIGURES = (
    "work.budget.establishment", "work.budget.cost_per_area", "work.budget.cost_per_vine",
    "work.budget.accumulated_most", "work.budget.running_cost", "work.budget.npv",
    "work.budget.npv_owner", "work.budget.irr", "work.budget.break_even_price",
    "work.budget.break_even_yield", "work.budget.chance_of_loss", "work.budget.loan",
    "work.budget.instalment",
)  # fmt: skip
_DASH = "–"
_KINDS = ("material", "labour", "machine", "overhead")
_ALL_ALIKE = 8
"""Years from planting after which the table shows every fifth."""


def money_chapter(plan: Plan, system: UnitSystem) -> Chapter:
    """Return the chapter on money, with or without a price of grapes."""
    money = plan.money
    pictures: list[tuple[str, Callable[[], Any]]] = []
    if money.establishment:
        pictures = [
            (word("money_report.caption.stages"), lambda: cost_by_stage(money)),
            (word("money_report.caption.cash"), lambda: cash_by_year(money)),
        ]
    if money.returns is not None:
        pictures += [
            (word("money_report.caption.hangs_on"), lambda: what_it_hangs_on(money)),
            (word("money_report.caption.futures"), lambda: futures(money)),
        ]
    table = figure_table(plan, system, FIGURES)
    tables = [*([table] if table else []), stage_table(money), year_table(money)]
    return Chapter(
        "money",
        tuple(pictures),
        tuple(one for one in tables if one.rows),
        of_topics(plan, "money."),
        () if money.returns else (word("money_report.missing.price"),),
        (_argument(plan, money),) if money.establishment else (),
    )


def _argument(plan: Plan, money: Money) -> str:
    cost = show(round(float(money.establishment)), money.currency)
    area = show(round(float(money.establishment) / money.area_ha), money.currency)
    told = fill(
        "money_report.argue.cost_at_least" if money.lacks else "money_report.argue.cost",
        cost=cost, area=area,
    )  # fmt: skip
    if money.returns is None:
        return told
    npv = show(round(money.returns.npv), money.currency)
    rate = show(round(100.0 * plan.brief.money.discount_rate, 2), "%")
    return f"{told} " + fill(f"money_argue.{money.basis}", npv=npv, rate=rate)


def stage_table(money: Money) -> Table:
    """Cost of establishment by stage, for the block, a hectare and a vine."""
    stages = money.by_stage()
    rows = [
        _stage_row(word(f"money_stage.{stage}"), kinds, money) for stage, kinds in stages.items()
    ]
    if rows:
        whole = {kind: sum((parts.get(kind, Decimal(0)) for parts in stages.values()), Decimal(0))
                 for kind in _KINDS}  # fmt: skip
        rows.append(_stage_row(word("money_report.total"), whole, money))
    names = ("stage", *_KINDS, "all", "per_area", "per_vine")
    heads = [fill(f"money_head.{name}", currency=money.currency) for name in names]
    return Table(heads, rows, title=word("money_report.table.stages"), is_wide=True)


def _stage_row(name: str, kinds: Mapping[str, Decimal], money: Money) -> list[str]:
    cost = float(sum(kinds.values()))
    return [
        name,
        *(_whole(float(kinds.get(kind, 0))) for kind in _KINDS),
        _whole(cost),
        _whole(cost / money.area_ha) if money.area_ha else _DASH,
        show_fixed(cost / money.vines, 2) if money.vines else _DASH,
    ]


def year_table(money: Money) -> Table:
    """Cost, income and balance of each year; of grown years every fifth."""
    rows = []
    last = money.by_year[-1].year if money.by_year else 0
    for year, flow, owed in zip(
        money.by_year, money.flows.tolist(), money.accumulated.tolist(), strict=False
    ):
        if year.year > _ALL_ALIKE and year.year % 5 and year.year != last:
            continue
        rows.append(
            [str(year.year), _whole(float(year.cost)), _whole(float(year.income)), _whole(flow),
             _whole(-owed)]
        )  # fmt: skip
    names = ("year", "cost", "income", f"flow_{money.basis}", "balance")
    heads = [fill(f"money_head.{name}", currency=money.currency) for name in names]
    return Table(heads, rows, title=word("money_report.table.years"))


def _whole(value: float) -> str:
    return show_number(round(value)) if round(value) else _DASH
